"""Tables as files hold them; arrays are read-only."""

from __future__ import annotations

import dataclasses
from typing import Optional

from ._base import ComplexArray, FloatArray, Result
from ._fits import array_field


@dataclasses.dataclass(frozen=True, repr=False)
class Touchstone(Result):
    """A network analyser's file: ``frequencies_hz`` of shape (n,), ``scattering`` of shape (n, ports, ports).

    ``scattering[:, 1, 0]`` is S21, from port 1 to port 2.
    """

    file: str
    reference_ohm: tuple[float, ...]
    warnings: tuple[str, ...]
    frequencies_hz: FloatArray = array_field()
    scattering: ComplexArray = array_field()

    @property
    def ports(self) -> int:
        """Number of ports: 1 or 2."""
        return len(self.reference_ohm)


@dataclasses.dataclass(frozen=True, repr=False)
class ImpedanceTable(Result):
    """An impedance meter's table; arrays of shape (n,)."""

    file: str
    warnings: tuple[str, ...]
    frequencies_hz: FloatArray = array_field()
    impedances_ohm: ComplexArray = array_field()


@dataclasses.dataclass(frozen=True, repr=False)
class SweepTable(Result):
    """A table of amplitudes over frequency, linear, and the complex response where it has phases; arrays of shape (n,)."""

    file: str
    warnings: tuple[str, ...]
    frequencies_hz: FloatArray = array_field()
    amplitudes: FloatArray = array_field()
    response: Optional[ComplexArray] = array_field()
