"""Models, tolerance, design, pickup and condition: SciPy as the second witness, published tables by name."""

import csv
import doctest
import importlib
import math

import numpy as np
import pytest
from scipy import integrate, special

import coilwright
from coilwright import coil

MU0 = 4e-7 * math.pi * (1 + 0.55e-9)  # CODATA 2018: 1.256 637 062 12e-6, from memory.
WINDING = coil.LayerWinding(
    former_radius_m=15e-3, turns=100, turns_per_layer=20, pitch_m=0.3e-3, wire_diameter_m=0.25e-3
)
LISTED = "testdata/published/coil/"


def rows(path):
    with open(path, encoding="utf-8") as file:
        return [row for row in csv.reader(file)][1:]


def maxwell(a, b, d):
    """Mutual inductance of coaxial circles by SciPy's elliptic integrals (Maxwell 1873, art. 701)."""
    m = 4 * a * b / ((a + b) ** 2 + d**2)
    k = np.sqrt(m)
    return MU0 * np.sqrt(a * b) * ((2 / k - k) * special.ellipk(m) - 2 / k * special.ellipe(m))


def test_loop_and_rectangle_follow_their_closed_forms():
    a, r = 0.25, 0.5e-3
    loop = coil.inductance(coil.CircularLoop(radius_m=a, wire_diameter_m=2 * r))
    assert loop.value == pytest.approx(MU0 * a * (math.log(8 * a / r) - 1.75), rel=1e-8)
    skin = coil.inductance(coil.CircularLoop(radius_m=a, wire_diameter_m=2 * r, current="surface"))
    assert skin.value == pytest.approx(MU0 * a * (math.log(8 * a / r) - 2), rel=1e-8)
    assert "Kirchhoff" in loop.formula.name and loop.formula.reference
    better = coil.inductance(coil.CircularLoop(radius_m=a, wire_diameter_m=2 * r), formula="rayleigh_niven")
    assert abs(better.value - loop.value) <= loop.absolute_accuracy
    # 0.2 m by 0.1 m of 1 mm wire: Grover 1946, eq. 58 (from memory), worked in the library's documentation.
    card = coil.inductance(coil.RectangularLoop(width_m=0.2, height_m=0.1, wire_diameter_m=1e-3))
    assert card.value == pytest.approx(0.608574e-6, abs=1e-12)


def test_solenoids_follow_nagaoka_and_wheeler(repository):
    for ratio, exact, *_ in rows(repository / LISTED / "nagaoka.csv"):
        if not 0.05 <= float(ratio) <= 20:
            continue
        solenoid = coil.Solenoid(diameter_m=0.05, length_m=0.05 / float(ratio), turns=80)
        sheet = MU0 * math.pi * 0.025**2 * 80**2 / solenoid.length_m * float(exact)
        assert coil.inductance(solenoid).value == pytest.approx(sheet, rel=2e-8)
        wheeler = coil.inductance(solenoid, formula="wheeler_1982")
        assert abs(wheeler.value - sheet) <= wheeler.absolute_accuracy


def test_a_winding_is_the_sum_over_its_turns():
    radius = WINDING.former_radius_m + WINDING.pitch_m * (0.5 + np.arange(5))
    a = np.repeat(radius, 20)
    z = np.tile(np.arange(20) * WINDING.pitch_m, 5)
    i, j = np.nonzero(~np.eye(100, dtype=bool))
    mutual = maxwell(a[i], a[j], z[i] - z[j]).sum()
    own = (MU0 * a * (np.log(8 * a / (WINDING.wire_diameter_m / 2)) - 1.75)).sum()
    assert coil.inductance(WINDING).value == pytest.approx(mutual + own, rel=1e-4)
    section = coil.inductance(WINDING, formula="section")
    assert section.value == pytest.approx(mutual + own, rel=section.relative_accuracy)
    sizes = WINDING.sizes
    assert sizes.layers == 5
    assert sizes.wire_length_m == pytest.approx(2 * np.pi * a.sum(), rel=1e-3)
    assert sizes.turns_area_m2 == pytest.approx(np.pi * (a**2).sum(), rel=1e-9)


