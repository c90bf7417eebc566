"""Coils, wires and circuits as frozen objects that the models take; all sizes in metres."""

from __future__ import annotations

import dataclasses
import json
from typing import Any, Literal, Optional, Union

from .. import _core
from .._result import build
from ._base import Result, settings

Spread = Literal["uniform", "surface"]


@dataclasses.dataclass(frozen=True, repr=False)
class Metal(Result):
    """A metal as a conductor: resistivity at 20 °C in ohm metres and its change per kelvin."""

    resistivity_20c_ohm_m: float
    temperature_coefficient_per_k: float


COPPER = Metal(1.7241e-8, 0.00393)
"""Annealed copper of 100 % IACS (NBS Handbook 100, second hand; temperature coefficient from memory)."""
ALUMINIUM = Metal(2.8264e-8, 0.00403)
"""Aluminium for conductors, 61 % IACS (from memory)."""


@dataclasses.dataclass(frozen=True, repr=False)
class CircularLoop(Result):
    """One circular turn of round wire; the radius is to the wire's centre."""

    radius_m: float
    wire_diameter_m: float
    current: Spread = "uniform"

    def _plain(self) -> dict[str, Any]:
        return {"radius_m": self.radius_m, "conductor": conductor(self.wire_diameter_m, self.current)}


@dataclasses.dataclass(frozen=True, repr=False)
class RectangularLoop(Result):
    """One rectangular turn of round wire, measured between the wire's centres."""

    width_m: float
    height_m: float
    wire_diameter_m: float
    current: Spread = "uniform"

    def _plain(self) -> dict[str, Any]:
        wire = conductor(self.wire_diameter_m, self.current)
        return {"width_m": self.width_m, "height_m": self.height_m, "conductor": wire}


@dataclasses.dataclass(frozen=True, repr=False)
class RectangularCoil(Result):
    """A rectangular coil whose turns fill a rectangular bundle; sides to the middle of the bundle."""

    width_m: float
    height_m: float
    bundle_length_m: float
    bundle_depth_m: float
    turns: float


@dataclasses.dataclass(frozen=True, repr=False)
class Solenoid(Result):
    """A single layer: diameter between the wire's centres, length as turns times pitch."""

    diameter_m: float
    length_m: float
    turns: float


@dataclasses.dataclass(frozen=True, repr=False)
class FlatSpiral(Result):
    """A flat spiral."""

    inner_diameter_m: float
    outer_diameter_m: float
    turns: float
    outline: Literal["circle", "square", "hexagon", "octagon"] = "circle"


@dataclasses.dataclass(frozen=True, repr=False)
class SectionCoil(Result):
    """Turns spread evenly over a rectangular section around an axis; length and depth may be zero for a bundle of
    circles."""

    mean_radius_m: float
    axial_length_m: float
    radial_depth_m: float
    turns: float

    def _plain(self) -> dict[str, Any]:
        section = {
            "mean_radius_m": self.mean_radius_m,
            "axial_length_m": self.axial_length_m,
            "radial_depth_m": self.radial_depth_m,
        }
        return {"section": section, "turns": float(self.turns)}


@dataclasses.dataclass(frozen=True, repr=False)
class LayerWinding(Result):
    """Layers of round wire on a round former; ``pitch_m`` is the distance of turns, and of layers where
    ``layer_pitch_m`` is not given."""

    former_radius_m: float
    turns: int
    turns_per_layer: int
    pitch_m: float
    wire_diameter_m: float
    layer_pitch_m: Optional[float] = None
    current: Spread = "uniform"

    def _plain(self) -> dict[str, Any]:
        return {
            "former_radius_m": self.former_radius_m,
            "turns": self.turns,
            "turns_per_layer": self.turns_per_layer,
            "axial_pitch_m": self.pitch_m,
            "layer_pitch_m": self.pitch_m if self.layer_pitch_m is None else self.layer_pitch_m,
            "conductor": conductor(self.wire_diameter_m, self.current),
        }

    @property
    def sizes(self) -> WindingSizes:
        """Layers, length of wire, turns area and section of the winding."""
        return build(WindingSizes, ask("winding", **self._plain()))

    @property
    def section(self) -> SectionCoil:
        """The winding as turns spread over its section."""
        sizes = self.sizes
        return SectionCoil(sizes.mean_radius_m, sizes.axial_length_m, sizes.radial_depth_m, float(self.turns))

    @property
    def solenoid(self) -> Solenoid:
        """The first layer as a solenoid that holds all turns; the same coil where there is one layer."""
        return Solenoid(
            2.0 * self.former_radius_m + self._plain()["layer_pitch_m"], self.turns * self.pitch_m, float(self.turns)
        )


@dataclasses.dataclass(frozen=True, repr=False)
class WindingSizes(Result):
    """What follows from a winding's geometry; ``turns_area_m2`` is the area of all turns together."""

    layers: int
    wire_length_m: float
    turns_area_m2: float
    mean_radius_m: float
    axial_length_m: float
    radial_depth_m: float


@dataclasses.dataclass(frozen=True, repr=False)
class SolidWire(Result):
    """One round conductor."""

    diameter_m: float

    def _plain(self) -> dict[str, Any]:
        return {"kind": "solid", "diameter_m": self.diameter_m}


@dataclasses.dataclass(frozen=True, repr=False)
class LitzWire(Result):
    """Insulated strands, woven so that all carry the same current."""

    strands: int
    strand_diameter_m: float
    bundle_diameter_m: float

    def _plain(self) -> dict[str, Any]:
        return {"kind": "litz", **{field.name: getattr(self, field.name) for field in dataclasses.fields(self)}}


@dataclasses.dataclass(frozen=True, repr=False)
class FerriteRod(Result):
    """A ferrite rod."""

    length_m: float
    diameter_m: float
    initial_permeability: float


@dataclasses.dataclass(frozen=True, repr=False)
class Placement(Result):
    """Where a second coil lies, seen from the first, whose axis is z: along it, beside it, and how its axis is
    tilted, radians.

    ``tilt_direction_rad`` is 0 where the second axis tilts along the displacement, π/2 across it.
    """

    axial_m: float
    lateral_m: float = 0.0
    tilt_rad: float = 0.0
    tilt_direction_rad: float = 0.0


Wire = Union[SolidWire, LitzWire]
Shape = Union[CircularLoop, RectangularLoop, RectangularCoil, Solenoid, FlatSpiral, SectionCoil, LayerWinding]


def conductor(diameter_m: float, current: Spread) -> dict[str, Any]:
    """Return a round wire as inductance sees it."""
    return {"shape": {"kind": "round", "diameter_m": diameter_m}, "spread": {"kind": current}}


def ask(model: str, **arguments: Any) -> Any:
    """Return what a model of the core answers."""
    return json.loads(_core.coil_model(settings(model=model, **arguments)))


def ask_formula(formula: str, **arguments: Any) -> Any:
    """Return what one formula of the core answers."""
    return json.loads(_core.coil_formula(settings(formula=formula, **arguments)))
