"""A mechanism written down as bodies, wires and springs for a physics engine (MuJoCo).

No equation of the chain is written down here; moment arms, for one, are whatever the engine finds
for a wire between two points.

What stands for what
    Lever and arm are hinged bodies with the cable's end on them; the stops are fixed points; the
    cable is one elastic wire over lever pin, lever stop, arm stop, arm pin, which may hang slack.
    A drum is a round the wire is laid on. The release unit is a ratio of two joints, or real parts:
    a link between crank pin and rod, a block in a slot, a disc against a flat follower. The rod is
    an elastic pull with dead travel between unit and plate, the cushion a spring that only pushes.
    The arm's rest stop and faces without a cushion are one-sided joint limits. A rigid blade or
    shaft is a rigid coupling of two joints.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from plain_mechanism import (
    Drum,
    Eccentric,
    LinearUnit,
    LinkCrank,
    Mechanism,
    PinTriangle,
    ReleaseUnit,
    SlotCrank,
)

FAR = 1e6
"""A length or rotation [mm or rad] that nothing reaches."""
DAMPING = 0.6
"""Damping for each unit of inertia [1/step]: motion dies out soon, and hardly swings."""

Place = tuple[float, float, float]


def _number(*values: float) -> str:
    return " ".join(repr(float(value)) for value in values)


def _hinged(
    name: str, place: Place, inertia: float, inside: str, turns: int, extra: str = ""
) -> str:
    """Return a body on a hinge of its own, positive anticlockwise (turns 1) or clockwise (-1)."""
    hinge = (
        f'<joint name="{name}" type="hinge" axis="0 0 {turns}" armature="{_number(inertia)}" '
        f'damping="{_number(DAMPING * inertia)}" {extra}/>'
    )
    # All its inertia is in the hinge, so that no mass need be placed anywhere.
    little = '<inertial pos="0 0 0" mass="1e-3" diaginertia="1e-3 1e-3 1e-3"/>'
    return f'<body name="{name}" pos="{_number(*place)}">{little}{hinge}{inside}</body>'


def _sliding(name: str, place: Place, mass: float, inside: str, axis: str, extra: str = "") -> str:
    """Return a body on a slide of its own along an axis."""
    slide = (
        f'<joint name="{name}" type="slide" axis="{axis}" '
        f'damping="{_number(DAMPING * mass)}" {extra}/>'
    )
    mass_here = f'<inertial pos="0 0 0" mass="{_number(mass)}" diaginertia="1 1 1"/>'
    return f'<body name="{name}" pos="{_number(*place)}">{mass_here}{slide}{inside}</body>'


def _ratio(name: str, stiffness: float, dead: tuple[float, float], **terms: float) -> str:
    """Return a spring on a sum of joint travels, without force while the sum lies inside `dead`."""
    sums = "".join(f'<joint joint="{key}" coef="{_number(of)}"/>' for key, of in terms.items())
    law = f'stiffness="{_number(stiffness)}" springlength="{_number(*dead)}"'
    return f'<fixed name="{name}" {law}>{sums}</fixed>'


@dataclass(frozen=True)
class _WireEnd:
    """One end of the wire: what turns, what stands still beside it, and the wire's way."""

    turning: str
    fixed: str
    stop: tuple[float, float, float]
    from_pin: tuple[str, ...]


def _wire_end(name: str, end: PinTriangle | Drum, winding_on: bool) -> _WireEnd:
    """Return the wire's end at lever or arm, about the pivot at the origin.

    Both start from the same picture: turned anticlockwise, the wire grows longer. The lever turns
    that way; the arm turns the other.
    """
    if isinstance(end, PinTriangle):
        pin, far = end.pin_radius_mm, end.stop_distance_mm
        in_plane = end.rest_length_mm**2 - end.axial_offset_mm**2
        angle = math.acos((pin**2 + far**2 - in_plane) / (2 * pin * far))
        stop = (far, 0.0, end.axial_offset_mm)
        around, drum = "", ""
    else:
        # The wire comes in along the bottom of the drum and winds round it anticlockwise, up to
        # a pin that stands just proud of it.
        radius = end.radius_mm
        pin, angle = 1.01 * radius, math.radians(-50 if winding_on else 60)
        stop = (-4 * radius, -radius, 0.0)
        around = f'<geom geom="{name}_drum" sidesite="{name}_side"/>'
        side = _number(3 * radius, -3 * radius, 0)
        drum = (
            f'<geom name="{name}_drum" type="cylinder" size="{_number(radius, 1)}" contype="0" '
            f'conaffinity="0"/><site name="{name}_side" pos="{side}"/>'
        )
    place = _number(pin * math.cos(angle), pin * math.sin(angle), 0)
    turning = f'<site name="{name}_pin" pos="{place}"/>'
    fixed = drum + f'<site name="{name}_stop" pos="{_number(*stop)}"/>'
    way = (f'<site site="{name}_pin"/>', around, f'<site site="{name}_stop"/>')
    return _WireEnd(turning, fixed, stop, way)


