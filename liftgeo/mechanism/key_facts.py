"""What each key of a geometry file means, takes and shows as."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

from liftgeo.mechanism.fields import Number, Readings, plain_digits
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.outlines import Shape
from liftgeo.mechanism.tables import TABLES, Table
from liftgeo.parts.values import Values
from liftgeo.quantities import shown

Keys = Mapping[str, Any]


def inner_table(info: Any) -> type[Table] | None:
    """Return the table inside a table that a field stands for, such as the points, or None."""
    for option in getattr(info.annotation, "__args__", ()):
        if isinstance(option, type) and issubclass(option, Table):
            return option
    return None


def table_within(model: type[Table], name: str) -> type[Table]:
    """Return the table that a key of a table holds, as lever holds points."""
    found = inner_table(model.model_fields[name])
    if found is None:
        raise KeyError(name)
    return found


def names(model: type[Table]) -> list[str]:
    """Return the keys of a table without its kind, those of its own before the shared ones."""
    own = [name for name in model.model_fields if name in model.__annotations__]
    shared = [name for name in model.model_fields if name not in own]
    return [name for name in (*own, *shared) if name != "kind"]


def _walk(model: type[Table], prefix: str) -> Iterator[tuple[str, Any]]:
    """Yield every key of a table and of those inside it, with its field."""
    for name, info in model.model_fields.items():
        inner = inner_table(info)
        if inner is None:
            yield prefix + name, info
        else:
            yield from _walk(inner, f"{prefix}{name}.")


@cache
def keys_of(model: type[Table], prefix: str) -> Mapping[str, Any]:
    """Return every dotted key of a table and of those inside it, with its field."""
    return dict(_walk(model, prefix))


@cache
def numeric_keys_of(model: type[Table], prefix: str) -> tuple[str, ...]:
    """Return the dotted keys of a table that take a number."""
    found = keys_of(model, prefix).items()
    return tuple(dotted for dotted, info in found if number_in(info) is not None)


@cache
def defaults() -> Mapping[str, Any]:
    """Return every dotted key that any kind of table takes, and what it is where left out."""
    found: dict[str, Any] = {}
    for table, kinds in TABLES.items():
        for model in kinds.values():
            for dotted, info in keys_of(model, f"{table}.").items():
                found.setdefault(dotted, info.default)
    return found


@cache
def known(dotted: str) -> str:
    """Return a key, or the name of a table, as it is.

    Raises
    ------
    KeyError
        No kind of table takes it: a slip in the program, not in a file.
    """
    if dotted in TABLES or dotted in defaults():
        return dotted
    if any(key.startswith(f"{dotted}.") for key in defaults()):
        return dotted
    raise KeyError(f"{dotted} is no key of a geometry file")


def known_part(key: str) -> str:
    """Return a faulty key, or the inner table that a strange one spoils; "" for one of no table."""
    if key in TABLES or key in defaults():
        return key
    inner = key.rpartition(".")[0]
    return inner if "." in inner and any(k.startswith(f"{inner}.") for k in defaults()) else ""


def number(keys: Keys, dotted: str, default: Values = None) -> Values:
    """Return a number of the file, or what it is where left out.

    Parameters
    ----------
    keys : mapping
        Flat keys, numbers or arrays.
    default : float, optional
        Where the key is left out and its table says nothing; else 0.

    Raises
    ------
    KeyError
        No kind of table takes the key.
    """
    value = keys.get(dotted)
    if value is not None:
        return value
    left_out = defaults().get(known(dotted))
    if left_out is None:
        return 0.0 if default is None else default
    return left_out


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


def measure_of(dotted: str, kind: str = "") -> str:
    """Return how a key is measured, as it reads after "measure with"; empty where it says none."""
    info = _field_info(dotted, kind)
    extra = {} if info is None else info.json_schema_extra or {}
    return str(extra.get("measure", ""))


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


def shape_of(dotted: str, kind: str = "") -> Number | None:
    """Return what each number of a shape's points takes, or None where the key draws none."""
    info = _field_info(dotted, kind)
    return None if info is None else shape_in(info)


def shape_in(info: Any) -> Number | None:
    """Return what each number of a pydantic field takes where it is points of a shape."""
    return next((item.each for item in info.metadata if isinstance(item, Shape)), None)
