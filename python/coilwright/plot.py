"""Plots of captures, fits and decodes; needs Matplotlib. Every function draws on the axes that it is given."""

from __future__ import annotations

from typing import Any, Optional

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from ._core import Capture
from ._decode import Constellation, Eye, KeyRead, Spectrum, Timing
from ._result import Check

_COLUMNS = 2000
_LABEL_WIDTH = 0.016
_DATA = "0.45"
# Dark blue and light orange of Okabe and Ito's palette: apart for every kind of colour vision, and in grey.
_ONE, _ZERO = "#0072B2", "#E69F00"
_AXES = {
    "carrier": ("in phase (amplitude), %", "quadrature (phase), %"),
    "subcarrier": ("in phase with the subcarrier, %", "quarter of a period beside it, %"),
    "tones": ("faster tone, %", "slower tone, %"),
}


def capture(capture: Capture, check: Optional[Check] = None, *, ax: Optional[Axes] = None) -> Axes:
    """Draw a capture as the range of its samples over time, with what a check found in it.

    Parameters
    ----------
    capture : Capture
        Complex samples are drawn as their magnitude.
    check : Check, optional
        Its bursts and pings are shaded, frames of keys underlined, switching edges and sudden losses of level marked.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    time, low, high = _range(capture)
    ax.fill_between(time, low, high, linewidth=0.0, color=_DATA, label="samples")
    ax.set_xlabel("time in ms")
    ax.set_ylabel(_unit_label(capture.unit))
    if check is not None:
        ax.set_title(f"{check.file}: {check.verdict.fault} ({check.verdict.probability:.0%})")
        _draw_spans(ax, capture, check)
        ax.legend(loc="upper right", fontsize="small")
    return ax


def edge_fit(check: Check, *, ax: Optional[Axes] = None) -> Axes:
    """Draw the samples after one switching edge or ping and the ring's fit on top.

    Parameters
    ----------
    check : Check
        A check that measured the ring.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes

    Raises
    ------
    ValueError
        When the check measured no ring; ``check.ring.reason`` says why.
    """
    trace = check.trace
    if trace is None or check.ring.resonance_hz is None or check.ring.q is None:
        raise ValueError(f"no edge of the ring was fitted: {check.ring.reason}")
    ax = _axes(ax)
    time = (trace.first_sample + np.arange(len(trace.samples))) / check.capture.sample_rate_hz * 1e3
    fit = f"fit: {check.ring.resonance_hz.value / 1e3:.2f} kHz, Q {check.ring.q.value:.2f}"
    ax.plot(time, trace.samples, ".", color=_DATA, label="samples")
    ax.plot(time, trace.fitted, color="C1", label=fit)
    ax.set_xlabel("time in ms")
    ax.set_ylabel(_unit_label(check.capture.unit))
    ax.set_title(f"{check.file}: ring after {'an edge' if check.ring.ring_down is None else 'a ping'}")
    ax.legend(loc="upper right", fontsize="small")
    return ax


def spectrum(view: Spectrum, *, around_hz: Optional[float] = None, ax: Optional[Axes] = None) -> Axes:
    """Draw a spectrum with its named lines.

    Parameters
    ----------
    view : Spectrum
        As in ``coilwright.decode(...).best.views.spectrum``.
    around_hz : float, optional
        Draw only this far on both sides of the carrier's line; everything where it is not given.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    low, high = view.frequency_hz[0], view.frequency_hz[-1]
    if around_hz is not None and view.lines:
        centre = view.lines[0].frequency_hz
        low, high = centre - around_hz, centre + around_hz
    shown = (view.frequency_hz >= low) & (view.frequency_hz <= high)
    frequency, level = view.frequency_hz[shown] / 1e3, view.level_dbc[shown]
    columns, bottoms, tops = _lowest_and_highest(frequency, level)
    ax.fill_between(columns, bottoms, tops, linewidth=0.6, color=_DATA)
    floor, highest = (float(np.quantile(level, 0.05)), float(np.max(level))) if len(level) else (-100.0, 0.0)
    lines = sorted((line for line in view.lines if low <= line.frequency_hz <= high), key=lambda line: line.frequency_hz)
    places = _apart([(line.frequency_hz - low) / (high - low) for line in lines])
    for line, place in zip(lines, places):
        point = (line.frequency_hz / 1e3, line.level_dbc)
        ax.plot(*point, "v", color=_ONE, markersize=4)
        ax.annotate(
            f"{line.label} {line.level_dbc:.0f} dBc",
            point,
            ((low + place * (high - low)) / 1e3, highest + 6.0),
            arrowprops={"arrowstyle": "-", "linewidth": 0.5, "color": "0.45"},
            rotation=90,
            fontsize="x-small",
            ha="center",
            va="bottom",
        )
    if view.noise_dbc is not None:
        ax.axhline(view.noise_dbc, color="black", linestyle=":", linewidth=0.8, label="noise beside the carrier")
    ax.set_ylim(floor, floor + 2.2 * (highest + 6.0 - floor))
    ax.set_xlabel("frequency in kHz")
    ax.set_ylabel("level in dB over the carrier")
    return ax


