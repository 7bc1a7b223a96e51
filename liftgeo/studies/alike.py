"""Mechanisms of one set of kinds, analysed together in one array call."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

import numpy as np

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.laying import Flat
from liftgeo.outcome.analysis import result_at
from liftgeo.outcome.outcome import Outcome
from liftgeo.outcome.results import Result


@dataclass(frozen=True)
class Element:
    """One mechanism's place in an outcome: the outcome of its group, and its index there."""

    outcome: Outcome
    index: tuple[int, ...]

    def value(self, values: Any) -> float:
        """Return this mechanism's element of a value of the outcome."""
        return self.outcome.picked(values, self.index)


def _is_number(value: Any) -> bool:
    if isinstance(value, float):
        return True
    if isinstance(value, np.ndarray):
        return value.ndim == 0
    return isinstance(value, int) and not isinstance(value, bool)


_NAMES: dict[Any, tuple[str, ...]] = {}


def _names(kind: Any) -> tuple[str, ...]:
    """Return the names of a dataclass's fields; none for anything else. Looked up once."""
    if kind not in _NAMES:
        named = is_dataclass(kind)
        _NAMES[kind] = tuple(f.name for f in fields(kind) if f.init) if named else ()
    return _NAMES[kind]


def _kind(item: Any) -> Any:
    """Return what two parts must share to be stacked: their classes, words and readings."""
    if _is_number(item):
        return None
    if isinstance(item, np.ndarray):
        return item.shape, item.tobytes()
    names = _names(type(item))
    return (type(item), *[_kind(getattr(item, n)) for n in names]) if names else repr(item)


def _stacked(items: list[Any]) -> Any:
    """Return parts of one kind as one: numbers that differ become an array over the items."""
    first = items[0]
    if _is_number(first):
        if items.count(first) == len(items) or all(item != item for item in items):
            return first
        return np.array([float(item) for item in items])
    changed = {}
    for name in _names(type(first)):
        own = getattr(first, name)
        found = _stacked([getattr(item, name) for item in items])
        if found is not own:
            changed[name] = found
    return replace(first, **changed) if changed else first


SHARED = (
    "end",
    "full",
    "back",
    "peak",
    "work_nmm",
    "floor_n",
    "budget_left_mm",
    "event_at",
    "events",
)
"""What an outcome works out from its parts alone, whatever keys they were made from."""


def _some(value: Any, index: Any, count: int) -> Any:
    """Return the elements at `index` of every array over `count` mechanisms (its last axis)."""
    if isinstance(value, np.ndarray):
        return value[..., index] if value.ndim and value.shape[-1] == count else value
    if isinstance(value, list):
        return [_some(item, index, count) for item in value]
    names = _names(type(value))
    if not names:
        return value
    return replace(value, **{n: _some(getattr(value, n), index, count) for n in names})


def _keys_kind(mechanism: Mechanism) -> Any:
    """Return what mechanisms must share to share their warnings: key names, and words."""
    keys = mechanism.keys
    return frozenset(keys), frozenset((k, v) for k, v in keys.items() if not _is_number(v))


def _stacked_keys(flats: list[Flat]) -> Flat:
    """Return flat keys of one set as one: numbers that differ become an array."""
    stacked = dict(flats[0])
    for name, first in flats[0].items():
        if any(flat[name] != first for flat in flats):
            stacked[name] = np.array([float(flat[name]) for flat in flats])
    return stacked


Pieces = Sequence[tuple[Any, Any]]


def _group(mechanisms: Sequence[Mechanism], pieces: Pieces) -> list[Element]:
    """Return the elements of mechanisms whose parts are of one kind, from one array call.

    What follows from the parts is worked out once, over all of them; what follows from the keys,
    such as warnings, once for each set of keys.
    """
    count = len(mechanisms)
    shape = (count,) if count > 1 else ()
    whole = Outcome(_stacked([p for p, _ in pieces]), {}, shape, pieces[0][1])
    shared = {name: getattr(whole, name) for name in SHARED}
    families: dict[Any, list[int]] = {}
    for place, mechanism in enumerate(mechanisms):
        families.setdefault(_keys_kind(mechanism), []).append(place)
    found: dict[int, Element] = {}
    for places in families.values():
        index: Any = places if len(places) > 1 else places[0]
        keys = _stacked_keys([mechanisms[p].keys for p in places])
        outcome = Outcome(
            _stacked([pieces[p][0] for p in places]),
            keys,
            (len(places),) if len(places) > 1 else (),
            _stacked([pieces[p][1] for p in places]),
        )
        for name, value in shared.items():
            outcome.__dict__[name] = _some(value, index, count) if count > 1 else value
        for k, place in enumerate(places):
            found[place] = Element(outcome, (k,) if outcome.shape else ())
    return [found[place] for place in range(count)]


def elements(mechanisms: Sequence[Mechanism]) -> list[Element]:
    """Return each mechanism's place in an outcome, one array call for each set of kinds.

    Parameters
    ----------
    mechanisms : sequence of Mechanism
        In any order and of any kinds; the answer has their order.
    """
    found: dict[int, Element] = {}
    with np.errstate(all="ignore"):
        pieces = [(m.parts(), m.bearing_part()) for m in mechanisms]
        groups: dict[Any, list[int]] = {}
        for place, (parts, bearing) in enumerate(pieces):
            groups.setdefault((_kind(parts), _kind(bearing)), []).append(place)
        for places in groups.values():
            members = _group([mechanisms[p] for p in places], [pieces[p] for p in places])
            found.update(zip(places, members, strict=True))
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
