"""What an analysis finds, of one mechanism or many, each worked out when it is first asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from liftgeo.cached import cached_property
from liftgeo.cautions import Caution, raised
from liftgeo.chain import FACES_PART, Parts, Position, budget, position
from liftgeo.chain.energy import effort_floor_n, stroke_work_nmm
from liftgeo.chain.limits import limit_names
from liftgeo.chain.stop import StrokeEnd, stroke_end
from liftgeo.errors import GeometryError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import NMM_PER_NM
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.key_facts import number
from liftgeo.outcome import gaps
from liftgeo.outcome.clutch_end import ClutchEnd
from liftgeo.outcome.finite import fault_of, is_finite
from liftgeo.outline.gaps import Through
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.cable import BACK
from liftgeo.parts.values import Index, Values, rows_of

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
    keys : Inward
        Their flat keys in file units, numbers or arrays.
    shape : tuple of int
        Shape of the batch; () for one mechanism.
    bearing_part : Bearing or None
        The release bearing.
    search : bool
        False: strokes that take a search are left as `end.unsettled` says, without an answer.
    """

    parts: Parts
    keys: Inward
    shape: tuple[int, ...]
    bearing_part: Bearing | None
    search: bool = True

    @cached_property
    def end(self) -> StrokeEnd:
        """Where the stroke ends, jumps and peaks."""
        return stroke_end(self.parts, self.shape, search=self.search)

    def landed(self, at: Values) -> Values:
        """Return stroke coordinates, those within a jump moved to where it lands."""
        for start, end in zip(self.end.jumps_from, self.end.jumps_to, strict=True):
            at = np.where((at > start) & (at < end), end, at)
        return at

    def pulled_to(self, at: Values) -> Position:
        """Return the pulling position at stroke coordinates outside a jump.

        The hand stands still while the plates jump, also where they land on their stop.
        """
        p = self.end.full if at is self.end.at else position(self.parts, at)
        if not np.any(self.end.jumps):
            return p
        travel = p.hand_travel_mm
        for start, end in zip(self.end.jumps_from, self.end.jumps_to, strict=True):
            level = position(self.parts, start).hand_travel_mm
            landed = (end > start) & (at >= end)
            travel = np.where(landed, np.maximum(travel, level), travel)
        return p._replace(hand_travel_mm=travel)

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
        ratio = number(self.keys, "engine.primary_ratio")
        return torque * ratio * number(self.keys, "engine.peak_factor")

    @cached_property
    def slip_margin(self) -> Values:
        """Capacity over demand; NaN where the engine is not given."""
        return self.capacity_nmm / self.demand_nmm

    @cached_property
    def bearing_safety(self) -> Values:
        """Static safety of the release bearing; NaN where it is not known."""
        part = self.bearing_part
        with np.errstate(all="ignore"):
            if part is None:
                return np.nan
            return part.static_safety(self.clutch_end.greatest_rod_force_n)

    @cached_property
    def bearing_life_h(self) -> Values:
        """Life of the release bearing [h]; NaN where it is not known."""
        part = self.bearing_part
        with np.errstate(all="ignore"):
            return np.nan if part is None else part.life_h(self.clutch_end.greatest_rod_force_n)

    @cached_property
    def budget_left_mm(self) -> list[Values]:
        """Lift left after each budget item [mm]."""
        return budget.left_mm(self.parts, self.full)

    @cached_property
    def stop_names(self) -> tuple[str, ...]:
        """What each limit of the stroke is called."""
        return limit_names(self.parts)

    @cached_property
    def finite(self) -> Values:
        """Where every answer that must be a number is one; elsewhere nothing is answered."""
        return is_finite(self)

    def check_finite(self, source: str = "", where: Values = True) -> None:
        """Raise GeometryError where an answer is no number, naming the table to look at.

        Parameters
        ----------
        source : str
            What is analysed, as the fault calls it.
        where : bool or array
            Which elements are to be answered.
        """
        bad = np.argwhere(~self.finite & where)
        if len(bad):
            raise GeometryError([fault_of(self, tuple(int(k) for k in bad[0]))], source)

    @cached_property
    def verdict(self) -> Values:
        """Index into `VERDICTS`: the first that holds; past its end where there is no number."""
        apart, faces = self.separation_signed_mm, self.parts.faces
        short = faces.target_separation_mm - apart > TOLERANCE_MM
        code = np.where(short, 3, 4)
        code = np.where(apart - faces.needed_mm < -TOLERANCE_MM, 2, code)
        code = np.where(apart <= TOLERANCE_MM, 1, code)
        code = np.where(self.slip_margin < 1.0, 0, code)
        return np.where(self.finite, code, len(VERDICTS))

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
            found_at.append(self.landed(reached))
        return found_at

    @cached_property
    def events(self) -> Position:
        """The positions of all events, of shape (4, *shape); NaN where not reached."""
        at = rows_of(self.event_at, self.shape)
        return self.pulled_to(at)

    @cached_property
    def clutch_end(self) -> ClutchEnd:
        """Spring's place, drag, riding, strength, and the same mechanism hot or at full lock."""
        return ClutchEnd(self)

    @cached_property
    def gaps(self) -> tuple[Through, ...]:
        """Least distances through the stroke between what the file outlines; none: not drawn."""
        return gaps.gaps(self)

    @cached_property
    def stops(self) -> tuple[Through, ...]:
        """Greatest angle of each cable to the hole of its stop; none where nothing is drawn."""
        return gaps.stops(self)

    @cached_property
    def raised(self) -> dict[Caution, Values]:
        """Where each warning applies."""
        return raised(self)

    @cached_property
    def raised_somewhere(self) -> tuple[tuple[Caution, Values], ...]:
        """The warnings that apply to any element, and where."""
        some = np.any if self.shape else bool
        return tuple((rule, where) for rule, where in self.raised.items() if some(where))

    @cached_property
    def groups(self) -> dict[int, dict[str, Values]]:
        """Numbers of many mechanisms by group, worked out once for all of them."""
        return {}

    def picked(self, value: Values, index: Index) -> float:
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
        Dotted keys to numbers or arrays of one shape (N,), in the file's bare units; points and
        readings of shape (2,), (K,), (N, 2) or (N, K).

    Raises
    ------
    GeometryError
        One mechanism whose sums end in no number; many say so in `finite`.
    """
    laid = {key: np.asarray(value, float) for key, value in (over or {}).items()}
    sizes = [value.shape[: value.ndim - mechanism.dimensions(key)] for key, value in laid.items()]
    shape = np.broadcast_shapes(*sizes) if sizes else ()
    full = {
        key: np.broadcast_to(value, shape + value.shape[value.ndim - mechanism.dimensions(key) :])
        for key, value in laid.items()
    }
    found = outcome_of(mechanism.laid(full), shape)
    if not shape:
        found.check_finite(mechanism.called)
    return found


def outcome_of(keys: Inward, shape: tuple[int, ...], *, search: bool = True) -> Outcome:
    """Return the outcome of keys turned inward, whose arrays are of a shape."""
    return Outcome(keys.parts, keys, shape, keys.bearing, search)
