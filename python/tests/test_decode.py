"""What a decode gives as arrays, and what the command exports of the same capture."""

import csv
import dataclasses
import importlib.resources
import io
import json
import re
import subprocess
import sys

import jsonschema
import numpy as np
import pytest
import vcdvcd

import coilwright

# The recorder's clock runs 12 ppm fast and the carrier 37 ppm; a bit is 64 carrier cycles.
BIT_SAMPLES = 64.0 / 125_004.6 * 1e6 * (1 + 12e-6)
NAME_LIMIT_CHARACTERS = 20


@pytest.fixture(scope="module")
def decode(sandpiper):
    return coilwright.decode(sandpiper / "healthy.wav")


@pytest.fixture(scope="module")
def sent(sandpiper):
    truth = json.loads((sandpiper / "healthy.json").read_text())
    return truth["keys"][0]["frame"]["bits"]


@pytest.fixture(scope="module")
def exported(sandpiper, tmp_path_factory):
    folder = tmp_path_factory.mktemp("exports")
    wav = folder / "healthy.wav"
    wav.write_bytes((sandpiper / "healthy.wav").read_bytes())
    names = [folder / f"read.{extension}" for extension in ("jsonl", "csv", "vcd", "sigmf-meta")]
    options = [part for name in names for part in ("--export", str(name))]
    command = [sys.executable, "-m", "coilwright._cli", "decode", str(wav), *options]
    subprocess.run(command, check=True, capture_output=True)
    return folder


def test_the_bits_are_those_that_were_sent_over_and_over(decode, sent):
    assert len(decode.stretches) == 2
    for stretch in decode.stretches:
        (key,) = stretch.keys
        text = "".join(map(str, key.bits))
        assert sent in text
        assert re.fullmatch(f"{sent[-40:]}", text[text.index(sent) - 40 : text.index(sent)]) or text.startswith(sent)
        assert key.bits.dtype == np.uint8
        assert key.soft_bits.dtype == np.float32
        np.testing.assert_array_equal(key.bits, key.soft_bits > 0)
        assert key.bit_period_samples == pytest.approx(BIT_SAMPLES, rel=1e-5)
        frame = key.frames[0]
        first = round((frame.span.start - key.first_bit_sample) / key.bit_period_samples)
        assert text[first : first + 64] == frame.bits == sent


def test_views_are_arrays_of_the_shapes_that_are_promised(decode):
    views = decode.best.views
    (key,), read = views.keys, decode.best.keys[0]
    assert views.spectrum.frequency_hz.shape == views.spectrum.level_dbc.shape
    assert views.spectrum.frequency_hz[-1] == pytest.approx(0.5e6)
    assert key.eye.traces.shape == (len(key.eye.bits), len(key.eye.time_bits))
    assert (key.eye.time_bits[0], key.eye.time_bits[-1]) == (-0.5, 1.5)
    assert key.timing.position_samples.shape == key.timing.error_bits.shape
    assert key.constellation.points.dtype == np.complex64
    assert len(key.constellation.half_bits) <= 2 * len(read.bits)
    for array in (views.spectrum.level_dbc, key.eye.traces, key.constellation.points, read.bits):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0


def test_views_show_carrier_depth_and_clock(decode):
    views = decode.best.views
    carrier = views.spectrum.lines[0]
    assert carrier.label == "carrier"
    assert carrier.frequency_hz == pytest.approx(decode.carrier.frequency_hz.value, abs=1.0)
    assert carrier.level_dbc == pytest.approx(0.0, abs=0.2)
    labels = [line.label for line in views.spectrum.lines]
    assert "+1 × bit rate" in labels
    assert "-1 × bit rate" in labels
    key, read = views.keys[0], decode.best.keys[0]
    # The ring of Q 14 follows the key late and smears what it sends: half-bits lose up to 40 % of the depth.
    depth = np.abs(key.constellation.points).mean()
    assert 0.6 < depth / read.depth.value < 1.1
    assert -0.02 < key.timing.mean_bits < 0.15
    assert key.timing.jitter_bits < 0.05


def test_views_are_kept_as_asked(sandpiper):
    def kept(views):
        stretches = coilwright.decode(sandpiper / "healthy.wav", views=views).stretches
        return [stretch.views is not None for stretch in stretches]

    assert kept("all") == [True, True]
    assert kept("none") == [False, False]
    assert sorted(kept("best")) == [False, True]
    with pytest.raises(ValueError, match="'best', 'all' or 'none'"):
        kept("some")


def test_best_is_the_stretch_with_views(decode):
    assert [stretch for stretch in decode.stretches if stretch.views is not None] == [decode.best]


