"""Fits of tables over frequency: amplitudes, complex responses, impedances."""

from __future__ import annotations

import json
import os
from typing import Any, Optional

import numpy as np
import numpy.typing as npt

from .. import _core
from .._result import build
from ._base import (
    Background,
    FeedLine,
    FloatArray,
    Path,
    Quantity,
    Weighting,
    complex_numbers,
    read_only,
    read_only_arrays,
    real,
    response_fields,
    settings,
)
from ._fits import CoilFit, ImpedancePart, ResponseFit, SeriesRingFit, SweepFit
from ._tables import ImpedanceTable, SweepTable


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
    return build(
        SweepFit, {**json.loads(text), **read_only_arrays(frequencies_hz=frequencies, amplitudes=values, curve=curve)}
    )


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
        What passes the resonance by; with ``"slope_if_seen"`` the slope is fitted where the data show one.
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
    return build(ResponseFit, response_fields(json.loads(text), frequencies, values, curve))


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
    std_dev_ohm : float or array_like of shape (n,), optional
        Standard deviation of resistance and of reactance at each point, ohm; one number is that of all.
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
        ``reason`` ``"open_circuit"`` for the capacitance of bare leads; when the table makes no sense or the resonance
        lies outside it.
    """
    known = (std_dev_ohm, relative_std_dev, scale_known, None)
    return build(SeriesRingFit, _impedance(_core.coil_fit_series_ring, frequencies_hz, impedances_ohm, *known))


def inductance_and_resistance(
    frequencies_hz: npt.ArrayLike, impedances_ohm: npt.ArrayLike, *, std_dev_ohm: npt.ArrayLike
) -> tuple[ImpedancePart, ...]:
    """Return apparent series inductance, resistance and Q at each frequency, point by point.

    Parameters
    ----------
    frequencies_hz, impedances_ohm, std_dev_ohm
        As `fit_impedance`.

    Returns
    -------
    tuple of ImpedancePart
        `to_records` makes a table of it.
    """
    frequencies, impedances = real(frequencies_hz, "frequencies_hz"), complex_numbers(impedances_ohm, "impedances_ohm")
    text = _core.coil_impedance_parts(frequencies, impedances, _deviations(std_dev_ohm, frequencies))
    return tuple(build(ImpedancePart, part) for part in json.loads(text))


def read_impedance_table(path: Path) -> ImpedanceTable:
    """Return an impedance meter's table: delimited text with named columns.

    Raises
    ------
    ReadError
        When the file cannot be read; the message says where, what was found and what was expected.
    """
    frequencies, impedances, warnings = _core.coil_read_impedance_table(path)
    return ImpedanceTable(os.fspath(path), tuple(warnings), read_only(frequencies), read_only(impedances))


def read_sweep_table(path: Path) -> SweepTable:
    """Return a sweep over frequency: delimited text with named columns, a frequency and an amplitude, or ``Re`` and ``Im``.

    An amplitude is called so, or voltage, V, Vpp, RMS, current, level, gain or magnitude; decibels are made linear. Where
    there are several columns of it the first counts. A phase beside it makes a complex ``response``, as ``Re`` and ``Im`` do.

    Returns
    -------
    SweepTable
        For ``fit_amplitude_sweep(table.frequencies_hz, table.amplitudes)``, or where there is a response for
        ``fit_response(table.frequencies_hz, table.response)``.

    Raises
    ------
    ReadError
        When the file cannot be read; the message says where, what was found and what was expected.
    """
    (frequencies, amplitudes, warnings), response = _core.coil_read_sweep_table(path)
    return SweepTable(
        file=os.fspath(path),
        warnings=tuple(warnings),
        **read_only_arrays(frequencies_hz=frequencies, amplitudes=amplitudes),
        response=None if response is None else read_only(response),
    )


def _deviations(std_dev_ohm: npt.ArrayLike, frequencies: FloatArray) -> FloatArray:
    """Return one deviation for each frequency; a single one is that of all."""
    if np.ndim(std_dev_ohm) == 0:
        return np.full(frequencies.shape, std_dev_ohm, np.float64)
    return real(std_dev_ohm, "std_dev_ohm")


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
    deviations = None if std_dev_ohm is None else _deviations(std_dev_ohm, frequencies)
    known = settings(relative=relative, scale_known=scale_known, reference_hz=reference_hz)
    text, curve = fit(frequencies, impedances, deviations, known)
    return {
        **json.loads(text),
        **read_only_arrays(frequencies_hz=frequencies, impedances_ohm=impedances, curve_ohm=curve),
    }
