"""Fits of every kind in one table, and tables from files."""

import math

import numpy as np
import pandas
import polars
import pytest

import coilwright
from coilwright import coil

KINDS = ["ring_down", "sweep", "response", "circle", "coil", "series_ring", "injection"]
COMMON = [
    "kind",
    "resonance_hz",
    "resonance_hz_std_dev",
    "resonance_definition",
    "q",
    "q_std_dev",
    "q_definition",
    "inductance_henry",
    "inductance_henry_std_dev",
    "resistance_ohm",
    "resistance_ohm_std_dev",
    "capacitance_farad",
    "capacitance_farad_std_dev",
    "capacitance_definition",
]


def test_every_fit_has_a_kind_of_its_own(fits):
    assert list(fits) == KINDS
    assert {type(fit) for fit in fits.values()} == set(coil.Fit.__subclasses__())


def test_rows_of_every_fit_begin_with_the_same_columns(fits):
    for kind, fit in fits.items():
        row = fit.to_record()
        assert list(row)[: len(COMMON)] == COMMON, kind
        assert row["kind"] == kind
        assert not [name for name in row if name.startswith(("mode_", "response_", "goodness_"))], kind
        assert all(value is None or isinstance(value, (float, str, bool)) for value in row.values()), kind


def test_the_same_column_is_the_same_quantity(fits):
    rows = {row["kind"]: row for row in coil.to_records(fits.values())}
    rings = [kind for kind in KINDS if kind != "coil"]
    for kind in rings:
        row = rows[kind]
        assert abs(row["resonance_hz"] - 125e3) < 5 * row["resonance_hz_std_dev"], kind
        assert abs(row["q"] - 25) < 5 * row["q_std_dev"], kind
    assert {kind: rows[kind]["q_definition"] for kind in KINDS} == {
        "ring_down": "loaded",
        "sweep": "loaded",
        "response": "loaded",
        "circle": "unloaded",
        "coil": "unloaded, at reference_hz",
        "series_ring": "unloaded",
        "injection": "loaded",
    }
    assert {rows[kind]["resonance_definition"] for kind in rings} == {"undamped, loaded", "undamped, unloaded"}
    assert rows["coil"]["resonance_hz"] is None and rows["coil"]["resonance_definition"] is None
    assert rows["coil"]["q"] == fits["coil"].q.value and rows["coil"]["reference_hz"] == 125e3
    # The port's 50 ohm come on top of the ring's own.
    own_ohm = 2 * np.pi * 125e3 * 1.6e-3 / 25
    assert rows["circle"]["loaded_q"] == pytest.approx(25 * own_ohm / (own_ohm + 50), rel=1e-2)
    for kind in ("ring_down", "response", "circle", "injection"):
        damped = 125e3 * math.sqrt(1 - 1 / (2 * (rows[kind]["loaded_q"] or rows[kind]["q"])) ** 2)
        assert rows[kind]["damped_hz"] == pytest.approx(damped, rel=1e-3), kind
    for kind in ("ring_down", *KINDS[1:]):
        assert 0.99 < rows[kind]["residual_explained"] <= 1, kind
    assert rows["series_ring"]["capacitance_definition"] == "in series"
    assert rows["response"]["resonant_real"] == fits["response"].resonant.real


def test_a_capacitance_across_a_coil_is_told_from_one_in_series():
    f = np.linspace(50e3, 2e6, 100)
    series = 9 + 2j * np.pi * f * 0.8e-3
    fit = coil.fit_impedance(f, series / (1 + 2j * np.pi * f * 22e-12 * series), relative_std_dev=1e-3)
    row = fit.to_record()
    assert row["capacitance_farad"] == pytest.approx(22e-12, rel=1e-3)
    assert row["capacitance_definition"] == "across the coil"
    assert row["resonance_definition"] == "undamped, unloaded"


def test_a_mixed_list_is_one_pandas_table(fits):
    table = pandas.DataFrame(coil.to_records(fits.values()))
    assert list(table.columns[: len(COMMON)]) == COMMON
    numbers = [name for name in COMMON if not name.endswith(("kind", "definition"))]
    assert (table[numbers].dtypes == "float64").all()
    loaded = table[table["q_definition"] == "loaded"]
    assert list(loaded["kind"]) == ["ring_down", "sweep", "response", "injection"]
    assert table.set_index("kind").loc["coil", "inductance_henry"] == fits["coil"].inductance_henry.value
    assert table["inductance_henry"].notna().sum() == 2


