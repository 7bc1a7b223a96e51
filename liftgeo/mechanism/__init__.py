"""What a geometry file says: tables, rules between keys, changes, and the parts they make."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np
from pydantic import ValidationError

from liftgeo.chain import Parts
from liftgeo.errors import Fault, GeometryError, Reason, RequestError, nearest
from liftgeo.mechanism import convert, key_facts, needs, rules
from liftgeo.mechanism.laying import Flat, flatten, kind_of, lay, nested
from liftgeo.mechanism.tables import DEFAULT_KIND, REQUIRED_TABLES, TABLES, Table
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.values import Values

__all__ = ["Change", "Mechanism", "from_document"]

_TOP = ("title", "changes")


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
    """

    title: str
    change: str | None
    changes: dict[str, Change]
    keys: Flat
    tables: dict[str, Table]
    given: Flat = field(repr=False)
    source: str = ""
    cushion_load_n: float | None = None

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
        return replace(built, change=joined, cushion_load_n=self.cushion_load_n, source=self.source)

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

    def parts(self, over: Mapping[str, Values] | None = None) -> Parts:
        """Return the parts in mm, N, rad and N mm.

        Parameters
        ----------
        over : mapping, optional
            Dotted keys laid over the file, in its bare units: numbers or arrays of one shape.
        """
        keys = self.laid(over)
        with np.errstate(all="ignore"):
            return convert.to_parts(keys, self.cushion_load_n)

    def laid(self, over: Mapping[str, Values] | None) -> Flat:
        """Return the flat keys with numbers or arrays laid over them as a change would be."""
        if not over:
            return self.keys
        laid: Flat = {}
        for dotted, value in over.items():
            if dotted == "arm.radius_same_angle":
                laid["arm.radius"] = value
                laid["arm.cable_angle"] = float(convert.sides(self.keys, "arm").cable_angle_deg)
                continue
            self.number(dotted)
            laid[dotted] = value
        return lay(self.keys, laid)

    def number(self, dotted: str) -> Any:
        """Return what a numeric key of this mechanism takes (`fields.Number`).

        Raises
        ------
        RequestError
            For a key that is not known, or is not a single number; with the nearest known one.
        """
        table = dotted.split(".")[0]
        found = None
        known = dotted in self.numeric_keys()
        if known:
            found = key_facts.number_of(dotted, kind_of(self.keys, table))
        if found is not None:
            return found
        near = nearest(dotted, self.numeric_keys())
        hint = f" Did you mean {near}?" if near else ""
        raise RequestError(f"{dotted} is not a number this mechanism takes.{hint}")

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
        keys = self.laid(over)
        both = ("arm.radius", "arm.cable_angle")
        names = [both if dotted == "arm.radius_same_angle" else (dotted,) for dotted in over]
        given = lay(self.given, dict.fromkeys([key for pair in names for key in pair], 1.0))
        faults = needs.twice(given)
        faults += needs.missing(given, frozenset({*self.tables, *nested(given)}))
        if faults:
            raise GeometryError(faults, f"{self.source or 'file'} with {', '.join(over)}")
        with np.errstate(all="ignore"):
            found = rules.reasons(keys, shape)
            for dotted, value in over.items():
                number = self.number("arm.radius" if "same_angle" in dotted else dotted)
                good = np.broadcast_to(number.within(np.asarray(value, float)), shape)
                found = np.where(good, found, int(Reason.OUT_OF_RANGE))
        return found

    def bearing_part(self, over: Mapping[str, Values] | None = None) -> Bearing | None:
        """Return the release bearing, or None."""
        return convert.bearing(self.laid(over))


def _unknown_table(table: str, prefix: str = "") -> Fault:
    near = nearest(table, [*TABLES, *_TOP])
    hint = f"Did you mean {near}?" if near else f"Known: {', '.join([*TABLES, *_TOP])}."
    return Fault(prefix + (table or '""'), "", "Not a known table.", hint)


def _not_a_table(table: str, content: Any, prefix: str = "") -> Fault:
    remedy = f"Write [{prefix}{table}] and its keys."
    return Fault(prefix + table, _value_text(content), "This must be a table.", remedy)


@cache
def _numeric(model: Any, prefix: str) -> tuple[str, ...]:
    """Return the dotted keys of a table that take a number."""
    found: list[str] = []
    for name, info in model.model_fields.items():
        inner = [a for a in getattr(info.annotation, "__args__", ()) if isinstance(a, type)]
        sub = [a for a in inner if issubclass(a, Table)]
        if sub:
            found += _numeric(sub[0], f"{prefix}{name}.")
        elif key_facts.number_in(info) is not None:
            found.append(prefix + name)
    return tuple(found)


def _value_text(value: Any) -> str:
    text = str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _faults_of(error: ValidationError, table: str, prefix: str, model: type[Table]) -> list[Fault]:
    """Return pydantic's findings in our words."""
    found = []
    for item in error.errors(include_url=False, include_context=True):
        place = [str(p) for p in item["loc"]]
        dotted = ".".join([prefix + table, *place])
        context = item.get("ctx", {})
        kind, value = item["type"], item.get("input")
        if isinstance(value, str) and value == "" and kind != "extra_forbidden":
            found.append(_blank(dotted, ".".join([table, *place]), model))
        elif kind == "extra_forbidden":
            found.append(_unknown(dotted, place, table, model))
        elif kind in ("quantity", "bounds", "list"):
            text = _value_text(value)
            found.append(Fault(dotted, text, context["problem"], context["remedy"]))
        elif kind == "literal_error":
            options = str(context.get("expected", ""))
            found.append(
                Fault(dotted, _value_text(value), "Not a known word.", f"One of {options}.")
            )
        elif kind == "bool_type" or kind == "bool_parsing":
            found.append(
                Fault(dotted, _value_text(value), "Not true or false.", "Write true or false.")
            )
        else:
            found.append(
                Fault(dotted, _value_text(value), "Not what belongs here.", f"{item['msg']}.")
            )
    return found


