"""Drawings of one mechanism: lever end, actuator end, release unit, spring, finger, plates.

Each takes what `liftgeo.drawn` returns, and `ax=`, and draws it to scale at every position it
holds; the shapes come from `Drawn.views`, so a page that draws those itself shows the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from liftgeo.figures.dimension_lines import plot_arc_dimension, plot_dimension
from liftgeo.figures.drawing_paper import (
    Pad,
    box_of,
    lay_out,
    room_mm,
    scale_bar,
    scale_for,
    whole_room,
)
from liftgeo.figures.labels import notes_on
from liftgeo.figures.link_sizes import link_sizes
from liftgeo.figures.part_dimensions import pad_of, said_of, sizes_of_views
from liftgeo.figures.shape_lines import HEAVY_PT, LIGHT_PT, STOCK, SWEPT, plot_view, weights
from liftgeo.figures.sizes import Said, plot_sizes
from liftgeo.figures.style import DRAWING_PT, GREY, styled
from liftgeo.outline.links import Outline
from liftgeo.outline.outlined import swept_by_arm
from liftgeo.outline.shapes import View
from liftgeo.studies.drawn import Drawn
from liftgeo.words import drawing as words
from liftgeo.words.foot import as_worked

_ALONE_IN = (6.3, 4.2)
END_PAD = Pad(9.0, 13.0, 3.0, 6.0)
BENCH_PAD = Pad(9.0, 9.0, 9.0, 9.0)
CELL_PAD = Pad(2.0, 7.0, 2.0, 2.0)
_ARC_MM = 4.5
_PERPENDICULAR = (0, (7, 2, 1.5, 2))


def common_frames(drawn: Drawn, stock: Drawn | None) -> tuple[Outline, Outline | None]:
    """Return lever and arm of a mechanism and of the unchanged one, each pair in one frame.

    Points of a file and a pivot that a change moves both keep the frame of the unchanged link;
    where only one of the two is given by points, each stands in its own.
    """
    ours = drawn.outline
    if stock is None:
        return ours.as_drawn(), None
    theirs = stock.outline
    if ours.given != theirs.given:
        return ours.in_own_frame(), theirs.in_own_frame()
    return ours, theirs


def _prepared(ax: Axes | None) -> Axes:
    """Return the Axes given, or those of a new figure."""
    if ax is not None:
        return ax
    return Figure(figsize=_ALONE_IN).add_axes((0.02, 0.02, 0.96, 0.96))


def _views(drawn: Drawn, points: Outline | None, name: str) -> list[View]:
    """Return one view at each position; none where the file does not reach so far."""
    every = (drawn.views(place, points) for place in drawn.positions)
    return [found[name] for found in every if name in found]


def _draw(
    name: str,
    drawn: Drawn,
    ax: Axes,
    stock: Drawn | None,
    scale: float | None,
    pad: Pad,
    beside: View | None = None,
    *,
    measured: bool = False,
) -> tuple[list[View], float]:
    """Draw a view at all positions, the unchanged mechanism in grey below; return it and per_mm.

    The last position is the heaviest; where the part is to be measured, that at rest.
    """
    ours, theirs = common_frames(drawn, stock)
    views = _views(drawn, ours, name)
    below = _views(stock, theirs, name) if stock is not None else []
    if not views:
        ax.set_axis_off()
        return [], 1.0
    more = [beside] if beside is not None and beside.shapes else []
    box = box_of([*views, *below, *more])
    scale = scale or scale_for(box, room_mm(ax), pad)
    per_mm = lay_out(ax, box, scale, pad)
    for view, weight in zip(below, weights(len(below)), strict=True):
        plot_view(view, ax=ax, weight_pt=weight, colour=STOCK, fixed=view is below[0])
    for view, weight in zip(views, weights(len(views))[:: -1 if measured else 1], strict=True):
        plot_view(view, ax=ax, weight_pt=weight, fixed=view is views[0])
    for view in more:
        plot_view(view, ax=ax, weight_pt=LIGHT_PT)
    return views, per_mm


@styled
def plot_link(
    drawn: Drawn,
    table: str,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    stock: Drawn | None = None,
    scale: float | None = None,
    dimensions: bool = True,
    names: bool = True,
    texts: Mapping[str, str] | None = None,
) -> Axes:
    """Draw lever end or actuator end to scale, with its distances as they were measured.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`.
    table : {"lever", "arm"}
    ax : Axes, optional
    units : {"metric", "inch"}
    stock : Drawn, optional
        The unchanged mechanism, drawn in grey below.
    scale : float, optional
        Paper over real; by default the largest usual one that fits the Axes.
    dimensions, names : bool
        Whether distances are dimensioned and points named.
    texts : mapping of str to str, optional
        What to write at a dimension in place of its number, by dotted key; only these are drawn,
        without moment arms and scale bar: a drawing to measure after.
    """
    ax = _prepared(ax)
    if texts is not None and scale is None:
        box = box_of(_views(drawn, drawn.outline.as_drawn(), table))
        scale = whole_room(box, room_mm(ax), BENCH_PAD)
    pad = END_PAD if texts is None else BENCH_PAD
    views, per_mm = _draw(table, drawn, ax, stock, scale, pad, measured=texts is not None)
    first, last = views[0], views[-1]
    if texts is None:
        _moment_arms(ax, drawn, table, (first, last) if len(views) > 1 else (first,))
        if table == "arm":
            _swept(ax, drawn, stock)
    if dimensions:
        _distances(ax, drawn, table, first, per_mm, units, stock, texts)
        more = link_sizes(drawn, table, first, per_mm, bench=texts is not None)
        said = (
            said_of(drawn.mechanism, more, units, stock.mechanism if stock is not None else None)
            if texts is None
            else {key: Said(text) for key, text in texts.items() if text}
        )
        plot_sizes(more, said, ax=ax, per_mm=per_mm, box=box_of(views))
    if names:
        for point, word in words.POINT_WORDS[table].items():
            if point in first.points:
                word = as_worked(word, drawn.mechanism)
                notes_on(ax).add(word, *first.points[point], color=GREY, fontsize=DRAWING_PT)
    if texts is None:
        scale_bar(ax, 1 / per_mm, units)
    return ax


def _swept(ax: Axes, drawn: Drawn, stock: Drawn | None) -> None:
    """Fill lightly what the arm sweeps up to the last position, where a casing is outlined."""
    turn = max(place.stand.arm_rotation_rad for place in drawn.positions)
    band = swept_by_arm(drawn.mechanism.inward, common_frames(drawn, stock)[0].arm, turn)
    if band is not None:
        ax.fill(*band.points.T, color=SWEPT, linewidth=0, zorder=-0.5, gid=band.name)


def _distances(
    ax: Axes,
    drawn: Drawn,
    table: str,
    view: View,
    per_mm: float,
    units: str,
    stock: Drawn | None,
    texts: Mapping[str, str] | None,
) -> None:
    """Draw the dimension lines of one end at rest, where the moving parts do not go."""
    mechanism = drawn.mechanism
    before = stock.mechanism if stock is not None else None
    kind = str(mechanism.keys.get(f"{table}.kind", "pin"))
    link = getattr(drawn.outline.as_drawn(), table)
    turning = link.turning
    centre = np.mean([view.points[p] for p in view.points if p != "hand"], axis=0)
    for key, first, last in words.DIMENSIONS[table][kind]:
        if first not in view.points or last not in view.points:
            continue
        start, end = view.points[first], view.points[last]
        text = words.distance_text(
            mechanism, f"{table}.{key}", float(np.hypot(*(end - start))), units, before
        )
        if texts is not None:
            text = texts.get(f"{table}.{key}", "")
            if not text:
                continue
        if {first, last} <= {"pivot", "pin"} or last == "hand":
            side = -turning  # where it comes from
        else:
            side = -_side_of(start, end, centre)
        plot_dimension(
            start,
            end,
            text,
            ax=ax,
            offset_mm=6.5 * side,
            per_mm=per_mm,
            # Off the pin, which swings below its middle, and off the angle between the two.
            text_at=0.5
            if last != "hand"
            else 0.74
            if "lever.hand_angle" in mechanism.given
            else 0.66,
        )
    if table == "lever" and "hand" in view.points and len(drawn.positions) > 1:
        own = None if texts is None else texts.get("lever.hand_travel", "")
        if own != "":
            _hand_travel(ax, drawn, view, turning, per_mm, units, own)


def _side_of(start: np.ndarray, end: np.ndarray, point: np.ndarray) -> float:
    """Return +1 where a point lies to the left of the way from start to end, else -1."""
    along, away = end - start, point - start
    return 1.0 if along[0] * away[1] - along[1] * away[0] > 0 else -1.0


def _hand_travel(
    ax: Axes,
    drawn: Drawn,
    view: View,
    turning: int,
    per_mm: float,
    units: str,
    own: str | None,
) -> None:
    """Draw the way of the hand from rest to full lever along its arc."""
    pivot = view.points["pivot"]
    out = view.points["hand"] - pivot
    first = float(np.arctan2(out[1], out[0]))
    turned = [place.stand.lever_angle_rad for place in drawn.positions]
    angles = first + turning * min(turned), first + turning * max(turned)
    radius = float(np.hypot(*out)) + _ARC_MM * per_mm
    mm = max(place.hand_travel_mm for place in drawn.positions)
    text = own or words.hand_travel_text(drawn.mechanism, mm, units)
    plot_arc_dimension(pivot, radius, angles, text, ax=ax, per_mm=per_mm)


def _moment_arms(ax: Axes, drawn: Drawn, table: str, views: tuple[View, ...]) -> None:
    """Draw the moment arm of the cable: from the pivot, square to the cable."""
    for view in views:
        pivot, cable = view.points["pivot"], view.named("cable").points
        along = cable[-1] - cable[0]
        along = along / max(float(np.hypot(*along)), 1e-9)
        foot = cable[0] + ((pivot - cable[0]) @ along) * along
        ax.plot(
            [pivot[0], foot[0]],
            [pivot[1], foot[1]],
            color=GREY,
            linewidth=0.7,
            linestyle=_PERPENDICULAR,
            zorder=1.5,
            gid="moment arm",
        )


def _sized_cell(
    name: str,
    drawn: Drawn,
    ax: Axes | None,
    units: str,
    stock: Drawn | None,
    scale: float | None,
    dimensions: bool,
) -> Axes:
    """Draw release unit or spring at all positions, its sizes at rest, a bar for the scale."""
    ax = _prepared(ax)
    views = _views(drawn, None, name)
    if not dimensions or not views:
        _, per_mm = _draw(name, drawn, ax, stock, scale, CELL_PAD)
        scale_bar(ax, 1 / per_mm, units)
        return ax
    beside, sizes = sizes_of_views(drawn.mechanism, name, views)
    before = stock.mechanism if stock is not None else None
    said = said_of(drawn.mechanism, sizes, units, before)
    pad = pad_of(sizes) if sizes else CELL_PAD
    _, per_mm = _draw(name, drawn, ax, stock, scale, pad, beside)
    plot_sizes(sizes, said, ax=ax, per_mm=per_mm, box=box_of(views))
    scale_bar(ax, 1 / per_mm, units)
    return ax


@styled
def plot_release_unit(
    drawn: Drawn,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    stock: Drawn | None = None,
    scale: float | None = None,
    dimensions: bool = True,
) -> Axes:
    """Draw the release unit to scale, as its kind is seen best; the rod travels upward.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`, of a file with a release unit.
    ax : Axes, optional
    units : {"metric", "inch"}
    stock : Drawn, optional
        The unchanged mechanism, drawn in grey below.
    scale : float, optional
        Paper over real; by default the largest usual one that fits the Axes.
    dimensions : bool
        Whether its main sizes are dimensioned.
    """
    return _sized_cell("release", drawn, ax, units, stock, scale, dimensions)


@styled
def plot_clamping_spring(
    drawn: Drawn,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    stock: Drawn | None = None,
    scale: float | None = None,
    dimensions: bool = True,
) -> Axes:
    """Draw the clamping spring at its height at every position, to scale.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`, of a file with a spring.
    ax : Axes, optional
    units : {"metric", "inch"}
    stock : Drawn, optional
        The unchanged mechanism, drawn in grey below.
    scale : float, optional
        Paper over real; by default the largest usual one that fits the Axes.
    dimensions : bool
        Whether its main sizes are dimensioned.
    """
    return _sized_cell("spring", drawn, ax, units, stock, scale, dimensions)


@styled
def plot_finger(
    drawn: Drawn,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    stock: Drawn | None = None,
    scale: float | None = None,
) -> Axes:
    """Draw one finger at every position: the ratio of its arms is to scale, nothing else known.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`, of a file whose finger ratio is not 1.
    ax : Axes, optional
    units : {"metric", "inch"}
    stock : Drawn, optional
        The unchanged mechanism, drawn in grey below.
    scale : float, optional
        Paper over real; by default the largest usual one that fits the Axes.
    """
    ax = _prepared(ax)
    _draw("fingers", drawn, ax, stock, scale, CELL_PAD)
    return ax


@styled
def plot_plate_pack(
    drawn: Drawn,
    *,
    ax: Axes | None = None,
    units: str = "metric",
    scale: float | None = None,
) -> Axes:
    """Draw half a section of the pack at rest and as far as it parts, the gaps magnified.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`, of a whole file.
    ax : Axes, optional
    units : {"metric", "inch"}
    scale : float, optional
        Paper over real; by default the largest usual one that fits the Axes.
    """
    ax = _prepared(ax)
    views = _views(drawn, None, "plates")
    ends = [views[0], views[-1]] if len(views) > 1 else views
    places = [drawn.positions[0], drawn.positions[-1]] if len(views) > 1 else drawn.positions
    box = box_of(ends)
    wide = box.size[0]
    step = 1.25 * wide
    whole = box._replace(right=box.right + step * (len(ends) - 1))
    pad = CELL_PAD._replace(top=5.0)
    scale = scale or scale_for(whole, room_mm(ax), pad)
    per_mm = lay_out(ax, whole, scale, pad)
    for k, (view, place) in enumerate(zip(ends, places, strict=True)):
        moved = _moved(view, k * step)
        plot_view(moved, ax=ax, weight_pt=LIGHT_PT if k < len(ends) - 1 else HEAVY_PT * 0.6)
        name = words.PLACE_WORDS.get(place.name) or words.place_text(place, units)
        ax.text(
            k * step + box.left,
            box.top + 0.8 * per_mm,
            as_worked(name, drawn.mechanism),
            ha="left",
            va="bottom",
            fontsize=DRAWING_PT,
        )
    scale_bar(ax, 1 / per_mm, units)
    return ax


def _moved(view: View, across: float) -> View:
    """Return a view moved to the right."""
    away = np.array([across, 0.0])
    shapes = tuple(replace(shape, points=shape.points + away) for shape in view.shapes)
    return replace(view, shapes=shapes)
