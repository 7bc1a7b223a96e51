"""The pages of a measuring sheet: drawings with letters, and a ruled blank for each number."""

from __future__ import annotations

from collections.abc import Mapping

from matplotlib.figure import Figure

from liftgeo.errors import RequestError, nearest
from liftgeo.figures.dimension_lines import text_width_mm
from liftgeo.figures.drawing_paper import A4_MM, MM_PER_IN, box_of
from liftgeo.figures.drawing_sheet import MARGIN_MM, Sheet
from liftgeo.figures.drawings import BENCH_PAD, plot_link
from liftgeo.figures.link_sizes import link_sizes
from liftgeo.figures.page import wrapped
from liftgeo.figures.part_dimensions import dimensioned, filled_mm, plot_part_sizes
from liftgeo.figures.sheet_flow import Group, Item, flowed
from liftgeo.figures.sizes import keys_of_sizes
from liftgeo.figures.style import DRAWING_PT, GREY, styled
from liftgeo.kinds import KINDS
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.analysis import stroke
from liftgeo.outcome.results import Result
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.studies.drawn import drawn
from liftgeo.version import __version__
from liftgeo.words import drawing, sheet_lines
from liftgeo.words.measuring_sheet import Asked, Block, Row, asked_of
from liftgeo.words.verdict import warning_names

PAPERS: Mapping[str, tuple[float, float]] = {"a4": A4_MM, "letter": (215.9, 279.4)}
"""Sizes of paper [mm]: ISO 216, and 8 1/2 by 11 inches."""