@dataclass(frozen=True)
class _UnitParts:
    """What a release unit is made of: parts on the turning body, parts beside it, what joins them.

    `rod_terms` are the joints whose sum is the rod's travel.
    """

    rod_terms: dict[str, float]
    turning: str = ""
    beside: str = ""
    joined: str = ""


def _unit_parts(unit: ReleaseUnit, inertia: float) -> _UnitParts:
    """Return a release unit about its axis; the rod travels along x."""
    if isinstance(unit, LinearUnit):
        return _UnitParts({"unit": unit.lead_mm_per_rad})
    terms, angle = {"rod_end": 1.0}, unit.rest_angle_rad
    if isinstance(unit, Eccentric):
        radius, wide = unit.cam_radius_mm, 10 * (unit.eccentricity_mm + unit.cam_radius_mm)
        x, y = unit.eccentricity_mm * math.sin(angle), unit.eccentricity_mm * math.cos(angle)
        shown = 'contype="0" conaffinity="0"'
        disc = f'type="sphere" size="{_number(radius)}" pos="{_number(x, y, 0)}" {shown}'
        flat = f'type="box" size="{_number(wide, wide, wide)}" pos="{_number(wide, 0, 0)}" {shown}'
        face = f'<geom name="flat" {flat}/>'
        follower = _sliding("rod_end", (x + radius, 0, 0), inertia, face, "1 0 0")
        touch = '<contact><pair name="touch" geom1="disc" geom2="flat" condim="1"/></contact>'
        return _UnitParts(terms, f'<geom name="disc" {disc}/>', follower, touch)
    x, y = unit.crank_radius_mm * math.sin(angle), unit.crank_radius_mm * math.cos(angle)
    pinned = '<equality><connect site1="crank_end" site2="rod_pin"/></equality>'
    rod_pin = '<site name="rod_pin"/>'
    if isinstance(unit, SlotCrank):
        pin = f'<site name="crank_end" pos="{_number(x, y, 0)}"/>'
        block = _sliding("block", (0, 0, 0), inertia, rod_pin, "0 1 0")
        return _UnitParts(
            terms, pin, _sliding("rod_end", (x, y, 0), inertia, block, "1 0 0"), pinned
        )
    across = y - unit.offset_mm
    along = math.sqrt(unit.link_length_mm**2 - across**2)
    far_end = f'<site name="crank_end" pos="{_number(-along, -across, 0)}"/>'
    link = _hinged("link", (x, y, 0), inertia * unit.crank_radius_mm**2, far_end, -1)
    rod_end = _sliding("rod_end", (x - along, unit.offset_mm, 0), inertia, rod_pin, "1 0 0")
    return _UnitParts(terms, link, rod_end, pinned)


def _reach_mm(part: object) -> float:
    """Return a length no moment arm of a lever, arm or crank much exceeds."""
    lengths = {
        PinTriangle: lambda: min(part.pin_radius_mm, part.stop_distance_mm),
        Drum: lambda: part.radius_mm,
        LinearUnit: lambda: part.lead_mm_per_rad,
        LinkCrank: lambda: 1.5 * part.crank_radius_mm,
        SlotCrank: lambda: part.crank_radius_mm,
        Eccentric: lambda: part.eccentricity_mm,
    }
    return lengths[type(part)]()


def cushion_rate_n_per_mm(m: Mechanism) -> float:
    """Return the cushion's rate [N/mm], 0 for rigid faces."""
    return m.cushion_load_n / m.cushion_travel_mm if m.cushion_travel_mm > 0 else 0.0


def _inertias(m: Mechanism) -> dict[str, float]:
    """Return an inertia for each joint, about equal to its stiffness.

    Every motion then takes a few steps, whatever its scale; at rest no inertia matters.
    """
    lever = m.cable_stiffness_n_per_mm * _reach_mm(m.lever) ** 2
    arm = m.cable_stiffness_n_per_mm * _reach_mm(m.arm) ** 2 + m.arm_return_rate_nmm_per_rad
    unit = m.rod_stiffness_n_per_mm * _reach_mm(m.unit) ** 2
    bend = (m.blade_stiffness_n_per_mm or 0.0) * m.hand_radius_mm**2
    twist = m.shaft_stiffness_nmm_per_rad or 0.0
    plate = m.rod_stiffness_n_per_mm * m.finger_ratio**2 + abs(m.spring_rate_n_per_mm)
    return {
        "blade": lever + bend,
        "lever": lever + bend,
        "arm": arm + twist,
        "unit": unit + twist,
        "rod_end": m.rod_stiffness_n_per_mm,
        "plate": plate + cushion_rate_n_per_mm(m),
    }


