"""What a little more of each input does to clearance and peak effort, ranked."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.grip import idle
from liftgeo.mechanism.laying import Flat, lay
from liftgeo.outcome.batches import Batch, batch
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.drawing import carried_n
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.results import plain
from liftgeo.outcome.uncertain import Uncertain, laid_over, uncertain
from liftgeo.quantities import DIMENSIONS

Array = NDArray[np.float64]

STEPS: Mapping[str, float] = {"length": 0.1, "angle": 1.0}
"""What a workshop calls a little: 0.1 mm of a length, 1 deg of an angle."""

_ONE_IN_FORTY = 0.025

PERCENT = 0.01
SLOPE_STEP = 1e-5
"""Step of the differences behind a slope, as a share of the value (of 1 where it is small)."""


@dataclass(frozen=True)
class Sensitivity:
    """What one input does.

    Attributes
    ----------
    key, value, unit : str, float, str
        The input, its value in the file's bare unit, and that unit.
    percent_clearance_mm, percent_peak_n : float
        Change of clearance per face [mm] and of peak hand force [N] by +1 % of the input.
    step : float
        0.1 mm or 1 deg, in the bare unit; NaN for inputs that are neither length nor angle.
    step_clearance_mm, step_peak_n : float
        Changes by that step; NaN where there is none, or where no mechanism results.
    clearance_slope, peak_slope : float
        Derivatives [mm and N per bare unit].
    low, high : float
        Limits of its own ± or range, in the bare unit; NaN where it is certain.
    effect_low_high_clearance_mm, effect_low_high_peak_n : float
        Change of clearance per face and of peak hand force from the low limit to the high one,
        all others as they stand; NaN where it is certain.
    """

    key: str
    value: float
    unit: str
    percent_clearance_mm: float
    percent_peak_n: float
    step: float
    step_clearance_mm: float
    step_peak_n: float
    clearance_slope: float
    peak_slope: float
    low: float = math.nan
    high: float = math.nan
    effect_low_high_clearance_mm: float = math.nan
    effect_low_high_peak_n: float = math.nan

    @property
    def uncertain(self) -> bool:
        """Whether it has a ± or a range."""
        return not math.isnan(self.low)

    @property
    def doubt(self) -> tuple[float, float]:
        """Sizes of what its own ± or range does to clearance and peak effort [mm, N]."""
        effects = self.effect_low_high_clearance_mm, self.effect_low_high_peak_n
        clearance, peak = (float(np.nan_to_num(abs(effect))) for effect in effects)
        return clearance, peak

    @property
    def weight_mm(self) -> float:
        """The larger of its two effects on clearance [mm], by which inputs are ranked."""
        return float(np.nanmax([0.0, abs(self.percent_clearance_mm), abs(self.step_clearance_mm)]))

    @property
    def weight_n(self) -> float:
        """The larger of its two effects on peak effort [N]."""
        return float(np.nanmax([0.0, abs(self.percent_peak_n), abs(self.step_peak_n)]))

    @property
    def shown_effects(self) -> tuple[float, float]:
        """Effects on clearance [mm] and peak [N] of the step, or of +1 % where there is none."""
        if math.isnan(self.step):
            return self.percent_clearance_mm, self.percent_peak_n
        return self.step_clearance_mm, self.step_peak_n

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data, nulls for what is not known."""
        data: dict[str, Any] = plain(self)
        return data


