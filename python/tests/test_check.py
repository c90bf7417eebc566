"""Verdicts and keys, and that every output holds the same."""

import dataclasses
import json
import subprocess
import sys
import typing

import jsonschema
import numpy as np
import pytest

import coilwright
from coilwright import _result

NAMES = ["healthy", "open-ring", "metal-collar", "silent-key"]
# The recorder's clock runs 12 ppm fast, which moves what it measures by 1.5 Hz of 125 kHz.
CARRIER_TOLERANCE_HZ = 0.5


@pytest.fixture(scope="module")
def checks(sandpiper):
    return {name: coilwright.check(sandpiper / f"{name}.wav") for name in NAMES}


@pytest.fixture(scope="module")
def truths(sandpiper):
    return {name: json.loads((sandpiper / f"{name}.json").read_text()) for name in NAMES}


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("healthy", "none"),
        ("open-ring", "no_field"),
        ("metal-collar", "metal_near"),
        ("silent-key", "key_silent"),
    ],
)
def test_the_verdict_names_the_fault(checks, name, fault):
    verdict = checks[name].verdict
    assert verdict.fault == fault
    others = sum(other.probability for other in verdict.others)
    assert verdict.probability + others <= 1.0 + 1e-9


@pytest.mark.parametrize("name", ["healthy", "metal-collar", "silent-key"])
def test_carrier_and_ring_are_those_of_the_circuit(checks, truths, name):
    check, truth = checks[name], truths[name]
    assert abs(check.carrier.frequency_hz.value - truth["carrier_apparent_hz"]) < CARRIER_TOLERANCE_HZ
    pole = truth["ring"]["with_keys"]
    resonance, q = check.ring.resonance_hz, check.ring.q
    assert resonance.value == pytest.approx(pole["resonance_hz"], rel=0.02)
    assert q.value == pytest.approx(pole["q"], rel=0.15)


def test_the_key_is_that_of_the_circuit(checks, truths):
    (key,) = checks["healthy"].keys
    frame = truths["healthy"]["keys"][0]["frame"]
    assert (key.frame.kind, key.frame.bits) == (frame["kind"], frame["bits"])
    assert (key.modulation, key.line_code, key.clocks_per_bit) == ("ask", "manchester", 64)
    assert all(check.holds for check in key.frame.checks)
    assert checks["silent-key"].keys == ()


def test_a_capture_in_memory_gives_the_same_as_its_file(checks, sandpiper):
    capture = coilwright.read(sandpiper / "healthy.wav")
    assert coilwright.check(capture) == checks["healthy"]
    assert coilwright.decode(capture).keys == checks["healthy"].keys


def test_python_and_the_command_hold_the_same(checks, sandpiper):
    for name in NAMES:
        command = [sys.executable, "-m", "coilwright._cli", "check", "--json", str(sandpiper / f"{name}.wav")]
        printed = subprocess.run(command, capture_output=True, text=True, check=False)
        assert checks[name].to_dict() == json.loads(printed.stdout)
        assert printed.returncode == (0 if checks[name].verdict.fault == "none" else 1)


def test_against_a_good_capture(checks, sandpiper):
    good = coilwright.read(sandpiper / "healthy.wav")
    check = coilwright.check(sandpiper / "metal-collar.wav", against=good)
    ratio = checks["metal-collar"].ring.resonance_hz.value / checks["healthy"].ring.resonance_hz.value
    assert check.against.resonance_ratio.value == pytest.approx(ratio)
    assert checks["metal-collar"].against is None


def test_results_cannot_be_changed_and_read_well(checks):
    check = checks["healthy"]
    with pytest.raises(dataclasses.FrozenInstanceError):
        check.verdict.fault = "ring_open"
    assert repr(check).startswith("Check(")
    assert "none with probability" in repr(check)
    page = check._repr_html_()
    assert check.verdict.sentence in page
    assert "2A" in check.keys[0]._repr_html_()


def test_html_is_escaped():
    estimate = coilwright.Estimate(1.0, 0.1)
    frame = coilwright.FrameFound("<b>", "01", "&", (), 0)
    key = coilwright.KeyFound("ask", (), "manchester", 64, estimate, 10.0, 0.5, frame, 1, ())
    assert "<b>" not in key._repr_html_()
    assert "&lt;b&gt; &amp;" in key._repr_html_()


def test_silence_is_a_result_and_no_error():
    check = coilwright.check(coilwright.Capture(np.zeros(200_000), 1e6, name="silence"))
    assert check.carrier.frequency_hz is None
    assert check.keys == ()
    assert check.verdict.fault != "none"


def test_fields_and_schema_agree(checks, repository):
    schema = json.loads((repository / "docs/schema/check-1.schema.json").read_text())
    for check in checks.values():
        jsonschema.validate(check.to_dict(), schema)
    assert list(typing.get_args(_result.Fault)) == schema["$defs"]["fault"]["enum"]
    fields = {field.name for field in dataclasses.fields(coilwright.Check)} - {"trace"}
    assert fields == set(schema["properties"])
