"""Fits the same ring-downs with scipy.optimize.curve_fit and with Coilwright, and compares results and times.

    python benches/compare_ring_down.py [RECORDS] [SEED]

Needs numpy and scipy. Builds the example `time_ring_down` of coilwright-coil in the release profile. Both run on one core.
"""

import os
import pathlib
import subprocess
import sys
import tempfile
import time

os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy as np
from scipy.optimize import curve_fit

ROOT = pathlib.Path(__file__).parent.parent
RATE_HZ, SAMPLES = 1e6, 1024
TIME = np.arange(SAMPLES) / RATE_HZ


def model(t, a, b, f, decay, dc):
    return np.exp(-decay * t) * (a * np.cos(2 * np.pi * f * t) + b * np.sin(2 * np.pi * f * t)) + dc


def by_scipy(record, truth):
    """Best of fifteen times of a fit that is helped with a start within 1 % in frequency and 20 % in decay."""
    f, q = truth
    start = (1.0, 0.0, 1.01 * f, 1.2 * np.pi * f / q, 0.0)
    best = np.inf
    for _ in range(15):
        begin = time.perf_counter()
        found, _ = curve_fit(model, TIME, record, p0=start)
        best = min(best, time.perf_counter() - begin)
    resonance = np.hypot(found[2], found[3] / (2 * np.pi))
    return resonance, np.pi * resonance / found[3], 1e6 * best


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    random = np.random.default_rng(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    truths = [(random.uniform(115e3, 135e3), random.uniform(8, 60)) for _ in range(count)]
    records = []
    for f, q in truths:
        damped = f * np.sqrt(1 - 0.25 / q**2)
        phase = random.uniform(0, 2 * np.pi)
        clean = np.exp(-np.pi * f / q * TIME) * np.cos(2 * np.pi * damped * TIME + phase) + 0.1
        records.append((clean + 0.007 * random.standard_normal(SAMPLES)).astype("<f4"))
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "records.f32"
        np.concatenate(records).tofile(path)
        command = ["cargo", "run", "-q", "--release", "-p", "coilwright-coil", "--example", "time_ring_down", "--"]
        output = subprocess.run(command + [str(path), str(SAMPLES), str(RATE_HZ)], cwd=ROOT, check=True, capture_output=True)
    ours = np.array([[float(v) for v in line.split()] for line in output.stdout.decode().splitlines()])
    theirs = np.array([by_scipy(r.astype(float), t) for r, t in zip(records, truths)])
    same = np.abs(ours[:, :2] / theirs[:, :2] - 1)
    print(f"{count} records of {SAMPLES} samples, 40 dB; best times, in microseconds")
    print(f"coilwright: median {np.median(ours[:, 2]):.1f}, largest {ours[:, 2].max():.1f} (with search, noise and residual test)")
    print(f"curve_fit:  median {np.median(theirs[:, 2]):.0f}, least {theirs[:, 2].min():.0f} (started near the truth)")
    print(f"ratio of medians {np.median(theirs[:, 2]) / np.median(ours[:, 2]):.0f}, least ratio {(theirs[:, 2] / ours[:, 2]).min():.0f}")
    print(f"largest difference: f0 {same[:, 0].max():.1e}, Q {same[:, 1].max():.1e}")


main()
