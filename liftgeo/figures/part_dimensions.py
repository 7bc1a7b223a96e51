"""Each part with its sizes as dimension lines: a letter at each to measure after, or its number.

To be measured, a part is drawn as it lies on the bench: the unit at rest, the spring free, the pack
without gaps. In the drawing of a mechanism the sizes stand at the view at rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes

from liftgeo.figures.clutch_sizes import pack_sizes, spring_sizes
from liftgeo.figures.drawing_paper import Pad, box_of, lay_out, room_mm, whole_room
from liftgeo.figures.shape_lines import plot_view
from liftgeo.figures.sign_sizes import cable_sign, rod_sign
from liftgeo.figures.sizes import (
    Angle,
    Length,
    Said,
    Size,
    Spot,
    keys_of_sizes,
    plot_sizes,
)
from liftgeo.figures.style import styled
from liftgeo.figures.unit_sizes import unit_sizes
from liftgeo.mechanism import Mechanism
from liftgeo.outline.plates import plate_view, spring_view
from liftgeo.outline.shapes import View
from liftgeo.outline.units import unit_view
from liftgeo.words import drawing as words

_PAD = Pad(14.0, 14.0, 14.0, 9.0)
_ROUND, _HEIGHTS_MM = Pad(12.0, 16.0, 12.0, 9.0), 18.0
_ABOVE_MM, _SLANTED_MM, _BELOW_MM = 12.5, 15.0, 26.0
_PACK_PAD = Pad(24.0, 12.0, 14.0, 17.0)
_HEAVY_PT = 1.2
_BENCH_TURN_RAD = {"ball-ramp": float(np.radians(25.0))}
_TURN_RAD = 0.5
_LEAST = 0.3  # mm or deg: less has no line in the drawing of a mechanism
SIGNS = {"cable": cable_sign, "rod": rod_sign}
"""Parts that are drawn as a sign, not to scale."""


def sized_on_the_bench(mechanism: Mechanism, table: str) -> tuple[View, list[Size]]:
    """Return a part as it is drawn to be measured, and its sizes.

    Parameters
    ----------
    mechanism : Mechanism
        A whole one.
    table : {"cable", "release", "rod", "spring", "faces"}
    """
    keys = mechanism.inward
    if table in SIGNS:
        sign = SIGNS[table](mechanism)
        return sign.view, list(sign.sizes)
    if table == "release":
        turn = _BENCH_TURN_RAD.get(str(keys["release.kind"]), _TURN_RAD)
        view, sizes_of = unit_view(keys, 0.0, 0.0, turn), unit_sizes
        if str(keys["release.kind"]) == "quick-thread":
            extra, sizes = sizes_of(mechanism, view, box_of([view]), True)
            return replace(view, shapes=extra), sizes
    elif table == "spring":
        view, sizes_of = spring_view(keys, 0.0), spring_sizes
    else:
        view, sizes_of = plate_view(keys, 0.0, 1.0), pack_sizes
    extra, sizes = sizes_of(mechanism, view, box_of([view]), True)
    return replace(view, shapes=(*view.shapes, *extra)), sizes


def dimensioned(mechanism: Mechanism, table: str) -> tuple[str, ...]:
    """Return the keys that the drawing of a part to be measured has a dimension or leader for."""
    return keys_of_sizes(sized_on_the_bench(mechanism, table)[1])


@styled
def plot_part_sizes(
    mechanism: Mechanism, table: str, texts: Mapping[str, str], *, ax: Axes
) -> Axes:
    """Draw a part with the sizes that are measured on it.

    Parameters
    ----------
    mechanism : Mechanism
        A whole one.
    table : {"cable", "release", "rod", "spring", "faces"}
    texts : mapping of str to str
        What stands at each dimension, by dotted key; others are not drawn.
    ax : Axes
    """
    view, sizes = sized_on_the_bench(mechanism, table)
    box = box_of([view])
    pad = _pad(table)
    per_mm = lay_out(ax, box, whole_room(box, room_mm(ax), pad), pad)
    plot_view(view, ax=ax, weight_pt=_HEAVY_PT)
    said = {key: Said(text) for key, text in texts.items() if text}
    plot_sizes(sizes, said, ax=ax, per_mm=per_mm, box=box)
    return ax


def _pad(table: str) -> Pad:
    return _PACK_PAD if table == "faces" else _PAD


def filled_mm(mechanism: Mechanism, table: str, across: float) -> float:
    """Return the height [mm] at which the drawing of a part fills a width."""
    return _pad(table).filled(box_of([sized_on_the_bench(mechanism, table)[0]]), across)


def sizes_of_views(
    mechanism: Mechanism, table: str, views: Sequence[View]
) -> tuple[View, list[Size]]:
    """Return what is drawn beside a unit or spring through its stroke, and its sizes at rest.

    Parameters
    ----------
    mechanism : Mechanism
    table : {"release", "spring"}
    views : sequence of View
        At every position, the first at rest.
    """
    sizes_of = unit_sizes if table == "release" else spring_sizes
    extra, sizes = sizes_of(mechanism, views[0], box_of(views), False)
    there: list[Size] = [s for s in sizes if not isinstance(s, Spot) and s.size > _LEAST]
    return replace(views[0], shapes=extra), there


def said_of(
    mechanism: Mechanism, sizes: Sequence[Size], units: str, stock: Mechanism | None = None
) -> dict[str, Said]:
    """Return what stands at each size: as measured, in brackets what follows, else as assumed."""
    found = {}
    for size in sizes:
        if isinstance(size, Spot):
            continue
        turned = isinstance(size, Angle) or size.number_deg is not None
        dimension = "angle" if turned else "length"
        text, given = words.size_text(mechanism, size.key, size.size, dimension, units, stock)
        found[size.key] = Said(text, given)
    return found


def pad_of(sizes: Sequence[Size]) -> Pad:
    """Return the room that the sizes of a unit or spring need around it."""
    if any(isinstance(size, Length) and size.half for size in sizes):
        return _ROUND._replace(right=_HEIGHTS_MM, bottom=_BELOW_MM)
    if any(isinstance(size, Length) and size.key == "release.crank_radius" for size in sizes):
        return _ROUND._replace(top=_SLANTED_MM)
    above = any(isinstance(s, Length) and s.beyond_mm > 0 and s.offset_mm > 0 for s in sizes)
    return _ROUND._replace(top=_ABOVE_MM) if above else _ROUND
