"""The analysis of one mechanism or many: full lever, peak, effort, events, budget, capacity.

`Outcome` holds arrays of the batch's shape, () for one mechanism, and works each group out when it
is first asked for. `stroke` turns one element into a `Result`.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from liftgeo.cautions import Case, Caution, found, raised
from liftgeo.chain import FACES_PART, JOINTS, Parts, Position, position
from liftgeo.chain import budget as lift_budget
from liftgeo.chain.energy import effort_floor_n, stroke_work_nmm
from liftgeo.chain.stop import StrokeEnd, limit_names, stroke_end
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import (
    HAND_FORCE_TARGET_N,
    NMM_PER_NM,
    SLIP_MARGIN_TARGET,
    number,
)
from liftgeo.outcome import clutch_end, results
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.cable import BACK
from liftgeo.parts.values import Values
from liftgeo.version import __version__

FEWEST_POSITIONS = 100
TOLERANCE_MM = 1e-9
EVENTS = ("slack-taken-up", "faces-part", "running-clear", "target-clear")
VERDICTS = ("slips", "no-release", "drags", "marginal", "clear")


@dataclass(frozen=True, eq=False, repr=False)
class Outcome:
    """Everything an analysis finds, as arrays of the batch's shape.

    Attributes
    ----------
    parts : Parts
        The mechanisms.
    keys : mapping
        Their flat keys in file units, numbers or arrays.
    shape : tuple of int
        Shape of the batch; () for one mechanism.
    bearing_part : Bearing or None
        The release bearing.
    """

    parts: Parts
    keys: Mapping[str, Any]
    shape: tuple[int, ...]
    bearing_part: Bearing | None

    @cached_property
    def end(self) -> StrokeEnd:
        """Where the stroke ends, jumps and peaks."""
        return stroke_end(self.parts, self.shape)

    def pulled_to(self, at: Values) -> Position:
        """Return the pulling position at stroke coordinates outside a jump.

        The hand stands still while the plates jump, also where they land on their stop.
        """
        p = self.end.full if at is self.end.at else position(self.parts, at)
        if not np.any(self.end.jumps):
            return p
        start = position(self.parts, self.end.jump_from).hand_travel_mm
        landed = self.end.jumps & (at >= self.end.jump_to)
        travel = np.where(landed, np.maximum(p.hand_travel_mm, start), p.hand_travel_mm)
        return replace(p, hand_travel_mm=travel)

    @cached_property
    def full(self) -> Position:
        """Full lever, pulling."""
        return self.pulled_to(self.end.at)

    @cached_property
    def back(self) -> Position:
        """The same plate lift once the lever begins to let back."""
        return position(self.parts, self.end.at, BACK)

    @cached_property
    def peak(self) -> Position:
        """The position of the greatest hand force."""
        return self.pulled_to(self.end.peak_at)

    @cached_property
    def separation_signed_mm(self) -> Values:
        """Separation of the whole pack, below zero where the faces do not part [mm]."""
        return self.full.signed_lift_mm - self.parts.cushion_mm

    @cached_property
    def clearance_per_face_mm(self) -> Values:
        """Net clearance per face [mm]."""
        return self.parts.faces.clearance_per_face_mm(self.separation_signed_mm)

    @cached_property
    def work_nmm(self) -> Values:
        """Work of the hand from rest to full lever [N mm]."""
        return stroke_work_nmm(self.parts, self.end, self.full)

    @cached_property
    def floor_n(self) -> Values:
        """Effort floor [N]."""
        return effort_floor_n(self.parts, self.full)

    @cached_property
    def capacity_nmm(self) -> Values:
        """Torque capacity [N mm]."""
        return self.parts.faces.torque_nmm(self.parts.clamp_force_n)

    @cached_property
    def demand_nmm(self) -> Values:
        """Torque the clutch must carry [N mm]; NaN where the engine is not given."""
        torque = number(self.keys, "engine.torque", np.nan) * NMM_PER_NM
        ratio = number(self.keys, "engine.primary_ratio", 1.0)
        return torque * ratio * number(self.keys, "engine.peak_factor", 1.0)

    @cached_property
    def slip_margin(self) -> Values:
        """Capacity over demand; NaN where the engine is not given."""
        return self.capacity_nmm / self.demand_nmm

    @cached_property
    def budget_left_mm(self) -> list[Values]:
        """Lift left after each budget item [mm]."""
        return lift_budget.left_mm(self.parts, self.full)

    @cached_property
    def stop_names(self) -> tuple[str, ...]:
        """What each limit of the stroke is called."""
        return limit_names(self.parts)

    @cached_property
    def verdict(self) -> Values:
        """Index into `VERDICTS`: the first that holds."""
        apart, faces = self.separation_signed_mm, self.parts.faces
        short = faces.target_separation_mm - apart > TOLERANCE_MM
        code = np.where(short, 3, 4)
        code = np.where(apart - faces.needed_mm < -TOLERANCE_MM, 2, code)
        code = np.where(apart <= TOLERANCE_MM, 1, code)
        return np.where(self.slip_margin < 1.0, 0, code)

    @cached_property
    def event_at(self) -> list[Values]:
        """Stroke coordinate of each of `EVENTS`; NaN where the stroke does not get there."""
        faces, end = self.parts.faces, self.end
        wanted = [
            1.0,
            FACES_PART,
            FACES_PART + np.maximum(faces.needed_mm, 0.0),
            FACES_PART + np.maximum(faces.target_separation_mm, 0.0),
        ]
        found_at = []
        for at in wanted:
            reached = np.where(at <= end.at + TOLERANCE_MM, np.minimum(at, end.at), np.nan)
            jumped = (reached > end.jump_from) & (reached < end.jump_to)
            found_at.append(np.where(jumped, end.jump_to, reached))
        return found_at

    @cached_property
    def events(self) -> Position:
        """The positions of all events, of shape (4, *shape); NaN where not reached."""
        at = np.stack([np.broadcast_to(at, self.shape) for at in self.event_at])
        return self.pulled_to(at)

    @cached_property
    def clutch_end(self) -> clutch_end.ClutchEnd:
        """Spring's place, drag, riding, strength, and the same mechanism hot or at full lock."""
        return clutch_end.ClutchEnd(self)

    @cached_property
    def raised(self) -> Mapping[Caution, Values]:
        """Where each warning applies."""
        return raised(self)

    def picked(self, value: Values, index: Any) -> float:
        """Return one element of a value that broadcasts to the batch's shape, as a float."""
        if self.shape and np.ndim(value):
            return float(value[index])
        return float(value)


