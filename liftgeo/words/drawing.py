"""Words of a drawing: what views, points and dimensions are called, and what a drawing says."""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.measured import Measured, Ranged
from liftgeo.mechanism.key_facts import number_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.link_points import MOVED
from liftgeo.outline.gaps import ARM_TO_CASING
from liftgeo.quantities import converted, shown, unit_of
from liftgeo.words.foot import as_worked
from liftgeo.words.lines import one_line
from liftgeo.words.numbers import travel_text

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outline.shapes import View
    from liftgeo.studies.drawn import Drawn, DrawnPosition

VIEW_WORDS = {
    "lever": "Lever end",
    "arm": "Actuator end",
    "release": "Release unit",
    "spring": "Spring",
    "fingers": "One finger",
    "plates": "Plate pack",
}
UNIT_WORDS = {
    "ball-ramp": "one ball between its ramps, laid out along the ball circle",
    "quick-thread": "one flank of the thread, laid out at its mean diameter",
    "rack": "pinion and rack at their pitch lines",
    "crank": "crank and rod",
    "eccentric": "eccentric and flat follower",
    "profile": "the measured law, laid out as a cam; rings: readings",
}
SPRING_WORDS = {
    "coned-disc": "half a section to scale, the axis to the left",
    "coils": "one coil: length to scale, wire and width not",
    "table": "height to scale, form not known",
}
POINT_WORDS = {
    "lever": {"pivot": "pivot", "pin": "nipple", "stop": "cable stop", "hand": "hand"},
    "arm": {"pivot": "shaft", "pin": "cable end", "stop": "cable stop"},
}
"""Points that are named on a drawing."""
FAULT_MARK = "✗"
"""Stands behind a number on a drawing, and before a fault in words."""
PLACE_WORDS = {"rest": "rest", "faces-part": "faces part", "full-lever": "full lever"}
SHORT_PLACES = {"rest": "rest", "faces-part": "part", "full-lever": "full"}
"""Where a position stands, as short as the head of a column wants it."""
DIMENSIONS = {
    "lever": {
        "pin": (("nipple_radius", "pivot", "pin"), ("stop_distance", "pivot", "stop"),
            ("rest_length", "pin", "stop"), ("hand_radius", "pivot", "hand")),
        "drum": (("drum_radius", "pivot", "top"), ("hand_radius", "pivot", "hand")),
        "profile": (("hand_radius", "pivot", "hand"),),
    },
    "arm": {
        "pin": (("radius", "pivot", "pin"), ("stop_distance", "pivot", "stop"),
            ("rest_length", "pin", "stop")),
        "drum": (("drum_radius", "pivot", "top"),),
        "profile": (),
    },
}  # fmt: skip
"""Of each kind of lever and arm: the key that gives a distance, and the points it lies between."""


def points_apart(table: str, view: View) -> tuple[str, ...]:
    """Return the keys of those distances whose two points a view of lever or arm has."""
    every = (each for kind in DIMENSIONS[table].values() for each in kind)
    found = [key for key, first, last in every if first in view.points and last in view.points]
    return tuple(dict.fromkeys(found))


MOST_COLUMNS = 3
_MOST_READ = 6
_OTHER_WORDS = "by its law, laid out as a cam"


def view_title(name: str, mechanism: Mechanism) -> str:
    """Return what a view is called, in the words of a pedal where it is one."""
    title = as_worked(VIEW_WORDS[name].lower(), mechanism)
    return title[0].upper() + title[1:]


def view_note(view: View, mechanism: Mechanism, magnified: float) -> str:
    """Return what has to be known of a view to read it."""
    kind = str(mechanism.keys.get(f"{view.name}.kind", ""))
    if view.name == "release":
        return UNIT_WORDS.get(kind, _OTHER_WORDS)
    if view.name == "spring":
        return SPRING_WORDS[kind]
    if view.name == "fingers":
        return "ratio of its arms to scale, form not known"
    if view.name == "plates":
        gaps = f"; gaps drawn {magnified:g} times as wide" if magnified != 1.0 else ""
        return f"half section{gaps}"
    if view.how == "readings":
        return "pull was measured, not the form: cable at its moment arm"
    return ""


