"""Plots of captures and fits; needs Matplotlib. Every function draws on the axes that it is given."""

from __future__ import annotations

from typing import Any, Optional

import matplotlib.pyplot as plt
import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes

from ._core import Capture
from ._result import Check

_COLUMNS = 2000


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
    ax.fill_between(time, low, high, linewidth=0.0, color="0.45", label="samples")
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
    ax.plot(time, trace.samples, ".", color="0.45", label="samples")
    ax.plot(time, trace.fitted, color="C1", label=fit)
    ax.set_xlabel("time in ms")
    ax.set_ylabel(_unit_label(check.capture.unit))
    ax.set_title(f"{check.file}: ring after {'an edge' if check.ring.ring_down is None else 'a ping'}")
    ax.legend(loc="upper right", fontsize="small")
    return ax


def _axes(ax: Optional[Axes]) -> Axes:
    return plt.subplots(layout="constrained")[1] if ax is None else ax


def _unit_label(unit: str) -> str:
    return {"volt": "volts", "full_scale": "part of full scale"}.get(unit, "level, unit not stated")


def _range(capture: Capture) -> tuple[npt.NDArray[Any], npt.NDArray[Any], npt.NDArray[Any]]:
    """Return time in ms and the lowest and highest sample of each of at most `_COLUMNS` columns."""
    samples = capture.samples
    values = np.abs(samples) if np.iscomplexobj(samples) else samples
    width = max(1, -(-len(values) // _COLUMNS))
    starts = np.arange(0, len(values), width)
    if len(starts) == 0:
        return np.empty(0), np.empty(0), np.empty(0)
    time = starts / capture.sample_rate_hz * 1e3
    return time, np.minimum.reduceat(values, starts), np.maximum.reduceat(values, starts)


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
