"""Mechanisms of one set of kinds, analysed together in one array call."""

from __future__ import annotations

import copy
import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np

from liftgeo.analysis import Outcome, result_at
from liftgeo.mechanism import Mechanism
from liftgeo.results import Result


@dataclass(frozen=True)
class Element:
    """One mechanism's place in an outcome: the outcome of its group, and its index there."""

    outcome: Outcome
    index: tuple[int, ...]

    def value(self, values: Any) -> float:
        """Return this mechanism's element of a value of the outcome."""
        return self.outcome.picked(values, self.index)


def _is_number(value: Any) -> bool:
    if isinstance(value, np.ndarray):
        return value.ndim == 0
    return isinstance(value, int | float | np.number) and not isinstance(value, bool | np.bool_)


def _kind(item: Any) -> Any:
    """Return what two parts must share to be stacked: their classes, words and readings."""
    if is_dataclass(item) and not isinstance(item, type):
        inner = tuple(_kind(getattr(item, f.name)) for f in fields(item) if f.init)
        return type(item), inner
    if isinstance(item, np.ndarray) and item.ndim:
        return item.shape, item.tobytes()
    return None if _is_number(item) else repr(item)


def _stacked(items: Sequence[Any]) -> Any:
    """Return parts of one kind as one: numbers that differ become an array over the items."""
    first = items[0]
    if is_dataclass(first) and not isinstance(first, type):
        names = [f.name for f in fields(first) if f.init]
        found = {n: _stacked([getattr(item, n) for item in items]) for n in names}
        changed = {n: v for n, v in found.items() if v is not getattr(first, n)}
        return replace(first, **changed) if changed else first
    if not _is_number(first):
        return first
    numbers = [float(item) for item in items]
    same = all(n == numbers[0] or (math.isnan(n) and math.isnan(numbers[0])) for n in numbers)
    return first if same else np.array(numbers)


def _group(mechanisms: Sequence[Mechanism], pieces: Sequence[tuple[Any, Any]]) -> Outcome:
    """Return the outcome of mechanisms of one kind, as one batch of shape (N,); () for one."""
    parts, bearing = _stacked([p for p, _ in pieces]), _stacked([b for _, b in pieces])
    common = set.intersection(*(set(m.keys) for m in mechanisms))
    keys = {name: _stacked([m.keys[name] for m in mechanisms]) for name in sorted(common)}
    shape = (len(mechanisms),) if len(mechanisms) > 1 else ()
    return Outcome(parts, keys, shape, bearing)


def _own(outcome: Outcome, mechanism: Mechanism) -> Outcome:
    """Return an outcome that shares all arrays worked out so far, with one mechanism's keys."""
    own = copy.copy(outcome)
    object.__setattr__(own, "keys", mechanism.keys)
    return own


def elements(mechanisms: Sequence[Mechanism]) -> list[Element]:
    """Return each mechanism's place in an outcome, one outcome for each set of kinds.

    Parameters
    ----------
    mechanisms : sequence of Mechanism
        In any order and of any kinds; the answer has their order.
    """
    with np.errstate(all="ignore"):
        pieces = [(m.parts(), m.bearing_part()) for m in mechanisms]
        groups: dict[Any, list[int]] = {}
        for place, (mechanism, piece) in enumerate(zip(mechanisms, pieces, strict=True)):
            engine = tuple(k for k in mechanism.keys if k.startswith("engine."))
            groups.setdefault((_kind(piece[0]), _kind(piece[1]), engine), []).append(place)
        found: dict[int, Element] = {}
        for places in groups.values():
            outcome = _group([mechanisms[p] for p in places], [pieces[p] for p in places])
            _ = (outcome.back, outcome.peak, outcome.slip_margin, outcome.verdict)
            _ = (outcome.events, outcome.work_nmm, outcome.floor_n, outcome.budget_left_mm)
            for index, place in enumerate(places):
                own = _own(outcome, mechanisms[place])
                found[place] = Element(own, (index,) if outcome.shape else ())
    return [found[place] for place in range(len(mechanisms))]


def results_of(
    mechanisms: Sequence[Mechanism], positions: int | None = None
) -> list[tuple[Element, Result]]:
    """Return each mechanism's element and whole result, with its stroke where positions are given.

    Parameters
    ----------
    mechanisms : sequence of Mechanism
    positions : int or None
        Rows of each stroke; None leaves the strokes out.
    """
    places = elements(mechanisms)
    with np.errstate(all="ignore"):
        return [
            (place, result_at(place.outcome, place.index, mechanism, positions))
            for place, mechanism in zip(places, mechanisms, strict=True)
        ]
