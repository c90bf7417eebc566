"""Fits of what a network analyser measured at one port or two."""

from __future__ import annotations

import json
import os
from typing import Literal, Optional

import numpy as np
import numpy.typing as npt

from .. import _core
from .._result import build
from ._base import (
    Background,
    ComplexArray,
    FeedLine,
    Path,
    Weighting,
    complex_numbers,
    read_only,
    read_only_arrays,
    real,
    response_fields,
    settings,
)
from ._fits import CircleFit, CoilFit, CoupledCoils
from ._tables import Touchstone

Connection = Literal["reflection", "reflection_scaled", "transmission", "absorption"]


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


def reflection_to_impedance(reflection: npt.ArrayLike, *, reference_ohm: float = 50.0) -> ComplexArray:
    """Return the impedance Z₀(1 + S)/(1 − S) of each reflection, ohm; shape (n,)."""
    return _core.coil_reflection_to_impedance(complex_numbers(reflection, "reflection"), reference_ohm)


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
    fields["response"] = response_fields(fields["response"], frequencies, values, curve)
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
        ``reason`` ``"reflection_blind"`` where the resistance, and with it Q, drowns in the uncertainty: ``details``
        still hold ``inductance_henry``; ``"open_circuit"`` and ``"short_circuit"`` where there is no coil.
    """
    frequencies, values = real(frequencies_hz, "frequencies_hz"), complex_numbers(reflection, "reflection")
    text, curve = _core.coil_fit_reflection(
        frequencies, values, reference_ohm, calibration_std_dev, largest_relative, reference_hz
    )
    impedances = _core.coil_reflection_to_impedance(values, reference_ohm)
    arrays = read_only_arrays(frequencies_hz=frequencies, impedances_ohm=impedances, curve_ohm=curve)
    return build(CoilFit, {**json.loads(text), **arrays})


def fit_coupled_coils(
    frequencies_hz: npt.ArrayLike, scattering: npt.ArrayLike, *, reference_ohm: npt.ArrayLike = 50.0
) -> CoupledCoils:
    """Return inductances, mutual inductance and coupling of two coils at the ports of a network analyser.

    Parameters
    ----------
    frequencies_hz : array_like of shape (n,)
        Rising frequencies, hertz.
    scattering : array_like of shape (n, 2, 2), complex
        As ``read_touchstone(path).scattering``.
    reference_ohm : float or array_like of shape (2,), optional
        Reference resistance of both ports, or of each, ohm: ``read_touchstone(path).reference_ohm``.

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
    references = np.broadcast_to(real(np.atleast_1d(reference_ohm), "reference_ohm"), 2).tolist()
    return build(CoupledCoils, json.loads(_core.coil_fit_coupled(frequencies, flat, references)))
