"""Whether a coil is sound, and if not, what is the matter."""

from __future__ import annotations

import dataclasses
import json
from html import escape
from typing import Any, Literal, Optional, Union

from .. import _core
from .._result import Estimate, build
from ._base import Result, estimate, settings

Condition = Literal["sound", "open", "shorted", "turns_shorted", "capacitor_drifted", "metal_near", "cannot_tell"]
_WORTH_READING = 0.01
"""Less likely conditions are left to ``likely``."""
Number = Union[float, tuple[float, float], Estimate, None]
_Ends = tuple[Optional[float], Optional[float]]


@dataclasses.dataclass(frozen=True, repr=False)
class CoilNumbers(Result):
    """Numbers of a coil, each of which may be missing; make them with `coil_numbers`."""

    resonance_hz: Optional[Estimate] = None
    q: Optional[Estimate] = None
    inductance_henry: Optional[Estimate] = None
    resistance_ohm: Optional[Estimate] = None
    capacitance_farad: Optional[Estimate] = None
    direct_ohm: Optional[Estimate] = None


@dataclasses.dataclass(frozen=True, repr=False)
class Design(Result):
    """A coil as it was designed: each a value and its relative tolerance, 0.05 for 5 %."""

    inductance_henry: tuple[float, float]
    capacitance_farad: Optional[tuple[float, float]] = None
    resistance_ohm: Optional[tuple[float, float]] = None
    direct_ohm: Optional[tuple[float, float]] = None

    def _plain(self) -> dict[str, Any]:
        each = {f.name: getattr(self, f.name) for f in dataclasses.fields(self)}
        parts = {n: v and {"value": v[0], "relative_tolerance": v[1]} for n, v in each.items()}
        return {"kind": "design", **parts}


@dataclasses.dataclass(frozen=True, repr=False)
class Limits(Result):
    """Plain limits of any of the numbers, lowest and highest; ``None`` for an end that is absent."""

    resonance_hz: Optional[_Ends] = None
    q: Optional[_Ends] = None
    inductance_henry: Optional[_Ends] = None
    resistance_ohm: Optional[_Ends] = None
    capacitance_farad: Optional[_Ends] = None
    direct_ohm: Optional[_Ends] = None

    def _plain(self) -> dict[str, Any]:
        each = {f.name: getattr(self, f.name) for f in dataclasses.fields(self)}
        ranges = {n: v and {"low": v[0], "high": v[1]} for n, v in each.items()}
        return {"kind": "limits", **ranges}


@dataclasses.dataclass(frozen=True, repr=False)
class Ohmmeter(Result):
    """What an ohmmeter showed across a coil alone: ``None`` beyond its range, else ohm with the meter's deviation.

    ``range_ohm`` is where the meter ends; leads' resistance and the winding's temperature come with their deviations.
    """

    reading_ohm: Optional[tuple[float, float]]
    leads_ohm: tuple[float, float] = (0.0, 0.0)
    temperature_celsius: tuple[float, float] = (20.0, 5.0)
    range_ohm: float = 20e6

    def _plain(self) -> dict[str, Any]:
        if self.reading_ohm is None:
            reading: dict[str, Any] = {"kind": "over_range", "range_ohm": self.range_ohm}
        else:
            reading = {"kind": "shown", "resistance_ohm": Estimate(*self.reading_ohm)}
        return {
            "reading": reading,
            "leads_ohm": Estimate(*self.leads_ohm),
            "temperature_celsius": Estimate(*self.temperature_celsius),
        }


@dataclasses.dataclass(frozen=True, repr=False)
class LikelyCondition(Result):
    """One condition and how probable it is; ``"cannot_tell"`` stands for all that is not modelled.

    ``size`` is how large the fault would be: part of the turns, relative drift of the capacitance, relative change
    of the inductance.
    """

    condition: Condition
    probability: float
    size: Optional[Estimate]
    size_text: Optional[str]
    physics: str
    confirm: str


