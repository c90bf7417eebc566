"""Results of fits as frozen objects; estimates have one standard deviation, arrays are read-only."""

from __future__ import annotations

import dataclasses
from typing import Any, ClassVar, Literal, Optional

import numpy as np
import numpy.typing as npt

from .._result import Estimate
from ._base import Background, ComplexArray, FloatArray, Result
from ._numbers import NUMBERS, Fit


def array_field() -> Any:
    """Return a field that neither prints nor compares."""
    return dataclasses.field(repr=False, compare=False)


@dataclasses.dataclass(frozen=True, repr=False)
class ResidualTest(Result):
    """How far the residuals of a fit look like white noise.

    ``rms`` is their root mean square in the data's unit; ``lag_one`` the correlation of neighbours, zero for white
    noise;
    ``is_white`` whether it lies within 3.3 of its standard deviations; ``explained`` the part of the data's energy
    about its
    mean that the model explains. Where residuals are not white, the stated deviations are too small.
    """

    rms: float
    lag_one: float
    is_white: bool
    explained: float


@dataclasses.dataclass(frozen=True, repr=False)
class Mode(Result):
    """One damped oscillation: undamped resonance, the damped frequency that the eye counts, Q, and decay in nepers
    per second.

    ``covariance_hz`` is that of resonance and Q; ``amplitude`` is that at the first sample, in the samples' unit.
    """

    resonance_hz: Estimate
    damped_hz: Estimate
    q: Estimate
    decay_per_s: Estimate
    covariance_hz: float
    amplitude: float

    @property
    def time_constant_s(self) -> float:
        """Time in which the oscillation falls to 1/e, seconds."""
        return 1.0 / self.decay_per_s.value


@dataclasses.dataclass(frozen=True, repr=False)
class Goodness(Result):
    """How well damped sinusoids describe a record.

    ``residual`` is decided by ``structure_p_value`` against 0.001; ``misfit`` is what one more mode would explain
    relative to
    the first; ``early_to_late`` the residual in the first 1.5 time constants over that in the rest, one for white
    noise.
    """

    residual: Literal["noise", "structured"]
    structure_p_value: float
    misfit: float
    early_to_late: float
    lag_one: float
    explained: float


@dataclasses.dataclass(frozen=True, repr=False)
class FitWarning(Result):
    """What limits a ring-down fit, with the number that belongs to its kind."""

    kind: Literal["short_record", "comparable_modes", "started_early"]
    length_tau: Optional[float] = None
    energy_ratio: Optional[float] = None
    skipped_samples: Optional[int] = None


@dataclasses.dataclass(frozen=True, repr=False)
class Component(Result):
    """A damped or steady cosine of a fitted record."""

    frequency_hz: float
    decay_per_s: float
    amplitude: float
    phase_rad: float


@dataclasses.dataclass(frozen=True, repr=False)
class FittedRecord(Result):
    """The fitted curve of one record: baseline, its slope, and all that oscillates."""

    dc: float
    drift_per_s: float
    components: tuple[Component, ...]


@dataclasses.dataclass(frozen=True, repr=False)
class RingDownFit(Fit):
    """Resonance and Q of a ring from its free decay, loaded with all that was connected.

    ``samples`` and ``curves`` hold for each record its samples and the fitted curve, both of shape (n,).
    """

    kind: ClassVar[str] = "ring_down"
    _columns = {"mode_": "", "goodness_residual": "residual", "goodness_": "residual_"}

    mode: Mode
    second: Optional[Mode]
    noise_rms: float
    snr_db: float
    goodness: Goodness
    warnings: tuple[FitWarning, ...]
    residual_squares: float
    degrees_of_freedom: float
    sample_rate_hz: float = dataclasses.field(repr=False)
    records: tuple[FittedRecord, ...] = dataclasses.field(repr=False)
    samples: tuple[npt.NDArray[np.float32], ...] = array_field()
    curves: tuple[FloatArray, ...] = array_field()

    @property
    def resonance_hz(self) -> Estimate:
        """Undamped resonance of the strongest mode, hertz."""
        return self.mode.resonance_hz

    @property
    def q(self) -> Estimate:
        """Loaded Q of the strongest mode."""
        return self.mode.q

    def to_record(self) -> dict[str, Any]:
        """Return the numbers as one flat row, as `Fit.to_record`; ``warnings`` are the kinds of what limits the fit."""
        return {**super().to_record(), "warnings": ", ".join(warning.kind for warning in self.warnings)}


@dataclasses.dataclass(frozen=True, repr=False)
class SweepFit(Fit):
    """A resonance in an amplitude sweep, loaded; arrays of shape (n,)."""

    kind: ClassVar[str] = "sweep"

    resonance_hz: Estimate
    q: Estimate
    covariance_hz: float
    shape: Literal["peak", "peak_over_background", "dip", "peak_and_dip"]
    background_slopes: bool
    residual: ResidualTest
    residual_squares: float
    degrees_of_freedom: float
    frequencies_hz: FloatArray = array_field()
    amplitudes: FloatArray = array_field()
    curve: FloatArray = array_field()


@dataclasses.dataclass(frozen=True, repr=False)
class ResponseFit(Fit):
    """A resonance in a complex response, loaded; arrays of shape (n,).

    ``resonant`` is what the resonance adds at its frequency and ``detuned`` the background there, both without the
    line's phase.
    """

    kind: ClassVar[str] = "response"

    resonance_hz: Estimate
    q: Estimate
    covariance_hz: float
    damped_hz: Estimate
    resonant: complex
    detuned: complex
    background: Background
    delay_s: Estimate
    residual: ResidualTest
    residual_squares: float
    degrees_of_freedom: float
    frequencies_hz: FloatArray = array_field()
    response: ComplexArray = array_field()
    curve: ComplexArray = array_field()


