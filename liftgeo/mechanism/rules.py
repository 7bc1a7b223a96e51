"""Rules between keys, as data: what is needed, what must hold, and how to say that it does not.

The same rules write a fault for one mechanism and fill the reason codes of a batch.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.errors import Fault, Reason
from liftgeo.mechanism import convert
from liftgeo.mechanism.fields import Number, plain_digits
from liftgeo.mechanism.laying import given_twice, kind_of, names_in
from liftgeo.mechanism.tables import TABLES
from liftgeo.parts.values import Values
from liftgeo.quantities import shown

Keys = Mapping[str, Any]


@dataclass(frozen=True)
class Need:
    """A key that a kind of table needs, and the keys that make it unnecessary."""

    key: str
    kind: str = ""
    unless: tuple[str, ...] = ()


_POINTS = ("lever.points",)

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
)


def _field_info(dotted: str, kind: str) -> Any:
    table, *rest = dotted.split(".")
    model: Any = TABLES[table].get(kind) or next(iter(TABLES[table].values()))
    for name in rest[:-1]:
        annotation = model.model_fields[name].annotation
        model = next(a for a in annotation.__args__ if a is not type(None))
    return model.model_fields.get(rest[-1])


def describe(dotted: str, kind: str = "") -> tuple[str, str]:
    """Return what a key means and how it is measured."""
    info = _field_info(dotted, kind)
    if info is None:
        return "", ""
    extra = info.json_schema_extra
    how = extra.get("measure", "") if isinstance(extra, dict) else ""
    return str(info.description or ""), str(how)


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
        need for given, need in NEEDS_WITH if given.split(".")[0] in tables and given in names
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
        remedy = f"Measure with: {how}." if how else "Add it to the file."
        if also:
            remedy += f" Or give {' or '.join(also)}."
        found.append(Fault(need.key, "", f"Needed, and not given: {what}.", remedy))
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
    return [Need(f"spring.{name}", "", ("stack",))]


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


Text = Callable[[Keys], tuple[str, str]]


@dataclass(frozen=True)
class Rule:
    """Something that must hold between keys.

    Attributes
    ----------
    reason : Reason
        Code for a batch.
    needs : tuple of str
        The rule is asked only where every one of these keys (or tables) is given.
    holds : callable
        Takes the flat keys (numbers or arrays), returns true where the rule holds.
    key : callable
        Returns the dotted key to put the fault at.
    text : callable
        Returns what is wrong and what would be right, for one mechanism.
    kind : tuple of (table, kind)
        The rule is asked only of this kind of table.
    """

    reason: Reason
    needs: tuple[str, ...]
    holds: Callable[[Keys], Values]
    key: Callable[[Keys], str]
    text: Text
    kind: tuple[str, str] | None = None


def length(value: Any) -> str:
    """Return a length as typed, with its unit."""
    return shown(float(value), "length", digits=min(plain_digits(float(value)), 3))


def _side_key(table: str) -> Callable[[Keys], str]:
    def key(keys: Keys) -> str:
        for name in ("rest_length", "cable_angle"):
            if f"{table}.{name}" in keys:
                return f"{table}.{name}"
        return f"{table}.points"

    return key


_WORDS = {
    "lever": ("nipple", "cable stop", "nipple centre to cable stop with the lever at rest"),
    "arm": ("cable end", "cable stop", "cable end to stop with the arm at rest"),
}


def _closes(table: str) -> Callable[[Keys], Values]:
    def holds(keys: Keys) -> Values:
        s = convert.sides(keys, table)
        flat = s.flat_rest
        return (flat >= np.abs(s.pin - s.stop)) & (flat <= s.pin + s.stop)

    return holds


def _off_dead_centre(table: str) -> Callable[[Keys], Values]:
    def holds(keys: Keys) -> Values:
        s = convert.sides(keys, table)
        longest, shortest = s.pin + s.stop, np.abs(s.pin - s.stop)
        room = 1e-9 * longest
        return (s.flat_rest < longest - room) & (s.flat_rest > shortest + room)

    return holds


def _triangle_text(table: str) -> Text:
    pin, stop, how = _WORDS[table]

    def text(keys: Keys) -> tuple[str, str]:
        s = convert.sides(keys, table)
        shortest = np.hypot(np.abs(s.pin - s.stop), s.offset)
        longest = np.hypot(s.pin + s.stop, s.offset)
        return (
            f"A {pin} {length(s.pin)} from the pivot and a {stop} {length(s.stop)} from it "
            f"cannot be {length(s.rest)} apart.",
            f"Possible: {length(shortest)} to {length(longest)}. Measure {how}.",
        )

    return text


def _dead_centre_text(table: str) -> Text:
    pin, stop, how = _WORDS[table]

    def text(keys: Keys) -> tuple[str, str]:
        return (
            f"At rest the {table} stands at dead centre: pivot, {pin} and {stop} lie in one line, "
            "so the cable has no moment arm.",
            f"Turn the {table} off dead centre, or check {how}.",
        )

    return text


def _angle_fits(table: str) -> Callable[[Keys], Values]:
    pin = "lever.nipple_radius" if table == "lever" else "arm.radius"

    def holds(keys: Keys) -> Values:
        if f"{table}.cable_angle" not in keys:
            return np.asarray(True)
        offset = convert.number(keys, f"{table}.axial_offset")
        return np.hypot(keys[f"{table}.stop_distance"], offset) > keys[pin]

    return holds


def _angle_text(table: str) -> Text:
    pin = "lever.nipple_radius" if table == "lever" else "arm.radius"

    def text(keys: Keys) -> tuple[str, str]:
        r, d = keys[pin], keys[f"{table}.stop_distance"]
        delta = np.radians(keys[f"{table}.cable_angle"])
        inside = d**2 - (r * np.sin(delta)) ** 2
        if inside < 0 or r * np.cos(delta) <= 0:
            fits = "No layout fits"
        else:
            roots = r * np.cos(delta) + np.array([-1, 1]) * np.sqrt(inside)
            fits = " and ".join(length(v) for v in roots if v > 0) + " would both fit"
        return (
            f"With the stop {length(d)} from the pivot and the cable end {length(r)} from it, the "
            f"cable angle does not settle the layout. {fits}.",
            f"Give {table}.rest_length instead.",
        )

    return text


def _rises(*names: str) -> Callable[[Keys], Values]:
    def holds(keys: Keys) -> Values:
        columns = [np.asarray(keys[name], float) for name in names]
        same = all(len(c) == len(columns[0]) >= 2 for c in columns)
        return np.asarray(same and all(np.all(np.diff(c) > 0) for c in columns))

    return holds


def _rises_text(first: str, second: str) -> Text:
    def text(keys: Keys) -> tuple[str, str]:
        a, b = len(keys[first]), len(keys[second])
        if a != b:
            return (
                f"{first} has {a} readings and {second} has {b}.",
                "Give one reading of each, side by side.",
            )
        for name in (first, second):
            column = np.asarray(keys[name], float)
            bad = np.flatnonzero(np.diff(column) <= 0)
            if len(bad):
                k = int(bad[0])
                return (
                    f"{name} does not rise: {column[k + 1]:g} follows {column[k]:g} "
                    f"(readings {k + 1} and {k + 2}).",
                    "Sort the readings, and take out doubles; both columns must rise.",
                )
        return (f"{first} needs two readings at least.", "Add readings.")

    return text


def _falling_column(first: str, second: str) -> Callable[[Keys], str]:
    def key(keys: Keys) -> str:
        column = np.asarray(keys[first], float)
        return second if np.all(np.diff(column) > 0) else first

    return key


def _fixed(key: str) -> Callable[[Keys], str]:
    return lambda keys: key


def _profile(table: str, across: str, up: str) -> Rule:
    first, second = f"{table}.{across}", f"{table}.{up}"
    reason = Reason.RELEASE_SHAPE if table == "release" else Reason.LEVER_TRIANGLE
    return Rule(
        reason,
        (first, second),
        _rises(first, second),
        _falling_column(first, second),
        _rises_text(first, second),
        (table, "profile"),
    )


def _smaller(inside: str, outside: str, reason: Reason) -> Rule:
    return Rule(
        reason,
        (inside, outside),
        lambda keys: keys[inside] < keys[outside],
        _fixed(inside),
        lambda keys: (
            f"{length(keys[inside])} inside does not fit within {length(keys[outside])} outside.",
            f"It must be below {outside}.",
        ),
    )


def _turns(keys: Keys) -> Values:
    """Return whether the unit moves the rod the right way at rest."""
    unit = convert.release_unit(keys)
    return (unit.slope_mm_per_rad(0.0) > 0) & (unit.last_rotation_rad > 1e-9)


def _spring_deflection(keys: Keys) -> Values:
    return convert.installed_deflection_mm(keys, convert.spring(keys))


def _spring_key(keys: Keys) -> str:
    for name in ("spring.installed_deflection", "spring.installed_length"):
        if name in keys:
            return name
    return "stack.rim_depth"


def _not_past_end(keys: Keys) -> Values:
    fitted = convert.spring(keys)
    return _spring_deflection(keys) < fitted.last_deflection_mm


def _past_end_text(keys: Keys) -> tuple[str, str]:
    fitted, deflection = convert.spring(keys), float(_spring_deflection(keys))
    last = float(fitted.last_deflection_mm)
    end = {"spring-flat": "flat", "spring-solid": "solid"}.get(fitted.end_name, "past its readings")
    remedy = "Measure again; a disc that sits on raised rings takes past_flat = true."
    if end == "past its readings":
        remedy = "Add readings up to beyond full lever."
    elif end == "solid":
        remedy = "Measure free and fitted length again."
    problem = f"At rest the spring is pressed {length(deflection)}; it is {end} at {length(last)}."
    if _spring_key(keys) == "stack.rim_depth":
        gap = float(convert.spring_gap_mm(keys))
        problem += f" The stack leaves {length(gap)} for it."
        remedy += " Check rim depth, friction plate and pressure plate."
    return problem, remedy


def _loose_text(keys: Keys) -> tuple[str, str]:
    deflection = float(_spring_deflection(keys))
    free = float(convert.spring(keys).free_height_mm)
    problem = f"The spring is not pressed at rest ({length(deflection)}): it clamps nothing."
    if _spring_key(keys) == "stack.rim_depth":
        gap = float(convert.spring_gap_mm(keys))
        problem += f" It is {length(free)} high and the stack leaves {length(gap)}."
    elif _spring_key(keys) == "spring.installed_length":
        problem += f" Its free length is {length(free)}."
    return problem, "Fitted, it must be shorter than free. Measure both again."


def _crank_link(keys: Keys) -> Values:
    reach = keys["release.crank_radius"] + np.abs(convert.number(keys, "release.offset"))
    return keys["release.link_length"] > reach


def _shift_known(keys: Keys) -> Values:
    moved = (convert.number(keys, "lever.pivot_shift_x") != 0) | (
        convert.number(keys, "lever.pivot_shift_y") != 0
    )
    known = "lever.hand_angle" in keys or "lever.points.pivot" in keys
    return np.logical_or(~np.asarray(moved), known)


def _steep(keys: Keys) -> Values:
    unit = convert.release_unit(keys)
    angle = np.degrees(unit.mean_angle_rad)  # type: ignore[attr-defined]
    return angle + convert.number(keys, "release.friction_angle") < 90


def _thread_turns(keys: Keys) -> Values:
    rub = convert.number(keys, "release.friction")
    rub = rub / np.cos(np.radians(convert.number(keys, "release.flank_angle")))
    return np.pi * keys["release.mean_diameter"] > rub * keys["release.lead"]


def _triangle_rules(table: str) -> tuple[Rule, ...]:
    closes, dead = (
        (Reason.LEVER_TRIANGLE, Reason.LEVER_DEAD_CENTRE)
        if table == "lever"
        else (Reason.ARM_TRIANGLE, Reason.ARM_DEAD_CENTRE)
    )
    pin = (table, "pin")
    key = _side_key(table)
    return (
        Rule(closes, (table,), _angle_fits(table), key, _angle_text(table), pin),
        Rule(closes, (table,), _closes(table), key, _triangle_text(table), pin),
        Rule(dead, (table,), _off_dead_centre(table), key, _dead_centre_text(table), pin),
    )


RULES: tuple[Rule, ...] = (
    Rule(
        Reason.LEVER_TRIANGLE,
        ("lever",),
        _shift_known,
        _fixed("lever.hand_angle"),
        lambda keys: (
            "A moved pivot changes the hand radius, and the hand's place is not known.",
            "Give lever.hand_angle (at the pivot, from nipple to hand), or lever.points.",
        ),
        ("lever", "pin"),
    ),
    *_triangle_rules("lever"),
    *_triangle_rules("arm"),
    _profile("lever", "angle", "pull"),
    _profile("arm", "angle", "pull"),
    _profile("release", "angle", "travel"),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release",),
        _steep,
        _fixed("release.ramp_angle"),
        lambda keys: (
            "Ramp and friction angle together reach 90 deg: the balls would jam.",
            "Measure the ramp angle from the plane of the plate.",
        ),
        ("release", "ball-ramp"),
    ),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release",),
        _thread_turns,
        _fixed("release.friction"),
        lambda keys: (
            "With this friction the thread cannot be turned under load.",
            "A greased thread has 0.05 to 0.2 (common practice).",
        ),
        ("release", "quick-thread"),
    ),
    Rule(
        Reason.RELEASE_SHAPE,
        ("release", "release.link_length"),
        _crank_link,
        _fixed("release.link_length"),
        lambda keys: (
            f"A link of {length(keys['release.link_length'])} is too short for the crank to turn.",
            "It must be longer than crank radius and offset together.",
        ),
        ("release", "crank"),
    ),
    *(
        Rule(
            Reason.RELEASE_DEAD_CENTRE,
            ("release",),
            _turns,
            _fixed("release.rest_angle"),
            lambda keys: (
                "At rest the unit stands at or past dead centre: turning it no longer moves the "
                "rod the releasing way.",
                "Count the angle from square to the rod; it must be between -90 and 90 deg.",
            ),
            ("release", kind),
        )
        for kind in ("crank", "eccentric")
    ),
    _smaller("spring.inside_diameter", "spring.outside_diameter", Reason.SPRING_SHAPE),
    _smaller("spring.solid_length", "spring.free_length", Reason.SPRING_SHAPE),
    _smaller("faces.inside_diameter", "faces.outside_diameter", Reason.FACES_SHAPE),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.force_diameter", "spring.support_diameter"),
        lambda keys: keys["spring.force_diameter"] != keys["spring.support_diameter"],
        _fixed("spring.force_diameter"),
        lambda keys: (
            "Force and support on one circle do not bend the disc.",
            "Give the two circles the disc is pressed between.",
        ),
    ),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.deflection", "spring.load"),
        _rises("spring.deflection"),
        _fixed("spring.deflection"),
        _rises_text("spring.deflection", "spring.deflection"),
        ("spring", "table"),
    ),
    Rule(
        Reason.SPRING_SHAPE,
        ("spring.deflection", "spring.load"),
        lambda keys: np.asarray(len(keys["spring.deflection"]) == len(keys["spring.load"])),
        _fixed("spring.load"),
        _rises_text("spring.deflection", "spring.load"),
        ("spring", "table"),
    ),
    Rule(
        Reason.SPRING_LOOSE,
        ("spring",),
        lambda keys: _spring_deflection(keys) > 0,
        _spring_key,
        _loose_text,
    ),
    Rule(Reason.SPRING_PAST_END, ("spring",), _not_past_end, _spring_key, _past_end_text),
    Rule(
        Reason.SPRING_NO_LOAD,
        ("spring",),
        lambda keys: convert.spring(keys).load_n(_spring_deflection(keys)) > 0,
        _spring_key,
        lambda keys: (
            "At this deflection the spring presses with no load, or pulls.",
            "Check the readings, or how far it is pressed.",
        ),
    ),
    Rule(
        Reason.FACES_SHAPE,
        ("faces.wear_limit", "faces.facing_thickness"),
        lambda keys: keys["faces.wear_limit"] <= keys["faces.facing_thickness"],
        _fixed("faces.wear_limit"),
        lambda keys: (
            f"A facing {length(keys['faces.facing_thickness'])} thick cannot wear by "
            f"{length(keys['faces.wear_limit'])}.",
            "Give the wear at which it must be renewed, at most its thickness.",
        ),
    ),
)


def rules_for(keys: Keys) -> list[Rule]:
    """Return the rules that can be asked of these keys: kind and needs are there."""
    names = names_in(keys)
    return [
        rule
        for rule in RULES
        if (rule.kind is None or kind_of(keys, rule.kind[0]) == rule.kind[1])
        and names.issuperset(rule.needs)
    ]


def broken(keys: Keys) -> list[Fault]:
    """Return a fault for every rule that one mechanism breaks.

    A rule that needs a key which is missing, or has a fault of its own, is not asked.
    """
    faults: list[Fault] = []
    for rule in rules_for(keys):
        try:
            with np.errstate(all="ignore"):
                if bool(rule.holds(keys)):
                    continue
                key = rule.key(keys)
                if any(f.key == key for f in faults):
                    continue
                problem, remedy = rule.text(keys)
        except KeyError:
            continue
        faults.append(Fault(key, value_text(keys, key), problem, remedy))
    return faults


def value_text(keys: Keys, dotted: str) -> str:
    """Return a key's value with its unit, as a fault shows it."""
    value = keys.get(dotted)
    if value is None or isinstance(value, str | tuple | list | bool):
        return "" if value is None or isinstance(value, tuple | list) else str(value)
    dimension = dimension_of(dotted, kind_of(keys, dotted.split(".")[0]))
    return shown(float(value), dimension, digits=min(plain_digits(float(value)), 6))


def dimension_of(dotted: str, kind: str = "") -> str:
    """Return the dimension of a numeric key."""
    number = number_of(dotted, kind)
    return number.dimension if number is not None else "ratio"


def number_of(dotted: str, kind: str = "") -> Number | None:
    """Return what a numeric key takes, or None for words and lists."""
    info = _field_info(dotted, kind)
    return None if info is None else number_in(info)


def number_in(info: Any) -> Number | None:
    """Return what a pydantic field takes where it is a single number."""
    for item in info.metadata:
        if isinstance(item, Number):
            return item
    for argument in getattr(info.annotation, "__args__", ()):
        for item in getattr(argument, "__metadata__", ()):
            if isinstance(item, Number):
                return item
    return None


def reasons(keys: Keys, shape: tuple[int, ...]) -> Values:
    """Return the reason code of each mechanism of a batch: the first rule it breaks, or 0."""
    found = np.zeros(shape, np.int64)
    for rule in rules_for(keys):
        good = np.broadcast_to(rule.holds(keys), shape)
        found = np.where((found == 0) & ~good, int(rule.reason), found)
    return found
