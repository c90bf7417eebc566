"""The condition of a coil by the fits themselves."""

import dataclasses

import numpy as np
import pytest

import coilwright
from coilwright import coil


def decay(resonance_hz, q, seed):
    time = np.arange(400) / 1e6
    wave = np.exp(-time * np.pi * resonance_hz / q) * np.cos(2 * np.pi * resonance_hz * time)
    return wave + 0.005 * np.random.default_rng(seed).standard_normal(400)


def ring_down(resonance_hz, q, seed=1):
    return coil.fit_ring_down(decay(resonance_hz, q, seed), sample_rate_hz=1e6)


def test_every_fit_is_sound_against_itself(fits):
    for kind, fit in fits.items():
        assert coil.judge(fit, fit).condition == "sound", kind


def test_a_fit_says_what_its_numbers_say():
    good, seen = ring_down(125e3, 25.0), ring_down(131e3, 25.4, seed=2)
    verdict = coil.judge(seen, good)
    by_hand = coil.judge(
        coil.coil_numbers(resonance_hz=seen.resonance_hz, q=seen.q),
        coil.coil_numbers(resonance_hz=good.resonance_hz, q=good.q),
        ringing="seen",
    )
    assert verdict == by_hand and verdict.condition == "capacitor_drifted"


def test_loaded_rings_compare_whichever_way_they_were_measured(fits):
    loaded = [fits[kind] for kind in ("ring_down", "sweep", "response", "injection")]
    for measured in loaded:
        for good in loaded:
            assert coil.judge(measured, good).condition == "sound", (measured.kind, good.kind)
    # A circle has both: unloaded as a circle, loaded by the port in its response.
    circle = fits["circle"]
    assert coil.judge(circle, fits["series_ring"]).condition == "sound"
    assert coil.judge(circle.response, coil.coil_numbers(circle.response)).condition == "sound"


@pytest.mark.parametrize("kind", ["ring_down", "sweep", "response", "injection"])
@pytest.mark.parametrize("other", ["circle", "series_ring"])
def test_a_loaded_q_is_not_compared_with_an_unloaded_one(fits, kind, other):
    with pytest.raises(ValueError, match=rf"\({kind}\) has a Q loaded, the standard \({other}\) one unloaded"):
        coil.judge(fits[kind], fits[other])
    with pytest.raises(ValueError, match=rf"\({other}\) has a Q unloaded, the standard \({kind}\) one loaded"):
        coil.judge(fits[other], fits[kind])
    # Without Q the rest compares, as the message says.
    resonance = coil.coil_numbers(resonance_hz=fits[kind].resonance_hz)
    assert coil.judge(resonance, fits[other]).condition != "capacitor_drifted"


def test_stated_definitions_of_numbers_limits_and_designs_count_too(fits):
    loaded = coil.coil_numbers(q=25.0, resonance_hz=125e3, q_definition="loaded")
    with pytest.raises(ValueError, match=r"\(series_ring\) has a Q unloaded, the standard \(numbers\) one loaded"):
        coil.judge(fits["series_ring"], loaded)
    limits = coil.Limits(q=(20.0, 30.0), resonance_hz=(120e3, 130e3), q_definition="unloaded")
    with pytest.raises(ValueError, match=r"the standard \(Limits\) one unloaded"):
        coil.judge(fits["ring_down"], limits)
    assert coil.judge(fits["ring_down"], dataclasses.replace(limits, q_definition="loaded")).condition == "sound"
    # Where nobody said which, the user knows.
    assert coil.judge(fits["ring_down"], dataclasses.replace(limits, q_definition=None)).condition == "sound"
    farad, ohm = 1 / ((2 * np.pi * 125e3) ** 2 * 1.6e-3), 2 * np.pi * 125e3 * 1.6e-3 / 25
    design = coil.Design((1.6e-3, 0.02), (farad, 0.01), (ohm, 0.1), q_definition="unloaded")
    assert coil.judge(fits["series_ring"], design).condition == "sound"
    with pytest.raises(ValueError, match=r"the standard \(Design\) one unloaded"):
        coil.judge(fits["sweep"], design)


def test_a_coil_without_capacitor_is_judged_by_inductance_and_resistance(fits):
    f = np.linspace(50e3, 500e3, 61)
    noise = 1 + 1e-3 * np.random.default_rng(5).standard_normal(61)
    shorted = coil.fit_impedance(f, (54 + 2j * np.pi * f * 0.57e-3) * noise, reference_hz=125e3)
    verdict = coil.judge(shorted, fits["coil"], turns=90.0)
    assert verdict.condition == "turns_shorted"
    assert {finding.number for finding in verdict.findings} == {"inductance", "resistance"}
    assert coil.judge(fits["coil"], coil.Design(inductance_henry=(0.8e-3, 0.02))).condition == "sound"
    # Its Q counts against a limit on Q, which is the user's own.
    below = coil.judge(fits["coil"], coil.Limits(q=(100.0, None)))
    assert [(finding.number, finding.side) for finding in below.findings] == [("q", "below")]