def analysed(mechanism: Mechanism, over: Mapping[str, Values] | None = None) -> Outcome:
    """Return the outcome of a mechanism, with numbers or arrays laid over its keys.

    Parameters
    ----------
    mechanism : Mechanism
    over : mapping, optional
        Dotted keys to numbers or arrays of one shape (N,), in the file's bare units.
    """
    sizes = [np.shape(v) for v in (over or {}).values()]
    shape = np.broadcast_shapes(*sizes) if sizes else ()
    laid = {k: np.broadcast_to(np.asarray(v, float), shape) for k, v in (over or {}).items()}
    return Outcome(mechanism.parts(laid), mechanism.laid(laid), shape, mechanism.bearing_part(laid))


def stroke_coordinates(outcome: Outcome, positions: int) -> Values:
    """Return the stroke coordinates of the rows, shape (positions, ...), rest and events included.

    Rows are evenly spread in hand travel; the nearest row to each event is moved onto it.
    """
    end, shape = outcome.end, outcome.shape
    marks = [np.minimum(j, end.at) for j in JOINTS]
    marks += [end.jump_from, end.jump_to, end.at]
    knots = np.sort(np.stack([np.broadcast_to(m, shape) for m in marks]), axis=0)
    travel = np.broadcast_to(position(outcome.parts, knots).hand_travel_mm, knots.shape)
    travel = np.maximum.accumulate(np.where(np.isnan(travel), 0.0, travel), axis=0)
    column = (-1,) + (1,) * len(shape)
    share = np.linspace(0.0, 1.0, positions).reshape(column)
    rows = _along(knots, travel, share * travel[-1])

    special = [*outcome.event_at, end.peak_at, *marks[2:4]]
    if np.any(end.jumps):
        special += [end.jump_from, end.jump_to]
    at = np.stack([np.broadcast_to(s, shape) for s in special])
    at = np.sort(np.where(np.isnan(at), 0.0, at), axis=0)
    reached = _along(travel, knots, at) / np.where(travel[-1] > 0, travel[-1], 1.0)
    slot = np.rint(reached * (positions - 1)).astype(int)
    inner = (at > 0) & (at < end.at)
    for k in range(len(at)):
        row = slot[k]
        if k:
            row = np.maximum(row, slot[k - 1] + inner[k - 1])
            row = np.where(at[k] == at[k - 1], slot[k - 1], row)
        slot[k] = np.minimum(np.maximum(row, 1), positions - 1 - len(at) + k)
        here = np.take_along_axis(rows, slot[k][None, ...], axis=0)
        np.put_along_axis(rows, slot[k][None, ...], np.where(inner[k], at[k], here), axis=0)
    rows[0], rows[-1] = 0.0, end.at
    return np.sort(rows, axis=0)


