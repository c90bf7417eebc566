"""Fits of what was recorded over time: ring-downs, and what was played and heard."""

from __future__ import annotations

import collections.abc
import json
from typing import Any, Literal, Optional, Union

import numpy as np
import numpy.typing as npt

from .. import _core
from .._result import build
from ._base import Background, Quantity, read_only, read_only_arrays, real_samples, response_fields, settings
from ._fits import InjectionFit, ModeBound, RingDownFit


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
        Width of a point, hertz; a 1000th of the band where not given.
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
    fields["response"] = response_fields(fields["response"], frequencies, response, curve)
    return build(InjectionFit, {**fields, **read_only_arrays(coherence=coherence, std_dev=std_dev)})


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


def _records(samples: Any) -> list[npt.NDArray[np.float32]]:
    several = isinstance(samples, (list, tuple)) and bool(samples) and np.ndim(samples[0]) == 1
    return [real_samples(record, "samples") for record in (samples if several else [samples])]


def _all_read_only(arrays: collections.abc.Iterable[npt.NDArray[Any]]) -> tuple[npt.NDArray[Any], ...]:
    return tuple(read_only(array) for array in arrays)
