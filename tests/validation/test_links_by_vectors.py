"""Lever, arm and release units by points and vectors.

Source: worked out here. Pins are points in space, a cable or link is the distance between two of
them, a moment is a cross product, a slope is a derivative by a complex step. No law of cosines, no
closed form for an angle: where one is wanted, it is searched for.
"""

import math

import numpy as np
from cases import each_holds, worked_out
from scipy.optimize import brentq

from liftgeo.parts import cable, release, triangle

POINTS = "Points and vectors in space"
SEARCH = "Points and vectors, searched (Brent)"
WOUND = "A cable laid on a round drum, point by point"
PUSHED = "Equilibrium of a cam under a flat follower, contact by contact"
HELIX = "Equilibrium of a nut on an inclined flank, in space"
UP, DOWN = cable.PULLING, cable.BACK
STEP = 1e-30


def length(vector):
    """Return the length, of complex vectors too (for the complex step)."""
    return np.sqrt(np.sum(vector * vector))


def slope(function, at):
    """Return a derivative, exact to rounding, of a function that takes complex numbers."""
    return float(np.imag(function(at + 1j * STEP)) / STEP)


# --- triangle: radius, stop distance, rest length, offset along the pivot, sense, turn ---

TRIANGLES = (
    ("lever", (26.0, 42.0, 44.0, 0.0), 1, 0.42),
    ("lever, stop nearer than pin, 6 mm out of plane", (31.0, 24.0, 29.0, 6.0), 1, 0.5),
    ("arm", (38.0, 95.0, 90.0, 0.0), -1, 0.3),
    ("arm, 9 mm out of plane", (52.0, 47.0, 61.0, 9.0), -1, 0.4),
)


def pin_to_stop(sizes, angle):
    """Return the vectors pivot to pin, and pin to stop, at an angle between pin and stop."""
    radius, distance, _, offset = sizes
    pin = np.array([radius * np.cos(angle), radius * np.sin(angle), 0.0])
    return pin, np.array([distance, 0.0, offset]) - pin


def rest_angle(sizes):
    return brentq(lambda a: length(pin_to_stop(sizes, a)[1]) - sizes[2], 0.0, math.pi, xtol=1e-15)


def cable_moment(sizes, angle):
    """Return the moment of a unit pull on the pin about the pivot."""
    pin, towards = pin_to_stop(sizes, angle)
    pull = towards / length(towards)
    return pull[0] * pin[1] - pull[1] * pin[0]


def angle_at_pin(sizes, angle):
    pin, towards = pin_to_stop(sizes, angle)
    return math.acos(float(-pin @ towards) / float(length(pin) * length(towards)))


def _triangle_rows(word, sizes, sense, turn):
    def ours():
        return triangle.Triangle(*sizes, sense)

    name = f"{word}: pin {sizes[0]:g}, stop {sizes[1]:g}, rest {sizes[2]:g} mm"
    rest = rest_angle(sizes)
    now = rest + sense * turn
    pull = sense * (length(pin_to_stop(sizes, now)[1]) - sizes[2])
    dead_centre = math.pi - rest if sense > 0 else rest

    def moment(at):
        return cable_moment(sizes, rest + sense * at)

    def row(quantity, unit, expected, get, source=POINTS):
        return worked_out(source, name, quantity, unit, float(expected), get)

    return (
        row("angle at rest", "rad", rest, lambda: ours().rest_angle_rad, SEARCH),
        row("turn to dead centre", "rad", dead_centre, lambda: ours().last_rotation_rad, SEARCH),
        row(f"pull after {turn} rad", "mm", pull, lambda: ours().at(turn).pull_mm),
        row(f"turn after {pull:.3f} mm", "rad", turn, lambda: ours().at_pull(pull).rotation_rad),
        row("moment arm", "mm", moment(turn), lambda: ours().at(turn).moment_arm_mm),
        row("slope of the moment arm", "mm/rad", slope(moment, turn),
            lambda: ours().at(turn).moment_arm_slope_mm),
        row("angle between cable and arm", "rad", angle_at_pin(sizes, now),
            lambda: ours().cable_angle_rad(turn)),
        *(row("rest length from that angle", "mm", sizes[2],
              lambda: triangle.rest_length_mm(
                  sizes[0], sizes[1], angle_at_pin(sizes, rest), sizes[3]))
          for _ in range(sizes[1] > sizes[0])),
    )  # fmt: skip


