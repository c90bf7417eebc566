import os
from typing import Any, Literal, Optional, Union, final

import numpy as np
import numpy.typing as npt

__all__ = [
    "Capture",
    "CheckError",
    "CoilwrightError",
    "ReadError",
    "__version__",
    "check_json",
    "decode_json",
    "read",
    "run_command",
]

__version__: str

class CoilwrightError(Exception): ...
class ReadError(CoilwrightError): ...
class CheckError(CoilwrightError): ...

@final
class Capture:
    def __new__(cls, samples: npt.ArrayLike, sample_rate_hz: float, *, name: str = "array") -> Capture: ...
    @property
    def samples(self) -> Union[npt.NDArray[np.float32], npt.NDArray[np.complex64]]: ...
    @property
    def sample_rate_hz(self) -> float: ...
    @property
    def duration_s(self) -> float: ...
    @property
    def unit(self) -> Literal["full_scale", "volt", "unknown"]: ...
    @property
    def channel(self) -> int: ...
    @property
    def channels(self) -> int: ...
    @property
    def start_time(self) -> Optional[str]: ...
    @property
    def name(self) -> str: ...
    @property
    def format(self) -> str: ...
    @property
    def warnings(self) -> tuple[str, ...]: ...
    def __len__(self) -> int: ...

def read(
    path: Union[str, os.PathLike[str]],
    *,
    channel: Optional[int] = None,
    sample_rate_hz: Optional[float] = None,
    raw_type: Optional[str] = None,
) -> Capture: ...
def check_json(
    capture: Union[Capture, str],
    against: Optional[Union[Capture, str]],
    nominal_hz: Optional[float],
    signal_kind: Optional[str],
) -> tuple[str, Optional[tuple[int, npt.NDArray[np.float32], npt.NDArray[np.float32]]]]: ...
def decode_json(
    capture: Union[Capture, str],
    nominal_hz: Optional[float],
    signal_kind: Optional[str],
    views: str,
) -> tuple[str, list[tuple[str, list[dict[str, Any]], Optional[dict[str, Any]]]]]: ...
def run_command(arguments: list[str]) -> int: ...
