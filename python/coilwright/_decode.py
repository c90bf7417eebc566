"""Results of a decode as frozen objects: keys, and bits, soft bits and views of every stretch as NumPy arrays."""

from __future__ import annotations

import dataclasses
import json
from typing import Any, Literal, Optional

import numpy as np
import numpy.typing as npt

from . import _html
from ._result import Carrier, Estimate, KeyFound, Signal, Span, build, check_from_json

FloatArray = npt.NDArray[np.float32]


@dataclasses.dataclass(frozen=True)
class SpectrumLine:
    """A line of a spectrum: what it is, where it is seen, and its level over the carrier's in decibels."""

    label: str
    frequency_hz: float
    level_dbc: float


@dataclasses.dataclass(frozen=True, eq=False)
class Spectrum:
    """The spectrum of a stretch as it is seen in the samples.

    ``frequency_hz`` and ``level_dbc`` have the same shape (n,); levels are those of tones over the carrier, in decibels.
    ``noise_dbc`` is where the noise beside the carrier stands, and ``lines`` are named, the carrier first.
    """

    frequency_hz: npt.NDArray[np.float64] = dataclasses.field(repr=False)
    level_dbc: FloatArray = dataclasses.field(repr=False)
    noise_dbc: Optional[float]
    lines: tuple[SpectrumLine, ...]


@dataclasses.dataclass(frozen=True, eq=False)
class Eye:
    """The bits of a key laid over each other.

    ``time_bits`` of shape (n,) runs from -0.5 to 1.5 bits from the start of a bit, ``traces`` of shape (m, n) is the
    deviation along the modulation axis relative to the carrier, and ``bits`` of shape (m,) says which bit each trace is.
    For a key on a subcarrier the traces are what its matched filters give: for a phase along the axis of its bits, for two
    tones the faster less the slower one.
    """

    time_bits: FloatArray = dataclasses.field(repr=False)
    traces: FloatArray = dataclasses.field(repr=False)
    bits: npt.NDArray[np.int64] = dataclasses.field(repr=False)


@dataclasses.dataclass(frozen=True, eq=False)
class Timing:
    """Where the transitions of a key lie against its bit clock.

    ``position_samples`` is their place on the clock, ``error_bits`` how late each one comes, both of shape (n,);
    ``jitter_bits`` is the standard deviation of the errors about their mean.
    """

    position_samples: npt.NDArray[np.float64] = dataclasses.field(repr=False)
    error_bits: FloatArray = dataclasses.field(repr=False)
    mean_bits: float
    jitter_bits: float


@dataclasses.dataclass(frozen=True, eq=False)
class Constellation:
    """What a key sent as points in a plane.

    ``axes`` says which plane, ``points`` of shape (n,), complex64, is relative to the carrier. With ``"carrier"`` it is the
    mean deviation of the carrier over each half-bit: real where its amplitude changes, imaginary where its phase does.
    Otherwise it is what the matched filters give, one point for each bit that the subcarrier carries: with ``"subcarrier"``
    in phase with it (real) and a quarter of its period beside it, with ``"tones"`` the size of the faster tone (real) and of
    the slower one. ``half_bits`` says where each point begins: 2k is the first half of bit k. ``axis_rad`` is the
    direction in which the bits differ.
    """

    axes: Literal["carrier", "subcarrier", "tones"]
    points: npt.NDArray[np.complex64] = dataclasses.field(repr=False)
    half_bits: npt.NDArray[np.int64] = dataclasses.field(repr=False)
    axis_rad: float


@dataclasses.dataclass(frozen=True, eq=False)
class KeyViews:
    """The views of one key; each is ``None`` where the stretch does not carry it."""

    eye: Optional[Eye]
    timing: Optional[Timing]
    constellation: Optional[Constellation]


@dataclasses.dataclass(frozen=True, eq=False)
class Views:
    """The views of a stretch and of each of its keys."""

    spectrum: Optional[Spectrum]
    keys: tuple[KeyViews, ...]


@dataclasses.dataclass(frozen=True)
class FrameRead:
    """A frame as it was read in one place; an added-up one covers its whole stretch."""

    kind: str
    bits: str
    payload: str
    span: Span
    inverted: bool
    corrected_bits: int


