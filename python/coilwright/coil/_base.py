"""What all results of coils share: how they print, and their way into a table."""

from __future__ import annotations

import collections.abc
import dataclasses
import functools
import json
import math
import os
import typing
from html import escape
from typing import Any, Literal, Optional, Union

import numpy as np
import numpy.typing as npt

from .._result import Estimate

FloatArray = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]
Path = Union[str, "os.PathLike[str]"]
Quantity = Literal["current", "capacitor_voltage", "coil_voltage"]
Background = Literal["none", "constant", "sloped", "slope_if_seen"]
FeedLine = Literal["none", "fitted"]
Weighting = Literal["equal", "angular"]


class Result:
    """A frozen result that prints its numbers and becomes a row of a table; arrays are left out of both."""

    def to_record(self) -> dict[str, Any]:
        """Return the numbers as one flat row: an estimate as ``name`` and ``name_std_dev``, a complex number as
        ``name_real`` and ``name_imag``, parts with their names joined.

        `to_records` makes rows of many results for a table.
        """
        record: dict[str, Any] = {}
        _flatten(record, "", self)
        return record

    def __repr__(self) -> str:
        shown = ", ".join(f"{name}={text}" for name, text in _shown(self))
        return f"{type(self).__name__}({shown})"

    def _repr_html_(self) -> str:
        rows = "".join(f"<tr><th>{escape(name)}</th><td>{escape(text)}</td></tr>" for name, text in _shown(self))
        return f"<table><caption>{type(self).__name__}</caption>{rows}</table>"


@dataclasses.dataclass(frozen=True, repr=False)
class Formula(Result):
    """A published formula and where it stands."""

    name: str
    reference: str


@dataclasses.dataclass(frozen=True, repr=False)
class Modelled(Result):
    """A number of a model, the largest relative error that its formula is stated to have here, and the formula."""

    value: float
    relative_accuracy: float
    formula: Formula

    @property
    def absolute_accuracy(self) -> float:
        """The largest absolute error that the formula is stated to have here, in the unit of the value."""
        return abs(self.value) * self.relative_accuracy

    def __float__(self) -> float:
        return self.value

    def __str__(self) -> str:
        return f"{self.value:.6g} (within {100.0 * self.relative_accuracy:.2g} %)"


def to_records(
    results: Union[collections.abc.Mapping[str, Result], collections.abc.Iterable[Result]],
) -> list[dict[str, Any]]:
    """Return one flat row a result, for a table of any library.

    Rows of fits begin with the same columns for the same quantities, whichever fits they are of (`Fit.to_record`).
    ``pandas.DataFrame(rows)`` takes them as they are; of many rows ``polars.DataFrame(rows, infer_schema_length=None)``
    looks at all for the kind of a column, which may be missing in the first.

    Parameters
    ----------
    results : mapping of str to result, or iterable of results
        The keys of a mapping become the column ``label``.

    Returns
    -------
    list of dict
        As `Result.to_record`; all rows have all columns, ``None`` where a result has no such number.

    Examples
    --------
    >>> from coilwright import coil
    >>> winding = coil.LayerWinding(15e-3, turns=100, turns_per_layer=20, pitch_m=0.3e-3, wire_diameter_m=0.25e-3)
    >>> rows = coil.to_records({"ring": coil.resistance(winding, frequency_hz=125e3)})
    >>> rows[0]["label"], round(rows[0]["direct_ohm"], 1)
    ('ring', 3.5)
    """
    if isinstance(results, collections.abc.Mapping):
        rows = [{"label": label, **result.to_record()} for label, result in results.items()]
    else:
        rows = [result.to_record() for result in results]
    names = list(dict.fromkeys(name for row in rows for name in row))
    return [{name: row.get(name) for name in names} for row in rows]


def settings(**values: Any) -> str:
    """Return settings as the core takes them; numbers that are not finite are refused by name."""
    return json.dumps({name: _plain(name, value) for name, value in values.items()})


def real(values: npt.ArrayLike, name: str) -> FloatArray:
    """Return one-dimensional real numbers."""
    return np.ascontiguousarray(_one_dimensional(values, name, "fiu"), np.float64)


def real_samples(values: npt.ArrayLike, name: str) -> npt.NDArray[np.float32]:
    """Return one-dimensional samples."""
    return np.ascontiguousarray(_one_dimensional(values, name, "fiu"), np.float32)


