"""What an analysis says: frozen results whose names are the JSON's names."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from liftgeo.cautions.warning import Warning
from liftgeo.files import write_whole
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.deferred import Deferred
from liftgeo.outcome.html_table import html_table
from liftgeo.plain_text import one_line

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

Column: TypeAlias = "NDArray[np.float64]"


@dataclass(frozen=True)
class FullLeverResult:
    """The mechanism at full lever. Forces in N, travels in mm, angles in deg."""

    hand_travel_mm: float
    lever_angle_deg: float
    cable_pull_mm: float
    arm_rotation_deg: float
    rod_travel_mm: float
    plate_lift_mm: float
    separation_mm: float
    needed_mm: float
    clearance_per_face_mm: float
    hand_force_n: float
    return_hand_force_n: float
    cable_tension_n: float
    rod_force_n: float
    clamp_force_n: float
    cable_to_arm_angle_deg: float
    spring_to_stop_mm: float


@dataclass(frozen=True)
class Peak:
    """The greatest hand force and where it stands."""

    hand_force_n: float
    hand_travel_mm: float


@dataclass(frozen=True)
class Effort:
    """Work of the hand over the stroke, the least mean force, and how far the peak is above it."""

    work_j: float
    floor_n: float
    peak_over_floor: float


@dataclass(frozen=True)
class Event:
    """Something met on the way, with the hand travel left after it; NaN where not reached."""

    name: str
    hand_travel_mm: float
    lever_angle_deg: float
    left_mm: float

    @property
    def reached(self) -> bool:
        """Whether the stroke gets there."""
        return not math.isnan(self.hand_travel_mm)


@dataclass(frozen=True)
class BudgetLine:
    """One loss of lift and what is left after it, at the plate [mm]."""

    item: str
    lost_mm: float
    left_mm: float


@dataclass(frozen=True)
class Capacity:
    """Clamp force at rest, the torque it holds (uniform wear), and the margin over the engine.

    `drag_torque_nm` is what the faces still carry at full lever, an estimate with all tilt in one
    gap; `drag_torque_low_nm` with the tilt shared alike; `oil_drag_nm` a full film of oil between
    them. Low and high are the ends of a disc's load tolerance, the low one with the bias of the
    disc formula taken off.
    """

    clamp_force_n: float
    torque_nm: float
    slip_margin: float
    facing_pressure_mpa: float
    drag_torque_nm: float = math.nan
    drag_torque_low_nm: float = math.nan
    oil_drag_nm: float = math.nan
    clamp_force_low_n: float = math.nan
    clamp_force_high_n: float = math.nan
    slip_margin_low: float = math.nan


@dataclass(frozen=True)
class BearingResult:
    """The release bearing at the greatest load; NaN where the file does not give enough."""

    axial_load_n: float
    static_safety: float
    life_h: float
    thrust_ratio: float = math.nan


@dataclass(frozen=True)
class EdgeStress:
    """Stress at one edge of a coned disc, tension above zero [MPa]; `point` as in the standard."""

    point: str
    at_rest_mpa: float
    full_lever_mpa: float


@dataclass(frozen=True, eq=False)
class SpringResult:
    """Where the spring sits: "rising", "falling" or "past-valley", and how far past its peak.

    Those of a coned disc: the formula's load over that of an elastic disc, the stresses at the
    four edges, reference stress at full lever and its published limit, which holds for a steady
    load.
    """

    side: str
    past_peak_mm: float
    rate_n_per_mm: float
    reference_stress_mpa: float
    reference_stress_limit_mpa: float
    formula_bias_ratio: float = math.nan
    edge_stresses: tuple[EdgeStress, ...] = ()


@dataclass(frozen=True, eq=False)
class HandResult:
    """Play at the hand, wear of the pack until it is gone, force near the tip, and self-return."""

    take_up_mm: float
    wear_to_riding_mm: float
    tip_force_n: float
    self_return_n: float


@dataclass(frozen=True, eq=False)
class UnitResult:
    """Whether the release unit lets itself back, and the friction its balls need to roll."""

    lets_itself_back: bool
    friction_to_roll: float


@dataclass(frozen=True, eq=False)
class StrengthResult:
    """Loads beside what bears them; NaN where the file does not give enough."""

    cable_tension_450_n: float
    greatest_cable_tension_n: float
    cable_breaking_load_n: float
    greatest_rod_force_n: float
    rod_buckling_load_n: float
    ball_pressure_mpa: float


@dataclass(frozen=True, eq=False)
class TiltResult:
    """Tilt of the lifted plate at the facing's outside, where it is highest, and what is left."""

    lift_tilt_mm: float
    direction_deg: float
    residual_mm: float


@dataclass(frozen=True, eq=False)
class StateResult:
    """The same mechanism in another state: hot, or with the bars at full lock."""

    verdict: str
    clearance_per_face_mm: float
    take_up_mm: float
    peak_hand_force_n: float
    slip_margin: float