# --- drum: the cable's free end lies on a tangent from a far stop ---


def laid_length(radius, far_mm, turn):
    """Return the length from the drum's cable end to a far stop, walked along the drum.

    The stop lies level with the drum's top, `far_mm` along; the cable's end has turned away.
    """
    around = np.linspace(math.pi / 2, math.pi / 2 + 1.0 + turn, 200_001)
    points = radius * np.array([np.cos(around), np.sin(around)])
    return float(np.hypot(*np.diff(points)).sum()) + far_mm


DRUM, DRUM_TURN = 19.0, 0.8
DRUM_PULL = laid_length(DRUM, 60.0, DRUM_TURN) - laid_length(DRUM, 60.0, 0.0)


def drum():
    return triangle.Drum(DRUM)


# --- crank with link: radius, link, offset, angle at rest, turn ---

CRANKS = (
    ("crank with link", (6.0, 40.0, 1.0), -0.2, 0.5),
    ("crank with short link", (7.0, 17.0, -1.5), 0.1, 0.6),
)


def slider(sizes, angle, complex_step=False):
    """Return the rod's end on its line, behind the crank pin by the link."""
    radius, link, offset = sizes
    pin = radius * np.array([np.sin(angle), np.cos(angle)])
    if complex_step:  # one Newton step carries the derivative exactly
        start = slider(sizes, angle.real)
        gap = np.array([pin[0] - start, pin[1] - offset])
        miss = np.sum(gap * gap) - link**2
        start = start + miss / (2 * gap[0])
        gap = np.array([pin[0] - start, pin[1] - offset])
        return start + (np.sum(gap * gap) - link**2) / (2 * gap[0])
    return brentq(
        lambda x: math.hypot(pin[0] - x, pin[1] - offset) - link, -link - radius, pin[0], xtol=1e-15
    )


def crank_torque(sizes, angle):
    """Return the moment on the crank of a link that carries a unit load along the rod."""
    radius, _, offset = sizes
    pin = radius * np.array([math.sin(angle), math.cos(angle)])
    along = pin - np.array([slider(sizes, angle), offset])
    force = along / along[0]  # unit load along the rod, the rest across
    return float(pin[1] * force[0] - pin[0] * force[1])


def rod_dead_centre(sizes, rest):
    """Return the turn at which the torque of a load vanishes."""
    return brentq(lambda turn: crank_torque(sizes, rest + turn), 0.1, math.pi - 0.1 - rest)


def _crank_rows(word, sizes, rest, turn, efficiency=0.8):
    radius, link, offset = sizes

    def ours():
        return release.CrankWithLink(radius, link, rest, offset, efficiency)

    name = f"{word}: {radius:g} and {link:g} mm, {offset:g} mm beside, from {rest:g} rad"
    travel = slider(sizes, rest + turn) - slider(sizes, rest)
    torque = crank_torque(sizes, rest + turn)

    def lever(at):
        """Return the slope of the travel, by the torque of a unit load, at a complex angle."""
        pin = radius * np.array([np.sin(rest + at), np.cos(rest + at)])
        along = pin - np.array([slider(sizes, rest + at, complex_step=True), offset])
        return pin[1] - pin[0] * along[1] / along[0]

    def row(quantity, unit, expected, get, source=POINTS):
        return worked_out(source, name, quantity, unit, float(expected), get)

    return (
        row(f"travel after {turn} rad", "mm", travel, lambda: ours().at(turn).travel_mm, SEARCH),
        row(f"turn to {travel:.3f} mm", "rad", turn,
            lambda: ours().at_travel(travel).rotation_rad, SEARCH),
        row("turn to dead centre", "rad", rod_dead_centre(sizes, rest),
            lambda: ours().last_rotation_rad, SEARCH),
        row("travel per radian, by virtual work", "mm/rad", torque,
            lambda: ours().at(turn).slope_mm_per_rad),
        row("torque over load at 80 %, pulling", "mm", torque / 0.8,
            lambda: ours().at(turn, UP).torque_arm_mm),
        row("torque over load at 80 %, letting back: as much lost", "mm",
            torque - (torque / 0.8 - torque), lambda: ours().at(turn, DOWN).torque_arm_mm),
        row("slope of the torque arm, pulling", "mm/rad", slope(lever, turn) / 0.8,
            lambda: ours().at(turn, UP).torque_arm_rate),
    )  # fmt: skip