def test_spirals_agree_with_wheelers_and_maxwells_table(repository):
    for kind, a, b, c, exact, *_ in rows(repository / LISTED / "multilayer_spiral.csv"):
        # The table computed flat spirals with a length of 0.1 µm (its README).
        shape = coil.SectionCoil(float(a), max(float(b), 1e-7), float(c), turns=1.0)
        assert coil.inductance(shape).value == pytest.approx(float(exact), rel=1e-6), kind
    spiral = coil.FlatSpiral(inner_diameter_m=20e-3, outer_diameter_m=40e-3, turns=30)
    sheet = coil.SectionCoil(mean_radius_m=15e-3, axial_length_m=0.0, radial_depth_m=10e-3, turns=30)
    found = coil.inductance(spiral)
    assert abs(found.value - coil.inductance(sheet).value) <= found.absolute_accuracy


def test_skin_effect_follows_bessel():
    rho, radius, f = coil.COPPER.resistivity_20c_ohm_m, 0.5e-3, 125e3
    k = (1 - 1j) * np.sqrt(np.pi * f * MU0 / rho)
    ratio = (k * radius / 2 * special.jv(0, k * radius) / special.jv(1, k * radius)).real
    skin = coil.skin_effect(2 * radius, frequency_hz=f)
    assert skin.resistance_ratio == pytest.approx(ratio, rel=1e-9)
    assert skin.skin_depth_m == pytest.approx(np.sqrt(rho / (np.pi * f * MU0)), rel=1e-12)


def test_resistance_of_a_winding(repository):
    loss = coil.resistance(WINDING, frequency_hz=125e3)
    area = math.pi * 0.125e-3**2
    direct = coil.COPPER.resistivity_20c_ohm_m * WINDING.sizes.wire_length_m / area
    assert loss.direct_ohm == pytest.approx(direct, rel=1e-9)
    assert loss.alternating_ohm.value == pytest.approx(direct + loss.skin_ohm + loss.proximity_ohm, rel=1e-9)
    skin = coil.skin_effect(0.25e-3, frequency_hz=125e3)
    assert loss.skin_ohm == pytest.approx(direct * (skin.resistance_ratio - 1), rel=1e-9)
    litz = coil.resistance(WINDING, frequency_hz=125e3, wire=coil.LitzWire(20, 0.04e-3, 0.25e-3))
    assert litz.proximity_ohm < loss.proximity_ohm
    warm = coil.resistance(WINDING, frequency_hz=1.0, temperature_c=80.0)
    assert warm.direct_ohm / loss.direct_ohm == pytest.approx(1 + 0.00393 * 60, rel=1e-12)
    for gauge, _, diameter_mm, *_ in rows(repository / LISTED / "awg_copper.csv"):
        # ASTM B258's formula, from memory; as printed.
        assert coil.awg_diameter_m(int(gauge)) * 1e3 == pytest.approx(float(diameter_mm), abs=0.51e-5)


def test_self_capacitance():
    # Medhurst 1947: 0.46 pF a centimetre of diameter at l/D 1 (second hand).
    single = coil.self_capacitance(coil.Solenoid(diameter_m=0.05, length_m=0.05, turns=80))
    assert single.value == pytest.approx(2.3e-12, rel=1e-9)
    layered = coil.self_capacitance(WINDING)
    same = coil.self_capacitance(WINDING, order="same_side")
    # Equating energies: 4/3 there and back, 1 from the same side.
    assert layered.value / same.value == pytest.approx(4 / 3, rel=1e-9)
    one_layer = coil.LayerWinding(25e-3, 80, 80, 0.5e-3, 0.4e-3)
    assert coil.self_capacitance(one_layer).value == coil.self_capacitance(one_layer.solenoid).value


