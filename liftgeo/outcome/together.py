"""Several mechanisms analysed together: those of the same keys go through one array call."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from functools import cache, partial
from typing import NamedTuple, TypeAlias

import numpy as np

from liftgeo.errors import GeometryError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.laying import Flat
from liftgeo.outcome.analysis import Columns, result_at
from liftgeo.outcome.finite import fault_of
from liftgeo.outcome.outcome import Outcome, outcome_of
from liftgeo.outcome.results import Result
from liftgeo.outcome.rows import stroke_columns
from liftgeo.parts.values import Index, Values

Kind: TypeAlias = Hashable


class Place(NamedTuple):
    """Where one mechanism of several stands: its outcome, and its element of that."""

    outcome: Outcome
    at: Index

    def of(self, value: Values) -> float:
        """Return this one's element of a value of the outcome."""
        return self.outcome.picked(value, self.at)

    @property
    def sound(self) -> bool:
        """Whether every answer that must be a number is one."""
        return bool(self.of(self.outcome.finite))


def outcomes(mechanisms: Sequence[Mechanism]) -> list[Place]:
    """Return where each of several mechanisms stands in the outcomes of all, in their order.

    Parameters
    ----------
    mechanisms : sequence of Mechanism
        Of any kinds; a group of one has an outcome of shape (), a larger one of shape (N,).

    Raises
    ------
    GeometryError
        A mechanism whose sums end in no number, the first of them.
    """
    places = places_of(mechanisms)
    for place, mechanism in zip(places, mechanisms, strict=True):
        if not place.sound:
            raise GeometryError([fault_of(place.outcome, place.at)], mechanism.called)
    return places


def places_of(mechanisms: Sequence[Mechanism]) -> list[Place]:
    """Return the same as `outcomes`, those among them whose sums end in no number."""
    places: dict[int, Place] = {}
    for group in alike(mechanisms):
        own = [mechanisms[k] for k in group]
        if len(own) == 1:
            places[group[0]] = Place(outcome_of(own[0].inward, ()), ())
            continue
        outcome = outcome_of(stacked(own), (len(own),))
        places |= {k: Place(outcome, (row,)) for row, k in enumerate(group)}
    return [places[k] for k in range(len(mechanisms))]


def results(
    places: Sequence[Place], mechanisms: Sequence[Mechanism], positions: int | None
) -> list[Result]:
    """Return the whole results of several mechanisms, in their order.

    Parameters
    ----------
    places : sequence of Place
        Where each stands.
    mechanisms : sequence of Mechanism
    positions : int or None
        Rows of each stroke; None leaves the strokes out.
    """
    rows: dict[int, Columns] = {}
    if positions is not None:
        whole = {id(place.outcome): place.outcome for place in places}
        rows = {
            name: cache(partial(stroke_columns, outcome, positions))
            for name, outcome in whole.items()
        }
    return [
        result_at(place.outcome, place.at, each, rows.get(id(place.outcome)))
        for place, each in zip(places, mechanisms, strict=True)
    ]


def alike(mechanisms: Sequence[Mechanism]) -> Iterator[list[int]]:
    """Yield the places of mechanisms that share their keys and kinds, group by group."""
    groups: dict[Kind, list[int]] = {}
    for place, mechanism in enumerate(mechanisms):
        groups.setdefault(_kind(mechanism), []).append(place)
    yield from groups.values()


def _kind(mechanism: Mechanism) -> Kind:
    """Return what mechanisms must share to be worked out together: all but their numbers."""
    taken = frozenset(item.key for item in mechanism.taken)
    keys = frozenset((key, _form(value)) for key, value in mechanism.keys.items())
    return keys, taken, mechanism.cushion_load_n is None


def _form(value: object) -> Hashable:
    """Return a word or a truth itself; of numbers only how many they are."""
    if isinstance(value, str | bool) or value is None:
        return value
    return len(value) if isinstance(value, tuple | list) else 0.5


def stacked(mechanisms: Sequence[Mechanism]) -> Inward:
    """Return the keys of mechanisms that are alike as one, numbers that differ as arrays."""
    first = mechanisms[0]
    keys: Flat = {}
    for key, value in first.keys.items():
        each = [mechanism.keys[key] for mechanism in mechanisms]
        same = isinstance(value, str | bool) or value is None or all(v == value for v in each)
        keys[key] = value if same else np.array(each, float)
    loads = [mechanism.cushion_load_n for mechanism in mechanisms]
    carried = None if loads[0] is None else np.array(loads, float)
    return Inward(keys, carried, [item.key for item in first.taken])
