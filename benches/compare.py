#!/usr/bin/env python3
"""Times ``coilwright`` beside a NumPy and SciPy pipeline on one and the same capture, in one run and on one core.

    cargo build --release -p coilwright-cli
    OPENBLAS_NUM_THREADS=1 python benches/compare.py

Needs Linux, NumPy and SciPy. A capture of a key is made first: 64-bit read-only frame, Manchester, RF/64 on 125 kHz,
16-bit WAV. Both programs must read the same key from it. Runs alternate, so that a busy machine slows both; the least
of each column counts. Neither the start of the interpreter nor its imports are counted in ``chain``.

The pipeline is what the two libraries do fast: the WAV is mapped, not read; mixing, filtering and decimating are one
matrix product in single precision, block by block; all else runs at the low rate.
"""

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from scipy.io import wavfile

SAMPLE_RATE_HZ = 1_000_000
CARRIER_HZ = 125_000.0
CLOCKS_PER_BIT = 64
DEPTH = 0.02
CARRIER_SNR_DB = 45.0
DECIMATION = 16  # gives 32 values a bit
SPANS = 6  # filter length in decimated samples
BLOCK_ROWS = 8192
RATES = (64, 40, 32, 16)
PAYLOAD = "127D3B904A"


# The capture ---------------------------------------------------------------------------------------------------------


def frame_bits(payload):
    """64 bits: nine ones, ten rows of four bits with even parity, four column parities, a zero."""
    rows = np.array([[int(digit, 16) >> shift & 1 for shift in (3, 2, 1, 0)] for digit in payload])
    with_parity = np.column_stack([rows, rows.sum(axis=1) % 2])
    return np.concatenate([np.ones(9, int), with_parity.ravel(), rows.sum(axis=0) % 2, [0]])


def write_capture(path, seconds):
    """Writes the capture in pieces, so that an hour would do as well."""
    random = np.random.default_rng(20_251_125)
    bits = 2.0 * frame_bits(PAYLOAD) - 1.0
    half_bits = np.column_stack([bits, -bits]).ravel().astype(np.float32)
    amplitude = 0.5
    noise = amplitude / np.sqrt(2.0) * 10.0 ** (-CARRIER_SNR_DB / 20.0)
    total = int(seconds * SAMPLE_RATE_HZ)
    samples = np.lib.format.open_memmap(path.with_suffix(".npy"), "w+", np.int16, (total,))
    for start in range(0, total, 1 << 20):
        n = np.arange(start, min(total, start + (1 << 20)))
        cycles = n * (CARRIER_HZ / SAMPLE_RATE_HZ)
        level = half_bits[(cycles * 2.0 / CLOCKS_PER_BIT + 0.3).astype(int) % half_bits.size]
        wave = amplitude * (1.0 + DEPTH * level) * np.cos(2.0 * np.pi * (cycles % 1.0) + 0.4)
        wave += noise * random.standard_normal(n.size)
        samples[n[0] : n[-1] + 1] = np.round(32767.0 * wave)
    wavfile.write(path, SAMPLE_RATE_HZ, samples)
    path.with_suffix(".npy").unlink()


# The pipeline --------------------------------------------------------------------------------------------------------


def strongest_line(samples, rate_hz):
    """Frequency of the strongest line from 100 to 150 kHz, by a parabola on the logarithm of a Hann spectrum."""
    head = samples[: 1 << 17].astype(np.float32)
    spectrum = np.abs(np.fft.rfft((head - head.mean()) * np.hanning(head.size).astype(np.float32)))
    first, last = (int(edge * head.size / rate_hz) for edge in (100e3, 150e3))
    peak = first + int(np.argmax(spectrum[first:last]))
    left, middle, right = np.log(spectrum[peak - 1 : peak + 2].astype(float))
    return float(peak + 0.5 * (left - right) / (left - 2.0 * middle + right)) * rate_hz / head.size


def band_pass_taps(cycles_per_sample):
    """Complex taps in one column pair for each span: shape (DECIMATION, 2 * SPANS)."""
    n = np.arange(SPANS * DECIMATION)
    low_pass = np.sinc(0.8 / DECIMATION * (n - (n.size - 1) / 2.0)) * np.kaiser(n.size, 5.0)
    taps = low_pass / low_pass.sum() * np.exp(-2j * np.pi * cycles_per_sample * n)
    spans = taps.reshape(SPANS, DECIMATION)
    return np.stack([spans.real, spans.imag], axis=1).reshape(2 * SPANS, DECIMATION).T.astype(np.float32, order="C")