def test_coaxial_and_displaced_loops(repository):
    for a, b, d in ((0.25, 0.2, 0.1), (17.5e-3, 1.5e-3, 12e-3)):
        found = coil.mutual_of_circles(a, b, placement=coil.Placement(axial_m=d))
        assert found.value == pytest.approx(maxwell(a, b, d), rel=1e-8)
    # Neumann's double integral, parallel axes.
    a, b, d, p = 0.05, 0.03, 0.04, 0.02

    def neumann(s, t):
        dx, dy = a * np.cos(s) - b * np.cos(t) - p, a * np.sin(s) - b * np.sin(t)
        return a * b * np.cos(s - t) / np.sqrt(dx**2 + dy**2 + d**2)

    double = MU0 / (4 * np.pi) * integrate.dblquad(neumann, 0, 2 * np.pi, 0, 2 * np.pi, epsabs=1e-12)[0]
    found = coil.mutual_of_circles(a, b, placement=coil.Placement(axial_m=d, lateral_m=p))
    assert found.value == pytest.approx(double, rel=1e-8)
    # magpylib 6.3.0, testdata/published/coil/README.md; its magnetic constant is 1.3e-10 lower.
    for row in rows(repository / LISTED / "magpylib_circles.csv")[::10]:
        first, second, axial, lateral, tilt, direction, mutual = map(float, row)
        place = coil.Placement(axial, lateral, tilt, direction)
        aligned = abs(coil.mutual_of_circles(first, second, placement=coil.Placement(axial, lateral)).value)
        assert coil.mutual_of_circles(first, second, placement=place).value == pytest.approx(mutual, abs=1e-6 * aligned)


def test_coupling_of_coils_and_metal_below():
    key = coil.SectionCoil(mean_radius_m=1.5e-3, axial_length_m=8e-3, radial_depth_m=0.6e-3, turns=300)
    pair = coil.coupling(WINDING, key, placement=coil.Placement(axial_m=12e-3))
    own = [coil.inductance(c).value for c in (WINDING.section, key)]
    assert pair.coefficient.value == pytest.approx(pair.mutual_henry.value / math.sqrt(own[0] * own[1]), rel=1e-12)
    aside = coil.coupling(WINDING, key, placement=coil.Placement(axial_m=12e-3, tilt_rad=math.pi / 3))
    assert 0 < aside.coefficient.value < pair.coefficient.value
    near = coil.metal_below(WINDING, gap_m=1e-3, resistivity_ohm_m=2.8e-8, frequency_hz=125e3)
    assert near.inductance_henry.value < 0 < near.resistance_ohm.value


def test_antenna_circuit_follows_circuit_theory():
    farad = coil.tuning_farad(1.62e-3, resonance_hz=125e3)
    assert farad == pytest.approx(1 / ((2 * math.pi * 125e3) ** 2 * 1.62e-3), rel=1e-12)
    state = coil.driven_ring(
        inductance_henry=1.62e-3,
        coil_ohm=40.0,
        capacitance_farad=farad,
        drive_peak_volt=5.0,
        carrier_hz=125e3,
        driver_ohm=10.0,
    )
    assert state.coil_peak_ampere == pytest.approx(5.0 / 50.0, rel=1e-9)
    assert state.capacitor_peak_volt == pytest.approx(0.1 / (2 * math.pi * 125e3 * farad), rel=1e-9)
    assert state.loaded_q == pytest.approx(2 * math.pi * 125e3 * 1.62e-3 / 50.0, rel=1e-9)
    field = coil.axial_field_tesla(0.1, ampere_turns=10.0, distance_m=0.1)
    assert field == pytest.approx(MU0 * 10 * 0.01 / (2 * 0.02**1.5), rel=1e-9)
    assert coil.energising_range_m(0.1, ampere_turns=10.0, needed_tesla=field) == pytest.approx(0.1, rel=1e-6)
    volt = coil.key_volt(turns=300, area_m2=7e-6, q=30, field_tesla=1e-6, frequency_hz=125e3)
    assert volt == pytest.approx(2 * math.pi * 125e3 * 300 * 7e-6 * 30 * 1e-6, rel=1e-12)
    fit = coil.bit_rate_fit(resonance_hz=125e3, q=20.0, bits_per_second=2000.0)
    assert fit.bandwidth_hz == pytest.approx(6250.0) and fit.time_constant_s == pytest.approx(20 / (math.pi * 125e3))
    heard = coil.pickup_at_input(
        turns_area_m2=0.01,
        inductance_henry=1e-4,
        resistance_ohm=5.0,
        capacitance_farad=120e-12,
        input_ohm=1e6,
        frequency_hz=125e3,
    )
    w = 2 * math.pi * 125e3
    load = 1 / (1e-6 + 1j * w * 120e-12)
    assert heard.gain == pytest.approx(abs(load / (load + 5 + 1j * w * 1e-4)), rel=1e-9)


