"""Whether a coil is sound, and if not, what is the matter."""

from __future__ import annotations

import dataclasses
import json
from html import escape
from typing import Any, Literal, Optional, Union

from .. import _core
from .._result import Check, Estimate, Ring, build
from ._base import Result, settings
from ._fits import CoilFit, RingDownFit
from ._numbers import NUMBERS, CoilNumbers, Fit, Loading, coil_numbers

Condition = Literal["sound", "open", "shorted", "turns_shorted", "capacitor_drifted", "metal_near", "cannot_tell"]
_WORTH_READING = 0.01
"""Less likely conditions are left to ``likely``."""
_ONE_FREQUENCY = 0.01
"""Relative distance of frequencies up to which resistances compare: growing as f², they are 2 % apart then, half of how well one repeats."""
Evidence = Union[CoilNumbers, Fit, Check, Ring]
_Ends = tuple[Optional[float], Optional[float]]


@dataclasses.dataclass(frozen=True, repr=False)
class Design(Result):
    """A coil as it was designed: each a value and its relative tolerance, 0.05 for 5 %.

    ``q_definition`` says, where it is given, whether the resistance is with all that loads the coil or the coil's own.
    """

    inductance_henry: tuple[float, float]
    capacitance_farad: Optional[tuple[float, float]] = None
    resistance_ohm: Optional[tuple[float, float]] = None
    direct_ohm: Optional[tuple[float, float]] = None
    q_definition: Optional[Loading] = None

    def _plain(self) -> dict[str, Any]:
        each = {f.name: getattr(self, f.name) for f in dataclasses.fields(self) if f.name != "q_definition"}
        parts = {n: v and {"value": v[0], "relative_tolerance": v[1]} for n, v in each.items()}
        return {"kind": "design", **parts}


@dataclasses.dataclass(frozen=True, repr=False)
class Limits(Result):
    """Plain limits of any of the numbers, lowest and highest; ``None`` for an end that is absent.

    ``q_definition`` says, where it is given, whether the limits on Q are meant loaded or unloaded.
    """

    resonance_hz: Optional[_Ends] = None
    q: Optional[_Ends] = None
    inductance_henry: Optional[_Ends] = None
    resistance_ohm: Optional[_Ends] = None
    capacitance_farad: Optional[_Ends] = None
    direct_ohm: Optional[_Ends] = None
    q_definition: Optional[Loading] = None

    def _plain(self) -> dict[str, Any]:
        each = {f.name: getattr(self, f.name) for f in dataclasses.fields(self) if f.name != "q_definition"}
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
    """What was seen: a number against its limits, an ohmmeter reading, an open circuit, or that nothing rang."""

    kind: Literal["number", "ohmmeter", "open_circuit", "no_ring"]
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


