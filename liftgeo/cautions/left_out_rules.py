"""Warnings about numbers that were left out and decide something."""

from __future__ import annotations

from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, NOTE, Case, Caution, has
from liftgeo.cautions.stroke_rules import COMMON, FOLLOWS
from liftgeo.parts.values import Values

SLIP_LINE = 1.33


def _may_slip(outcome: Findings) -> Values:
    return (outcome.slip_margin < SLIP_LINE) & ("faces.friction" in outcome.keys.taken)


def _may_slip_words(case: Case) -> str:
    margin = case(case.outcome.slip_margin)
    friction = case(case.outcome.parts.faces.friction)
    usual = f"a usual {friction:.2f}"
    if "faces.running" not in case.outcome.keys:
        usual += " (dry or in oil is not given)"
    return (
        f"The facing's friction was not given. At {usual} the clutch would hold "
        f"{margin:.2f} times what the engine asks; {SLIP_LINE:.2f} is wanted. Find faces.friction "
        "in the facing's data sheet before you rely on it."
    )


def _action_unknown(case: Case) -> str:
    return (
        "rod.action is not given: whether the rod buckles, and what heat does to its play, was "
        'not judged. Write "pull" or "push".'
    )


LEFT_OUT_CAUTIONS: tuple[Caution, ...] = (
    Caution("may-slip", CAUTION, COMMON, _may_slip, _may_slip_words),
    Caution(
        "action-unknown",
        NOTE,
        FOLLOWS,
        lambda o: "rod.action" not in o.keys and has(o, "rod.length", "rod.diameter", "warm"),
        _action_unknown,
    ),
)