def test_tolerance_by_three_ways():
    parts = [coil.Part("L", 1.62e-3, 0.02), coil.Part("C", 1e-9, 0.05)]

    def resonance(henry, farad):
        return 1 / (2 * math.pi * math.sqrt(henry * farad))

    spread = coil.tolerance(resonance, parts, trials=20_000, seed=7)
    nominal = resonance(1.62e-3, 1e-9)
    assert spread.nominal == pytest.approx(nominal, rel=1e-12)
    # Even spreads: σ = reach/√3, halved by the square root of f₀.
    expected = nominal * 0.5 * math.hypot(0.02, 0.05) / math.sqrt(3)
    assert spread.first_order_std_dev == pytest.approx(expected, rel=1e-3)
    # The deviation of 20 000 even draws scatters by 0.3 %, second order adds 0.1 %; five of those.
    assert spread.std_dev == pytest.approx(expected, rel=0.02)
    assert spread.worst_case == pytest.approx((resonance(1.62e-3 * 1.02, 1.05e-9), resonance(1.62e-3 * 0.98, 0.95e-9)))
    assert spread.parts[0].name == "C" and spread.parts[0].variance_share == pytest.approx(25 / 29, rel=1e-2)
    assert spread.trials.shape == (20_000,) and (np.diff(spread.trials) >= 0).all()
    assert coil.tolerance(resonance, parts, trials=20_000, seed=7).trials[0] == spread.trials[0]
    with pytest.raises(ZeroDivisionError):
        coil.tolerance(lambda l, c: 1 / 0, parts)
    with pytest.raises(coilwright.ModelError, match="result with these parts"):
        coil.tolerance(lambda l, c: math.nan, parts)


def test_design_lists_what_meets_the_aim():
    shelf = [coil.ShelfWire.enamelled(d) for d in (0.12e-3, 0.16e-3, 0.2e-3, 0.25e-3)]
    key = coil.SectionCoil(mean_radius_m=1.5e-3, axial_length_m=8e-3, radial_depth_m=0.6e-3, turns=300)
    room = {"former_radius_m": 16e-3, "most_radius_m": 20e-3, "most_length_m": 8e-3}
    found = coil.design(
        shelf,
        **room,
        inductance_henry=700e-6,
        q=(15.0, None),
        partner=key,
        placement=coil.Placement(axial_m=12e-3),
        least_coupling=1e-3,
    )
    assert found and found[0].on_front
    scores = [(w.coupling, w.q, -w.metal_m3) for w in found]
    for winding, score in zip(found, scores):
        beaten = any(all(a >= b for a, b in zip(o, score)) and o != score for o in scores)
        assert winding.on_front == (not beaten)
        assert (
            abs(winding.inductance_henry.value / 700e-6 - 1) <= 0.03 and winding.q >= 15.0 and winding.coupling >= 1e-3
        )
        assert winding.wire in shelf and winding.outer_radius_m <= 20e-3
    again = coil.LayerWinding(
        16e-3,
        found[0].turns,
        found[0].turns_per_layer,
        found[0].wire.insulated_diameter_m,
        found[0].wire.wire.diameter_m,
    )
    assert coil.inductance(again).value == pytest.approx(found[0].inductance_henry.value, rel=5e-3)
    assert len(found.to_records()) == len(found) and "<th>coupling</th>" in found._repr_html_()
    with pytest.raises(coilwright.ModelError, match="none of") as raised:
        coil.design(shelf, **room, inductance_henry=700e-6, q=(500.0, None))
    assert raised.value.reason == "no_winding" and raised.value.details["nearest"]["turns"] > 0
    with pytest.raises(ValueError, match="belong together"):
        coil.design(shelf, **room, inductance_henry=700e-6, partner=key)


def test_pickup_plan_keeps_its_limits_and_warns():
    plan = coil.plan_pickup(coil.SolidWire(0.2e-3), former_radius_m=10e-3, former_length_m=5e-3, wire_length_m=10.0)
    assert plan.listener.resonance_hz >= 500e3 and plan.expected_peak_volt <= 5.0
    assert any("airbag" in text for text in plan.warnings) and any("pacemaker" in text for text in plan.warnings)
    assert {caution["kind"] for caution in plan.cautions} >= {"driven_ring", "implants"}
    # The input's resistance in parallel: ω² = (1 + R/R_in)/LC.
    w = math.sqrt((1 + plan.resistance_ohm.value / 1e6) / (plan.inductance_henry.value * plan.capacitance_farad))
    assert plan.listener.resonance_hz == pytest.approx(w / (2 * math.pi), rel=1e-9)


