"""One sheet of a mechanism drawn to scale: both ends, release unit, spring, plates, title block."""

from __future__ import annotations

from collections.abc import Callable

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from liftgeo.errors import RequestError
from liftgeo.figures.dimension_lines import text_width_mm
from liftgeo.figures.drawing_paper import A4_MM, MM_PER_IN, box_of, scale_text
from liftgeo.figures.drawings import (
    END_PAD,
    plot_clamping_spring,
    plot_finger,
    plot_link,
    plot_plate_pack,
    plot_release_unit,
)
from liftgeo.figures.page import going_on, wrapped
from liftgeo.figures.part_dimensions import sizes_of_views
from liftgeo.figures.shape_lines import DASHES, STOCK, weights
from liftgeo.figures.sizes import keys_of_sizes
from liftgeo.figures.style import DRAWING_PT, GREY, INK, styled
from liftgeo.outcome.results import Result
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.studies.drawn import Drawn
from liftgeo.version import __version__
from liftgeo.words import drawing as words
from liftgeo.words.lines import one_line
from liftgeo.words.verdict import warning_names

MARGIN_MM = 10.0
_WIDE_MM = A4_MM[0] - 2 * MARGIN_MM
_TITLE_PT, _HEAD_PT = 13.0, 9.0
_LINE_MM = 3.6
_SHORT_NAMES = 0.25  # share of a column that names of one word need
_SIDE_MM = 50.0  # column of numbers beside each end
_ROW_MM = 84.0
_WIDEST_ROW_MM = 70.0
_BLOCK_LINES = 5  # at least
MOST_POSITIONS = 8
_MOST_FOOT = 8
_MOST_TITLE = 2


class Sheet:
    """A figure of a sheet's size on which things are placed in mm from the lower left corner."""

    def __init__(self, size_mm: tuple[float, float] = A4_MM) -> None:
        self.size_mm = size_mm
        self.figure = Figure(figsize=(size_mm[0] / MM_PER_IN, size_mm[1] / MM_PER_IN))

    def axes(self, left: float, bottom: float, wide: float, tall: float) -> Axes:
        """Return Axes of a size at a place [mm]."""
        across, up = self.size_mm
        return self.figure.add_axes((left / across, bottom / up, wide / across, tall / up))

    def text(
        self, x: float, y: float, text: str, size: float = DRAWING_PT, weight: str = "normal",
        ha: str = "left", colour: str = "black",
    ) -> None:  # fmt: skip
        """Write a line whose top is at a place [mm]."""
        across, up = self.size_mm
        self.figure.text(
            x / across, y / up, text, fontsize=size, fontweight=weight, ha=ha, va="top",
            color=colour,
        )  # fmt: skip

    def line(self, x: tuple[float, float], y: tuple[float, float], **looks: object) -> None:
        """Draw a line between two places [mm]."""
        across, up = self.size_mm
        drawn = Line2D(
            [v / across for v in x],
            [v / up for v in y],
            transform=self.figure.transFigure,
            **{"color": GREY, "linewidth": 0.6, **looks},  # type: ignore[arg-type]
        )
        self.figure.add_artist(drawn)

    def lines(self, x: float, y: float, lines: list[str], size: float = DRAWING_PT) -> float:
        """Write lines downward; return where the next would begin [mm]."""
        for line in lines:
            self.text(x, y, line, size)
            y -= _LINE_MM
        return y

    def columns(
        self, x: float, y: float, rows: list[list[str]], wide: float, share: float = 0.4
    ) -> float:
        """Write rows of a name and numbers, the numbers to the right; return the next place."""
        count = max(len(rows[0]) - 1, 1)
        first = share * wide if count > 1 else 0.5 * wide
        step = (wide - first) / count
        for row in rows:
            self.text(x, y, row[0], colour=GREY)
            for c, cell in enumerate(row[1:]):
                self.text(x + first + step * (c + 1), y, cell, ha="right")
            y -= _LINE_MM
        return y