def test_resistances_at_other_frequencies_do_not_compare(fits):
    elsewhere = dataclasses.replace(fits["coil"], reference_hz=60e3)
    with pytest.raises(ValueError, match="measured at 60000 Hz, that of the standard at 125000 Hz"):
        coil.judge(elsewhere, fits["coil"])
    near = dataclasses.replace(fits["coil"], reference_hz=125.5e3)
    assert coil.judge(near, fits["coil"]).condition == "sound"


def test_nothing_in_common_is_refused_by_both_lists(fits):
    with pytest.raises(ValueError, match="the measurement gives inductance_henry, resistance_ohm, the standard q, resonance_hz"):
        coil.judge(fits["coil"], fits["ring_down"])
    # An ohmmeter needs nothing in common.
    open_coil = coil.judge(fits["coil"], fits["ring_down"], ohmmeter=coil.Ohmmeter(None))
    assert open_coil.condition != "sound"


def test_a_fit_takes_further_numbers_by_name(fits):
    numbers = coil.coil_numbers(fits["coil"], direct_ohm=(8.0, 0.1))
    assert numbers.inductance_henry == fits["coil"].inductance_henry and numbers.direct_ohm.value == 8.0
    design = coil.Design((0.8e-3, 0.02), direct_ohm=(8.0, 0.05))
    found = {finding.number for finding in coil.judge(numbers, design).findings}
    assert "direct_resistance" in found
    other = coil.coil_numbers(fits["ring_down"], q=12.0)
    assert other.q.value == 12.0 and other.resonance_hz == fits["ring_down"].resonance_hz


def test_a_check_of_a_capture_is_evidence_and_standard(sandpiper):
    check = coilwright.check(sandpiper / "ring-down.wav")
    for measured in (check, check.ring):
        assert coil.judge(measured, check).condition == "sound"
    driven = coilwright.check(sandpiper / "metal-collar.wav")
    good = coilwright.check(sandpiper / "healthy.wav")
    assert coil.coil_numbers(good).kind == "switching_edges"
    assert coil.judge(driven, good).condition != "sound"
    ring = coil.fit_series_ring(*_ring())
    with pytest.raises(ValueError, match=r"\(switching_edges\) has a Q loaded"):
        coil.judge(good, ring)


def _ring():
    f = np.linspace(105e3, 145e3, 81)
    z = 40 + 1j * (2 * np.pi * f * 0.72e-3 - 1 / (2 * np.pi * f * 2.2e-9))
    return f, z * (1 + 1e-4 * np.random.default_rng(8).standard_normal(81))


def test_a_tapped_coil_that_does_not_ring_says_so_by_itself():
    silence = 1e-3 * np.random.default_rng(4).standard_normal(20_000)
    check = coilwright.check(coilwright.Capture(silence.astype(np.float32), 1e6), signal_kind="ring_down")
    assert check.ring.resonance_hz is None
    verdict = coil.judge(check, coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(28.0, 0.1)))
    assert any(finding.kind == "no_ring" for finding in verdict.findings)


def test_a_decay_within_a_cycle_is_judged_by_its_rough_numbers():
    time = np.arange(10_000) / 2e6
    omega, q = 2 * np.pi * 290e3, 2.2
    decay = 0.6 * np.exp(-omega * time / (2 * q)) * np.cos(omega * np.sqrt(1 - 0.25 / q**2) * time)
    samples = np.concatenate([np.zeros(10_000), decay]) + 1e-4 * np.random.default_rng(6).standard_normal(20_000)
    check = coilwright.check(coilwright.Capture(samples.astype(np.float32), 2e6), signal_kind="ring_down")
    assert check.ring.resonance_hz is None and abs(check.ring.ring_down.died.q.value - q) < 0.3
    numbers = coil.coil_numbers(check)
    assert numbers.q.std_dev >= 0.3 * numbers.q.value
    good = coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(28.0, 0.1), q_definition="loaded")
    verdict = coil.judge(check, good)
    assert verdict.likely[0].condition == "turns_shorted"
    assert {finding.kind for finding in verdict.findings} == {"number"}


def test_an_open_circuit_is_evidence():
    good = coil.coil_numbers(inductance_henry=(1e-3, 1e-6), resistance_ohm=(12.0, 0.1))
    f = np.linspace(100e3, 140e3, 41)
    leads = (700 - 1j / (2 * np.pi * f * 12e-12)) * (1 + 2e-4 * np.sin(2.4 * np.arange(41)))
    with pytest.raises(coilwright.FitError) as refused:
        coil.fit_impedance(f, leads)
    assert refused.value.reason == "open_circuit"
    verdict = coil.judge(coil.coil_numbers(), good, open_circuit=True)
    assert verdict.condition == "open"
    assert [finding.kind for finding in verdict.findings] == ["open_circuit"]


@pytest.mark.parametrize("wrong", ["ring.wav", 125e3, {"q": 20.0}])
def test_what_is_no_measurement_is_refused(wrong):
    with pytest.raises(TypeError, match="is no measurement of a coil: expected a fit"):
        coil.judge(wrong, coil.Limits(q=(10.0, None)))


def test_a_number_that_is_none_is_named(fits):
    sweep = dataclasses.replace(fits["sweep"], q=coilwright.Estimate(25.0, float("nan")))
    with pytest.raises(ValueError, match=r"evidence\.numbers\.q\.std_dev is nan"):
        coil.judge(sweep, fits["sweep"])
