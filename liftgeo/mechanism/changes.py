"""Changes of a geometry file: named sets of keys, and what is wrong with one on its own."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from liftgeo.as_written import amount_in
from liftgeo.errors import Fault, GeometryError
from liftgeo.mechanism.amounts import amount_fault
from liftgeo.mechanism.change_keys import TERMS
from liftgeo.mechanism.change_terms import NO_TERMS, Terms, read_terms, terms_between
from liftgeo.mechanism.key_facts import keys_of
from liftgeo.mechanism.laying import Flat, flatten, kind_of, nested
from liftgeo.mechanism.reading import not_a_table, read_table, unknown_table, value_text
from liftgeo.mechanism.settling import spelled_out
from liftgeo.mechanism.tables import TABLES


@dataclass(frozen=True, eq=False, repr=False)
class Change:
    """A named change: a note, the keys it lays over the file, and on what terms it is to be had."""

    name: str
    note: str
    keys: Flat
    terms: Terms = NO_TERMS


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
    change, amounts = _without_amounts(base, change)
    faults += [replace(fault, key=prefix + fault.key) for fault in amounts]
    faults += [replace(fault, key=prefix + fault.key) for fault in said_by_the_hand(change)]
    for table, content in nested(change).items():
        if table not in TABLES:
            faults.append(unknown_table(table, prefix))
            continue
        if not isinstance(content, Mapping):
            continue
        kind = _kind_in(base, change, table)
        faults += read_table(table, content, kind, prefix)[1]
    return faults


def taken_out(given: Flat, change: Flat) -> tuple[Flat, Flat]:
    """Return keys without those that a change takes out with None, and the rest of the change."""
    gone = {key for key, value in change.items() if value is None}
    kept = {key: value for key, value in given.items() if key not in gone}
    return kept, {key: value for key, value in change.items() if key not in gone}


def _kind_in(base: Mapping[str, Any], change: Mapping[str, Any], table: str) -> str:
    kind = kind_of(change, table) if f"{table}.kind" in change else kind_of(base, table)
    return next(iter(TABLES[table])) if kind == "" and "" not in TABLES[table] else kind


def _without_amounts(
    base: Mapping[str, Any], change: Mapping[str, Any]
) -> tuple[Flat, list[Fault]]:
    """Return a change without the numbers it gives by an amount, and what is wrong with those."""
    rest: Flat = {}
    faults: list[Fault] = []
    for dotted, value in change.items():
        table = dotted.split(".")[0]
        if amount_in(value) is None or table not in TABLES or "." not in dotted:
            rest[dotted] = value
            continue
        kind = _kind_in(base, change, table)
        model = TABLES[table].get(kind)
        if model is None or dotted not in keys_of(model, f"{table}."):
            rest[dotted] = value  # told of as a key that is not known
            continue
        fault = amount_fault(dotted, value, kind)
        faults += [fault] if fault is not None else []
    return rest, faults


_FOLLOWS_A_MOVE = {
    "lever.hole": ("lever.nipple_radius", "lever.rest_length", "lever.cable_angle"),
    "arm.hole": ("arm.radius", "arm.rest_length", "arm.cable_angle"),
    "arm.turned": ("arm.rest_length", "arm.cable_angle"),
    "arm.turned_by": ("arm.rest_length", "arm.cable_angle"),
}


def said_by_the_hand(change: Mapping[str, Any]) -> list[Fault]:
    """Return a fault for every key of a change that follows from what it moves."""
    return [
        Fault(key, "", f"It follows from {move} in the same change.", "Leave one of them out.")
        for move, keys in _FOLLOWS_A_MOVE.items()
        for key in keys
        if move in change and key in change
    ]


def read_changes(content: Any, base: Flat) -> tuple[dict[str, Change], list[Fault]]:
    """Return the named changes of a file, and what is wrong with them."""
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
        if not isinstance(note, str):
            remedy = f'Write note = "{value_text(note)}".'
            faults.append(Fault(f"changes.{name}.note", value_text(note), "Not text.", remedy))
        rest = spelled_out(flatten({k: v for k, v in body.items() if k not in ("note", *TERMS)}))
        faults += change_faults(base, rest, f"changes.{name}.")
        terms, wrong = read_terms(str(name), body)
        faults += wrong
        found[str(name)] = Change(str(name), str(note), rest, terms)
    faults += terms_between({name: change.terms for name, change in found.items()})
    return found, faults


def typed_change(text: str, base: Flat) -> Change | None:
    """Return a number of one's own as a change named by what was typed: "cable.free_play=1.2".

    Parameters
    ----------
    text : str
        KEY=VALUE, the value as in a file.
    base : mapping
        The keys of the file.

    Returns
    -------
    Change or None
        None where the text is not of that form.

    Raises
    ------
    GeometryError
        An unknown key, a wrong unit, a number out of bounds.
    """
    key, equals, value = (part.strip() for part in text.partition("="))
    if not equals or not re.fullmatch(r"[a-z_]+(\.[a-z_]+)+", key):
        return None
    keys = spelled_out({key: value})
    check_keys(base, keys, "")
    return Change(text, "", keys)
