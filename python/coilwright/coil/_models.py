"""Models of coils: from geometry to inductance, resistance, capacitance, coupling, and the antenna circuit."""

from __future__ import annotations

import dataclasses
from typing import Literal, Optional, Union

from .. import _core
from .._result import build
from ._base import Modelled, Result
from ._shapes import (
    COPPER,
    CircularLoop,
    FerriteRod,
    FlatSpiral,
    LayerWinding,
    Metal,
    Placement,
    RectangularCoil,
    RectangularLoop,
    SectionCoil,
    Shape,
    Solenoid,
    SolidWire,
    Wire,
    ask,
    ask_formula,
)

_FORMULAS: dict[type, dict[Optional[str], str]] = {
    CircularLoop: {None: "loop", "rayleigh_niven": "loop_rayleigh_niven"},
    RectangularLoop: {None: "rectangle"},
    RectangularCoil: {None: "rectangular_coil"},
    Solenoid: {None: "sheet", "wheeler_1928": "wheeler1928", "wheeler_1982": "wheeler1982"},
    FlatSpiral: {None: "spiral"},
    SectionCoil: {None: "section", "wheeler_1928": "section_wheeler1928"},
    LayerWinding: {None: "turn_sum", "section": "multilayer"},
}


@dataclasses.dataclass(frozen=True, repr=False)
class WindingResistance(Result):
    """Resistance of a winding, ohm: to direct current, at the frequency, and what of that skin and proximity effect
    add."""

    direct_ohm: float
    alternating_ohm: Modelled
    skin_ohm: float
    proximity_ohm: float


@dataclasses.dataclass(frozen=True, repr=False)
class SkinEffect(Result):
    """A straight round wire at a frequency: resistance and internal inductance over those of direct current, and the
    skin depth."""

    resistance_ratio: float
    internal_inductance_ratio: float
    skin_depth_m: float


@dataclasses.dataclass(frozen=True, repr=False)
class Coupling(Result):
    """Coupling coefficient M/√(L₁L₂), −1 to 1, and the mutual inductance that it comes from, henry."""

    coefficient: Modelled
    mutual_henry: Modelled


@dataclasses.dataclass(frozen=True, repr=False)
class ImpedanceChange(Result):
    """What a metal body adds to a coil's inductance, henry, and resistance, ohm."""

    inductance_henry: Modelled
    resistance_ohm: Modelled


def inductance(shape: Shape, *, formula: Optional[str] = None) -> Modelled:
    """Return the inductance of a coil from its shape.

    Parameters
    ----------
    shape : CircularLoop, RectangularLoop, RectangularCoil, Solenoid, FlatSpiral, SectionCoil or LayerWinding
        The coil.
    formula : str, optional
        A second formula for the same shape: ``"rayleigh_niven"`` for a loop, ``"wheeler_1928"`` and
        ``"wheeler_1982"`` for a
        solenoid, ``"wheeler_1928"`` for a section, ``"section"`` for a winding. The most accurate where not given.

    Returns
    -------
    Modelled
        Henry, with the formula, its reference and its accuracy for this geometry.

    Raises
    ------
    ModelError
        When a size makes no sense or the formula does not hold for the shape.

    Examples
    --------
    >>> from coilwright import coil
    >>> print(coil.inductance(coil.CircularLoop(radius_m=0.25, wire_diameter_m=1e-3)))
    2.05587e-06 (within 0.00013 %)
    """
    known = _FORMULAS.get(type(shape))
    if known is None:
        raise TypeError(
            f"shape is a {type(shape).__name__}, expected one of {', '.join(kind.__name__ for kind in _FORMULAS)}"
        )
    if formula not in known:
        raise ValueError(
            f"formula {formula!r} for a {type(shape).__name__}: expected {' or '.join(repr(name) for name in known)}"
        )
    plain = (
        shape._plain()
        if hasattr(shape, "_plain")
        else {f.name: getattr(shape, f.name) for f in dataclasses.fields(shape)}
    )
    return build(Modelled, ask_formula(known[formula], **plain))


def resistance(
    winding: LayerWinding,
    *,
    frequency_hz: float,
    wire: Optional[Wire] = None,
    metal: Metal = COPPER,
    temperature_c: float = 20.0,
) -> WindingResistance:
    """Return the resistance of a winding with skin and proximity effect.

    Parameters
    ----------
    winding : LayerWinding
        The coil, without a core.
    frequency_hz : float
        Frequency, hertz.
    wire : SolidWire or LitzWire, optional
        Solid wire of the winding's diameter where not given.
    metal : Metal, optional
        Copper where not given.
    temperature_c : float, optional
        Temperature of the metal, degrees Celsius.

    Returns
    -------
    WindingResistance

    Raises
    ------
    ModelError
        When a size makes no sense or the model does not hold.
    """
    wire = SolidWire(winding.wire_diameter_m) if wire is None else wire
    answer = ask(
        "resistance", winding=winding, wire=wire, metal=metal, temperature_c=temperature_c, frequency_hz=frequency_hz
    )
    return build(WindingResistance, answer)