def _bodies(m: Mechanism, lever: _WireEnd, arm: _WireEnd, parts: _UnitParts) -> str:
    inertia = _inertias(m)
    one_sided = f'range="0 {_number(FAR)}"'
    held_back = f'stiffness="{_number(m.arm_return_rate_nmm_per_rad)}" {one_sided}'
    bends = (m.spring_second_n_per_mm2, m.spring_third_n_per_mm3)
    rates = _number(m.spring_rate_n_per_mm, *(bends if any(bends) else ()))
    pressed = f'stiffness="{rates}" {"" if cushion_rate_n_per_mm(m) else one_sided}'
    # The casing is a short straight piece between the two stops.
    aside = (
        lever.stop[0] - arm.stop[0],
        lever.stop[1] - arm.stop[1] + 20,
        lever.stop[2] - arm.stop[2],
    )
    here = (0.0, 0.0, 0.0)
    return (
        f"<worldbody>{lever.fixed}"
        + _hinged("blade", here, inertia["blade"], "", 1)
        + _hinged("lever", here, inertia["lever"], lever.turning, 1)
        + f'<body pos="{_number(*aside)}">{arm.fixed}'
        + _hinged("arm", here, inertia["arm"], arm.turning, -1, held_back)
        + "</body>"
        + _hinged("unit", here, inertia["unit"], parts.turning, -1)
        + parts.beside
        + _sliding("plate", here, inertia["plate"], "", "1 0 0", pressed)
        + "</worldbody>"
    )


def _springs(m: Mechanism, lever: _WireEnd, arm: _WireEnd, parts: _UnitParts) -> str:
    at_lever, at_arm = "".join(lever.from_pin), "".join(reversed(arm.from_pin))
    elastic = f'stiffness="{_number(m.cable_stiffness_n_per_mm)}"'
    radius, cushion = m.hand_radius_mm, cushion_rate_n_per_mm(m)
    springs = [
        f'<spatial name="cable" {elastic}>{at_lever}{at_arm}</spatial>',
        # These two have no stiffness: they only measure.
        f'<spatial name="at_lever">{at_lever}</spatial>',
        f'<spatial name="at_arm">{at_arm}</spatial>',
        _ratio(
            "rod",
            m.rod_stiffness_n_per_mm,
            (-FAR, m.rod_float_mm),
            **parts.rod_terms,
            plate=-m.finger_ratio,
        ),
    ]
    if m.blade_stiffness_n_per_mm is not None:
        bend = m.blade_stiffness_n_per_mm
        springs.append(_ratio("bend", bend, (0, 0), blade=radius, lever=-radius))
    if m.shaft_stiffness_nmm_per_rad is not None:
        springs.append(_ratio("twist", m.shaft_stiffness_nmm_per_rad, (0, 0), arm=1, unit=-1))
    if cushion:
        # At rest the cushion bears the whole preload; from there on it can only push.
        springs.append(_ratio("cushion", cushion, (m.spring_preload_n / cushion, FAR), plate=1))
    return f"<tendon>{''.join(springs)}</tendon>"


def model_text(m: Mechanism, held: str) -> str:
    """Write the mechanism down for the engine; `held` names the joint that the hand commands."""
    lever, arm = _wire_end("lever", m.lever, True), _wire_end("arm", m.arm, False)
    parts = _unit_parts(m.unit, m.rod_stiffness_n_per_mm)
    rigid = f'<equality><joint name="hold" joint1="{held}"/>'
    if m.blade_stiffness_n_per_mm is None:
        rigid += '<joint joint1="blade" joint2="lever"/>'
    if m.shaft_stiffness_nmm_per_rad is None:
        rigid += '<joint joint1="unit" joint2="arm"/>'
    hard = 'solref="1 1" solimp="0.9999 0.9999 1"'
    hard_limit = 'solreflimit="1 1" solimplimit="0.9999 0.9999 1"'
    return (
        '<mujoco><compiler angle="radian" autolimits="true"/>'
        '<option timestep="0.5" gravity="0 0 0" integrator="implicit" solver="Newton" '
        'iterations="50" tolerance="0" jacobian="dense"/>'
        f"<default><joint {hard_limit}/><equality {hard}/><pair {hard}/></default>"
        + _bodies(m, lever, arm, parts)
        + _springs(m, lever, arm, parts)
        + rigid
        + f"</equality>{parts.joined}</mujoco>"
    )
