"""Remedies for one machine: each from what it is to what can be made, worked through the chain."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.cautions import CAUTIONS
from liftgeo.cautions.metal_rules import cut_words
from liftgeo.cautions.rule import CAUTION, STOP
from liftgeo.errors import GeometryError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.outcome import VERDICTS, Outcome, analysed
from liftgeo.outcome.results import plain
from liftgeo.studies.remedy_judge import against, gain
from liftgeo.studies.remedy_tries import Keys, now_of
from liftgeo.studies.remedy_ways import BACK, EFFORT, EFFORTS, FREE, GRIP, LIFT, PLAY, Way, ways
from liftgeo.studies.sets import Short, shortfall
from liftgeo.studies.symptoms import SYMPTOMS, Symptom, symptom_named

LEAST: Mapping[str, float] = {LIFT: 0.002, EFFORT: 0.5, GRIP: 0.01, BACK: 0.5, PLAY: 0.02}
"""What a remedy must give to be told of: mm per face, N, share, N, mm of wear."""
_MOST_TOGETHER, _UNSEEN_MM = 12, 5e-4


@dataclass(frozen=True)
class State:
    """What a machine comes to.

    Attributes
    ----------
    clearance_per_face_mm, peak_hand_force_n, return_hand_force_n, slip_margin, axial_load_n : float
    wear_to_riding_mm : float
        Of the whole pack.
    verdict : str
    short : tuple of Short
        What it still misses of the file's targets.
    miss : float
        By how much, each as a share of its target, summed.
    warned : tuple of (severity, key)
        Its stops and cautions.
    """

    clearance_per_face_mm: float
    peak_hand_force_n: float
    return_hand_force_n: float
    slip_margin: float
    axial_load_n: float
    wear_to_riding_mm: float
    verdict: str
    short: tuple[Short, ...]
    miss: float
    warned: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Remedy:
    """A remedy worked out for one machine.

    Attributes
    ----------
    name, hand, effort : str
        What it is called, what the hand does, and "free", "cheap" or "metal cut".
    gives : str
        "lift", "effort", "grip", "return" or "play".
    losses, symptoms : tuple of str
        Items of the lift budget, and symptoms, that it is for.
    keys : tuple of str
    before, to : tuple of float
        What the file has, or is taken as (NaN: nothing), and what it is brought to; bare units.
    as_usual : tuple of str
        Those of the keys that were never measured.
    clearance_gain_mm, hand_force_change_n, return_force_change_n : float
        Per face; at the peak; at full lever once the lever lets back.
    slip_margin_change, bearing_change_n, wear_to_riding_change_mm : float
    verdict : str
        With it.
    caution : str
        What to mind; for metal that is cut what its warning says.
    miss : float
        What is then still missed of the targets, as a share.
    """

    name: str
    hand: str
    effort: str
    gives: str
    losses: tuple[str, ...]
    symptoms: tuple[str, ...]
    keys: tuple[str, ...]
    before: tuple[float, ...]
    to: tuple[float, ...]
    as_usual: tuple[str, ...]
    clearance_gain_mm: float
    hand_force_change_n: float
    return_force_change_n: float
    slip_margin_change: float
    bearing_change_n: float
    wear_to_riding_change_mm: float
    verdict: str
    caution: str
    miss: float

    @property
    def change(self) -> dict[str, float]:
        """Return it as the keys of a change."""
        return dict(zip(self.keys, self.to, strict=True))

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data: `from` is what the file has."""
        data: dict[str, Any] = plain(self)
        data["from"] = data.pop("before")
        return data


@dataclass(frozen=True)
class Withheld:
    """A remedy that is not offered, and why.

    Attributes
    ----------
    name : str
    why : str
        The key of a warning it would bring, "little-wear-left", "takes-grip" or "cannot-be-built".
    keys, to : tuple
        The mildest try.
    """

    name: str
    why: str
    keys: tuple[str, ...]
    to: tuple[float, ...]


@dataclass(frozen=True)
class Step:
    """One remedy of several made together, and what the machine comes to with all so far."""

    remedy: Remedy
    state: State


