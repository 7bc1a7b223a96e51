"""The clutch end as shapes: clamping spring, fingers, and the pack with its gap magnified."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np

from liftgeo.mechanism.convert import plain_plates
from liftgeo.mechanism.inward import Inward
from liftgeo.outline.shapes import Shape, View, box, circle, line
from liftgeo.parts.spring import ConedDisc

SpringView: TypeAlias = Callable[[Inward, float], View]
"""Keys and deflection from free [mm]."""

_TURNS = 6
_PLATE_MM, _PLAIN_MM, _PRESSURE_MM = 8.0, 3.0, 12.0
"""Thicknesses at which plates are drawn that nobody measured."""


def coned_disc(keys: Inward, deflection_mm: float) -> View:
    """Return half the section of the discs, the axis to the left.

    Notes
    -----
    A disc's cone height falls by K times the deflection over the discs in series; its section
    turns rigidly. Source: as `parts.spring.ConedDisc`.
    """
    spring = keys.spring
    assert isinstance(spring, ConedDisc)
    outer, inner = float(spring.outside_diameter_mm) / 2, float(spring.inside_diameter_mm) / 2
    thick, nested = float(spring.thickness_mm), round(float(spring.in_parallel))
    nests = round(float(spring.in_series))
    height = cone_height_mm(spring, deflection_mm)
    shapes, base = [], 0.0
    for nest in range(nests):
        # A nest stands on its outer edge, the next upon its inner one.
        low_out = base if nest % 2 == 0 else base + height
        low_in = base + height if nest % 2 == 0 else base
        for disc in range(nested):
            up = disc * thick
            corners = (
                (inner, low_in + up),
                (outer, low_out + up),
                (outer, low_out + up + thick),
                (inner, low_in + up + thick),
            )
            points = np.array(corners)
            shapes.append(Shape(f"disc {nest} {disc}", "moving", points, closed=True))
        base += height + nested * thick
    return View("spring", tuple(shapes), {"top": np.array([0.0, base])})


def cone_height_mm(spring: ConedDisc, deflection_mm: float) -> float:
    """Return the cone height that is left of each disc at a deflection of the stack [mm]."""
    pressed = spring.lever_ratio * deflection_mm / spring.in_series
    return float(spring.cone_height_mm - pressed)


def coils(keys: Inward, deflection_mm: float) -> View:
    """Return one coil between its seats, at its length; wire and width stand for what they are."""
    free = float(keys.spring.free_height_mm)
    return _coil(free - deflection_mm, 0.42 * free, assumed=False)


def table(keys: Inward, deflection_mm: float) -> View:
    """Return a spring of a form that nobody told, at its height where that is given."""
    given = float(keys.spring.free_height_mm)
    last = float(np.max(keys.spring.last_deflection_mm))
    free = given if np.isfinite(given) else 3.0 * last
    unknown = () if np.isfinite(given) else ("spring.free_height",)
    view = _coil(free - deflection_mm, 0.42 * free, assumed=True)
    return View(view.name, view.shapes, view.points, unknown, "readings")


def _coil(long_mm: float, wide_mm: float, *, assumed: bool) -> View:
    """Return a coil of a length between two seats."""
    half = wide_mm / 2
    up = np.linspace(0.0, long_mm, 2 * _TURNS + 1)
    across = np.where(np.arange(len(up)) % 2 == 0, -half, half)
    shapes = (
        line("seat below", "fixed", (-0.7 * wide_mm, 0.0), (0.7 * wide_mm, 0.0)),
        line("seat above", "moving", (-0.7 * wide_mm, long_mm), (0.7 * wide_mm, long_mm)),
        Shape("coil", "symbol", np.stack([across, up], axis=-1), assumed=assumed),
    )
    return View("spring", shapes, {"top": np.array([0.0, long_mm])})


SPRING_VIEWS: Mapping[str, SpringView] = {"coned-disc": coned_disc, "coils": coils, "table": table}
"""The view of each kind of clamping spring."""


def spring_view(keys: Inward, deflection_mm: float) -> View:
    """Return the clamping spring at a deflection from free [mm]."""
    return SPRING_VIEWS[str(keys["spring.kind"])](keys, deflection_mm)


def finger_view(keys: Inward, lift_mm: float) -> View:
    """Return one finger about its pin: its tip moves the finger ratio times what the plate lifts.

    Only the ratio of its two arms is known, so all of it is dashed.
    """
    ratio, short = float(keys["rod.finger_ratio"]), 10.0
    angle = np.arcsin(np.clip(lift_mm / short, -1.0, 1.0))
    way = np.array([np.cos(angle), np.sin(angle)])
    plate, tip = -short * way * [1.0, -1.0], ratio * short * way * [1.0, -1.0]
    shapes = (
        line("finger", "moving", plate, tip, assumed=True),
        circle("finger pin", "fixed", (0.0, 0.0), 0.9, assumed=True),
        circle("plate pin", "moving", plate, 0.8, assumed=True),
        circle("tip", "moving", tip, 0.8, assumed=True),
    )
    return View("fingers", shapes, {"pin": np.zeros(2), "plate": plate, "tip": tip})


def plate_view(keys: Inward, separation_mm: float, magnified: float) -> View:
    """Return half a section of the pack, thicknesses to scale, each gap magnified.

    The separation is shared alike by all faces: where it goes in fact changes from pull to pull.
    The axis lies along x, below the plates.
    """
    count, plain = round(float(keys["faces.friction_plates"])), round(float(plain_plates(keys)))
    outer = float(keys["faces.outside_diameter"]) / 2
    inner = float(keys["faces.inside_diameter"]) / 2
    plate, plate_assumed = _thickness(
        keys, ("stack.friction_plate", "stack.friction_plate_free"), _PLATE_MM
    )
    between, between_assumed = _thickness(keys, ("stack.plain_plate",), _PLAIN_MM)
    pressure, pressure_assumed = _thickness(keys, ("stack.pressure_plate",), _PRESSURE_MM)
    gap = magnified * separation_mm / (2 * count)
    over = 0.12 * (outer - inner)
    shapes = [box("basket face", "fixed", (-5.0, inner - over), (0.0, outer + over))]
    x = 0.0
    for k in range(count):
        low, high = (x + gap, inner), (x + gap + plate, outer)
        shapes.append(box(f"friction plate {k}", "plate", low, high, assumed=plate_assumed))
        x += plate + 2 * gap
        if k < count - 1 and plain:
            low, high = (x, inner - over), (x + between, outer + over)
            shapes.append(box(f"plain plate {k}", "moving", low, high, assumed=between_assumed))
            x += between
    low, high = (x, inner - over), (x + pressure, outer + over)
    shapes.append(box("pressure plate", "moving", low, high, assumed=pressure_assumed))
    assumed = []
    for key, unknown in (
        ("stack.friction_plate", plate_assumed),
        ("stack.plain_plate", between_assumed and count > 1),
        ("stack.pressure_plate", pressure_assumed),
    ):
        assumed += [key] if unknown else []
    points = {"pressure plate": np.array([x, (inner + outer) / 2])}
    return View("plates", tuple(shapes), points, tuple(assumed), "magnified")


def _thickness(keys: Inward, names: tuple[str, ...], usual_mm: float) -> tuple[float, bool]:
    """Return a thickness of the file, or what it is drawn as; and whether that is assumed."""
    for name in names:
        if name in keys and float(keys[name]) > 0:
            return float(keys[name]), False
    return usual_mm, True