def soft_bits(read: KeyRead, *, first: int = 0, count: int = 128, ax: Optional[Axes] = None) -> Axes:
    """Draw the soft bits of a key: how far each one lies on the side of 1 or 0.

    Parameters
    ----------
    read : KeyRead
        As in ``coilwright.decode(...).best.keys``.
    first, count : int, optional
        Which bits to draw.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    index = np.arange(len(read.soft_bits))[first : first + count]
    soft = read.soft_bits[index]
    for value, colour, marker in ((1, _ONE, "o"), (0, _ZERO, "s")):
        chosen = read.bits[index] == value
        ax.vlines(index[chosen], 0.0, soft[chosen], color=colour, linewidth=1.0)
        ax.plot(index[chosen], soft[chosen], marker, color=colour, markersize=4, label=f"bit {value}")
    ax.axhline(0.0, color="black", linewidth=0.8)
    ax.set_xlabel("bit")
    ax.set_ylabel("soft bit, positive for 1")
    ax.legend(loc="upper right", fontsize="small")
    return ax


def eye(view: Eye, read: KeyRead, *, ax: Optional[Axes] = None) -> Axes:
    """Draw the bits of a key laid over each other, ones and zeros apart.

    Parameters
    ----------
    view : Eye
        As in ``coilwright.decode(...).best.views.keys[0].eye``.
    read : KeyRead
        The read that the eye is of.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    for value, colour, style in ((1, _ONE, "-"), (0, _ZERO, "--")):
        traces = view.traces[read.bits[view.bits] == value] * 100.0
        if len(traces):
            ax.plot(view.time_bits, traces.T, style, color=colour, linewidth=0.6, alpha=0.3)
            ax.plot([], [], style, color=colour, label=f"bit {value}")
    ax.axvline(0.0, color="black", linestyle=":", linewidth=0.8)
    ax.axvline(1.0, color="black", linestyle=":", linewidth=0.8)
    ax.set_xlabel("time from the start of the bit, in bits")
    ax.set_ylabel("deviation, % of the carrier")
    ax.legend(loc="upper right", fontsize="small")
    return ax


