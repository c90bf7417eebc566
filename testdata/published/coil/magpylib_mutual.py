"""Mutual inductances and fields from magpylib, for the tests of the coil models.

    python3 -m venv v && v/bin/pip install magpylib==6.3.0 && v/bin/python magpylib_mutual.py

writes magpylib_circles.csv, magpylib_coils.csv and magpylib_field.csv. The flux of circles of 1 A, by magpylib, is integrated over
the disc of the second circle: Gauss-Legendre along its radius, evenly around it; nothing is shared with the library that is tested.
magpylib 6.3.0 has the measured magnetic constant, 1.3e-10 below 4 pi 1e-7.
"""

import csv
from pathlib import Path

import magpylib
import numpy as np

SEED = 20261125
HERE = Path(__file__).parent


def frame(lateral, axial, tilt, direction):
    axis = np.array([np.sin(tilt) * np.cos(direction), np.sin(tilt) * np.sin(direction), np.cos(tilt)])
    along = np.array([np.cos(tilt) * np.cos(direction), np.cos(tilt) * np.sin(direction), -np.sin(tilt)])
    return np.array([lateral, 0, axial]), axis, along, np.cross(axis, along)


def disc(centre, along, across, radius, radial=80, around=160):
    x, w = np.polynomial.legendre.leggauss(radial)
    r = radius * (x + 1) / 2
    phi = 2 * np.pi * np.arange(around) / around
    rr, pp = np.meshgrid(r, phi, indexing="ij")
    points = centre + rr[..., None] * (np.cos(pp)[..., None] * along + np.sin(pp)[..., None] * across)
    weight = (w * radius / 2 * r)[:, None] * np.full(around, 2 * np.pi / around)
    return points.reshape(-1, 3), weight.ravel()


def far_enough(points, radius, margin):
    rho = np.hypot(points[:, 0], points[:, 1])
    return np.min(np.hypot(rho - radius, points[:, 2])) > margin


def circles(random):
    rows = []
    while len(rows) < 120:
        a = random.uniform(0.01, 0.1)
        b = a * random.uniform(0.05, 1.2)
        lateral, axial = a * random.uniform(0, 2), a * random.uniform(-2, 2)
        tilt, direction = random.uniform(0, np.pi), random.uniform(0, 2 * np.pi)
        if len(rows) < 20:
            lateral = tilt = direction = 0.0
        centre, axis, along, across = frame(lateral, axial, tilt, direction)
        points, weight = disc(centre, along, across, b)
        if not far_enough(points, a, 0.2 * a):
            continue
        field = magpylib.current.Circle(diameter=2 * a, current=1.0).getB(points)
        rows.append((a, b, axial, lateral, tilt, direction, float(np.sum(weight * (field @ axis)))))
    return rows


def coils(random):
    nodes, weights = np.polynomial.legendre.leggauss(5)
    rows = []
    while len(rows) < 12:
        a, b, c = random.uniform(0.015, 0.04), random.uniform(0.002, 0.012), random.uniform(0.001, 0.005)
        a2, b2, c2 = random.uniform(0.002, 0.015), random.uniform(0.002, 0.008), random.uniform(0.0005, 0.003)
        lateral, axial = random.uniform(0, 0.03), random.uniform(0.025, 0.06)
        tilt, direction = random.uniform(0, np.pi / 3), random.uniform(0, 2 * np.pi)
        sources, amount = [], []
        for x, wx in zip(nodes, weights, strict=True):
            for y, wy in zip(nodes, weights, strict=True):
                circle = magpylib.current.Circle(diameter=2 * a + c * x, current=1.0, position=(0, 0, b / 2 * y))
                sources.append(circle)
                amount.append(wx * wy / 4)
        centre, axis, along, across = frame(lateral, axial, tilt, direction)
        total = 0.0
        for x, wx in zip(nodes, weights, strict=True):
            for y, wy in zip(nodes, weights, strict=True):
                points, weight = disc(centre + axis * b2 / 2 * y, along, across, a2 + c2 / 2 * x, 24, 48)
                field = np.tensordot(amount, magpylib.getB(sources, points), axes=1)
                total += wx * wy / 4 * float(np.sum(weight * (field @ axis)))
        rows.append((a, b, c, a2, b2, c2, axial, lateral, tilt, direction, total))
    return rows


def fields(random):
    rows = []
    while len(rows) < 40:
        a = random.uniform(0.01, 0.1)
        rho, z = a * random.uniform(0, 2.5), a * random.uniform(-2, 2)
        if np.hypot(rho - a, z) < 0.02 * a:
            continue
        b = magpylib.current.Circle(diameter=2 * a, current=1.0).getB((rho, 0, z))
        rows.append((a, rho, z, float(b[0]), float(b[2])))
    return rows


def write(name, header, rows):
    with (HERE / name).open("w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(header)
        out.writerows([[f"{v:.13e}" for v in row] for row in rows])


def main():
    random = np.random.default_rng(SEED)
    place = ["axial_m", "lateral_m", "tilt_rad", "tilt_direction_rad"]
    write("magpylib_circles.csv", ["first_radius_m", "second_radius_m", *place, "mutual_henry"], circles(random))
    sizes = [f"{which}_{size}_m" for which in ("first", "second") for size in ("radius", "length", "depth")]
    write("magpylib_coils.csv", [*sizes, *place, "mutual_henry_per_turn_pair"], coils(random))
    field = ["radius_m", "from_axis_m", "height_m", "radial_tesla_per_ampere", "axial_tesla_per_ampere"]
    write("magpylib_field.csv", field, fields(random))


if __name__ == "__main__":
    main()
