"""Whole mechanisms for hypothesis, built from realistic ranges; all invented.

Every kind of lever, arm, release unit and spring comes up. Numbers are drawn so that the mechanism
exists (triangles close, springs are pressed but not through); where its stroke ends is left open.
The tests draw the same ones every time: a run that fails fails again. Raise `max_examples` and take
`derandomize` out to hunt for others.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hypothesis import assume
from hypothesis import strategies as st

from liftgeo import GeometryError, Mechanism
from liftgeo.mechanism import from_document
from liftgeo.mechanism.tables import TABLES

Document = dict[str, Any]

# Every kind of the package's one table, and other ways of giving one: a pin by its points, a crank
# without its link. A kind that nobody draws yet is an error in what draws its table.
LINKS = (*TABLES["lever"], "points")
ARMS = (*TABLES["arm"], "points")
RELEASES = (*TABLES["release"], "slot")
SPRINGS = tuple(TABLES["spring"])

# Kinds with a law that can be differentiated everywhere: what is measured has corners.
MEASURED = ("profile", "table")
SMOOTH = {
    "lever": tuple(kind for kind in LINKS if kind not in MEASURED),
    "arm": tuple(kind for kind in ARMS if kind not in MEASURED),
    "release": tuple(kind for kind in RELEASES if kind not in MEASURED),
    "spring": tuple(kind for kind in SPRINGS if kind not in MEASURED),
}


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers of a range, as a calliper would read them: in steps of a hundredth."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda n: n / 100)


def perhaps(numbers: st.SearchStrategy[float]) -> st.SearchStrategy[float | None]:
    """Return one of the numbers, or None for a key left out."""
    return st.none() | numbers


def _undrawn(table: str, kind: str) -> LookupError:
    return LookupError(f"nothing is drawn yet for a [{table}] of kind {kind}")


def _given(**keys: Any) -> Document:
    return {name: value for name, value in keys.items() if value is not None}


@st.composite
def _curve(draw: Any, span: float, slope: float, count: int = 5) -> tuple[list[float], list[float]]:
    """Return rising readings over `span`, whose slope wanders about `slope`."""
    x = [span * k / (count - 1) for k in range(count)]
    y = [0.0]
    for _ in range(count - 1):
        y.append(y[-1] + slope * span / (count - 1) * draw(between(0.7, 1.4)))
    return x, y


@st.composite
def levers(draw: Any, kind: str) -> Document:
    """Return a [lever] of one of `LINKS`."""
    common = _given(
        hand_travel=draw(between(25, 75)),
        stiffness=draw(perhaps(between(20, 200))),
        efficiency=draw(perhaps(between(0.85, 1))),
    )
    hand = draw(between(60, 130))
    if kind == "drum":
        return {"kind": "drum", "drum_radius": draw(between(14, 34)), "hand_radius": hand, **common}
    if kind == "profile":
        angle, pull = draw(_curve(60.0, math.radians(24.0)))
        return {"kind": "profile", "angle": angle, "pull": pull, "hand_radius": hand, **common}
    radius = draw(between(18, 36))
    stop = radius * draw(between(1.3, 2.4))
    if kind == "points":
        turn, gamma = math.radians(draw(between(0, 360))), math.radians(draw(between(60, 115)))
        lean = math.radians(draw(between(40, 140)))
        at = [(radius, gamma), (stop, 0.0), (hand, gamma + lean)]
        pin, fixed, pull = ([r * math.cos(a + turn), r * math.sin(a + turn)] for r, a in at)
        points = {"pivot": [0.0, 0.0], "pin": pin, "stop": fixed, "hand": pull}
        return {"points": points, **common}
    if kind != "pin":
        raise _undrawn("lever", kind)
    offset = draw(perhaps(between(-12, 12)))
    sides = {"nipple_radius": radius, "stop_distance": stop, "hand_radius": hand}
    angle = draw(between(62, 118))
    return {**sides, "cable_angle": angle, **_given(axial_offset=offset), **common}


@st.composite
def arms(draw: Any, kind: str) -> Document:
    """Return an [arm] of one of `ARMS`."""
    common = _given(
        return_torque=draw(perhaps(between(0, 0.8))),
        return_rate=draw(perhaps(between(0, 0.04))),
        shaft_stiffness=draw(perhaps(between(15, 150))),
        efficiency=draw(perhaps(between(0.85, 1))),
    )
    if kind == "drum":
        return {"kind": "drum", "drum_radius": draw(between(28, 60)), **common}
    if kind == "profile":
        angle, pull = draw(_curve(50.0, math.radians(42.0)))
        return {"kind": "profile", "angle": angle, "pull": pull, **common}
    radius = draw(between(28, 60))
    stop = radius * draw(between(1.5, 3))
    if kind == "points":
        turn, gamma = math.radians(draw(between(0, 360))), math.radians(draw(between(50, 95)))
        pin, fixed = (
            [r * math.cos(a), r * math.sin(a)] for r, a in ((radius, turn + gamma), (stop, turn))
        )
        return {"points": {"pivot": [0.0, 0.0], "pin": pin, "stop": fixed}, **common}
    if kind != "pin":
        raise _undrawn("arm", kind)
    offset = draw(perhaps(between(-15, 15)))
    angle = draw(between(72, 115))
    sides = {"radius": radius, "stop_distance": stop, "cable_angle": angle}
    return {**sides, **_given(axial_offset=offset), **common}


@st.composite
def releases(draw: Any, kind: str) -> Document:
    """Return a [release] of one of `RELEASES`."""
    efficiency = draw(perhaps(between(0.4, 1)))
    if kind == "ball-ramp":
        unit = _given(
            pitch_radius=draw(between(12, 24)),
            ramp_angle=draw(between(9, 24)),
            far_ramp_angle=draw(perhaps(between(5, 20))),
            friction_angle=draw(perhaps(between(0, 6))),
            balls=draw(st.sampled_from([None, "rolling", "held"])),
        )
    elif kind == "quick-thread":
        collar = draw(perhaps(between(10, 40)))
        unit = _given(
            lead=draw(between(14, 60)),
            mean_diameter=draw(between(16, 34)),
            flank_angle=draw(perhaps(between(0, 30))),
            friction=draw(perhaps(between(0, 0.2))),
            collar_diameter=collar,
            collar_friction=None if collar is None else draw(between(0, 0.1)),
        )
    elif kind == "rack":
        unit = _given(pinion_radius=draw(between(3, 12)), efficiency=efficiency)
    elif kind in ("crank", "slot"):
        radius = draw(between(3.5, 14))
        link = {}
        if kind == "crank":
            link = _given(
                link_length=radius * draw(between(2.2, 6)), offset=draw(perhaps(between(-8, 8)))
            )
            link["offset"] = min(max(link.get("offset", 0.0), -radius), radius)
        angle = draw(between(-35, 25))
        unit = _given(crank_radius=radius, rest_angle=angle, efficiency=efficiency, **link)
        return {"kind": "crank", **unit}
    elif kind == "eccentric":
        rub = draw(perhaps(between(0, 0.15)))
        unit = _given(
            eccentricity=draw(between(3, 9)),
            rest_angle=draw(between(-35, 20)),
            cam_radius=draw(between(0.5, 14) if rub else perhaps(between(0.5, 14))),
            friction=rub,
            efficiency=efficiency if rub is None else None,
        )
    elif kind == "profile":
        angle, travel = draw(_curve(40.0, math.radians(5.0)))
        unit = _given(angle=angle, travel=travel, efficiency=efficiency)
    else:
        raise _undrawn("release", kind)
    return {"kind": kind, **unit, **_given(max_rotation=draw(perhaps(between(15, 60))))}


@st.composite
def springs(draw: Any, kind: str) -> Document:
    """Return a [spring] of one of `SPRINGS`, pressed by 1000 to 6000 N or so."""
    rub = _given(friction=draw(perhaps(between(0, 0.1))))
    if kind == "coils":
        free = draw(between(26, 50))
        rest = free - draw(between(4, 12))
        solid = draw(perhaps(between(0.3, 4)))
        return {
            "kind": "coils",
            "count": draw(st.integers(4, 12)),
            "rate": draw(between(12, 45)),
            "free_length": free,
            "installed_length": rest,
            **_given(solid_length=None if solid is None else rest - solid),
            **rub,
        }
    if kind == "table":
        x = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
        top = draw(between(1500, 5000))
        shares = [0.0, 0.45, 0.8, 0.97, 1.0, draw(between(0.8, 1.3)), draw(between(0.7, 1.5))]
        load = [top * s for s in shares]
        fitted = draw(between(2, 5))
        return {
            "kind": "table",
            "deflection": x,
            "load": load,
            "installed_deflection": fitted,
            **rub,
        }
    if kind != "coned-disc":
        raise _undrawn("spring", kind)
    thickness = draw(between(1.4, 2.2))
    height = thickness * draw(between(0.5, 2.1))
    outside = draw(between(110, 170))
    nested = draw(st.sampled_from([(None, None), (2, None), (None, 2)]))
    edges = draw(st.sampled_from([(None, None), (0.03, None), (None, 0.04), (0.03, 0.05)]))
    inside = outside * draw(between(0.6, 0.8))
    return {
        "kind": "coned-disc",
        "outside_diameter": outside,
        "inside_diameter": inside,
        "thickness": thickness,
        "cone_height": height,
        "installed_deflection": height * draw(between(0.3, 0.7)) * (nested[1] or 1),
        **_given(
            in_parallel=nested[0],
            in_series=nested[1],
            force_diameter=None if edges[0] is None else inside * (1 + edges[0]),
            support_diameter=None if edges[1] is None else outside * (1 - edges[1]),
            past_flat=draw(st.sampled_from([None, True, False])),
        ),
        **rub,
    }


@st.composite
def documents(
    draw: Any,
    lever: Sequence[str] = LINKS,
    arm: Sequence[str] = ARMS,
    release: Sequence[str] = RELEASES,
    spring: Sequence[str] = SPRINGS,
) -> Document:
    """Return a geometry file as nested tables, its parts of the kinds named."""
    play, small = perhaps(between(0, 0.4)), perhaps(between(0, 0.15))
    ratio = draw(perhaps(between(1, 3)))
    outside = draw(between(110, 170))
    plates = draw(st.integers(1, 4))
    return {
        "title": "Drawn by chance (invented)",
        "left_out": "nothing",
        "lever": draw(levers(draw(st.sampled_from(lever)))),
        "cable": _given(
            free_play=draw(perhaps(between(0, 3))),
            seating=draw(play),
            liner_clearance=draw(small),
            bend=draw(perhaps(between(0, 300))),
            friction=draw(perhaps(between(0, 0.15))),
            drag=draw(perhaps(between(0, 6))),
            stiffness=draw(perhaps(between(120, 900))),
        ),
        "arm": draw(arms(draw(st.sampled_from(arm)))),
        "release": draw(releases(draw(st.sampled_from(release)))),
        "rod": _given(
            action=draw(st.sampled_from(["pull", "push"])),
            end_float=draw(play),
            adjuster_clearance=draw(small),
            shaft_float=draw(small),
            stiffness=draw(perhaps(between(8000, 60000))),
            finger_ratio=ratio,
            plate_stiffness=draw(perhaps(between(15000, 60000))),
        ),
        "spring": draw(springs(draw(st.sampled_from(spring)))),
        "faces": _given(
            friction_plates=plates,
            outside_diameter=outside,
            inside_diameter=outside * draw(between(0.6, 0.8)),
            friction=draw(between(0.1, 0.4)),
            cushion_travel=draw(perhaps(between(0, 0.5))),
            plate_runout=draw(small),
            plain_plate_runout=draw(small),
            basket_runout=draw(small),
            pressure_plate_runout=draw(small),
            lift_tilt=draw(small),
        ),
    }


def read(document: Document) -> Mechanism:
    """Return the mechanism of a drawn document; a rare impossible one is drawn again."""
    try:
        return from_document(document)
    except GeometryError:
        assume(False)
        raise


def mechanisms(**kinds: Sequence[str]) -> st.SearchStrategy[Mechanism]:
    """Return mechanisms of all kinds, or of those named."""
    return documents(**kinds).map(read)
