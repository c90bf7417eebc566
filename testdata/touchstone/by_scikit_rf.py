"""Writes the Touchstone files of this folder, and what scikit-rf 2.2.0 reads in them and fits to NPL's sweeps.

    python -m pip install scikit-rf==2.2.0 && python by_scikit_rf.py
"""

import pathlib
import warnings

import numpy as np
import skrf
from skrf.qfactor import Qfactor

HERE = pathlib.Path(__file__).parent
NPL = HERE.parent / "published" / "npl_mat58"
F = np.linspace(115e3, 135e3, 21)
W = 2 * np.pi * F


def ring(z0):
    """A series ring of 1.62 mH, 40 ohm, 1.0007 nF."""
    z = 40 + 1j * W * 1.62e-3 + 1 / (1j * W * 1.0007e-9)
    return z, (z - z0) / (z + z0)


def coupled():
    """Scattering of two coupled coils, 700 uH and 2.4 mH, k = 0.02, with 6 and 20 ohm, at 50 ohm."""
    m = 0.02 * np.sqrt(700e-6 * 2.4e-3)
    z = np.array([[6 + 1j * W * 700e-6, 1j * W * m], [1j * W * m, 20 + 1j * W * 2.4e-3]])
    z = np.moveaxis(z, 2, 0)
    one = np.eye(2)
    return np.array([(a - 50 * one) @ np.linalg.inv(a + 50 * one) for a in z])


def rows(*columns):
    return "\n".join(" ".join(f"{v:.12g}" for v in row) for row in zip(*columns)) + "\n"


def db(s):
    return 20 * np.log10(np.abs(s)), np.degrees(np.angle(s))


def write():
    z, s = ring(50.0)
    (HERE / "ring_ri.s1p").write_text("! ring at 50 ohm\n# kHz S RI R 50\n" + rows(F / 1e3, s.real, s.imag))
    (HERE / "ring_ma.s1p").write_text("# MHz S MA R 50\n" + rows(F / 1e6, np.abs(s), np.degrees(np.angle(s))))
    _, s = ring(75.0)
    (HERE / "ring_db_75.s1p").write_text("# Hz S DB R 75\n" + rows(F, *db(s)))
    y = 75.0 / z
    (HERE / "ring_y_75.s1p").write_text("# Hz Y RI R 75\n" + rows(F, y.real, y.imag))
    head = "[Version] 2.0\n# Hz Z RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 21\n[Reference] 75\n[Network Data]\n"
    (HERE / "ring_v2_75.s1p").write_text(head + rows(F, z.real, z.imag) + "[End]\n")
    s = coupled()
    by_columns = [part for i, j in ((0, 0), (1, 0), (0, 1), (1, 1)) for part in (s[:, i, j].real, s[:, i, j].imag)]
    (HERE / "coupled.s2p").write_text("# Hz S RI R 50\n" + rows(F, *by_columns))
    by_rows = [part for i, j in ((0, 0), (0, 1), (1, 0), (1, 1)) for part in (s[:, i, j].real, s[:, i, j].imag)]
    head = (
        "[Version] 2.0\n# Hz S RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n"
        "[Number of Frequencies] 21\n[Network Data]\n"
    )
    (HERE / "coupled_v2.s2p").write_text(head + rows(F, *by_rows) + "[End]\n")


def read():
    lines = ["file,to,from,reference_ohm,frequency_hz,re,im"]
    for path in sorted(HERE.glob("*.s?p")):
        if "_y_" in path.name:  # scikit-rf does not undo version 1's normalisation of Y.
            continue
        network = skrf.Network(str(path))
        for i in range(network.nports):
            for j in range(network.nports):
                for n in (0, 10, 20):
                    s, z0 = network.s[n, i, j], network.z0[n, 0].real
                    lines.append(f"{path.name},{i + 1},{j + 1},{z0:g},{network.f[n]:.12g},{s.real:.12g},{s.imag:.12g}")
    (HERE / "by_scikit_rf.csv").write_text("\n".join(lines) + "\n")


def fits():
    lines = ["file,kind,resonance_hz,loaded_q,unloaded_q"]
    for name, kind, method, scale in (
        ("Figure6b", "transmission", "NLQFIT6", 1 / 0.874),
        ("Table6c27", "reflection", "NLQFIT7", None),
        ("Figure27", "absorption", "NLQFIT6", None),
    ):
        f, re, im = np.loadtxt(NPL / f"{name}.txt", comments="%", unpack=True)[:3]
        network = skrf.Network(s=re + 1j * im, frequency=skrf.Frequency.from_f(f, unit="GHz"))
        resonator = Qfactor(network, res_type=kind)
        found = resonator.fit(method=method)
        unloaded = resonator.Q_unloaded(found, scale) if scale else resonator.Q_unloaded(found)
        lines.append(f"{name},{kind},{found.f_L:.12g},{found.Q_L:.9g},{unloaded:.9g}")
    (NPL / "by_scikit_rf.csv").write_text("\n".join(lines) + "\n")


warnings.filterwarnings("ignore")
write()
read()
fits()
