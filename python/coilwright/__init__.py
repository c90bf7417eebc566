"""Low-frequency transponder and antenna-coil analysis from a sampled pickup coil.

``read`` gives a capture, ``check`` the verdict on it, ``decode`` the keys that answer in it:

>>> import coilwright
>>> check = coilwright.check("lock.wav")  # doctest: +SKIP
>>> check.verdict.fault, check.verdict.probability  # doctest: +SKIP
('metal_near', 0.93)

Plots are in ``coilwright.plot``, which needs Matplotlib and is imported only when it is asked for.
"""

from ._core import Capture, CheckError, CoilwrightError, ReadError, __version__, read
from ._functions import check, decode
from ._result import (
    Burst,
    CaptureSummary,
    Carrier,
    Check,
    CheckOfFrame,
    Comparison,
    Dip,
    EdgeEvent,
    EdgePole,
    EdgeTrace,
    Estimate,
    Field,
    Finding,
    FrameFound,
    KeyFound,
    NextStep,
    Other,
    Repetition,
    Ring,
    Signal,
    Span,
    Verdict,
)

__all__ = [
    "Burst",
    "Capture",
    "CaptureSummary",
    "Carrier",
    "Check",
    "CheckError",
    "CheckOfFrame",
    "CoilwrightError",
    "Comparison",
    "Dip",
    "EdgeEvent",
    "EdgePole",
    "EdgeTrace",
    "Estimate",
    "Field",
    "Finding",
    "FrameFound",
    "KeyFound",
    "NextStep",
    "Other",
    "ReadError",
    "Repetition",
    "Ring",
    "Signal",
    "Span",
    "Verdict",
    "__version__",
    "check",
    "decode",
    "read",
]