def place_text(place: DrawnPosition, units: str) -> str:
    """Return where a position stands: "faces part, hand 22.7 mm"."""
    travel = f"hand {travel_text(place.hand_travel_mm, units)}"
    word = PLACE_WORDS.get(place.name)
    return f"{word}, {travel}" if word else travel


def asked_place(place: DrawnPosition, units: str, *, unit: bool = True) -> str:
    """Return the head of a column for a place that was asked for: "at 25 mm", "at 0.98 in"."""
    digits = 1 if units == "metric" else 2
    number = f"{converted(float(place.hand_travel_mm), 'length', units) + 0.0:.{digits}f}"
    text = f"at {number.removesuffix('.0')}"
    return f"{text} {unit_of('length', units)}" if unit else text


def _short_place(place: DrawnPosition, units: str) -> str:
    return SHORT_PLACES.get(place.name) or asked_place(place, units, unit=False)


def as_measured(value: float, dimension: str, units: str, *, unit: bool = False) -> str:
    """Return a number as somebody measured it, with its ±: "27.0 ± 0.2"."""
    fewest, most = 0, 2
    if dimension == "length":
        fewest, most = (1, 2) if units == "metric" else (3, 4)

    def text(number: float) -> str:
        number = converted(float(number), dimension, units)
        fixed = f"{number:.{most}f}"
        while fixed.endswith("0") and len(fixed.partition(".")[2]) > fewest:
            fixed = fixed[:-1]
        return fixed.removesuffix(".")

    words = text(value)
    if isinstance(value, Ranged):
        words = f"{text(value.low)} to {text(value.high)}"
    elif isinstance(value, Measured):
        words = f"{text(value)} ± {text(value.half_width)}"
    name = unit_of(dimension, units)
    return f"{words} {name}" if unit and name else words


def distance_text(
    mechanism: Mechanism, key: str, distance_mm: float, units: str, stock: Mechanism | None = None
) -> str:
    """Return the number of a dimension line: as measured; in brackets where it only follows.

    With `stock`, the unchanged mechanism, both numbers where a change sets the key, or where it
    follows.
    """
    value = mechanism.keys.get(key)
    before = stock.keys.get(key) if stock is not None else None
    digits = 1 if units == "metric" else 3
    table, _, name = key.partition(".")
    if name == "rest_length":
        distance_mm = float(mechanism.inward.sides(table).rest)  # in space, where it is aslant
    follows = f"({converted(distance_mm, 'length', units):.{digits}f})"
    if value is None:
        if before is None or abs(distance_mm - float(before)) <= _ALIKE * distance_mm:
            return follows
        return f"{as_measured(float(before), 'length', units)} → {follows}"
    words = as_measured(value, "length", units)
    if _is_moved(mechanism, table) and abs(distance_mm - float(value)) > _ALIKE * distance_mm:
        hole = mechanism.keys.get(f"{table}.hole")
        if hole is None or name not in ("radius", "nipple_radius"):
            return f"{words} → {follows}"
        return f"{words} → {as_measured(hole, 'length', units)}"
    if before is not None and float(before) != float(value):
        return f"{as_measured(float(before), 'length', units)} → {words}"
    return words


