"""Faults, error classes and reason codes: what can be wrong, said once."""

from __future__ import annotations

import difflib
import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Literal, TypeAlias

from liftgeo.plain_text import LONGEST_IN_FAULT, cut, printable

Absent: TypeAlias = Literal["", "blank", "optional blank", "not given"]


class Reason(IntEnum):
    """Why one variant of a batch could not be computed (0: it could)."""

    OK = 0
    OUT_OF_RANGE = 1
    LEVER_TRIANGLE = 2
    LEVER_DEAD_CENTRE = 3
    ARM_TRIANGLE = 4
    ARM_DEAD_CENTRE = 5
    RELEASE_SHAPE = 6
    RELEASE_DEAD_CENTRE = 7
    SPRING_SHAPE = 8
    SPRING_LOOSE = 9
    SPRING_PAST_END = 10
    SPRING_NO_LOAD = 11
    FACES_SHAPE = 12
    CABLE_PLAY = 13
    NO_NUMBER = 14
    GRIP_CONTACT = 15


@dataclass(frozen=True)
class Fault:
    """One thing to put right.

    Attributes
    ----------
    key, value : str
        Dotted key, and its value with unit.
    problem, remedy : str
        What is wrong, and what would be right.
    absent : str
        Where nothing is wrong but that there is no value yet: "blank", "optional blank" (the key
        may be left out) or "not given".
    """

    key: str
    value: str
    problem: str
    remedy: str = ""
    absent: Absent = ""

    def text(self) -> str:
        """Return the fault as printed: the key and value, then the sentences below it."""
        key, value = (cut(each, 2 * LONGEST_IN_FAULT) for each in (self.key, self.value))
        head = f"{key} = {value}" if value else key
        lines = [head, f"  {self.problem}"]
        if self.remedy:
            lines.append(f"  {self.remedy}")
        return "\n".join(printable(line.replace("\n", " ")) for line in lines)


MOST_ABSENT_TOLD = 3
MOST_TOLD = 40
_WIDTH = 80
_MAY_BE_LEFT_OUT = "*"


def _listed(faults: Sequence[Fault], what: str, remedy: str) -> list[str]:
    """Return values that are not there as one block of text: what to do, then the keys by table."""
    if not faults:
        return []
    tables: dict[str, list[str]] = {}
    for fault in faults:
        table, _, name = fault.key.rpartition(".")
        mark = _MAY_BE_LEFT_OUT if fault.absent == "optional blank" else ""
        tables.setdefault(f"[{table}]", []).append(name + mark)
    count = "1 key is" if len(faults) == 1 else f"{len(faults)} keys are"
    lines = textwrap.wrap(f"{count} {what}. {remedy}", _WIDTH - 2, break_on_hyphens=False)
    indent = max(map(len, tables)) + 3
    for table, names in tables.items():
        lines += textwrap.wrap(
            ", ".join(names),
            _WIDTH - 2,
            initial_indent=f"  {table}".ljust(indent),
            subsequent_indent=" " * indent,
            break_long_words=False,
        )
    return ["\n".join(f"  {line}" for line in lines)]


def _listed_absent(faults: Sequence[Fault]) -> list[str]:
    """Return the blocks of all values that are not there: the blanks, then what is not given."""
    blank = [fault for fault in faults if fault.absent != "not given"]
    fill = "Fill in each: a file from `liftgeo new` says beside it how to measure it."
    if any(fault.absent == "optional blank" for fault in blank):
        fill += f" Those marked {_MAY_BE_LEFT_OUT} may be left out: put # before the line."
    add = "Add each to its table: a file from `liftgeo new` says how to measure it."
    missing = [fault for fault in faults if fault.absent == "not given"]
    return [*_listed(blank, "still blank", fill), *_listed(missing, "needed and not given", add)]


class LiftgeoError(Exception):
    """Root of every error this package raises on purpose."""


class GeometryError(LiftgeoError, ValueError):
    """A geometry file, or a change laid over it, that cannot be analysed.

    Attributes
    ----------
    faults : tuple of Fault
        Everything found wrong, at once.
    source : str
        File name, or the name of the change.
    """

    def __init__(self, faults: Iterable[Fault], source: str = "") -> None:
        self.faults = tuple(faults)
        self.source = source
        super().__init__(self.text())

    def text(self) -> str:
        """Return all faults as one printable text: what is wrong, then what is not there yet.

        More than three values that are not there are listed by table.
        """
        count = len(self.faults)
        things = "1 thing" if count == 1 else f"{count} things"
        head = f"{self.source}: {things} to put right" if self.source else f"{things} to put right"
        blocks = [head]
        absent = [fault for fault in self.faults if fault.absent]
        told = [fault for fault in self.faults if not fault.absent]
        few = len(absent) <= MOST_ABSENT_TOLD
        each = [*told, *absent] if few else told
        for fault in each[:MOST_TOLD]:
            blocks.append("\n".join("  " + line for line in fault.text().splitlines()))
        if len(each) > MOST_TOLD:
            blocks.append(f"  ... and {len(each) - MOST_TOLD} more.")
        blocks += [] if few else _listed_absent(absent)
        return "\n\n".join(blocks)


class QuantityError(LiftgeoError, ValueError):
    """A value that cannot be read as a quantity of the wanted dimension.

    Attributes
    ----------
    problem, remedy : str
        What is wrong with the value, and what would be right.
    instead : str
        The text to write in place of it, where that is known.
    """

    def __init__(self, problem: str, remedy: str = "", instead: str = "") -> None:
        self.problem = problem
        self.remedy = remedy
        self.instead = instead
        super().__init__(f"{problem} {remedy}".strip())


class RequestError(LiftgeoError, ValueError):
    """A question that cannot be asked of this mechanism: unknown change, key, name or range."""


class FileError(LiftgeoError, OSError):
    """A file that cannot be read or written."""


_LONGEST_COMPARED = 100


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name nearest to a mistyped one, or None when none is near."""
    found = difflib.get_close_matches(name[:_LONGEST_COMPARED], list(known), n=1, cutoff=0.6)
    return found[0] if found else None
