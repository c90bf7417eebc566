"""Captures: from arrays, from files, and what is refused."""

import numpy as np
import pytest

import coilwright


def test_array_is_copied_and_cannot_be_changed():
    samples = np.array([0.5, -0.25, 0.125], dtype=np.float32)
    capture = coilwright.Capture(samples, 1e6)
    samples[0] = 9.0
    assert capture.samples.tolist() == [0.5, -0.25, 0.125]
    with pytest.raises(ValueError, match="read-only"):
        capture.samples[0] = 1.0
    with pytest.raises(AttributeError):
        capture.sample_rate_hz = 2e6


@pytest.mark.parametrize("dtype", [np.int16, np.uint8, np.float32, np.float64])
def test_real_numbers_become_float32(dtype):
    capture = coilwright.Capture(np.arange(5, dtype=dtype), 500e3, name="ramp")
    assert capture.samples.dtype == np.float32
    assert len(capture) == 5
    assert capture.duration_s == 1e-5
    assert capture.name == "ramp"
    assert repr(capture) == 'Capture("ramp": 5 samples at 500000 Hz, samples in memory)'


def test_complex_numbers_stay_complex_and_strides_do_not_matter():
    values = np.array([1 + 2j, 3 - 4j, 5 + 6j, 7 - 8j])
    capture = coilwright.Capture(values[::2], 250e3)
    assert capture.samples.dtype == np.complex64
    assert capture.samples.tolist() == [1 + 2j, 5 + 6j]
    assert len(capture) == 2


def test_samples_are_shared_not_copied():
    capture = coilwright.Capture(np.zeros(10), 1e6)
    assert capture.samples is capture.samples


@pytest.mark.parametrize("rate", [0.0, -1.0, float("nan"), float("inf")])
def test_a_rate_that_is_no_rate_is_refused(rate):
    with pytest.raises(ValueError, match="sample_rate_hz"):
        coilwright.Capture([0.0], rate)


def test_two_dimensions_are_refused_with_what_to_do():
    with pytest.raises(ValueError, match=r"2 dimensions, expected 1; choose a channel"):
        coilwright.Capture(np.zeros((4, 2)), 1e6)


def test_what_is_no_number_is_refused():
    with pytest.raises(TypeError, match="expected real or complex numbers"):
        coilwright.Capture(["a", "b"], 1e6)


def test_a_file_is_read_as_its_format_says(sandpiper):
    capture = coilwright.read(sandpiper / "healthy.wav")
    assert (capture.sample_rate_hz, len(capture), capture.unit) == (1e6, 210_000, "full_scale")
    assert (capture.channel, capture.channels, capture.warnings) == (0, 1, ())
    raw = np.frombuffer((sandpiper / "healthy.wav").read_bytes()[44:], dtype="<i2")
    np.testing.assert_array_equal(capture.samples, raw / np.float32(32768))


def test_raw_samples_need_a_rate_and_a_type(tmp_path):
    path = tmp_path / "raw.bin"
    np.array([100, -200, 300, -400], dtype="<i2").tofile(path)
    capture = coilwright.read(path, raw_type="i16le", sample_rate_hz=2e6)
    np.testing.assert_array_equal(capture.samples * 32768, [100, -200, 300, -400])
    pairs = coilwright.read(path, raw_type="ci16le", sample_rate_hz=2e6)
    np.testing.assert_array_equal(pairs.samples * 32768, [100 - 200j, 300 - 400j])
    with pytest.raises(coilwright.ReadError, match="sample rate"):
        coilwright.read(path, raw_type="i16le")


def test_errors_are_mapped_one_to_one(tmp_path):
    with pytest.raises(coilwright.ReadError, match="missing.wav: cannot be read"):
        coilwright.read(tmp_path / "missing.wav")
    with pytest.raises(coilwright.ReadError, match="missing.wav: cannot be read"):
        coilwright.check(tmp_path / "missing.wav")
    with pytest.raises(coilwright.CheckError, match="nominal carrier"):
        coilwright.check(coilwright.Capture(np.zeros(1000), 1e6), nominal_hz=12.0)
    with pytest.raises(ValueError, match="signal_kind"):
        coilwright.check(coilwright.Capture(np.zeros(1000), 1e6), signal_kind="sideways")
    assert issubclass(coilwright.ReadError, coilwright.CoilwrightError)
    assert issubclass(coilwright.CheckError, coilwright.CoilwrightError)
