"""Plots of coils show the numbers of the data and of the fits."""

import dataclasses
import math

import matplotlib.pyplot as plt
import numpy as np
import pytest

from coilwright import Estimate, coil
from coilwright.coil import plot


@pytest.fixture
def ax():
    figure, ax = plt.subplots()
    yield ax
    plt.close(figure)


@pytest.fixture
def random():
    return np.random.default_rng(20261125)


def test_ring_down_draws_samples_fit_and_residual(ax, random):
    t = np.arange(300) / 1e6
    samples = np.exp(-t * np.pi * 125e3 / 20) * np.cos(2 * np.pi * 125e3 * t) + 0.01 * random.standard_normal(300)
    fit = coil.fit_ring_down(samples, sample_rate_hz=1e6)
    assert plot.ring_down(fit, ax=ax) is ax
    measured, fitted = (line.get_ydata() for line in ax.get_lines())
    np.testing.assert_array_equal(measured, fit.samples[0])
    np.testing.assert_array_equal(fitted, fit.curves[0])
    (below,) = ax.child_axes
    np.testing.assert_allclose(below.get_lines()[0].get_ydata(), fit.samples[0] - fit.curves[0])
    edges = [line.get_ydata()[0] for line in below.get_lines()[1:]]
    assert edges == [-2 * fit.noise_rms, 2 * fit.noise_rms]
    ax.figure.canvas.draw()
    words = below.xaxis.label.get_window_extent()
    assert below.get_xlabel() == "time in ms" and words.y1 < below.get_window_extent().y0
    assert "Q 2" in ax.get_legend().get_texts()[1].get_text()


def test_the_time_axis_of_a_ring_down_is_inside_its_own_figure(random):
    samples = np.exp(-np.arange(300) / 50) * np.cos(0.7 * np.arange(300)) + 0.01 * random.standard_normal(300)
    ax = plot.ring_down(coil.fit_ring_down(samples, sample_rate_hz=1e6))
    ax.figure.canvas.draw()
    # The layout settles to a pixel.
    assert ax.child_axes[0].xaxis.label.get_window_extent().y0 >= -1
    plt.close(ax.figure)


@pytest.mark.parametrize("layout", ["constrained", "none"])
def test_a_ring_down_keeps_to_the_place_of_its_axes(fits, layout):
    figure, axes = plt.subplots(2, 1, layout=layout)
    place = axes[0].get_position()
    plot.ring_down(fits["ring_down"], ax=axes[0])
    figure.canvas.draw()
    below = axes[0].child_axes[0].get_window_extent()
    assert axes[0].get_window_extent().y0 > below.y1 and below.y0 > axes[1].get_window_extent().y1
    if layout == "none":
        ends = figure.transFigure.transform([(place.x0, place.y0), (place.x1, place.y1)])
        # The residual may end over the lower edge of the place.
        assert below.y0 >= ends[0, 1] and axes[0].get_window_extent().y1 == pytest.approx(ends[1, 1])
    plt.close(figure)


@pytest.mark.parametrize("kind", ["ring_down", "sweep", "response", "circle", "coil", "series_ring", "injection"])
@pytest.mark.parametrize("inches", [(6.4, 4.8), (4.0, 3.0)])
def test_no_legend_covers_what_is_drawn(fits, kind, inches):
    draw = {"ring_down": plot.ring_down, "coil": plot.inductance_and_resistance, "series_ring": plot.inductance_and_resistance}
    figure, ax = plt.subplots(figsize=inches, layout="constrained")
    draw.get(kind, plot.resonance)(fits[kind], ax=ax)
    assert not covered(figure, ax)
    plt.close(figure)


def covered(figure, ax):
    """Points of lines, other than those from edge to edge, that lie under the legend."""
    figure.canvas.draw()
    legend = ax.get_legend().get_window_extent()
    lines = [(other, line) for other in figure.axes for line in other.get_lines()]
    free = [(other, line) for other, line in lines if line.get_transform() is other.transData or len(line.get_xdata()) > 2]
    places = np.concatenate([other.transData.transform(np.transpose(line.get_data())) for other, line in free])
    return np.sum((places[:, 0] < legend.x1) & (places[:, 0] > legend.x0) & (places[:, 1] > legend.y0))


def test_the_legend_of_a_smith_chart_stands_beside_it(fits):
    for inches in ((6.4, 4.8), (4.0, 4.0), (9.0, 4.0)):
        figure, ax = plt.subplots(figsize=inches, layout="constrained")
        plot.smith_chart(fits["circle"], ax=ax)
        assert not covered(figure, ax)
        assert ax.get_window_extent().width > 0.7 * 100 * inches[0]
        plt.close(figure)


def test_the_axes_of_a_ring_show_its_reactance(ax, fits):
    fit = fits["series_ring"]
    plot.inductance_and_resistance(fit, ax=ax)
    assert ax.get_ylabel() == "reactance in Ω"
    measured = [line for line in ax.get_lines() if len(line.get_xdata()) == len(fit.frequencies_hz)]
    np.testing.assert_array_equal(measured[0].get_ydata(), fit.impedances_ohm.imag)
    np.testing.assert_array_equal(measured[1].get_ydata(), fit.curve_ohm.imag)
    assert "kHz" in ax.get_legend().get_texts()[0].get_text()


def test_digits_end_where_nothing_was_measured(ax, fits):
    sure = dataclasses.replace(fits["sweep"], resonance_hz=Estimate(125e3, 1e-9), q=Estimate(25.0, 0.13))
    plot.resonance(sure, ax=ax)
    assert ax.get_legend().get_texts()[1].get_text() == "fit: 125.000000 ± 0.000001 kHz, Q 25.00 ± 0.13"