def test_condition_of_a_coil_against_three_standards():
    good = coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(28.0, 0.1))
    drifted = coil.judge(coil.coil_numbers(resonance_hz=(131e3, 20.0), q=(28.4, 0.1)), good)
    assert drifted.condition == "capacitor_drifted"
    # f₀ ∝ 1/√C.
    assert within_three(drifted.likely[0].size, (125 / 131) ** 2 - 1)
    assert coil.judge(coil.coil_numbers(resonance_hz=(125.1e3, 20.0), q=(27.5, 0.1)), good).condition == "sound"
    shorted = coil.judge(coil.coil_numbers(resonance_hz=(148e3, 20.0), q=(3.9, 0.1)), good, turns=100.0)
    assert shorted.condition == "turns_shorted" and "turn" in shorted.likely[0].size_text
    assert sum(likely.probability for likely in shorted.likely) == pytest.approx(1.0)
    assert repr(shorted).startswith("CoilVerdict(turns_shorted with probability 0.")
    assert "<td>turns_shorted</td>" in shorted._repr_html_() and "<td>open</td>" not in shorted._repr_html_()
    assert shorted.findings[0].side == "above" and shorted.findings[0].number == "resonance"
    design = coil.Design(inductance_henry=(1.62e-3, 0.02), capacitance_farad=(1e-9, 0.01), resistance_ohm=(45.0, 0.1))
    assert (
        coil.judge(coil.coil_numbers(inductance_henry=(1.63e-3, 5e-6), resistance_ohm=(45.0, 0.5)), design).condition
        == "sound"
    )
    limits = coil.Limits(resonance_hz=(120e3, 130e3), q=(15.0, None))
    assert coil.judge(coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(20.0, 0.1)), limits).condition == "sound"
    assert coil.judge(coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(14.0, 0.1)), limits).condition != "sound"
    most = coil.Limits(resonance_hz=(120e3, 130e3), q=(None, 15.0))
    assert coil.judge(coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(14.0, 0.1)), most).condition == "sound"
    assert coil.judge(coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(20.0, 0.1)), most).condition != "sound"
    silent = coil.judge(coil.coil_numbers(), good, ohmmeter=coil.Ohmmeter(None), ringing="none_seen")
    assert silent.condition == "open"


def within_three(estimate, truth):
    return abs(estimate.value - truth) < 3 * estimate.std_dev


@pytest.mark.parametrize(
    ("call", "error", "words"),
    [
        (
            lambda: coil.inductance(coil.CircularLoop(-1.0, 1e-3)),
            coilwright.ModelError,
            "a positive finite number is needed",
        ),
        (
            lambda: coil.inductance(coil.CircularLoop(math.nan, 1e-3)),
            ValueError,
            "radius_m is nan, a finite number is needed",
        ),
        (
            lambda: coil.inductance(WINDING, formula="guess"),
            ValueError,
            "formula 'guess' for a LayerWinding: expected None or 'section'",
        ),
        (lambda: coil.inductance("loop"), TypeError, "shape is a str, expected one of CircularLoop"),
        (
            lambda: coil.inductance(coil.LayerWinding(1e-2, 10.5, 5, 1e-3, 1e-3)),
            ValueError,
            "invalid type: floating point",
        ),
        (lambda: coil.judge(coil.coil_numbers(q=-3.0), coil.coil_numbers(q=20.0)), coilwright.FitError, "positive"),
        (lambda: coil.tolerance(lambda: 0.0, []), coilwright.ModelError, "parts is 0"),
        (
            lambda: coil.mode_bounds(resonance_hz=1e5, q=20, amplitude=1, noise_rms=1, sample_rate_hz=1e6, samples=1),
            ValueError,
            "samples is 1",
        ),
    ],
)
def test_what_makes_no_sense_is_refused(call, error, words):
    with pytest.raises(error, match=words):
        call()


@pytest.mark.parametrize("module", ["_base", "_time", "_models", "_planning", "__init__"])
def test_examples_run(module):
    path = coil if module == "__init__" else importlib.import_module(f"coilwright.coil.{module}")
    result = doctest.testmod(path)
    assert result.attempted > 0 and result.failed == 0


def test_every_public_name_is_documented():
    for name in coil.__all__:
        assert getattr(coil, name).__doc__ or name in ("COPPER", "ALUMINIUM"), name