def _along(values: Values, knots: Values, wanted: Values) -> Values:
    """Return values at `wanted`, straight between knots (rows); steps in the knots are skipped."""
    found = np.broadcast_to(values[0], np.broadcast(wanted, knots[0]).shape).copy()
    for k in range(len(knots) - 1):
        width = knots[k + 1] - knots[k]
        if not np.any(width > 0):
            continue
        step = (wanted - knots[k]) / np.where(width > 0, width, 1.0)
        step = np.minimum(np.maximum(step, 0.0), 1.0)
        inside = (wanted >= knots[k]) & (width > 0)
        found = np.where(inside, values[k] + step * (values[k + 1] - values[k]), found)
    return found


def stroke_columns(outcome: Outcome, positions: int) -> dict[str, Values]:
    """Return the columns of the stroke, each of shape (positions, ...)."""
    at = stroke_coordinates(outcome, positions)
    parts = outcome.parts
    pull, back = outcome.pulled_to(at), position(parts, at, BACK)
    slope = parts.release.slope_mm_per_rad(pull.unit_rotation_rad)
    with np.errstate(all="ignore"):
        ideal = parts.lever.hand_radius_mm * pull.arm_moment_arm_mm
        ideal = ideal / (pull.lever_moment_arm_mm * slope)
        advantage = np.where(pull.hand_force_n > 0, pull.rod_force_n / pull.hand_force_n, np.nan)
    return {
        "hand_travel_mm": pull.hand_travel_mm,
        "lever_angle_deg": np.degrees(pull.lever_angle_rad),
        "cable_pull_mm": pull.cable_pull_mm,
        "arm_rotation_deg": np.degrees(pull.arm_rotation_rad),
        "rod_travel_mm": pull.rod_travel_mm,
        "plate_lift_mm": pull.lift_mm,
        "separation_mm": np.maximum(at - FACES_PART, 0.0),
        "hand_force_n": pull.hand_force_n,
        "return_hand_force_n": back.hand_force_n,
        "return_hand_travel_mm": back.hand_travel_mm,
        "cable_tension_n": pull.tension_n,
        "rod_force_n": pull.rod_force_n,
        "clamp_force_n": pull.clamp_force_n,
        "ideal_advantage": ideal,
        "advantage": advantage,
    }


def full_lever_values(outcome: Outcome) -> dict[str, Values]:
    """Return the numbers at full lever under their JSON names."""
    full, parts = outcome.full, outcome.parts
    angle = parts.arm.link.cable_angle_rad(full.arm_rotation_rad)
    return {
        "hand_travel_mm": full.hand_travel_mm,
        "lever_angle_deg": np.degrees(full.lever_angle_rad),
        "cable_pull_mm": full.cable_pull_mm,
        "arm_rotation_deg": np.degrees(full.arm_rotation_rad),
        "rod_travel_mm": full.rod_travel_mm,
        "plate_lift_mm": full.lift_mm,
        "separation_mm": np.maximum(outcome.separation_signed_mm, 0.0),
        "needed_mm": parts.faces.needed_mm,
        "clearance_per_face_mm": outcome.clearance_per_face_mm,
        "hand_force_n": full.hand_force_n,
        "return_hand_force_n": outcome.back.hand_force_n,
        "cable_tension_n": full.tension_n,
        "rod_force_n": full.rod_force_n,
        "clamp_force_n": full.clamp_force_n,
        "cable_to_arm_angle_deg": np.degrees(angle),
        "spring_to_stop_mm": parts.spring.known_end_mm - full.deflection_mm,
    }


def capacity_values(outcome: Outcome) -> dict[str, Values]:
    """Return clamp force, torque, slip margin and facing pressure under their JSON names."""
    clamp = outcome.parts.clamp_force_n
    return {
        "clamp_force_n": clamp,
        "torque_nm": outcome.capacity_nmm / NMM_PER_NM,
        "slip_margin": outcome.slip_margin,
        "facing_pressure_mpa": outcome.parts.faces.mean_pressure_mpa(clamp),
        **clutch_end.capacity_values(outcome),
    }


