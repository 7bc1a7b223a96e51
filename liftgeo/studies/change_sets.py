"""Sets of a file's changes: which can be made together, and what each comes to, many in one go."""

from __future__ import annotations

import contextlib
import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.cached import cached_property
from liftgeo.cautions import CAUTIONS
from liftgeo.cautions.rule import STOP
from liftgeo.errors import GeometryError, QuantityError
from liftgeo.mechanism import Mechanism, key_facts
from liftgeo.mechanism.amounts import resolved
from liftgeo.mechanism.laying import Flat, kind_of, lay
from liftgeo.mechanism.left_out import AT_THE_PLATE, left_out
from liftgeo.outcome.batches import batch
from liftgeo.outcome.outcome import VERDICTS, Outcome, analysed
from liftgeo.outcome.values import GROUPS, HOME
from liftgeo.quantities import read
from liftgeo.studies.sets import exclude_each_other

Array = NDArray[np.float64]
Progress = Callable[[int], None]

NAMES = ("clearance_per_face_mm", "peak_hand_force_n", "slip_margin", "verdict_code")
"""What is worked out of every set, beside what is wanted."""

_STOPS = tuple(rule for rule in CAUTIONS if rule.severity == STOP)


@dataclass(frozen=True, eq=False)
class SetTable:
    """What sets of changes come to, one element a set.

    Attributes
    ----------
    sets : list of int
        One bit a change, in the order of the file.
    values : dict of arrays
        By the names of a batch; NaN where a set cannot be built.
    ok : array of bool
        Whether each can be built.
    stops : array of bool, shape (sets, rules)
        Which "stop" warnings each raises.
    """

    sets: list[int]
    values: dict[str, Array]
    ok: NDArray[np.bool_]
    stops: NDArray[np.bool_]

    def verdict(self, row: int) -> str:
        """Return the verdict of a set; empty where it cannot be built."""
        return VERDICTS[int(self.values["verdict_code"][row])] if self.ok[row] else ""

    @property
    def releases(self) -> NDArray[np.bool_]:
        """Which sets neither slip nor keep the faces together."""
        code = self.values["verdict_code"]
        bad = [VERDICTS.index("slips"), VERDICTS.index("no-release")]
        return np.asarray(self.ok & ~np.isin(code, bad))

    def stop_names(self, row: int) -> tuple[str, ...]:
        """Return the keys of the "stop" warnings of a set."""
        return tuple(
            dict.fromkeys(r.key for r, on in zip(_STOPS, self.stops[row], strict=True) if on)
        )


