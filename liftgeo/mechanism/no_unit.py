"""A fraction without a unit counts as mm, and is nearly always meant in inches."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from liftgeo.as_written import FRACTION_CHARACTERS
from liftgeo.errors import Fault
from liftgeo.mechanism.key_facts import number_of, readings_of, shape_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.tables import TABLES

_FRACTION = re.compile(rf"\d\s*[/⁄]\s*\d|[{FRACTION_CHARACTERS}]")
_UNIT = re.compile(r"[^\W\d_]|[\"'″′ʺʹ’”]")  # a letter of any alphabet, or a mark for inch and foot


def fraction_without_unit(value: object) -> str:
    """Return a text that holds a fraction and no unit, or the first such of a list; else ""."""
    if isinstance(value, list | tuple):
        return next(filter(None, map(fraction_without_unit, value)), "")
    if not isinstance(value, str) or not _FRACTION.search(value):
        return ""
    plain = re.sub(rf"\buniform\b|[{FRACTION_CHARACTERS}]", "", value)
    return "" if _UNIT.search(plain) else value.strip()


def lengths_without_unit(given: Mapping[str, Any]) -> dict[str, str]:
    """Return the keys that take a length and give it as a fraction without a unit."""
    texts = {k: value for k, value in given.items() if not isinstance(value, float | int)}
    bare = {dotted: fraction_without_unit(value) for dotted, value in texts.items()}
    return {dotted: text for dotted, text in bare.items() if text and _is_length(given, dotted)}


def _is_length(given: Mapping[str, Any], dotted: str) -> bool:
    kind = kind_of(given, dotted.split(".")[0])
    found = number_of(dotted, kind) or readings_of(dotted, kind) or shape_of(dotted, kind)
    return found is not None and found.dimension == "length"


def in_inches(text: str) -> str:
    """Return a text with the unit its writer will have meant: "1 3/32" gives "1 3/32 in"."""
    return re.sub(r"\s*(±|\+/-|\+-|$)", r" in \1", text, count=1).strip()


def blamed_rightly(faults: list[Fault], given: Mapping[str, Any]) -> list[Fault]:
    """Return what rules between keys found, with a fraction without a unit blamed where it stands.

    A rule names the key that makes a triangle impossible; where its table holds such a fraction,
    that is what went wrong.
    """
    tables = {fault.key.split(".")[0] for fault in faults}
    known = {k: v for k, v in given.items() if k.split(".")[0] in tables & TABLES.keys()}
    bare = lengths_without_unit(known) if faults else {}
    said = [
        Fault(
            dotted,
            text,
            "A fraction without a unit counts as mm, and does not fit the other measurements.",
            f'Write {dotted.rpartition(".")[2]} = "{in_inches(text)}" if inches are meant.',
        )
        for dotted, text in bare.items()
    ]
    spoiled = {dotted.split(".")[0] for dotted in bare}
    return [f for f in faults if f.key.split(".")[0] not in spoiled] + said