@dataclass(frozen=True, eq=False, repr=False)
class StrokeTable:
    """The stroke from rest to full lever, every event among its rows; all columns one length."""

    hand_travel_mm: Column
    lever_angle_deg: Column
    cable_pull_mm: Column
    arm_rotation_deg: Column
    rod_travel_mm: Column
    plate_lift_mm: Column
    separation_mm: Column
    hand_force_n: Column
    return_hand_force_n: Column
    return_hand_travel_mm: Column
    cable_tension_n: Column
    rod_force_n: Column
    clamp_force_n: Column
    ideal_advantage: Column
    advantage: Column

    def table(self) -> NDArray[np.void]:
        """Return all columns as one structured array of shape (rows,)."""
        names = [f.name for f in fields(self)]
        rows = np.empty(len(self.hand_travel_mm), dtype=[(n, float) for n in names])
        for name in names:
            rows[name] = getattr(self, name)
        return rows


def plain(value: Any) -> Any:
    """Return a result as plain lists, dictionaries and numbers; NaN and infinity become None."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, np.ndarray):
        return [x if math.isfinite(x) else None for x in value.tolist()]
    if isinstance(value, float | np.floating):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [plain(v) for v in value]
    return value


_OF_PARTIAL = ("lever", "rod travel")
"""What a short view tells of a partial answer alone, which has little else."""


@dataclass(frozen=True, eq=False, repr=False)
class Result(Deferred):
    """One mechanism's whole result; `to_dict` has the shape of the JSON.

    What no one reads of it is not worked out: a loop that asks for a clearance does not pay for
    the rows of the stroke, nor for the warnings.
    """

    title: str
    change: str | None
    version: str
    verdict: str
    stopped_by: str
    full_lever: FullLeverResult
    peak: Peak
    effort: Effort
    events: tuple[Event, ...]
    budget: tuple[BudgetLine, ...]
    capacity: Capacity
    bearing: BearingResult
    stroke: StrokeTable | None
    warnings: tuple[Warning, ...]
    spring: SpringResult | None
    hand: HandResult
    unit: UnitResult | None
    strength: StrengthResult
    tilt: TiltResult | None
    turned: StateResult | None
    hot: StateResult | None

    def to_dict(self) -> dict[str, Any]:
        """Return the result as plain data, the shape of the JSON; `stroke` only where computed."""
        data: dict[str, Any] = plain(self)
        if self.stroke is None:
            del data["stroke"]
        return data

    def event(self, name: str) -> Event:
        """Return an event by its name."""
        return next(e for e in self.events if e.name == name)

    def table(self) -> NDArray[np.void]:
        """Return the stroke as a structured array of shape (rows,)."""
        if self.stroke is None:
            raise ValueError("This result was computed without its stroke; use liftgeo.stroke().")
        return self.stroke.table()

    def to_csv(self, path: str | Path | None = None, *, force: bool = False) -> str:
        """Return the stroke as CSV text, and write it to a file where a path is given.

        Raises
        ------
        FileError
            The file exists already and `force` is not set, or cannot be written.
        """
        rows = self.table()
        text = csv_text(rows.dtype.names or (), rows.tolist())
        if path is not None:
            write_whole(path, text, force=force)
        return text

    def _lines(self) -> list[tuple[str, str]]:
        full, peak = self.full_lever, self.peak
        told: list[tuple[str, str, tuple[float, ...]]] = [
            (
                "lever",
                "{:.1f} mm at the hand, {:.1f} deg",
                (full.hand_travel_mm, full.lever_angle_deg),
            ),
            ("rod travel", "{:.2f} mm", (full.rod_travel_mm,)),
            ("faces part", "{:.2f} mm, needed {:.2f} mm", (full.separation_mm, full.needed_mm)),
            ("clearance per face", "{:z.3f} mm", (full.clearance_per_face_mm,)),
            ("hand", "{:.0f} N, back {:.0f} N", (full.hand_force_n, full.return_hand_force_n)),
            ("peak", "{:.0f} N at {:.1f} mm", (peak.hand_force_n, peak.hand_travel_mm)),
            ("clamp force", "{:.0f} N", (self.capacity.clamp_force_n,)),
        ]
        whole = self.verdict != "partial"
        return [
            ("verdict", self.verdict),
            ("stopped by", self.stopped_by),
            *(
                (name, words.format(*numbers))
                for name, words, numbers in told
                if not (any(map(math.isnan, numbers)) or (whole and name in _OF_PARTIAL))
            ),
            ("warnings", ", ".join(w.key for w in self.warnings) or "none"),
        ]

    def __str__(self) -> str:
        name = one_line(self.title) + (f" with {one_line(self.change)}" if self.change else "")
        return "\n".join([name, *(f"  {k:<20}{v}" for k, v in self._lines())])

    __repr__ = __str__

    def _repr_html_(self) -> str:
        name = one_line(self.title) + (f" with {one_line(self.change)}" if self.change else "")
        return html_table(name, self._lines()) + self._charts()

    def _charts(self) -> str:
        """Return effort and separation through the stroke, where it was computed."""
        if self.stroke is None:
            return ""
        from liftgeo.outcome.html_chart import Curve, html_chart

        table = self.stroke
        travel = table.hand_travel_mm.tolist()
        back = table.return_hand_travel_mm.tolist()
        effort = [
            Curve("pulling", travel, table.hand_force_n.tolist()),
            Curve("letting back", back, table.return_hand_force_n.tolist()),
        ]
        apart = [Curve("faces parted", travel, table.separation_mm.tolist())]
        across = "hand travel, mm"
        return html_chart("Force at the hand", across, "N", effort) + html_chart(
            "How far the faces part", across, "mm", apart
        )
