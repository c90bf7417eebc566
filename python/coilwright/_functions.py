"""The functions of the package that return result objects."""

from __future__ import annotations

import os
from typing import Literal, Optional, Union

from . import _core
from ._decode import Decode, decode_from_json
from ._result import Check, EdgeTrace, check_from_json

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
    views: Literal["best", "all", "none"] = "best",
) -> Decode:
    """Return the keys that answer in a capture, and what every stretch with the field on had to say.

    Parameters
    ----------
    capture, nominal_hz, signal_kind
        As for `check`.
    views : {"best", "all", "none"}, optional
        Which stretches get `Views`: the one that was read best, all of them (about half a megabyte each), or none.

    Returns
    -------
    Decode
        ``keys`` holds the keys, the best read first; a key whose modulation was seen but whose frame was not read has
        ``frame`` ``None``, and ``keys`` is empty where nothing answers. ``stretches`` holds bits, soft bits, times and
        frames stretch by stretch, as arrays; neighbouring stretches overlap by up to 40 ms.

    Raises
    ------
    ReadError, CheckError
        As `check`.
    """
    text, stretches = _core.decode_json(_source(capture), nominal_hz, signal_kind, views)
    return decode_from_json(text, stretches)


def _source(capture: CaptureOrPath) -> Union[_core.Capture, str]:
    return capture if isinstance(capture, _core.Capture) else os.fspath(capture)


def _optional_source(capture: Optional[CaptureOrPath]) -> Optional[Union[_core.Capture, str]]:
    return None if capture is None else _source(capture)