def timing(view: Timing, sample_rate_hz: float, *, ax: Optional[Axes] = None) -> Axes:
    """Draw how late each transition of a key comes against its bit clock.

    Parameters
    ----------
    view : Timing
        As in ``coilwright.decode(...).best.views.keys[0].timing``.
    sample_rate_hz : float
        As in ``coilwright.decode(...).sample_rate_hz``.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    ax.plot(view.position_samples / sample_rate_hz * 1e3, view.error_bits, ".", color=_ONE, markersize=3)
    ax.axhline(view.mean_bits, color="black", linewidth=0.8, label=f"mean, jitter {view.jitter_bits:.3f} bits")
    ax.set_xlabel("time in ms")
    ax.set_ylabel("lateness of transitions in bits")
    reach = max(0.1, float(np.max(np.abs(view.error_bits))) * 1.2)
    ax.set_ylim(-reach, reach)
    ax.legend(loc="upper right", fontsize="small")
    return ax


def constellation(view: Constellation, *, ax: Optional[Axes] = None) -> Axes:
    """Draw what a key sent as points in their plane, with the axis of the modulation or where two tones are equal.

    Parameters
    ----------
    view : Constellation
        As in ``coilwright.decode(...).best.views.keys[0].constellation``.
    ax : matplotlib.axes.Axes, optional
        Where to draw; new axes where it is not given.

    Returns
    -------
    matplotlib.axes.Axes
    """
    ax = _axes(ax)
    points = view.points * 100.0
    reach = 1.2 * float(np.max(np.abs(points)))
    if view.axes == "tones":
        lowest, along, label = 0.0, reach * (1.0 + 1.0j) * np.array([0.0, 1.0]), "equal tones"
    else:
        lowest, along = -reach, reach * np.exp(1j * view.axis_rad) * np.array([-1.0, 1.0])
        label = f"axis, {np.degrees(view.axis_rad):.0f}°"
    ax.plot(along.real, along.imag, "-", color="black", linewidth=0.8, label=label)
    ax.plot(points.real, points.imag, ".", color=_ONE, markersize=3, alpha=0.5)
    ax.set_xlim(lowest, reach)
    ax.set_ylim(lowest, reach)
    ax.set_aspect("equal")
    x_label, y_label = _AXES[view.axes]
    ax.set_xlabel(x_label)
    ax.set_ylabel(y_label)
    ax.legend(loc="upper right", fontsize="small")
    return ax


def _apart(places: list[float]) -> list[float]:
    """Return rising places of labels, 0 to 1 across the axes, pushed apart where they would touch."""
    for index in range(1, len(places)):
        places[index] = max(places[index], places[index - 1] + _LABEL_WIDTH)
    limit = 1.0
    for index in reversed(range(len(places))):
        places[index] = min(places[index], limit)
        limit = places[index] - _LABEL_WIDTH
    return places


def _lowest_and_highest(
    x: npt.NDArray[Any], y: npt.NDArray[Any]
) -> tuple[npt.NDArray[Any], npt.NDArray[Any], npt.NDArray[Any]]:
    """Return x and the lowest and highest y of each of at most `_COLUMNS` columns."""
    width = max(1, -(-len(x) // _COLUMNS))
    starts = np.arange(0, len(x), width)
    if len(starts) == 0:
        return x, y, y
    return x[starts], np.minimum.reduceat(y, starts), np.maximum.reduceat(y, starts)


def _axes(ax: Optional[Axes]) -> Axes:
    return plt.subplots(layout="constrained")[1] if ax is None else ax


def _unit_label(unit: str) -> str:
    return {"volt": "volts", "full_scale": "part of full scale"}.get(unit, "level, unit not stated")


def _range(capture: Capture) -> tuple[npt.NDArray[Any], npt.NDArray[Any], npt.NDArray[Any]]:
    """Return time in ms and the lowest and highest sample of each of at most `_COLUMNS` columns."""
    samples = capture.samples
    values = np.abs(samples) if np.iscomplexobj(samples) else samples
    return _lowest_and_highest(np.arange(len(values)) / capture.sample_rate_hz * 1e3, values)


def _draw_spans(ax: Axes, capture: Capture, check: Check) -> None:
    scale = 1e3 / capture.sample_rate_hz
    for number, burst in enumerate(check.field.bursts):
        label = "field on" if number == 0 else None
        ax.axvspan(burst.span.start * scale, burst.span.end * scale, color="C0", alpha=0.15, label=label)
    for number, dip in enumerate(check.field.dips):
        label = "level lost" if number == 0 else None
        ax.axvspan(dip.span.start * scale, dip.span.end * scale, color="C3", alpha=0.4, label=label)
    for number, edge in enumerate(check.field.edges):
        label = "switching edge" if number == 0 else None
        ax.axvline(edge.sample * scale, color="C0", linewidth=0.8, linestyle=":", label=label)
    for number, ping in enumerate(() if check.ring.ring_down is None else check.ring.ring_down.pings):
        label = "ping" if number == 0 else None
        ax.axvspan(ping.start * scale, ping.end * scale, color="C2", alpha=0.3, label=label)
    below = ax.get_ylim()[0]
    for row, key in enumerate(check.keys):
        for number, span in enumerate(key.spans):
            label = "frame" if row == 0 and number == 0 else None
            ends = [span.start * scale, span.end * scale]
            ax.plot(ends, [below, below], "|-", color=f"C{row + 1}", linewidth=3, label=label)