def test_results_cannot_be_changed_and_read_well(decode, sent):
    with pytest.raises(dataclasses.FrozenInstanceError):
        decode.best.modulated = False
    assert repr(decode).startswith("Decode(")
    assert "2A00517C04" in repr(decode)
    assert "array" not in repr(decode.best)
    assert sent in decode._repr_html_()


def test_silence_gives_no_stretch():
    decode = coilwright.decode(coilwright.Capture(np.zeros(200_000), 1e6, name="silence"))
    assert decode.stretches == ()
    assert decode.best is None
    assert "no key" in repr(decode)
    assert "No key was decoded" in decode._repr_html_()


def test_vcd_is_read_back_by_another_program(exported, decode, sent):
    vcd = vcdvcd.VCDVCD(str(exported / "read.vcd"))
    assert vcd.timescale["magnitude"] == 1
    assert vcd.timescale["unit"] == "ns"
    clock = vcd["coilwright.key_0.clock"]
    data = vcd["coilwright.key_0.data"]
    line = vcd["coilwright.key_0.line"]
    rises = [time for time, value in clock.tv if value == "1"]
    bits = "".join(data[time] for time in rises)
    expected = "".join("".join(map(str, stretch.keys[0].bits)) for stretch in decode.stretches)
    assert bits == expected
    assert sent in bits
    # Manchester: the line is high in the first half of a 1 and in the second half of a 0, or the other way round.
    half = round(0.5e3 * BIT_SAMPLES)
    middles = [(line[time + half // 2], line[time + half + half // 2]) for time in rises]
    polarity = {(first == bit, second != bit) for (first, second), bit in zip(middles, bits)}
    assert polarity in ({(True, True)}, {(False, False)})
    assert vcd["coilwright.field"].tv[-1][1] == "0"
    assert {value for _, value in vcd["coilwright.key_1.data"].tv} == {"x"}


def test_csv_and_json_lines_hold_the_same_bits(exported, decode):
    text = (exported / "read.csv").read_bytes().decode()
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    for index, stretch in enumerate(decode.stretches):
        mine = [row for row in rows if row["stretch"] == str(index)]
        key = stretch.keys[0]
        np.testing.assert_array_equal([int(row["bit"]) for row in mine], key.bits)
        np.testing.assert_allclose([float(row["soft_bit"]) for row in mine], key.soft_bits, rtol=1e-6)
        np.testing.assert_allclose([float(row["start_sample"]) for row in mine], key.bit_start_samples, atol=1e-3)
    records = [json.loads(line) for line in (exported / "read.jsonl").read_text().splitlines()]
    stretches = [record for record in records if record["record"] == "stretch"]
    assert [record["keys"][0]["bits"] for record in stretches] == [
        stretch.keys[0].bits.tolist() for stretch in decode.stretches
    ]
    frames = [record for record in records if record["record"] == "frame"]
    assert len(frames) == decode.keys[0].repeats
    assert {frame["frame"]["payload"] for frame in frames} == {"2A00517C04"}


def test_sigmf_annotations_have_the_fields_of_the_specification(exported, sandpiper):
    metadata = json.loads((exported / "read.sigmf-meta").read_text())
    schema = importlib.resources.files("sigmf") / "schema-meta.json"
    jsonschema.validate(metadata, json.loads(schema.read_text()))
    recording = metadata["global"]
    assert recording["core:datatype"] == "ri16_le"
    assert recording["core:dataset"] == "healthy.wav"
    header = metadata["captures"][0]["core:header_bytes"]
    starts = [annotation["core:sample_start"] for annotation in metadata["annotations"]]
    assert starts == sorted(starts)
    for annotation in metadata["annotations"]:
        assert set(annotation) == {f"core:{name}" for name in ("sample_start", "sample_count", "label", "comment", "generator")}
        assert 0 < len(annotation["core:label"]) <= NAME_LIMIT_CHARACTERS
        assert annotation["core:sample_start"] + annotation["core:sample_count"] <= 210_000
    # The bytes that the metadata point at are the samples.
    raw = np.frombuffer((exported / "healthy.wav").read_bytes()[header:], dtype="<i2")
    capture = coilwright.read(sandpiper / "healthy.wav")
    np.testing.assert_array_equal(raw[: len(capture)] / np.float32(32768), capture.samples)


def test_metadata_of_a_wav_file_read_it_back(exported):
    command = [sys.executable, "-m", "coilwright._cli", "decode", "--json", str(exported / "read.sigmf-meta")]
    printed = subprocess.run(command, capture_output=True, text=True, check=True)
    assert json.loads(printed.stdout)["keys"][0]["frame"]["payload"] == "2A00517C04"