def size_text(
    mechanism: Mechanism,
    key: str,
    size: float,
    dimension: str,
    units: str,
    stock: Mechanism | None = None,
) -> tuple[str, bool]:
    """Return the number of a size of unit or spring, and whether the file gives it.

    As measured; in brackets where it follows from others (no key); else what it is drawn as.

    Parameters
    ----------
    size : float
        As it is drawn [mm or deg].
    stock : Mechanism, optional
        The unchanged mechanism: both numbers where they differ.
    """
    sign = "°" if dimension == "angle" else ""
    fewest = 1 if dimension == "angle" or units == "metric" else 3

    def told(value: float) -> str:
        said = as_measured(value, dimension, units)
        return f"{said.replace(' ±', f'{sign} ±').replace(' to', f'{sign} to')}{sign}"

    drawn = f"{converted(size, dimension, units):.{fewest}f}{sign}"
    value = mechanism.keys.get(key)
    if not key:
        return f"({drawn})", True
    if value is None:
        return f"{drawn} assumed", False
    if not isinstance(value, float | int):  # one of several readings
        return told(size), True
    if abs(size - abs(float(value))) > _ALIKE * max(size, 1.0):
        return f"{told(value)} → ({drawn})", True
    before = stock.keys.get(key) if stock is not None else None
    if before is not None and float(before) != float(value):
        return f"{told(before)} → {told(value)}", True
    return told(value), True


_ALIKE = 1e-9
"""Share by which two lengths may differ and count as one."""


def _is_moved(mechanism: Mechanism, table: str) -> bool:
    """Return whether a change moves pin, stop or pivot from where their distances say."""
    return any(mechanism.keys.get(key) for key in MOVED.get(table, ()))


def hand_travel_text(mechanism: Mechanism, travel_mm: float, units: str) -> str:
    """Return the number of the hand's way: as measured; in brackets where it only follows.

    It follows where blade and grip make it, where the blade's angle is given, and where the drawing
    ends elsewhere than at the grip.
    """
    key = "lever.hand_travel"
    given = mechanism.keys.get(key)
    if given is not None and math.isclose(float(given), travel_mm, rel_tol=1e-9):
        return distance_text(mechanism, key, travel_mm, units)
    return f"({_length(travel_mm, units, 1)})"


def gap_notes(drawn: Drawn, table: str, units: str) -> list[str]:
    """Return the least gaps of one end through the stroke, and what its light band is."""
    ours = [gap for gap in drawn.gaps if gap.what.startswith("blade") == (table == "lever")]
    notes = []
    for gap in ours:
        least = "they overlap" if gap.least_mm < -1e-6 else _length(abs(gap.least_mm), units)
        at = _length(gap.at_hand_travel_mm, units)
        notes.append(as_worked(f"Least from {gap.what}: {least}, hand at {at}", drawn.mechanism))
    if any(gap.what.startswith(ARM_TO_CASING) for gap in ours):
        notes.append("Light band: swept by the arm")
    return notes


def read_rows(
    mechanism: Mechanism, table: str, units: str, shown: Collection[str] = ()
) -> list[tuple[str, str]]:
    """Return the numbers of a table as the file gives them; "usual" behind what it does not.

    Those whose keys are in `shown` stand at dimension lines already.
    """
    usual = {item.key for item in mechanism.taken}
    rows = []
    for key, value in mechanism.keys.items():
        home, _, name = key.partition(".")
        number = number_of(key, kind_of(mechanism.keys, home)) if home == table else None
        if number is None or not isinstance(value, float | int) or isinstance(value, bool):
            continue
        if key in shown or (key not in mechanism.given and key not in usual):
            continue
        said = as_measured(value, number.dimension, units, unit=True)
        if value == math.inf:
            said = "rigid"
        rows.append((name.replace("_", " "), f"{said}, usual" if key in usual else said))
    return rows[:_MOST_READ]


