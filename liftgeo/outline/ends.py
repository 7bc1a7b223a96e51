"""Lever end and actuator end as shapes, at a turn of lever or arm: each kind of link its own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import TypeAlias

import numpy as np

from liftgeo.mechanism.inward import Inward
from liftgeo.outline.links import LinkOutline
from liftgeo.outline.outlined import outlined_shapes
from liftgeo.outline.shapes import Points, Shape, View, circle, line, towards, xy
from liftgeo.parts.triangle import Drum, Link

EndView: TypeAlias = Callable[[Inward, str, LinkOutline, Link, float, float], View]
"""Keys, table ("lever" or "arm"), points, part, rotation [rad] and cable pull [mm]."""

CASING_OF_REACH = 0.2
"""Length of casing drawn behind its stop, over the longest distance of the link."""


def pin_end(
    keys: Inward, table: str, link: LinkOutline, part: Link, rotation_rad: float, _: float
) -> View:
    """Return a pin on a radius, its cable to the stop, and the casing's end there."""
    at = link.at(rotation_rad)
    pivot, pin, stop = at["pivot"], at["pin"], at["stop"]
    assert pivot is not None
    assert pin is not None
    assert stop is not None
    far = [float(np.hypot(*(end - pivot))) for end in (pin, stop)]
    reach = min(max(far), 2.0 * min(far))  # what signs and casing are sized by
    shapes = [*_blade(keys, table, link, at, reach), line("radius", "moving", pivot, pin)]
    shapes.append(line("cable", "cable", pin, stop))
    shapes += _casing(link, stop, reach)
    shapes += [
        circle("pivot", "fixed", pivot, 0.055 * reach),
        circle("pin", "moving", pin, 0.04 * reach),
    ]
    points = {"pivot": pivot, "pin": pin, "stop": stop}
    hand = at["hand"]
    if hand is not None and table == "lever":
        points["hand"] = hand
    return View(table, tuple(shapes), points)


def _blade(
    keys: Inward, table: str, link: LinkOutline, at: Mapping[str, Points | None], reach: float
) -> list[Shape]:
    """Return the blade from the pivot through the hand to its tip, where a hand works it."""
    hand, pivot = at["hand"], at["pivot"]
    if table != "lever" or hand is None or pivot is None:
        return []
    along = hand - pivot
    radius = float(np.hypot(*along))
    tip = max(float(keys.get("lever.blade_length", 0.0)), radius)
    assumed = not ("lever.hand_angle" in keys or "lever.points.hand" in keys)
    blade = line("blade", "moving", pivot, pivot + along * tip / radius, assumed=assumed)
    return [blade, circle("hand", "moving", hand, 0.06 * reach, assumed=assumed)]


def _casing(link: LinkOutline, stop: Points, reach: float) -> list[Shape]:
    """Return the end of the casing at its stop, and a piece of casing in line with the wire."""
    assert link.pin is not None
    away = stop - link.pin
    away = away / max(float(np.hypot(*away)), 1e-9)
    across = 0.05 * reach * np.array([-away[1], away[0]])
    end = stop + CASING_OF_REACH * reach * away
    return [
        line("casing end", "fixed", stop - 1.6 * across, stop + 1.6 * across),
        line("casing", "cable", stop + across, end + across, end - across, stop - across),
    ]


def drum_end(
    keys: Inward, table: str, link: LinkOutline, part: Link, rotation_rad: float, pull_mm: float
) -> View:
    """Return a drum with the cable leaving it along its tangent, to a stop nobody placed.

    The wire runs towards +x off the top of the drum. A lever winds it on, an arm is unwound; the
    mark on the wire moves by what is drawn in.
    """
    assert isinstance(part, Drum)
    r = float(part.radius_mm)
    sign = -1.0 if table == "lever" else 1.0
    reach = max(r, 10.0)
    mark = np.array([1.6 * reach + sign * pull_mm, r])
    stop = np.array([2.8 * reach, r])
    at = link.at(rotation_rad)
    shapes = [
        *_blade(keys, table, link, at, reach),
        circle("drum", "moving", link.pivot, r),
        line("radius", "moving", link.pivot, r * towards(np.pi / 2 + link.turning * rotation_rad)),
        line("cable", "cable", (0.0, r), stop),
        line("wire mark", "cable", mark - xy(0.0, 0.06 * reach), mark + xy(0.0, 0.06 * reach)),
        line(
            "casing end",
            "fixed",
            stop - xy(0, 0.1 * reach),
            stop + xy(0, 0.1 * reach),
            assumed=True,
        ),
        circle("pivot", "fixed", link.pivot, 0.055 * reach),
    ]
    points = _named(link, at, table) | {"top": xy(0.0, r)}
    return View(table, tuple(shapes), points)


def profile_end(
    keys: Inward, table: str, link: LinkOutline, part: Link, rotation_rad: float, pull_mm: float
) -> View:
    """Return a measured link: its cable passes the pivot at the moment arm that was measured.

    What holds the cable was not measured, so a line at its moment arm stands for it.
    """
    arm = float(part.at(rotation_rad).moment_arm_mm)
    sign = -1.0 if table == "lever" else 1.0
    reach = max(float(part.at(0.0).moment_arm_mm), arm, 10.0)
    at = link.at(rotation_rad)
    start, stop = np.array([0.0, arm]), np.array([2.8 * reach, arm])
    mark = np.array([1.6 * reach + sign * pull_mm, arm])
    shapes = [
        *_blade(keys, table, link, at, reach),
        line("radius", "moving", link.pivot, start, assumed=True),
        line("cable", "cable", start, stop, assumed=True),
        line("wire mark", "cable", mark - xy(0.0, 0.06 * reach), mark + xy(0.0, 0.06 * reach)),
        line(
            "turned",
            "moving",
            link.pivot,
            0.6 * reach * towards(np.pi / 2 + link.turning * rotation_rad),
        ),
        circle("pivot", "fixed", link.pivot, 0.055 * reach),
    ]
    view = View(table, tuple(shapes), _named(link, at, table), (), "readings")
    return view


def _named(link: LinkOutline, at: Mapping[str, Points | None], table: str) -> dict[str, Points]:
    """Return the points to label of a link without a pin."""
    points = {"pivot": link.pivot}
    hand = at["hand"]
    if hand is not None and table == "lever":
        points["hand"] = hand
    return points


END_VIEWS: Mapping[str, EndView] = {"pin": pin_end, "drum": drum_end, "profile": profile_end}
"""The view of each kind of lever and arm."""


def end_view(
    keys: Inward, table: str, link: LinkOutline, rotation_rad: float, pull_mm: float
) -> View:
    """Return lever or arm at a turn, with its cable.

    Parameters
    ----------
    keys : Inward
        Of one mechanism.
    table : {"lever", "arm"}
    link : LinkOutline
        Its points, in the frame that the drawing has.
    rotation_rad, pull_mm : float
        Turn from rest [rad], and wire drawn in there [mm].
    """
    part = keys.lever.link if table == "lever" else keys.arm.link
    draw = END_VIEWS[str(keys.get(f"{table}.kind", "pin"))]
    view = draw(keys, table, link, part, rotation_rad, pull_mm)
    shapes = (*outlined_shapes(keys, table, link, rotation_rad), *view.shapes)
    return replace(view, shapes=shapes)
