"""The fields of the form: every key of a mechanism's kinds, with what it is and what it holds."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.fields import Number
from liftgeo.mechanism.key_facts import keys_of, names, number_in, readings_in
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.starter import blanks, words_in
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import DIMENSIONS, shown
from liftgeo.words.certainty import named
from liftgeo.words.measuring_sheet import HEADINGS

_STEPS = 200.0
_WHERE_NOTHING_IS = {"length": (0.0, 100.0), "angle": (0.0, 90.0), "ratio": (0.0, 2.0)}
_ANYWHERE = (0.0, 1000.0)
TABLE_WORDS = {**HEADINGS, "targets": "What is wanted"}


@dataclass(frozen=True)
class Entry:
    """One field of the form.

    Attributes
    ----------
    key : str
        Dotted key of the file.
    label, how : str
        What it is, and how it is measured.
    form : {"number", "list", "word"}
    unit : str
        The unit of a bare number.
    text : str
        What the file says; empty where it says nothing.
    usual : str
        What is taken while it is empty; empty where nothing is.
    low, high, step : float
        Reach of its slider, in the bare unit; a step of 0: no slider.
    at : float
        Where the slider stands.
    options : tuple of str
        Words to choose from.
    first : bool
        Whether it is shown before one asks for more.
    """

    key: str
    label: str
    how: str
    form: str
    unit: str
    text: str
    usual: str
    low: float
    high: float
    step: float
    at: float
    options: tuple[str, ...]
    first: bool


@dataclass(frozen=True)
class Group:
    """The fields of one table of the file."""

    table: str
    title: str
    kind: str
    entries: tuple[Entry, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for the page."""
        return asdict(self)


def groups_of(mechanism: Mechanism) -> list[Group]:
    """Return the form of a mechanism: what its file gives or leaves out, then all else."""
    taken = {item.key: item for item in mechanism.taken}
    usual = {}
    for key, item in taken.items():
        low, value, high = (f"{x:.3g}" for x in (item.low, item.value, item.high))
        usual[key] = f"usual {value} ({low} to {high})"
    first = {*mechanism.given, *taken, *(fault.key for fault in mechanism.lacking)}
    values = {**mechanism.keys}
    return _groups(mechanism.given, mechanism.keys, values, usual, first)


def groups_to_start(kinds: Mapping[str, str], over: Mapping[str, str]) -> list[Group]:
    """Return the form of a machine nobody has measured yet: the blanks that an answer needs."""
    given = {f"{table}.kind": kind for table, kind in kinds.items()} | dict(over)
    first = {f"{t}.{name}" for t in TABLES for name in blanks(t, kinds)} | set(over)
    return _groups(given, given, {}, {}, first)


def _groups(
    given: Mapping[str, Any],
    keys: Mapping[str, Any],
    values: Mapping[str, Any],
    usual: Mapping[str, str],
    first: Collection[str],
) -> list[Group]:
    found = []
    for table, kinds in TABLES.items():
        kind = kind_of(keys, table)
        model = kinds.get(kind) or next(iter(kinds.values()))
        if not kind and "" not in kinds:
            kind = next(name for name, each in kinds.items() if each is model)
        entries = tuple(
            _entry(dotted, info, given.get(dotted), values.get(dotted), usual, first)
            for dotted, info in keys_of(model, f"{table}.").items()
            if not dotted.endswith(".kind")
        )
        own = {f"{table}.{name}": k for k, name in enumerate(names(model))}
        ordered = sorted(entries, key=lambda e: (not e.first, _place(e.key, own)))
        found.append(Group(table, TABLE_WORDS.get(table, table), kind, tuple(ordered)))
    return found


def _place(dotted: str, own: Mapping[str, int]) -> int:
    """Return where a key stands in its table: those of its kind before what all kinds share."""
    return own[".".join(dotted.split(".")[:2])]


def _entry(
    dotted: str,
    info: Any,
    given: Any,
    value: Any,
    usual: Mapping[str, str],
    first: Collection[str],
) -> Entry:
    what, *more = str(info.description or named(dotted)).split("; ")
    extra = info.json_schema_extra or {}
    how = "; ".join(filter(None, [extra.get("measure", ""), *more]))
    number, each = number_in(info), readings_in(info)
    words = words_in(info)
    if info.annotation is bool or "bool" in str(info.annotation):
        words = ("true", "false")
    form = "list" if each is not None else "word" if words else "number"
    known = number or each
    unit = "" if known is None else DIMENSIONS[known.dimension].unit
    low, high, step, at = _reach(number, value)
    return Entry(
        key=dotted,
        label=what,
        how=how,
        form=form,
        unit=unit,
        text=_as_typed(given),
        usual=usual.get(dotted, _default(info)),
        low=low,
        high=high,
        step=step if form == "number" else 0.0,
        at=at,
        options=words,
        first=dotted in first or any(f"{key}." in f"{dotted}." for key in first if key == dotted),
    )


def _default(info: Any) -> str:
    """Return what a key is where it is left out, and is no usual value."""
    if info.default is None or isinstance(info.default, str | bool):
        return "" if info.default is None else str(info.default).lower()
    number = number_in(info)
    return "" if number is None else shown(info.default, number.dimension)


def _as_typed(given: Any) -> str:
    """Return what stands in a file as somebody would type it into a field."""
    if given is None:
        return ""
    if isinstance(given, list | tuple):
        return ", ".join(_as_typed(each) for each in given)
    if isinstance(given, float) and given.is_integer():
        return f"{given:.0f}"
    return str(given).lower() if isinstance(given, bool) else str(given)


def _reach(number: Number | None, value: Any) -> tuple[float, float, float, float]:
    """Return how far the slider of a number goes, its step, and where it stands."""
    if number is None:
        return 0.0, 0.0, 0.0, 0.0
    try:
        at = float(value)
    except (TypeError, ValueError):
        at = math.nan
    if not math.isfinite(at):
        low, high = _WHERE_NOTHING_IS.get(number.dimension, _ANYWHERE)
        at = low
    elif at == 0:
        low, high = 0.0, _WHERE_NOTHING_IS.get(number.dimension, _ANYWHERE)[1] / 20
    else:
        low, high = sorted((0.5 * at, 1.5 * at))
    floor, ceiling = (
        max((b for b in limits if b is not None), default=-math.inf, key=lambda b: b)
        for limits in ((number.above, number.at_least), (number.below, number.at_most))
    )
    low = max(low, floor) if floor > -math.inf else low
    high = min(high, ceiling) if ceiling > -math.inf else high
    step = 1.0 if number.whole else _round_step((high - low) / _STEPS)
    return round(low, 9), round(high, 9), step, at


def _round_step(width: float) -> float:
    """Return a step that reads well: 1, 2 or 5 times a power of ten."""
    if not width > 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(width))
    return float(next(k * power for k in (1, 2, 5, 10) if k * power >= width * 0.999))


def typed(table_key: str, text: str, form: str) -> Any:
    """Return what a field holds as a geometry file would say it; blank: left out."""
    plain = text.strip()
    if form == "list":
        return [part.strip() for part in plain.split(",") if part.strip()] if plain else ""
    if plain in ("true", "false"):
        return plain == "true"
    return plain


def forms() -> Iterator[tuple[str, str]]:
    """Yield every key of every kind with the form of its field."""
    for table, kinds in TABLES.items():
        for model in kinds.values():
            for dotted, info in keys_of(model, f"{table}.").items():
                yield dotted, "list" if readings_in(info) is not None else "one"
