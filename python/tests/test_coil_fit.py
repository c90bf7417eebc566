"""Fits of coils and rings: closed forms, SciPy as the second witness, published measurements."""

import threading

import numpy as np
import pytest
from scipy import optimize

import coilwright
from coilwright import coil

# The ring of testdata/touchstone/README.md: 1.62 mH, 40 Ω, 1.0007 nF.
HENRY, OHM, FARAD = 1.62e-3, 40.0, 1.0007e-9
RESONANCE_HZ, Q = 125_000.19, 31.8087
# Estimates may differ from truth by five of their own deviations: 1 in 1.7 million by chance.
SIGMAS = 5.0


def within(estimate, truth, sigmas=SIGMAS):
    return abs(estimate.value - truth) <= sigmas * estimate.std_dev


def decay(resonance_hz, q, count, rate, amplitude=1.0, phase=0.4, dc=0.0):
    t = np.arange(count) / rate
    damping = np.pi * resonance_hz / q
    damped = np.sqrt((2 * np.pi * resonance_hz) ** 2 - damping**2)
    return dc + amplitude * np.exp(-damping * t) * np.cos(damped * t + phase)


def ring(frequencies):
    w = 2 * np.pi * frequencies
    return OHM + 1j * (w * HENRY - 1 / (w * FARAD))


@pytest.fixture
def random():
    return np.random.default_rng(20261125)


def test_ring_down_agrees_with_scipy_and_with_the_truth(random):
    rate, noise = 1e6, 0.01
    samples = decay(125e3, 20.0, 300, rate, dc=0.2) + noise * random.standard_normal(300)
    fit = coil.fit_ring_down(samples, sample_rate_hz=rate, modes="one")
    assert within(fit.resonance_hz, 125e3) and within(fit.q, 20.0)
    assert abs(fit.records[0].dc - 0.2) < SIGMAS * noise / np.sqrt(300)
    t = np.arange(300) / rate

    def residual(p):
        return p[0] + np.exp(-p[1] * t) * (p[2] * np.cos(p[3] * t) + p[4] * np.sin(p[3] * t)) - samples

    start = [0.2, np.pi * 125e3 / 20, 1.0, 2 * np.pi * 125e3, 0.0]
    found = optimize.least_squares(residual, start, x_scale=np.abs(start) + 0.1, xtol=1e-14, ftol=1e-14).x
    pole = np.hypot(found[1], found[3])
    # One least-squares problem solved twice; samples cross as 32-bit floats.
    assert fit.resonance_hz.value == pytest.approx(pole / (2 * np.pi), abs=0.01 * fit.resonance_hz.std_dev)
    assert fit.q.value == pytest.approx(pole / (2 * found[1]), abs=0.01 * fit.q.std_dev)


def test_ring_down_states_the_bound(random):
    samples = decay(125e3, 20.0, 300, 1e6, phase=0.3) + 0.01 * random.standard_normal(300)
    fit = coil.fit_ring_down(samples, sample_rate_hz=1e6, modes="one")
    (bound,) = coil.mode_bounds(
        resonance_hz=125e3, q=20.0, amplitude=1.0, phase_rad=0.3, noise_rms=0.01, sample_rate_hz=1e6, samples=300
    )
    # The noise is estimated from 295 numbers: 4 % of one deviation, five of those.
    assert fit.q.std_dev == pytest.approx(bound.q, rel=0.2)
    assert fit.resonance_hz.std_dev == pytest.approx(bound.resonance_hz, rel=0.2)
    # Twice the closed form's variance for a real sinusoid: the note in `damped_exponential_variance`.
    variance = coil.damped_exponential_variance(decay=np.pi * 0.125 / 20, samples=300, amplitude=1.0, noise_rms=0.01)
    assert np.sqrt(2 * variance) * 1e6 / (2 * np.pi) == pytest.approx(bound.resonance_hz, rel=0.05)


def test_ring_down_takes_several_records_and_keeps_what_it_fitted(random):
    records = [
        decay(125e3, 20.0, n, 1e6, amplitude=a) + 0.01 * random.standard_normal(n) for n, a in ((300, 1.0), (200, 0.5))
    ]
    fit = coil.fit_ring_down(records, sample_rate_hz=1e6)
    assert [len(curve) for curve in fit.curves] == [300, 200]
    residual = np.concatenate([s - c for s, c in zip(fit.samples, fit.curves)])
    assert np.sum(residual**2) == pytest.approx(fit.residual_squares, rel=1e-6)
    with pytest.raises(ValueError, match="read-only"):
        fit.curves[0][0] = 0.0


def test_undersampled_ring_down_is_placed_in_its_zone(random):
    samples = decay(125e3, 200.0, 600, 192e3) + 0.001 * random.standard_normal(600)
    fit = coil.fit_ring_down(samples, sample_rate_hz=192e3, near_hz=125e3)
    assert within(fit.resonance_hz, 125e3) and within(fit.q, 200.0)


