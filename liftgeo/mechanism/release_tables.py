"""Release units: the table of each kind, with what each key means, and the unit it makes."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, NamedTuple

import numpy as np

from liftgeo.mechanism import fields as f
from liftgeo.mechanism.table import Table, key
from liftgeo.mechanism.usual import Usual
from liftgeo.parts import release as units
from liftgeo.parts.release_form import ReleaseUnit

if TYPE_CHECKING:
    from liftgeo.mechanism.convert import Given


class _Release(Table):
    max_rotation: f.Turn = key(
        "rotation the unit allows", "protractor, turned by hand from rest to its end"
    )


class BallRampTable(_Release):
    """Balls between two ramped plates."""

    kind: Literal["ball-ramp"] = "ball-ramp"
    pitch_radius: f.Length = key(
        "axis to ball centres",
        "calliper over opposite balls, less one ball, halved",
        needed=True,
    )
    ramp_angle: f.RampAngle = key(
        "slope of the ramps",
        "depth gauge: rise over length; a rise of 1 in 4 is 14 deg",
        needed=True,
    )
    far_ramp_angle: f.FlatOrRamp = key(
        "slope of the other plate's ramps; 0: flat; left out: the same",
        "dial gauge, as the first plate",
    )
    friction_angle: f.FlatOrRamp = key(
        "rolling friction as an angle",
        typical="0.5 clean to 2 pitted (common practice)",
        usual=Usual(0.5, 1.0, 2.0, "low"),
    )
    balls: Literal["rolling", "held"] = key(
        "rolling, or held in round pockets of one plate",
        "look at both plates",
        default="rolling",
    )
    ball_diameter: f.Length = key(
        "diameter of one ball", "micrometer", needed_with="ball_count groove_radius"
    )
    ball_count: f.Count = key("number of balls", "count them", needed_with="ball_diameter")
    groove_radius: f.Length = key(
        "radius of the ramps' groove, across it; left out: flat ramps", "radius gauge"
    )
    allowed_pressure: f.Stress = key(
        "contact pressure the ramps bear; left out: 4200 MPa, hardened",
        typical="4200 through-hardened (ISO 76, from memory)",
    )


class QuickThreadTable(_Release):
    """A coarse multi-start thread."""

    kind: Literal["quick-thread"] = "quick-thread"
    lead: f.Length = key(
        "advance in one whole turn",
        "depth gauge; or rise and rise_over of part of a turn",
        needed=True,
        unless="rise",
    )
    rise: f.Length = key(
        "advance over part of a turn",
        "dial gauge on the rod, the unit turned by rise_over",
        instead="lead",
        needed_with="rise_over",
    )
    rise_over: f.Turn = key("the turn that gives that rise", "protractor", needed_with="rise")
    mean_diameter: f.Length = key(
        "mean diameter of the thread",
        "calliper, half the sum of outside and root diameter",
        needed=True,
    )
    flank_angle: f.FlatOrRamp = key(
        "angle of the flank from square to the axis",
        "thread gauge, half the angle of the form",
        default=0.0,
    )
    friction: f.Friction = key(
        "friction of the thread",
        typical="0.08 to 0.15 greased steel (common practice)",
        usual=Usual(0.08, 0.13, 0.20, "low"),
    )
    collar_diameter: f.Length = key(
        "mean diameter of the thrust collar",
        "calliper, half the sum of its two diameters",
        needed_with="collar_friction",
    )
    collar_friction: f.Friction = key(
        "friction of the collar",
        default=0.0,
        typical="0.08 to 0.15 plain, below 0.01 with balls (common practice)",
    )


class RackTable(_Release):
    """A pinion and a toothed rod."""

    kind: Literal["rack"] = "rack"
    pinion_radius: f.Length = key(
        "pitch radius of the pinion", "count the teeth: module times teeth over 2", needed=True
    )
    efficiency: f.Efficiency = key(
        "efficiency of the teeth",
        typical="0.90 to 0.95 greased (common practice)",
        usual=Usual(0.88, 0.93, 0.97, "high"),
    )


class CrankTable(_Release):
    """A crank with a link, or with its pin in a slot."""

    kind: Literal["crank"] = "crank"
    crank_radius: f.Length = key("shaft to crank pin", "calliper, centre to centre", needed=True)
    link_length: f.Length = key(
        "pin to pin of the link; left out: pin in a slot", "calliper, centre to centre"
    )
    rest_angle: f.RestAngle = key(
        "crank from the normal to the rod line at rest, positive past it", "protractor", needed=True
    )
    offset: f.Offset = key("rod line off the shaft", "calliper", default=0.0)
    efficiency: f.Efficiency = key(
        "efficiency of the joints",
        typical="0.95 to 0.98 greased (common practice)",
        usual=Usual(0.88, 0.93, 0.97, "high"),
    )


class EccentricTable(_Release):
    """A round eccentric under a flat follower."""

    kind: Literal["eccentric"] = "eccentric"
    eccentricity: f.Length = key(
        "shaft centre to centre of the round",
        "dial gauge over a whole turn: half the throw",
        needed=True,
    )
    rest_angle: f.RestAngle = key(
        "throw from square to the rod at rest, positive past it",
        "protractor, a mark on the arm",
        needed=True,
    )
    cam_radius: f.Length = key(
        "radius of the round", "calliper, half its diameter", needed_with="friction"
    )
    friction: f.Friction = key(
        "friction of the follower",
        typical="0.08 to 0.15 greased steel (common practice)",
        usual=Usual(0.08, 0.13, 0.20, "low"),
    )
    efficiency: f.Efficiency = key(
        "efficiency of the unit",
        instead="friction",
        typical="0.95 rolling (common practice)",
        usual=Usual(0.88, 0.93, 0.97, "high"),
    )


class ReleaseProfile(_Release):
    """Rod travel measured against rotation."""

    kind: Literal["profile"] = "profile"
    angle: f.Angles = key(
        "rotations of the readings, rising", "protractor, from rest, every few degrees", needed=True
    )
    travel: f.Lengths = key(
        "rod travel at those rotations, rising",
        "dial gauge on the rod, at each rotation",
        needed=True,
    )
    efficiency: f.Efficiency = key(
        "efficiency of the unit",
        typical="0.85 to 0.95 greased (common practice)",
        usual=Usual(0.88, 0.93, 0.97, "high"),
    )


def _ball_ramp(of: "Given") -> units.BallRamp:
    ramp, loss = of.angle_rad("ramp_angle"), np.radians(of.number("friction_angle"))
    rolling = of.word("balls", "rolling") == "rolling"
    far = of.angle_rad("far_ramp_angle", ramp)
    return units.BallRamp(of["pitch_radius"], ramp, far, loss, rolling)


def _quick_thread(of: "Given") -> units.QuickThread:
    return units.QuickThread(
        of["lead"],
        of["mean_diameter"],
        np.radians(of.number("flank_angle")),
        of.number("friction"),
        of.number("collar_diameter"),
        of.number("collar_friction"),
    )


def _rack(of: "Given") -> units.Rack:
    return units.Rack(of["pinion_radius"], of.number("efficiency", 1.0))


def _crank(of: "Given") -> units.CrankWithSlot | units.CrankWithLink:
    radius, rest, efficiency = (
        of["crank_radius"],
        of.angle_rad("rest_angle"),
        of.number("efficiency", 1.0),
    )
    if "link_length" not in of:
        return units.CrankWithSlot(radius, rest, efficiency)
    return units.CrankWithLink(radius, of["link_length"], rest, of.number("offset"), efficiency)


def _eccentric(of: "Given") -> units.Eccentric:
    return units.Eccentric(
        of["eccentricity"],
        of.angle_rad("rest_angle"),
        of.number("cam_radius"),
        of.number("friction"),
        of.number("efficiency", 1.0),
    )


def _profile(of: "Given") -> units.MeasuredUnit:
    curve = of.curve("angle", "travel", np.pi / 180)
    return units.MeasuredUnit(curve, of.number("efficiency", 1.0))


class UnitKind(NamedTuple):
    """A kind of release unit: its table, and what makes the unit of the table's keys."""

    table: type[Table]
    made: Callable[["Given"], ReleaseUnit]


RELEASE_UNITS: dict[str, UnitKind] = {
    "ball-ramp": UnitKind(BallRampTable, _ball_ramp),
    "quick-thread": UnitKind(QuickThreadTable, _quick_thread),
    "rack": UnitKind(RackTable, _rack),
    "crank": UnitKind(CrankTable, _crank),
    "eccentric": UnitKind(EccentricTable, _eccentric),
    "profile": UnitKind(ReleaseProfile, _profile),
}
"""Every kind of release unit, in the order in which they are offered."""
