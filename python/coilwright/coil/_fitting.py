"""Functions that fit measurements of coils and rings."""

from __future__ import annotations

import collections.abc
import json
import os
from typing import Any, Literal, Optional, Union

import numpy as np
import numpy.typing as npt

from .. import _core
from .._result import build
from ._base import ComplexArray, complex_numbers, read_only, real, real_samples, settings
from ._fits import (
    CircleFit,
    CoilFit,
    CoupledCoils,
    ImpedancePart,
    ImpedanceTable,
    InjectionFit,
    ModeBound,
    ResponseFit,
    RingDownFit,
    SeriesRingFit,
    SweepFit,
    Touchstone,
)

Quantity = Literal["current", "capacitor_voltage", "coil_voltage"]
Background = Literal["none", "constant", "sloped"]
FeedLine = Literal["none", "fitted"]
Weighting = Literal["equal", "angular"]
Connection = Literal["reflection", "reflection_scaled", "transmission", "absorption"]
Path = Union[str, "os.PathLike[str]"]


def fit_ring_down(
    samples: Union[npt.ArrayLike, collections.abc.Sequence[npt.ArrayLike]],
    *,
    sample_rate_hz: float,
    modes: Literal["one", "at_most_two"] = "at_most_two",
    search_band_hz: Optional[tuple[float, float]] = None,
    near_hz: Optional[float] = None,
    quantisation_step: float = 0.0,
) -> RingDownFit:
    """Return resonance and Q of a ring from its free decay.

    Damped sinusoids over an unknown DC level are fitted by maximum likelihood; the level and, where the residual
    demands it, its
    slope are part of the result. Several records of one ring share its resonance and Q, and each has its own
    amplitude, phase and DC.

    Parameters
    ----------
    samples : array_like of shape (n,), or sequence of such
        One record or several, each from just after an edge or a ping.
    sample_rate_hz : float
        Samples per second.
    modes : {"at_most_two", "one"}, optional
        Whether a second mode may be fitted where the residual demands it.
    search_band_hz : tuple of float, optional
        Apparent frequencies between which the modes are sought, hertz; nearly all up to half the sample rate where
        not given.
    near_hz : float, optional
        A frequency in the zone where the resonance truly lies, for undersampled records; below half the sample rate
        where not given.
    quantisation_step : float, optional
        Step of the quantiser in the samples' unit, where it is larger than the noise.

    Returns
    -------
    RingDownFit
        Loaded values; the deviations reach the Cramér–Rao bound in white noise (`mode_bounds`).

    Raises
    ------
    FitError
        When nothing rings, or what rings is no damped sinusoid; ``details`` keeps the numbers of the best fit.

    Examples
    --------
    >>> import numpy as np
    >>> from coilwright import coil
    >>> t = np.arange(400) / 1e6
    >>> ring = np.exp(-t * np.pi * 125e3 / 20) * np.cos(2 * np.pi * 125e3 * t)
    >>> fit = coil.fit_ring_down(ring + 0.01 * np.sin(1e4 * t**2 * 1e6), sample_rate_hz=1e6, modes="one")
    >>> abs(fit.q.value - 20) < 0.5
    True
    """
    records = _records(samples)
    options = settings(modes=modes, search_band_hz=search_band_hz, quantisation_step=quantisation_step)
    text, curves = _core.coil_fit_ring_down(records, sample_rate_hz, near_hz, options)
    fields = json.loads(text)
    fields.update(sample_rate_hz=float(sample_rate_hz), samples=_all_read_only(records), curves=_all_read_only(curves))
    return build(RingDownFit, fields)


