"""A file that nobody has finished: blanks at lever and arm, where no answer can begin yet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from liftgeo.errors import GeometryError
from liftgeo.kinds import KINDS
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.samples import sample_table
from liftgeo.plain_text import one_line

_ENDS = ("lever", "arm")


@dataclass(frozen=True)
class Unfinished:
    """A mechanism whose lever or arm may be invented, because the file does not give it whole.

    Attributes
    ----------
    mechanism : Mechanism
    written : mapping
        Of each invented table what the file says, as it says it, by key.
    """

    mechanism: Mechanism
    written: Mapping[str, Mapping[str, str]] = field(default_factory=dict)


def unfinished(document: Mapping[str, Any], source: str, error: GeometryError) -> Unfinished:
    """Return the mechanism of a document that failed for want of numbers of lever or arm alone.

    Parameters
    ----------
    document : mapping
        As parsed.
    source : str
    error : GeometryError
        What reading it raised; raised again where anything but numbers is amiss.
    """
    if any(not fault.absent for fault in error.faults):
        raise error
    wanting = {fault.key.split(".")[0] for fault in error.faults} & set(_ENDS)
    if not wanting:
        raise error
    written: dict[str, dict[str, str]] = {}
    filled = dict(document)
    for table in sorted(wanting):
        own = document.get(table, {})
        kind = str(own.get("kind") or KINDS[table][0])
        if kind not in KINDS[table]:
            raise error
        filled[table] = sample_table(table, kind)
        written[table] = {
            name: one_line(str(value))
            for name, value in own.items()
            if name != "kind" and value not in ("", []) and not isinstance(value, dict)
        }
    return Unfinished(from_document(filled, source), written)
