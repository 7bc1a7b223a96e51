"""What a file outlines, as shapes to draw: blade, grip, arm and casing."""

from __future__ import annotations

from typing import Any

import numpy as np

from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.link_points import LinkPoints, axes, link_points, turned_at_rest_rad
from liftgeo.outline.gaps import swept, turned
from liftgeo.outline.links import LinkOutline
from liftgeo.outline.shapes import Points, Role, Shape, circle, line

_CORNER_STEPS = 8
"""Straight pieces of a quarter round."""

_LINES = {"lever": ("blade outline", "lever.outline"), "arm": ("arm outline", "arm.outline")}


def outlined_shapes(
    keys: Inward, table: str, link: LinkOutline, rotation_rad: float
) -> list[Shape]:
    """Return the outlines of a file that belong to a lever or an arm, where it stands.

    Parameters
    ----------
    keys : Inward
        Of one mechanism.
    table : {"lever", "arm"}
    link : LinkOutline
        Its points, in the frame that the drawing has.
    rotation_rad : float
        Turn from rest [rad].
    """
    own = link_points(keys, table)
    found: list[Shape] = []
    name, home = _LINES[table]
    if f"{home}.points" in keys and f"{home}.width" in keys:
        turn = rotation_rad + float(turned_at_rest_rad(keys, table))
        middle = link.turned(_framed(keys[f"{home}.points"], own, link), turn)
        found.append(widened(name, "moving", middle, float(keys[f"{home}.width"])))
    if table == "lever" and "grip.place" in keys and "grip.diameter" in keys:
        place, across = _framed(keys["grip.place"], own, link), float(keys["grip.diameter"])
        round_bar = circle("grip", "fixed", place[0], across / 2)
        found.append(round_bar if len(place) == 1 else widened("grip", "fixed", place, across))
    if table == "arm":
        found += [
            line("casing outline", "fixed", *_framed(outline, own, link), closed=True)
            for outline in keys.get("casing.outlines", ())
        ]
    return found


def swept_by_arm(keys: Inward, link: LinkOutline, rotation_rad: float) -> Shape | None:
    """Return what the arm sweeps from rest to a turn; None where arm or casing has no outline.

    Parameters
    ----------
    keys : Inward
        Of one mechanism.
    link : LinkOutline
        The arm's points, in the frame that the drawing has.
    rotation_rad : float
        Turn from rest [rad].
    """
    import shapely

    if not all(key in keys for key in ("arm.outline.points", "casing.outlines")):
        return None
    own = link_points(keys, "arm")
    middle = _framed(keys["arm.outline.points"], own, link)
    start = float(turned_at_rest_rad(keys, "arm"))
    here = LinkPoints(link.pivot, link.pin, link.stop, np.asarray(link.turning))
    at_rest = turned(middle, here, start)
    area = swept(at_rest, float(keys["arm.outline.width"]), here, rotation_rad)
    edge = shapely.get_coordinates(area.exterior)[:-1]
    return line("swept by the arm", "symbol", *edge, closed=True)


def widened(name: str, role: Role, middle: Any, width_mm: float) -> Shape:
    """Return the outline of a line with width, its ends round."""
    import shapely

    area = shapely.LineString(middle).buffer(width_mm / 2, quad_segs=_CORNER_STEPS)
    return line(name, role, *shapely.get_coordinates(area.exterior)[:-1], closed=True)


def _framed(points: Any, own: LinkPoints, link: LinkOutline) -> Points:
    """Return points of the file in the frame that the drawing has, of shape (K, 2) [mm]."""
    given = np.array(points, float)
    if own.pin is None or own.stop is None or link.pin is None or link.stop is None:
        return given
    here = np.stack(axes(own.pivot, own.stop, own.pin), axis=-1)
    there = np.stack(axes(link.pivot, link.stop, link.pin), axis=-1)
    found: Points = link.pivot + (given - own.pivot) @ here @ there.T
    return found