@dataclasses.dataclass(frozen=True, eq=False)
class KeyRead:
    """What one key sent in one stretch.

    ``bits`` (uint8) and ``soft_bits`` (float32, positive for 1) have shape (n,), first sent first; bit k begins at sample
    ``first_bit_sample + k * bit_period_samples`` of the capture.
    """

    modulation: str
    line_code: Optional[str]
    clocks_per_bit: int
    depth: Estimate
    eb_n0_db: Optional[float]
    margin: float
    first_bit_sample: float
    bit_period_samples: float
    frames: tuple[FrameRead, ...]
    bits: npt.NDArray[np.uint8] = dataclasses.field(repr=False, default_factory=lambda: np.empty(0, np.uint8))
    soft_bits: FloatArray = dataclasses.field(repr=False, default_factory=lambda: np.empty(0, np.float32))

    @property
    def bit_start_samples(self) -> npt.NDArray[np.float64]:
        """Where each bit begins, in samples from the start of the capture; shape (n,)."""
        return np.asarray(self.first_bit_sample + self.bit_period_samples * np.arange(len(self.bits)), np.float64)


@dataclasses.dataclass(frozen=True, eq=False)
class Stretch:
    """A stretch of samples with the field on, and what was heard in it. Levels are in the capture's unit."""

    span: Span
    carrier_hz: Estimate
    amplitude: Estimate
    noise_dbc_hz: Optional[float]
    axis_rad: Optional[float]
    modulated: bool
    keys: tuple[KeyRead, ...]
    views: Optional[Views] = dataclasses.field(repr=False, default=None)


@dataclasses.dataclass(frozen=True, eq=False, repr=False)
class Decode:
    """The keys that answer in a capture, and every stretch that was listened to."""

    file: str
    sample_rate_hz: float
    signal: Signal
    carrier: Carrier
    keys: tuple[KeyFound, ...]
    stretches: tuple[Stretch, ...]

    @property
    def best(self) -> Optional[Stretch]:
        """The stretch that was read best: with a frame, then by the energy of its bits."""

        def clarity(stretch: Stretch) -> tuple[bool, bool, float]:
            energies = [float("-inf") if key.eb_n0_db is None else key.eb_n0_db for key in stretch.keys]
            return any(key.frames for key in stretch.keys), bool(energies), max(energies, default=float("-inf"))

        return max(self.stretches, key=clarity, default=None)

    def __repr__(self) -> str:
        keys = [_html.key_words(key) for key in self.keys] or ["no key"]
        return f"Decode({self.file!r}: {'; '.join(keys)}; {len(self.stretches)} stretches)"

    def _repr_html_(self) -> str:
        return _html.decode(self)


def decode_from_json(
    text: str, stretches: list[tuple[str, list[dict[str, Any]], Optional[dict[str, Any]]]]
) -> Decode:
    """Return the decode that the core's JSON forms and arrays describe."""
    check = check_from_json(text, None)
    return Decode(
        file=check.file,
        sample_rate_hz=check.capture.sample_rate_hz,
        signal=check.signal,
        carrier=check.carrier,
        keys=check.keys,
        stretches=tuple(_stretch(*stretch) for stretch in stretches),
    )


def _stretch(text: str, arrays: list[dict[str, Any]], views: Optional[dict[str, Any]]) -> Stretch:
    stretch = build(Stretch, json.loads(text))
    keys = tuple(
        dataclasses.replace(key, **_read_only(key_arrays)) for key, key_arrays in zip(stretch.keys, arrays)
    )
    return dataclasses.replace(stretch, keys=keys, views=None if views is None else _views(views))


def _views(views: dict[str, Any]) -> Views:
    spectrum = views["spectrum"]
    if spectrum is not None:
        lines = tuple(SpectrumLine(*line) for line in spectrum.pop("lines"))
        spectrum = Spectrum(**_read_only(spectrum), lines=lines)
    return Views(spectrum, tuple(_key_views(key) for key in views["keys"]))


def _key_views(views: dict[str, Any]) -> KeyViews:
    eye, timing, constellation = (_optional(views, name) for name in ("eye", "timing", "constellation"))
    if eye is not None:
        eye["traces"] = eye.pop("values").reshape(len(eye["bits"]), len(eye["time_bits"]))
    return KeyViews(
        eye=None if eye is None else Eye(**_read_only(eye)),
        timing=None if timing is None else Timing(**_read_only(timing)),
        constellation=None if constellation is None else Constellation(**_read_only(constellation)),
    )


def _optional(views: dict[str, Any], name: Literal["eye", "timing", "constellation"]) -> Optional[dict[str, Any]]:
    view: Optional[dict[str, Any]] = views[name]
    return view


def _read_only(fields: dict[str, Any]) -> dict[str, Any]:
    for value in fields.values():
        if isinstance(value, np.ndarray):
            value.flags.writeable = False
    return fields