@dataclasses.dataclass(frozen=True, repr=False)
class CoilFinding(Result):
    """What was seen: a number against its limits, an ohmmeter reading, or that nothing rang."""

    kind: Literal["number", "ohmmeter", "no_ring"]
    physics: str
    confirm: str
    number: Optional[str] = None
    measured: Optional[Estimate] = None
    expected: Optional[Estimate] = None
    low: Optional[float] = None
    high: Optional[float] = None
    side: Optional[Literal["below", "within", "above"]] = None
    origin: Optional[str] = None
    evidence: Optional[dict[str, Any]] = dataclasses.field(default=None, compare=False)


@dataclasses.dataclass(frozen=True, repr=False)
class CoilVerdict(Result):
    """What is the matter with a coil: sound from a probability of 0.9, a fault from 0.7, otherwise
    ``"cannot_tell"``."""

    condition: Condition
    probability: float
    likely: tuple[LikelyCondition, ...]
    findings: tuple[CoilFinding, ...] = dataclasses.field(repr=False)

    def __repr__(self) -> str:
        each = ", ".join(f"{likely.condition} {likely.probability:.2f}" for likely in self._worth_reading())
        return f"CoilVerdict({self.condition} with probability {self.probability:.2f}; {each})"

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><td>{likely.probability:.0%}</td><td>{likely.condition}</td><td>{escape(likely.size_text or '')}</td>"
            f"<td>{escape(likely.physics)}</td><td>{escape(likely.confirm)}</td></tr>"
            for likely in self._worth_reading()
        )
        head = "<tr><th>probability</th><th>condition</th><th>size</th><th>what happens</th><th>to confirm</th></tr>"
        return (
            f"<p><strong>{self.condition}</strong>, probability {self.probability:.0%}</p><table>{head}{rows}</table>"
        )

    def _worth_reading(self) -> list[LikelyCondition]:
        return [likely for likely in self.likely if likely.probability >= _WORTH_READING]


def coil_numbers(
    *,
    resonance_hz: Number = None,
    q: Number = None,
    inductance_henry: Number = None,
    resistance_ohm: Number = None,
    capacitance_farad: Number = None,
    direct_ohm: Number = None,
) -> CoilNumbers:
    """Return numbers of a coil for `judge`: floats, ``(value, std_dev)`` or the estimates of a fit; hertz, henry,
    ohm, farad."""
    return CoilNumbers(
        *map(estimate, (resonance_hz, q, inductance_henry, resistance_ohm, capacitance_farad, direct_ohm))
    )


def judge(
    measured: CoilNumbers,
    standard: Union[CoilNumbers, Design, Limits],
    *,
    ohmmeter: Optional[Ohmmeter] = None,
    ringing: Literal["not_tried", "seen", "none_seen"] = "not_tried",
    turns: Optional[float] = None,
) -> CoilVerdict:
    """Return the condition of a coil, how sure that is, and why.

    Parameters
    ----------
    measured : CoilNumbers
        As `coil_numbers` makes them; measured like the standard's, both loaded or both unloaded.
    standard : CoilNumbers, Design or Limits
        A sound coil that was measured alike, the design, or plain limits.
    ohmmeter : Ohmmeter, optional
        What an ohmmeter showed across the coil alone. Never put one on a restraint system's circuit.
    ringing : {"not_tried", "seen", "none_seen"}, optional
        Whether the coil rang where a ring-down was looked for.
    turns : float, optional
        Turns of the coil, to tell shorted turns as a number.

    Returns
    -------
    CoilVerdict

    Raises
    ------
    FitError
        When numbers or limits make no sense.
    """
    if isinstance(standard, CoilNumbers):
        against: Any = {"kind": "reference", **dict(zip(_NAMES, (getattr(standard, name) for name in _NAMES)))}
    else:
        against = standard
    evidence = {"numbers": measured, "ohmmeter": ohmmeter, "ringing": ringing}
    verdict = json.loads(_core.coil_judge(settings(evidence=evidence, standard=against, turns=turns)))
    return build(CoilVerdict, verdict)


_NAMES = tuple(field.name for field in dataclasses.fields(CoilNumbers))
