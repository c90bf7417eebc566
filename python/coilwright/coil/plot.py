"""Plots of coils, their fits and designs; needs Matplotlib. Every function draws on the axes that it is given."""

from __future__ import annotations

import collections.abc
from typing import Any, Optional, Union

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.transforms import Bbox

from .._result import Estimate
from ..plot import _DATA, _ONE, _ZERO, _axes
from ._base import Modelled
from ._fits import CircleFit, CoilFit, InjectionFit, ResponseFit, RingDownFit, SeriesRingFit, SweepFit
from ._planning import Tolerance

_MARKERS = "os^Dvx"
_COLOURS = (_ONE, _ZERO, "#009E73", "#CC79A7", "#D55E00", "#56B4E9")
"""Okabe and Ito's palette: apart for every kind of colour vision."""
_CONSTANT_PARTS = (0.2, 0.5, 1.0, 2.0, 5.0)
"""Resistances and reactances over the reference whose circles a Smith chart shows."""
_UPPER, _LOWER = 0.6, 0.33
"""Parts of the height that a ring-down and its residual take."""
_MOST_DIGITS = 9
"""Significant digits of its value that an estimate shows at most."""
_NAMES = 60
"""Letters of all designs' names that fit side by side."""
_LETTERS_PT = 8.0
"""Size of the letters of legends."""
_MOST_LEGEND = 0.5
"""Part of the height of axes that a legend may take."""


def ring_down(fit: RingDownFit, *, record: int = 0, ax: Optional[Axes] = None) -> Axes:
    """Draw a ring-down with its fit, and below what the fit leaves.

    Parameters
    ----------
    fit : RingDownFit
        As `coilwright.coil.fit_ring_down` returns it.
    record : int, optional
        Which of several records.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given. The residual gets axes of its own in the lower part of their
        place, ``ax.child_axes[0]``.

    Returns
    -------
    matplotlib.axes.Axes
    """
    own = ax is None
    ax = _axes(ax)
    samples, curve = fit.samples[record], fit.curves[record]
    time = np.arange(len(samples)) / fit.sample_rate_hz * 1e3
    ax.plot(time, samples, ".", color=_DATA, markersize=3, label="samples")
    label = f"fit: {_frequency(fit.resonance_hz)}, Q {_estimate(fit.q)}"
    ax.plot(time, curve, color=_ONE, linewidth=1.0, label=label)
    ax.set_ylabel("level in the samples' unit")
    ax.tick_params(labelbottom=False)
    ax.set_axes_locator(_upper_part)
    _legend_on_top(ax, part=_UPPER)
    below = ax.inset_axes((0.0, (_UPPER - 1.0) / _UPPER, 1.0, _LOWER / _UPPER), sharex=ax)
    below.plot(time, samples - curve, ".", color=_DATA, markersize=3)
    for edge in (-2.0, 2.0):
        below.axhline(edge * fit.noise_rms, color="black", linestyle=":", linewidth=0.8)
    below.set_ylabel("residual\nand ±2σ")
    below.set_xlabel("time in ms")
    if own and isinstance(ax.figure, Figure):
        # The layout leaves room for axes inside others only once they were drawn.
        ax.figure.draw_without_rendering()
    return ax


def resonance(fit: Union[SweepFit, ResponseFit, CircleFit, InjectionFit], *, ax: Optional[Axes] = None) -> Axes:
    """Draw the magnitude of a response over frequency with its fit.

    Parameters
    ----------
    fit : SweepFit, ResponseFit, CircleFit or InjectionFit
        The fit.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    plain = fit if isinstance(fit, (SweepFit, ResponseFit)) else fit.response
    data = plain.amplitudes if isinstance(plain, SweepFit) else np.abs(plain.response)
    scale, unit = _unit(plain.frequencies_hz)
    frequency = plain.frequencies_hz / scale
    ax.plot(frequency, data, ".", color=_DATA, markersize=4, label="measured")
    label = f"fit: {_frequency(plain.resonance_hz)}, Q {_estimate(plain.q)}"
    ax.plot(frequency, np.abs(plain.curve), color=_ONE, linewidth=1.2, label=label)
    ax.axvline(plain.resonance_hz.value / scale, color="black", linestyle=":", linewidth=0.8)
    ax.set_xlabel(f"frequency in {unit}")
    ax.set_ylabel("magnitude in the data's unit")
    _legend_on_top(ax)
    return ax


def smith_chart(fit: CircleFit, *, ax: Optional[Axes] = None) -> Axes:
    """Draw a reflection in the Smith chart with the fitted circle; the point nearest to the resonance is marked.

    Parameters
    ----------
    fit : CircleFit
        As `coilwright.coil.fit_q_circle` returns it.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    _smith_grid(ax)
    response = fit.response
    ax.plot(response.response.real, response.response.imag, ".", color=_DATA, markersize=4, label="measured")
    beta = f"fit: Q₀ {_estimate(fit.unloaded_q)}\ncoupling {_estimate(fit.coupling)}"
    if response.delay_s.value == 0.0:
        # d + a/(1 + jx) over all x: a circle with the diameter a through the detuned point d.
        turn = np.exp(2j * np.pi * np.linspace(0.0, 1.0, 361))
        whole = response.detuned + 0.5 * response.resonant * (1.0 + turn)
        ax.plot(whole.real, whole.imag, ":", color=_ONE, linewidth=1.0, label="whole circle")
    ax.plot(response.curve.real, response.curve.imag, color=_ONE, linewidth=1.2, label=beta)
    nearest = int(np.argmin(np.abs(response.frequencies_hz - response.resonance_hz.value)))
    at = response.curve[nearest]
    ax.plot([at.real], [at.imag], "o", color=_ZERO, label=f"resonance, {_frequency(response.resonance_hz)}")
    ax.set_xlabel("real part")
    ax.set_ylabel("imaginary part")
    _legend_on_top(ax)
    # As data, so that both limits stay free for the aspect.
    ax.update_datalim([(0.0, ax.get_ylim()[1])])
    ax.autoscale(axis="y")
    return ax


