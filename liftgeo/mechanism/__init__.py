"""What a geometry file says: tables, rules between keys, changes, and the parts they make."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, cached_property
from typing import Any

import numpy as np

from liftgeo.chain import Parts
from liftgeo.errors import Fault, GeometryError, Reason, RequestError, nearest
from liftgeo.mechanism import key_facts, needs, rules
from liftgeo.mechanism.fields import Number
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.laying import Flat, flatten, kind_of, lay, nested
from liftgeo.mechanism.reading import (
    TOP_KEYS,
    not_a_table,
    numbers,
    read_table,
    unknown_table,
    value_text,
)
from liftgeo.mechanism.tables import DEFAULT_KIND, REQUIRED_TABLES, TABLES, Table
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.values import Values

_OF_ANY_KIND = {
    "release": "What turns the arm's rotation into a straight pull.",
    "spring": "What clamps the plates.",
}

__all__ = ["Change", "Mechanism", "from_document"]


@dataclass(frozen=True, eq=False, repr=False)
class Change:
    """A named change: a note, and the keys it lays over the file."""

    name: str
    note: str
    keys: Flat


@dataclass(frozen=True, eq=False, repr=False)
class Mechanism:
    """A validated mechanism; nothing in it changes.

    Attributes
    ----------
    title : str
        The file's title.
    change : str or None
        Names of the changes laid over it, joined by " + ".
    changes : dict of Change
        The file's named changes.
    keys : dict
        Flat dotted keys with numbers in the file's bare units (a `Measured` keeps its ±).
    unchanged : dict or None
        The keys before any change was laid over them; None where there is none.
    """

    title: str
    change: str | None
    changes: dict[str, Change]
    keys: Flat
    tables: dict[str, Table]
    given: Flat = field(repr=False)
    source: str = ""
    cushion_load_n: float | None = None
    unchanged: Flat | None = field(default=None, repr=False)

    def __getattr__(self, name: str) -> Any:
        """Return a table by name; None for an optional one that is not given."""
        if name in TABLES:
            return self.tables.get(name)
        raise AttributeError(name)

    def changed(self, *wanted: str | Mapping[str, Any]) -> Mechanism:
        """Return a new mechanism with changes laid over this one, in the order given.

        Parameters
        ----------
        *wanted : str or mapping
            Names of the file's changes, or mappings of dotted (or nested) keys to values.

        Raises
        ------
        RequestError
            A name the file does not have.
        GeometryError
            The mechanism that results cannot be analysed.
        """
        given = dict(self.given)
        names: list[str] = [self.change] if self.change else []
        for item in wanted:
            if isinstance(item, str):
                change = self.find_change(item)
                given, label = lay(given, change.keys), change.name
            else:
                laid = flatten(item)
                check_keys(given, laid, "")
                given = lay(given, laid)
                label = ", ".join(f"{k} = {v}" for k, v in laid.items())
            names.append(label)
        joined = " + ".join(names) or None
        source = f"{self.source or 'file'} with {joined}"
        built = _build(given, self.title, self.changes, source, self.tables)
        return replace(
            built,
            change=joined,
            cushion_load_n=self.cushion_load_n,
            source=self.source,
            unchanged=self.keys if self.unchanged is None else self.unchanged,
        )

    def find_change(self, name: str) -> Change:
        """Return a named change.

        Raises
        ------
        RequestError
            With the nearest known name.
        """
        if name in self.changes:
            return self.changes[name]
        near = nearest(name, self.changes)
        hint = f" Did you mean {near}?" if near else ""
        known = ", ".join(self.changes) or "none"
        raise RequestError(f"No change is called {name}.{hint} The file has: {known}.")

    @cached_property
    def inward(self) -> Inward:
        """The keys turned inward, worked out once."""
        return Inward(self.keys, self.cushion_load_n)

    def parts(self, over: Mapping[str, Values] | None = None) -> Parts:
        """Return the parts in mm, N, rad and N mm.

        Parameters
        ----------
        over : mapping, optional
            Dotted keys laid over the file, in its bare units: numbers or arrays of one shape.
        """
        return self.laid(over).parts

    def laid(self, over: Mapping[str, Values] | None) -> Inward:
        """Return the keys turned inward, with numbers or arrays laid over them as a change."""
        return self.varied(over).inward(over) if over else self.inward

    def varied(self, names: Iterable[str]) -> Varied:
        """Return this mechanism made ready for numbers laid over some of its keys.

        Raises
        ------
        RequestError
            For a key that is not known, or takes no numbers; with the nearest known one.
        """
        return Varied(self, tuple(names))

    def number(self, dotted: str) -> Number:
        """Return what a numeric key of this mechanism takes (`fields.Number`).

        Raises
        ------
        RequestError
            For a key that is not known, or is not a single number; with the nearest known one.
        """
        table = dotted.split(".")[0]
        found = None
        if dotted in self._keys_taken:
            found = key_facts.number_of(dotted, kind_of(self.keys, table))
        if found is not None:
            return found
        near = nearest(dotted, self.numeric_keys())
        hint = f" Did you mean {near}?" if near else ""
        raise RequestError(f"{dotted} is not a number this mechanism takes.{hint}")

    def takes(self, dotted: str) -> Number:
        """Return what a key of this mechanism takes: a number, or each number of a list.

        Raises
        ------
        RequestError
            For a key that is not known, or takes no numbers; with the nearest known one.
        """
        table = dotted.split(".")[0]
        if dotted in self._keys_taken:
            found = key_facts.readings_of(dotted, kind_of(self.keys, table))
            if found is not None:
                return found
        return self.number(dotted)

    def dimensions(self, dotted: str) -> int:
        """Return how many dimensions one value of a key has: 1 for points and readings, else 0."""
        if dotted == "arm.radius_same_angle":
            return 0
        self.takes(dotted)
        kind = kind_of(self.keys, dotted.split(".")[0])
        return int(key_facts.readings_of(dotted, kind) is not None)

    @cached_property
    def _keys_taken(self) -> frozenset[str]:
        """Every dotted key of this mechanism's kinds."""
        found: set[str] = set()
        for table, kinds in TABLES.items():
            model = kinds.get(kind_of(self.keys, table))
            if model is not None:
                found |= key_facts.keys_of(model, f"{table}.").keys()
        return frozenset(found)

    def numeric_keys(self) -> list[str]:
        """Return every dotted key that takes a number in this mechanism's kinds."""
        found: list[str] = []
        for table, kinds in TABLES.items():
            model = kinds.get(kind_of(self.keys, table))
            if model is not None:
                found += _numeric(model, f"{table}.")
        return found

    def reasons(self, over: Mapping[str, Values], shape: tuple[int, ...]) -> Values:
        """Return the reason code of each variant, 0 where it can be computed.

        Raises
        ------
        GeometryError
            Together the keys miss one that all variants need, or say something twice.
        """
        self.check_together(over)
        ready = self.varied(over)
        return ready.reasons(ready.inward(over), over, shape)

    def check_together(self, over: Mapping[str, Values]) -> None:
        """Raise what keys laid over the file miss, or say twice, whatever their values.

        Raises
        ------
        GeometryError
        """
        if all(dotted in self.keys for dotted in over):
            return
        laid: Flat = {}
        for dotted, value in over.items():
            shown = 1.0 if np.any(value) else 0.0
            same_angle = dotted == "arm.radius_same_angle"
            laid |= {"arm.radius": 1.0, "arm.cable_angle": 1.0} if same_angle else {dotted: shown}
        given = lay(self.given, laid)
        faults = needs.twice(given)
        faults += needs.missing(given, frozenset({*self.tables, *nested(given)}))
        if faults:
            raise GeometryError(faults, f"{self.source or 'file'} with {', '.join(over)}")

    def bearing_part(self, over: Mapping[str, Values] | None = None) -> Bearing | None:
        """Return the release bearing, or None."""
        return self.laid(over).bearing


