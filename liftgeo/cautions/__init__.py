"""Warnings: what could hurt, mislead, or soon go wrong, as data with a source each."""

from __future__ import annotations

import numpy as np

from liftgeo.cautions.clutch_rules import CLUTCH_CAUTIONS
from liftgeo.cautions.findings import Findings
from liftgeo.cautions.left_out_rules import LEFT_OUT_CAUTIONS
from liftgeo.cautions.metal_rules import METAL_CAUTIONS
from liftgeo.cautions.odd_rules import ODD_CAUTIONS
from liftgeo.cautions.outline_rules import OUTLINE_CAUTIONS
from liftgeo.cautions.plausible_rules import FILE_CAUTIONS, PLAUSIBLE_CAUTIONS
from liftgeo.cautions.rule import CAUTION, SEVERITIES, STOP, Case, Caution
from liftgeo.cautions.strength_rules import STRENGTH_CAUTIONS
from liftgeo.cautions.stroke_rules import STROKE_CAUTIONS
from liftgeo.cautions.table_rules import TABLE_CAUTIONS
from liftgeo.cautions.warning import Warning
from liftgeo.cautions.written_rules import WRITTEN_NOTES
from liftgeo.mechanism import Mechanism
from liftgeo.parts.values import Values

__all__ = [
    "CAUTIONS",
    "FILE_CAUTIONS",
    "METAL_CAUTIONS",
    "SEVERITIES",
    "Case",
    "Caution",
    "Warning",
    "found",
    "looks_wrong",
    "may_be_recommended",
    "raised",
    "written",
]

CAUTIONS: tuple[Caution, ...] = (
    *PLAUSIBLE_CAUTIONS,
    *TABLE_CAUTIONS,
    *ODD_CAUTIONS,
    *STROKE_CAUTIONS,
    *CLUTCH_CAUTIONS,
    *STRENGTH_CAUTIONS,
    *OUTLINE_CAUTIONS,
    *LEFT_OUT_CAUTIONS,
)

RULES_OF_FILES = (*FILE_CAUTIONS, *METAL_CAUTIONS, *WRITTEN_NOTES)

# Cautions that say something about the file, not about the clutch.
ABOUT_THE_FILE = ("rigid-cable", "rigid-rod")


def raised(outcome: Findings) -> dict[Caution, Values]:
    """Return where each rule applies, over the whole batch of an outcome."""
    with np.errstate(all="ignore"):
        return {rule: rule.holds(outcome) for rule in CAUTIONS}


def written(mechanism: Mechanism) -> tuple[Warning, ...]:
    """Return the warnings of how a file is written, and of the metal that its changes take off."""
    said = [(rule, rule.says(mechanism)) for rule in RULES_OF_FILES]
    return tuple(Warning(rule.key, rule.severity, words) for rule, words in said if words)


def found(case: Case, mechanism: Mechanism | None = None) -> tuple[Warning, ...]:
    """Return the warnings of one case, and of how its file is written, the gravest first."""
    said = [*(written(mechanism) if mechanism is not None else ())]
    said += [
        Warning(rule.key, rule.severity, rule.says(case))
        for rule, applies in case.outcome.raised_somewhere
        if case(applies)
    ]
    return tuple(sorted(said, key=lambda w: SEVERITIES.index(w.severity)))


def looks_wrong(key: str) -> bool:
    """Return whether a warning of this name is about a number that is most likely a slip."""
    about_numbers = {rule.key for rule in (*PLAUSIBLE_CAUTIONS, *ODD_CAUTIONS)}
    return key in about_numbers | {rule.key for rule in FILE_CAUTIONS}


def may_be_recommended(outcome: Findings, base: Findings) -> Values:
    """Return which variants stand at or above every caution line, beside what they change.

    No stop, and no caution that the unchanged mechanism does not have already.

    Parameters
    ----------
    outcome : Outcome
        Variants, of any batch shape.
    base : Outcome
        The unchanged mechanism, of shape ().
    """
    good: Values = np.ones(outcome.shape, bool)
    known = {rule.key for rule, applies in base.raised.items() if np.any(applies)}
    known |= {"drags"} if "no-release" in known else set()
    for rule, applies in outcome.raised.items():
        lasting = rule.key in known or rule.key in ABOUT_THE_FILE
        if rule.severity == STOP or (rule.severity == CAUTION and not lasting):
            good = good & ~np.asarray(applies, bool)
    return good
