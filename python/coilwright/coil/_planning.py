"""Tolerance, design, and the pickup coil."""

from __future__ import annotations

import collections.abc
import dataclasses
import json
import sys
from typing import Any, Literal, Optional

from .. import _core
from .._result import build
from ._antenna import ListenerState
from ._base import FloatArray, Modelled, Result, read_only, settings, to_records
from ._shapes import COPPER, Metal, Placement, SectionCoil, SolidWire, Wire


@dataclasses.dataclass(frozen=True, repr=False)
class Part(Result):
    """A part of a circuit: nominal value, relative tolerance (0.05 for 5 %), and how values spread within it.

    ``"three_sigma"`` is normal with the tolerance at three standard deviations, cut there.
    """

    name: str
    nominal: float
    relative_tolerance: float
    spread: Literal["even", "three_sigma", "triangle"] = "even"


@dataclasses.dataclass(frozen=True, repr=False)
class PartShare(Result):
    """What one part does to the result: relative sensitivity (−0.5 for L in f₀), deviation by itself, share of the
    variance."""

    name: str
    sensitivity: float
    std_dev: float
    variance_share: float


@dataclasses.dataclass(frozen=True, repr=False)
class Tolerance(Result):
    """How a result spreads with its parts.

    ``trials`` of shape (n,) are in rising order; ``parts`` has the one that matters most first.
    """

    nominal: float
    first_order_std_dev: float
    worst_case: tuple[float, ...]
    every_corner: bool
    mean: float
    std_dev: float
    central_95: tuple[float, ...]
    parts: tuple[PartShare, ...]
    trials: FloatArray = dataclasses.field(repr=False, compare=False)


def tolerance(
    function: collections.abc.Callable[..., float],
    parts: collections.abc.Sequence[Part],
    *,
    trials: int = 10_000,
    seed: int = 1,
) -> Tolerance:
    """Return how a result spreads with its parts: first order, worst case, and Monte Carlo.

    Parameters
    ----------
    function : callable
        Takes one float for each part, in order, and returns the result.
    parts : sequence of Part
        At most 100.
    trials, seed : int, optional
        Draws of the Monte Carlo, 100 to ten million, and what fixes them.

    Returns
    -------
    Tolerance

    Raises
    ------
    ModelError
        When a part makes no sense or a result is not finite. What the function raises comes out as it is.

    Examples
    --------
    >>> import math
    >>> from coilwright import coil
    >>> parts = [coil.Part("L", 1.62e-3, 0.02), coil.Part("C", 1e-9, 0.05)]
    >>> spread = coil.tolerance(lambda l, c: 1 / (2 * math.pi * math.sqrt(l * c)), parts)
    >>> spread.parts[0].name, round(spread.parts[0].sensitivity, 2)
    ('C', -0.5)
    """
    text, drawn = _core.coil_spread(function, settings(parts=list(parts)), trials, seed)
    return build(Tolerance, {**json.loads(text), "trials": read_only(drawn)})


@dataclasses.dataclass(frozen=True, repr=False)
class ShelfWire(Result):
    """A wire on the shelf: its metal and the diameter over the insulation."""

    wire: Wire
    insulated_diameter_m: float

    @classmethod
    def enamelled(cls, diameter_m: float) -> ShelfWire:
        """Return solid wire with a tenth of its diameter of enamel (common practice, no source)."""
        return cls(SolidWire(diameter_m), 1.1 * diameter_m)


@dataclasses.dataclass(frozen=True, repr=False)
class Winding(Result):
    """One winding that meets the aim; ``on_front`` where no other is as good in coupling, Q and metal at once.

    ``q`` is that of the coil alone at the frequency, ``tuning_farad`` what tunes it there, its own capacitance
    included.
    """

    wire: ShelfWire
    layers: int
    turns_per_layer: int
    turns: int
    length_m: float
    outer_radius_m: float
    inductance_henry: Modelled
    direct_ohm: float
    alternating_ohm: Modelled
    q: float
    tuning_farad: float
    coupling: Optional[float]
    wire_length_m: float
    metal_m3: float
    on_front: bool


class Windings(tuple[Winding, ...]):
    """Windings that meet an aim, those that nothing beats first, then by falling coupling and Q."""

    @property
    def front(self) -> tuple[Winding, ...]:
        """Those on the Pareto front of coupling, Q and metal."""
        return tuple(winding for winding in self if winding.on_front)

    def to_records(self) -> list[dict[str, Any]]:
        """Return one flat row a winding, as `coilwright.coil.to_records`."""
        return to_records(self)

    def _repr_html_(self) -> str:
        names = ("turns", "layers", "inductance_henry", "q", "alternating_ohm", "coupling", "wire_length_m", "on_front")
        head = "".join(f"<th>{name}</th>" for name in names)
        rows = ("".join(f"<td>{_cell(row.get(name))}</td>" for name in names) for row in self.to_records())
        return f"<table><tr>{head}</tr>{''.join(f'<tr>{row}</tr>' for row in rows)}</table>"