def end_rows(drawn: Drawn, table: str, units: str) -> list[list[str]]:
    """Return what changes along the stroke at one end: a row of names, then a row a quantity."""
    places = _few(drawn.positions)
    head = ["", *(_short_place(p, units) for p in places)]
    travel = ["hand", *(_length(p.hand_travel_mm, units) for p in places)]
    arms = ["moment arm", *(_length(getattr(p, f"{table}_moment_arm_mm"), units) for p in places)]
    angles = [_angle(getattr(p, f"cable_to_{table}_deg")) for p in places]
    turns = (
        p.stand.lever_angle_rad if table == "lever" else p.stand.arm_rotation_rad for p in places
    )
    turned = ["turned", *(_angle(float(np.degrees(t))) for t in turns)]
    rows = [head, travel, turned, arms]
    if drawn.mechanism.keys.get(f"{table}.kind", "pin") == "pin":  # else square to it all along
        rows.append(["cable angle", *angles])
    return [[as_worked(cell, drawn.mechanism) for cell in row] for row in rows]


def plate_rows(drawn: Drawn, units: str) -> list[list[str]]:
    """Return what changes along the stroke at the clutch: a row of names, then a row a quantity."""
    places = _few(drawn.positions)
    rows = [["", *(_short_place(p, units) for p in places)]]
    rows.append(["hand", *(_length(p.hand_travel_mm, units) for p in places)])
    for name, quantity in (("rod", "rod_travel_mm"), ("plate", "lift_mm")):
        rows.append([name, *(_length(getattr(p.stand, quantity), units, 2) for p in places)])
    rows.append(["parted", *(_length(p.separation_mm, units, 2) for p in places)])
    return [[as_worked(cell, drawn.mechanism) for cell in row] for row in rows]


def _few(places: tuple[DrawnPosition, ...]) -> tuple[DrawnPosition, ...]:
    """Return as many places as a sheet has columns for: first, middle and last of more."""
    if len(places) <= MOST_COLUMNS:
        return places
    return places[0], places[len(places) // 2], places[-1]


def _length(value_mm: float, units: str, digits: int = 1) -> str:
    if math.isnan(value_mm):
        return "–"
    number = converted(float(value_mm), "length", units)
    return f"{number + 0.0:.{digits if units == 'metric' else 2 * digits}f}"


def _angle(value_deg: float) -> str:
    return "–" if math.isnan(value_deg) else f"{value_deg + 0.0:.0f}°"


def arm_angle_line(rest_deg: float, middle_deg: float, full_deg: float) -> str:
    """Return the angle between cable and arm at rest, half way and full lever; "" where unknown."""
    if any(math.isnan(a) for a in (rest_deg, middle_deg, full_deg)):
        return ""
    if len({_angle(a) for a in (rest_deg, middle_deg, full_deg)}) == 1:
        return f"Cable to arm {_angle(rest_deg)} throughout"
    return (
        f"Cable to arm {rest_deg:.0f}° at rest, {middle_deg:.0f}° half way, "
        f"{full_deg:.0f}° at full lever"
    )


def dashed_line(drawn: Drawn) -> str:
    """Return what is drawn dashed because the file does not give it; "" where it gives all."""
    if not drawn.dashed:
        return ""
    return f"Dashed: form or place not in the file ({', '.join(drawn.dashed)})."


def usual_line(mechanism: Mechanism) -> str:
    """Return what the stroke rests on that was taken as usual; "" where nothing was."""
    if not mechanism.taken:
        return ""
    keys = [item.key for item in mechanism.taken]
    named = ", ".join(keys[:4]) + (f" and {len(keys) - 4} more" if len(keys) > 4 else "")
    return f"Not given, taken as usual: {named}."


def title_text(mechanism: Mechanism) -> str:
    """Return the title on one line."""
    return one_line(mechanism.title) or "Clutch release"


def separation_text(place: DrawnPosition, units: str) -> str:
    """Return how far the faces have parted there; "" where it is not known."""
    if math.isnan(place.separation_mm):
        return ""
    return f"parted {shown(place.separation_mm, 'length', units)}"


def missed_text(apart_mm: float, units: str) -> str:
    """Return what is said where two circles that the pin must lie on do not meet."""
    return f"do not meet: {as_measured(apart_mm, 'length', units, unit=True)} apart"
