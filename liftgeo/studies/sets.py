"""Changes made together: which sets of them can be, what each reaches, and which is nearest."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from liftgeo.as_written import amount_in
from liftgeo.errors import GeometryError
from liftgeo.mechanism import Change, Mechanism
from liftgeo.mechanism.changes import said_by_the_hand
from liftgeo.mechanism.convert import hand_force_target_n, slip_margin_target
from liftgeo.mechanism.laying import lay
from liftgeo.outcome.outcome import TOLERANCE_MM, VERDICTS
from liftgeo.outcome.together import Place, places_of
from liftgeo.outcome.uncertain import SURE
from liftgeo.studies.sure import Sure, how_sure

Names = tuple[str, ...]

MOST_SETS, MOST_TOGETHER = 500, 3
"""Sets that are looked at, at the most, and changes in one of them."""

_SETTLED = 6
"""Sets of which samples are drawn: those nearest by the numbers as they stand."""

_LEAST_TARGET_MM = 0.02
"""Clearance against which a shortfall is judged where hardly any is wanted."""


@dataclass(frozen=True)
class Short:
    """Something wanted that is not reached, or only just what is wanted.

    Attributes
    ----------
    what : {"clearance_per_face_mm", "peak_hand_force_n", "slip_margin"}
    value, wanted : float
    """

    what: str
    value: float
    wanted: float


@dataclass(frozen=True)
class Tried:
    """A set of changes, and what it reaches.

    Attributes
    ----------
    names : tuple of str
        The changes; none for the file as it stands.
    mechanism : Mechanism
    clearance_per_face_mm, peak_hand_force_n, slip_margin : float
        The margin is NaN where the engine is not given.
    danger : bool
        It slips, or a warning says stop.
    short : tuple of Short
        What still falls short of the file's targets.
    miss : float
        By how much, each as a share of its target, summed; 0 where nothing is missed.
    """

    names: Names
    mechanism: Mechanism
    clearance_per_face_mm: float
    peak_hand_force_n: float
    slip_margin: float
    danger: bool
    short: tuple[Short, ...]
    miss: float


@dataclass(frozen=True)
class Nearest:
    """The set of changes that comes nearest to what is wanted.

    Attributes
    ----------
    tried : Tried
    sure : Sure
        How many of 1 free and hold.
    evaluated : int
        Sets that could be built, the file as it stands left out.
    """

    tried: Tried
    sure: Sure
    evaluated: int

    def to_dict(self) -> dict[str, object]:
        """Return it as plain data, the shape of the JSON."""
        found, margin = self.tried, self.tried.slip_margin
        return {
            "names": list(found.names),
            "frees": self.sure.frees,
            "clearance_per_face_mm": found.clearance_per_face_mm,
            "peak_hand_force_n": found.peak_hand_force_n,
            "slip_margin": None if np.isnan(margin) else margin,
            "short": [
                {"what": each.what, "value": each.value, "wanted": each.wanted}
                for each in found.short
            ],
            "evaluated": self.evaluated,
        }


def _as_numbers(keys: Mapping[str, object]) -> dict[str, object]:
    """Return the keys of a change with some number for each that is given by an amount."""
    return {key: 1.0 if amount_in(value) else value for key, value in keys.items()}


def exclude_each_other(one: Change, other: Change) -> bool:
    """Return whether two changes cannot be made together.

    One says that it excludes the other, or they set one key, or what it is, or what follows from
    a hole or an arm that the other moves.
    """
    if other.name in one.terms.excludes or one.name in other.terms.excludes:
        return True
    if one.keys.keys() & other.keys.keys():
        return True
    ours, theirs = _as_numbers(one.keys), _as_numbers(other.keys)
    if said_by_the_hand(ours | theirs):
        return True
    both = (ours, theirs), (theirs, ours)
    return any(not first.keys() <= lay(first, second).keys() for first, second in both)


def sets_of(mechanism: Mechanism, most: int = MOST_SETS) -> list[Names]:
    """Return sets of a file's changes: each alone, then pairs, then triples, as far as `most`.

    Changes that set one key exclude each other; what a change needs is made with it.
    """
    changes = mechanism.changes
    apart = {
        frozenset((a, b))
        for a, b in itertools.combinations(changes, 2)
        if exclude_each_other(changes[a], changes[b])
    }
    sizes = range(1, MOST_TOGETHER + 1)
    every = itertools.chain.from_iterable(itertools.combinations(changes, n) for n in sizes)
    good = (
        names
        for names in every
        if not any(frozenset(pair) in apart for pair in itertools.combinations(names, 2))
        and all(set(changes[name].terms.needs) <= set(names) for name in names)
    )
    return list(itertools.islice(good, most))


def built(mechanism: Mechanism, sets: Iterable[Names]) -> dict[Names, Mechanism]:
    """Return the mechanisms that sets of changes make; those that cannot be are left out."""
    found: dict[Names, Mechanism] = {}
    for names in sets:
        try:
            found[names] = mechanism.changed(*names) if names else mechanism
        except GeometryError:
            continue
    return found


def tried(base: Mechanism, mechanisms: Mapping[Names, Mechanism]) -> list[Tried]:
    """Return what mechanisms reach of the base's targets, in their order.

    Those whose sums end in no number are left out.
    """
    with np.errstate(all="ignore"):
        places = places_of(list(mechanisms.values()))
        return [
            _tried(base, names, own, place)
            for (names, own), place in zip(mechanisms.items(), places, strict=True)
            if place.sound
        ]


def _tried(base: Mechanism, names: Names, own: Mechanism, place: Place) -> Tried:
    outcome = place.outcome
    stops = [rule for rule in outcome.raised if rule.severity == "stop"]
    slips = VERDICTS[int(place.of(outcome.verdict))] == "slips"
    clearance, peak, margin = (
        place.of(value)
        for value in (outcome.clearance_per_face_mm, outcome.end.peak_n, outcome.slip_margin)
    )
    short, miss = shortfall(base, clearance, _to_target_mm(place), peak, margin)
    return Tried(
        names,
        own,
        clearance,
        peak,
        margin,
        slips or any(place.of(outcome.raised[rule]) for rule in stops),
        short,
        miss,
    )


def _to_target_mm(place: Place) -> float:
    """Return the clearance per face that lacks to the target, of the gap in oil too [mm]."""
    outcome, faces = place.outcome, place.outcome.parts.faces
    lacking = place.of(faces.target_separation_mm - outcome.separation_signed_mm)
    return lacking / (2 * place.of(faces.plates))


def shortfall(
    base: Mechanism, clearance_mm: float, lacking_mm: float, peak_n: float, margin: float
) -> tuple[tuple[Short, ...], float]:
    """Return what falls short of a file's targets, and by how much in all.

    Parameters
    ----------
    base : Mechanism
        Whose targets count.
    clearance_mm, lacking_mm : float
        Clearance per face, and what lacks of it to the target [mm].
    peak_n, margin : float
        Peak hand force [N] and slip margin, NaN where it is not known.
    """
    most, least = float(hand_force_target_n(base.keys)), float(slip_margin_target(base.keys))
    short, miss = [], 0.0
    if lacking_mm > TOLERANCE_MM:
        wanted = clearance_mm + lacking_mm
        short.append(Short("clearance_per_face_mm", clearance_mm, wanted))
        miss += lacking_mm / max(wanted, _LEAST_TARGET_MM)
    if peak_n > most:
        short.append(Short("peak_hand_force_n", peak_n, most))
        miss += (peak_n - most) / most
    if margin < least:
        short.append(Short("slip_margin", margin, least))
        miss += (least - margin) / least
    return tuple(short), miss


def nearest(mechanism: Mechanism, others: Mapping[Names, Mechanism]) -> Nearest | None:
    """Return which of a file's changes, alone or two or three together, comes nearest.

    The file as it stands is among them. None where no set can be worked out.

    Parameters
    ----------
    mechanism : Mechanism
    others : mapping
        What else is set beside it, such as other files, under names of their own.

    Notes
    -----
    What slips or has a stop comes last, before it what takes grip away and holds less than is
    wanted. Then the least shortfall counts: clearance, peak effort and slip margin each as a share
    of their target, summed. Of those that miss nothing the one that
    frees most often counts, as far as 19 in 20; then fewer changes, then the least effort.
    """
    mechanisms = {**built(mechanism, [(), *sets_of(mechanism)]), **others}
    found = tried(mechanism, mechanisms)
    margin = next((each.slip_margin for each in found if not each.names), np.nan)

    def first(each: Tried) -> tuple[bool, bool, float]:
        weaker = each.slip_margin < margin and any(s.what == "slip_margin" for s in each.short)
        return each.danger, weaker, each.miss

    def by_numbers(each: Tried) -> tuple[tuple[bool, bool, float], int, float]:
        return first(each), len(each.names), each.peak_hand_force_n

    best = sorted(found, key=by_numbers)[:_SETTLED]
    level = [each for each in best if first(each) == first(best[0])]
    sure = {each.names: how_sure(each.mechanism) for each in level}

    def rank(each: Tried) -> tuple[float, int, float]:
        frees = sure[each.names].frees
        share = 0.0 if frees is None else min(round(frees, 2), SURE)
        return -share, len(each.names), each.peak_hand_force_n

    if not level:
        return None
    chosen = min(level, key=rank)
    return Nearest(chosen, sure[chosen.names], sum(bool(each.names) for each in found))