def judge(
    measured: Evidence,
    standard: Union[Evidence, Design, Limits],
    *,
    ohmmeter: Optional[Ohmmeter] = None,
    ringing: Optional[Literal["not_tried", "seen", "none_seen"]] = None,
    open_circuit: bool = False,
    turns: Optional[float] = None,
) -> CoilVerdict:
    """Return the condition of a coil, how sure that is, and why.

    Parameters
    ----------
    measured : Fit, Check, Ring or CoilNumbers
        Any fit of this module, what `coilwright.check` returns or its ``ring``, or what `coil_numbers` makes. The Q of a
        `CoilFit` follows from its inductance and resistance and counts only against a limit on Q.
    standard : Fit, Check, Ring, CoilNumbers, Design or Limits
        A sound coil that was measured alike, the design, or plain limits.
    ohmmeter : Ohmmeter, optional
        What an ohmmeter showed across the coil alone. Never put one on a restraint system's circuit.
    ringing : {"not_tried", "seen", "none_seen"}, optional
        Whether the coil rang where a ring-down was looked for. What is measured says so by itself: the fit of a ring-down
        and a check's ring were seen, unless nothing rings in the check of a ring-down.
    open_circuit : bool, optional
        Whether an impedance meter or an analyser showed an open circuit: `FitError` whose ``reason`` is ``"open_circuit"``.
    turns : float, optional
        Turns of the coil, to tell shorted turns as a number.

    Returns
    -------
    CoilVerdict

    Raises
    ------
    ValueError
        When Q is loaded on one side and unloaded on the other, resistances were measured more than 1 % apart in frequency, or
        the two sides have no number in common.
    FitError
        When numbers or limits make no sense.

    Examples
    --------
    >>> import numpy as np
    >>> from coilwright import coil
    >>> f = np.linspace(110e3, 140e3, 61)
    >>> height = 1 / np.abs(1 + 25j * (f / 125e3 - 125e3 / f)) + 1e-4 * np.sin(np.arange(61.0) ** 2)
    >>> good = coil.fit_amplitude_sweep(f, height)
    >>> drifted = coil.fit_amplitude_sweep(1.04 * f, height)
    >>> coil.judge(drifted, good).condition
    'capacitor_drifted'
    """
    numbers = _comparable(coil_numbers(measured), standard)
    if isinstance(standard, (Design, Limits)):
        against: Any = standard
        _have_q_alike(numbers, standard.q_definition, type(standard).__name__)
        names = _numbers_of(standard)
    else:
        good = _comparable(coil_numbers(standard), None)
        _have_q_alike(numbers, good.q_definition if good.q else None, good.kind)
        _have_resistance_alike(numbers, good)
        against, names = {"kind": "reference", **good.given()}, set(good.given())
    ringing = ringing or _ringing(measured)
    speaks = ohmmeter is not None or ringing == "none_seen" or open_circuit
    if numbers.given() and names and not names & set(numbers.given()) and not speaks:
        raise ValueError(
            f"nothing of the measurement can be held against the standard: the measurement gives "
            f"{', '.join(numbers.given())}, the standard {', '.join(sorted(names))}; measure both alike"
        )
    evidence = {"numbers": numbers.given(), "ohmmeter": ohmmeter, "ringing": ringing, "open_circuit": open_circuit}
    verdict = json.loads(_core.coil_judge(settings(evidence=evidence, standard=against, turns=turns)))
    return build(CoilVerdict, verdict)


def _comparable(numbers: CoilNumbers, standard: Any) -> CoilNumbers:
    """Return the numbers without the Q of a coil without capacitor, unless a limit is set on it."""
    limited = isinstance(standard, Limits) and standard.q is not None
    return dataclasses.replace(numbers, q=None) if numbers.kind == CoilFit.kind and not limited else numbers


def _have_q_alike(measured: CoilNumbers, definition: Optional[Loading], name: str) -> None:
    if measured.q is None or definition is None or measured.q_definition in (None, definition):
        return
    raise ValueError(
        f"the measurement ({measured.kind}) has a Q {measured.q_definition}, the standard ({name}) one {definition}: they do not "
        "compare; measure both alike, or leave Q out: coil_numbers(resonance_hz=fit.resonance_hz)"
    )


def _have_resistance_alike(measured: CoilNumbers, good: CoilNumbers) -> None:
    ends = measured.reference_hz, good.reference_hz
    if ends[0] is None or ends[1] is None or abs(ends[0] / ends[1] - 1.0) <= _ONE_FREQUENCY:
        return
    raise ValueError(
        f"the resistance was measured at {ends[0]:.6g} Hz, that of the standard at {ends[1]:.6g} Hz: they do not compare; fit "
        "both with the same reference_hz"
    )


def _numbers_of(standard: Union[Design, Limits]) -> set[str]:
    """Return the numbers that a standard sets; a design with its capacitor sets resonance and Q too."""
    names = {name for name in (*NUMBERS, "direct_ohm") if getattr(standard, name, None) is not None}
    if isinstance(standard, Design) and "capacitance_farad" in names:
        names |= {"resonance_hz", "q"} if "resistance_ohm" in names else {"resonance_hz"}
    return names


def _ringing(measured: Any) -> Literal["not_tried", "seen", "none_seen"]:
    if isinstance(measured, RingDownFit):
        return "seen"
    ring = measured.ring if isinstance(measured, Check) else measured
    if not isinstance(ring, Ring):
        return "not_tried"
    if ring.resonance_hz is not None:
        return "seen"
    tapped = isinstance(measured, Check) and measured.signal.kind == "ring_down"
    died = ring.ring_down is not None and ring.ring_down.died is not None
    return "none_seen" if tapped and not died else "not_tried"
