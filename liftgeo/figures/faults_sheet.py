"""One sheet of a file that cannot be analysed: its numbers at their places, and what is wrong."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from liftgeo.errors import Fault
from liftgeo.figures.dimension_lines import plot_dimension
from liftgeo.figures.drawing_paper import (
    A4_MM,
    MM_PER_IN,
    Pad,
    box_of,
    lay_out,
    room_mm,
    scale_bar,
    scale_for,
    scale_text,
)
from liftgeo.figures.drawing_sheet import MARGIN_MM, Sheet
from liftgeo.figures.labels import notes_on
from liftgeo.figures.page import wrapped
from liftgeo.figures.shape_lines import MIDDLE_PT, plot_view
from liftgeo.figures.style import DRAWING_PT, GREY, RUST, styled
from liftgeo.outline.attempt import PIN_KEYS, Attempt
from liftgeo.plain_text import unbroken
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.words.drawing import FAULT_MARK, POINT_WORDS, VIEW_WORDS, as_measured, missed_text
from liftgeo.words.lines import one_line

_PAD = Pad(8.0, 13.0, 8.0, 8.0)
_LINE_MM, _TITLE_PT, _HEAD_PT = 3.6, 13.0, 9.0
_MOST_LINES = 24


@styled
def faults_sheet(
    title: str,
    tries: Mapping[str, Attempt],
    faults: Sequence[Fault],
    *,
    units: str = "metric",
) -> Figure:
    """Return one A4 sheet of what a file says of lever and arm, with every fault.

    Parameters
    ----------
    title : str
        Of the file.
    tries : mapping of str to Attempt
        Lever and arm, as far as they can be read.
    faults : sequence of Fault
        What is to be put right.
    units : {"metric", "inch"}
        Units of the dimensions.
    """
    sheet = Sheet()
    wide, inside = A4_MM[0] - 2 * MARGIN_MM, (A4_MM[0] - 2 * MARGIN_MM) / MM_PER_IN
    y = A4_MM[1] - MARGIN_MM
    head = f"{one_line(title) or 'A geometry file'}: cannot be analysed yet"
    for text in wrapped(head, inside, _TITLE_PT, "bold")[:2]:
        sheet.text(MARGIN_MM, y, text, _TITLE_PT, "bold")
        y -= 5.8
    said = _fault_lines(faults, inside)
    bottom = MARGIN_MM + (len(said) + 1) * _LINE_MM
    sheet.lines(MARGIN_MM, bottom - 1.0, said)
    tall = (y - bottom - 4.0) / 2
    bad = {fault.key for fault in faults}
    for k, table in enumerate(("lever", "arm")):
        low = y - (k + 1) * tall
        ax = sheet.axes(MARGIN_MM, low, wide, tall - 5.0)
        scale = plot_attempt(tries[table], ax=ax, bad=bad, units=units)
        sheet.text(MARGIN_MM, low + tall - 0.8, f"{VIEW_WORDS[table]}, {scale}", _HEAD_PT, "bold")
        sheet.line((MARGIN_MM, A4_MM[0] - MARGIN_MM), (low, low))
    return sheet.figure


def _fault_lines(faults: Sequence[Fault], inside: float) -> list[str]:
    """Return every fault in words, as many as a sheet holds."""
    lines: list[str] = []
    for fault in faults:
        head = f"{fault.key} = {fault.value}" if fault.value else fault.key
        text = f"{FAULT_MARK} {head}: {fault.problem} {fault.remedy}"
        lines += wrapped(unbroken(text), inside, DRAWING_PT)
    if len(lines) > _MOST_LINES:
        lines = [*lines[:_MOST_LINES], "… and more: `liftgeo check` prints all of them."]
    return [*lines, *wrapped(WORK_SAFELY_IN_BRIEF, inside, DRAWING_PT)]


def plot_attempt(
    tried: Attempt, *, ax: Axes, bad: Sequence[str] | set[str] = (), units: str = "metric"
) -> str:
    """Draw lever or arm as far as it can be read; return the scale in words.

    Parameters
    ----------
    tried : Attempt
    ax : Axes
    bad : collection of str
        Keys with a fault: their numbers are marked.
    units : {"metric", "inch"}
    """
    view = tried.view()
    box = box_of([view])
    scale = scale_for(box, room_mm(ax), _PAD)
    per_mm = lay_out(ax, box, scale, _PAD)
    plot_view(view, ax=ax, weight_pt=MIDDLE_PT)
    places = (
        (PIN_KEYS[tried.table], "pivot", "pin", 5.0),
        ("stop_distance", "pivot", "stop", -6.5),
        ("rest_length", "end", "stop", 5.0),
    )
    for key, first, last, offset in places:
        if first not in view.points or last not in view.points:
            continue
        start, end = view.points[first], view.points[last]
        text = as_measured(float(np.hypot(*(end - start))), "length", units)
        wrong = f"{tried.table}.{key}" in bad
        text += f" {FAULT_MARK}" if wrong else ""
        plot_dimension(start, end, text, ax=ax, offset_mm=offset, per_mm=per_mm)
    missed = tried.missed
    if missed is not None:
        here, there = missed
        ax.plot(*np.transpose(missed), color=RUST, linewidth=2.4, gid="missed", zorder=6)
        text = missed_text(tried.apart_mm, units)
        notes_on(ax).add(text, *((here + there) / 2), color=RUST, fontweight="bold")
    for point, word in POINT_WORDS[tried.table].items():
        if point in view.points:
            notes_on(ax).add(word, *view.points[point], color=GREY, fontsize=DRAWING_PT)
    if not math.isnan(tried.stop_mm + tried.pin_mm):
        scale_bar(ax, scale, units)
    return scale_text(scale)
