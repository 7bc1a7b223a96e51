"""Notes on how a file's numbers were read, where they can be read in two ways."""

from __future__ import annotations

import re
from collections.abc import Iterator

from liftgeo.cautions.plausible_rules import FileCaution
from liftgeo.cautions.rule import NOTE
from liftgeo.cautions.stroke_rules import COMMON
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.key_facts import number_of, readings_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import weighed_unit


def _weighed(mechanism: Mechanism) -> Iterator[tuple[str, str, str]]:
    """Yield key, text and unit of every number whose unit of mass is read as a weight."""
    for dotted, raw in mechanism.given.items():
        if isinstance(raw, float | int):
            continue
        table = dotted.split(".")[0]
        texts = [x for x in (raw if isinstance(raw, list | tuple) else [raw]) if isinstance(x, str)]
        if not texts or table not in TABLES:
            continue
        kind = kind_of(mechanism.given, table)
        takes = number_of(dotted, kind) or readings_of(dotted, kind)
        for text in texts:
            unit = weighed_unit(text, takes.dimension) if takes else ""
            if unit:
                yield dotted, text, unit
                break


def _weighed_words(mechanism: Mechanism) -> str:
    found = list(_weighed(mechanism))
    told = ", ".join(f"{dotted} = {text}" for dotted, text, _ in found)
    units = dict.fromkeys(unit for *_, unit in found)
    taken = " and ".join(f"{unit} is read as {_as_force(unit)}" for unit in units)
    return f"{told}: scales weigh a force, so {taken}." if told else ""


def _as_force(unit: str) -> str:
    return re.sub(r"\bk?g\b", lambda found: f"{found[0]}f", unit)


WRITTEN_NOTES: tuple[FileCaution, ...] = (FileCaution("weighed", NOTE, COMMON, _weighed_words),)
