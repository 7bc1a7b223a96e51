"""Many variants of a mechanism in one call, worked out block by block on all cores."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from liftgeo.as_written import amount_in
from liftgeo.chain.limits import limit_names
from liftgeo.chain.stop import is_smooth
from liftgeo.errors import QuantityError, Reason, RequestError, nearest
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.amounts import added
from liftgeo.outcome.analysis import check_positions
from liftgeo.outcome.blockwise import BLOCK, SMALL_BLOCK, blocks, each_block
from liftgeo.outcome.outcome import VERDICTS, Outcome, outcome_of
from liftgeo.outcome.rows import stroke_columns
from liftgeo.outcome.values import GROUPS, HOME
from liftgeo.quantities import read

Array: TypeAlias = NDArray[np.float64]
Codes: TypeAlias = NDArray[np.int64]
Places: TypeAlias = slice | NDArray[np.intp]

ANSWERS = ("full_lever", "peak", "codes")


@dataclass(frozen=True, eq=False, repr=False)
class Batch:
    """Results of N variants, as arrays of shape (N,), NaN where a variant cannot be computed.

    Every number of a single result has an attribute of its JSON name: those of full lever, and
    peak_hand_force_n, peak_hand_travel_mm, work_j, floor_n, peak_over_floor, torque_nm,
    slip_margin, axial_load_n and so on. `clamp_force_n` is the one at rest. What was not among the
    answers takes a second pass when first asked for, for its whole group.

    Attributes
    ----------
    mechanism : Mechanism
        What the variants are of.
    over : mapping
        The dotted keys laid over it, arrays of shape (N,), (N, 2) or (N, K).
    reason : array of int
        `liftgeo.Reason` codes, 0 where the variant was computed.
    positions : int
        Rows of `stroke`.
    threads : int
        How many blocks are worked out at a time.
    carried_n : array of shape (N,), optional
        Cushion load of each variant's unchanged file [N]; left out: that of the mechanism.
    """

    mechanism: Mechanism
    over: Mapping[str, Array]
    reason: Codes
    positions: int
    threads: int
    carried_n: Array | None = None
    known: dict[str, Array] = field(default_factory=dict)

    @property
    def ok(self) -> NDArray[np.bool_]:
        """Whether each variant was computed."""
        return np.asarray(self.reason == int(Reason.OK))

    def __len__(self) -> int:
        return len(self.reason)

    def __getattr__(self, name: str) -> Array:
        """Return a number of every variant by its JSON name."""
        if name not in HOME:
            raise AttributeError(f"A batch has no {name}.")
        if name not in self.known:
            self.work_out(tuple(GROUPS[HOME[name]]))
        return self.known[name]

    def work_out(
        self, names: Sequence[str], of_each: Callable[[Outcome], Array] | None = None, rows: int = 0
    ) -> Array:
        """Work out numbers by their names, in one pass over all variants.

        Parameters
        ----------
        names : sequence of str
        of_each, rows : callable, int
            Also a quantity that has no name, of shape (rows, variants) for each outcome.

        Returns
        -------
        array of shape (rows, N)
            The quantity without a name; NaN where a variant has none.
        """
        wanted = {name: GROUPS[HOME[name]][name] for name in names if name not in self.known}
        found = {name: np.empty(len(self)) for name in wanted}
        more = np.empty((rows, len(self)))

        def answer(outcome: Outcome, here: Places) -> None:
            for name, of in wanted.items():
                found[name][here] = of(outcome)
            if of_each is not None:
                more[:, here] = of_each(outcome)

        self._each_block(answer)
        bad = ~self.ok
        for name, values in found.items():
            values[bad] = np.nan
            self.known[name] = values
        more[:, bad] = np.nan
        return more

    def worked(self, of: Callable[[Outcome], Array], rows: int) -> Array:
        """Return a quantity that has no name, of shape (rows, N); NaN where it has none.

        Parameters
        ----------
        of : callable
            Its `rows` values for each variant of an outcome, of shape (rows, variants).
        rows : int
        """
        found = np.empty((rows, len(self)))

        def answer(outcome: Outcome, here: Places) -> None:
            found[:, here] = of(outcome)

        self._each_block(answer)
        found[:, ~self.ok] = np.nan
        return found

    def _each_block(self, answer: Callable[[Outcome, Places], None]) -> None:
        """Call a function with the outcome of every block and its place, on all threads.

        What few samples do not settle is gathered from all blocks, as a search costs the same calls
        for one variant as for many. A gathered variant is answered again.
        """
        ready, judged = self.mechanism.varied(self.over), bool(self.known)

        def work(here: Places, search: bool) -> NDArray[np.bool_]:
            over = {key: values[here] for key, values in self.over.items()}
            with np.errstate(all="ignore"):
                carried = None if self.carried_n is None else self.carried_n[here]
                keys, shape = ready.inward(over, carried), self.reason[here].shape
                outcome = outcome_of(keys, shape, search=search)
                if not judged:
                    reason = ready.reasons(keys, over, shape)
                    without = (reason == int(Reason.OK)) & ~outcome.finite
                    self.reason[here] = np.where(without, int(Reason.NO_NUMBER), reason)
                answer(outcome, here)
            return np.broadcast_to(outcome.end.unsettled, shape)

        largest = BLOCK if is_smooth(self.mechanism.parts()) else SMALL_BLOCK
        whole = blocks(len(self), self.threads, largest)
        unsettled = each_block(partial(work, search=len(whole) == 1), whole, self.threads)
        rest = np.flatnonzero(np.concatenate(unsettled))
        parts = [rest[part] for part in blocks(len(rest), self.threads, SMALL_BLOCK)]
        each_block(partial(work, search=True), parts, self.threads)

    def _words(self, name: str, words: Sequence[str]) -> NDArray[np.str_]:
        """Return the word of each variant's code; empty where it was not computed."""
        codes = self.__getattr__(name)
        index = np.where(self.ok, codes, len(words)).astype(np.intp)
        return np.array([*words, ""])[index]

    @property
    def verdict(self) -> NDArray[np.str_]:
        """Verdict of each variant; empty where it was not computed."""
        return self._words("verdict_code", VERDICTS)

    @property
    def stopped_by(self) -> NDArray[np.str_]:
        """What ends each stroke; empty where it was not computed."""
        return self._words("limit_code", limit_names(self.mechanism.parts()))

    @property
    def stroke(self) -> dict[str, Array]:
        """Columns of the strokes, each of shape (N, positions)."""
        found: dict[str, Array] = {}

        def answer(outcome: Outcome, here: Places) -> None:
            for name, values in stroke_columns(outcome, self.positions).items():
                found.setdefault(name, np.full((len(self), self.positions), np.nan))
                found[name][here] = np.where(self.ok[here], values, np.nan).T

        self._each_block(answer)
        return found