@dataclass(frozen=True)
class Remedies:
    """What can be done about a machine.

    Attributes
    ----------
    mechanism : Mechanism
    symptom : str or None
    base : State
        As it stands.
    offered : tuple of Remedy
        One by one: free ones first, then what helps most.
    withheld : tuple of Withheld
    together : tuple of Step
        One after the other, until the targets are reached or nothing helps.
    passed_over : tuple of Withheld
        Free ones that are offered alone and are not among them, and why not beside all of them:
        as of `withheld`, "moved-already", "not-needed" or "no-nearer".
    """

    mechanism: Mechanism
    symptom: str | None
    base: State
    offered: tuple[Remedy, ...]
    withheld: tuple[Withheld, ...]
    together: tuple[Step, ...]
    passed_over: tuple[Withheld, ...] = ()

    @property
    def deciding(self) -> Symptom | None:
        """The symptom with its single deciding measurement."""
        return None if self.symptom is None else SYMPTOMS[self.symptom]

    @property
    def reached(self) -> bool:
        """Whether the file's targets are reached, with all of `together`."""
        return not (self.together[-1].state if self.together else self.base).short

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "remedies": [each.to_dict() for each in self.offered],
            "withheld": [plain(each) for each in self.withheld],
            "together": [
                {"name": step.remedy.name, "remedy": step.remedy.to_dict(), **plain(step.state)}
                for step in self.together
            ],
            "passed_over": [plain(each) for each in self.passed_over],
            "reached": self.reached,
            "symptom": None
            if self.deciding is None
            else {"name": self.symptom, **plain(self.deciding)},
        }

    def to_csv(self) -> str:
        """Return the remedies as CSV text, one row a key."""
        heads = ["name", "effort", "key", "from", "to", "clearance_gain_mm", "hand_force_change_n"]
        heads += ["slip_margin_change", "bearing_change_n", "hand", "caution"]
        rows: list[list[str | float | None]] = []
        for r in self.offered:
            gives = (r.clearance_gain_mm, r.hand_force_change_n, r.slip_margin_change)
            for key, before, to in zip(r.keys, r.before, r.to, strict=True):
                told = (*gives, r.bearing_change_n, r.hand, r.caution)
                rows.append([r.name, r.effort, key, before, to, *told])
        return csv_text(heads, rows)

    def _repr_html_(self) -> str:
        heads = ("name", "effort", "clearance_gain_mm", "hand_force_change_n", "slip_margin_change")
        rows = [
            (r.name, r.effort, r.clearance_gain_mm, r.hand_force_change_n, r.slip_margin_change)
            for r in self.offered
        ]
        return html_table(self.mechanism.title, rows, heads)


def remedies(mechanism: Mechanism, symptom: str | None = None) -> Remedies:
    """Return what can be done about a machine, each remedy worked through the whole chain.

    Parameters
    ----------
    mechanism : Mechanism
    symptom : str, optional
        What is felt, one of `liftgeo.studies.symptoms.SYMPTOMS`: only remedies for that.

    Raises
    ------
    RequestError
        An unknown symptom, or a file that does not give the whole clutch.

    Notes
    -----
    Of each way the value that goes furthest is offered which brings no stop and no new caution,
    takes no grip that is wanted, and leaves 0.3 mm of wear before the clutch rides (or no less than
    it has); the values are those a workshop can make. Together, the free ones come first, then what
    is cheap, then what cuts metal; of each kind the one that comes nearest to the targets, worked
    out anew with those before it. How far each goes is common practice without a source, or the
    file's own [remedies].
    """
    mechanism.need_full("Remedies")
    name = None if symptom is None else symptom_named(symptom)
    wanted = [way for way in ways() if name is None or name in way.symptoms]
    base = state_of(mechanism)
    found = [_tried(mechanism, base, way) for way in wanted]
    offered = [each for each in found if isinstance(each, Remedy)]
    if name is None:
        offered = [each for each in offered if _is_for(base, each)]
    withheld = tuple(each for each in found if isinstance(each, Withheld))

    def rank(each: Remedy) -> tuple[int, float, float]:
        return EFFORTS.index(each.effort), each.miss, -each.clearance_gain_mm

    by_name = {way.name: way for way in wanted}
    pool = {each.name: (by_name[each.name], each.keys) for each in offered if each.gives != PLAY}
    steps = _together(mechanism, base, pool)
    over = _passed_over(mechanism, base, offered, by_name, steps)
    return Remedies(mechanism, name, base, tuple(sorted(offered, key=rank)), withheld, steps, over)


def state_of(mechanism: Mechanism) -> State:
    """Return what a machine comes to, against its own file's targets.

    Raises
    ------
    GeometryError
        Its sums end in no number.
    """
    origin = mechanism.origin or mechanism
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)

        def of(value: Any) -> float:
            return outcome.picked(value, ())

        faces = outcome.parts.faces
        lacking = of(faces.target_separation_mm - outcome.separation_signed_mm)
        clearance, peak = of(outcome.clearance_per_face_mm), of(outcome.end.peak_n)
        margin = of(outcome.slip_margin)
        each = lacking / (2 * of(faces.plates))
        short, miss = shortfall(origin, clearance, each, peak, margin)
        return State(
            clearance,
            peak,
            of(outcome.back.hand_force_n),
            margin,
            of(outcome.clutch_end.greatest_rod_force_n),
            of(outcome.clutch_end.wear_to_riding_mm),
            VERDICTS[int(of(outcome.verdict))],
            short,
            miss,
            _warned(outcome),
        )


def _warned(outcome: Outcome) -> tuple[tuple[str, str], ...]:
    raised = [rule for rule in CAUTIONS if bool(outcome.picked(outcome.raised[rule], ()))]
    return tuple((rule.severity, rule.key) for rule in raised if rule.severity in (STOP, CAUTION))


