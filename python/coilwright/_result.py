"""Results of a check as frozen objects, field for field as in the JSON form of the command."""

from __future__ import annotations

import dataclasses
import json
import math
import typing
from typing import Any, Literal, Optional, TypeVar, Union

import numpy as np
import numpy.typing as npt

from . import _html

Fault = Literal[
    "none",
    "no_field",
    "ring_open",
    "not_driven",
    "ring_shorted",
    "turns_shorted",
    "metal_near",
    "tuning_drifted",
    "drive_weak",
    "joint_intermittent",
    "carrier_off",
    "key_silent",
    "key_weak",
    "keys_collide",
    "interference",
    "cannot_tell",
]

_T = TypeVar("_T")


@dataclasses.dataclass(frozen=True)
class Estimate:
    """A measured number and its standard deviation, in the same unit."""

    value: float
    std_dev: float

    def __str__(self) -> str:
        return f"{self.value:.6g} ± {self.std_dev:.2g}"


@dataclasses.dataclass(frozen=True)
class Span:
    """A half-open run of sample positions, counted from the first sample of the capture."""

    start: int
    end: int


@dataclasses.dataclass(frozen=True)
class CaptureSummary:
    """The recording itself."""

    sample_rate_hz: float
    length_samples: int
    duration_s: float
    channel: int
    channels: int
    format: str
    unit: Literal["full_scale", "volt", "unknown"]
    start_time: Optional[str]
    warnings: tuple[str, ...]


@dataclasses.dataclass(frozen=True)
class Signal:
    """What kind of signal the samples hold, and why that is thought."""

    kind: Literal["direct", "aliased", "envelope", "complex_baseband", "ring_down", "no_carrier"]
    forced: bool
    zone: int
    inverted: bool
    ambiguous_with_hz: tuple[float, ...]
    reason: str


@dataclasses.dataclass(frozen=True)
class Carrier:
    """The tone that energises the key. Levels are in the capture's unit."""

    frequency_hz: Optional[Estimate]
    apparent_hz: Optional[float]
    nominal_hz: Optional[float]
    amplitude: Optional[float]
    snr_db: Optional[float]
    third_harmonic_db: Optional[float]


@dataclasses.dataclass(frozen=True)
class Burst:
    """One stretch with the field on, and its carrier amplitude in the capture's unit."""

    span: Span
    level: float


@dataclasses.dataclass(frozen=True)
class EdgeEvent:
    """One switching edge of the field: the sample at which the drive changed."""

    kind: Literal["on", "off"]
    sample: int


@dataclasses.dataclass(frozen=True)
class Dip:
    """A sudden loss of level within a burst, and the level that is left, relative to the burst."""

    span: Span
    level_ratio: float


@dataclasses.dataclass(frozen=True)
class Repetition:
    """How often the interlock asks and for how long, in seconds."""

    period_s: float
    length_s: float


@dataclasses.dataclass(frozen=True)
class Field:
    """When the field was on. Long captures list only the first bursts, edges and dips; the counts are of all."""

    on_fraction: float
    bursts: tuple[Burst, ...] = dataclasses.field(repr=False)
    burst_count: int
    edges: tuple[EdgeEvent, ...] = dataclasses.field(repr=False)
    dips: tuple[Dip, ...] = dataclasses.field(repr=False)
    dip_count: int
    repetition: Optional[Repetition]


@dataclasses.dataclass(frozen=True)
class EdgePole:
    """The ring's pole after one kind of edge, fitted jointly over several edges."""

    resonance_hz: Estimate
    q: Estimate
    damped_hz: Estimate
    second_resonance_hz: Optional[Estimate]
    second_q: Optional[Estimate]
    edges: int
    snr_db: float
    misfit: float
    explained: float


@dataclasses.dataclass(frozen=True)
class DiedAway:
    """A decay of Q one to three, which dies within about a cycle: rough numbers."""

    resonance_hz: Estimate
    q: Estimate


@dataclasses.dataclass(frozen=True)
class RingDown:
    """The pings of a ring-down capture: the ring tapped by a pulse, without a drive. At most 64 spans are listed."""

    pole: Optional[EdgePole]
    died: Optional[DiedAway]
    pings: tuple[Span, ...] = dataclasses.field(repr=False)
    ping_count: int


@dataclasses.dataclass(frozen=True)
class Ring:
    """The antenna ring from its own switching edges or pings: undamped resonance in hertz and loaded Q."""

    resonance_hz: Optional[Estimate]
    q: Optional[Estimate]
    turn_on: Optional[EdgePole]
    turn_off: Optional[EdgePole]
    ring_down: Optional[RingDown]
    start_over_carrier: Optional[float]
    tail: Literal["free", "held", "gone", "foreign", "not_seen"]
    reason: str


@dataclasses.dataclass(frozen=True, eq=False)
class EdgeTrace:
    """One switching edge or ping with the ring's fit: float32 arrays of the same shape (n,), in the capture's unit."""

    first_sample: int
    samples: npt.NDArray[np.float32] = dataclasses.field(repr=False)
    fitted: npt.NDArray[np.float32] = dataclasses.field(repr=False)


@dataclasses.dataclass(frozen=True)
class CheckOfFrame:
    """One check of a frame, and whether it holds."""

    name: str
    holds: bool