def test_names_of_many_designs_do_not_overlap():
    figure, ax = plt.subplots()
    names = [f"{letter}: {turns} × 0.16 mm, 2 layers" for letter, turns in zip("ABCDEF", range(90, 150, 10))]
    plot.comparison({"meter": {name: Estimate(20.0 + k, 0.5) for k, name in enumerate(names)}}, quantity="Q", ax=ax)
    figure.canvas.draw()
    assert {label.get_rotation() for label in ax.get_xticklabels()} == {25.0}
    ends = [label.get_window_extent().x1 for label in ax.get_xticklabels()]
    # Turned by 25°, names whose ends lie a line's height over the sine apart are clear of each other.
    assert min(np.diff(ends)) > 14 / np.sin(np.radians(25))
    plt.close(figure)


@pytest.mark.parametrize("kind", ["sweep", "response"])
def test_resonance_draws_measurement_and_fit(ax, random, kind):
    f = np.linspace(110e3, 140e3, 61)
    response = 1 / (1 + 25j * (f / 125e3 - 125e3 / f)) + 1e-3 * random.standard_normal(61)
    fit = coil.fit_response(f, response) if kind == "response" else coil.fit_amplitude_sweep(f, np.abs(response))
    assert plot.resonance(fit, ax=ax) is ax
    points, curve, mark = ax.get_lines()
    np.testing.assert_allclose(points.get_xdata(), f / 1e3)
    np.testing.assert_allclose(points.get_ydata(), np.abs(response))
    np.testing.assert_allclose(curve.get_ydata(), np.abs(fit.curve))
    assert mark.get_xdata()[0] == pytest.approx(125.0, abs=0.1)
    assert ax.get_xlabel() == "frequency in kHz"


def test_smith_chart_draws_the_circle_that_was_fitted(ax, repository):
    file = coil.read_touchstone(repository / "testdata/touchstone/ring_ri.s1p")
    fit = coil.fit_q_circle(file.frequencies_hz, file.scattering[:, 0, 0])
    assert plot.smith_chart(fit, ax=ax) is ax
    lines = {line.get_label(): line for line in ax.get_lines()}
    whole = lines["whole circle"].get_xdata() + 1j * lines["whole circle"].get_ydata()
    middle = (whole[:-1]).mean()
    # 40 Ω in series at 50 Ω: from the open, S = 1, to S = −10/90; every measured point lies on it.
    assert middle == pytest.approx(0.5 * (1 - 10 / 90), abs=1e-4)
    points = lines["measured"].get_xdata() + 1j * lines["measured"].get_ydata()
    np.testing.assert_allclose(np.abs(points - middle), 50 / 90, atol=1e-4)
    (mark,) = [line for name, line in lines.items() if name.startswith("resonance")]
    assert mark.get_xdata()[0] == pytest.approx(-10 / 90, abs=0.01)
    assert ax.get_aspect() == 1.0
    # Unit circle, axis, and for each part one circle and two arcs, all inside.
    grid = [line for line in ax.get_lines() if line.get_label().startswith("_")]
    assert len(grid) == 2 + 3 * 5
    assert all(np.hypot(*line.get_data()).max() <= 1 + 1e-9 for line in grid)


def test_inductance_and_resistance_have_an_axis_each(ax, random):
    f = np.linspace(50e3, 500e3, 40)
    z = (9 + 2j * np.pi * f * 0.8e-3) * (1 + 1e-3 * random.standard_normal(40))
    fit = coil.fit_impedance(f, z)
    assert plot.inductance_and_resistance(fit, ax=ax) is ax
    (right,) = [other for other in ax.figure.axes if other is not ax]
    np.testing.assert_allclose(ax.get_lines()[0].get_ydata(), z.imag / (2 * np.pi * f) * 1e6)
    np.testing.assert_allclose(right.get_lines()[0].get_ydata(), z.real)
    np.testing.assert_allclose(right.get_lines()[1].get_ydata(), fit.curve_ohm.real)
    assert [text.get_text()[0] for text in ax.get_legend().get_texts()] == ["L", "R"]


def test_comparison_draws_each_method_with_its_bars(ax):
    formula = coil.Formula("a formula", "a reference")
    values = {
        "meter": {"A": Estimate(20.0, 0.5), "B": Estimate(30.0, 1.0)},
        "model": {"B": coil.Modelled(32.0, 0.1, formula)},
    }
    assert plot.comparison(values, quantity="Q", ax=ax) is ax
    meter, model = ax.containers
    np.testing.assert_array_equal(meter.lines[0].get_ydata(), [20.0, 30.0])
    spans = [segment[:, 1].tolist() for segment in meter.lines[2][0].get_segments()]
    assert spans == [[19.0, 21.0], [28.0, 32.0]]
    (span,) = [segment[:, 1] for segment in model.lines[2][0].get_segments()]
    np.testing.assert_allclose(span, [28.8, 35.2])
    assert [tick.get_text() for tick in ax.get_xticklabels()] == ["A", "B"]
    assert round(model.lines[0].get_xdata()[0]) == 1 and ax.get_ylabel() == "Q"


def test_tolerance_draws_every_trial_and_the_limits(ax):
    parts = [coil.Part("L", 1.62e-3, 0.02), coil.Part("C", 1e-9, 0.05)]
    spread = coil.tolerance(lambda l, c: 1 / (2 * math.pi * math.sqrt(l * c)), parts, trials=2000)
    assert plot.tolerance(spread, quantity="resonance in kHz", scale=1e3, ax=ax) is ax
    bars = ax.containers[0]
    assert sum(bar.get_height() for bar in bars) == 2000
    places = [line.get_xdata()[0] * 1e3 for line in ax.get_lines()]
    np.testing.assert_allclose(places, [spread.nominal, *spread.worst_case])
    assert ax.get_title().startswith("most of it from C: 86 %")