# --- slot and eccentric: the pin, or the cam's middle, against a straight edge across the rod ---

ECCENTRICITY, CAM, CAM_REST, CAM_TURN, RUBBING = 4.5, 11.0, -0.15, 0.7, 0.12


def cam_middle(turn):
    angle = CAM_REST + turn
    return ECCENTRICITY * np.array([np.sin(angle), np.cos(angle)])  # along the rod, across


def highest_point(turn):
    """Return how far the cam reaches along the rod: the largest of all its rim points."""
    around = np.linspace(-0.5, 0.5, 200_001)
    return float((cam_middle(turn)[0] + CAM * np.cos(around)).max())


def cam_torque(turn, way):
    """Return the moment on the cam of a unit load with friction at the contact."""
    contact = cam_middle(turn) + np.array([CAM, 0.0])
    # The rim slides across under the follower; friction on the cam is against that.
    force = np.array([-1.0, way * RUBBING])
    moment = contact[0] * force[1] - contact[1] * force[0]
    return float(moment)


def cam():
    return release.Eccentric(ECCENTRICITY, CAM_REST, CAM, RUBBING)


def slot():
    return release.CrankWithSlot(ECCENTRICITY, CAM_REST)


CAM_TRAVEL = highest_point(CAM_TURN) - highest_point(0.0)
CAM_DEAD = brentq(lambda turn: cam_middle(turn)[1], 0.5, 3.0)


def _cam_rows():
    name = f"eccentric of {ECCENTRICITY:g} mm, cam of {CAM:g} mm, from {CAM_REST:g} rad"
    yield worked_out(PUSHED, name, f"travel after {CAM_TURN} rad", "mm", CAM_TRAVEL,
                     lambda: cam().at(CAM_TURN).travel_mm)  # fmt: skip
    yield worked_out(PUSHED, name, f"turn to {CAM_TRAVEL:.3f} mm", "rad", CAM_TURN,
                     lambda: cam().at_travel(CAM_TRAVEL).rotation_rad)  # fmt: skip
    yield worked_out(PUSHED, name, "turn to the highest point", "rad", CAM_DEAD,
                     lambda: cam().last_rotation_rad)  # fmt: skip
    yield worked_out(PUSHED, name, "travel per radian", "mm/rad",
                     (cam_torque(CAM_TURN, 1) + cam_torque(CAM_TURN, -1)) / 2,
                     lambda: cam().at(CAM_TURN).slope_mm_per_rad)  # fmt: skip
    for way, word in ((UP, "pulling"), (DOWN, "letting back")):
        yield worked_out(PUSHED, name, f"torque over load, friction 0.12, {word}", "mm",
                         cam_torque(CAM_TURN, way),
                         lambda way=way: cam().at(CAM_TURN, way).torque_arm_mm)  # fmt: skip
        rate = -cam_middle(CAM_TURN)[0] + way * RUBBING * cam_middle(CAM_TURN)[1]
        yield worked_out(PUSHED, name, f"its slope, {word}", "mm/rad", rate,
                         lambda way=way: cam().at(CAM_TURN, way).torque_arm_rate)  # fmt: skip
    name = f"pin in a slot, {ECCENTRICITY:g} mm, from {CAM_REST:g} rad"
    yield worked_out(POINTS, name, f"travel after {CAM_TURN} rad", "mm",
                     cam_middle(CAM_TURN)[0] - cam_middle(0.0)[0],
                     lambda: slot().at(CAM_TURN).travel_mm)  # fmt: skip
    yield worked_out(POINTS, name, "torque over load", "mm", cam_middle(CAM_TURN)[1],
                     lambda: slot().at(CAM_TURN, UP).torque_arm_mm)  # fmt: skip


