"""Warnings: what could hurt, mislead, or soon go wrong, as data with a source each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from liftgeo.parts.values import Values
from liftgeo.results import Warning

SEVERITIES = ("stop", "caution", "note")


@dataclass(frozen=True)
class Case:
    """One element of an outcome, for the rules below."""

    outcome: Any
    index: Any = ()

    def __call__(self, value: Values) -> float:
        """Return this element of a value as a float."""
        return float(self.outcome.picked(value, self.index))

    def has(self, key: str) -> bool:
        """Return whether the file gives a key, or a key below it."""
        return any(k == key or k.startswith(key + ".") for k in self.outcome.keys)

    @property
    def stopped_by(self) -> str:
        """What ends the stroke."""
        return str(self.outcome.stop_names[int(self(self.outcome.end.limit))])


@dataclass(frozen=True)
class Caution:
    """A warning rule.

    Attributes
    ----------
    key : str
        Name of the warning.
    severity : str
        "stop", "caution" or "note".
    source : str
        Where the limit comes from.
    says : callable
        Returns the message for a case, or None where the warning does not apply.
    """

    key: str
    severity: str
    source: str
    says: Callable[[Case], str | None]


_STOP_WORDS = {
    "track-end": "The release unit reaches the end of its track before the lever meets the grip.",
    "arm-stop": "The arm meets its stop before the lever meets the grip.",
    "spring-flat": "The spring is pressed flat before the lever meets the grip.",
    "spring-solid": "The spring goes solid before the lever meets the grip.",
    "table-end": "The measured table ends before the lever meets the grip; add readings.",
    "dead-centre": "A link comes to dead centre before the lever meets the grip.",
}


def _early_stop(case: Case) -> str | None:
    return _STOP_WORDS.get(case.stopped_by)


def _rigid_cable(case: Case) -> str | None:
    if case.has("cable.stiffness") or case.has("cable.wire"):
        return None
    return (
        "No cable stiffness is given, so the cable counts as rigid: real lift will be less. "
        "Hold the arm end, pull with the spring balance, and read the nipple's movement."
    )


def _rigid_rod(case: Case) -> str | None:
    if case.has("rod.stiffness") or case.has("rod.length"):
        return None
    return (
        "No rod stiffness is given, so rod and casing count as rigid: real lift will be less. "
        "Give rod.stiffness, or length and diameter of the rod."
    )


def _snap(case: Case) -> str | None:
    end = case.outcome.end
    if not case(end.jumps):
        return None
    return (
        f"The plates jump by {case(end.jump_to) - case(end.jump_from):.2f} mm with the hand "
        "still: the spring eases faster than cable and rod can follow. Expect a sudden, uneven "
        "take-up; a stiffer cable cures it."
    )


def _plate_snap(case: Case) -> str | None:
    if not case(case.outcome.end.folds):
        return None
    return (
        "The plates would jump even with the arm held: the spring eases faster than the rod "
        "gives. A stiffer rod cures it."
    )


def _holds_itself(case: Case) -> str | None:
    back = case.outcome.back
    if case(case.outcome.full.rod_force_n) <= 0 or case(back.unit_torque_nmm) > 0:
        return None
    return (
        "The release unit does not let itself back under the spring: friction holds it. The "
        "clutch may stay open until the arm is pulled back."
    )


CAUTIONS: tuple[Caution, ...] = (
    Caution("early-stop", "note", "follows from the stroke", _early_stop),
    Caution("rigid-cable", "caution", "every cable stretches; common practice", _rigid_cable),
    Caution("rigid-rod", "caution", "every rod gives; common practice", _rigid_rod),
    Caution("snap", "caution", "follows from equilibrium; docs/theory.md, Snap", _snap),
    Caution("plate-snap", "caution", "follows from equilibrium; docs/theory.md, Snap", _plate_snap),
    Caution("does-not-return", "stop", "follows from the torque letting back", _holds_itself),
)


def found(case: Case) -> tuple[Warning, ...]:
    """Return the warnings of one case, the gravest first."""
    said = [
        Warning(rule.key, rule.severity, message)
        for rule in CAUTIONS
        if (message := rule.says(case)) is not None
    ]
    return tuple(sorted(said, key=lambda w: SEVERITIES.index(w.severity)))