def _numbers(mechanism: Mechanism, key: str, values: ArrayLike) -> Array:
    """Return the values of one key as an array: numbers in the bare unit, or texts with a unit.

    Raises
    ------
    RequestError
        Something else, as a file refuses it too: true or false, nothing, a text that is no number.
    """
    dimension = mechanism.takes(_HOME.get(key, key)).dimension
    try:
        plain = np.asarray(values)
        typed = values if isinstance(values, list | tuple) else ()
        if plain.dtype.kind in "fiu" and not any(isinstance(v, bool) for v in typed):
            return np.asarray(plain, float)
        each = [
            added(mechanism, key, v) if isinstance(v, str) and amount_in(v) else read(v, dimension)
            for v in np.asarray(values, object).ravel()
        ]
        return np.array(each, float).reshape(plain.shape)
    except QuantityError as error:
        raise RequestError(f"{key}: {error}") from None
    except (TypeError, ValueError):
        raise RequestError(
            f"{key}: the values of a batch must be numbers in {key}'s bare unit, or texts with a "
            "unit, in an array of one shape."
        ) from None


_HOME = {"arm.radius_same_angle": "arm.radius"}


def _columns(over: Mapping[str, ArrayLike]) -> Mapping[str, ArrayLike]:
    """Return the values of a batch with pairs of readings, shape (N, K, 2), as two columns."""
    pairs = over.get("spring.readings")
    if pairs is None:
        return over
    each = np.asarray(pairs, object)
    if each.ndim not in (2, 3) or each.shape[-1] != 2:
        raise RequestError(
            "spring.readings: the values of a batch are pairs of load and length, an array of "
            "shape (N, K, 2)."
        )
    columns = {"spring.loads": each[..., 0].tolist(), "spring.lengths": each[..., 1].tolist()}
    return {key: value for key, value in over.items() if key != "spring.readings"} | columns