def bearing_values(outcome: Outcome) -> dict[str, Values]:
    """Return load, static safety and life of the release bearing under their JSON names."""
    load, part = outcome.full.rod_force_n, outcome.bearing_part
    with np.errstate(all="ignore"):
        safety = np.nan if part is None else part.static_safety(load)
        life = np.nan if part is None else part.life_h(load)
    share = outcome.clutch_end.thrust_ratio
    return {
        "axial_load_n": load,
        "static_safety": safety,
        "life_h": life,
        "thrust_ratio": share,
    }


def _event(outcome: Outcome, index: Any, k: int, full_travel_mm: float) -> results.Event:
    """Return one event of one element; all NaN where it is not reached."""
    if np.isnan(outcome.picked(outcome.event_at[k], index)):
        return results.Event(EVENTS[k], np.nan, np.nan, np.nan)
    travel = outcome.picked(outcome.events.hand_travel_mm[k], index)
    angle = outcome.picked(np.degrees(outcome.events.lever_angle_rad[k]), index)
    return results.Event(EVENTS[k], travel, angle, full_travel_mm - travel)


def result_at(
    outcome: Outcome, index: Any, mechanism: Mechanism, positions: int | None
) -> results.Result:
    """Return one element of an outcome as a whole result.

    Parameters
    ----------
    index : tuple or int
        Element of the batch; () for one mechanism.
    mechanism : Mechanism
        Gives title and change.
    positions : int or None
        Rows of the stroke; None leaves it out.
    """

    def pick(value: Values) -> float:
        return outcome.picked(value, index)

    def group(values: Mapping[str, Values]) -> dict[str, float]:
        return {name: pick(value) for name, value in values.items()}

    full = results.FullLeverResult(**group(full_lever_values(outcome)))
    peak = results.Peak(pick(outcome.peak.hand_force_n), pick(outcome.peak.hand_travel_mm))
    floor = pick(outcome.floor_n)
    ratio = peak.hand_force_n / floor if floor > 0 else np.nan
    events = tuple(_event(outcome, index, k, full.hand_travel_mm) for k in range(len(EVENTS)))
    left = [pick(x) for x in outcome.budget_left_mm]
    lost = [0.0] + [a - b for a, b in itertools.pairwise(left)]
    lines = zip(lift_budget.ITEMS, lost, left, strict=True)
    table = None
    if positions is not None:
        columns = stroke_columns(outcome, positions)
        table = results.StrokeTable(**{k: v[(slice(None), *index)] for k, v in columns.items()})
    return results.Result(
        title=mechanism.title,
        change=mechanism.change,
        version=__version__,
        verdict=VERDICTS[int(pick(outcome.verdict))],
        stopped_by=outcome.stop_names[int(pick(outcome.end.limit))],
        full_lever=full,
        peak=peak,
        effort=results.Effort(pick(outcome.work_nmm) / NMM_PER_NM, floor, ratio),
        events=events,
        budget=tuple(results.BudgetLine(*line) for line in lines),
        capacity=results.Capacity(**group(capacity_values(outcome))),
        bearing=results.BearingResult(**group(bearing_values(outcome))),
        stroke=table,
        warnings=found(Case(outcome, index), mechanism),
        **clutch_end.blocks(outcome, index, VERDICTS),
    )


def stroke(mechanism: Mechanism, positions: int = 121) -> results.Result:
    """Return the whole result of one mechanism.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`, or `.changed(...)`.
    positions : int
        Rows of the stroke, 100 at least; events are among them.

    Raises
    ------
    RequestError
        Fewer than 100 positions.
    """
    if positions < FEWEST_POSITIONS:
        raise RequestError(f"{positions} positions are too few; at least {FEWEST_POSITIONS}.")
    with np.errstate(all="ignore"):
        return result_at(analysed(mechanism), (), mechanism, positions)


def missed_targets(mechanism: Mechanism, result: results.Result) -> list[str]:
    """Return the targets a result misses, in words: clearance, hand force, slip margin."""
    keys, missed = mechanism.keys, []
    if result.verdict in ("no-release", "drags", "marginal") or (
        result.verdict == "slips" and not result.event("target-clear").reached
    ):
        missed.append("clearance")
    most = number(keys, "targets.hand_force", HAND_FORCE_TARGET_N)
    if result.peak.hand_force_n > most:
        missed.append(f"hand force, {result.peak.hand_force_n:.0f} N against {most:.0f} N")
    least = number(keys, "targets.slip_margin", SLIP_MARGIN_TARGET)
    if result.capacity.slip_margin < least:
        missed.append(f"slip margin, {result.capacity.slip_margin:.2f} against {least:.2f}")
    return missed