@dataclasses.dataclass(frozen=True, repr=False)
class CircleFit(Fit):
    """A resonator measured through a port: loaded in ``response``, and with the port taken off in ``unloaded_q``.

    ``coupling`` is β = Q₀/Q − 1; ``diameter`` that of the scaled resonance circle, ``touching_diameter`` that of a
    lossless one.
    """

    kind: ClassVar[str] = "circle"
    _q_definition = "unloaded"
    _gives = {"resonance_hz": "resonance_hz", "q": "unloaded_q"}
    _columns = {"unloaded_q": "q", "response_q": "loaded_q", "response_covariance": "loaded_covariance", "response_": ""}

    unloaded_q: Estimate
    coupling: Estimate
    diameter: Estimate
    touching_diameter: float
    response: ResponseFit

    @property
    def resonance_hz(self) -> Estimate:
        """Loaded resonance, hertz."""
        return self.response.resonance_hz


@dataclasses.dataclass(frozen=True, repr=False)
class CoilFit(Fit):
    """A coil from its impedance, unloaded: L and R in series, a capacitance across both; arrays of shape (n,).

    Resistance and ``q`` hold at ``reference_hz``. Growth of the resistance (as f², from ``resistance_corner_hz`` on as
    √f) and capacitance are ``None`` unless the table demands them; ``resonance_hz`` and ``resonance_q`` come with the
    capacitance.
    """

    kind: ClassVar[str] = "coil"
    _resonance_definition = "undamped, unloaded"
    _q_definition = "unloaded"
    _q_place = ", at reference_hz"
    _capacitance_definition = "across the coil"
    _gives = {name: name for name in ("q", "inductance_henry", "resistance_ohm", "reference_hz")}

    inductance_henry: Estimate
    resistance_ohm: Estimate
    q: Estimate
    reference_hz: float
    resistance_growth_ohm: Optional[Estimate]
    resistance_corner_hz: Optional[Estimate]
    capacitance_farad: Optional[Estimate]
    resonance_hz: Optional[Estimate]
    resonance_q: Optional[Estimate]
    covariance_henry_ohm: float
    residual: ResidualTest
    residual_squares: float
    degrees_of_freedom: float
    frequencies_hz: FloatArray = array_field()
    impedances_ohm: ComplexArray = array_field()
    curve_ohm: ComplexArray = array_field()


@dataclasses.dataclass(frozen=True, repr=False)
class SeriesRingFit(Fit):
    """A series resonant circuit from its impedance, unloaded; arrays of shape (n,).

    Inductance and resistance are those at ``reference_hz``; they change with frequency where a lossy loop is coupled, whose
    k² and corner R/2πL then stand in ``loop_coupling`` and ``loop_corner_hz``.
    """

    kind: ClassVar[str] = "series_ring"
    _resonance_definition = "undamped, unloaded"
    _q_definition = "unloaded"
    _capacitance_definition = "in series"
    _gives = {name: name for name in NUMBERS}

    inductance_henry: Estimate
    capacitance_farad: Estimate
    resistance_ohm: Estimate
    reference_hz: float
    loop_coupling: Optional[Estimate]
    loop_corner_hz: Optional[Estimate]
    resonance_hz: Estimate
    q: Estimate
    covariance_hz: float
    residual: ResidualTest
    residual_squares: float
    degrees_of_freedom: float
    frequencies_hz: FloatArray = array_field()
    impedances_ohm: ComplexArray = array_field()
    curve_ohm: ComplexArray = array_field()


@dataclasses.dataclass(frozen=True, repr=False)
class ImpedancePart(Result):
    """Apparent series inductance, resistance and Q at one frequency; a deviation without bound is not a number."""

    frequency_hz: float
    inductance_henry: Estimate
    resistance_ohm: Estimate
    q: Estimate


@dataclasses.dataclass(frozen=True, repr=False)
class CoupledCoils(Result):
    """Two coils near each other from a two-port measurement, what their capacitances add taken out."""

    primary_henry: Estimate
    secondary_henry: Estimate
    mutual_henry: Estimate
    coefficient: Estimate
    capacitances_farad: tuple[Estimate, ...]
    points: int


@dataclasses.dataclass(frozen=True, repr=False)
class InjectionFit(Fit):
    """A resonance in the transfer function from a played stimulus to a pickup, loaded; arrays of shape (n,).

    ``resolution_widths`` is the distance of the points over the line width, over which the fitted curve is averaged;
    ``blurred`` says that it is too wide for that.
    ``coherence`` is the part of the pickup's power that follows the stimulus, ``std_dev`` that of each part of the
    response.
    """

    kind: ClassVar[str] = "injection"
    _columns = {"response_": ""}

    response: ResponseFit
    best_coherence: float
    resolution_widths: float
    blurred: bool
    coherence: FloatArray = array_field()
    std_dev: FloatArray = array_field()

    @property
    def resonance_hz(self) -> Estimate:
        """Undamped resonance, loaded, hertz."""
        return self.response.resonance_hz

    @property
    def q(self) -> Estimate:
        """Loaded Q."""
        return self.response.q


@dataclasses.dataclass(frozen=True, repr=False)
class ModeBound(Result):
    """The least standard deviations that an unbiased estimator can have (Cramér and Rao)."""

    resonance_hz: float
    q: float