def _blank(dotted: str, known: str, model: type[Table]) -> Fault:
    """Return the fault of a key that is there with nothing in it, as in a starter file."""
    kind = next((k for k, m in TABLES[known.split(".")[0]].items() if m is model), "")
    what, how = key_facts.describe(known, kind)
    remedy = how or "Fill it in."
    if not needs.ever_needed(known):
        remedy += " Or put # before it to leave it out."
    return Fault(dotted, "", f"Still blank: {what}." if what else "Still blank.", remedy)


def _unknown(dotted: str, place: list[str], table: str, model: type[Table]) -> Fault:
    near = nearest(place[-1], model.model_fields)
    if near:
        return Fault(dotted, "", "Not a known key.", f"Did you mean {near}?")
    homes = [
        (kind, other)
        for kind, other in TABLES[table].items()
        if len(place) == 1 and place[0] in other.model_fields
    ]
    if homes:
        return Fault(dotted, "", "Not a key of this kind.", f'It goes with kind = "{homes[0][0]}".')
    elsewhere = [
        t for t, kinds in TABLES.items() if any(place[-1] in m.model_fields for m in kinds.values())
    ]
    if elsewhere:
        return Fault(dotted, "", "Not a known key.", f"Did you mean {elsewhere[0]}.{place[-1]}?")
    known = ", ".join(n for n in model.model_fields if n != "kind")
    return Fault(dotted, "", "Not a known key.", f"Known here: {known}.")


def _read_table(
    table: str, content: Any, kind: str, prefix: str = ""
) -> tuple[Table | None, list[Fault]]:
    """Return a table validated on its own, and its faults."""
    if not isinstance(content, Mapping):
        return None, []
    model = TABLES[table].get(kind)
    if model is None:
        known = ", ".join(f'"{k}"' for k in TABLES[table])
        if not kind:
            what = "Needed, and not given: which kind it is."
            return None, [Fault(f"{prefix}{table}.kind", "", what, f"One of {known}.")]
        near = nearest(kind, TABLES[table])
        hint = f' Did you mean "{near}"?' if near else ""
        return None, [
            Fault(f"{prefix}{table}.kind", kind, "Not a known kind.", f"One of {known}.{hint}")
        ]
    try:
        return model.model_validate(dict(content)), []
    except ValidationError as error:
        bad = {str(item["loc"][0]) for item in error.errors(include_url=False)}
        rest = {k: v for k, v in content.items() if k not in bad}
        return model.model_validate(rest), _faults_of(error, table, prefix, model)


def _numbers(table: str, model: Table) -> Flat:
    """Return what a validated table says as flat keys, defaults included."""
    found: Flat = {}

    def walk(item: Table, prefix: str) -> None:
        for name in type(item).model_fields:
            value = getattr(item, name)
            if isinstance(value, Table):
                walk(value, f"{prefix}{name}.")
            elif value is not None:
                found[prefix + name] = value

    walk(model, f"{table}.")
    return found


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
        read, bad = _read_table(table, document.get(table, {}), kind_of(given, table))
        faults += bad
        if read is not None:
            found[table] = read
    for table in REQUIRED_TABLES:
        if table not in present:
            what = (TABLES[table].get(DEFAULT_KIND.get(table, "")) or Table).__doc__ or ""
            kinds = ", ".join(f'"{k}"' for k in TABLES[table] if k)
            remedy = f"Add [{table}]" + (f" with kind = one of {kinds}." if kinds else ".")
            faults.append(Fault(table, "", f"This table is missing. {what}".strip(), remedy))
    keys: Flat = {}
    for table, model in found.items():
        keys.update(_numbers(table, model))
    faults += [f for f in needs.twice(given) if f.key.split(".")[0] in found]
    faults += needs.missing(given, frozenset(found))
    faults += rules.broken(keys)
    if faults:
        raise GeometryError(_as_written(faults, given), source)
    with np.errstate(all="ignore"):
        cushion = float(convert.to_parts(keys).clamp_force_n)
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
    faults = []
    for table, content in nested(change).items():
        if table not in TABLES:
            faults.append(_unknown_table(table, prefix))
            continue
        if not isinstance(content, Mapping):
            faults.append(_not_a_table(table, content, prefix))
            continue
        kind = kind_of(change, table) if f"{table}.kind" in change else kind_of(base, table)
        if kind == "" and "" not in TABLES[table]:
            kind = next(iter(TABLES[table]))
        faults += _read_table(table, content, kind, prefix)[1]
    return faults


def _read_changes(content: Any, base: Flat) -> tuple[dict[str, Change], list[Fault]]:
    if not isinstance(content, Mapping):
        return {}, [
            Fault(
                "changes", _value_text(content), "Not a table of changes.", "Write [changes.NAME]."
            )
        ]
    found, faults = {}, []
    for name, body in content.items():
        if not isinstance(body, Mapping):
            faults.append(
                Fault(
                    f"changes.{name}",
                    _value_text(body),
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
        if table not in TABLES and table not in _TOP:
            faults.append(_unknown_table(table))
        elif table in TABLES and not isinstance(document[table], Mapping):
            faults.append(_not_a_table(table, document[table]))
    if not isinstance(title, str):
        faults.append(Fault("title", _value_text(title), "Not text.", 'Write title = "...".'))
    try:
        built = _build(base, str(title), changes, source, body)
    except GeometryError as error:
        raise GeometryError((*error.faults, *faults), source) from None
    if faults:
        raise GeometryError(faults, source)
    return built