_LINE_MM, _ROW_MM = 3.6, 8.4
_DRAWING_MM, _DRAWING_ELSE_MM = {"cable": 34.0, "rod": 32.0, "faces": 62.0}, 46.0
_MOST_MORE_MM, _MORE_ELSE_MM = {"cable": 12.0, "rod": 12.0}, 52.0
"""How tall a drawing is at least, and how much taller where a page has room left [mm]."""
_FLATTEST_MM = 32.0  # the notes beside a drawing need it
_TITLE_PT, _HEAD_PT = 14.0, 10.0
_LETTER_MM, _KEY_MM, _WELL_MM, _BLANK_MM = 7.5, 41.0, 21.0, 40.5
_BENCH_ROWS, _MORE_READINGS_MM = 5, 98.0
_ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Letters of dimensions: without I and O, which read as one and nought."""
_DRAWN = ("lever", "cable", "arm", "release", "rod", "spring", "faces")


@styled
def measuring_sheet(
    mechanism: Mechanism | None = None,
    *,
    kinds: Mapping[str, str] | None = None,
    paper: str = "a4",
    units: str = "metric",
    written: Mapping[str, Mapping[str, str]] | None = None,
) -> list[Figure]:
    """Return the pages of a measuring sheet, to be printed and filled in by hand.

    Parameters
    ----------
    mechanism : Mechanism, optional
        From `liftgeo.load`, whole or partial: its numbers are filled in.
    kinds : mapping of str to str, optional
        Kind of "lever", "arm", "release" and "spring" where the mechanism names none; of those left
        out, the first of `liftgeo.kinds.KINDS`.
    paper : {"a4", "letter"}
    units : {"metric", "inch"}
        Of the blanks.
    written : mapping, optional
        Of lever or arm where a file leaves it unfinished and its numbers in `mechanism` are
        invented: what the file says, by key.

    Raises
    ------
    RequestError
        Paper, units or a kind of another name; a kind that the mechanism has otherwise.

    Notes
    -----
    What is said to decide most are the largest shares of `liftgeo.known`. How well each tool reads
    is common practice, without a source.
    """
    if paper not in PAPERS:
        raise RequestError(f"--paper {paper} is not known. Choose {' or '.join(PAPERS)}.")
    if units not in ("metric", "inch"):
        raise RequestError(f"units {units} is not known. Choose metric or inch.")
    asked = asked_of(mechanism, _agreed(kinds or {}, mechanism), units, written)
    size = PAPERS[paper]
    letters = _letters(asked)
    wide = size[0] - 2 * MARGIN_MM
    groups = [_opening(asked, wide, units), _first(asked, wide)]
    groups += [_block(asked, block, letters, wide, units) for block in asked.blocks]
    groups.append(_bench(asked.bench, wide, units))
    foot = wrapped(WORK_SAFELY_IN_BRIEF, wide / MM_PER_IN, DRAWING_PT)
    bottom = MARGIN_MM + (len(foot) + 1) * _LINE_MM + 2.0
    sheets = flowed(groups, size, bottom)
    for number, sheet in enumerate(sheets, 1):
        sheet.line((MARGIN_MM, size[0] - MARGIN_MM), (bottom - 1.0, bottom - 1.0))
        y = sheet.lines(MARGIN_MM, bottom - 2.0, foot)
        sheet.text(MARGIN_MM, y, f"{_named(asked)}, liftgeo {__version__}", colour=GREY)
        sheet.text(size[0] - MARGIN_MM, y, f"page {number} of {len(sheets)}", ha="right")
    return [sheet.figure for sheet in sheets]


def _agreed(kinds: Mapping[str, str], mechanism: Mechanism | None) -> Mapping[str, str]:
    """Return the kinds asked for, each known and none against the file."""
    for table, kind in kinds.items():
        if table not in ("lever", "arm", "release", "spring"):
            raise RequestError(f"{table} has no kinds. Choose lever, arm, release or spring.")
        if kind not in KINDS[table]:
            near = nearest(kind, KINDS[table])
            hint = f" Did you mean {near}?" if near else ""
            options = ", ".join(KINDS[table])
            raise RequestError(f"--{table} {kind} is not known.{hint} Choose {options}.")
        own = None if mechanism is None else mechanism.keys.get(f"{table}.kind")
        if own is not None and own != kind:
            raise RequestError(
                f"--{table} {kind}: the file has {table}.kind = {own}. Leave {table} out, or "
                "change the file."
            )
    return kinds


def _named(asked: Asked) -> str:
    name = f"Measuring sheet: {asked.title}" if asked.title else "Measuring sheet"
    return name if len(name) <= 90 else f"{name[:89]}…"


def _letters(asked: Asked) -> dict[str, str]:
    """Return the letter of every key that a drawing has a dimension or leader for, A first."""
    there = drawn_keys(asked)
    found: dict[str, str] = {}
    for block in asked.blocks:
        for row in block.rows:
            if row.key in there:
                k = len(found)
                found[row.key] = _ALPHABET[k % len(_ALPHABET)] * (1 + k // len(_ALPHABET))
    return found


def drawn_keys(asked: Asked) -> frozenset[str]:
    """Return the keys that the drawings of a sheet have a dimension or leader for."""
    found: set[str] = set()
    for block in asked.blocks:
        if block.table not in _DRAWN:
            continue
        mechanism, _ = _shown(asked, block.table)
        if block.table not in ("lever", "arm"):
            found |= set(dimensioned(mechanism, block.table))
            continue
        place = drawn(mechanism, ["0%", "100%"])
        view = place.views(place.positions[0])[block.table]
        found |= {f"{block.table}.{key}" for key in drawing.points_apart(block.table, view)}
        found |= {"lever.hand_travel"}
        sizes = link_sizes(place, block.table, view, 1.0, bench=True)
        found |= set(keys_of_sizes(sizes))
    return frozenset(found)


def _shown(asked: Asked, table: str) -> tuple[Mechanism, bool]:
    """Return the mechanism whose part is drawn, and whether it is the file's."""
    ours = asked.mechanism
    reached = ours is not None and (
        _whole(asked) is ours if table not in ("lever", "arm") else not asked.invented
    )
    if reached and ours is not None:
        return ours, True
    if table == "faces":  # two plates: between them lies a plain one, which has a row too
        return asked.sample.changed({"faces.friction_plates": 2}), False
    return asked.sample, False


def _whole(asked: Asked) -> Mechanism:
    """Return the mechanism of the file where it is whole, else the one of invented sizes."""
    ours = asked.mechanism
    whole = ours is not None and ours.level == "full" and not asked.invented
    return ours if whole and ours is not None else asked.sample


def _text_item(lines: list[str], size: float = DRAWING_PT, weight: str = "normal") -> Item:
    step = size * 0.3528 * 1.28

    def put(sheet: Sheet, y: float, more: float) -> None:
        for line in lines:
            sheet.text(MARGIN_MM, y, line, size, weight)
            y -= step

    return Item(step * len(lines) + 0.8, put)