@dataclasses.dataclass(frozen=True)
class DownlinkInterval:
    """From one fall of the field to the next, in carrier cycles; `symbol` is `0`, `1`, `V` (a violation) or `None`."""

    span: Span
    clocks: float
    gap_clocks: float
    symbol: Optional[str]


@dataclasses.dataclass(frozen=True)
class DownlinkMessage:
    """A run of short gaps, and how many of its intervals and gaps the coding does not have."""

    span: Span
    intervals: tuple[DownlinkInterval, ...] = dataclasses.field(repr=False)
    interval_count: int
    unfit_count: int
    unfit_gap_count: int
    fits: bool


@dataclasses.dataclass(frozen=True)
class Downlink:
    """What the reader said to the key by short gaps in the field; listed and not interpreted."""

    messages: tuple[DownlinkMessage, ...]
    message_count: int
    gap_count: int


@dataclasses.dataclass(frozen=True)
class FrameFound:
    """A frame as it was sent, first bit first."""

    kind: str
    bits: str
    payload: str
    checks: tuple[CheckOfFrame, ...]
    corrected_bits: int


@dataclasses.dataclass(frozen=True)
class KeyFound:
    """One key that answered."""

    modulation: str
    subcarrier_clocks: tuple[int, ...]
    line_code: str
    clocks_per_bit: int
    depth: Estimate
    eb_n0_db: float
    margin: float
    frame: Optional[FrameFound]
    repeats: int
    spans: tuple[Span, ...] = dataclasses.field(repr=False)

    def _repr_html_(self) -> str:
        return _html.key(self)


@dataclasses.dataclass(frozen=True)
class Finding:
    """One thing that was noticed: the number, its limit, where the limit comes from, what it means."""

    id: str
    weight: Literal["decisive", "notable", "minor"]
    text: str
    value: Optional[float]
    limit: Optional[float]
    unit: str
    origin: str


@dataclasses.dataclass(frozen=True)
class Comparison:
    """How the capture compares with a known-good one; ratios are this capture over the good one."""

    file: str
    level_ratio: Optional[float]
    resonance_ratio: Optional[Estimate]
    q_ratio: Optional[Estimate]
    depth_ratio: Optional[float]


@dataclasses.dataclass(frozen=True)
class Other:
    """Another fault that stays possible, and its probability."""

    fault: Fault
    probability: float


@dataclasses.dataclass(frozen=True)
class NextStep:
    """One thing to measure or do next, and what each outcome would mean."""

    action: str
    tells: str


@dataclasses.dataclass(frozen=True)
class Verdict:
    """What is wrong, how sure that is, and what to measure next."""

    fault: Fault
    probability: float
    sentence: str
    others: tuple[Other, ...]
    cannot_split: str
    missing: tuple[str, ...]
    next: tuple[NextStep, ...]

    def _repr_html_(self) -> str:
        return _html.verdict(self)


@dataclasses.dataclass(frozen=True, repr=False)
class Check:
    """Everything that a check found out about one capture, from the samples to the verdict."""

    schema: str
    file: str
    capture: CaptureSummary
    signal: Signal
    carrier: Carrier
    field: Field
    ring: Ring
    keys: tuple[KeyFound, ...]
    downlink: Downlink
    findings: tuple[Finding, ...]
    against: Optional[Comparison]
    verdict: Verdict
    cautions: tuple[str, ...]
    trace: Optional[EdgeTrace] = dataclasses.field(default=None, compare=False)
    """One edge or ping of the ring with its fit, for `coilwright.plot.edge_fit`; not part of the JSON form."""

    def __repr__(self) -> str:
        carrier = self.carrier.frequency_hz
        ring = self.ring.resonance_hz
        return (
            f"Check({self.file!r}: {self.verdict.fault} with probability {self.verdict.probability:.2f}, "
            f"carrier {'not found' if carrier is None else f'{carrier.value:.1f} Hz'}, "
            f"ring {'not measured' if ring is None else f'{ring.value:.0f} Hz'}, {len(self.keys)} keys)"
        )

    def _repr_html_(self) -> str:
        return _html.check(self)

    def to_dict(self) -> dict[str, Any]:
        """Return the check as plain dictionaries and lists, as in its JSON form."""
        fields = dataclasses.asdict(dataclasses.replace(self, trace=None))
        del fields["trace"]
        plain: dict[str, Any] = json.loads(json.dumps(fields))
        return plain


def check_from_json(text: str, trace: Optional[EdgeTrace]) -> Check:
    """Return the check that its JSON form describes, with one edge to draw."""
    return dataclasses.replace(build(Check, json.loads(text)), trace=trace)


def build(kind: type[_T], data: dict[str, Any]) -> _T:
    """Return the dataclass that plain dictionaries and lists describe; a number that JSON has no word for is not a number."""
    hints = typing.get_type_hints(kind)
    return kind(**{name: _value(hints[name], item) for name, item in data.items()})


def _value(hint: Any, item: Any) -> Any:
    if typing.get_origin(hint) is Union:
        hint = typing.get_args(hint)[0]
    elif hint is float and item is None:
        return math.nan
    if item is None:
        return None
    if hint is complex:
        return complex(*item)
    if typing.get_origin(hint) is tuple:
        inner = typing.get_args(hint)[0]
        return tuple(_value(inner, each) for each in item)
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return build(hint, item)
    return item