# --- thread: a nut's flank in space ---


def nut_torque(lead, diameter, flank_rad, friction, way):
    """Return torque over load of a nut on an inclined flank, from its normal in space.

    Axes: along the thread's circle, along the screw, outward. The flank contains the helix and a
    line that leans from the radius by the flank angle.
    """
    helix = np.array([math.pi * diameter, lead, 0.0])
    helix = helix / length(helix)
    leaning = np.array([0.0, -math.tan(flank_rad), 1.0])
    normal = np.cross(leaning, helix)
    normal = normal / length(normal)
    normal = normal if normal[1] > 0 else -normal
    contact = normal - way * friction * helix  # on the nut, which moves up or down the helix
    return float(-contact[0] / contact[1] * diameter / 2)


SCREW = (38.0, 20.0)
RACK = release.Rack(7.5, 0.85)

CASES = (
    *(row for triangle_row in TRIANGLES for row in _triangle_rows(*triangle_row)),
    worked_out(WOUND, "drum of 19 mm", f"pull after {DRUM_TURN} rad", "mm", DRUM_PULL,
               lambda: drum().at(DRUM_TURN).pull_mm),
    worked_out(WOUND, "drum of 19 mm", "turn back again", "rad", DRUM_TURN,
               lambda: drum().at_pull(DRUM_PULL).rotation_rad),
    worked_out(WOUND, "drum of 19 mm", "moment arm", "mm", DRUM_PULL / DRUM_TURN,
               lambda: drum().at(DRUM_TURN).moment_arm_mm),
    worked_out(WOUND, "drum of 19 mm", "angle between cable and radius", "rad", math.pi / 2,
               lambda: drum().cable_angle_rad(DRUM_TURN)),
    *(row for crank_row in CRANKS for row in _crank_rows(*crank_row)),
    *_cam_rows(),
    *(worked_out(HELIX, f"lead 38, diameter 20, square flank, friction 0.08, {word}",
                 "torque over load", "mm", nut_torque(*SCREW, 0.0, 0.08, way),
                 lambda way=way: release.QuickThread(*SCREW, 0.0, 0.08).at(0.0, way).torque_arm_mm)
      for way, word in ((UP, "pulling"), (DOWN, "letting back"))),
    *(worked_out(HELIX, f"lead 38, diameter 20, flank 15°, friction 0.08, {word}",
                 "torque over load", "mm", nut_torque(*SCREW, math.radians(15.0), 0.08, way),
                 lambda way=way: release.QuickThread(*SCREW, math.radians(15.0), 0.08)
                 .at(0.0, way).torque_arm_mm,
                 close=0.0025,
                 note="The textbook's friction/cos(flank) leaves the lead out: 0.2 % here.")
      for way, word in ((UP, "pulling"), (DOWN, "letting back"))),
    worked_out("A nut advances by its lead in a turn", "lead 38", "travel after 0.6 rad", "mm",
               38.0 * 0.6 / (2 * math.pi),
               lambda: release.QuickThread(*SCREW).at(0.6).travel_mm),
    worked_out("A rack rolls on its pinion; as much is lost each way", "pinion 7.5 mm, 85 %",
               "travel after 0.6 rad", "mm", 7.5 * 0.6, lambda: RACK.at(0.6).travel_mm),
    worked_out("A rack rolls on its pinion; as much is lost each way", "pinion 7.5 mm, 85 %",
               "torque over load, pulling", "mm", 7.5 / 0.85,
               lambda: RACK.at(0.0, UP).torque_arm_mm),
    worked_out("A rack rolls on its pinion; as much is lost each way", "pinion 7.5 mm, 85 %",
               "torque over load, letting back", "mm", 7.5 - (7.5 / 0.85 - 7.5),
               lambda: RACK.at(0.0, DOWN).torque_arm_mm),
)  # fmt: skip


test_link = each_holds(CASES)
