"""What follows from a file's numbers before anything moves: angles, sums, stiffnesses, loads."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from liftgeo.measured import Measured
from liftgeo.mechanism import Mechanism, convert
from liftgeo.mechanism.following import spring_line
from liftgeo.mechanism.key_facts import number
from liftgeo.mechanism.link_points import MOVED
from liftgeo.parts.cable import wire_area_mm2, wire_modulus_mpa
from liftgeo.parts.spring import ConedDisc
from liftgeo.parts.values import Values

STEP_N = 100.0


@dataclass(frozen=True)
class Derived:
    """A quantity that follows from those of one table.

    Attributes
    ----------
    table : str
        The table it is read back with.
    name : str
        What it is, in words.
    value : float
        In the bare unit of its dimension.
    dimension : str
        Key in `liftgeo.quantities.DIMENSIONS`.
    """

    table: str
    name: str
    value: float
    dimension: str


Line = tuple[str, Values, str]


def derived(mechanism: Mechanism) -> list[Derived]:
    """Return what follows from each table of a mechanism; what is not finite is left out.

    Of a table that is not there it follows from usual values, where it has them.
    """
    found = []
    there = {*mechanism.tables, *(item.key.split(".")[0] for item in mechanism.taken)}
    with np.errstate(all="ignore"):
        for table, lines in _LINES.items():
            if table in there:
                found += [Derived(table, n, float(v), d) for n, v, d in lines(mechanism)]
    return [line for line in found if np.isfinite(line.value)]


def _triangle(mechanism: Mechanism, table: str, pin: str) -> Iterator[Line]:
    """Yield the distances and angles of a lever's or arm's triangle that the file does not give."""
    keys = mechanism.keys
    if keys.get(f"{table}.kind") != "pin":
        return
    sides = mechanism.inward.sides(table)
    if f"{table}.points.pivot" in keys:
        yield f"pivot to {pin}", sides.pin, "length"
        yield "pivot to cable stop", sides.stop, "length"
    moved = any(np.any(np.asarray(keys.get(name, 0.0))) for name in MOVED[table])
    if moved:
        at = "pivot" if table == "lever" else "shaft"
        yield f"{at} to {pin}, as moved", sides.pin, "length"
        yield f"{at} to cable stop, as moved", sides.stop, "length"
    if moved or f"{table}.rest_length" not in keys:
        yield f"{pin} to cable stop, at rest", sides.rest, "length"
    if moved or f"{table}.cable_angle" not in keys:
        yield f"cable angle at {pin}, at rest", sides.cable_angle_deg, "angle"


def _lever(mechanism: Mechanism) -> Iterator[Line]:
    lever, keys = mechanism.parts().lever, mechanism.keys
    yield from _triangle(mechanism, "lever", "nipple")
    if "lever.hand_radius" not in keys or lever.hand_radius_mm != keys["lever.hand_radius"]:
        yield "pivot to hand", lever.hand_radius_mm, "length"
    grip = lever.hand_travel_mm / lever.hand_radius_mm
    if "lever.hand_travel" not in keys:
        yield "hand travel to the grip", lever.hand_travel_mm, "length"
    else:
        yield "lever angle at the grip", np.degrees(grip), "angle"
    yield "cable pull at the grip", lever.link.at(grip).pull_mm, "length"
    for where, angle in (("at rest", 0.0), ("at the grip", grip)):
        arm = lever.link.at(angle).moment_arm_mm
        yield f"hand over cable travel, {where}", lever.hand_radius_mm / arm, "ratio"


def _cable(mechanism: Mechanism) -> Iterator[Line]:
    cable, keys = mechanism.parts().cable, mechanism.keys
    yield "slack in all, at the lever", cable.slack_mm, "length"
    if "cable.wire.diameter" in keys and "cable.wire.area" not in keys:
        construction = str(keys["cable.wire.construction"])
        area = wire_area_mm2(construction, keys["cable.wire.diameter"])
        yield "metal area of the wire", area, "area"
        if "cable.wire.material" in keys:
            material = str(keys["cable.wire.material"])
            modulus = wire_modulus_mpa(construction, material)
            yield "its modulus on that area", modulus, "pressure"
    if "cable.stiffness" not in keys:
        yield "stiffness in all", 1 / np.float64(cable.compliance_mm_per_n), "rate"
    yield f"stretch under {STEP_N:.0f} N", STEP_N * cable.compliance_mm_per_n, "length"
    yield "pull at lever over pull at arm", cable.gain(1), "ratio"


def _arm(mechanism: Mechanism) -> Iterator[Line]:
    link = mechanism.parts().arm.link
    yield from _triangle(mechanism, "arm", "cable end")
    yield "moment arm of the cable, at rest", link.at(0.0).moment_arm_mm, "length"
    if link.dead_centre:
        yield "rotation to dead centre", np.degrees(link.last_rotation_rad), "angle"


def _release(mechanism: Mechanism) -> Iterator[Line]:
    unit = mechanism.parts().release
    if {"release.rise", "release.lead"} <= mechanism.keys.keys():
        yield "lead, of a whole turn", mechanism.keys["release.lead"], "length"
    yield "rod travel in the first 10 deg", unit.at(np.radians(10.0)).travel_mm, "length"
    if unit.dead_centre:
        yield "rotation to dead centre", np.degrees(unit.last_rotation_rad), "angle"


def _rod(mechanism: Mechanism) -> Iterator[Line]:
    rod = mechanism.parts().rod
    yield "float in all", rod.float_mm, "length"
    yield "stiffness in all, at the rod", 1 / np.float64(rod.compliance_mm_per_n), "rate"


def _spring(mechanism: Mechanism) -> Iterator[Line]:
    parts, keys = mechanism.parts(), mechanism.keys
    spring, at = parts.spring, parts.installed_deflection_mm
    line = spring_line(keys)
    if line is not None:
        yield "rate of each, by its readings", line.rate_n_per_mm, "rate"
        yield "free length, by that line", line.free_length_mm, "length"
        yield "greatest misfit of a reading", np.max(np.abs(line.misfits_n)), "force"
        taken = 2 * line.standard_misfit_n
        wide = [x.half_width for x in keys["spring.loads"] if isinstance(x, Measured)]
        if taken > 0 and np.any(np.isclose(wide, taken)):
            yield "± of a load, by their scatter", taken, "force"
    if "spring.free_length" not in keys:
        yield "free height", spring.free_height_mm, "length"
    if "stack.rim_depth" in keys:
        yield "height the stack leaves for it", convert.spring_gap_mm(keys), "length"
    if "spring.installed_deflection" not in keys:
        yield "pressed at rest", at, "length"
    yield "load at rest", spring.load_n(at), "force"
    yield "rate at rest", spring.rate_n_per_mm(at), "rate"
    yield "room to its end", spring.known_end_mm - at, "length"
    if isinstance(spring, ConedDisc):
        yield "cone height over thickness", spring.cone_height_mm / spring.thickness_mm, "ratio"
        peak, valley = spring.turning_deflections_mm
        yield "pressed at its peak load", peak, "length"
        yield "pressed at its valley", valley, "length"


def _faces(mechanism: Mechanism) -> Iterator[Line]:
    parts = mechanism.parts()
    faces = parts.faces
    yield "separation needed to run clear", faces.needed_mm, "length"
    yield "separation wanted", faces.target_separation_mm, "length"
    if "spring" not in mechanism.tables:
        return
    yield "cushion closed at rest", parts.cushion_mm, "length"
    yield (
        "torque held, run in",
        faces.torque_nmm(parts.clamp_force_n) / convert.NMM_PER_NM,
        "torque",
    )
    yield "facing pressure", faces.mean_pressure_mpa(parts.clamp_force_n), "pressure"


def _engine(mechanism: Mechanism) -> Iterator[Line]:
    keys, parts = mechanism.keys, mechanism.parts()
    if "engine.power" in keys:
        yield "torque at that power and speed", keys["engine.torque"], "torque"
    asked = keys["engine.torque"] * number(keys, "engine.primary_ratio", 1.0)
    asked = asked * number(keys, "engine.peak_factor", 1.0)
    yield "torque at the clutch", asked, "torque"
    if not {"spring", "faces"} <= mechanism.tables.keys():
        return
    held = parts.faces.torque_nmm(parts.clamp_force_n) / convert.NMM_PER_NM
    yield "slip margin", held / asked, "ratio"


_LINES: dict[str, Callable[[Mechanism], Iterator[Line]]] = {
    "lever": _lever,
    "cable": _cable,
    "arm": _arm,
    "release": _release,
    "rod": _rod,
    "spring": _spring,
    "faces": _faces,
    "engine": _engine,
}