@dataclass(frozen=True)
class Sensitivities:
    """What every input does, the strongest first.

    Attributes
    ----------
    title, change : str, str or None
        The file's title, and the changes laid over it.
    rows : tuple of Sensitivity
        One an input.
    """

    title: str
    change: str | None
    rows: tuple[Sensitivity, ...]

    def __iter__(self) -> Iterator[Sensitivity]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)

    def to_dict(self) -> dict[str, Any]:
        """Return the ranking as plain data: {sensitivity: [...]}."""
        return {"sensitivity": [row.to_dict() for row in self.rows]}

    def to_csv(self) -> str:
        """Return the ranking as CSV text, one row an input."""
        return csv_text([f.name for f in fields(Sensitivity)], map(astuple, self.rows))

    def _repr_html_(self) -> str:
        names = ["key", "value", "unit", "percent_clearance_mm", "percent_peak_n"]
        names += ["step", "step_clearance_mm", "step_peak_n"]
        rows = [[getattr(row, name) for name in names] for row in self.rows]
        name = self.title + (f" with {self.change}" if self.change else "")
        return html_table(name, rows, names)


@dataclass(frozen=True)
class _Probe:
    """One input, and where its variants stand among all the others."""

    key: str
    value: float
    unit: str
    step: float
    small: float
    sides: tuple[int, int]

    @property
    def offsets(self) -> tuple[float, ...]:
        """Changes of the input: +1 %, the step, and two small ones for the slope."""
        near, far = self.sides
        percent, step = PERCENT * self.value, 0.0 if math.isnan(self.step) else self.step
        return percent, step, near * self.small, far * self.small

    def slope(self, base: float, near: float, far: float) -> float:
        """Return the derivative from two neighbours: central, or one-sided at a bound.

        Notes
        -----
        Both are of second order: (f(+h) - f(-h))/2h, and (-3 f(0) + 4 f(h) - f(2h))/2h.
        """
        if self.sides == (1, -1):
            return (near - far) / (2 * self.small)
        return self.sides[0] * (-3 * base + 4 * near - far) / (2 * self.small)


def numbers_in(mechanism: Mechanism) -> Flat:
    """Return every number of a mechanism that can be a little more or less, by its key.

    Counts and targets are left out; points stand as the distances between them.
    """
    flat: Flat = dict(mechanism.keys)
    for table, pin in (("lever", "nipple_radius"), ("arm", "radius")):
        pivot = flat.get(f"{table}.points.pivot")
        if pivot is not None:
            radius = math.dist(pivot, flat[f"{table}.points.pin"])
            flat = lay(flat, {f"{table}.{pin}": radius})
    known = set(mechanism.numeric_keys())
    found = {k: float(v) for k, v in flat.items() if k in known and not k.startswith("targets.")}
    if "lever.hand_angle" not in flat:
        found = {k: v for k, v in found.items() if not k.startswith("lever.pivot_shift")}
    found = {k: v for k, v in found.items() if not idle(flat, k)}
    return {k: v for k, v in found.items() if not mechanism.number(k).whole}


def _probes(mechanism: Mechanism) -> list[_Probe]:
    found = []
    for key, value in numbers_in(mechanism).items():
        number = mechanism.number(key)
        small = SLOPE_STEP * max(abs(value), 1.0)
        sides = next(
            (s for s in ((1, -1), (1, 2), (-1, -2)) if _fits(number, value, small, s)), (1, -1)
        )
        unit = DIMENSIONS[number.dimension].unit
        step = STEPS.get(number.dimension, math.nan)
        found.append(_Probe(key, value, unit, step, small, sides))
    return found


def _fits(number: Any, value: float, small: float, sides: tuple[int, int]) -> bool:
    return all(bool(number.within(value + side * small)) for side in sides)


