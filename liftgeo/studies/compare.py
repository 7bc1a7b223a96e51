"""Stock against changes: results, differences, and the reason for each in a few words."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.cached import cached_property
from liftgeo.cautions import ABOUT_THE_FILE
from liftgeo.errors import Fault, GeometryError, RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.consequence import consequence
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.html_table import Cell, html_table
from liftgeo.outcome.outcome import TOLERANCE_MM, VERDICTS
from liftgeo.outcome.results import Result, plain
from liftgeo.outcome.together import outcomes, results
from liftgeo.outcome.uncertain import SURE
from liftgeo.studies.reasons import Account, accounts_of, reason_between
from liftgeo.studies.sets import Nearest, nearest
from liftgeo.studies.sure import Sure, how_sure

COMBINE = "+"

DELTAS: dict[str, Callable[[Result], float]] = {
    "clearance_per_face_mm": lambda r: r.full_lever.clearance_per_face_mm,
    "separation_mm": lambda r: r.full_lever.separation_mm,
    "hand_force_n": lambda r: r.full_lever.hand_force_n,
    "return_hand_force_n": lambda r: r.full_lever.return_hand_force_n,
    "peak_hand_force_n": lambda r: r.peak.hand_force_n,
    "travel_left_mm": lambda r: r.event("running-clear").left_mm,
    "clamp_force_n": lambda r: r.capacity.clamp_force_n,
    "slip_margin": lambda r: r.capacity.slip_margin,
    "axial_load_n": lambda r: r.bearing.axial_load_n,
    "work_j": lambda r: r.effort.work_j,
}
"""What a comparison sets side by side: name in the JSON, and where it stands in a result."""

FREES = "frees"

BETTER: dict[str, int] = {
    FREES: 1,
    "clearance_per_face_mm": 1,
    "separation_mm": 1,
    "hand_force_n": -1,
    "return_hand_force_n": -1,
    "peak_hand_force_n": -1,
    "travel_left_mm": 1,
    "clamp_force_n": 1,
    "slip_margin": 1,
    "axial_load_n": -1,
    "work_j": -1,
}
"""+1 where more is better, -1 where less is."""


@dataclass(frozen=True)
class Compared:
    """One mechanism of a comparison.

    Attributes
    ----------
    names : tuple of str
        The changes laid over the file, or the name of another file; empty for the base.
    note : str
        The notes of the changes.
    mechanism, result : Mechanism, Result
    account : Account
        Work in, work lost and how the effort is spread.
    delta : dict
        This one minus the base, flat; NaN where either is not known. Zeros for the base.
    reason : str
        Why, in a few words; empty for the base.
    sure : Sure
        How many of 1 free and hold, and what was left out.
    """

    names: tuple[str, ...]
    note: str
    mechanism: Mechanism
    result: Result
    account: Account
    delta: Mapping[str, float]
    reason: str
    sure: Sure

    @property
    def label(self) -> str:
        """The names joined by " + "."""
        return f" {COMBINE} ".join(self.names)

    def value(self, name: str) -> float:
        """Return one of the numbers of `DELTAS`, or "frees" (NaN where nothing is uncertain)."""
        if name == FREES:
            return math.nan if self.sure.frees is None else self.sure.frees
        return DELTAS[name](self.result)

    @property
    def chance(self) -> float:
        """Share that frees; 1 or 0 where nothing is uncertain."""
        if self.sure.frees is None:
            return float(self.result.full_lever.clearance_per_face_mm >= -TOLERANCE_MM)
        return self.sure.frees

    @property
    def dangers(self) -> tuple[str, ...]:
        """What forbids recommending this one: it slips, or a warning says stop."""
        return dangers_of(self.result)


@dataclass(frozen=True)
class Comparison:
    """A base and what is compared with it, in the order asked for."""

    base: Compared
    variants: tuple[Compared, ...]

    @property
    def all(self) -> tuple[Compared, ...]:
        """The base and all variants."""
        return (self.base, *self.variants)

    @cached_property
    def nearest(self) -> Nearest | None:
        """What comes nearest to the targets: up to three changes together, or what is compared."""
        others = {case.names: case.mechanism for case in self.variants}
        return nearest(self.base.mechanism, others)

    @property
    def uncertain(self) -> bool:
        """Whether anything is uncertain, so that `frees` is known."""
        return any(case.sure.frees is not None for case in self.all)

    def to_dict(self) -> dict[str, Any]:
        """Return the comparison as plain data: {base, variants: [{names, result, delta}], nearest}.

        The base and each variant carry {frees, holds, taken} too, each variant what it holds and
        what follows as `consequence`: {set, held, followed}.
        """
        return {
            "base": self.base.result.to_dict() | self.base.sure.to_dict(),
            "variants": [
                {
                    "names": list(v.names),
                    "result": v.result.to_dict(),
                    "delta": plain(dict(v.delta)),
                    **v.sure.to_dict(),
                    "consequence": consequence(v.mechanism).to_dict(),
                }
                for v in self.variants
            ],
            "nearest": None if self.nearest is None else self.nearest.to_dict(),
        }

    def marks(self, name: str) -> list[str]:
        """Return "*" for the best, "!" for the worst of a column, "" for the others.

        A mechanism that slips or has a "stop" warning is never marked best. What more than half
        of them share is not marked.
        """
        values = [BETTER[name] * c.value(name) for c in self.all]
        known = [v for v in values if not math.isnan(v)]
        safe = [
            v for v, c in zip(values, self.all, strict=True) if not math.isnan(v) and not c.dangers
        ]
        if not known or max(known) - min(known) <= 1e-9 * max(map(abs, known)):
            return [""] * len(values)
        best, worst = max(safe, default=math.nan), min(known)
        found = []
        for value, case in zip(values, self.all, strict=True):
            common = 2 * values.count(value) > len(values)
            good = value == best and not case.dangers
            found.append("" if common else "!" if value == worst else "*" if good else "")
        return found

    def best(self) -> Compared | None:
        """Return the variant to look at next: best verdict, then the least peak effort.

        Where anything is uncertain, the one that frees most often comes first; what frees 19 times
        in 20 or more counts as sure. None where none runs clear
        without a new warning, or the base is as good.
        """

        def rank(case: Compared) -> tuple[float, int, float]:
            frees = min(round(case.chance, 2), SURE) if self.uncertain else 0.0
            verdict = VERDICTS.index(case.result.verdict)
            return frees, verdict, -case.result.peak.hand_force_n

        good = [
            v
            for v in self.variants
            if (self.uncertain or v.result.verdict in ("marginal", "clear"))
            and not worries_of(v.result, self.base.result)
        ]
        if not good:
            return None
        found = max(good, key=rank)
        return found if self.base.dangers or rank(found) > rank(self.base) else None

    def to_csv(self) -> str:
        """Return the comparison as CSV text: one row a mechanism, values then differences."""
        numbers = [*DELTAS, *(f"delta_{name}" for name in DELTAS)]
        rows = [self._row(case) for case in self.all]
        last = ["reason", "stop", "frees", "holds", "taken"]
        return csv_text(["names", "verdict", "stopped_by", *numbers, *last], rows)

    @staticmethod
    def _row(case: Compared) -> list[str | float | None]:
        return [
            case.label,
            case.result.verdict,
            case.result.stopped_by,
            *(case.value(name) for name in DELTAS),
            *(case.delta[name] for name in DELTAS),
            case.reason,
            "; ".join(case.dangers),
            case.sure.frees,
            case.sure.holds,
            "; ".join(item.key for item in case.sure.taken),
        ]

    def _repr_html_(self) -> str:
        names = ("clearance_per_face_mm", "peak_hand_force_n", "clamp_force_n", "slip_margin")
        rows: list[list[Cell]] = [
            [case.label, case.result.verdict, *map(case.value, names), case.reason]
            for case in self.all
        ]
        return html_table(self.base.result.title, rows, ("names", "verdict", *names, "reason"))


def dangers_of(result: Result) -> tuple[str, ...]:
    """Return what forbids calling a result good: "slips", and the keys of its stop warnings."""
    slips = ["slips"] if result.verdict == "slips" else []
    stops = [w.key for w in result.warnings if w.severity == "stop"]
    return tuple(dict.fromkeys([*slips, *stops]))


def worries_of(result: Result, base: Result) -> tuple[str, ...]:
    """Return what forbids recommending a result beside its base.

    Every danger, and every caution about the clutch that the base does not have already.
    """
    known = {w.key for w in base.warnings} | set(ABOUT_THE_FILE)
    known |= {"drags"} if "no-release" in known else set()
    new = [w.key for w in result.warnings if w.severity == "caution" and w.key not in known]
    return tuple(dict.fromkeys([*dangers_of(result), *new]))


def delta_between(base: Result, variant: Result) -> dict[str, float]:
    """Return variant minus base for each of `DELTAS`; NaN where either is not known."""
    return {name: float(get(variant)) - float(get(base)) for name, get in DELTAS.items()}


_ANOTHER = re.compile(r"[+](?=\s*[a-z_]+(?:[.][a-z_]+)+\s*=)")
"""A plus before another KEY=VALUE."""


def joined_names(mechanism: Mechanism, text: str) -> tuple[str, ...]:
    """Return the names in a text that may join several with "+", known or not.

    A name may be KEY=VALUE; within its value a plus joins nothing, unless a KEY=VALUE or a name of
    the file's follows.
    """
    if text in mechanism.changes:
        return (text,)
    names: list[str] = []
    for piece in _ANOTHER.split(text):
        first, *others = piece.split(COMBINE)
        parts = [first]
        for other in others:
            if "=" in parts[-1] and other.strip() not in mechanism.changes:
                parts[-1] += COMBINE + other
            else:
                parts.append(other)
        names += (part.strip() for part in parts)
    return tuple(names)


def names_of(mechanism: Mechanism, text: str) -> tuple[str, ...]:
    """Return the change names in a text that may join several with "+".

    Raises
    ------
    RequestError
        A name the file does not have, an empty one, or one named twice.
    """
    if text in mechanism.changes:
        return (text,)
    names = joined_names(mechanism, text)
    if not all(names):
        raise RequestError(f"{text!r}: write the name of a change on both sides of {COMBINE}.")
    for name in names:
        mechanism.find_change(name)
    twice = next((n for n in names if names.count(n) > 1), None)
    if twice is not None:
        raise RequestError(f"{text!r} names {twice} twice.")
    return names


def wanted_changes(
    mechanism: Mechanism, texts: Sequence[str], *, together: bool = False
) -> list[tuple[str, ...]]:
    """Return what to compare: the changes named, or all of the file's where none is.

    Parameters
    ----------
    texts : sequence of str
        Names, or several joined with "+".
    together : bool
        Adds all of them combined, where there are two or more.
    """
    wanted = [names_of(mechanism, text) for text in texts]
    wanted = wanted or [(name,) for name in mechanism.changes]
    if together:
        combined = tuple(dict.fromkeys(name for names in wanted for name in names))
        if combined not in wanted:
            wanted.append(combined)
    return wanted


def _laid(mechanism: Mechanism, wanted: Sequence[tuple[str, ...]]) -> list[Mechanism]:
    """Return the mechanism with each of the wanted changes; raise the faults of all at once."""
    made: list[Mechanism] = []
    failed: list[tuple[str, GeometryError]] = []
    for names in wanted:
        try:
            made.append(mechanism.changed(*names))
        except GeometryError as error:
            failed.append((f" {COMBINE} ".join(names), error))
    if len(failed) == 1:
        raise failed[0][1]
    if failed:
        faults = [
            Fault(f"with {label}: {f.key}", f.value, f.problem, f.remedy)
            for label, error in failed
            for f in error.faults
        ]
        raise GeometryError(faults, mechanism.source)
    return made


def compare(
    mechanism: Mechanism,
    changes: Sequence[str] = (),
    *,
    together: bool = False,
    against: Sequence[Mechanism] = (),
    positions: int | None = None,
) -> Comparison:
    """Return a mechanism set against changes of its file, and against other files.

    Parameters
    ----------
    mechanism : Mechanism
        The base.
    changes : sequence of str
        Names, or several joined with "+"; none: all of the file's, unless `against` is given.
    together : bool
        Adds all the changes combined.
    against : sequence of Mechanism
        Other files.
    positions : int or None
        Rows of each stroke; None leaves the strokes out.

    Raises
    ------
    RequestError
        An unknown change, or a file that does not give the whole clutch.
    GeometryError
        A change that makes the file invalid: which change, and which key.
    """
    wanted = wanted_changes(mechanism, changes, together=together)
    if against and not changes and not together:
        wanted = []
    made = [mechanism, *_laid(mechanism, wanted), *against]
    for each in made:
        each.need_full("A comparison")
    names = [(), *wanted, *((other.source or other.title or "the other",) for other in against)]
    with np.errstate(all="ignore"):
        places = outcomes(made)
        found = results(places, made, positions)
    accounts = accounts_of(places, found)
    cases: list[Compared] = []
    for labels, own, result, account in zip(names, made, found, accounts, strict=True):
        notes = [mechanism.changes[n].note for n in labels if n in mechanism.changes]
        reason = reason_between(accounts[0], account) if cases else ""
        delta, note = delta_between(found[0], result), "; ".join(n for n in notes if n)
        sure = how_sure(own)
        cases.append(Compared(labels, note, own, result, account, delta, reason, sure))
    return Comparison(cases[0], tuple(cases[1:]))
