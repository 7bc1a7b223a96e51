"""Faults, error classes and reason codes: what can be wrong, said once."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum


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
    BEARING_RATING = 14
    NOT_FINITE = 15


@dataclass(frozen=True)
class Fault:
    """One thing to put right: dotted key, value with unit, what is wrong, what would be right."""

    key: str
    value: str
    problem: str
    remedy: str = ""

    def text(self) -> str:
        """Return the fault as printed: the key and value, then the sentences below it."""
        head = f"{self.key} = {self.value}" if self.value else self.key
        lines = [head, f"  {self.problem}"]
        if self.remedy:
            lines.append(f"  {self.remedy}")
        return "\n".join(lines)


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
        """Return all faults as one printable text."""
        count = len(self.faults)
        things = "1 thing" if count == 1 else f"{count} things"
        head = f"{self.source}: {things} to put right" if self.source else f"{things} to put right"
        blocks = [head]
        for fault in self.faults:
            blocks.append("\n".join("  " + line for line in fault.text().splitlines()))
        return "\n\n".join(blocks)


class QuantityError(LiftgeoError, ValueError):
    """A value that cannot be read as a quantity of the wanted dimension.

    Attributes
    ----------
    problem, remedy : str
        What is wrong with the value, and what would be right.
    """

    def __init__(self, problem: str, remedy: str = "") -> None:
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{problem} {remedy}".strip())


class RequestError(LiftgeoError, ValueError):
    """A question that cannot be asked of this mechanism: unknown change, key, name or range."""


class FileError(LiftgeoError, OSError):
    """A file that cannot be read or written."""


def nearest(name: str, known: Iterable[str]) -> str | None:
    """Return the known name nearest to a mistyped one, or None when none is near."""
    found = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return found[0] if found else None
