"""The form of a rule between keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from liftgeo.errors import Reason
from liftgeo.mechanism.fields import plain_digits
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.key_facts import known
from liftgeo.parts.values import Values
from liftgeo.quantities import shown

Text = Callable[[Inward], tuple[str, str]]


@dataclass(frozen=True, eq=False, repr=False)
class Rule:
    """Something that must hold between keys.

    Attributes
    ----------
    reason : Reason
        Code for a batch.
    needs : tuple of str
        The rule is asked only where every one of these keys (or tables) is given.
    holds : callable
        Takes the keys turned inward (numbers or arrays), returns true where the rule holds.
    key : callable
        Returns the dotted key to put the fault at.
    text : callable
        Returns what is wrong and what would be right, for one mechanism.
    kind : tuple of (table, kind)
        The rule is asked only of this kind of table.
    reads : tuple of str
        Keys, or tables, it looks at; left out: what it needs. It is not asked where one of them
        has a fault.
    forms : bool
        Where it is broken there is no part to judge further: it makes its keys faulty.
    """

    reason: Reason
    needs: tuple[str, ...]
    holds: Callable[[Inward], Values]
    key: Callable[[Inward], str]
    text: Text
    kind: tuple[str, str] | None = None
    reads: tuple[str, ...] = ()
    forms: bool = False

    def __post_init__(self) -> None:
        for name in (*self.needs, *self.reads):
            known(name)

    def touches(self, dotted: str) -> bool:
        """Return whether a faulty key, or table, is one the rule looks at."""
        return any(
            dotted == name or dotted.startswith(f"{name}.") or name.startswith(f"{dotted}.")
            for name in (self.reads or self.needs)
        )


def length(value: Any) -> str:
    """Return a length as typed, with its unit."""
    return shown(float(value), "length", digits=min(plain_digits(float(value)), 3))


def fixed(key: str) -> Callable[[Inward], str]:
    """Return a rule's key that is the same for every mechanism."""
    name = known(key)
    return lambda keys: name
