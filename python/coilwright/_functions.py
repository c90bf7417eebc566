"""The functions of the package that return result objects."""

from __future__ import annotations

import os
from typing import Literal, Optional, Union

from . import _core
from ._result import Check, EdgeTrace, KeyFound, check_from_json

CaptureOrPath = Union[_core.Capture, str, "os.PathLike[str]"]
SignalKind = Literal["direct", "aliased", "envelope", "complex_baseband", "ring_down"]


def check(
    capture: CaptureOrPath,
    *,
    against: Optional[CaptureOrPath] = None,
    nominal_hz: Optional[float] = None,
    signal_kind: Optional[SignalKind] = None,
) -> Check:
    """Return the verdict on a capture of a lock being switched on, with all that was measured.

    Parameters
    ----------
    capture : Capture or path
        A capture in memory, or a file; a file is read block by block and may be larger than memory.
    against : Capture or path, optional
        A known-good capture of the same lock, taken the same way.
    nominal_hz : float, optional
        Nominal carrier in hertz; decided from the capture where it is not given.
    signal_kind : {"direct", "aliased", "envelope", "complex_baseband", "ring_down"}, optional
        What the samples are; decided from the capture where it is not given.

    Returns
    -------
    Check
        ``verdict.fault`` is ``"none"`` for a healthy lock and ``"cannot_tell"`` where the capture does not carry the
        answer.

    Raises
    ------
    ReadError
        When a file cannot be read.
    CheckError
        When the capture is empty or the nominal carrier makes no sense.
    """
    text, trace = _core.check_json(_source(capture), _optional_source(against), nominal_hz, signal_kind)
    return check_from_json(text, None if trace is None else EdgeTrace(*trace))


def decode(
    capture: CaptureOrPath,
    *,
    nominal_hz: Optional[float] = None,
    signal_kind: Optional[SignalKind] = None,
) -> tuple[KeyFound, ...]:
    """Return the keys that answer in a capture, the best read first.

    Parameters, and what is raised, are those of `check`. A key whose modulation was seen but whose frame was not read
    has ``frame`` ``None``; the tuple is empty where nothing answers.
    """
    return check(capture, nominal_hz=nominal_hz, signal_kind=signal_kind).keys


def _source(capture: CaptureOrPath) -> Union[_core.Capture, str]:
    return capture if isinstance(capture, _core.Capture) else os.fspath(capture)


def _optional_source(capture: Optional[CaptureOrPath]) -> Optional[Union[_core.Capture, str]]:
    return None if capture is None else _source(capture)
