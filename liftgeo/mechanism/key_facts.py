"""What each key of a geometry file means, takes and shows as."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from liftgeo.mechanism.fields import Number, Readings, plain_digits
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import shown

Keys = Mapping[str, Any]


def table_within(model: Any, name: str) -> Any:
    """Return the table that a key of a table holds, as lever holds points."""
    annotation = model.model_fields[name].annotation
    return next(a for a in annotation.__args__ if a is not type(None))


def _field_info(dotted: str, kind: str) -> Any:
    table, *rest = dotted.split(".")
    model: Any = TABLES[table].get(kind) or next(iter(TABLES[table].values()))
    for name in rest[:-1]:
        model = table_within(model, name)
    return model.model_fields.get(rest[-1])


def describe(dotted: str, kind: str = "") -> tuple[str, str]:
    """Return what a key means, and in whole sentences how to come by it; either may be empty."""
    info = _field_info(dotted, kind)
    if info is None:
        return "", ""
    extra = info.json_schema_extra or {}
    labels = {"measure": "How to measure it", "typical": "Typical"}
    said = [f"{label}: {extra[name]}." for name, label in labels.items() if name in extra]
    return str(info.description or ""), " ".join(said)


def value_text(keys: Keys, dotted: str) -> str:
    """Return a key's value with its unit, as a fault shows it."""
    value = keys.get(dotted)
    if value is None or isinstance(value, str | tuple | list | bool):
        return "" if value is None or isinstance(value, tuple | list) else str(value)
    dimension = dimension_of(dotted, kind_of(keys, dotted.split(".")[0]))
    return shown(float(value), dimension, digits=min(plain_digits(float(value)), 6))


def dimension_of(dotted: str, kind: str = "") -> str:
    """Return the dimension of a numeric key."""
    number = number_of(dotted, kind)
    return number.dimension if number is not None else "ratio"


def number_of(dotted: str, kind: str = "") -> Number | None:
    """Return what a numeric key takes, or None for words and lists."""
    info = _field_info(dotted, kind)
    return None if info is None else number_in(info)


def number_in(info: Any) -> Number | None:
    """Return what a pydantic field takes where it is a single number."""
    for item in info.metadata:
        if isinstance(item, Number):
            return item
    for argument in getattr(info.annotation, "__args__", ()):
        for item in getattr(argument, "__metadata__", ()):
            if isinstance(item, Number):
                return item
    return None


def readings_of(dotted: str, kind: str = "") -> Number | None:
    """Return what each number of a list takes, or None where the key is no list."""
    info = _field_info(dotted, kind)
    return None if info is None else readings_in(info)


def readings_in(info: Any) -> Number | None:
    """Return what each number of a pydantic field takes where it is a list of them."""
    return next((item.each for item in info.metadata if isinstance(item, Readings)), None)