def skin_effect(
    diameter_m: float, *, frequency_hz: float, metal: Metal = COPPER, temperature_c: float = 20.0
) -> SkinEffect:
    """Return the skin effect of a straight round wire: exact, by Bessel functions.

    Parameters
    ----------
    diameter_m : float
        Diameter of the metal, metres.
    frequency_hz, metal, temperature_c
        As `resistance`.

    Returns
    -------
    SkinEffect
    """
    answer = ask("skin", diameter_m=diameter_m, metal=metal, temperature_c=temperature_c, frequency_hz=frequency_hz)
    return build(SkinEffect, answer)


def self_capacitance(
    shape: Union[Solenoid, LayerWinding],
    *,
    insulated_diameter_m: Optional[float] = None,
    relative_permittivity: float = 3.5,
    order: Literal["there_and_back", "same_side"] = "there_and_back",
) -> Modelled:
    """Return the self-capacitance of a coil.

    Parameters
    ----------
    shape : Solenoid or LayerWinding
        Medhurst's table for a single layer with one end earthed (5 %), the energy between layers for more (30 %).
    insulated_diameter_m : float, optional
        Diameter over the insulation; the pitch of the turns where not given. Only for layers.
    relative_permittivity : float, optional
        Of the insulation; enamel has about 3.5 (common practice, no source). Only for layers.
    order : {"there_and_back", "same_side"}, optional
        Where each layer starts. Only for layers.

    Returns
    -------
    Modelled
        Farad.

    Raises
    ------
    ModelError
        When a size makes no sense or the model does not hold.
    """
    if isinstance(shape, LayerWinding) and shape.sizes.layers > 1:
        answer = ask_formula(
            "layered",
            winding=shape,
            insulated_diameter_m=shape.pitch_m if insulated_diameter_m is None else insulated_diameter_m,
            relative_permittivity=relative_permittivity,
            order=order,
        )
    else:
        solenoid = shape.solenoid if isinstance(shape, LayerWinding) else shape
        answer = ask_formula("medhurst", **{f.name: getattr(solenoid, f.name) for f in dataclasses.fields(solenoid)})
    return build(Modelled, answer)


def rod_permeability(rod: FerriteRod) -> Modelled:
    """Return the apparent permeability of a rod in an even field along it, good to 25 %."""
    return build(Modelled, ask_formula("rod", **{f.name: getattr(rod, f.name) for f in dataclasses.fields(rod)}))


def mutual_of_circles(first_radius_m: float, second_radius_m: float, *, placement: Placement) -> Modelled:
    """Return the mutual inductance of two circles of thin wire in any position.

    Parameters
    ----------
    first_radius_m, second_radius_m : float
        Radii, metres.
    placement : Placement
        Where the second lies.

    Returns
    -------
    Modelled
        Henry; positive where the axes agree.
    """
    answer = ask_formula("circles", first_radius_m=first_radius_m, second_radius_m=second_radius_m, placement=placement)
    return build(Modelled, answer)


def coupling(
    first: Union[SectionCoil, LayerWinding], second: Union[SectionCoil, LayerWinding], *, placement: Placement
) -> Coupling:
    """Return the coupling of two coils in any position: coaxial, displaced, tilted.

    Parameters
    ----------
    first, second : SectionCoil or LayerWinding
        The coils.
    placement : Placement
        Where the second's centre lies, seen from the first's.

    Returns
    -------
    Coupling

    Raises
    ------
    ModelError
        When a size makes no sense or the coils touch.
    """
    sections = [coil.section if isinstance(coil, LayerWinding) else coil for coil in (first, second)]
    return build(Coupling, ask("coupling", first=sections[0], second=sections[1], placement=placement))


def metal_below(
    coil: Union[SectionCoil, LayerWinding],
    *,
    gap_m: float,
    resistivity_ohm_m: float,
    frequency_hz: float,
    relative_permeability: float = 1.0,
) -> ImpedanceChange:
    """Return what a wide and thick metal body below a coil adds to its inductance and resistance.

    Parameters
    ----------
    coil : SectionCoil or LayerWinding
        The coil, its axis upright on the body.
    gap_m : float
        From the coil's lower end to the body, metres.
    resistivity_ohm_m, relative_permeability : float
        Of the body.
    frequency_hz : float
        Frequency, hertz.

    Returns
    -------
    ImpedanceChange
    """
    section = coil.section if isinstance(coil, LayerWinding) else coil
    body = {"gap_m": gap_m, "resistivity_ohm_m": resistivity_ohm_m, "relative_permeability": relative_permeability}
    return build(ImpedanceChange, ask("half_space", coil=section, body=body, frequency_hz=frequency_hz))


def awg_diameter_m(gauge: int) -> float:
    """Return the diameter of a solid wire of an American wire gauge, metres; 00 is −1."""
    return float(_core.coil_awg_diameters([gauge])[0])