class Varied:
    """A mechanism made ready for many sets of numbers laid over the same keys.

    What depends on the keys' names alone is worked out once: which keys give way, which rules look
    at them, what each takes.
    """

    def __init__(self, mechanism: Mechanism, names: tuple[str, ...]) -> None:
        same_angle = "arm.radius_same_angle" in names
        self._names = {name: name for name in names}
        added: Flat = {}
        if same_angle:
            self._names["arm.radius_same_angle"] = "arm.radius"
            angle = float(mechanism.inward.sides("arm").cable_angle_deg)
            added["arm.cable_angle"] = angle
        self._takes = {name: mechanism.takes(home) for name, home in self._names.items()}
        self._carried = mechanism.cushion_load_n
        laid = {home: mechanism.keys.get(home, 0.0) for home in self._names.values()} | added
        self._base = lay(mechanism.keys, laid)
        self._rules = rules.rules_for(self._base, list(laid))

    def inward(self, over: Mapping[str, Values]) -> Inward:
        """Return the keys turned inward, with numbers or arrays laid over them."""
        laid = {self._names[name]: value for name, value in over.items()}
        return Inward(self._base | laid, self._carried)

    def reasons(self, keys: Inward, over: Mapping[str, Values], shape: tuple[int, ...]) -> Values:
        """Return the reason code of each variant, 0 where it can be computed."""
        with np.errstate(all="ignore"):
            found = rules.reasons(keys, shape, self._rules)
            for name, value in over.items():
                good = self._takes[name].within(np.asarray(value, float))
                if np.ndim(good) > len(shape):  # points and readings: each of their numbers
                    good = good.all(axis=-1)
                if not np.all(good):
                    found = np.where(good, found, int(Reason.OUT_OF_RANGE))
        return found


@cache
def _numeric(model: type[Table], prefix: str) -> tuple[str, ...]:
    """Return the dotted keys of a table that take a number."""
    found = key_facts.keys_of(model, prefix).items()
    return tuple(dotted for dotted, info in found if key_facts.number_in(info) is not None)