def inductance_and_resistance(fit: Union[CoilFit, SeriesRingFit], *, ax: Optional[Axes] = None) -> Axes:
    """Draw apparent series inductance (left) and resistance (right) over frequency with their fit.

    Of a ring the reactance is drawn in place of the inductance; it rises through zero at the resonance.

    Parameters
    ----------
    fit : CoilFit or SeriesRingFit
        The fit.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given. The resistance gets axes of its own over it, added to the figure.

    Returns
    -------
    matplotlib.axes.Axes
        Those of the inductance.
    """
    ax = _axes(ax)
    right = ax.twinx()
    scale, unit = _unit(fit.frequencies_hz)
    frequency, omega = fit.frequencies_hz / scale, 2.0 * np.pi * fit.frequencies_hz
    both = fit.impedances_ohm, fit.curve_ohm
    if isinstance(fit, CoilFit):
        left = "apparent inductance in µH", [z.imag / omega * 1e6 for z in both]
        names = [_micro(fit.inductance_henry), f"{_estimate(fit.resistance_ohm)} Ω at {_frequency(fit.reference_hz)}"]
    else:
        left = "reactance in Ω", [z.imag for z in both]
        names = [f"{_micro(fit.inductance_henry)}, {_frequency(fit.resonance_hz)}", f"{_estimate(fit.resistance_ohm)} Ω"]
        ax.axhline(0.0, color="0.8", linewidth=0.8)
        ax.axvline(fit.resonance_hz.value / scale, color="black", linestyle=":", linewidth=0.8)
    lines = []
    for axes, (label, values), colour, marker, style in (
        (ax, left, _ONE, "o", "-"),
        (right, ("apparent resistance in Ω", [z.real for z in both]), _ZERO, "s", "--"),
    ):
        axes.plot(frequency, values[0], marker, color=colour, markersize=4, fillstyle="none")
        lines += axes.plot(frequency, values[1], style, color=colour, linewidth=1.2)
        axes.set_ylabel(label)
    _legend_on_top(ax, lines, [f"{of}, fit {name}" for of, name in zip("LR", names)], beside=right)
    ax.set_xlabel(f"frequency in {unit}")
    return ax


def comparison(
    values: collections.abc.Mapping[str, collections.abc.Mapping[str, Union[Estimate, Modelled]]],
    *,
    quantity: str = "value",
    sigmas: float = 2.0,
    ax: Optional[Axes] = None,
) -> Axes:
    """Draw one number of several designs side by side, each by one or more methods, with error bars.

    Parameters
    ----------
    values : mapping of str to mapping of str to Estimate or Modelled
        For each method its value of each design; designs may be missing.
    quantity : str, optional
        What the number is, with its unit, for the axis.
    sigmas : float, optional
        Standard deviations that a bar of an estimate is long to each side; that of a model is its stated accuracy.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    designs = list(dict.fromkeys(name for method in values.values() for name in method))
    for number, (method, each) in enumerate(values.items()):
        shift = 0.15 * (number - (len(values) - 1) / 2)
        place = [designs.index(name) + shift for name in each]
        reach = [v.absolute_accuracy if isinstance(v, Modelled) else sigmas * v.std_dev for v in each.values()]
        ax.errorbar(
            place,
            [v.value for v in each.values()],
            yerr=reach,
            fmt=_MARKERS[number % len(_MARKERS)],
            color=_COLOURS[number % len(_COLOURS)],
            capsize=3,
            markersize=5,
            label=method,
        )
    crowded = sum(map(len, designs)) > _NAMES
    ax.set_xticks(range(len(designs)), designs, rotation=25 if crowded else 0, ha="right" if crowded else "center")
    ax.set_xlabel("design")
    ax.set_ylabel(quantity)
    ax.grid(axis="y", color="0.9")
    _legend_on_top(ax, title=f"bars: ±{sigmas:g}σ, of models their accuracy", columns=len(values))
    return ax


def tolerance(result: Tolerance, *, quantity: str = "result", scale: float = 1.0, ax: Optional[Axes] = None) -> Axes:
    """Draw how a result spreads with its parts: histogram of the trials, nominal, 95 % limits and worst case.

    Parameters
    ----------
    result : Tolerance
        As `coilwright.coil.tolerance` returns it.
    quantity : str, optional
        What the result is, with its unit, for the axis.
    scale : float, optional
        Results are divided by it: 1000 for kHz of Hz.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    low, high = result.central_95
    ax.axvspan(low / scale, high / scale, color=_ONE, alpha=0.12, label="95 % of the trials")
    ax.hist(result.trials / scale, bins="fd", color=_DATA, label=f"{len(result.trials)} trials")
    ax.axvline(result.nominal / scale, color="black", label="nominal")
    for number, edge in enumerate(result.worst_case):
        label = "worst case" if number == 0 else None
        ax.axvline(edge / scale, color=_ZERO, linestyle="--", label=label)
    share = result.parts[0]
    ax.set_title(f"most of it from {share.name}: {100.0 * share.variance_share:.0f} % of the variance", fontsize="medium")
    ax.set_xlabel(quantity)
    ax.set_ylabel("trials")
    _legend_on_top(ax, columns=2)
    return ax


