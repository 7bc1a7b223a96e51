"""The form of a rule between keys."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from liftgeo.errors import Reason
from liftgeo.mechanism.fields import plain_digits
from liftgeo.mechanism.key_facts import Keys
from liftgeo.parts.values import Values
from liftgeo.quantities import shown

Text = Callable[[Keys], tuple[str, str]]


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
        Takes the flat keys (numbers or arrays), returns true where the rule holds.
    key : callable
        Returns the dotted key to put the fault at.
    text : callable
        Returns what is wrong and what would be right, for one mechanism.
    kind : tuple of (table, kind)
        The rule is asked only of this kind of table.
    """

    reason: Reason
    needs: tuple[str, ...]
    holds: Callable[[Keys], Values]
    key: Callable[[Keys], str]
    text: Text
    kind: tuple[str, str] | None = None


def length(value: Any) -> str:
    """Return a length as typed, with its unit."""
    return shown(float(value), "length", digits=min(plain_digits(float(value)), 3))


def fixed(key: str) -> Callable[[Keys], str]:
    """Return a rule's key that is the same for every mechanism."""
    return lambda keys: key