def mode_bounds(
    *,
    resonance_hz: Union[float, collections.abc.Sequence[float]],
    q: Union[float, collections.abc.Sequence[float]],
    amplitude: Union[float, collections.abc.Sequence[float]],
    noise_rms: float,
    sample_rate_hz: float,
    samples: int,
    phase_rad: Union[float, collections.abc.Sequence[float]] = 0.0,
    lines_hz: collections.abc.Sequence[float] = (),
) -> tuple[ModeBound, ...]:
    """Return the least standard deviations with which resonance and Q of damped sinusoids can be estimated.

    The Cramér–Rao bound of one record with unknown DC, from its exact Fisher matrix. K like records divide the
    deviations by √K.

    Parameters
    ----------
    resonance_hz, q, amplitude, phase_rad : float or sequence of float
        Undamped resonance in hertz, Q, and amplitude and phase of the cosine at the first sample, one for each mode.
    noise_rms : float
        Standard deviation of the white noise, in the unit of the amplitude.
    sample_rate_hz : float
        Samples per second.
    samples : int
        Length of the record, at most ten million.
    lines_hz : sequence of float, optional
        Steady lines of known frequency and unknown amplitude and phase, hertz.

    Returns
    -------
    tuple of ModeBound
        One for each mode.

    Raises
    ------
    ValueError
        When the parameters cannot be told apart in the record.
    """
    if not 2 <= samples <= 10_000_000:
        raise ValueError(f"samples is {samples}, from 2 to 10000000 are taken")
    columns = np.broadcast_arrays(*(np.atleast_1d(c).astype(float) for c in (resonance_hz, q, amplitude, phase_rad)))
    names = ("resonance_hz", "q", "amplitude", "phase_rad")
    scene = settings(
        modes=[dict(zip(names, row)) for row in zip(*(column.tolist() for column in columns))],
        lines_hz=list(lines_hz),
        sample_rate_hz=float(sample_rate_hz),
        samples=int(samples),
        noise_rms=float(noise_rms),
    )
    bounds = json.loads(_core.coil_mode_bounds(scene))
    if bounds is None:
        raise ValueError("the modes and lines cannot be told apart in this record: make it longer or move them apart")
    return tuple(build(ModeBound, bound) for bound in bounds)


def damped_exponential_variance(*, decay: float, samples: int, amplitude: float, noise_rms: float) -> float:
    """Return the least variance of frequency, and equally of decay, of one damped complex exponential.

    Parameters
    ----------
    decay : float
        Nepers per sample.
    samples : int
        Length of the record.
    amplitude, noise_rms : float
        Amplitude at the first sample, and standard deviation of the noise in each of real and imaginary part.

    Returns
    -------
    float
        In (radians or nepers per sample)²; a real damped sinusoid has about twice this variance.
    """
    return _core.coil_damped_exponential_variance(decay, samples, amplitude, noise_rms)


def fit_amplitude_sweep(
    frequencies_hz: npt.ArrayLike, amplitudes: npt.ArrayLike, *, quantity: Quantity = "current"
) -> SweepFit:
    """Return resonance and loaded Q from amplitudes over frequency.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    amplitudes : array_like of shape (n,)
        Linear amplitudes in any unit, not decibels.
    quantity : {"current", "capacitor_voltage", "coil_voltage"}, optional
        What was measured of the circuit; voltages peak beside the resonance.

    Returns
    -------
    SweepFit

    Raises
    ------
    FitError
        When the table makes no sense or no resonance stands out.
    """
    frequencies, values = real(frequencies_hz, "frequencies_hz"), real(amplitudes, "amplitudes")
    text, curve = _core.coil_fit_sweep(frequencies, values, settings(quantity=quantity))
    return build(SweepFit, {**json.loads(text), **_arrays(frequencies_hz=frequencies, amplitudes=values, curve=curve)})


def fit_response(
    frequencies_hz: npt.ArrayLike,
    response: npt.ArrayLike,
    *,
    quantity: Quantity = "current",
    background: Background = "constant",
    feed_line: FeedLine = "none",
    weighting: Weighting = "equal",
) -> ResponseFit:
    """Return resonance and loaded Q from a complex response.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    response : array_like of shape (n,), complex
        Response in any unit and phase.
    quantity : {"current", "capacitor_voltage", "coil_voltage"}, optional
        What was measured of the circuit.
    background : {"constant", "none", "sloped"}, optional
        What passes the resonance by.
    feed_line : {"none", "fitted"}, optional
        Whether an unknown length of line turns the phase.
    weighting : {"equal", "angular"}, optional
        ``"angular"`` counts points far out on the curve less.

    Returns
    -------
    ResponseFit

    Raises
    ------
    FitError
        When the table makes no sense or no resonance stands out.
    """
    frequencies, values = real(frequencies_hz, "frequencies_hz"), complex_numbers(response, "response")
    options = settings(quantity=quantity, background=background, feed_line=feed_line, weighting=weighting)
    text, curve = _core.coil_fit_response(frequencies, values, options)
    return build(ResponseFit, _response(json.loads(text), frequencies, values, curve))


