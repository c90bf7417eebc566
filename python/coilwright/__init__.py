"""Low-frequency transponder and antenna-coil analysis from a sampled pickup coil.

``read`` gives a capture, ``check`` the verdict on it, ``decode`` the keys that answer in it, bit by bit:

>>> import coilwright
>>> check = coilwright.check("lock.wav")  # doctest: +SKIP
>>> check.verdict.fault, check.verdict.probability  # doctest: +SKIP
('metal_near', 0.93)

Coils and rings, their measurements and models, are in ``coilwright.coil``. Plots are in ``coilwright.plot``, which needs Matplotlib and is imported only when it is asked for.
"""

from ._core import Capture, CheckError, CoilwrightError, FitError, ModelError, ReadError, __version__, read
from ._decode import (
    Constellation,
    Decode,
    Eye,
    FrameRead,
    KeyRead,
    KeyViews,
    Spectrum,
    SpectrumLine,
    Stretch,
    Timing,
    Views,
)
from ._functions import check, decode
from ._result import (
    Burst,
    CaptureSummary,
    Carrier,
    Check,
    CheckOfFrame,
    Comparison,
    Dip,
    Downlink,
    DownlinkInterval,
    DownlinkMessage,
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
    "Constellation",
    "Decode",
    "Dip",
    "Downlink",
    "DownlinkInterval",
    "DownlinkMessage",
    "EdgeEvent",
    "EdgePole",
    "EdgeTrace",
    "Estimate",
    "Eye",
    "Field",
    "Finding",
    "FitError",
    "FrameFound",
    "FrameRead",
    "KeyFound",
    "KeyRead",
    "KeyViews",
    "ModelError",
    "NextStep",
    "Other",
    "ReadError",
    "Repetition",
    "Ring",
    "Signal",
    "Span",
    "Spectrum",
    "SpectrumLine",
    "Stretch",
    "Timing",
    "Verdict",
    "Views",
    "__version__",
    "check",
    "decode",
    "read",
]
