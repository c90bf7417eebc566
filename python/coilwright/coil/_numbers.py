"""The numbers of a coil that every fit speaks of, under one name each, and by which definition."""

from __future__ import annotations

import dataclasses
from typing import Any, ClassVar, Literal, Optional, Union

from .._result import Check, Estimate, Ring
from ._base import Result, estimate

Number = Union[float, tuple[float, float], Estimate, None]
Loading = Literal["loaded", "unloaded"]
NUMBERS = ("resonance_hz", "q", "inductance_henry", "resistance_ohm", "capacitance_farad")
"""What a row of every fit has, each with its deviation."""


@dataclasses.dataclass(frozen=True, repr=False)
class CoilNumbers(Result):
    """Numbers of a coil, each of which may be missing; make them with `coil_numbers`.

    ``resonance_hz`` is undamped; ``q_definition`` says whether Q is with all that was connected or without, ``None`` where
    nobody said; ``reference_hz`` is where the resistance was measured, ``None`` for the resonance; ``kind`` is that of
    the fit.
    """

    resonance_hz: Optional[Estimate] = None
    q: Optional[Estimate] = None
    inductance_henry: Optional[Estimate] = None
    resistance_ohm: Optional[Estimate] = None
    capacitance_farad: Optional[Estimate] = None
    direct_ohm: Optional[Estimate] = None
    q_definition: Optional[Loading] = None
    reference_hz: Optional[float] = None
    kind: str = "numbers"

    def to_record(self) -> dict[str, Any]:
        """Return the numbers as one flat row, in the columns of a fit."""
        return row(self.kind, super().to_record(), {"resonance_hz": "undamped", "q": self.q_definition})

    def given(self) -> dict[str, Estimate]:
        """Return the numbers that are there, by name."""
        each = {name: getattr(self, name) for name in (*NUMBERS, "direct_ohm")}
        return {name: value for name, value in each.items() if value is not None}


class Fit(Result):
    """A fit of a measurement. Its row has the same columns for the same quantities whichever fit it is of.

    ``kind`` is the name of the fit: ``"ring_down"`` of a `RingDownFit`.
    """

    kind: ClassVar[str]
    _resonance_definition: ClassVar[str] = "undamped, loaded"
    _q_definition: ClassVar[Loading] = "loaded"
    _q_place: ClassVar[str] = ""
    _capacitance_definition: ClassVar[Optional[str]] = None
    _gives: ClassVar[dict[str, str]] = {"resonance_hz": "resonance_hz", "q": "q"}
    """Which attribute holds which of the coil's numbers."""
    _columns: ClassVar[dict[str, str]] = {}
    """Beginnings of names of numbers, and what they are called in a row; the first that fits counts."""

    @property
    def numbers(self) -> CoilNumbers:
        """The numbers of the coil by their common names, as `judge` takes them."""
        each: dict[str, Any] = {number: getattr(self, name) for number, name in self._gives.items()}
        return CoilNumbers(**each, q_definition=self._q_definition, kind=self.kind)

    def to_record(self) -> dict[str, Any]:
        """Return the numbers as one flat row that begins with the same columns for every fit.

        ``kind``; ``resonance_hz``, ``q``, ``inductance_henry``, ``resistance_ohm`` and ``capacitance_farad``, each with
        ``_std_dev``, ``None`` where the fit has none; ``resonance_definition``, ``q_definition`` and
        ``capacitance_definition``, which say what was measured; then all else that the fit has.
        """
        flat = {self._column(name): item for name, item in super().to_record().items()}
        definitions: dict[str, Optional[str]] = {
            "resonance_hz": self._resonance_definition,
            "q": self._q_definition + self._q_place,
            "capacitance_farad": self._capacitance_definition,
        }
        return row(self.kind, flat, definitions)

    def _column(self, name: str) -> str:
        for begin, column in self._columns.items():
            if name.startswith(begin):
                return column + name[len(begin) :]
        return name


def row(kind: str, flat: dict[str, Any], definitions: dict[str, Optional[str]]) -> dict[str, Any]:
    """Return a row that begins with the columns of every fit."""
    record: dict[str, Any] = {"kind": kind}
    for name in NUMBERS:
        record[name], record[f"{name}_std_dev"] = flat.get(name), flat.get(f"{name}_std_dev")
        if name in _DEFINED:
            record[_DEFINED[name]] = None if record[name] is None else definitions.get(name)
    return {**record, **{name: item for name, item in flat.items() if name not in record}}


_DEFINED = {
    "resonance_hz": "resonance_definition",
    "q": "q_definition",
    "capacitance_farad": "capacitance_definition",
}


def coil_numbers(
    measured: Union[CoilNumbers, Fit, Check, Ring, None] = None,
    *,
    resonance_hz: Number = None,
    q: Number = None,
    inductance_henry: Number = None,
    resistance_ohm: Number = None,
    capacitance_farad: Number = None,
    direct_ohm: Number = None,
    q_definition: Optional[Loading] = None,
) -> CoilNumbers:
    """Return numbers of a coil for `judge`: those of a fit, and those that are given by name in their place.

    Parameters
    ----------
    measured : Fit, Check, Ring or CoilNumbers, optional
        Any fit of this module, what `coilwright.check` returns, or its ``ring``. A `CoilFit` gives inductance, resistance
        and the coil's own Q: the capacitance across it may be its own or a tuning capacitor's, which a table cannot
        tell.
    resonance_hz, q, inductance_henry, resistance_ohm, capacitance_farad, direct_ohm : float, tuple or Estimate, optional
        A number, ``(value, std_dev)``, or the estimate of a fit; hertz, henry, ohm, farad. The resonance is undamped,
        the direct-current resistance at 20 °C.
    q_definition : {"loaded", "unloaded"}, optional
        Whether Q is with all that was connected, or of the coil and its capacitor alone. A fit knows its own.

    Returns
    -------
    CoilNumbers

    Examples
    --------
    >>> from coilwright import coil
    >>> numbers = coil.coil_numbers(resonance_hz=(125e3, 20.0), q=(28.0, 0.1), q_definition="loaded")
    >>> numbers.q
    Estimate(value=28.0, std_dev=0.1)
    """
    given: dict[str, Any] = {
        "resonance_hz": estimate(resonance_hz),
        "q": estimate(q),
        "inductance_henry": estimate(inductance_henry),
        "resistance_ohm": estimate(resistance_ohm),
        "capacitance_farad": estimate(capacitance_farad),
        "direct_ohm": estimate(direct_ohm),
        "q_definition": q_definition,
    }
    return dataclasses.replace(_of(measured), **{name: item for name, item in given.items() if item is not None})


def _of(measured: Any) -> CoilNumbers:
    if measured is None:
        return CoilNumbers()
    if isinstance(measured, CoilNumbers):
        return measured
    if isinstance(measured, Fit):
        return measured.numbers
    if isinstance(measured, Check):
        kind = "ring_down" if measured.signal.kind == "ring_down" else "switching_edges"
        return dataclasses.replace(_of(measured.ring), kind=kind)
    if isinstance(measured, Ring):
        down = measured.ring_down
        seen = down.died if measured.resonance_hz is None and down is not None and down.died is not None else measured
        return CoilNumbers(seen.resonance_hz, seen.q, q_definition="loaded", kind="ring")
    raise TypeError(
        f"a {type(measured).__name__} is no measurement of a coil: expected a fit, what coilwright.check returns, its ring, "
        "or what coil_numbers returns"
    )