@styled
def drawing_sheet(
    drawn: Drawn, result: Result, *, units: str = "metric", stock: Drawn | None = None
) -> Figure:
    """Return one A4 sheet of a mechanism to scale, each view with its own scale.

    Parameters
    ----------
    drawn : Drawn
        From `liftgeo.drawn`.
    result : Result
        Of the same mechanism: its warnings stand at the foot.
    units : {"metric", "inch"}
        Units of the dimensions.
    stock : Drawn, optional
        The unchanged mechanism at its own positions, drawn in grey below.

    Raises
    ------
    RequestError
        More positions than one sheet can show.
    """
    if len(drawn.positions) > MOST_POSITIONS:
        raise RequestError(
            f"{len(drawn.positions)} positions are too many for one sheet; at most "
            f"{MOST_POSITIONS}. Ask for fewer, or for --animate."
        )
    sheet = Sheet()
    foot = _foot_lines(drawn, result)
    top = _head(sheet, drawn)
    bottom = MARGIN_MM + len(foot) * _LINE_MM + 1.5
    sheet.lines(MARGIN_MM, bottom - 1.5, foot)
    scales: dict[str, float] = {}
    bottom = _title_block(sheet, drawn, stock, bottom, units) + 2.0
    has_row = drawn.mechanism.level != "ratio"
    row_top = bottom + (_ROW_MM if has_row else 0.0)
    if has_row:
        _lower_row(sheet, drawn, stock, bottom, units, scales)
    tall = top - row_top
    lever = tall * _share_of_lever(drawn)
    _end(sheet, drawn, stock, "lever", row_top + tall - lever, lever, units, scales)
    _end(sheet, drawn, stock, "arm", row_top, tall - lever, units, scales)
    return sheet.figure


def _share_of_lever(drawn: Drawn) -> float:
    """Return the share of the height that the lever end takes of both ends."""
    views = [drawn.views(place) for place in drawn.positions]
    pads = END_PAD.bottom + END_PAD.top
    lever, arm = (box_of([v[t] for v in views]).size[1] + pads for t in ("lever", "arm"))
    return min(max(lever / (lever + arm), 0.42), 0.58)


def _head(sheet: Sheet, drawn: Drawn) -> float:
    """Write the title; return where it ends."""
    mechanism = drawn.mechanism
    y = A4_MM[1] - MARGIN_MM
    inside = _WIDE_MM / MM_PER_IN
    title = wrapped(words.title_text(mechanism), inside, _TITLE_PT, "bold")
    for line in _cut(title):
        sheet.text(MARGIN_MM, y, line, _TITLE_PT, "bold")
        y -= 5.8
    if mechanism.change:
        for line in _cut(wrapped(f"with {one_line(mechanism.change)}", inside, _HEAD_PT)):
            sheet.text(MARGIN_MM, y, line, _HEAD_PT)
            y -= 4.4
    return y - 0.5


def _cut(lines: list[str]) -> list[str]:
    """Return the first lines of a title somebody made very long."""
    return lines if len(lines) <= _MOST_TITLE else [*lines[: _MOST_TITLE - 1], going_on(lines[1])]


def _foot_lines(drawn: Drawn, result: Result) -> list[str]:
    inside = _WIDE_MM / MM_PER_IN
    warned = wrapped(warning_names(result), inside, DRAWING_PT) if result.warnings else []
    texts = [words.dashed_line(drawn), words.usual_line(drawn.mechanism)]
    lines = [line for text in texts if text for line in wrapped(text, inside, DRAWING_PT)]
    most = max(_MOST_FOOT - len(warned), 1)  # of what is not a warning
    if len(lines) > most:
        lines = [*lines[: most - 1], going_on(lines[most - 1])]
    return [
        *(line for line in warned if line),
        *lines,
        *wrapped(WORK_SAFELY_IN_BRIEF, inside, DRAWING_PT),
    ]