def fit_q_circle(
    frequencies_hz: npt.ArrayLike,
    response: npt.ArrayLike,
    *,
    connection: Connection = "reflection",
    scale: float = 1.0,
    background: Background = "constant",
    feed_line: FeedLine = "none",
    weighting: Weighting = "equal",
) -> CircleFit:
    """Return loaded and unloaded Q of a resonator from its circle in reflection or transmission.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    response : array_like of shape (n,), complex
        S11 or S21, as ``read_touchstone(path).scattering[:, 0, 0]``.
    connection : {"reflection", "reflection_scaled", "transmission", "absorption"}, optional
        One port; one port with data that are scaled by ``scale``; two ports coupled alike; a line that passes the
        resonator.
    scale : float, optional
        Reciprocal of what a through line passes, for ``"reflection_scaled"`` and ``"transmission"``.
    background, feed_line, weighting
        As `fit_response`.

    Returns
    -------
    CircleFit

    Raises
    ------
    FitError
        As `fit_response`; and for a circle larger than a passive resonator can have.
    """
    frequencies, values = real(frequencies_hz, "frequencies_hz"), complex_numbers(response, "response")
    scaled = {"scale": float(scale)} if connection in ("reflection_scaled", "transmission") else {}
    options = settings(
        connection={"kind": connection, **scaled},
        response={"background": background, "feed_line": feed_line, "weighting": weighting},
    )
    text, curve = _core.coil_fit_circle(frequencies, values, options)
    fields = json.loads(text)
    fields["response"] = _response(fields["response"], frequencies, values, curve)
    return build(CircleFit, fields)


def fit_coil_reflection(
    frequencies_hz: npt.ArrayLike,
    reflection: npt.ArrayLike,
    *,
    reference_ohm: float = 50.0,
    calibration_std_dev: Optional[float] = None,
    largest_relative: Optional[float] = None,
    reference_hz: Optional[float] = None,
) -> CoilFit:
    """Return L, R, Q and self-capacitance of an untuned coil from its calibrated reflection.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    reflection : array_like of shape (n,), complex
        S11, as ``read_touchstone(path).scattering[:, 0, 0]``.
    reference_ohm : float, optional
        Reference resistance of the port, ohm.
    calibration_std_dev : float, optional
        What averaging does not remove of the reflection's uncertainty; 0.001 where not given.
    largest_relative : float, optional
        Largest relative deviation of Q that is accepted; 0.2 where not given.
    reference_hz : float, optional
        Where resistance and Q are given, hertz; the geometric middle where not given.

    Returns
    -------
    CoilFit
        ``impedances_ohm`` and ``curve_ohm`` are those that the reflection stands for.

    Raises
    ------
    FitError
        ``reason`` ``"reflection_blind"`` where the resistance, and with it Q, drowns in the uncertainty.
    """
    frequencies, values = real(frequencies_hz, "frequencies_hz"), complex_numbers(reflection, "reflection")
    text, curve = _core.coil_fit_reflection(
        frequencies, values, reference_ohm, calibration_std_dev, largest_relative, reference_hz
    )
    impedances = _core.coil_reflection_to_impedance(values, reference_ohm)
    arrays = _arrays(frequencies_hz=frequencies, impedances_ohm=impedances, curve_ohm=curve)
    return build(CoilFit, {**json.loads(text), **arrays})


def reflection_to_impedance(reflection: npt.ArrayLike, *, reference_ohm: float = 50.0) -> ComplexArray:
    """Return the impedance Z₀(1 + S)/(1 − S) of each reflection, ohm; shape (n,)."""
    return _core.coil_reflection_to_impedance(complex_numbers(reflection, "reflection"), reference_ohm)


def fit_coupled_coils(
    frequencies_hz: npt.ArrayLike, scattering: npt.ArrayLike, *, reference_ohm: float = 50.0
) -> CoupledCoils:
    """Return inductances, mutual inductance and coupling of two coils at the ports of a network analyser.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    scattering : array_like of shape (n, 2, 2), complex
        As ``read_touchstone(path).scattering``.
    reference_ohm : float, optional
        Reference resistance of both ports, ohm.

    Returns
    -------
    CoupledCoils

    Raises
    ------
    FitError
        When the table makes no sense or the ports show no coils.
    """
    matrices = np.asarray(scattering)
    if matrices.ndim != 3 or matrices.shape[1:] != (2, 2):
        raise ValueError(f"scattering has shape {matrices.shape}, expected (n, 2, 2)")
    frequencies = real(frequencies_hz, "frequencies_hz")
    flat = complex_numbers(matrices.reshape(-1), "scattering")
    return build(CoupledCoils, json.loads(_core.coil_fit_coupled(frequencies, flat, reference_ohm)))