def sensitivity(mechanism: Mechanism) -> Sensitivities:
    """Return what every numeric input does to clearance and peak effort, the strongest first.

    Where anything is uncertain, what its own ± or range does comes first in the ranking.

    Parameters
    ----------
    mechanism : Mechanism

    Raises
    ------
    RequestError
        A file that does not give the whole clutch.

    Notes
    -----
    One array call: the mechanism itself, and four variants of each input; another for the limits
    of what is uncertain. Clearance follows the signed separation, so an input speaks even where
    the clutch does not release. A ± is not a change: at each limit the cushion is set by the load
    that the clutch would then have.
    """
    mechanism.need_full("A comparison")
    probes = _probes(mechanism)
    count = 1 + 4 * len(probes)
    over = {p.key: np.full(count, p.value) for p in probes}
    for place, probe in enumerate(probes):
        start = 1 + 4 * place
        over[probe.key][start : start + 4] += probe.offsets
    with np.errstate(all="ignore"):
        many = batch(mechanism, over)
        clearance, peak = many.clearance_per_face_mm, many.peak_hand_force_n
    found = [_found(p, clearance, peak, 1 + 4 * k) for k, p in enumerate(probes)]
    found = _with_limits(mechanism, found)
    found.sort(key=lambda s: (-s.doubt[0], -s.doubt[1], -s.weight_mm, -s.weight_n, s.key))
    return Sensitivities(mechanism.title, mechanism.change, tuple(found))


def limits_of(each: Uncertain) -> tuple[float, float]:
    """Return the low and the high limit of an uncertain number, kept within its key's bounds.

    A limit beyond them gives way to what one in forty of its distribution lies below, or above.
    """
    cut = each.at(np.array([_ONE_IN_FORTY, 1 - _ONE_IN_FORTY]))
    ends = [
        limit if bool(each.number.within(limit)) else float(inside)
        for limit, inside in zip((each.low, each.high), cut, strict=True)
    ]
    return ends[0], ends[1]


def _at_limits(inputs: Sequence[Uncertain], order: Sequence[str]) -> dict[str, Array]:
    """Return values of inputs by name: each in turn at its low and its high limit."""
    values = {each.key: np.full(2 * len(order), each.value) for each in inputs}
    for each in inputs:
        if each.key in order:
            place = 2 * order.index(each.key)
            values[each.key][place : place + 2] = limits_of(each)
    return values


def _with_limits(mechanism: Mechanism, found: list[Sensitivity]) -> list[Sensitivity]:
    """Return the ranking with what each uncertain input does from its low to its high limit.

    A ± on one number of a point or of a list of readings has a row of its own.
    """
    inputs = uncertain(mechanism)
    if not inputs:
        return found
    order = [each.key for each in inputs]
    over = laid_over(mechanism.keys, inputs, _at_limits(inputs, order))
    count = 2 * len(order)
    carried = carried_n(mechanism, lambda its: _at_limits(its, order), count)
    ends = Batch(mechanism, over, np.zeros(count, np.int64), 101, 1, carried)
    ends.work_out(["clearance_per_face_mm", "peak_hand_force_n"])
    rows = {row.key: row for row in found}
    for place, each in enumerate(inputs):
        low, high = limits_of(each)
        nothing = Sensitivity(each.key, each.value, each.unit, *[math.nan] * 7)
        clearance = ends.clearance_per_face_mm[2 * place : 2 * place + 2]
        peak = ends.peak_hand_force_n[2 * place : 2 * place + 2]
        rows[each.key] = replace(
            rows.get(each.key, nothing),
            low=low,
            high=high,
            effect_low_high_clearance_mm=float(clearance[1] - clearance[0]),
            effect_low_high_peak_n=float(peak[1] - peak[0]),
        )
    return list(rows.values())


def _found(probe: _Probe, clearance: Array, peak: Array, start: int) -> Sensitivity:
    def effects(values: Array) -> tuple[float, float, float]:
        base = float(values[0])
        percent, step, near, far = (float(v) for v in values[start : start + 4])
        step = step - base if not math.isnan(probe.step) else math.nan
        return percent - base, step, probe.slope(base, near, far)

    percent_mm, step_mm, slope_mm = effects(clearance)
    percent_n, step_n, slope_n = effects(peak)
    return Sensitivity(
        key=probe.key,
        value=probe.value,
        unit=probe.unit,
        percent_clearance_mm=percent_mm,
        percent_peak_n=percent_n,
        step=probe.step,
        step_clearance_mm=step_mm,
        step_peak_n=step_n,
        clearance_slope=slope_mm,
        peak_slope=slope_n,
    )
