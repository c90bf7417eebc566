"""Plots draw what the check found on the axes that they are given."""

import matplotlib.pyplot as plt
import numpy as np
import pytest

import coilwright
from coilwright import plot


@pytest.fixture
def ax():
    figure, ax = plt.subplots()
    yield ax
    plt.close(figure)


@pytest.fixture(scope="module")
def healthy(sandpiper):
    capture = coilwright.read(sandpiper / "healthy.wav")
    return capture, coilwright.check(capture)


def test_capture_draws_range_bursts_edges_and_frames(ax, healthy):
    capture, check = healthy
    assert plot.capture(capture, check, ax=ax) is ax
    labels = [text.get_text() for text in ax.get_legend().get_texts()]
    assert labels == ["samples", "field on", "switching edge", "frame"]
    low, high = ax.get_ylim()
    assert low <= capture.samples.min()
    assert high >= capture.samples.max()


def test_capture_draws_complex_and_empty_captures(ax):
    plot.capture(coilwright.Capture(np.exp(1j * np.arange(5000)), 1e6), ax=ax)
    plot.capture(coilwright.Capture(np.empty(0), 1e6), ax=ax)
    assert len(ax.collections) == 2


def test_edge_fit_draws_samples_and_fit(ax, healthy):
    capture, check = healthy
    assert plot.edge_fit(check, ax=ax) is ax
    measured, fitted = (line.get_ydata() for line in ax.get_lines())
    first = check.trace.first_sample
    np.testing.assert_array_equal(measured, capture.samples[first : first + len(measured)])
    residual = np.std(measured - fitted)
    assert residual < 0.05 * np.std(measured)


def test_edge_fit_draws_a_ping(ax, sandpiper):
    capture = coilwright.read(sandpiper / "ring-down.wav")
    check = coilwright.check(capture, nominal_hz=125e3)
    assert check.signal.kind == "ring_down"
    assert check.ring.ring_down.ping_count == len(check.ring.ring_down.pings) == 5
    plot.edge_fit(check, ax=ax)
    measured, fitted = (line.get_ydata() for line in ax.get_lines())
    assert np.std(measured - fitted) < 0.1 * np.std(measured)
    assert ax.get_title().endswith("ring after a ping")


def test_capture_draws_pings(ax, sandpiper):
    capture = coilwright.read(sandpiper / "ring-down.wav")
    plot.capture(capture, coilwright.check(capture), ax=ax)
    assert [text.get_text() for text in ax.get_legend().get_texts()] == ["samples", "ping"]


def test_edge_fit_needs_a_ring(ax, sandpiper):
    check = coilwright.check(sandpiper / "open-ring.wav")
    with pytest.raises(ValueError, match="no edge of the ring was fitted"):
        plot.edge_fit(check, ax=ax)


@pytest.fixture(scope="module")
def decode(sandpiper):
    return coilwright.decode(sandpiper / "healthy.wav")


def test_spectrum_draws_its_lines_inside_the_range(ax, decode):
    view = decode.best.views.spectrum
    assert plot.spectrum(view, around_hz=10e3, ax=ax) is ax
    labels = [text.get_text() for text in ax.texts]
    assert any(label.startswith("carrier 0 dBc") or label.startswith("carrier -0 dBc") for label in labels)
    assert any(label.startswith("+1 × bit rate") for label in labels)
    near = [line for line in view.lines if abs(line.frequency_hz - view.lines[0].frequency_hz) <= 10e3]
    assert len(labels) == len(near) < len(view.lines)


def test_soft_bits_draw_each_bit_on_its_side(ax, decode):
    read = decode.best.keys[0]
    assert plot.soft_bits(read, first=10, count=40, ax=ax) is ax
    ones, zeros = (line for line in ax.get_lines() if line.get_label().startswith("bit "))
    assert (ones.get_ydata() > 0).all()
    assert (zeros.get_ydata() <= 0).all()
    assert len(ones.get_ydata()) + len(zeros.get_ydata()) == 40


def test_eye_timing_and_constellation_draw_every_point(ax, decode):
    best = decode.best
    views = best.views.keys[0]
    assert plot.eye(views.eye, best.keys[0], ax=ax) is ax
    drawn = [line for line in ax.get_lines() if len(line.get_xdata()) == len(views.eye.time_bits)]
    assert len(drawn) == len(views.eye.bits)
    ax.clear()
    assert plot.timing(views.timing, decode.sample_rate_hz, ax=ax) is ax
    np.testing.assert_array_equal(ax.get_lines()[0].get_ydata(), views.timing.error_bits)
    ax.clear()
    assert plot.constellation(views.constellation, ax=ax) is ax
    assert len(ax.get_lines()[1].get_xdata()) == len(views.constellation.points)
