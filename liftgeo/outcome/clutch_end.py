"""The clutch end: where the spring sits, what still drags, what rides, and what could break."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.cached import cached_property
from liftgeo.chain import FACES_PART, ROD_LOADS, Parts, Position, position
from liftgeo.chain.held_fast import tension_at_grip_n
from liftgeo.chain.states import wear_to_riding_mm
from liftgeo.mechanism import runouts, states
from liftgeo.mechanism.convert import by_foot, is_wet
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.key_facts import number
from liftgeo.parts import drag
from liftgeo.parts.cable import BACK
from liftgeo.parts.column import rod_buckling_load_n
from liftgeo.parts.disc_limits import (
    edge_stresses_mpa,
    formula_bias_ratio,
    load_tolerance,
    reference_stress_mpa,
)
from liftgeo.parts.hand_limits import FROM_TIP_MM, PANIC_FORCE_N, PEDAL_PANIC_FORCE_N
from liftgeo.parts.hertz import BALL_PRESSURE_LIMIT_MPA, ball_contact
from liftgeo.parts.release import BallRamp
from liftgeo.parts.release_form import back_factor
from liftgeo.parts.rim import RimPlane
from liftgeo.parts.spring import ConedDisc, MeasuredSpring
from liftgeo.parts.values import Values, spread
from liftgeo.parts.wire_strength import breaking_load_n

if TYPE_CHECKING:
    from liftgeo.outcome.outcome import Outcome

SIDES = ("rising", "falling", "past-valley")

_PLACES = tuple(k / 8 for k in range(9))
"""Where between two positions something is looked at, as shares of the way."""


@dataclass(frozen=True, eq=False, repr=False)
class ClutchEnd:
    """What the clutch end of an outcome comes to, each worked out when first asked for.

    Attributes
    ----------
    outcome : Outcome
        Parts, keys, shape, full lever and capacity, of any batch shape.
    """

    outcome: Outcome

    @property
    def _keys(self) -> Inward:
        return self.outcome.keys

    @property
    def _shares(self) -> Values:
        """Where between two positions something is looked at, of shape (places, 1, ...)."""
        return np.reshape(_PLACES, (-1,) + (1,) * len(self.outcome.shape))

    # --- play and hand ---

    @cached_property
    def take_up(self) -> Position:
        """The position at which the rod begins to load."""
        return position(self.outcome.parts, ROD_LOADS)

    @property
    def take_up_mm(self) -> Values:
        """Hand travel until the rod loads [mm]."""
        return self.take_up.hand_travel_mm

    @cached_property
    def wear_to_riding_mm(self) -> Values:
        """How far the pressure plate may sink before the lever rides [mm], of the whole pack."""
        return wear_to_riding_mm(self.outcome.parts)

    @cached_property
    def tip_radius_mm(self) -> Values:
        """Pivot to a hand 50 mm from the tip of the blade [mm]; NaN where that is not known."""
        radius = number(self._keys, "lever.blade_length", np.nan) - FROM_TIP_MM
        return np.where(radius > 0, radius, np.nan)

    @property
    def tip_force_n(self) -> Values:
        """Greatest hand force with the hand 50 mm from the tip of the blade [N]."""
        moment = self.outcome.peak.hand_force_n * self.outcome.parts.lever.hand_radius_mm
        return moment / self.tip_radius_mm

    @cached_property
    def self_return_n(self) -> Values:
        """What the arm's spring leaves at the hand as the lever comes home [N]; below 0: it hangs.

        The arm just home, the slack not yet open: M0/p e**(-mu beta) - drag, over to the hand.
        """
        parts = self.outcome.parts
        arm, lever, cable = parts.arm, parts.lever, parts.cable
        tension = arm.return_torque_nmm / arm.link.at(0.0).moment_arm_mm
        tension = tension * np.maximum(back_factor(arm.efficiency, BACK), 0.0)
        left = tension * cable.gain(BACK) - cable.drag_n
        moment_arm = lever.link.at_pull(cable.slack_mm).moment_arm_mm
        factor = np.maximum(back_factor(lever.efficiency, BACK), 0.0) / lever.hand_radius_mm
        return left * moment_arm * factor

    # --- spring ---

    @property
    def disc(self) -> ConedDisc | None:
        """The coned disc, where there is one."""
        spring = self.outcome.parts.spring
        return spring if isinstance(spring, ConedDisc) else None

    @cached_property
    def peak_deflection_mm(self) -> Values:
        """Deflection of the spring's greatest load [mm]; NaN where its load does not turn."""
        parts = self.outcome.parts
        if self.disc is not None:
            return self.disc.turning_deflections_mm[0]
        if isinstance(parts.spring, MeasuredSpring):
            return _nearest_peak(parts.spring, parts.installed_deflection_mm)
        return np.nan

    @property
    def past_peak_mm(self) -> Values:
        """How far past its peak the fitted spring sits [mm]; below 0: before it."""
        return self.outcome.parts.installed_deflection_mm - self.peak_deflection_mm

    @cached_property
    def rate_n_per_mm(self) -> Values:
        """Slope of the spring's load at rest [N/mm]."""
        parts = self.outcome.parts
        return parts.spring.rate_n_per_mm(parts.installed_deflection_mm)

    @cached_property
    def side(self) -> Values:
        """Index into `SIDES`."""
        past_valley: Values = False
        if self.disc is not None:
            valley = self.disc.turning_deflections_mm[1]
            past_valley = self.outcome.parts.installed_deflection_mm >= valley
        return np.where(past_valley, 2, np.where(self.rate_n_per_mm < 0, 1, 0))

    @cached_property
    def load_tolerance(self) -> tuple[Values, Values]:
        """Least and greatest clamp force over the nominal one; NaN for other springs than discs."""
        return (np.nan, np.nan) if self.disc is None else load_tolerance(self.disc.thickness_mm)

    @cached_property
    def formula_bias_ratio(self) -> Values:
        """The disc formula's load over that of an elastic disc, at rest; NaN for other springs."""
        if self.disc is None:
            return np.nan
        return formula_bias_ratio(self.disc, self.outcome.parts.installed_deflection_mm)

    @property
    def least_load_ratio(self) -> Values:
        """Least clamp force over the nominal one: tolerance and the formula's bias together."""
        return self.load_tolerance[0] / self.formula_bias_ratio

    @property
    def slip_margin_low(self) -> Values:
        """Slip margin at the least load: the low end of the tolerance, the bias taken off."""
        return self.outcome.slip_margin * self.least_load_ratio

    @cached_property
    def edge_stresses_mpa(self) -> tuple[tuple[Values, ...], tuple[Values, ...]] | None:
        """Stresses of the disc at its four edges, at rest and at full lever [MPa]."""
        if self.disc is None:
            return None
        rest, full = self.outcome.parts.installed_deflection_mm, self.outcome.full.deflection_mm
        return edge_stresses_mpa(self.disc, rest), edge_stresses_mpa(self.disc, full)

    @property
    def reference_stress_mpa(self) -> Values:
        """Reference stress of the disc at full lever [MPa]."""
        if self.disc is None:
            return np.nan
        return reference_stress_mpa(self.disc, self.outcome.full.deflection_mm)

    # --- faces ---

    @cached_property
    def drag_torque_nmm(self) -> Values:
        """Torque the faces still carry at full lever, an estimate, all tilt in one gap [N mm]."""
        return self._drag(drag.greatest_drag_torque_nmm)

    @cached_property
    def drag_torque_low_nmm(self) -> Values:
        """The same with the tilt shared by all gaps alike [N mm]."""
        return self._drag(drag.least_drag_torque_nmm)

    @property
    def drag_share(self) -> Values:
        """Share of its capacity still carried at full lever, all tilt in one gap; 1 at most."""
        return np.minimum(self.drag_torque_nmm / self.outcome.capacity_nmm, 1.0)

    @property
    def drag_share_low(self) -> Values:
        """The same with the tilt shared by all gaps alike."""
        return np.minimum(self.drag_torque_low_nmm / self.outcome.capacity_nmm, 1.0)

    def _drag(self, torque_nmm: Callable[..., Values]) -> Values:
        soft = 1 / number(self._keys, "faces.facing_stiffness", np.inf)
        outcome = self.outcome
        return torque_nmm(
            outcome.parts.faces,
            outcome.full.clamp_force_n,
            outcome.separation_signed_mm,
            soft,
            outcome.parts.clamp_force_n,
        )

    @property
    def wet(self) -> Values:
        """Whether the clutch runs in oil."""
        return is_wet(self._keys)

    @cached_property
    def oil_drag_nmm(self) -> Values:
        """Torque of a full film of oil between the parted faces [N mm]; NaN where unknown."""
        faces, keys = self.outcome.parts.faces, self._keys
        speed = number(keys, "faces.slip_speed", number(keys, "bearing.speed", np.nan))
        viscosity = np.where(self.wet, number(keys, "faces.oil_viscosity", np.nan), np.nan)
        gap = self.outcome.separation_signed_mm / (2 * faces.plates)
        return drag.oil_film_torque_nmm(
            viscosity, speed, gap, faces.outside_mm, faces.inside_mm, faces.friction_faces
        )

    @cached_property
    def edge_pressure_mpa(self) -> Values:
        """Greatest pressure of the run-in facing, at its inside edge [MPa]."""
        faces = self.outcome.parts.faces
        ring = np.pi / 2 * faces.inside_mm * (faces.outside_mm - faces.inside_mm)
        return self.outcome.parts.clamp_force_n / ring

    @cached_property
    def rim(self) -> RimPlane | None:
        """The plane through the readings round the rim, where there are any."""
        return runouts.read_plane(self._keys)

    # --- strength ---

    @cached_property
    def greatest_rod_force_n(self) -> Values:
        """Greatest rod force of the stroke [N]: as the faces part, at full lever, or between.

        While the faces touch it only rises; once they have parted it is the spring's load.
        """
        outcome = self.outcome
        parts, full = outcome.parts, outcome.full
        parting = parts.installed_deflection_mm + parts.cushion_mm
        load = parts.spring.load_n(parting)
        for turn in self._loads_between(parting, full.deflection_mm):
            load = np.fmax(load, turn)
        load = load * (1 + parts.spring_friction) / parts.rod.finger_ratio
        parted = outcome.end.at >= FACES_PART
        return np.where(parted, np.fmax(load, full.rod_force_n), full.rod_force_n)

    def _loads_between(self, first_mm: Values, last_mm: Values) -> list[Values]:
        """Return the loads of the spring's turning points between two deflections [N]."""
        spring = self.outcome.parts.spring
        return [
            np.where((at > first_mm) & (at < last_mm), spring.load_n(at), np.nan)
            for at in spring.turns_mm
        ]

    @cached_property
    def greatest_tension_n(self) -> Values:
        """Greatest cable tension of the stroke, at the lever, pulling [N].

        Until the faces part it only rises; from there on it is looked at in places.
        """
        outcome = self.outcome
        end = outcome.end
        first = np.minimum(end.at, FACES_PART)
        places = outcome.pulled_to(first + self._shares * (end.at - first))
        greatest = np.fmax.reduce(places.hand_tension_n, axis=0)
        return np.fmax(greatest, outcome.peak.hand_tension_n)

    @property
    def panic_force_n(self) -> float:
        """What a hand, or a foot, may do to the lever in a hurry [N]."""
        return PEDAL_PANIC_FORCE_N if by_foot(self._keys) else PANIC_FORCE_N

    @cached_property
    def grip_ends_it(self) -> Values:
        """Whether the lever meets the grip, which then bears what the hand does beyond."""
        return self.outcome.end.limit == 0

    @cached_property
    def panic_tension_n(self) -> Values:
        """Greatest tension a hand of 450 N can put on the cable at the lever [N].

        Where the grip ends the stroke, the greatest of the stroke: the bar takes the rest. Where
        arm, unit or spring ends it, the lesser of that of the full force and that at which the
        lever meets the grip after all.
        """
        excess = np.fmin(self.forced_tension_n, self.tension_at_grip_n)
        return np.fmax(self.greatest_tension_n, np.where(self.grip_ends_it, 0.0, excess))

    @cached_property
    def forced_tension_n(self) -> Values:
        """Tension that a hand of 450 N, or a foot of more, puts on a cable held fast [N].

        Without any friction, 50 mm from the tip where `lever.blade_length` is given, else at the
        middle of the pull; at the smaller of the lever's moment arms at rest and at full lever.
        """
        lever = self.outcome.parts.lever
        tip = self.tip_radius_mm
        radius: Values = np.where(np.isnan(tip), lever.hand_radius_mm, tip)
        arm = np.minimum(lever.link.at(0.0).moment_arm_mm, self.outcome.full.lever_moment_arm_mm)
        return self.panic_force_n * radius / arm

    @cached_property
    def tension_at_grip_n(self) -> Values:
        """Tension at which a lever whose arm is held meets the grip [N]; NaN: more than forced."""
        outcome = self.outcome
        if np.all(self.grip_ends_it):
            return np.asarray(np.nan)
        return tension_at_grip_n(outcome.parts, outcome.full, self.forced_tension_n)

    @cached_property
    def breaking_load_n(self) -> Values:
        """Breaking load of the cable [N]: given, or of its wire; NaN where neither is known."""
        keys = self._keys
        if "cable.breaking_load" in keys:
            return keys["cable.breaking_load"]
        named = [keys.get(f"cable.wire.{name}") for name in ("construction", "material")]
        if None in named or "cable.wire.diameter" not in keys:
            return np.nan
        return breaking_load_n(str(named[0]), str(named[1]), keys["cable.wire.diameter"])

    @cached_property
    def rod_buckling_load_n(self) -> Values:
        """Euler's load of a push rod [N]; NaN for a pull rod, or where its size is not known."""
        keys = self._keys
        length = number(keys, "rod.unguided_length", number(keys, "rod.length", np.nan))
        thick = number(keys, "rod.thinnest_diameter", number(keys, "rod.diameter", np.nan))
        return rod_buckling_load_n(length, thick) if keys.get("rod.action") == "push" else np.nan

    @property
    def ball_ramp(self) -> BallRamp | None:
        """The ball-and-ramp unit, where there is one."""
        unit = self.outcome.parts.release
        return unit if isinstance(unit, BallRamp) else None

    @cached_property
    def ball_pressure_mpa(self) -> Values:
        """Greatest contact pressure of ball on ramp [MPa]; NaN where the balls are not known."""
        unit, keys = self.ball_ramp, self._keys
        if unit is None or "release.ball_diameter" not in keys:
            return np.nan
        each = self.greatest_rod_force_n / keys["release.ball_count"]
        load = each / np.cos(unit.mean_angle_rad)
        groove = keys.get("release.groove_radius")
        return ball_contact(load, keys["release.ball_diameter"], groove).pressure_mpa

    @property
    def allowed_ball_pressure_mpa(self) -> Values:
        """Contact pressure the ramps bear [MPa]."""
        return number(self._keys, "release.allowed_pressure", BALL_PRESSURE_LIMIT_MPA)

    @cached_property
    def lets_itself_back(self) -> Values:
        """Whether the unit turns back under a rod load everywhere, judged by its own friction.

        From full lever back to where the rod is free again. A rod without load has nothing to turn
        it back, and says nothing about the unit.
        """
        full, unit = self.outcome.full, self.outcome.parts.release
        free = np.minimum(self.take_up.unit_rotation_rad, full.unit_rotation_rad)
        places = free + self._shares * (full.unit_rotation_rad - free)
        back = spread(unit.at(places, BACK).torque_arm_mm > 0, places.shape).all(axis=0)
        loaded = (self.outcome.end.at > ROD_LOADS) & (full.rod_force_n > 0)
        return ~np.asarray(loaded) | back

    @property
    def over_centre(self) -> Values:
        """Whether the spring anywhere on the way no longer closes the clutch."""
        return self.outcome.end.over_centre

    @property
    def thrust_ratio(self) -> Values:
        """Greatest load of the release bearing over its static rating; NaN where not given."""
        part = self.outcome.bearing_part
        rating = np.nan if part is None else part.static_rating_n
        return self.greatest_rod_force_n / rating

    # --- other states ---

    @cached_property
    def hot(self) -> Outcome | None:
        """The outcome hot; None where the file has no [warm]."""
        keys = self._keys
        return self._other(states.heated) if states.is_warmed(keys) else None

    @cached_property
    def turned(self) -> Outcome | None:
        """The outcome with the bars at full lock; None where the file does not tell."""
        return self._other(states.turned) if states.is_turned(self._keys) else None

    def _other(self, made: Callable[[Parts, Inward], Parts]) -> Outcome:
        keys = self._keys
        kept = {
            k: v for k, v in keys.items() if not (k.startswith("warm.") or k.endswith("_turned"))
        }
        with np.errstate(all="ignore"):
            return replace(
                self.outcome,
                parts=made(self.outcome.parts, keys),
                keys=Inward(kept, taken=keys.taken),
            )

    @property
    def hot_wear_to_riding_mm(self) -> Values:
        """How far the plate may sink, hot, before the lever rides [mm]; 0 or less: it rides."""
        ratio = self.outcome.parts.rod.finger_ratio
        return self.wear_to_riding_mm - states.rod_growth_mm(self._keys) / ratio


def _nearest_peak(spring: MeasuredSpring, deflection_mm: Values) -> Values:
    """Return the reading of greatest load nearest to a deflection [mm]; NaN where there is none."""
    x, y = spring.curve.x, spring.curve.y
    inner = (y[1:-1] > y[:-2]) & (y[1:-1] >= y[2:])
    if not inner.any():
        return np.nan
    if x.ndim == 1:  # one curve, for however many mechanisms
        column = (-1,) + (1,) * np.ndim(deflection_mm)
        x, inner = x.reshape(column), inner.reshape(column)
    away = np.where(inner, np.abs(deflection_mm - x[1:-1]), np.inf)
    nearest = away.argmin(axis=0)[None, ...]
    peak = np.take_along_axis(np.broadcast_to(x[1:-1], away.shape), nearest, axis=0)[0]
    return np.where(inner.any(axis=0), peak, np.nan)