def _opening(asked: Asked, wide: float, units: str) -> Group:
    """Return the head of the first page: title, who and when, how to fill it in."""
    inside = wide / MM_PER_IN
    group = Group("Measuring sheet")
    title = wrapped(_named(asked), inside, _TITLE_PT, "bold")
    group.items.append(_text_item(title, _TITLE_PT, "bold"))

    def who(sheet: Sheet, y: float, more: float) -> None:
        x = MARGIN_MM
        for name, share in (("Machine", 0.46), ("Date", 0.2), ("Measured by", 0.34)):
            sheet.text(x, y - 3.4, name)
            start = x + 3.0 + 1.9 * len(name)
            sheet.line((start, x + share * wide - 3.0), (y - 7.0, y - 7.0), color="black")
            x += share * wide

    group.items.append(Item(10.5, who))
    whole = _whole(asked) is asked.mechanism
    told = stroke(asked.mechanism) if whole and asked.mechanism is not None else None
    warned = warning_names(told) if isinstance(told, Result) else ""
    for text in (*sheet_lines.opening(asked, units), warned):
        if text:
            group.items.append(_text_item(wrapped(text, inside)))
    group.items.append(Item(2.0, lambda sheet, y, more: None))
    return group


def _first(asked: Asked, wide: float) -> Group:
    """Return what to measure first."""
    group = Group("Measure these first")
    if not asked.first:
        return group
    group.items.append(_text_item(["Measure these first"], _HEAD_PT + 1, "bold"))
    group.items.append(_text_item(wrapped(asked.first_of, wide / MM_PER_IN)))
    for number, (row, share) in enumerate(asked.first, 1):
        lines = sheet_lines.first_lines(number, row, share)
        group.items.append(
            _text_item(wrapped(lines[0], wide / MM_PER_IN, 9.0, "bold"), 9.0, "bold")
        )
        group.items.append(_text_item(wrapped(lines[1], wide / MM_PER_IN)))
    group.items.append(Item(3.0, lambda sheet, y, more: None))
    return group


def _block(
    asked: Asked, block: Block, letters: Mapping[str, str], wide: float, units: str
) -> Group:
    """Return a part: its drawing with what to heed beside it, and its rows."""
    group = Group(sheet_lines.block_head(block))
    group.items.append(_head_item(block, wide))
    if block.table in _DRAWN:
        group.items.append(_drawing_item(asked, block, letters, wide, units))
    elif block.care:
        group.items.append(_text_item(wrapped(block.care, wide / MM_PER_IN)))
    group.items += [_row_item(row, letters.get(row.key, ""), wide) for row in block.rows]
    group.items.append(Item(4.0, lambda sheet, y, more: None))
    return group


def _head_item(block: Block, wide: float) -> Item:
    def put(sheet: Sheet, y: float, more: float) -> None:
        sheet.line((MARGIN_MM, MARGIN_MM + wide), (y, y), color="black", linewidth=1.0)
        sheet.text(MARGIN_MM, y - 1.2, sheet_lines.block_head(block), _HEAD_PT, "bold")

    return Item(7.0, put)


def _drawing_item(
    asked: Asked, block: Block, letters: Mapping[str, str], wide: float, units: str
) -> Item:
    across = 0.61 * wide
    mechanism, reached = _shown(asked, block.table)
    notes = sheet_lines.drawing_notes(block, reached)
    texts = dict(letters)
    filled = _filled_mm(mechanism, block.table, across)
    least = min(_DRAWING_MM.get(block.table, _DRAWING_ELSE_MM), max(filled, _FLATTEST_MM))

    def put(sheet: Sheet, y: float, more: float) -> None:
        tall = least + more
        ax = sheet.axes(MARGIN_MM, y - tall, across, tall)
        if block.table in ("lever", "arm"):
            shown = drawn(mechanism, ["0%", "100%"] if block.table == "lever" else "0%")
            plot_link(shown, block.table, ax=ax, units=units, texts=texts)
        else:
            plot_part_sizes(mechanism, block.table, texts, ax=ax)
        x, down = MARGIN_MM + across + 3.0, y - 2.0
        for note in notes:
            lines = wrapped(note, (wide - across - 3.0) / MM_PER_IN)
            down = sheet.lines(x, down, lines) - 1.8

    most = _MOST_MORE_MM.get(block.table, _MORE_ELSE_MM)
    return Item(least + 1.0, put, min(max(filled - least, 0.0), most))


def _filled_mm(mechanism: Mechanism, table: str, across: float) -> float:
    """Return the height at which a drawing fills its width: more would leave it no larger."""
    if table not in ("lever", "arm"):
        return filled_mm(mechanism, table, across)
    place = drawn(mechanism, ["0%", "100%"] if table == "lever" else "0%")
    box = box_of([place.views(each)[table] for each in place.positions])
    return BENCH_PAD.filled(box, across)