def test_two_modes_are_told_apart(random):
    both = decay(125e3, 20.0, 400, 1e6) + decay(140e3, 60.0, 400, 1e6, amplitude=0.5, phase=1.0)
    fit = coil.fit_ring_down(both + 0.002 * random.standard_normal(400), sample_rate_hz=1e6)
    assert fit.second is not None
    for mode in (fit.mode, fit.second):
        assert min(abs(mode.resonance_hz.value - f) for f in (125e3, 140e3)) < SIGMAS * mode.resonance_hz.std_dev


def test_noise_does_not_ring_and_says_why(random):
    with pytest.raises(coilwright.FitError, match="no oscillation stands above the noise") as raised:
        coil.fit_ring_down(random.standard_normal(300), sample_rate_hz=1e6)
    assert raised.value.reason == "no_signal"
    assert raised.value.details["gain_db"] < raised.value.details["needed_db"]
    assert isinstance(raised.value, coilwright.CoilwrightError)


def test_sweep_agrees_with_scipy(random):
    f = np.linspace(110e3, 140e3, 121)
    height = 1.0 / np.abs(1 + 25j * (f / 125e3 - 125e3 / f)) + 1e-3 * random.standard_normal(121)
    fit = coil.fit_amplitude_sweep(f, height)
    assert within(fit.resonance_hz, 125e3) and within(fit.q, 25.0)
    found, covariance = optimize.curve_fit(
        lambda f, a, f0, q: a / np.sqrt(1 + (q * (f / f0 - f0 / f)) ** 2), f, height, [1.0, 124e3, 20.0]
    )
    assert fit.shape == "peak"
    assert fit.q.value == pytest.approx(found[2], abs=0.01 * fit.q.std_dev)
    assert fit.q.std_dev == pytest.approx(np.sqrt(covariance[2, 2]), rel=0.02)
    assert fit.covariance_hz == pytest.approx(covariance[1, 2], abs=0.02 * fit.q.std_dev * fit.resonance_hz.std_dev)


def test_response_finds_one_pole_whatever_was_measured(random):
    f = np.linspace(100e3, 150e3, 201)
    current = 1 / (1 + 8j * (f / 125e3 - 125e3 / f))
    for quantity, factor in (("current", 1.0), ("capacitor_voltage", 125e3 / f), ("coil_voltage", f / 125e3)):
        data = current * factor + 0.1 + 0.05j + 1e-3 * (random.standard_normal(201) + 1j * random.standard_normal(201))
        fit = coil.fit_response(f, data, quantity=quantity)
        assert within(fit.resonance_hz, 125e3) and within(fit.q, 8.0), quantity
        assert abs(fit.detuned - (0.1 + 0.05j)) < 0.01


def test_circles_of_the_national_physical_laboratory(repository):
    # NPL Report MAT 58 (2021); expected values from testdata/published/npl_mat58/README.md and scikit-rf 2.2.0.
    def sweep(name):
        rows = np.loadtxt(repository / "testdata/published/npl_mat58" / name, comments="%")
        return rows[:, 0] * 1e9, rows[:, 1] + 1j * rows[:, 2]

    circle = coil.fit_q_circle(*sweep("Figure6b.txt"), connection="transmission", scale=1 / 0.874, weighting="angular")
    assert circle.response.q.value == pytest.approx(7454.477, abs=0.05)
    assert circle.unloaded_q.value == pytest.approx(7545.580, abs=0.05)
    circle = coil.fit_q_circle(*sweep("Table6c27.txt"), feed_line="fitted", weighting="angular")
    assert circle.unloaded_q.value == pytest.approx(862.0, abs=1.0)


def test_a_touchstone_file_from_port_to_circuit(repository):
    file = coil.read_touchstone(repository / "testdata/touchstone/ring_ri.s1p")
    assert file.ports == 1 and file.reference_ohm == (50.0,)
    circle = coil.fit_q_circle(file.frequencies_hz, file.scattering[:, 0, 0])
    # Eight digits stand in the file.
    assert circle.unloaded_q.value == pytest.approx(Q, rel=1e-4)
    impedance = coil.reflection_to_impedance(file.scattering[:, 0, 0])
    np.testing.assert_allclose(impedance, ring(file.frequencies_hz), rtol=1e-4)
    series = coil.fit_series_ring(file.frequencies_hz, impedance)
    assert series.resonance_hz.value == pytest.approx(RESONANCE_HZ, rel=1e-6)
    assert series.capacitance_farad.value == pytest.approx(FARAD, rel=1e-4)


