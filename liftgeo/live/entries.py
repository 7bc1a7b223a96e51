"""The fields of the form: every key of a mechanism's kinds, with what it is and what it holds."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, replace
from functools import cache
from typing import Any

from liftgeo.live.lists import list_text, list_typed
from liftgeo.live.sliders import Slider, slider_of
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.bench import BenchTable
from liftgeo.mechanism.fields import Number, Pairs
from liftgeo.mechanism.key_facts import keys_of, names, number_in, readings_in, shape_in
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.starter import blanks, words_in
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import DIMENSIONS, shown
from liftgeo.words.certainty import named
from liftgeo.words.live_page import BENCH
from liftgeo.words.measuring_sheet import HEADINGS

TABLE_WORDS = {**HEADINGS, "targets": "What is wanted"}
_OPEN = ("lever", "arm", "release")
"""Tables that stand open where the file tries no others: their numbers set lift and pull."""
_MOST_OPEN = 3


@dataclass(frozen=True)
class Entry:
    """One field of the form.

    Attributes
    ----------
    key : str
        Dotted key of the file.
    label, how : str
        What it is, and how it is measured.
    form : {"number", "list", "points", "word"}
    unit : str
        The unit of a bare number.
    text : str
        What the file says; empty where it says nothing.
    usual : str
        What is taken while it is empty, and no measure of this machine; empty where nothing is.
    slider : Slider or None
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
    slider: Slider | None
    options: tuple[str, ...]
    first: bool