def _row_item(row: Row, letter: str, wide: float) -> Item:
    """Return a number: letter, key, what and how, how well, and its blank."""
    bold = "bold" if row.first else "normal"
    told_mm = wide - _LETTER_MM - _KEY_MM - _WELL_MM - _BLANK_MM
    key = wrapped(row.name, (_KEY_MM - 2.0) / MM_PER_IN, DRAWING_PT, "bold")
    told = wrapped(sheet_lines.told(row), (told_mm - 2.0) / MM_PER_IN, DRAWING_PT, bold)
    well = wrapped(row.well, (_WELL_MM - 1.0) / MM_PER_IN)
    value = (
        wrapped(row.value, (_BLANK_MM - 1.0) / MM_PER_IN, DRAWING_PT, "bold") if row.value else []
    )
    listed = row.form == "list" and not value
    lines = max(len(key), len(told), len(well), len(value))
    tall = max(lines * _LINE_MM + 2.4, _ROW_MM) + (9.0 if listed else 0.0)

    def put(sheet: Sheet, y: float, more: float) -> None:
        right = MARGIN_MM + wide
        x, text = MARGIN_MM, y - 1.6
        if letter:
            sheet.text(x, text, letter, 9.5, "bold")
        x += _LETTER_MM
        _column(sheet, x, text, key, "bold")
        x += _KEY_MM
        _column(sheet, x, text, told, bold)
        x += told_mm
        _column(sheet, x, text, well, "normal")
        x += _WELL_MM
        if value:
            _column(sheet, x, text, value, "bold")
        elif listed:
            _boxes(sheet, MARGIN_MM + _LETTER_MM, right, y - tall + 8.8)
            sheet.text(right, text, row.unit, ha="right")
        elif row.form == "word":
            sheet.text(x, text, f"ring: {row.unit}")
        else:
            reach = text_width_mm(row.unit) * 1.15 + (1.5 if row.unit else 0.0)
            sheet.line((x, right - reach), (y - 6.6, y - 6.6), color="black", linewidth=0.8)
            sheet.text(right, y - 3.6, row.unit, ha="right")
        sheet.line((MARGIN_MM, right), (y - tall, y - tall), linewidth=0.35)

    return Item(tall, put)


def _boxes(sheet: Sheet, left: float, right: float, top: float, count: int = 10) -> None:
    """Draw empty boxes in a row, one a reading."""
    step = (right - left) / count
    for y in (top, top - 7.6):
        sheet.line((left, right), (y, y))
    for k in range(count + 1):
        sheet.line((left + k * step, left + k * step), (top - 7.6, top))


def _column(sheet: Sheet, x: float, y: float, lines: list[str], weight: str) -> None:
    for line in lines:
        sheet.text(x, y, line, DRAWING_PT, weight)
        y -= _LINE_MM


def _bench(block: Block, wide: float, units: str) -> Group:
    """Return the readings from the bench, and a ruled table for more of them."""
    group = Group(sheet_lines.block_head(block), [_head_item(block, wide)])
    group.items.append(_text_item(wrapped(block.care, wide / MM_PER_IN)))
    group.items += [_row_item(row, "", wide) for row in block.rows]
    group.items.append(_text_item(["", *wrapped(sheet_lines.READINGS, wide / MM_PER_IN)]))
    heads = sheet_lines.reading_heads(units)
    step = wide / len(heads)
    least = 7.0 * (2 * _BENCH_ROWS + 1)

    def put(sheet: Sheet, y: float, more: float) -> None:
        each = _BENCH_ROWS + int(more // 14.0)
        tall = 7.0 * (2 * each + 1)
        for k, head in enumerate(heads):
            sheet.text(MARGIN_MM + k * step + 1.2, y - 2.0, head, weight="bold")
        for k in range(len(heads) + 1):
            sheet.line((MARGIN_MM + k * step,) * 2, (y - tall, y))
        for row in range(2 * each + 2):
            at = y - 7.0 * row
            thick = 1.0 if row in (1, 1 + each) else 0.5
            sheet.line((MARGIN_MM, MARGIN_MM + wide), (at, at), linewidth=thick)
            if 0 < row <= 2 * each:
                way = "pulling" if row <= each else "letting back"
                sheet.text(MARGIN_MM + (len(heads) - 1) * step + 1.2, at - 2.0, way)

    group.items.append(Item(least, put, _MORE_READINGS_MM))
    return group
