"""Where the shipped captures are."""

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def repository() -> Path:
    """The repository's root folder."""
    return ROOT


@pytest.fixture(scope="session")
def sandpiper() -> Path:
    """The folder of the demonstration captures."""
    return ROOT / "testdata" / "sandpiper"
