"""The page of `liftgeo draw`: where the mechanism stands, in numbers; the sheet shows the rest."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from liftgeo.outcome.results import Result
from liftgeo.outline.links import Point
from liftgeo.quantities import converted, unit_of
from liftgeo.safety import WORK_SAFELY
from liftgeo.studies.drawn import Drawn, DrawnPosition
from liftgeo.words.drawing import PLACE_WORDS, POINT_WORDS, asked_place, dashed_line, usual_line
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.numbers import fixed
from liftgeo.words.verdict import titled, warning_lines

_TURNS: tuple[tuple[str, Callable[[DrawnPosition], float]], ...] = (
    ("lever turned", lambda p: float(np.degrees(p.stand.lever_angle_rad))),
    ("cable to lever", lambda p: p.cable_to_lever_deg),
    ("arm turned", lambda p: float(np.degrees(p.stand.arm_rotation_rad))),
    ("cable to arm", lambda p: p.cable_to_arm_deg),
)
_LENGTHS: tuple[tuple[str, int, Callable[[DrawnPosition], float]], ...] = (
    ("hand travel", 1, lambda p: p.hand_travel_mm),
    ("moment arm at the lever", 1, lambda p: p.lever_moment_arm_mm),
    ("moment arm at the arm", 1, lambda p: p.arm_moment_arm_mm),
    ("rod travel", 2, lambda p: p.stand.rod_travel_mm),
    ("plate lift", 2, lambda p: p.stand.lift_mm),
    ("faces parted", 2, lambda p: p.separation_mm),
)


def draw_page(drawn: Drawn, result: Result, units: str, name: str, *, sheet: bool) -> list[str]:
    """Return the whole page.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`.
    result : Result
        Of the same mechanism: its warnings stand below the head.
    units : {"metric", "inch"}
    name : str
        The file, as a next command would name it.
    sheet : bool
        Whether a sheet is written too.
    """
    mechanism = drawn.mechanism
    title = titled(mechanism.title, mechanism.change)
    unit = unit_of("length", units)
    notes = [line for line in (dashed_line(drawn), usual_line(mechanism)) if line]
    following = f"Next: `liftgeo stroke {name}` says how far the plates part, and why no further."
    if not sheet:
        following = f"Next: `liftgeo draw {name} --figure sheet.pdf` draws it to scale on A4."
    lines = page(
        [*([title] if title else []), *headline(_head(drawn))],
        warning_lines(result.warnings, mechanism, units, notes=False),
        _places(drawn, units),
        [
            *wrapped(f"Points in {unit}: {_frame(drawn)}"),
            *_points(drawn, units),
        ],
        _gaps(drawn, units),
        [line for note in notes for line in wrapped(note)],
        [*wrapped(following), *wrapped(WORK_SAFELY)],
    )
    return [*lines[:1], *lines_as_worked(lines[1:], mechanism)]


def _frame(drawn: Drawn) -> str:
    """Return which way the axes of lever and arm lie."""
    own = "pivot at 0, 0, x to the cable stop, y to the pin's side."
    given = [table for table in ("lever", "arm") if table in drawn.outline.given]
    if not given:
        return own
    frame = f"{' and '.join(given)} as the file's own points lie"
    return f"{frame}." if len(given) == 2 else f"{frame}; else {own}"


def _head(drawn: Drawn) -> str:
    """Return what the page is in a sentence."""
    last = drawn.full
    angle = last.cable_to_arm_deg
    turned = float(np.degrees(last.stand.arm_rotation_rad))
    text = f"At full lever the arm has turned {turned:.0f} deg"
    return text + ("." if math.isnan(angle) else f" and stands at {angle:.0f} deg to its cable.")


def _names(places: Sequence[DrawnPosition], units: str) -> list[str]:
    return [PLACE_WORDS.get(p.name) or asked_place(p, units) for p in places]


def _places(drawn: Drawn, units: str) -> list[str]:
    """Return lengths and angles at every position, those left out that the file does not reach."""
    places, unit = drawn.positions, unit_of("length", units)
    rows = [["", *_names(places, units)]]
    more = 0 if units == "metric" else 2
    for name, digits, quantity in _LENGTHS:
        values = [converted(quantity(p), "length", units) for p in places]
        if not all(math.isnan(v) for v in values):
            rows.append([f"{name}, {unit}", *(fixed(v, digits + more) for v in values)])
    for name, angle in _TURNS:
        turns = [angle(p) for p in places]
        if not all(math.isnan(v) for v in turns):
            rows.append([f"{name}, deg", *(fixed(v, 1) for v in turns)])
    return columns(rows)


def _points(drawn: Drawn, units: str) -> list[str]:
    """Return every point that there is, at every position."""
    places = drawn.positions
    rows = [["", *_names(places, units)]]
    for table in ("lever", "arm"):
        for point, word in POINT_WORDS[table].items():
            found = [p.points.get(f"{table}_{point}") for p in places]
            if found[0] is not None:
                rows.append([f"{table}: {word}", *(_pair(f, units) for f in found)])
    return columns(rows)


def _gaps(drawn: Drawn, units: str) -> list[str]:
    """Return the least gaps through the stroke, and how far cables turn out of their stops."""
    unit, digits = unit_of("length", units), 1 if units == "metric" else 3

    def length(value_mm: float) -> str:
        return fixed(converted(value_mm, "length", units), digits)

    rows = [[f"{g.what}, {unit}", length(g.least_mm), length(g.at_hand_travel_mm)]
            for g in drawn.gaps]  # fmt: skip
    rows += [[f"{s.what}, deg out of line", fixed(s.most_deg, 1), length(s.at_hand_travel_mm)]
             for s in drawn.stop_angles]  # fmt: skip
    if not rows:
        return []
    return columns([["On the way, least gap or greatest angle", "", f"at hand, {unit}"], *rows])


def _pair(point: Point | None, units: str) -> str:
    if point is None:
        return "-"
    digits = 1 if units == "metric" else 3
    return ", ".join(fixed(converted(float(v), "length", units), digits) for v in point)