def _build(
    given: Flat, title: str, changes: dict[str, Change], source: str, present: Iterable[str]
) -> Mechanism:
    """Return the mechanism of flat keys, or raise all its faults at once."""
    document: dict[str, Any] = nested(given)
    faults: list[Fault] = []
    found: dict[str, Table] = {}
    present = {*present, *document}
    for table in TABLES:
        if table not in present:
            continue
        read, bad = read_table(table, document.get(table, {}), kind_of(given, table))
        faults += bad
        if read is not None:
            found[table] = read
    for table in REQUIRED_TABLES:
        if table not in present:
            usual = TABLES[table].get(DEFAULT_KIND.get(table, ""))
            what = _OF_ANY_KIND[table] if usual is None else usual.__doc__ or ""
            kinds = ", ".join(f'"{k}"' for k in TABLES[table] if k)
            remedy = f"Add [{table}]" + (f" with kind = one of {kinds}." if kinds else ".")
            faults.append(Fault(table, "", f"This table is missing. {what}".strip(), remedy))
    keys: Flat = {}
    for table, model in found.items():
        keys.update(numbers(table, model))
    faults += [f for f in needs.twice(given) if f.key.split(".")[0] in found]
    faults += needs.missing(given, frozenset(found))
    inward = Inward(keys)
    faults += rules.broken(inward, [fault.key for fault in faults])
    if faults:
        raise GeometryError(_as_written(faults, given), source)
    with np.errstate(all="ignore"):
        cushion = float(inward.clamp_force_n)
    return Mechanism(title, None, changes, keys, found, dict(given), source, cushion)


def _as_written(faults: list[Fault], given: Flat) -> list[Fault]:
    """Return faults in the order of the file, table by table; what is missing ends its table."""
    tables, keys = list(TABLES), list(given)

    def place(fault: Fault) -> tuple[int, int]:
        table = fault.key.split(".")[0]
        at = next((k for k, key in enumerate(keys) if key == fault.key), len(keys))
        return tables.index(table) if table in tables else len(tables), at

    return sorted(faults, key=place)


def check_keys(base: Mapping[str, Any], change: Mapping[str, Any], prefix: str) -> None:
    """Check keys and units of a change on their own.

    Raises
    ------
    GeometryError
        Unknown keys, wrong units, numbers out of bounds.
    """
    faults = change_faults(base, change, prefix)
    if faults:
        raise GeometryError(faults, "change")


def change_faults(base: Mapping[str, Any], change: Mapping[str, Any], prefix: str) -> list[Fault]:
    """Return the faults of a change on its own: unknown keys, wrong units, bounds."""
    faults = [not_a_table(table, change[table], prefix) for table in TABLES if table in change]
    for table, content in nested(change).items():
        if table not in TABLES:
            faults.append(unknown_table(table, prefix))
            continue
        if not isinstance(content, Mapping):
            continue
        kind = kind_of(change, table) if f"{table}.kind" in change else kind_of(base, table)
        if kind == "" and "" not in TABLES[table]:
            kind = next(iter(TABLES[table]))
        faults += read_table(table, content, kind, prefix)[1]
    return faults


def _read_changes(content: Any, base: Flat) -> tuple[dict[str, Change], list[Fault]]:
    if not isinstance(content, Mapping):
        return {}, [
            Fault(
                "changes", value_text(content), "Not a table of changes.", "Write [changes.NAME]."
            )
        ]
    found, faults = {}, []
    for name, body in content.items():
        if not isinstance(body, Mapping):
            faults.append(
                Fault(
                    f"changes.{name}",
                    value_text(body),
                    "Not a change.",
                    f"Write [changes.{name}].",
                )
            )
            continue
        note = body.get("note", "")
        rest = flatten({k: v for k, v in body.items() if k != "note"})
        faults += change_faults(base, rest, f"changes.{name}.")
        found[str(name)] = Change(str(name), str(note), rest)
    return found, faults


def from_document(document: Mapping[str, Any], source: str = "") -> Mechanism:
    """Return the mechanism a parsed geometry file describes.

    Parameters
    ----------
    document : mapping
        Nested tables as TOML gives them.
    source : str
        Name shown in faults.

    Raises
    ------
    GeometryError
        With every fault of the file at once.
    """
    title = document.get("title", "")
    body = {k: v for k, v in document.items() if k in TABLES}
    base = {k: v for k, v in flatten(body).items() if k not in TABLES}
    changes, faults = _read_changes(document.get("changes", {}), base)
    for table in document:
        if table not in TABLES and table not in TOP_KEYS:
            faults.append(unknown_table(table))
        elif table in TABLES and not isinstance(document[table], Mapping):
            faults.append(not_a_table(table, document[table]))
    if not isinstance(title, str):
        faults.append(Fault("title", value_text(title), "Not text.", 'Write title = "...".'))
    try:
        built = _build(base, str(title), changes, source, body)
    except GeometryError as error:
        known = {k for k, v in body.items() if isinstance(v, Mapping)}
        others = [f for f in error.faults if f.key.split(".")[0] not in body.keys() - known]
        raise GeometryError((*others, *faults), source) from None
    if faults:
        raise GeometryError(faults, source)
    return built