def test_two_coupled_coils_in_a_touchstone_file(repository):
    file = coil.read_touchstone(repository / "testdata/touchstone/coupled.s2p")
    coils = coil.fit_coupled_coils(file.frequencies_hz, file.scattering)
    assert abs(coils.coefficient.value) == pytest.approx(0.02, rel=1e-3)
    assert coils.secondary_henry.value == pytest.approx(2.4e-3, rel=1e-3)
    with pytest.raises(ValueError, match=r"shape \(4,\), expected \(n, 2, 2\)"):
        coil.fit_coupled_coils([1.0], np.zeros(4))


def test_an_impedance_table_gives_the_coil_and_its_capacitance(random):
    f = np.linspace(50e3, 2e6, 100)
    w = 2 * np.pi * f
    series = 9 + 1j * w * 0.8e-3
    truth = series / (1 + 1j * w * 22e-12 * series)
    z = truth * (1 + 1e-3 * (random.standard_normal(100) + 1j * random.standard_normal(100)))
    fit = coil.fit_impedance(f, z, relative_std_dev=1e-3, reference_hz=125e3)
    assert within(fit.inductance_henry, 0.8e-3) and within(fit.capacitance_farad, 22e-12)
    assert within(fit.q, 2 * np.pi * 125e3 * 0.8e-3 / 9)
    np.testing.assert_allclose(fit.curve_ohm, truth, rtol=0.01)
    parts = coil.inductance_and_resistance(f[:3], truth[:3], std_dev_ohm=np.ones(3))
    assert parts[0].inductance_henry.value == pytest.approx(truth[0].imag / w[0], rel=1e-12)
    assert parts[0].inductance_henry.std_dev == pytest.approx(1 / w[0], rel=1e-9)


def test_an_open_coil_is_no_coil(random):
    f = np.linspace(50e3, 300e3, 40)
    z = 1 / (5e-8 + 2j * np.pi * f * 12e-12) * (1 + 1e-3 * random.standard_normal(40))
    with pytest.raises(coilwright.FitError, match="as an open coil or a bare cable has") as raised:
        coil.fit_impedance(f, z)
    assert raised.value.reason == "open_circuit"
    assert raised.value.details["capacitance_farad"]["value"] == pytest.approx(12e-12, rel=1e-2)


def test_reflection_of_a_large_coil_is_refused():
    f = np.linspace(100e3, 150e3, 51)
    z = 15.7 + 2j * np.pi * f * 1e-3
    with pytest.raises(coilwright.FitError) as raised:
        coil.fit_coil_reflection(f, (z - 50) / (z + 50))
    assert raised.value.reason == "reflection_blind"
    fit = coil.fit_coil_reflection(f, (z - 50) / (z + 50), calibration_std_dev=1e-5, reference_hz=125e3)
    assert fit.q.value == pytest.approx(2 * np.pi * 125e3 * 1e-3 / 15.7, rel=1e-6)
    np.testing.assert_allclose(fit.impedances_ohm, z, rtol=1e-9)


def test_injection_finds_the_ring_that_filtered_the_chirp(random):
    rate = 384e3
    played = coil.make_stimulus(low_hz=100e3, high_hz=150e3, sample_rate_hz=rate, duration_s=0.5)
    assert len(played) == 192_000 and np.abs(played).max() <= 0.5
    spectrum = np.fft.rfft(played)
    f = np.fft.rfftfreq(len(played), 1 / rate)
    f[0] = 1.0
    response = 1 / (1 + 20j * (f / 125e3 - 125e3 / f))
    heard = np.fft.irfft(spectrum * response, len(played)) + 1e-4 * random.standard_normal(len(played))
    fit = coil.fit_injection(played, heard, sample_rate_hz=rate, band_hz=(100e3, 150e3))
    assert within(fit.response.resonance_hz, 125e3) and within(fit.response.q, 20.0)
    assert fit.best_coherence > 0.999 and not fit.blurred
    assert fit.coherence.shape == fit.response.frequencies_hz.shape == fit.std_dev.shape
    with pytest.raises(coilwright.FitError) as raised:
        coil.make_stimulus(low_hz=100e3, high_hz=130e3, sample_rate_hz=192e3, duration_s=0.1)
    assert raised.value.details["highest_hz"] == pytest.approx(coil.highest_playable_hz(192e3))


def test_an_impedance_table_is_read_and_a_broken_one_refused(repository, tmp_path):
    path = tmp_path / "coil.csv"
    path.write_text("Frequency (kHz),R (ohm),X (ohm)\n100,9,502.65\n125,9,628.32\n150,9,753.98\n")
    table = coil.read_impedance_table(path)
    np.testing.assert_allclose(table.impedances_ohm, 9 + 2j * np.pi * table.frequencies_hz * 0.8e-3, rtol=1e-5)
    with pytest.raises(coilwright.ReadError, match="table-row-short.csv: line"):
        coil.read_impedance_table(repository / "testdata/broken_tables/table-row-short.csv")
    with pytest.raises(coilwright.ReadError, match="missing.s1p"):
        coil.read_touchstone("missing.s1p")