def _end(
    sheet: Sheet,
    drawn: Drawn,
    stock: Drawn | None,
    table: str,
    bottom: float,
    tall: float,
    units: str,
    scales: dict[str, float],
) -> None:
    """Place one end: its drawing, and beside it the numbers that change along the stroke."""
    head = 5.0
    ax = sheet.axes(MARGIN_MM, bottom, _WIDE_MM - _SIDE_MM, tall - head)
    plot_link(drawn, table, ax=ax, units=units, stock=stock)
    _named(sheet, ax, drawn, table, MARGIN_MM, bottom + tall, scales)
    x, y = A4_MM[0] - MARGIN_MM - _SIDE_MM + 2.0, bottom + tall - head - 2.0
    y = sheet.columns(x, y, words.end_rows(drawn, table, units), _SIDE_MM - 2.0)
    view = drawn.views(drawn.full)[table]
    notes = [words.view_note(view, drawn.mechanism, drawn.magnified)]
    if table == "arm":
        notes.insert(0, _angles(drawn))
    notes += words.gap_notes(drawn, table, units)
    inside = (_SIDE_MM - 3.0) / MM_PER_IN
    for note in filter(None, notes):
        y = sheet.lines(x, y - 1.0, wrapped(note, inside, DRAWING_PT))
    sheet.line((MARGIN_MM, A4_MM[0] - MARGIN_MM), (bottom, bottom))


def _angles(drawn: Drawn) -> str:
    """Return the angle of cable to arm at rest, half way and full lever."""
    from liftgeo.studies.drawn import drawn as place

    found = place(drawn.mechanism, ["0%", "50%", "100%"]).positions
    return words.arm_angle_line(*(p.cable_to_arm_deg for p in found))


def _named(
    sheet: Sheet, ax: Axes, drawn: Drawn, name: str, x: float, top: float, scales: dict[str, float]
) -> None:
    """Write what a view is called and its scale above it."""
    wide = ax.get_position().width * A4_MM[0]
    across = ax.get_xlim()
    scales[name] = wide / (across[1] - across[0])
    title = words.view_title(name, drawn.mechanism)
    sheet.text(x, top - 0.8, f"{title}, {scale_text(scales[name])}", _HEAD_PT, "bold")


def _lower_row(
    sheet: Sheet,
    drawn: Drawn,
    stock: Drawn | None,
    bottom: float,
    units: str,
    scales: dict[str, float],
) -> None:
    """Place release unit, spring (and finger) and plates in a row, as far as the file reaches."""
    there = drawn.views(drawn.full)
    names = [n for n in ("release", "spring", "fingers", "plates") if n in there]
    shares = {"release": 1.2, "spring": 1.1, "fingers": 0.75, "plates": 1.15}
    whole = sum(shares[n] for n in names)
    x = MARGIN_MM
    for name in names:
        wide = _WIDE_MM * shares[name] / whole
        _cell(sheet, drawn, stock, name, x, bottom, wide, units, scales)
        x += wide
        if name != names[-1]:
            sheet.line((x, x), (bottom + 1.0, bottom + _ROW_MM - 1.0))
    sheet.line((MARGIN_MM, A4_MM[0] - MARGIN_MM), (bottom, bottom))