def down_convert(samples, cycles_per_sample):
    """The band round the carrier at 0 Hz, decimated: row r of the samples times span s adds to output r - s."""
    taps = band_pass_taps(cycles_per_sample)
    rows = samples[: samples.size // DECIMATION * DECIMATION].reshape(-1, DECIMATION)
    count = len(rows) - SPANS + 1
    output = np.empty((count, 2), np.float32)
    converted = np.empty((BLOCK_ROWS + SPANS - 1, DECIMATION), np.float32)
    for start in range(0, count, BLOCK_ROWS):
        size = min(BLOCK_ROWS, count - start)
        block = converted[: size + SPANS - 1]
        block[...] = rows[start : start + size + SPANS - 1]
        products = block @ taps
        part = output[start : start + size]
        part[...] = products[:size, :2]
        for span in range(1, SPANS):
            part += products[span : span + size, 2 * span : 2 * span + 2]
    baseband = output.view(np.complex64)[:, 0]
    step = 2.0 * np.pi * cycles_per_sample * DECIMATION
    turns = np.exp(-1j * step * np.arange(4096)).astype(np.complex64)
    for start in range(0, count, turns.size):
        piece = baseband[start : start + turns.size]
        piece *= turns[: piece.size] * np.complex64(np.exp(-1j * step * start))
    return baseband


def along_axis(baseband, rate_hz):
    """The deviation from the carrier along the axis of the modulation, and by how much the carrier was off."""
    blocks = baseband[: baseband.size // 256 * 256].reshape(-1, 256).mean(axis=1)
    slope = np.polyfit(np.arange(blocks.size), np.unwrap(np.angle(blocks)), 1)[0] / 256.0
    baseband *= np.exp(-1j * slope * np.arange(baseband.size)).astype(np.complex64)
    deviation = baseband / baseband.mean() - np.complex64(1.0)
    axis = np.exp(-0.5j * np.angle(np.mean(deviation * deviation))).astype(np.complex64)
    return (deviation * axis).real, slope * rate_hz / (2.0 * np.pi)


def symbols(sums, start, period):
    """First half-bit less second, from running sums."""
    count = int((sums.size - 1 - start) / period)
    edges = start + np.arange(2 * count + 1) * (period / 2.0)
    whole = np.minimum(edges.astype(np.int64), sums.size - 2)
    at_edges = sums[whole] + (edges - whole) * (sums[whole + 1] - sums[whole])
    halves = np.diff(at_edges)
    return halves[0::2] - halves[1::2]


def soft_bits(deviation, rate_hz, carrier_hz):
    """Soft bits at the bit length and phase whose matched filter gives the largest energy per sample."""
    sums = np.concatenate([[0.0], np.cumsum(deviation, dtype=np.float64)])
    head = sums[: 1 << 16]
    trials = []
    for clocks in RATES:
        period = rate_hz * clocks / carrier_hz
        for phase in range(32):
            found = symbols(head, phase * period / 32.0, period)
            trials.append((np.mean(np.abs(found)) / period, clocks, phase / 32.0))
    _, clocks, phase = max(trials)
    period = rate_hz * clocks / carrier_hz
    return symbols(sums, phase * period, period)


def payloads(soft):
    """Every valid 64-bit frame, in both polarities."""
    found = []
    for bits in ((soft > 0).astype(np.int64), (soft <= 0).astype(np.int64)):
        ones = np.convolve(bits, np.ones(9, np.int64), "valid")
        for start in np.flatnonzero(ones[: max(bits.size - 63, 0)] == 9):
            frame = bits[start : start + 64]
            rows = frame[9:59].reshape(10, 5)
            columns = (rows[:, :4].sum(axis=0) + frame[59:63]) % 2
            if not (rows.sum(axis=1) % 2).any() and not columns.any() and frame[63] == 0:
                found.append("".join(f"{int(''.join(map(str, row[:4])), 2):X}" for row in rows))
    return found


def pipeline(path):
    """Prints payload, frames and seconds of the chain."""
    started = time.perf_counter()
    rate_hz, samples = wavfile.read(path, mmap=True)
    carrier_hz = strongest_line(samples, rate_hz)
    baseband = down_convert(samples, carrier_hz / rate_hz)
    deviation, offset_hz = along_axis(baseband, rate_hz / DECIMATION)
    found = payloads(soft_bits(deviation, rate_hz / DECIMATION, carrier_hz + offset_hz))
    print(max(set(found), key=found.count), len(found), time.perf_counter() - started)


# The comparison ------------------------------------------------------------------------------------------------------


LAUNCHER = """
import os, sys, time
started = time.perf_counter()
process = os.fork()
if process == 0:
    os.execvp(sys.argv[1], sys.argv[1:])
_, status, usage = os.wait4(process, 0)
wall = time.perf_counter() - started
print(wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0, file=sys.stderr)
sys.exit(os.waitstatus_to_exitcode(status))
"""


def timed(command):
    """Wall and processor seconds, peak memory in MB, and what the command printed.

    A process counts the memory of the one that started it as its own peak, so a small one must stand in between.
    """
    launched = [sys.executable, "-S", "-c", LAUNCHER, *command]
    run = subprocess.run(launched, capture_output=True, text=True, check=False)
    if PAYLOAD not in run.stdout:
        sys.exit(f"{command[:2]} did not read {PAYLOAD}:\n{run.stdout}{run.stderr}")
    return *map(float, run.stderr.split()[-3:]), run.stdout


def warn_of_threads():
    """Matrix products on several threads would be compared with one core."""
    square = np.ones((512, 512), np.float32)
    _ = square @ square
    threads = len(os.listdir("/proc/self/task"))
    if threads > 1:
        print(
            f"warning: the matrix library runs {threads} threads; set OPENBLAS_NUM_THREADS=1 (MKL_NUM_THREADS=1)\n",
            file=sys.stderr,
        )


def compare(path, program, runs):
    """Prints one table."""
    commands = {
        "NumPy and SciPy": [sys.executable, __file__, "--pipeline", str(path)],
        "coilwright decode": [program, "decode", str(path)],
        "coilwright check": [program, "check", "--exit-zero", str(path)],
    }
    least = {name: [float("inf")] * 3 for name in commands}
    chain_s = float("inf")
    for _ in range(runs):
        for name, command in commands.items():
            *numbers, text = timed(command)
            least[name] = [min(pair) for pair in zip(least[name], numbers, strict=True)]
            if name == "NumPy and SciPy":
                chain_s = min(chain_s, float(text.split()[2]))
    samples = (path.stat().st_size - 44) / 2
    print(f"{samples / SAMPLE_RATE_HZ:g} s at 1 MS/s, 16 bits; least of {runs} runs; load {os.getloadavg()[0]:.1f}")
    print(f"{'':18} {'wall':>9} {'processor':>10} {'peak':>8} {'rate':>10} {'times as fast':>14}")
    reference = least["NumPy and SciPy"][1]
    for name, (wall, processor, peak) in least.items():
        print(
            f"{name:18} {wall * 1e3:6.0f} ms {processor * 1e3:7.0f} ms {peak:5.1f} MB"
            f" {samples / processor / 1e6:5.0f} MS/s {reference / processor:14.1f}"
        )
    print(f"{'  chain alone':18} {chain_s * 1e3:6.0f} ms {'':23} {samples / chain_s / 1e6:3.0f} MS/s\n")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, nargs="+", default=[60.0, 1.0], help="lengths of the captures")
    parser.add_argument("--runs", type=int, default=7)
    root = Path(__file__).resolve().parent.parent
    parser.add_argument("--coilwright", default=str(root / "target/release/coilwright"), help="the program")
    parser.add_argument("--pipeline", metavar="WAV", help="run only the NumPy and SciPy pipeline on a capture")
    arguments = parser.parse_args()
    if arguments.pipeline:
        pipeline(arguments.pipeline)
        return
    if not os.access(arguments.coilwright, os.X_OK):
        sys.exit(f"{arguments.coilwright}: no such program; cargo build --release -p coilwright-cli makes it")
    warn_of_threads()
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    with tempfile.TemporaryDirectory() as folder:
        for seconds in arguments.seconds:
            path = Path(folder) / f"sandpiper-{seconds:g}-s.wav"
            write_capture(path, seconds)
            compare(path, arguments.coilwright, arguments.runs)


if __name__ == "__main__":
    main()
