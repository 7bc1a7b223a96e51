"""Release unit, spring and plates with their sizes as dimension lines, a letter at each.

A part is drawn as it lies on the bench: the unit at rest, the spring free, the pack without gaps.
After ISO 129-1 (from memory): a half section is dimensioned from its axis, a radius from
its centre.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from matplotlib.axes import Axes

from liftgeo.figures.dimension_lines import Point, plot_arc_dimension, plot_dimension
from liftgeo.figures.drawing_paper import Pad, box_of, lay_out, room_mm
from liftgeo.figures.shape_lines import plot_view
from liftgeo.figures.style import styled
from liftgeo.mechanism import Mechanism
from liftgeo.outline.plates import plate_view, spring_view
from liftgeo.outline.shapes import View, line
from liftgeo.outline.units import unit_view

_PAD = Pad(14.0, 14.0, 14.0, 9.0)
_STEP_MM = 7.0
_HEAVY_PT = 1.2


@dataclass(frozen=True)
class Length:
    """A distance to dimension: its key, its ends, and how far beside them [mm of paper].

    `part` is written around the letter, as "½ {}" for a radius of a size measured across;
    `beyond_mm` of the part itself lie between the ends and the room beside it.
    """

    key: str
    start: Point
    end: Point
    offset_mm: float
    part: str = "{}"
    beyond_mm: float = 0.0


@dataclass(frozen=True)
class Angle:
    """An angle to dimension: its key, its centre, its radius [mm], and its two sides [rad]."""

    key: str
    centre: Point
    radius_mm: float
    sides_rad: tuple[float, float]


Sized = tuple[View, list[Length | Angle]]


def _ball_ramp(mechanism: Mechanism) -> Sized:
    view = unit_view(mechanism.inward, 0.0, 0.0, np.radians(25.0))
    first, last = view.named("near plate").points[:2]
    ball = view.named("ball")
    radius = 0.95 * float(np.hypot(*(last - first)))
    up = float(np.arctan2(*(first - last)[::-1]))
    level = line("level", "symbol", last, last - [1.2 * radius, 0.0], assumed=True)
    (centre,) = ball.points
    across = np.array([ball.radius_mm, 0.0])
    top = float(box_of([view]).top - centre[1])
    return replace(view, shapes=(*view.shapes, level)), [
        Angle("release.ramp_angle", last, radius, (float(np.pi), up)),
        Length("release.ball_diameter", centre - across, centre + across, 5.0, beyond_mm=top),
    ]


def _quick_thread(mechanism: Mechanism) -> Sized:
    """Return one turn of the thread laid out flat: once round, and the lead it rises."""
    lead = float(mechanism.keys["release.lead"])
    round_mm = float(np.pi * mechanism.keys["release.mean_diameter"])
    ends = (0.0, 0.0), (round_mm, 0.0), (round_mm, lead)
    view = View("release", (line("one turn", "moving", *ends, closed=True),), {}, (), "developed")
    return view, [
        Length("release.mean_diameter", ends[0], ends[1], -_STEP_MM, "π × {}"),
        Length("release.lead", ends[1], ends[2], -_STEP_MM),
    ]


def _rack(mechanism: Mechanism) -> Sized:
    view = unit_view(mechanism.inward, 0.0, 0.0, 0.5)
    pinion = view.named("pinion")
    (centre,) = pinion.points
    edge, deep = centre - [pinion.radius_mm, 0.0], float(pinion.radius_mm)
    return view, [Length("release.pinion_radius", edge, centre, -5.0, beyond_mm=deep)]


def _crank(mechanism: Mechanism) -> Sized:
    view = unit_view(mechanism.inward, 0.0, 0.0, 0.5)
    shaft, pin, rod = (view.points[name] for name in ("shaft", "crank pin", "rod"))
    start = float(np.arctan2(*(pin - shaft)[::-1]))
    radius = 1.7 * float(np.hypot(*(pin - shaft)))
    level = line("level", "symbol", shaft, shaft + np.array([1.2 * radius, 0.0]), assumed=True)
    found: list[Length | Angle] = [
        Length("release.crank_radius", shaft, pin, _STEP_MM),
        Angle("release.rest_angle", shaft, radius, (0.0, start)),
    ]
    if "release.link_length" in mechanism.keys:
        found.append(Length("release.link_length", pin, rod, _STEP_MM))
        over = np.array([rod[0], shaft[1]])
        found.append(Length("release.offset", shaft, over, 2.0, beyond_mm=radius / 1.7))
    return replace(view, shapes=(*view.shapes, level)), found


def _eccentric(mechanism: Mechanism) -> Sized:
    view = unit_view(mechanism.inward, 0.0, 0.0, 0.5)
    shaft, centre = view.points["shaft"], view.points["round centre"]
    cam = view.named("round").radius_mm
    start = float(np.arctan2(*(centre - shaft)[::-1]))
    level = line("level", "symbol", shaft, shaft + np.array([1.6 * cam, 0.0]), assumed=True)
    edge = centre - [cam, 0.0]
    return replace(view, shapes=(*view.shapes, level)), [
        Length("release.eccentricity", shaft, centre, 5.0),
        Length("release.cam_radius", edge, centre, -5.0, beyond_mm=float(cam)),
        Angle("release.rest_angle", shaft, 1.45 * cam, (0.0, start)),
    ]


def _plain_unit(mechanism: Mechanism) -> Sized:
    return unit_view(mechanism.inward, 0.0, 0.0, 0.5), []


def _coned_disc(mechanism: Mechanism) -> Sized:
    view = spring_view(mechanism.inward, 0.0)
    low_in, low_out, top_out, _ = view.named("disc 0 0").points
    bottom = min(float(shape.points[:, 1].min()) for shape in view.shapes)
    top = max(float(shape.points[:, 1].max()) for shape in view.shapes)
    axis = line("axis", "symbol", (0.0, bottom), (0.0, top), assumed=True)
    found: list[Length | Angle] = [
        Length("spring.outside_diameter", (0.0, bottom), (low_out[0], bottom), -13.0, "½ {}"),
        Length("spring.inside_diameter", (0.0, bottom), (low_in[0], bottom), -6.5, "½ {}"),
        Length("spring.thickness", low_out, top_out, -6.0),
        Length("spring.cone_height", (low_in[0], low_out[1]), low_in, 6.0),
    ]
    return replace(view, shapes=(*view.shapes, axis)), found


def _coils(mechanism: Mechanism) -> Sized:
    free = spring_view(mechanism.inward, 0.0)
    long = float(free.points["top"][1])
    fitted = float(mechanism.keys.get("spring.installed_length") or 0.8 * long)
    away = 1.1 * long
    other = spring_view(mechanism.inward, long - fitted)
    moved = tuple(replace(s, points=s.points + np.array([away, 0.0])) for s in other.shapes)
    out = 0.3 * long
    return replace(free, shapes=(*free.shapes, *moved)), [
        Length("spring.free_length", (-out, 0.0), (-out, long), _STEP_MM),
        Length("spring.installed_length", (away + out, 0.0), (away + out, fitted), -_STEP_MM),
    ]


def _plain_spring(mechanism: Mechanism) -> Sized:
    return spring_view(mechanism.inward, 0.0), []


def _plates(mechanism: Mechanism) -> Sized:
    view = plate_view(mechanism.inward, 0.0, 1.0)
    named = {shape.name: shape for shape in view.shapes}
    left = min(float(s.points[:, 0].min()) for s in view.shapes)
    right = max(float(s.points[:, 0].max()) for s in view.shapes)
    axis = line("axis", "symbol", (left, 0.0), (right, 0.0), assumed=True)
    first = named["friction plate 0"].points
    (low_x, inner), outer = first.min(axis=0), float(first[:, 1].max())
    found: list[Length | Angle] = [
        Length("faces.outside_diameter", (low_x, 0.0), (low_x, outer), 17.0, "½ {}"),
        Length("faces.inside_diameter", (low_x, 0.0), (low_x, inner), 10.0, "½ {}"),
    ]
    top = max(float(s.points[:, 1].max()) for s in view.shapes)
    for key, name in (
        ("stack.friction_plate", "friction plate 0"),
        ("stack.plain_plate", "plain plate 0"),
        ("stack.pressure_plate", "pressure plate"),
    ):
        if name in named:
            across = named[name].points[:, 0]
            ends = (float(across.min()), top), (float(across.max()), top)
            found.append(Length(key, *ends, 5.0))
    return replace(view, shapes=(*view.shapes, axis)), found


SIZED: Mapping[tuple[str, str], Callable[[Mechanism], Sized]] = {
    ("release", "ball-ramp"): _ball_ramp,
    ("release", "quick-thread"): _quick_thread,
    ("release", "rack"): _rack,
    ("release", "crank"): _crank,
    ("release", "eccentric"): _eccentric,
    ("release", "profile"): _plain_unit,
    ("spring", "coned-disc"): _coned_disc,
    ("spring", "coils"): _coils,
    ("spring", "table"): _plain_spring,
    ("faces", ""): _plates,
}
"""How each kind of part is drawn with its sizes; a kind that is not here, without them."""


def dimensioned(mechanism: Mechanism, table: str) -> tuple[str, ...]:
    """Return the keys that the drawing of a release unit, spring or pack has dimensions for."""
    return tuple(each.key for each in _sized(mechanism, table)[1])


def _sized(mechanism: Mechanism, table: str) -> Sized:
    kind = "" if table == "faces" else str(mechanism.keys[f"{table}.kind"])
    plain = _plain_unit if table == "release" else _plain_spring
    return SIZED.get((table, kind), plain)(mechanism)


@styled
def plot_part_sizes(
    mechanism: Mechanism, table: str, texts: Mapping[str, str], *, ax: Axes
) -> Axes:
    """Draw a release unit, spring or pack with the sizes that are measured on it.

    Parameters
    ----------
    mechanism : Mechanism
        A whole one.
    table : {"release", "spring", "faces"}
    texts : mapping of str to str
        What stands at each dimension, by dotted key; others are not drawn.
    ax : Axes
    """
    view, sizes = _sized(mechanism, table)
    box = box_of([view])
    wide, tall = room_mm(ax)
    inside = wide - _PAD.left - _PAD.right, tall - _PAD.bottom - _PAD.top
    scale = min(room / max(size, 1e-6) for room, size in zip(inside, box.size, strict=True))
    per_mm = lay_out(ax, box, scale, _PAD)
    plot_view(view, ax=ax, weight_pt=_HEAVY_PT)
    for size in sizes:
        text = texts.get(size.key)
        if not text:
            continue
        if isinstance(size, Length):
            beside = size.offset_mm + np.copysign(size.beyond_mm / per_mm, size.offset_mm)
            written = size.part.format(text)
            plot_dimension(
                size.start, size.end, written, ax=ax, offset_mm=float(beside), per_mm=per_mm
            )
        else:
            plot_arc_dimension(
                size.centre, size.radius_mm, size.sides_rad, text, ax=ax, per_mm=per_mm
            )
    return ax