def _is_for(base: State, each: Remedy) -> bool:
    """Return whether a machine without a stated symptom has a use for a remedy.

    Where it misses its targets, what brings it nearer, and while clearance is short what gives some
    and nothing that takes some; else what makes a loss smaller or the lever lighter. What gives
    return or play only where that is warned of.
    """
    if each.gives in (BACK, PLAY):
        about = {BACK: ("does-not-return",), PLAY: ("lever-rides", "wear-to-riding")}[each.gives]
        return any(key in about for _, key in base.warned)
    if any(short.what == "clearance_per_face_mm" for short in base.short):
        if each.clearance_gain_mm < -_UNSEEN_MM:
            return each.gives == GRIP and each.miss < base.miss
        return each.gives == LIFT or each.miss < base.miss
    if base.short:
        return each.miss < base.miss
    return each.gives in (LIFT, EFFORT) and not each.miss


def _tried(mechanism: Mechanism, base: State, way: Way) -> Remedy | Withheld | None:
    """Return the remedy of a way, why it is withheld, or None where it does not apply."""
    last: tuple[str, Keys] | None = None
    for keys in way.tries(mechanism):
        try:
            made = mechanism.changed(keys)
            after = state_of(made)
        except GeometryError:
            last = last or ("cannot-be-built", keys)
            continue
        why = against(base, after, way.gives)
        if why:
            last = why, keys
        elif not gain(base, after, way.gives) >= LEAST[way.gives]:
            return None
        else:
            return _remedy(mechanism, base, after, way, keys)
    return (
        None if last is None else Withheld(way.name, last[0], tuple(last[1]), (*last[1].values(),))
    )


def _remedy(mechanism: Mechanism, base: State, after: State, way: Way, keys: Keys) -> Remedy:
    before = [now_of(mechanism, key) for key in keys]
    taken = {item.key for item in mechanism.taken}
    said = [cut_words(way.cut)] if way.cut else []
    said += [way.care] if way.care else []
    return Remedy(
        way.name,
        way.hand,
        way.effort,
        way.gives,
        way.losses,
        way.symptoms,
        tuple(keys),
        tuple(math.nan if value is None else value for value in before),
        tuple(keys.values()),
        tuple(key for key in keys if key in taken),
        after.clearance_per_face_mm - base.clearance_per_face_mm,
        after.peak_hand_force_n - base.peak_hand_force_n,
        after.return_hand_force_n - base.return_hand_force_n,
        after.slip_margin - base.slip_margin,
        after.axial_load_n - base.axial_load_n,
        after.wear_to_riding_mm - base.wear_to_riding_mm,
        after.verdict,
        "; ".join(said),
        after.miss,
    )


def _together(
    mechanism: Mechanism, base: State, pool: Mapping[str, tuple[Way, tuple[str, ...]]]
) -> tuple[Step, ...]:
    """Return remedies one after the other until nothing is missed, free ones first.

    Each must bring the machine nearer to its targets beside those before it. What moves a key that
    has been moved already is left out.
    """
    steps: list[Step] = []
    now, state, left = mechanism, base, dict(pool)
    for effort in EFFORTS:
        while state.short and len(steps) < _MOST_TOGETHER:
            found: list[tuple[Remedy, Mechanism, State]] = []
            for way in [way for way, _ in left.values() if way.effort == effort]:
                remedy = _tried(now, state, way)
                if isinstance(remedy, Remedy) and remedy.miss < state.miss - 1e-3:
                    made = now.changed(remedy.change)
                    found.append((remedy, made, state_of(made)))
            if not found:
                break
            remedy, now, state = min(found, key=lambda each: each[2].miss)
            steps.append(Step(remedy, state))
            left = {n: (w, keys) for n, (w, keys) in left.items() if not {*keys} & {*remedy.keys}}
    return tuple(steps)


def _passed_over(
    mechanism: Mechanism,
    base: State,
    offered: Sequence[Remedy],
    by_name: Mapping[str, Way],
    steps: Sequence[Step],
) -> tuple[Withheld, ...]:
    """Return the free remedies that are not among those made together, and why not beside them."""
    taken = {step.remedy.name for step in steps}
    moved = {key for step in steps for key in step.remedy.keys}
    now, state = mechanism, base
    for step in steps:
        now, state = now.changed(step.remedy.change), step.state
    found = []
    for each in offered:
        if each.effort != FREE or each.name in taken or each.gives == PLAY or not steps:
            continue
        tried = None if {*each.keys} & moved else _tried(now, state, by_name[each.name])
        why = "moved-already" if {*each.keys} & moved else "no-nearer"
        if isinstance(tried, Withheld):
            why = tried.why
        elif not state.short and tried is not None:
            why = "not-needed"
        found.append(Withheld(each.name, why, each.keys, each.to))
    return tuple(found)
