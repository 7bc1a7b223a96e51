"""Which keys a geometry file needs, and which it must not give twice, as data."""

from __future__ import annotations

from dataclasses import dataclass

from liftgeo.errors import Fault
from liftgeo.mechanism.key_facts import Keys, describe
from liftgeo.mechanism.laying import given_twice, kind_of, names_in


@dataclass(frozen=True, eq=False, repr=False)
class Need:
    """A key that a kind of table needs, and the keys that make it unnecessary."""

    key: str
    kind: str = ""
    unless: tuple[str, ...] = ()


NEEDS: tuple[Need, ...] = (
    Need("lever.nipple_radius", "pin", ("lever.points",)),
    Need("lever.stop_distance", "pin", ("lever.points",)),
    Need("lever.rest_length", "pin", ("lever.points", "lever.cable_angle")),
    Need("lever.hand_radius", "pin", ("lever.points",)),
    Need("lever.drum_radius", "drum"),
    Need("lever.hand_radius", "drum"),
    Need("lever.angle", "profile"),
    Need("lever.pull", "profile"),
    Need("lever.hand_radius", "profile"),
    Need("lever.hand_travel", "", ("lever.travel",)),
    Need("arm.radius", "pin", ("arm.points",)),
    Need("arm.stop_distance", "pin", ("arm.points",)),
    Need("arm.rest_length", "pin", ("arm.points", "arm.cable_angle")),
    Need("arm.drum_radius", "drum"),
    Need("arm.angle", "profile"),
    Need("arm.pull", "profile"),
    Need("release.pitch_radius", "ball-ramp"),
    Need("release.ramp_angle", "ball-ramp"),
    Need("release.lead", "quick-thread"),
    Need("release.mean_diameter", "quick-thread"),
    Need("release.pinion_radius", "rack"),
    Need("release.crank_radius", "crank"),
    Need("release.rest_angle", "crank"),
    Need("release.eccentricity", "eccentric"),
    Need("release.rest_angle", "eccentric"),
    Need("release.angle", "profile"),
    Need("release.travel", "profile"),
    Need("rod.action"),
    Need("spring.outside_diameter", "coned-disc"),
    Need("spring.inside_diameter", "coned-disc"),
    Need("spring.thickness", "coned-disc"),
    Need("spring.cone_height", "coned-disc"),
    Need("spring.count", "coils"),
    Need("spring.rate", "coils"),
    Need("spring.free_length", "coils"),
    Need("spring.deflection", "table"),
    Need("spring.load", "table"),
    Need("faces.friction_plates"),
    Need("faces.outside_diameter"),
    Need("faces.inside_diameter"),
    Need("faces.friction"),
    Need("bearing.contact_angle", "angular-contact"),
)

# Needed once a key of the first name is given.
NEEDS_WITH: tuple[tuple[str, Need], ...] = (
    ("lever.points", Need("lever.points.pivot")),
    ("lever.points", Need("lever.points.pin")),
    ("lever.points", Need("lever.points.stop")),
    ("lever.points", Need("lever.points.hand")),
    ("arm.points", Need("arm.points.pivot")),
    ("arm.points", Need("arm.points.pin")),
    ("arm.points", Need("arm.points.stop")),
    ("cable.wire", Need("cable.wire.length")),
    ("cable.wire", Need("cable.wire.diameter", "", ("cable.wire.area",))),
    (
        "cable.wire",
        Need("cable.wire.construction", "", ("cable.wire.area",)),
    ),
    ("cable.wire", Need("cable.wire.material", "", ("cable.wire.modulus",))),
    ("cable.housing", Need("cable.housing.stiffness")),
    ("rod.length", Need("rod.diameter")),
    ("rod.diameter", Need("rod.length")),
    ("release.collar_friction", Need("release.collar_diameter")),
    ("engine", Need("engine.torque")),
    ("release.ball_diameter", Need("release.ball_count")),
    ("release.ball_count", Need("release.ball_diameter")),
    ("release.groove_radius", Need("release.ball_diameter")),
    ("faces.rim_angles", Need("faces.rim_heights")),
    ("faces.rim_diameter", Need("faces.rim_heights")),
    ("warm", Need("warm.temperature_rise")),
    ("warm", Need("warm.casing_length")),
)


def ever_needed(dotted: str) -> bool:
    """Return whether some file cannot do without a key, or without what may stand for it."""
    known = (*NEEDS, *(need for _, need in NEEDS_WITH))
    fitted = dotted.startswith(("stack.", "spring.installed"))
    return fitted or any(dotted in (need.key, *need.unless) for need in known)


def missing(keys: Keys, tables: frozenset[str]) -> list[Fault]:
    """Return a fault for every key that is needed and not given.

    Parameters
    ----------
    keys : mapping
        Flat keys as given.
    tables : set of str
        Tables to look at: present, and of a known kind.
    """
    found, names = [], names_in(keys)
    wanted = [need for need in NEEDS if need.key.split(".")[0] in tables]
    wanted += [
        need
        for given, need in NEEDS_WITH
        if given in tables or (given.split(".")[0] in tables and given in names)
    ]
    wanted += _installed(keys, tables)
    for need in wanted:
        kind = kind_of(keys, need.key.split(".")[0])
        if need.kind and need.kind != kind:
            continue
        if need.key in keys or not names.isdisjoint(need.unless):
            continue
        if need.key.startswith("release.collar") and not keys.get("release.collar_friction"):
            continue
        what, how = describe(need.key, kind)
        also = [u for u in need.unless if not u.endswith("points")]
        remedy = how or "Add it to the file."
        if also:
            remedy += f" Or give {' or '.join(also)}."
        problem = f"Needed, and not given: {what}."
        found.append(Fault(need.key, "", problem, remedy, "not given"))
    return found


def _installed(keys: Keys, tables: frozenset[str]) -> list[Need]:
    """Return how the spring's fitted height is to be given, where it is not."""
    if not {"spring", "faces"} <= tables:
        return []
    stack = [k for k in keys if k.startswith("stack.") and k != "stack.plain_plates"]
    if stack:
        needs = [
            Need("stack.rim_depth"),
            Need("stack.friction_plate", "", ("stack.friction_plate_free",)),
            Need("stack.pressure_plate"),
        ]
        if kind_of(keys, "spring") == "table":
            needs.append(Need("spring.free_height"))
        return needs
    kind = kind_of(keys, "spring")
    name = "installed_length" if kind == "coils" else "installed_deflection"
    return [Need(f"spring.{name}", "", ("stack.rim_depth",))]


def twice(keys: Keys) -> list[Fault]:
    """Return a fault for every pair of keys that say the same thing twice."""
    return [
        Fault(
            extra,
            "",
            f"Says the same as {kept}; the two could disagree.",
            "Keep one of them.",
        )
        for kept, extra in given_twice(keys)
    ]
