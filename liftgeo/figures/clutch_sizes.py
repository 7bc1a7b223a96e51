"""Sizes of clamping spring and plate pack, on their views at rest.

After ISO 129-1 (from memory): a half section is dimensioned across, the line past the axis a little
and its arrow at the part alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from liftgeo.figures.drawing_paper import Box, box_of
from liftgeo.figures.sizes import Length, Size, Sized, SizesOf, Spot
from liftgeo.mechanism import Mechanism
from liftgeo.outline.plates import spring_view
from liftgeo.outline.shapes import Shape, View, line
from liftgeo.outline.shapes import box as rectangle

_STEP_MM = 7.0
_PRESSED = 0.8
"""Fitted over free height at which a spring is drawn that nobody fitted."""


def _beside(view: View, name: str, across: float) -> tuple[Shape, ...]:
    """Return the shapes of a view moved to the right, under names of their own."""
    away = np.array([across, 0.0])
    return tuple(replace(s, name=f"{s.name}, {name}", points=s.points + away) for s in view.shapes)


def _coned_disc(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    low_in, low_out, top_out, _ = view.named("disc 0 0").points
    bottom = min(float(shape.points[:, 1].min()) for shape in view.shapes)
    top = max(float(shape.points[:, 1].max()) for shape in view.shapes)
    axis = line("axis", "symbol", (0.0, bottom), (0.0, top), assumed=True)
    drop = bottom - box.bottom
    outer, inner = (float(low_out[0]), bottom), (float(low_in[0]), bottom)
    found: list[Size] = [
        Length("spring.outside_diameter", (0.0, bottom), outer, -17.0, "{}", drop, half=True),
        Length(
            "spring.inside_diameter",
            (0.0, bottom),
            inner,
            -8.5,
            "{}",
            drop,
            half=True,
            past=not bench,
        ),
        Length("spring.thickness", low_out, top_out, -7.0),
    ]
    if not bench:
        end = (float(low_out[0]), bottom), (float(low_out[0]), top)
        found.append(Length("", *end, -15.0))
        return (), found
    found.append(Length("spring.cone_height", (low_in[0], low_out[1]), low_in, 6.0))
    for key, y in (("spring.force_diameter", top), ("spring.support_diameter", bottom)):
        across = mechanism.keys.get(key)
        if across is not None:
            found.append(Spot(key, (float(across) / 2, y)))
    extra, more = _fitted(mechanism, view, top, box.right)
    return (axis, *extra), [*found, *more]


def _fitted(
    mechanism: Mechanism, free: View, long: float, right: float
) -> tuple[tuple[Shape, ...], list[Size]]:
    """Return the spring as fitted, beside it free, and how far it is pressed there."""
    pressed = mechanism.keys.get("spring.installed_deflection")
    by = (1 - _PRESSED) * long if pressed is None else float(pressed)
    fitted = spring_view(mechanism.inward, by)
    own = box_of([fitted])
    away = right - own.left + 0.45 * own.size[0]
    shapes = _beside(fitted, "fitted", away)
    level = line("free height", "symbol", (right, long), (away + own.right, long), assumed=True)
    edge = away + own.right
    size = Length("spring.installed_deflection", (edge, long), (edge, long - by), _STEP_MM)
    return (*shapes, level), [size]


def _coils(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    long = float(view.points["top"][1])
    given = mechanism.keys.get("spring.installed_length")
    if not bench:
        key = "spring.installed_length" if given is not None else ""
        left = float(box.left)
        return (), [Length(key, (left, 0.0), (left, long), _STEP_MM)]
    out = 0.3 * long
    found: list[Size] = [Length("spring.free_length", (-out, 0.0), (-out, long), _STEP_MM)]
    shapes: list[Shape] = []
    lengths = {"spring.installed_length": _PRESSED * long}
    for key in ("spring.installed_length", "spring.lengths", "spring.solid_length"):
        if mechanism.keys.get(key) is not None:
            lengths[key] = float(np.min(np.asarray(mechanism.keys[key], float)))
    for k, (key, tall) in enumerate(lengths.items(), 1):
        away = 1.1 * k * long
        shapes += _beside(spring_view(mechanism.inward, long - tall), key, away)
        found.append(Length(key, (away + out, 0.0), (away + out, tall), -_STEP_MM))
    return tuple(shapes), found


def _table(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    long = float(view.points["top"][1])
    if not bench:
        key = "" if mechanism.keys.get("spring.free_height") is not None else "spring.free_height"
        left = float(box.left)
        return (), [Length(key, (left, 0.0), (left, long), _STEP_MM)]
    found: list[Size] = []
    if mechanism.keys.get("spring.free_height") is not None:
        left = float(box.left)
        found.append(Length("spring.free_height", (left, 0.0), (left, long), _STEP_MM))
    extra, sizes = _fitted(mechanism, view, long, box.right)
    by = float(np.asarray(mechanism.keys["spring.deflection"], float)[-1])
    pressed = spring_view(mechanism.inward, by)
    right = max(float(shape.points[:, 0].max()) for shape in extra)
    own = box_of([pressed])
    away = right - own.left + 0.6 * own.size[0]
    edge = away + own.right
    level = line("free height, read", "symbol", (right, long), (edge, long), assumed=True)
    found.append(Length("spring.deflection", (edge, long), (edge, long - by), _STEP_MM))
    found.append(Spot("spring.load", (away, long - by)))
    return (*extra, *_beside(pressed, "read", away), level), [*found, *sizes]


def _no_sizes(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    return (), []


SPRING_SIZES: Mapping[str, SizesOf] = {
    "coned-disc": _coned_disc,
    "coils": _coils,
    "table": _table,
}
"""Sizes of each kind of spring."""


def spring_sizes(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    """Return the sizes of a clamping spring, by its kind."""
    kind = str(mechanism.keys["spring.kind"])
    return SPRING_SIZES.get(kind, _no_sizes)(mechanism, view, box, bench)


def pack_sizes(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    """Return the sizes of the plate pack, half of it cut: diameters, thicknesses, run-outs."""
    axis = line("axis", "symbol", (box.left, 0.0), (box.right, 0.0), assumed=True)
    named = {shape.name: shape for shape in view.shapes}
    first = named["friction plate 0"].points
    (low_x, inner), outer = first.min(axis=0), float(first[:, 1].max())
    shift = float(low_x - box.left)
    found: list[Size] = []
    across = (
        ("faces.outside_diameter", outer, 13.0),
        ("faces.inside_diameter", inner, 6.0),
        ("faces.rim_diameter", None, 20.0),
        ("faces.runout_diameter", None, 27.0),
    )
    for key, at, off in across:
        radius = float(mechanism.keys.get(key, 0.0)) / 2 if at is None else float(at)
        if radius > 0:
            ends = (float(low_x), 0.0), (float(low_x), radius)
            found.append(Length(key, *ends, off, "{}", shift, half=True))
    below = float(box.bottom)
    for key, name in _THICKNESSES:
        if name in named:
            x = named[name].points[:, 0]
            ends = (float(x.min()), below), (float(x.max()), below)
            found.append(Length(key, *ends, -5.0))
    found += [Spot(key, _inside(named[name], up)) for key, name, up in _SPOTS if name in named]
    extra, rim = _rim(mechanism, box)
    return (axis, *extra), [*found, *rim]


_THICKNESSES = (
    ("stack.friction_plate", "friction plate 0"),
    ("stack.plain_plate", "plain plate 0"),
    ("stack.pressure_plate", "pressure plate"),
)
_SPOTS = (
    ("faces.basket_runout", "basket face", 0.8),
    ("stack.basket_face_skim", "basket face", 0.8),
    ("faces.cushion_travel", "friction plate 0", 0.8),
    ("faces.plate_runout", "friction plate 0", 0.8),
    ("faces.facing_thickness", "friction plate 0", 0.8),
    ("faces.wear_limit", "friction plate 0", 0.8),
    ("stack.friction_plate_free", "friction plate 0", 0.8),
    ("faces.plain_plate_runout", "plain plate 0", 0.8),
    ("faces.pressure_plate_runout", "pressure plate", 0.55),
    ("stack.pressure_plate_skim", "pressure plate", 0.55),
    ("faces.lift_tilt", "pressure plate", 0.9),
    ("faces.rim_heights", "pressure plate", 0.9),
)
"""Where on the pack the gauge stands: key, shape, and how far up it."""


def _inside(shape: Shape, up: float) -> tuple[float, float]:
    """Return a place on a plate: amid its thickness, so far up its height."""
    low, high = shape.box
    return float(low[0] + high[0]) / 2, float(low[1] + up * (high[1] - low[1]))


def _rim(mechanism: Mechanism, box: Box) -> tuple[tuple[Shape, ...], list[Size]]:
    """Return the basket's rim and the cover on it, where the stack gives their place."""
    keys = mechanism.keys
    if keys.get("stack.rim_depth") is None:
        return (), []
    deep = float(keys["stack.rim_depth"])
    wall = 0.35 * (box.right - box.left)
    low, high = box.top + 0.15 * wall, box.top + 0.6 * wall
    recess = float(keys.get("stack.cover_recess") or 0.0)
    shims = float(keys.get("stack.shims") or 0.0)
    end = deep + shims
    seat = end + recess
    cover = (
        (end, high), (end, low), (seat, low), (seat, box.bottom), (seat + 3.0, box.bottom),
        (seat + 3.0, low), (end + 3.0, low), (end + 3.0, high),
    )  # fmt: skip
    shapes = [rectangle("rim", "fixed", (box.left, low), (deep, high))]
    shapes.append(line("cover", "fixed", *cover, closed=True))
    middle = (low + high) / 2
    found: list[Size] = [
        Length("stack.rim_depth", (0.0, high), (deep, high), 12.0),
        Spot("stack.rim_skim", (deep - 1.0, middle)),
        Spot("stack.shims", (deep + shims / 2, middle)),
        Spot("stack.cover_recess", (seat, (box.bottom + low) / 2)),
    ]
    if shims > 0:
        shapes.append(rectangle("shims", "moving", (deep, low), (end, high)))
    return tuple(shapes), found