def test_results_print_and_become_rows(random):
    f = np.linspace(110e3, 140e3, 61)
    fit = coil.fit_amplitude_sweep(f, 1 / np.abs(1 + 25j * (f / 125e3 - 125e3 / f)) + 1e-3 * random.standard_normal(61))
    assert repr(fit).startswith("SweepFit(resonance_hz=12") and " ± " in repr(fit)
    assert "<th>q</th>" in fit._repr_html_() and "curve" not in fit._repr_html_()
    row = fit.to_record()
    assert row["q"] == fit.q.value and row["q_std_dev"] == fit.q.std_dev
    assert row["residual_rms"] == fit.residual.rms
    assert all(value is None or isinstance(value, (float, str, bool)) for value in row.values())
    rows = coil.to_records({"a": fit, "b": coil.ModeBound(1.0, 2.0)})
    assert rows[1]["label"] == "b" and rows[1]["q_std_dev"] is None and rows[0].keys() == rows[1].keys()


@pytest.mark.parametrize(
    ("arguments", "settings", "error", "words"),
    [
        (([[1.0, 2.0]], [1.0]), {}, ValueError, "frequencies_hz have 2 dimensions"),
        ((["a"], [1.0]), {}, TypeError, "frequencies_hz have elements of kind 'U'"),
        (([1.0, 2.0], [1.0, 1j]), {}, TypeError, "amplitudes have elements of kind 'c'"),
        (
            ([1.0, 2.0], [1.0, 2.0]),
            {"quantity": "charm"},
            ValueError,
            "unknown variant `charm`, expected one of `current`",
        ),
        (([1.0, 2.0], [1.0]), {}, coilwright.FitError, "needed"),
        (([2.0, 1.0] * 10, [1.0] * 20), {}, coilwright.FitError, "sort the table"),
    ],
)
def test_what_makes_no_sense_is_refused(arguments, settings, error, words):
    with pytest.raises(error, match=words):
        coil.fit_amplitude_sweep(*arguments, **settings)


def test_other_threads_run_during_a_fit(random):
    # Long enough that a busy machine lets both run meanwhile.
    samples = decay(125e3, 200.0, 2_000_000, 1e6) + 0.01 * random.standard_normal(2_000_000)
    done = threading.Event()
    worker = threading.Thread(target=lambda: (coil.fit_ring_down(samples, sample_rate_hz=1e6), done.set()))
    turns = 0
    worker.start()
    while not done.wait(0.0005):
        turns += 1
    worker.join()
    assert turns > 0


def test_one_deviation_is_that_of_all_points():
    f = np.array([100e3, 125e3])
    z = 9.0 + 2j * np.pi * f * 1e-3
    one = coil.inductance_and_resistance(f, z, std_dev_ohm=0.5)
    each = coil.inductance_and_resistance(f, z, std_dev_ohm=[0.5, 0.5])
    assert one == each


def test_a_capture_in_place_of_its_samples_is_named():
    capture = coilwright.Capture(np.zeros(100, np.float32), 1e6)
    with pytest.raises(ValueError, match="capture.samples"):
        coil.fit_injection(capture, capture, sample_rate_hz=1e6)


def test_each_port_has_its_own_reference():
    f = np.linspace(40e3, 200e3, 61)
    w = 2 * np.pi * f
    l1, l2, k, (r1, r2) = 1e-3, 0.5e-3, 0.05, (50.0, 75.0)
    m = 1j * w * k * np.sqrt(l1 * l2)
    z1, z2 = 8 + 1j * w * l1, 5 + 1j * w * l2
    d = (z1 + r1) * (z2 + r2) - m * m
    across = 2 * np.sqrt(r1 * r2) * m / d
    s11, s22 = ((z1 - r1) * (z2 + r2) - m * m) / d, ((z1 + r1) * (z2 - r2) - m * m) / d
    scattering = np.stack([np.stack([s11, across], -1), np.stack([across, s22], -1)], -2)
    found = coil.fit_coupled_coils(f, scattering, reference_ohm=(r1, r2))
    assert found.secondary_henry.value == pytest.approx(l2, rel=1e-9)
    assert found.coefficient.value == pytest.approx(k, rel=1e-9)


def test_bare_leads_are_an_open_circuit():
    f = np.linspace(50e3, 200e3, 61)
    with pytest.raises(coilwright.FitError) as raised:
        coil.fit_series_ring(f, 1 / (5e-8 + 2j * np.pi * f * 12e-12))
    assert raised.value.reason == "open_circuit"
    assert raised.value.details["capacitance_farad"]["value"] == pytest.approx(12e-12, rel=1e-3)