def _laid(mechanism: Mechanism, over: Mapping[str, ArrayLike]) -> dict[str, Array]:
    """Return the values of a batch as arrays of one length, checked against the keys."""
    if not over:
        raise RequestError("A batch needs one key at least, with an array of values.")
    over = _columns(over)
    arrays: dict[str, Array] = {}
    lengths: dict[str, tuple[int, ...]] = {}
    for key, values in over.items():
        inner = mechanism.dimensions(key)
        array = _numbers(mechanism, key, values)
        arrays[key] = array[None] if array.ndim <= inner else array
        lengths[key] = arrays[key].shape[: arrays[key].ndim - inner]
    try:
        shape = np.broadcast_shapes(*lengths.values())
    except ValueError:
        sizes = ", ".join(f"{k} {lengths[k]}" for k in arrays)
        raise RequestError(f"The arrays of a batch differ in length: {sizes}.") from None
    if len(shape) != 1:
        raise RequestError("The arrays of a batch must have one dimension.")
    return {k: np.broadcast_to(a, shape + a.shape[len(lengths[k]) :]) for k, a in arrays.items()}


def _names(answers: Sequence[str]) -> list[str]:
    """Return the names of what is asked for: groups stand for all of theirs."""
    found: dict[str, None] = {}
    for answer in answers:
        if answer in HOME:
            found[answer] = None
        elif answer in GROUPS:
            found.update(dict.fromkeys(GROUPS[answer]))
        else:
            near = nearest(answer, [*GROUPS, *HOME])
            hint = f" Did you mean {near}?" if near else ""
            raise RequestError(f"A batch has no answer called {answer}.{hint}")
    return list(found)


def batch(
    mechanism: Mechanism,
    over: Mapping[str, ArrayLike],
    *,
    answers: Sequence[str] = ANSWERS,
    positions: int = 101,
    threads: int | None = None,
) -> Batch:
    """Return the results of many variants of a mechanism.

    Parameters
    ----------
    mechanism : Mechanism
    over : mapping
        Dotted keys to arrays of one length: shape (N,) for a number, (N, 2) for a point such as
        `lever.points.pin`, (N, K) for readings such as `spring.load`, or one such value for all;
        in the file's bare units. A key gives way to its alternatives as in a change.
    answers : sequence of str
        What to work out in this pass: names of numbers, or of their groups ("full_lever", "peak",
        "effort", "capacity", "bearing", "spring", "hand", "strength", "events", "codes").
        Anything else asked for later takes a pass of its own.
    positions : int
        Rows of each stroke, 100 at least (worked out only when `stroke` is asked for).
    threads : int, optional
        Blocks worked out at a time; all cores where left out.

    Raises
    ------
    RequestError
        An unknown key or answer, arrays of different lengths, or too few positions.
    """
    check_positions(positions)
    mechanism.need_full("A batch")
    names = _names(answers)
    arrays = _laid(mechanism, over)
    mechanism.check_together(arrays)
    count = len(next(iter(arrays.values())))
    reason: Codes = np.zeros(count, np.int64)
    found = Batch(mechanism, arrays, reason, positions, threads or multiprocessing.cpu_count())
    if count:
        found.work_out(names)
    else:
        found.known.update({name: np.empty(0) for name in HOME})
    return found
