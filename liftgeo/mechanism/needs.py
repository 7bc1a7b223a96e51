"""Which keys a geometry file needs, as its tables say, and which it must not give twice."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from liftgeo.errors import Fault
from liftgeo.mechanism import key_facts
from liftgeo.mechanism.key_facts import Keys, describe
from liftgeo.mechanism.laying import BLADE_AND_GRIP, given_twice, kind_of, names_in
from liftgeo.mechanism.tables import TABLES, Table


@dataclass(frozen=True, eq=False, repr=False)
class Need:
    """A key that a kind of table needs, and the keys that make it unnecessary."""

    key: str
    kind: str = ""
    unless: tuple[str, ...] = ()


def _walk(model: type[Table], home: str, kind: str) -> Iterator[tuple[str | None, Need]]:
    """Yield what a table needs, and once which key or inner table is given (None: always)."""
    for name in key_facts.names(model):
        info = model.model_fields[name]
        extra: Any = info.json_schema_extra or {}
        dotted = f"{home}.{name}"
        need = Need(dotted, kind, tuple(f"{home}.{n}" for n in extra.get("unless", "").split()))
        if extra.get("needed"):
            yield None, need
        for given in extra.get("needed_with", "").split():
            yield f"{home}.{given}", need
        inner = key_facts.inner_table(info)
        if inner is not None:
            yield from ((dotted, within) for _, within in _walk(inner, dotted, kind))


@cache
def _all() -> tuple[tuple[str | None, Need], ...]:
    """Return what every kind of table needs, and once which key or inner table is given."""
    return tuple(
        found
        for table, kinds in TABLES.items()
        for kind, model in kinds.items()
        for found in _walk(model, table, kind)
    )


def needs() -> list[Need]:
    """Return what a table of a kind cannot do without."""
    return [need for given, need in _all() if given is None]


def needs_with() -> list[tuple[str, Need]]:
    """Return what is needed once the key, or inner table, of the first name is given."""
    return [(given, need) for given, need in _all() if given is not None]


_RUBS_WITH = {
    "release.collar_diameter": "release.collar_friction",
    "release.cam_radius": "release.friction",
}
"""Radii at which something rubs: not needed where the friction is zero."""


def ever_needed(dotted: str) -> bool:
    """Return whether some file cannot do without a key, or without what may stand for it."""
    known = [need for _, need in _all()]
    fitted = dotted.startswith(("stack.", "spring.installed"))
    return fitted or any(dotted in (need.key, *need.unless) for need in known)


def missing(keys: Keys, tables: frozenset[str], blank: Collection[str] = ()) -> list[Fault]:
    """Return a fault for every key that is needed and not given.

    Parameters
    ----------
    keys : mapping
        Flat keys as given.
    tables : set of str
        Tables to look at: present, and of a known kind.
    blank : collection of str
        Keys that are there with nothing in them.
    """
    found, names = [], names_in(keys)
    wanted = [need for need in needs() if need.key.split(".")[0] in tables]
    wanted += [
        need
        for given, need in needs_with()
        if given in tables or (given.split(".")[0] in tables and given in names)
    ]
    wanted += _installed(keys, tables)
    wanted += _travel(keys, tables)
    for need in wanted:
        if need.key in keys or not names.isdisjoint(need.unless):
            continue
        kind = kind_of(keys, need.key.split(".")[0])
        if need.kind and need.kind != kind:
            continue
        rubbing = _RUBS_WITH.get(need.key)
        if rubbing is not None and not keys.get(rubbing):
            continue
        empty = need.key in blank
        found.append((_still_blank if empty else not_given)(need.key, kind, need.unless))
    return found


def _still_blank(dotted: str, kind: str = "", unless: Iterable[str] = ()) -> Fault:
    """Return the fault of a needed key that is there with nothing in it, as in a starter file."""
    what, how = describe(dotted, kind)
    return Fault(dotted, "", f"Still blank: {what}.", how or "Fill it in.", "blank")


def not_given(dotted: str, kind: str = "", unless: Iterable[str] = ()) -> Fault:
    """Return the fault of a key that is needed and not given."""
    what, how = describe(dotted, kind)
    also = [u for u in unless if not u.endswith("points")]
    remedy = how or "Add it to the file."
    if also:
        remedy += f" Or give {' or '.join(also)}."
    return Fault(dotted, "", f"Needed, and not given: {what}.", remedy, "not given")


def _travel(keys: Keys, tables: frozenset[str]) -> list[Need]:
    """Return hand travel where the blade's shape stands for it, and there is no whole grip."""
    if "lever" not in tables or not any(key.startswith("lever.outline.") for key in keys):
        return []
    if "grip" not in tables or any(key not in keys for key in BLADE_AND_GRIP):
        return [Need("lever.hand_travel", "", ("lever.travel",))]
    return []


def _installed(keys: Keys, tables: frozenset[str]) -> list[Need]:
    """Return how the spring's fitted height is to be given, where it is not."""
    if "spring" not in tables:
        return []
    stack = [k for k in keys if k.startswith("stack.") and k != "stack.plain_plates"]
    if stack:
        needs = [
            Need("stack.rim_depth"),
            Need("stack.friction_plate", "", ("stack.friction_plate_free",)),
            Need("stack.pressure_plate"),
        ]
        if "faces" not in tables:
            needs.append(Need("faces.friction_plates"))
        if kind_of(keys, "spring") == "table":
            needs.append(Need("spring.free_height"))
        return needs
    kind = kind_of(keys, "spring")
    name = "installed_length" if kind == "coils" else "installed_deflection"
    return [Need(f"spring.{name}", "", ("stack.rim_depth",))]


def twice(keys: Keys) -> list[Fault]:
    """Return a fault for every pair of keys that say the same thing twice."""
    return [
        Fault(
            extra,
            "",
            f"Says the same as {kept}; the two could disagree.",
            "Keep one of them.",
        )
        for kept, extra in given_twice(keys)
    ]
