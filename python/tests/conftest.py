"""Where the shipped captures are, and one fit of each kind."""

from pathlib import Path

import numpy as np
import pytest

from coilwright import coil

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def repository() -> Path:
    """The repository's root folder."""
    return ROOT


@pytest.fixture(scope="session")
def sandpiper() -> Path:
    """The folder of the demonstration captures."""
    return ROOT / "testdata" / "sandpiper"


@pytest.fixture(scope="session")
def fits() -> dict[str, coil.Fit]:
    """One fit of each kind, by its kind: rings of 125 kHz and Q 25, and a coil of 0.8 mH and 9 ohm."""
    random = np.random.default_rng(20261126)
    time = np.arange(300) / 1e6
    rung = np.exp(-time * np.pi * 125e3 / 25) * np.cos(2 * np.pi * 125e3 * time)
    f = np.linspace(105e3, 145e3, 161)
    both = random.standard_normal(161) + 1j * random.standard_normal(161)
    current = 1 / (1 + 25j * (f / 125e3 - 125e3 / f))
    henry, ohm = 1.6e-3, 2 * np.pi * 125e3 * 1.6e-3 / 25
    farad = 1 / ((2 * np.pi * 125e3) ** 2 * henry)
    ring = ohm + 1j * (2 * np.pi * f * henry - 1 / (2 * np.pi * f * farad))
    wide = np.linspace(50e3, 500e3, 61)
    alone = (9 + 2j * np.pi * wide * 0.8e-3) * (1 + 1e-3 * random.standard_normal(61))
    played = coil.make_stimulus(low_hz=100e3, high_hz=150e3, sample_rate_hz=384e3, duration_s=0.5)
    band = np.fft.rfftfreq(len(played), 1 / 384e3)
    band[0] = 1.0
    heard = np.fft.irfft(np.fft.rfft(played) / (1 + 25j * (band / 125e3 - 125e3 / band)), len(played))
    heard += 1e-4 * random.standard_normal(len(played))
    every = (
        coil.fit_ring_down(rung + 0.01 * random.standard_normal(300), sample_rate_hz=1e6),
        coil.fit_amplitude_sweep(f, np.abs(current + 1e-3 * both)),
        coil.fit_response(f, current + 1e-3 * both),
        coil.fit_q_circle(f, (ring - 50) / (ring + 50) + 1e-4 * both),
        coil.fit_impedance(wide, alone, reference_hz=125e3),
        coil.fit_series_ring(f, ring * (1 + 1e-4 * both)),
        coil.fit_injection(played, heard, sample_rate_hz=384e3, band_hz=(100e3, 150e3)),
    )
    return {fit.kind: fit for fit in every}