@dataclass(frozen=True)
class Group:
    """The fields of one table of the file; `open` where it stands open to begin with."""

    table: str
    title: str
    kind: str
    open: bool
    entries: tuple[Entry, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for the page."""
        return asdict(self)


@dataclass(frozen=True)
class _Said:
    """What a form is filled from: a trial's keys, what its file says, and what stands first."""

    keys: Mapping[str, Any]
    file: Mapping[str, Any]
    first: Collection[str]
    open: Collection[str]
    units: str


def groups_of(
    mechanism: Mechanism,
    stock: Mechanism | None = None,
    bench: Mapping[str, Any] | None = None,
    units: str = "metric",
) -> list[Group]:
    """Return the form of a mechanism: what its file gives or leaves out, then all else.

    Parameters
    ----------
    mechanism : Mechanism
        As it is tried: its kinds have the fields.
    stock : Mechanism, optional
        What the file says; the mechanism itself where nothing is tried.
    bench : mapping, optional
        The table [bench] of the file.
    units : {"metric", "inch"}
        Units of a slider where the number has none of its own.
    """
    stock = mechanism if stock is None else stock
    taken = (item.key for item in mechanism.taken)
    first = {*stock.given, *taken, *(fault.key for fault in mechanism.lacking)}
    tried = (key.split(".")[0] for change in stock.changes.values() for key in change.keys)
    tables = list(dict.fromkeys(tried))[:_MOST_OPEN] or _OPEN
    said = _Said(mechanism.keys, stock.given, first, tables, units)
    return [*_groups(said), _bench(bench or {}, units)]


def groups_to_start(
    kinds: Mapping[str, str], over: Mapping[str, str], units: str = "metric"
) -> list[Group]:
    """Return the form of a machine nobody has measured yet: the blanks that an answer needs."""
    given = {f"{table}.kind": kind for table, kind in kinds.items()} | dict(over)
    first = {f"{t}.{name}" for t in TABLES for name in blanks(t, kinds)} | set(over)
    return [*_groups(_Said(given, {}, first, ("lever", "arm"), units)), _bench({}, units)]


def groups_to_mend(
    flat: Mapping[str, Any], faulty: Collection[str], bench: Mapping[str, Any], units: str
) -> list[Group]:
    """Return the form of a file with faults: what it says, the tables with faults open."""
    tables = {key.split(".")[0] for key in faulty}
    return [*_groups(_Said(flat, flat, {*flat, *faulty}, tables, units)), _bench(bench, units)]


def _groups(said: _Said) -> list[Group]:
    found = []
    for table, kinds in TABLES.items():
        kind = kind_of(said.keys, table)
        model = kinds.get(kind) or next(iter(kinds.values()))
        if not kind and "" not in kinds:
            kind = next(name for name, each in kinds.items() if each is model)
        entries = tuple(
            _entry(dotted, info, said)
            for dotted, info in keys_of(model, f"{table}.").items()
            if not dotted.endswith(".kind")
        )
        own = {f"{table}.{name}": k for k, name in enumerate(names(model))}
        ordered = sorted(entries, key=lambda e: (not e.first, _place(e.key, own)))
        title = TABLE_WORDS.get(table, table)
        found.append(Group(table, title, kind, table in said.open, tuple(ordered)))
    return found


def _bench(given: Mapping[str, Any], units: str) -> Group:
    """Return the fields for what was read on the bench, from the clutch as it stands."""
    fields = {
        f"bench.{name}": info for name, info in keys_of(BenchTable, "").items() if number_in(info)
    }
    flat = {f"bench.{name}": value for name, value in given.items()}
    said = _Said({}, flat, fields, (), units)
    entries = tuple(replace(_entry(key, info, said), slider=None) for key, info in fields.items())
    return Group("bench", BENCH, "", False, entries)


def _place(dotted: str, own: Mapping[str, int]) -> int:
    """Return where a key stands in its table: those of its kind before what all kinds share."""
    return own[".".join(dotted.split(".")[:2])]


def _entry(dotted: str, info: Any, said: _Said) -> Entry:
    what, *more = str(info.description or named(dotted)).split("; ")
    extra = info.json_schema_extra or {}
    form = form_of(info)
    how = "; ".join(filter(None, [extra.get("measure", ""), *more, _WRITTEN.get(form, "")]))
    number = number_in(info)
    known = number or readings_in(info) or shape_in(info)
    words = words_in(info)
    if info.annotation is bool or "bool" in str(info.annotation):
        words = ("true", "false")
    text = as_typed(said.file.get(dotted))
    return Entry(
        key=dotted,
        label=what,
        how=how,
        form="word" if words else form,
        unit="" if known is None else DIMENSIONS[known.dimension].unit,
        text=text,
        usual=_default(info),
        slider=None if number is None else slider_of(number, text, text, said.units),
        options=words,
        first=dotted in said.first,
    )


_WRITTEN = {
    "list": "write numbers with commas between them",
    "points": "write a point as x, y, semicolons between points; each outline on a line of its own",
}


def form_of(info: Any) -> str:
    """Return how a field is typed: one number or word, a list of numbers, or points."""
    if shape_in(info) is not None or any(isinstance(each, Pairs) for each in info.metadata):
        return "points"
    return "list" if readings_in(info) is not None else "number"


def _default(info: Any) -> str:
    """Return what a key is where it is left out, and is no usual value."""
    if info.default is None or isinstance(info.default, str | bool):
        return "" if info.default is None else str(info.default).lower()
    number = number_in(info)
    return "" if number is None else shown(info.default, number.dimension)


def as_typed(given: Any) -> str:
    """Return what stands in a file as somebody would type it into a field."""
    return "" if given is None else list_text(given)


def typed(key: str, text: str) -> Any:
    """Return what a field holds as a geometry file would say it; blank: left out."""
    plain = text.strip()
    form = _forms().get(key, "number")
    if form in ("list", "points"):
        return list_typed(plain, form) if plain else ""
    if plain in ("true", "false"):
        return plain == "true"
    return plain


def slider_at(key: str, text: str, stands: str, kind: str, units: str) -> Slider | None:
    """Return the slider of a number where it is typed anew; None where there is none."""
    number = _numbers(kind).get(key)
    return None if number is None else slider_of(number, text, stands, units)


@cache
def _numbers(kind: str) -> Mapping[str, Number]:
    """Return what every numeric key takes; where kinds differ, that of a kind first."""
    found: dict[str, Number] = {}
    for table, kinds in TABLES.items():
        for _, model in sorted(kinds.items(), key=lambda each: each[0] != kind):
            for dotted, info in keys_of(model, f"{table}.").items():
                number = number_in(info)
                if number is not None:
                    found.setdefault(dotted, number)
    return found


@cache
def _forms() -> Mapping[str, str]:
    """Return how each key of every kind is typed."""
    found: dict[str, str] = {}
    for table, kinds in TABLES.items():
        for model in kinds.values():
            for dotted, info in keys_of(model, f"{table}.").items():
                found[dotted] = form_of(info)
    return found
