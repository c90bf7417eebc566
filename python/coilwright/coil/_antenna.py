"""The antenna circuit: tuning, drive, bandwidth, the field at a key, and a pickup coil at its input."""

from __future__ import annotations

import dataclasses
import math
from typing import Any, Literal

from .._result import build
from ._base import Result
from ._shapes import ask


@dataclasses.dataclass(frozen=True, repr=False)
class DrivenState(Result):
    """A driven ring at its carrier. Q unloaded is the coil's alone, loaded that with the driver; currents and volts
    are peaks."""

    resonance_hz: float
    unloaded_q: float
    loaded_q: float
    bandwidth_hz: float
    coil_peak_ampere: float
    capacitor_peak_volt: float
    driver_peak_ampere: float
    coil_watt: float


@dataclasses.dataclass(frozen=True, repr=False)
class ListenerState(Result):
    """A pickup coil at a recorder's input: own resonance and Q, gain and phase over the open coil, volts per tesla."""

    resonance_hz: float
    q: float
    gain: float
    phase_rad: float
    volt_per_tesla: float


@dataclasses.dataclass(frozen=True, repr=False)
class BitRateFit(Result):
    """How a ring's bandwidth and a bit rate go together; levels of sidebands over the carrier's, decibels."""

    time_constant_s: float
    bandwidth_hz: float
    time_constants_per_half_bit: float
    full_rate_sideband_db: float
    half_rate_sideband_db: float
    most_q: float


def tuning_farad(inductance_henry: float, *, resonance_hz: float) -> float:
    """Return the capacitance that tunes an inductance to a resonance, farad."""
    return _number(ask("tuning", inductance_henry=inductance_henry, resonance_hz=resonance_hz))


def driven_ring(
    *,
    inductance_henry: float,
    coil_ohm: float,
    capacitance_farad: float,
    drive_peak_volt: float,
    carrier_hz: float,
    driver_ohm: float,
    tank: Literal["series", "parallel"] = "series",
) -> DrivenState:
    """Return the state of an antenna circuit at its carrier.

    A driven ring holds hundreds of volts: ``capacitor_peak_volt`` says how many before anything is touched.

    Parameters
    ----------
    inductance_henry, coil_ohm, capacitance_farad : float
        The ring.
    drive_peak_volt, carrier_hz, driver_ohm : float
        The driver: peak voltage, frequency and resistance.
    tank : {"series", "parallel"}, optional
        How the driver feeds the ring.

    Returns
    -------
    DrivenState
    """
    answer = ask(
        "driven",
        inductance_henry=inductance_henry,
        coil_ohm=coil_ohm,
        capacitance_farad=capacitance_farad,
        tank={"kind": tank, "driver_ohm": driver_ohm},
        drive_peak_volt=drive_peak_volt,
        carrier_hz=carrier_hz,
    )
    return build(DrivenState, answer)


def pickup_at_input(
    *,
    turns_area_m2: float,
    inductance_henry: float,
    resistance_ohm: float,
    capacitance_farad: float,
    input_ohm: float,
    frequency_hz: float,
) -> ListenerState:
    """Return what a pickup coil gives at a recorder's input.

    Parameters
    ----------
    turns_area_m2, inductance_henry, resistance_ohm : float
        The coil; ``LayerWinding.sizes`` has the area of all turns.
    capacitance_farad, input_ohm : float
        Own, cable's and input's capacitance, and the input's resistance.
    frequency_hz : float
        Frequency, hertz.

    Returns
    -------
    ListenerState
    """
    listener = {
        "turns_area_m2": turns_area_m2,
        "inductance_henry": inductance_henry,
        "resistance_ohm": resistance_ohm,
        "capacitance_farad": capacitance_farad,
        "input_ohm": input_ohm,
    }
    return build(ListenerState, ask("listener", listener=listener, frequency_hz=frequency_hz))


def bit_rate_fit(*, resonance_hz: float, q: float, bits_per_second: float) -> BitRateFit:
    """Return how a ring's bandwidth and a bit rate go together."""
    return build(BitRateFit, ask("bit_rate", resonance_hz=resonance_hz, q=q, bits_per_second=bits_per_second))


def axial_field_tesla(radius_m: float, *, ampere_turns: float, distance_m: float) -> float:
    """Return the flux density on the axis of a circular coil, tesla; peak for a peak current."""
    return _number(ask("axial_field", radius_m=radius_m, ampere_turns=ampere_turns, distance_m=distance_m))


def key_volt(
    *, turns: float, area_m2: float, q: float, field_tesla: float, frequency_hz: float, angle_rad: float = 0.0
) -> float:
    """Return the voltage of a key's tuned coil in an even field, volts; peak for a peak field."""
    answer = ask(
        "key_volt",
        turns=turns,
        area_m2=area_m2,
        q=q,
        field_tesla=field_tesla,
        frequency_hz=frequency_hz,
        angle_rad=angle_rad,
    )
    return _number(answer)


def energising_range_m(radius_m: float, *, ampere_turns: float, needed_tesla: float) -> float:
    """Return how far on its axis a circular coil makes a field, metres."""
    return _number(ask("range", radius_m=radius_m, ampere_turns=ampere_turns, needed_tesla=needed_tesla))


def _number(answer: Any) -> float:
    return float(math.nan if answer is None else answer)