def design(
    shelf: collections.abc.Sequence[ShelfWire],
    *,
    former_radius_m: float,
    most_radius_m: float,
    most_length_m: float,
    inductance_henry: float,
    frequency_hz: float = 125e3,
    inductance_tolerance: float = 0.03,
    q: tuple[float, Optional[float]] = (0.0, None),
    partner: Optional[SectionCoil] = None,
    placement: Optional[Placement] = None,
    least_coupling: float = 0.0,
    metal: Metal = COPPER,
    temperature_c: float = 20.0,
) -> Windings:
    """Return the windings that meet an aim: every wire on the shelf in every number of layers.

    Parameters
    ----------
    shelf : sequence of ShelfWire
        At most 200 wires.
    former_radius_m, most_radius_m, most_length_m : float
        The room.
    inductance_henry, inductance_tolerance : float
        Wanted inductance, and the largest relative deviation from it.
    frequency_hz : float, optional
        Where resistance and Q count, hertz.
    q : tuple of float, optional
        Least and largest Q of the coil alone; ``None`` for no largest.
    partner, placement : SectionCoil and Placement, optional
        What the coil is to couple with, and where that lies.
    least_coupling : float, optional
        Least size of the coupling coefficient.
    metal, temperature_c
        As `resistance`.

    Returns
    -------
    Windings

    Raises
    ------
    ModelError
        ``reason`` ``"no_winding"`` where nothing meets the aim; ``details`` names what came nearest.
    """
    if (partner is None) != (placement is None):
        raise ValueError("partner and placement belong together: give both or neither")
    with_partner = None if partner is None else [{"coil": partner, "placement": placement}, least_coupling]
    least_q, largest_q = q
    aim = {
        "frequency_hz": frequency_hz,
        "inductance_henry": inductance_henry,
        "inductance_tolerance": inductance_tolerance,
        "q": [least_q, sys.float_info.max if largest_q is None else largest_q],
        "partner": with_partner,
        "metal": metal,
        "temperature_c": temperature_c,
    }
    room = {"former_radius_m": former_radius_m, "most_radius_m": most_radius_m, "most_length_m": most_length_m}
    rows = json.loads(_core.coil_design(settings(room=room, shelf=list(shelf), aim=aim)))
    return Windings(dataclasses.replace(build(Winding, {**row, "wire": None}), wire=shelf[row["wire"]]) for row in rows)


@dataclasses.dataclass(frozen=True, repr=False)
class PickupPlan(Result):
    """A pickup coil to wind and what to expect of it; ``warnings`` say in words what to mind, hazards among them."""

    turns: int
    turns_per_layer: int
    layers: int
    wire_length_m: float
    inductance_henry: Modelled
    resistance_ohm: Modelled
    self_capacitance_farad: float
    capacitance_farad: float
    listener: ListenerState
    expected_peak_volt: float
    cautions: tuple[dict[str, Any], ...] = dataclasses.field(repr=False)
    warnings: tuple[str, ...]


def plan_pickup(
    wire: SolidWire,
    *,
    former_radius_m: float,
    former_length_m: float,
    wire_length_m: float,
    insulated_diameter_m: Optional[float] = None,
    input_ohm: float = 1e6,
    input_farad: float = 20e-12,
    cable_farad: float = 100e-12,
    full_scale_peak_volt: float = 10.0,
    ring_radius_m: float = 17.5e-3,
    ring_peak_ampere_turns: float = 10.0,
    distance_m: float = 20e-3,
    carrier_hz: float = 125e3,
) -> PickupPlan:
    """Return a pickup coil with as many turns as wire, former, its own resonance and the input allow.

    Parameters
    ----------
    wire : SolidWire
        Bare copper.
    former_radius_m, former_length_m, wire_length_m : float
        Former and wire at hand.
    insulated_diameter_m : float, optional
        Over the insulation; a tenth more than the wire where not given.
    input_ohm, input_farad, cable_farad, full_scale_peak_volt : float, optional
        The recorder's input and the cable to it.
    ring_radius_m, ring_peak_ampere_turns, distance_m, carrier_hz : float, optional
        The ring that is to be heard, and from where; a lock of 35 mm where not given (common practice, no source).

    Returns
    -------
    PickupPlan

    Raises
    ------
    ModelError
        When a size makes no sense or not one turn fits.
    """
    insulated = 1.1 * wire.diameter_m if insulated_diameter_m is None else insulated_diameter_m
    text = settings(
        materials={
            "former_radius_m": former_radius_m,
            "former_length_m": former_length_m,
            "wire_diameter_m": wire.diameter_m,
            "insulated_diameter_m": insulated,
            "wire_length_m": wire_length_m,
        },
        input={
            "resistance_ohm": input_ohm,
            "capacitance_farad": input_farad,
            "cable_farad": cable_farad,
            "full_scale_peak_volt": full_scale_peak_volt,
        },
        ring={
            "radius_m": ring_radius_m,
            "peak_ampere_turns": ring_peak_ampere_turns,
            "distance_m": distance_m,
            "carrier_hz": carrier_hz,
        },
    )
    return build(PickupPlan, json.loads(_core.coil_pickup(text)))


def _cell(value: Any) -> str:
    return f"{value:.5g}" if isinstance(value, float) else "" if value is None else str(value)
