"""Views as plain SVG, for a notebook: every position in a weight of its own, the last heaviest."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from liftgeo.outline.shapes import Shape, View

_WIDE, _TALL = 300.0, 200.0
_EDGE = 0.06
_COLOURS = {"cable": "#b0512b", "fixed": "#5f5f5f", "symbol": "#5f5f5f"}


def svg_of(name: str, places: Sequence[View]) -> str:
    """Return one view at several positions as SVG, to scale.

    Parameters
    ----------
    name : str
        What is seen; it may hold anything.
    places : sequence of View
        The same view at each position.
    """
    from html import escape  # a notebook's business: the command line starts without it

    corners = np.array([c for view in places for shape in view.shapes for c in shape.box])
    low, high = corners.min(axis=0), corners.max(axis=0)
    edge = _EDGE * float(np.max(high - low))
    left, top = float(low[0]) - edge, -float(high[1]) - edge
    wide, tall = (float(size) + 2 * edge for size in high - low)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDE:.0f}" height="{_TALL:.0f}" '
        f'viewBox="{left:.4g} {top:.4g} {wide:.4g} {tall:.4g}" role="img" '
        f'style="background:#fff"><title>{escape(name)}</title>'
    ]
    for k, view in enumerate(places):
        weight = 0.8 + 1.2 * (k + 1) / len(places)
        parts += [_drawn(shape, weight) for shape in view.shapes]
    return "".join([*parts, "</svg>"])


def _drawn(shape: Shape, weight: float) -> str:
    looks = (
        f'fill="none" stroke="{_COLOURS.get(shape.role, "#16324a")}" stroke-width="{weight:.1f}px" '
        f'vector-effect="non-scaling-stroke"' + (' stroke-dasharray="5 4"' if shape.assumed else "")
    )
    if shape.is_circle:
        x, y = shape.points[0]
        return f'<circle cx="{x:.5g}" cy="{-y:.5g}" r="{shape.radius_mm:.5g}" {looks}/>'
    points = " ".join(f"{x:.5g},{-y:.5g}" for x, y in shape.points)
    return f'<{"polygon" if shape.closed else "polyline"} points="{points}" {looks}/>'
