"""The form of a warning rule, and one element of an outcome for its words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from liftgeo.cautions.findings import ClutchEndFindings, Findings
from liftgeo.mechanism.key_facts import known
from liftgeo.parts.values import Index, Values

STOP, CAUTION, NOTE = "stop", "caution", "note"
SEVERITIES = (STOP, CAUTION, NOTE)


@dataclass(frozen=True, eq=False, repr=False)
class Case:
    """One element of an outcome, for the words of a warning."""

    outcome: Findings
    index: Index = ()

    def __call__(self, value: Values) -> float:
        """Return this element of a value as a float."""
        return float(self.outcome.picked(value, self.index))

    @property
    def end(self) -> ClutchEndFindings:
        """The clutch end of the whole outcome."""
        return self.outcome.clutch_end

    @property
    def stopped_by(self) -> str:
        """What ends the stroke."""
        return str(self.outcome.stop_names[int(self(self.outcome.end.limit))])


@dataclass(frozen=True, eq=False, repr=False)
class Caution:
    """A warning rule.

    Attributes
    ----------
    key : str
        Name of the warning; rules of one name and different severity exclude each other.
    severity : str
        "stop", "caution" or "note".
    source : str
        Where the limit comes from.
    holds : callable
        Takes an outcome of any batch shape, returns where the warning applies.
    says : callable
        Takes a case where it applies, returns the message. It tells what is so and what follows,
        and recommends no change.
    """

    key: str
    severity: str
    source: str
    holds: Callable[[Findings], Values]
    says: Callable[[Case], str]


def has(outcome: Findings, *dotted: str) -> bool:
    """Return whether the file gives one of some keys, or a key below one of them."""
    keys, dotted = outcome.keys, tuple(known(key) for key in dotted)
    if any(key in keys for key in dotted):
        return True
    below = tuple(f"{key}." for key in dotted)
    return any(key.startswith(below) for key in keys)