def fit_impedance(
    frequencies_hz: npt.ArrayLike,
    impedances_ohm: npt.ArrayLike,
    *,
    std_dev_ohm: Optional[npt.ArrayLike] = None,
    relative_std_dev: Optional[float] = None,
    scale_known: bool = True,
    reference_hz: Optional[float] = None,
) -> CoilFit:
    """Return inductance, resistance and self-capacitance of a coil from a table of impedances.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    impedances_ohm : array_like of shape (n,), complex
        Impedances, ohm.
    std_dev_ohm : array_like of shape (n,), optional
        Standard deviation of resistance and of reactance at each point, ohm.
    relative_std_dev : float, optional
        The same in proportion to the magnitude. Where neither is given it is in proportion, and found from the scatter.
    scale_known : bool, optional
        ``False`` where ``std_dev_ohm`` says only how points compare, and the scatter says how much.
    reference_hz : float, optional
        Where resistance and Q are given, hertz; the geometric middle where not given.

    Returns
    -------
    CoilFit
        Unloaded values.

    Raises
    ------
    FitError
        ``reason`` ``"not_inductive"`` for what is no coil; and when the table makes no sense.
    """
    known = (std_dev_ohm, relative_std_dev, scale_known, reference_hz)
    return build(CoilFit, _impedance(_core.coil_fit_impedance, frequencies_hz, impedances_ohm, *known))


def fit_series_ring(
    frequencies_hz: npt.ArrayLike,
    impedances_ohm: npt.ArrayLike,
    *,
    std_dev_ohm: Optional[npt.ArrayLike] = None,
    relative_std_dev: Optional[float] = None,
    scale_known: bool = True,
) -> SeriesRingFit:
    """Return L, C and R, resonance and Q of a series resonant circuit from a table of impedances.

    Parameters
    ----------
    frequencies_hz, impedances_ohm, std_dev_ohm, relative_std_dev, scale_known
        As `fit_impedance`.

    Returns
    -------
    SeriesRingFit
        Unloaded values.

    Raises
    ------
    FitError
        When the table makes no sense or the resonance lies outside it.
    """
    known = (std_dev_ohm, relative_std_dev, scale_known, None)
    return build(SeriesRingFit, _impedance(_core.coil_fit_series_ring, frequencies_hz, impedances_ohm, *known))


def inductance_and_resistance(
    frequencies_hz: npt.ArrayLike, impedances_ohm: npt.ArrayLike, *, std_dev_ohm: npt.ArrayLike
) -> tuple[ImpedancePart, ...]:
    """Return apparent series inductance, resistance and Q at each frequency, point by point.

    Parameters
    ----------
    frequencies_hz, impedances_ohm, std_dev_ohm : array_like of shape (n,)
        As `fit_impedance`.

    Returns
    -------
    tuple of ImpedancePart
        `to_records` makes a table of it.
    """
    frequencies, impedances = real(frequencies_hz, "frequencies_hz"), complex_numbers(impedances_ohm, "impedances_ohm")
    text = _core.coil_impedance_parts(frequencies, impedances, real(std_dev_ohm, "std_dev_ohm"))
    return tuple(build(ImpedancePart, part) for part in json.loads(text))


def fit_injection(
    stimulus: npt.ArrayLike,
    pickup: npt.ArrayLike,
    *,
    sample_rate_hz: float,
    band_hz: Optional[tuple[float, float]] = None,
    resolution_hz: Optional[float] = None,
    quantity: Quantity = "current",
    background: Background = "constant",
) -> InjectionFit:
    """Return resonance and loaded Q of a ring from what was played into it and what its pickup recorded.

    Parameters
    ----------
    stimulus, pickup : array_like of shape (n,)
        Both channels of one recording.
    sample_rate_hz : float
        Samples per second.
    band_hz : tuple of float, optional
        Lowest and highest frequency of the stimulus, hertz; from a fiftieth of the sample rate to what a sound card
        plays where not given.
    resolution_hz : float, optional
        Width of a point, hertz; a 400th of the band where not given.
    quantity, background
        As `fit_response`.

    Returns
    -------
    InjectionFit

    Raises
    ------
    FitError
        ``reason`` ``"incoherent"`` where the pickup does not follow the stimulus; and as `fit_response`.
    """
    low_hz, high_hz = band_hz or (0.02 * sample_rate_hz, highest_playable_hz(sample_rate_hz))
    options = settings(
        band={"low_hz": low_hz, "high_hz": high_hz, "resolution_hz": resolution_hz},
        response={"quantity": quantity, "background": background},
    )
    text, curve, frequencies, response, coherence, std_dev = _core.coil_fit_injection(
        real_samples(stimulus, "stimulus"), real_samples(pickup, "pickup"), sample_rate_hz, options
    )
    fields = json.loads(text)
    fields["response"] = _response(fields["response"], frequencies, response, curve)
    return build(InjectionFit, {**fields, **_arrays(coherence=coherence, std_dev=std_dev)})