def test_a_mixed_list_is_one_polars_table_however_late_a_column_begins(fits):
    mixed = [fits["sweep"]] * 150 + list(fits.values())
    table = polars.DataFrame(coil.to_records(mixed), infer_schema_length=None)
    assert table.columns[: len(COMMON)] == COMMON
    for name in COMMON:
        text = name.endswith(("kind", "definition"))
        assert table.schema[name] == (polars.String if text else polars.Float64), name
    assert table["inductance_henry"].drop_nulls().to_list() == [
        fits["coil"].inductance_henry.value,
        fits["series_ring"].inductance_henry.value,
    ]
    by_kind = table.group_by("kind").len().sort("len", descending=True)
    assert by_kind.row(0) == ("sweep", 151)


def test_what_a_ring_down_warns_of_stands_in_its_row():
    time = np.arange(60) / 1e6
    samples = np.exp(-time * np.pi * 125e3 / 25) * np.cos(2 * np.pi * 125e3 * time)
    noise = 1e-3 * np.random.default_rng(3).standard_normal(60)
    fit = coil.fit_ring_down(samples + noise, sample_rate_hz=1e6, modes="one")
    assert [warning.kind for warning in fit.warnings] == ["short_record"]
    assert fit.to_record()["warnings"] == "short_record"


def test_numbers_of_a_check_share_the_table(fits, sandpiper):
    check = coilwright.check(sandpiper / "ring-down.wav")
    rows = coil.to_records({"bench": fits["ring_down"], "boat": coil.coil_numbers(check)})
    assert [row["label"] for row in rows] == ["bench", "boat"]
    boat = rows[1]
    assert (boat["kind"], boat["q_definition"]) == ("ring_down", "loaded")
    assert boat["resonance_hz"] == check.ring.resonance_hz.value


def test_a_sweep_table_is_read_and_fitted(tmp_path):
    f = np.linspace(110e3, 140e3, 61)
    level_db = -20 * np.log10(np.abs(1 + 25j * (f / 125e3 - 125e3 / f)))
    path = tmp_path / "sweep.csv"
    lines = [f"{hertz / 1e3:.3f},{level:.6f}" for hertz, level in zip(f, level_db)]
    path.write_text("\n".join(["Freq (kHz),Level (dBV)", *lines, ""]))
    table = coil.read_sweep_table(path)
    assert table.file == str(path) and table.warnings == ()
    np.testing.assert_allclose(table.frequencies_hz, f)
    np.testing.assert_allclose(table.amplitudes, 10 ** (level_db / 20), rtol=1e-6)
    fit = coil.fit_amplitude_sweep(table.frequencies_hz, table.amplitudes)
    assert fit.q.value == pytest.approx(25, rel=1e-3)
    assert repr(table).startswith("SweepTable(file=") and "amplitudes" not in repr(table)
    with pytest.raises(ValueError, match="read-only"):
        table.amplitudes[0] = 1.0


def test_a_sweep_table_with_phases_is_a_complex_response(tmp_path):
    path = tmp_path / "sweep.csv"
    f = np.linspace(115e3, 135e3, 81)
    value = 0.1j + 1 / (1 + 20j * (f / 125e3 - 125e3 / f)) + 1e-4 * np.exp(1j * np.arange(81.0) ** 2)
    rows = zip(f, 20 * np.log10(np.abs(value)), np.degrees(np.angle(value)))
    path.write_text("Freq (Hz),Gain (dB),Phase (deg)\n" + "".join(f"{a},{b},{c}\n" for a, b, c in rows))
    table = coil.read_sweep_table(path)
    assert table.response is not None and not table.response.flags.writeable
    np.testing.assert_allclose(table.response, value, rtol=1e-12)
    np.testing.assert_allclose(table.amplitudes, np.abs(value), rtol=1e-12)
    fit = coil.fit_response(table.frequencies_hz, table.response, background="slope_if_seen")
    assert fit.background == "constant"
    assert abs(fit.resonance_hz.value - 125e3) < 4 * fit.resonance_hz.std_dev
    alone = tmp_path / "alone.csv"
    alone.write_text("Freq (Hz),Gain (dB)\n1e5,-3\n2e5,0\n")
    assert coil.read_sweep_table(alone).response is None


def test_a_sweep_table_that_is_doubtful_says_so(tmp_path):
    path = tmp_path / "sweep.csv"
    path.write_text("Freq (Hz),Gain (dB)\n126e3,-3\n125e3,0\n124e3,-3\n")
    table = coil.read_sweep_table(path)
    assert len(table.frequencies_hz) == 3 and "from high to low" in table.warnings[0]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Freq (Hz),Remark\n1e5,2\n", "amplitude"),
        ("Freq (Hz),Level (V)\n1e5,-2\n2e5,1\n", "line 2"),
        (None, "missing.csv"),
    ],
)
def test_a_broken_sweep_table_is_refused_with_its_place(tmp_path, text, words):
    path = tmp_path / "missing.csv"
    if text is not None:
        path.write_text(text)
    with pytest.raises(coilwright.ReadError, match=words):
        coil.read_sweep_table(path)