def complex_numbers(values: npt.ArrayLike, name: str) -> ComplexArray:
    """Return one-dimensional complex numbers."""
    return np.ascontiguousarray(_one_dimensional(values, name, "fiuc"), np.complex128)


def read_only(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return a view that cannot be written to."""
    view: npt.NDArray[Any] = array.view()
    view.flags.writeable = False
    return view


def read_only_arrays(**arrays: npt.NDArray[Any]) -> dict[str, npt.NDArray[Any]]:
    """Return fields of a result that cannot be written to."""
    return {name: read_only(array) for name, array in arrays.items()}


def response_fields(
    fields: dict[str, Any], frequencies: npt.NDArray[Any], response: npt.NDArray[Any], curve: npt.NDArray[Any]
) -> dict[str, Any]:
    """Return the fields of a `ResponseFit` with its arrays."""
    return {**fields, **read_only_arrays(frequencies_hz=frequencies, response=response, curve=curve)}


def _one_dimensional(values: npt.ArrayLike, name: str, kinds: str) -> npt.NDArray[Any]:
    array = np.asarray(values)
    if array.ndim == 0:
        raise ValueError(f"{name} have 0 dimensions, expected 1; pass an array, such as capture.samples of a capture")
    if array.ndim != 1:
        raise ValueError(f"{name} have {array.ndim} dimensions, expected 1; choose a column, such as {name}[:, 0]")
    if array.dtype.kind not in kinds:
        expected = "complex" if "c" in kinds else "real"
        raise TypeError(f"{name} have elements of kind {array.dtype.kind!r}, expected {expected} numbers")
    return array


def _plain(name: str, value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        own = getattr(value, "_plain", None)
        fields = own() if own is not None else {f.name: getattr(value, f.name) for f in dataclasses.fields(value)}
        return _plain(name, fields)
    if isinstance(value, collections.abc.Mapping):
        return {key: _plain(f"{name}.{key}", item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(name, item) for item in value]
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{name} is {value}, a finite number is needed")
    return value


def _flatten(record: dict[str, Any], prefix: str, value: Any) -> None:
    kind: Any = type(value)
    for field in dataclasses.fields(value):
        name, item = prefix + field.name, getattr(value, field.name)
        if isinstance(item, Estimate):
            record[name], record[f"{name}_std_dev"] = item.value, item.std_dev
        elif isinstance(item, Modelled):
            record[name], record[f"{name}_accuracy"] = item.value, item.absolute_accuracy
        elif isinstance(item, complex):
            record[f"{name}_real"], record[f"{name}_imag"] = item.real, item.imag
        elif isinstance(item, Result):
            _flatten(record, f"{name}_", item)
        elif item is None:
            record.update(dict.fromkeys(prefix + column for column in _columns_of(kind, field.name)))
        elif isinstance(item, (bool, int, float, str)):
            record[name] = item


@functools.lru_cache(maxsize=None)
def _columns_of(kind: type, name: str) -> tuple[str, ...]:
    """Return the columns that a field which may be missing has where it is there."""
    kinds = typing.get_args(typing.get_type_hints(kind)[name])
    if Estimate in kinds:
        return name, f"{name}_std_dev"
    if Modelled in kinds:
        return name, f"{name}_accuracy"
    is_plain = any(k in (bool, int, float, str) or typing.get_origin(k) is Literal for k in kinds)
    return (name,) if is_plain else ()


def _shown(result: Result) -> list[tuple[str, str]]:
    rows = []
    for field in dataclasses.fields(result):  # type: ignore[arg-type]
        item = getattr(result, field.name)
        if field.repr and item is not None and not isinstance(item, np.ndarray):
            rows.append((field.name, _text(item)))
    return rows


def _text(item: Any) -> str:
    if isinstance(item, (Estimate, Modelled)):
        return str(item)
    if isinstance(item, (float, complex)):
        return f"{item:.6g}"
    return repr(item)


def estimate(value: Union[float, tuple[float, float], Estimate, None]) -> Optional[Estimate]:
    """Return a number with or without its deviation as an estimate."""
    if value is None or isinstance(value, Estimate):
        return value
    if isinstance(value, tuple):
        return Estimate(*map(float, value))
    return Estimate(float(value), 0.0)
