import os
from collections.abc import Callable, Sequence
from typing import Any, Literal, Optional, Union, final

import numpy as np
import numpy.typing as npt

__all__ = [
    "Capture",
    "CheckError",
    "CoilwrightError",
    "FitError",
    "ModelError",
    "ReadError",
    "__version__",
    "check_json",
    "coil_awg_diameters",
    "coil_damped_exponential_variance",
    "coil_design",
    "coil_fit_circle",
    "coil_fit_coupled",
    "coil_fit_impedance",
    "coil_fit_injection",
    "coil_fit_reflection",
    "coil_fit_response",
    "coil_fit_ring_down",
    "coil_fit_series_ring",
    "coil_fit_sweep",
    "coil_formula",
    "coil_highest_playable_hz",
    "coil_impedance_parts",
    "coil_judge",
    "coil_make_stimulus",
    "coil_mode_bounds",
    "coil_model",
    "coil_pickup",
    "coil_read_impedance_table",
    "coil_read_sweep_table",
    "coil_read_touchstone",
    "coil_reflection_to_impedance",
    "coil_spread",
    "decode_json",
    "read",
    "run_command",
]

__version__: str

class CoilwrightError(Exception): ...
class ReadError(CoilwrightError): ...
class CheckError(CoilwrightError): ...

class FitError(CoilwrightError):
    reason: str
    details: dict[str, Any]

class ModelError(CoilwrightError):
    reason: str
    details: dict[str, Any]

_Reals = npt.NDArray[np.float64]
_Complexes = npt.NDArray[np.complex128]
_Samples = npt.NDArray[np.float32]
_Path = Union[str, os.PathLike[str]]

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
def coil_fit_ring_down(
    records: Sequence[_Samples], sample_rate_hz: float, near_hz: Optional[float], settings: str
) -> tuple[str, list[_Reals]]: ...
def coil_mode_bounds(scene: str) -> str: ...
def coil_damped_exponential_variance(decay: float, samples: int, amplitude: float, noise_rms: float) -> float: ...
def coil_fit_sweep(frequencies_hz: _Reals, amplitudes: _Reals, settings: str) -> tuple[str, _Reals]: ...
def coil_fit_response(frequencies_hz: _Reals, response: _Complexes, settings: str) -> tuple[str, _Complexes]: ...
def coil_fit_impedance(
    frequencies_hz: _Reals, impedances_ohm: _Complexes, deviations_ohm: Optional[_Reals], settings: str
) -> tuple[str, _Complexes]: ...
def coil_fit_series_ring(
    frequencies_hz: _Reals, impedances_ohm: _Complexes, deviations_ohm: Optional[_Reals], settings: str
) -> tuple[str, _Complexes]: ...
def coil_impedance_parts(frequencies_hz: _Reals, impedances_ohm: _Complexes, deviations_ohm: _Reals) -> str: ...
def coil_fit_circle(frequencies_hz: _Reals, response: _Complexes, settings: str) -> tuple[str, _Complexes]: ...
def coil_fit_reflection(
    frequencies_hz: _Reals,
    reflection: _Complexes,
    reference_ohm: float,
    calibration_std_dev: Optional[float],
    largest_relative: Optional[float],
    reference_hz: Optional[float],
) -> tuple[str, _Complexes]: ...
def coil_fit_coupled(frequencies_hz: _Reals, scattering: _Complexes, references_ohm: Sequence[float]) -> str: ...
def coil_reflection_to_impedance(reflection: _Complexes, reference_ohm: float) -> _Complexes: ...
def coil_fit_injection(
    stimulus: _Samples, pickup: _Samples, sample_rate_hz: float, settings: str
) -> tuple[str, _Complexes, _Reals, _Complexes, _Reals, _Reals]: ...
def coil_make_stimulus(plan: str) -> _Samples: ...
def coil_highest_playable_hz(sample_rate_hz: float) -> float: ...
def coil_read_touchstone(path: _Path) -> tuple[tuple[_Reals, _Complexes, list[str]], list[float]]: ...
def coil_read_impedance_table(path: _Path) -> tuple[_Reals, _Complexes, list[str]]: ...
def coil_read_sweep_table(path: _Path) -> tuple[tuple[_Reals, _Reals, list[str]], Optional[_Complexes]]: ...
def coil_formula(question: str) -> str: ...
def coil_model(question: str) -> str: ...
def coil_design(design: str) -> str: ...
def coil_pickup(pickup: str) -> str: ...
def coil_judge(case: str) -> str: ...
def coil_spread(function: Callable[..., float], parts: str, trials: int, seed: int) -> tuple[str, _Reals]: ...
def coil_awg_diameters(gauges: Sequence[int]) -> _Reals: ...