@dataclass(frozen=True, eq=False)
class ChangeSets:
    """The changes of a file, and which of them can be made together.

    Attributes
    ----------
    mechanism : Mechanism
        The file as it stands.
    names : tuple of str
        Its changes, in the order of the file; bit k of a set is the k-th.
    answers : tuple of str
        Names of numbers to work out of every set.
    progress : callable, optional
        Called with how many sets were worked out.
    """

    mechanism: Mechanism
    names: tuple[str, ...]
    answers: tuple[str, ...]
    progress: Progress | None = None
    _keys: dict[str, Flat] = field(init=False, default_factory=dict)
    _known_tags: dict[tuple[str, str], str] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        for name in self.names:
            keys = self.mechanism.changes[name].keys
            with contextlib.suppress(GeometryError):  # told of where the change is laid
                keys = resolved(keys, self.mechanism)
            self._keys[name] = keys

    @cached_property
    def excluded(self) -> tuple[int, ...]:
        """For each change the set of those that cannot be made with it."""
        found = [0] * len(self.names)
        for i, one in enumerate(self.names):
            for k, other in enumerate(self.names[:i]):
                if exclude_each_other(*(self.mechanism.changes[n] for n in (one, other))):
                    found[i] |= 1 << k
                    found[k] |= 1 << i
        return tuple(found)

    @cached_property
    def needed(self) -> tuple[int, ...]:
        """For each change the set of those it needs, and those they need in turn."""
        place = {name: k for k, name in enumerate(self.names)}
        found = []
        for name in self.names:
            open_names, own = [name], 0
            while open_names:
                for other in self._terms(open_names.pop()).needs:
                    if other in place and not own >> place[other] & 1:
                        own |= 1 << place[other]
                        open_names.append(other)
            found.append(own)
        return tuple(found)

    def _terms(self, name: str) -> Any:
        return self.mechanism.changes[name].terms

    def members(self, these: int) -> tuple[str, ...]:
        """Return the names of a set, in the order of the file."""
        return tuple(name for k, name in enumerate(self.names) if these >> k & 1)

    def can_be_made(self, these: int) -> bool:
        """Return whether a set holds all that its changes need, and nothing they exclude."""
        return all(
            not (self.excluded[k] & these) and self.needed[k] & these == self.needed[k]
            for k in range(len(self.names))
            if these >> k & 1
        )

    def with_needs(self, these: int, k: int) -> int | None:
        """Return a set with one more change and all it needs; None where that cannot be made."""
        wider = these | 1 << k | self.needed[k]
        return wider if self.can_be_made(wider) else None

    def by_cost(self, costs: Sequence[float]) -> Iterator[tuple[float, int]]:
        """Yield every set whose changes do not exclude each other with its cost, cheapest first.

        Some may still lack what they need (`can_be_made`). Each set is reached once: from the set
        without its dearest change, or from the one with the next cheaper change in its place.
        Neither costs more than it does, since no change costs less than nothing; so costs rise.
        """
        order = sorted(range(len(self.names)), key=lambda k: (costs[k], k))
        yield 0.0, 0

        def first(these: int, after: int) -> int | None:
            for place in range(after, len(order)):
                if not self.excluded[order[place]] & these:
                    return place
            return None

        start = first(0, 0)
        waiting = [] if start is None else [(costs[order[start]], 1 << order[start], start, 0, 0.0)]
        while waiting:
            cost, these, place, rest, rest_cost = heapq.heappop(waiting)
            yield cost, these
            for base, base_cost in ((these, cost), (rest, rest_cost)):
                following = first(base, place + 1)
                if following is not None:
                    k = order[following]
                    dearer = base_cost + costs[k]
                    heapq.heappush(waiting, (dearer, base | 1 << k, following, base, base_cost))

    # --- what sets come to ---

    def laid(self, these: int) -> Flat:
        """Return the keys of all changes of a set."""
        keys: Flat = {}
        for name in self.members(these):
            keys |= self._keys[name]
        return keys

    def worked_out(self, sets: Sequence[int]) -> SetTable:
        """Return what sets come to: those that differ in numbers alone in one array call."""
        count = len(sets)
        names = list(dict.fromkeys([*NAMES, *self.answers]))
        values = {name: np.full(count, np.nan) for name in names}
        table = SetTable(
            list(sets), values, np.zeros(count, bool), np.zeros((count, len(_STOPS)), bool)
        )
        if count:
            laid = [self.laid(these) for these in sets]
            self._group(table, laid, np.arange(count), frozenset())
        return table

    def _group(
        self, table: SetTable, laid: list[Flat], rows: NDArray[np.intp], fixed: frozenset[str]
    ) -> None:
        """Work out sets whose `fixed` keys are there, or not, alike; split them where needed."""
        made = self._stand_in(laid, rows)
        if made is None:
            if self.progress is not None:
                self.progress(len(rows))
            return
        mechanism, rows = made
        keys = dict.fromkeys(key for row in rows for key in laid[row])
        split = [key for key in keys if key not in fixed and not self._is_plain(mechanism, key)]
        if split:
            kinds: dict[frozenset[tuple[str, str]], list[int]] = {}
            for row in rows:
                own = frozenset((k, self._tag(k, laid[row][k])) for k in split if k in laid[row])
                kinds.setdefault(own, []).append(int(row))
            for alike in kinds.values():
                self._group(table, laid, np.array(alike), fixed | frozenset(split))
            return
        over: dict[str, Array] = {}
        for key in keys:
            column = [self._number(mechanism, key, laid[row]) for row in rows]
            if None not in column:
                over[key] = np.array(column, float)
        self._fill(table, mechanism, over, rows)

    def _stand_in(
        self, laid: list[Flat], rows: NDArray[np.intp]
    ) -> tuple[Mechanism, NDArray[np.intp]] | None:
        """Return the mechanism of the first set that can be built, and that set and the rest."""
        for k, row in enumerate(rows):
            try:
                return self.mechanism.changed(laid[row]) if laid[row] else self.mechanism, rows[k:]
            except GeometryError:
                continue
        return None

    def _is_plain(self, mechanism: Mechanism, key: str) -> bool:
        """Return whether laying a key's own value over the file changes nothing.

        So it is for a number that the file has, which no key gives way to, and which is no usual
        value that hangs on another key.
        """
        for each in (self.mechanism, mechanism):
            value = each.keys.get(key)
            if not isinstance(value, int | float) or isinstance(value, bool):
                return False
            if key in AT_THE_PLATE and any(item.key == key for item in each.taken):
                return False
            if (each.given.keys() | {key}) != lay(each.given, {key: value}).keys():
                return False
        return all(not tag for tag in self._tags(key))

    def _tags(self, key: str) -> list[str]:
        return [self._tag(key, keys[key]) for keys in self._keys.values() if key in keys]

    def _tag(self, key: str, value: object) -> str:
        """Return what keeps a value of a key out of an array call with others; "" for nothing.

        Words and lists; and numbers with which other keys are taken as usual than in the file, as
        the flex of a finger that is no lever as long as its ratio is 1.
        """
        place = key, repr(value)
        if place not in self._known_tags:
            self._known_tags[place] = self._tag_of(key, value)
        return self._known_tags[place]

    def _tag_of(self, key: str, value: object) -> str:
        number = _as_number(self.mechanism, key, value)
        if number is None:
            return repr(value)
        own = self.mechanism
        if own.left_out != "usual":
            return ""
        taken = {item.key for item in own.taken}
        given = {k: v for k, v in own.keys.items() if k not in taken}
        found = left_out(lay(given, {key: number}), own.tables, own.machine, own.condition)
        names = sorted({item.key for item in found} - {key} ^ taken - {key})
        return " ".join(names)

    def _number(self, mechanism: Mechanism, key: str, laid: Flat) -> float | None:
        """Return what a key is in a set; None where it takes no number."""
        if key in laid:
            return _as_number(mechanism, key, laid[key])
        return float(self.mechanism.keys[key])

    def _fill(
        self, table: SetTable, mechanism: Mechanism, over: dict[str, Array], rows: NDArray[np.intp]
    ) -> None:
        names = list(table.values)
        try:
            if len(rows) == 1 or not over:
                self._fill_alike(table, mechanism, rows)
            else:
                found = batch(mechanism, over, answers=names)
                for name in names:
                    table.values[name][rows] = getattr(found, name)
                table.ok[rows] = found.ok
                table.stops[rows] = found.worked(_stops_of, len(_STOPS)).T > 0.5
        except GeometryError:  # keys that need others, where they are not nothing: one by one
            self._fill_apart(table, rows)
        if self.progress is not None:
            self.progress(len(rows))

    def _fill_apart(self, table: SetTable, rows: NDArray[np.intp]) -> None:
        for row in rows:
            with contextlib.suppress(GeometryError):
                made = self.mechanism.changed(self.laid(table.sets[row]))
                self._fill_alike(table, made, np.array([row]))

    @staticmethod
    def _fill_alike(table: SetTable, mechanism: Mechanism, rows: NDArray[np.intp]) -> None:
        """Give sets that come to one mechanism what it comes to."""
        outcome = analysed(mechanism)
        with np.errstate(all="ignore"):
            for name in table.values:
                table.values[name][rows] = outcome.picked(GROUPS[HOME[name]][name](outcome), ())
            table.stops[rows] = _stops_of(outcome).T > 0.5
        table.ok[rows] = True


def _as_number(mechanism: Mechanism, key: str, value: object) -> float | None:
    """Return the value of a change as a number in the bare unit; None where it is no number."""
    number = key_facts.number_of(key, kind_of(mechanism.keys, key.split(".")[0]))
    if number is None or isinstance(value, bool):
        return None
    try:
        return float(read(value, number.dimension))
    except (QuantityError, TypeError, ValueError):
        return None


def _stops_of(outcome: Outcome) -> Array:
    """Return which "stop" warnings apply, 1 or 0, of shape (rules, sets)."""
    with np.errstate(all="ignore"):
        rows = [np.broadcast_to(np.asarray(r.holds(outcome), float), outcome.shape) for r in _STOPS]
    return np.array(rows).reshape(len(_STOPS), -1)
