"""Cable and rod as signs, not to scale, with what is measured on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.figures.sizes import Angle, Length, Size, Spot
from liftgeo.mechanism import Mechanism
from liftgeo.outline.shapes import Shape, View, box, circle, line, towards

_GAP, _WIDE, _BEND_RAD = 6.0, 3.0, np.radians(70.0)


@dataclass(frozen=True, eq=False)
class Sign:
    """A sign and its sizes [mm of nothing]: lengths on it are no lengths of the part."""

    view: View
    sizes: tuple[Size, ...]


def cable_sign(mechanism: Mechanism) -> Sign:
    """Return a cable with one bend: adjuster and slack at its left, bare wire at both ends."""
    start, turn, radius = 20.0 + _GAP, 62.0, 14.0
    ways = np.linspace(0.0, -_BEND_RAD, 15)
    middle = np.array([turn, -radius])
    arc = [middle + radius * towards(float(np.pi / 2 + way)) for way in ways]
    along = towards(float(-_BEND_RAD))
    line_points = np.array([(start, 0.0), *arc, arc[-1] + 16.0 * along])
    aside = _normals(line_points) * _WIDE
    casing = np.concatenate([line_points + aside, (line_points - aside)[::-1]])
    nipple, far = np.array([0.0, 0.0]), line_points[-1] + 12.0 * along
    corner = middle + radius / np.cos(_BEND_RAD / 2) * towards(float(np.pi / 2 - _BEND_RAD / 2))
    shapes = (
        line("wire", "cable", nipple, *line_points, far),
        circle("nipple", "moving", nipple, 2.0),
        box("adjuster", "fixed", (11.0, -4.5), (20.0, 4.5)),
        Shape("casing", "moving", casing, closed=True),
        circle("end", "moving", far, 2.0),
        line("on", "symbol", corner, corner + np.array([26.0, 0.0]), assumed=True),
        line("turned", "symbol", corner, arc[-1], assumed=True),
    )
    mouth = np.array([start + 0.5, 0.6 * _WIDE])
    sizes = (
        Length("cable.free_play", (20.0, 4.5), (start, 4.5), 5.0),
        Angle("cable.bend", corner, 19.0, (0.0, float(-_BEND_RAD)), level=False),
        Spot("cable.wire.diameter", (6.0, 0.0)),
        Length("cable.wire.length", nipple, far, -8.0, beyond_mm=6.0),
        Spot("cable.liner_clearance", mouth),
        Spot("cable.seating", np.array([start, -0.6 * _WIDE])),
        Spot("cable.stiffness", nipple),
        Spot("cable.bracket_stiffness", (15.0, 3.0)),
        Spot("cable.housing.stiffness", np.array([48.0, 0.6 * _WIDE])),
    )
    return Sign(View("cable", shapes), sizes)


def _normals(points: np.ndarray) -> np.ndarray:
    """Return unit vectors to the left of a line through points, of shape (K, 2)."""
    along = np.gradient(points, axis=0)
    along /= np.hypot(*along.T)[:, None]
    return np.stack([-along[:, 1], along[:, 0]], axis=-1)


def rod_sign(mechanism: Mechanism) -> Sign:
    """Return shaft, unit, rod and pressure plate in a row, the play of each seen as a gap."""
    plate = 96.0
    shapes = [
        box("shaft bearing", "fixed", (0.0, 5.0), (4.0, 12.0)),
        box("unit", "moving", (4.0 + 3.0, -9.0), (17.0, 9.0)),
        box("rod", "moving", (20.0, -2.0), (plate - 4.0, 2.0)),
        box("guide above", "fixed", (34.0, 2.0), (38.0, 9.0)),
        box("guide below", "fixed", (34.0, -9.0), (38.0, -2.0)),
        box("plate", "moving", (plate, -16.0), (plate + 6.0, 16.0)),
    ]
    sizes: list[Size] = [
        Length("rod.end_float", (plate - 4.0, 2.0), (plate, 2.0), 16.0),
        Length("rod.length", (20.0, -9.0), (plate - 4.0, -9.0), -12.0),
        Length("rod.unguided_length", (38.0, -9.0), (plate - 4.0, -9.0), -6.0),
        Spot("rod.adjuster_clearance", (18.5, 0.0)),
        Spot("rod.shaft_float", (5.5, 7.0)),
        Length("rod.diameter", (30.0, -2.0), (30.0, 2.0), 3.0),
        Spot("rod.thinnest_diameter", (60.0, 2.0)),
        Spot("rod.stiffness", (27.0, 0.0)),
        Spot("rod.mount_stiffness", (2.0, 10.0)),
        Spot("rod.plate_stiffness", (plate + 3.0, 8.0)),
    ]
    if "rod.finger_ratio" in mechanism.given:
        tip, pin = np.array([plate - 4.0, 0.0]), np.array([plate - 2.0, 18.0])
        end = np.array([plate, 24.0])
        shapes.append(line("finger", "moving", tip, pin, end))
        shapes.append(circle("finger pin", "fixed", pin, 1.5))
        sizes.append(Spot("rod.finger_ratio", pin))
        sizes.append(Spot("rod.finger_stiffness", (tip + pin) / 2))
    return Sign(View("rod", tuple(shapes)), tuple(sizes))