def _cell(
    sheet: Sheet,
    drawn: Drawn,
    stock: Drawn | None,
    name: str,
    x: float,
    bottom: float,
    wide: float,
    units: str,
    scales: dict[str, float],
) -> None:
    """Place one view of the row, with its note and numbers below it."""
    mechanism = drawn.mechanism
    inside = (wide - 4.0) / MM_PER_IN
    note = wrapped(
        words.view_note(drawn.views(drawn.full)[name], mechanism, drawn.magnified), inside
    )
    table = {"plates": "stack", "fingers": "rod"}.get(name, name)
    rows = []
    if name in ("release", "spring"):
        views = [drawn.views(place)[name] for place in drawn.positions]
        shown = keys_of_sizes(sizes_of_views(mechanism, name, views)[1])
        rows = words.read_rows(mechanism, table, units, shown)
    numbers = words.plate_rows(drawn, units) if name == "plates" else []
    lines = [line for key, value in rows for line in _in_cell(key, value, wide - 4.0)]
    count = len(lines) + len(numbers)
    below = count * _LINE_MM + 1.5
    top = bottom + _ROW_MM
    ax_top = top - 5.0 - len(note) * _LINE_MM
    ax = sheet.axes(x + 1.0, bottom + below, wide - 2.0, max(ax_top - bottom - below, 12.0))
    plots: dict[str, Callable[[], Axes]] = {
        "release": lambda: plot_release_unit(drawn, ax=ax, units=units, stock=stock),
        "spring": lambda: plot_clamping_spring(drawn, ax=ax, units=units, stock=stock),
        "fingers": lambda: plot_finger(drawn, ax=ax, units=units, stock=stock),
        "plates": lambda: plot_plate_pack(drawn, ax=ax, units=units),
    }
    plots[name]()
    _named(sheet, ax, drawn, name, x + 1.5, top, scales)
    sheet.lines(x + 1.5, top - 5.2, note)
    y = bottom + below - 0.5
    if numbers:
        sheet.columns(x + 1.5, y, numbers, wide - 4.0, _SHORT_NAMES)
    for key, value in lines:
        sheet.text(x + 1.5, y, key, colour=GREY)
        sheet.text(x + min(wide - 2.0, _WIDEST_ROW_MM), y, value, ha="right")
        y -= _LINE_MM


def _in_cell(key: str, value: str, wide: float) -> list[tuple[str, str]]:
    """Return a name and its number on one line where a width [mm] holds both, else on two."""
    if text_width_mm(f"{key}  {value}") <= wide:
        return [(key, value)]
    return [(key, ""), ("", value)]


def _title_block(
    sheet: Sheet, drawn: Drawn, stock: Drawn | None, bottom: float, units: str
) -> float:
    """Write what the lines mean and what made the sheet; return where it ends at the top."""
    places = list(zip(drawn.positions, weights(len(drawn.positions)), strict=True))
    rows = len(places) + (1 if stock is None else 2)
    top = bottom + max(rows, _BLOCK_LINES) * _LINE_MM + 2.5
    left, right = MARGIN_MM, A4_MM[0] - MARGIN_MM
    middle = left + 0.57 * (right - left)
    y = top - 2.0
    for place, weight in places:
        apart = words.separation_text(place, units)
        text = words.place_text(place, units) + (f", {apart}" if apart else "")
        sheet.line((left + 1, left + 13), (y - 1.2, y - 1.2), color=INK, linewidth=weight)
        sheet.text(left + 15, y, text)
        y -= _LINE_MM
    dashes = {"color": INK, "linewidth": 1.2, "linestyle": DASHES}
    sheet.line((left + 1, left + 13), (y - 1.2, y - 1.2), **dashes)
    sheet.text(left + 15, y, "not in the file; dash and dot: moment arm of the cable")
    if stock is not None:
        y -= _LINE_MM
        sheet.line((left + 1, left + 13), (y - 1.2, y - 1.2), color=STOCK, linewidth=1.6)
        sheet.text(left + 15, y, "grey: as it stands, before the change")
    unit = "mm" if units == "metric" else "inches"
    said = [
        f"Dimensions in {unit}, at rest, as measured;",
        "in brackets what follows, dashed what is assumed.",
        "Positions under load, pulling. Lever and arm each",
        "in a frame of their own. Scales hold on A4.",
        f"Drawn by liftgeo {__version__}",
    ]
    sheet.lines(middle + 2, top - 2.0, said)
    sheet.line((middle, middle), (bottom, top))
    for y in (bottom, top):
        sheet.line((left, right), (y, y), linewidth=1.0)
    return top