def make_stimulus(
    *,
    kind: Literal["chirp", "noise", "multi_sine"] = "chirp",
    low_hz: float,
    high_hz: float,
    sample_rate_hz: float,
    duration_s: float,
    peak: float = 0.5,
    tones: int = 64,
    seed: int = 1,
) -> npt.NDArray[np.float32]:
    """Return a signal to play into a coil while its pickup is recorded.

    Parameters
    ----------
    kind : {"chirp", "noise", "multi_sine"}, optional
        A tone that runs through the band, noise of even power, or ``tones`` tones.
    low_hz, high_hz : float
        The band, hertz.
    sample_rate_hz, duration_s : float
        Samples per second and length in seconds.
    peak : float, optional
        Largest sample; 1 is full scale.
    tones, seed : int, optional
        Number of tones, and what chooses the noise.

    Returns
    -------
    ndarray of shape (n,), float32

    Raises
    ------
    FitError
        ``reason`` ``"beyond_card"`` where the card cannot make the band, ``details`` says how far it reaches.
    """
    extra = {"noise": {"seed": seed}, "multi_sine": {"tones": tones}}.get(kind, {})
    plan = settings(
        stimulus={"kind": kind, **extra},
        low_hz=low_hz,
        high_hz=high_hz,
        sample_rate_hz=sample_rate_hz,
        duration_s=duration_s,
        peak=peak,
    )
    return _core.coil_make_stimulus(plan)


def highest_playable_hz(sample_rate_hz: float) -> float:
    """Return the highest frequency that a sound card of this sample rate makes, hertz."""
    return _core.coil_highest_playable_hz(sample_rate_hz)


def read_touchstone(path: Path) -> Touchstone:
    """Return a network analyser's Touchstone file of one or two ports, versions 1 and 2.

    Raises
    ------
    ReadError
        When the file cannot be read; the message says where, what was found and what was expected.
    """
    (frequencies, scattering, warnings), references = _core.coil_read_touchstone(path)
    ports = len(references)
    return Touchstone(
        file=os.fspath(path),
        reference_ohm=tuple(references),
        warnings=tuple(warnings),
        frequencies_hz=read_only(frequencies),
        scattering=read_only(scattering.reshape(-1, ports, ports)),
    )


def read_impedance_table(path: Path) -> ImpedanceTable:
    """Return an impedance meter's table: delimited text with named columns.

    Raises
    ------
    ReadError
        When the file cannot be read; the message says where, what was found and what was expected.
    """
    frequencies, impedances, warnings = _core.coil_read_impedance_table(path)
    return ImpedanceTable(os.fspath(path), tuple(warnings), read_only(frequencies), read_only(impedances))


def _records(samples: Any) -> list[npt.NDArray[np.float32]]:
    several = isinstance(samples, (list, tuple)) and bool(samples) and np.ndim(samples[0]) == 1
    return [real_samples(record, "samples") for record in (samples if several else [samples])]


def _all_read_only(arrays: collections.abc.Iterable[npt.NDArray[Any]]) -> tuple[npt.NDArray[Any], ...]:
    return tuple(read_only(array) for array in arrays)


def _arrays(**arrays: npt.NDArray[Any]) -> dict[str, npt.NDArray[Any]]:
    return {name: read_only(array) for name, array in arrays.items()}


def _response(
    fields: dict[str, Any], frequencies: npt.NDArray[Any], response: npt.NDArray[Any], curve: npt.NDArray[Any]
) -> dict[str, Any]:
    return {**fields, **_arrays(frequencies_hz=frequencies, response=response, curve=curve)}


def _impedance(
    fit: Any,
    frequencies_hz: npt.ArrayLike,
    impedances_ohm: npt.ArrayLike,
    std_dev_ohm: Optional[npt.ArrayLike],
    relative: Optional[float],
    scale_known: bool,
    reference_hz: Optional[float],
) -> dict[str, Any]:
    frequencies, impedances = real(frequencies_hz, "frequencies_hz"), complex_numbers(impedances_ohm, "impedances_ohm")
    deviations = None if std_dev_ohm is None else real(std_dev_ohm, "std_dev_ohm")
    known = settings(relative=relative, scale_known=scale_known, reference_hz=reference_hz)
    text, curve = fit(frequencies, impedances, deviations, known)
    return {**json.loads(text), **_arrays(frequencies_hz=frequencies, impedances_ohm=impedances, curve_ohm=curve)}