def _legend_on_top(
    ax: Axes,
    lines: Optional[list[Any]] = None,
    names: Optional[list[str]] = None,
    *,
    title: Optional[str] = None,
    columns: int = 1,
    beside: Optional[Axes] = None,
    part: float = 1.0,
) -> None:
    """Put the legend at the top of the axes, above all that is drawn: these, and others beside them, reach further up.

    ``part`` is that of the axes' place which they take.
    """
    known = ax.get_legend_handles_labels() if lines is None else (lines, names or [])
    ax.legend(
        *known,
        loc="upper left",
        facecolor="white",
        edgecolor="none",
        framealpha=0.8,
        fontsize=_LETTERS_PT,
        ncol=columns,
        title=title,
        title_fontsize=_LETTERS_PT,
        alignment="left",
    )
    texts = "\n".join(map(str, known[1])).count("\n") + 1
    rows = -(-texts // columns) + (title is not None) + 1
    height_pt = part * ax.get_window_extent().height * 72.0 / ax.figure.dpi
    share = min(_MOST_LEGEND, 1.45 * _LETTERS_PT * rows / height_pt)
    for axes in (ax,) if beside is None else (ax, beside):
        axes.autoscale(axis="y")
        low, high = axes.get_ylim()
        axes.set_ylim(low, low + (high - low) / (1.0 - share))


def _upper_part(ax: Any, renderer: Any) -> Bbox:
    """Return the upper part of the place that a figure's layout gives to axes."""
    place = ax.get_position(original=True)
    return Bbox.from_extents(place.x0, place.y1 - _UPPER * place.height, place.x1, place.y1)


def _smith_grid(ax: Axes) -> None:
    turn = np.exp(2j * np.pi * np.linspace(0.0, 1.0, 361))
    ax.plot(turn.real, turn.imag, color="black", linewidth=0.8)
    ax.plot([-1.0, 1.0], [0.0, 0.0], color="0.8", linewidth=0.6)
    for part in _CONSTANT_PARTS:
        circle = (part + turn) / (1.0 + part)
        ax.plot(circle.real, circle.imag, color="0.8", linewidth=0.6)
        resistance = np.concatenate([[0.0], np.geomspace(1e-3, 1e3, 300)])
        for reactance in (part, -part):
            z = resistance + 1j * reactance
            arc = (z - 1.0) / (z + 1.0)
            ax.plot(arc.real, arc.imag, color="0.8", linewidth=0.6)
    ax.set_aspect("equal", adjustable="datalim")


def _unit(frequencies_hz: npt.NDArray[Any]) -> tuple[float, str]:
    highest = float(frequencies_hz[-1])
    return next(((s, u) for s, u in ((1e9, "GHz"), (1e6, "MHz"), (1e3, "kHz")) if highest >= s), (1.0, "Hz"))


def _estimate(estimate: Estimate) -> str:
    """Return value and deviation with the digits that the deviation leaves, nine of the value at most."""
    value, std_dev = estimate.value, estimate.std_dev
    if not (np.isfinite(std_dev) and std_dev > 0.0):
        return f"{value:.6g}"
    most = _MOST_DIGITS - 1 - int(np.floor(np.log10(max(abs(value), std_dev))))
    digits = max(0, min(1 - int(np.floor(np.log10(std_dev))), most))
    return f"{value:.{digits}f} ± {max(std_dev, 0.1**digits):.{digits}f}"


def _frequency(frequency: Union[Estimate, float]) -> str:
    estimate = frequency if isinstance(frequency, Estimate) else Estimate(frequency, 0.0)
    scale, unit = _unit(np.array([estimate.value]))
    return f"{_estimate(Estimate(estimate.value / scale, estimate.std_dev / scale))} {unit}"


def _micro(henry: Estimate) -> str:
    return f"{_estimate(Estimate(henry.value * 1e6, henry.std_dev * 1e6))} µH"
