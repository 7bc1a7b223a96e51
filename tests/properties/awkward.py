"""Awkward mechanisms for hypothesis: measured tables of any shape, and numbers at their bounds.

All invented. A table read with its play, with a step left out, with a plateau or a cliff, a single
pair of readings, a rest beside the end of a spring: what a tired hand writes down. None of them
need be sound; the sums must either stand or say which table they cannot stand on.
"""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st
from mechanisms import Document, documents

# Steps beside the usual one: play read along, a plateau, a slip of the finger, a cliff.
SHARES = st.one_of(
    st.floats(0.6, 1.5),
    st.floats(0.05, 4.0),
    st.floats(0.6, 1.5),
    st.sampled_from([1e-9, 1e-3, 0.01, 0.1, 0.3, 0.33, 0.34, 0.5, 2.0, 3.0, 10.0, 1000.0]),
)
EXTREMES: dict[str, tuple[float, ...]] = {
    "cable.stiffness": (0.5, 5.0, 1e7),
    "cable.friction": (0.0, 0.6, 3.0),
    "cable.free_play": (0.0, 30.0, 500.0),
    "cable.drag": (0.0, 200.0),
    "rod.stiffness": (5.0, 300.0, 1e9),
    "rod.end_float": (0.0, 5.0, 100.0),
    "lever.hand_travel": (0.01, 300.0, 3000.0),
    "lever.stiffness": (0.2, 1e6),
    "arm.return_torque": (0.0, 50.0),
    "arm.return_rate": (0.0, 5.0),
    "arm.shaft_stiffness": (0.01, 1e5),
    "faces.cushion_travel": (0.0, 4.0),
    "spring.friction": (0.0, 0.6),
    "release.max_rotation": (0.01, 170.0),
    "lever.efficiency": (0.05, 1.0),
    "arm.efficiency": (0.05, 1.0),
}


@st.composite
def _rising(draw: Any, span: float, top: float) -> tuple[list[float], list[float]]:
    """Return rising readings of any shape over a span, up to a top."""
    steps = draw(st.lists(st.tuples(SHARES, SHARES), min_size=1, max_size=9))
    x, y = [0.0], [0.0]
    for across, up in steps:
        x.append(x[-1] + across)
        y.append(y[-1] + up)
    return [span * v / x[-1] for v in x], [top * v / y[-1] for v in y]


@st.composite
def _springs(draw: Any) -> Document:
    """Return a [spring] table of any shape, loads below zero among them."""
    across = draw(st.lists(SHARES, min_size=1, max_size=9))
    x = [0.0]
    for step in across:
        x.append(x[-1] + step)
    loads = st.one_of(st.floats(-500, 6000), st.sampled_from([0.0, 3000.0, 3000.0, 1e-9]))
    y = [0.0, *(draw(loads) for _ in across)]
    span = draw(st.floats(2, 12))
    return {
        "kind": "table",
        "deflection": [span * v / x[-1] for v in x],
        "load": y,
        "installed_deflection": span * draw(st.floats(0.05, 0.98)),
    }


@st.composite
def awkward_documents(draw: Any) -> Document:
    """Return a geometry file with awkward tables and some numbers at their bounds."""
    document = draw(documents())
    for table, span, top in (("lever", 60.0, 26.0), ("arm", 50.0, 37.0), ("release", 40.0, 3.5)):
        if not draw(st.booleans()):
            continue
        x, y = draw(_rising(span, top * draw(st.floats(0.2, 3))))
        if table == "release":
            document[table] = {"kind": "profile", "angle": x, "travel": y}
            continue
        kept = {"hand_travel", "stiffness", "efficiency", "return_torque", "shaft_stiffness"}
        common = {k: v for k, v in document[table].items() if k in kept}
        hand = {"hand_radius": 80.0} if table == "lever" else {}
        document[table] = {"kind": "profile", "angle": x, "pull": y, **hand, **common}
    if draw(st.booleans()):
        document["spring"] = draw(_springs())
    for dotted in draw(st.lists(st.sampled_from(sorted(EXTREMES)), max_size=4, unique=True)):
        table, name = dotted.split(".")
        document[table] = document[table] | {name: draw(st.sampled_from(EXTREMES[dotted]))}
    return document
