"""Readings from the bench as a table of text: CSV with named columns and their units."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from liftgeo.errors import Fault, GeometryError, QuantityError, nearest
from liftgeo.mechanism.bench import (
    ARM_HELD,
    AT_REST,
    CABLE_OFF,
    CONDITIONS,
    LETTING_BACK,
    NOT_EXACT,
    PLACES,
    PULLING,
    QUANTITIES,
    Reading,
    check_alike,
    half_width_of,
    is_exact,
)
from liftgeo.mechanism.fields import LARGEST
from liftgeo.plain_text import cut, printable
from liftgeo.quantities import DIMENSIONS, Measured, read

UNITS: Mapping[str, tuple[str, ...]] = {
    "length": ("mm", "cm", "m", "in", "inch", "thou"),
    "force": ("n", "kn", "lbf", "lb", "kgf", "kg"),
    "angle": ("deg", "rad"),
}
_AS_READ = {"n": "N", "kn": "kN", "inch": "in", "lb": "lbf", "kg": "kgf"}
"""A spring balance marked kg or lb shows a force."""

_WORDS = ("direction", "condition", "note")
_DIRECTIONS = {
    PULLING: ("", "pulling", "pull", "in", "closing"),
    LETTING_BACK: ("letting back", "letting_back", "back", "return", "out", "opening"),
}
_CONDITIONS = {name: (name, name.replace(" ", "_")) for name in CONDITIONS if name} | {
    "": ("", "as fitted", "fitted")
}
_PLUS_MINUS = re.compile(r"±|\+/-|\+-|plus_minus|(?<![a-z])pm(?![a-z])")
_MOST_ROWS = 2000
_OR_LEAVE_OUT = "Write what it may be out by, 19 times in 20; or leave the ± out."
_FULL = ("", "full", "full lever")
_EXAMPLE = "hand_travel_mm,hand_force_n,separation_mm"


@dataclass(frozen=True)
class _Column:
    """What a column holds: a quantity in a unit, or its ±."""

    head: str
    name: str
    unit: str
    plus_minus: bool

    @property
    def dimension(self) -> str:
        return PLACES.get(self.name) or QUANTITIES[self.name].dimension


def _head(text: str) -> str:
    return re.sub(r"[\s()\[\]]+", "_", text.strip().lower()).strip("_")


def _column(head: str, place: str) -> _Column | str | Fault:
    """Return what a column holds, the word it stands for, or what is wrong with its name."""
    plain = _head(head)
    if plain in _WORDS:
        return plain
    width = bool(_PLUS_MINUS.search(plain))
    bare = re.sub("_+", "_", _PLUS_MINUS.sub("", plain)).strip("_")
    name, _, unit = bare.rpartition("_")
    known = {**QUANTITIES, **PLACES}
    if name in known and unit in UNITS[_Column(head, name, unit, width).dimension]:
        return _Column(head, name, unit, width)
    if bare in known or name in known:
        own = bare if bare in known else name
        units = UNITS[_Column(head, own, "", width).dimension]
        options = ", ".join(f"{own}_{each}" for each in units)
        return Fault(place, head, "A column's name ends in its unit.", f"One of {options}.")
    names = [f"{each}_{UNITS[_Column('', each, '', False).dimension][0]}" for each in known]
    near = nearest(bare, [*names, *_WORDS])
    hint = f"Did you mean {near}?" if near else f"Known: {', '.join([*names, *_WORDS])}."
    if width:
        hint += " A ± is named for its column, as in separation_plus_minus_mm."
    return Fault(place, head, "Not a known column.", hint)


def _rows(text: str, source: str) -> tuple[str, list[tuple[int, list[str]]]]:
    """Return the delimiter, and the rows that hold anything with their line numbers."""
    lines = text.removeprefix("\ufeff").splitlines()
    first = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    mark = next((each for each in (";", "\t") if each in first), ",")
    kept = "\n".join("" if line.startswith("#") else line for line in lines)
    rows = []
    reader, first_line = csv.reader(io.StringIO(kept), delimiter=mark), 1
    try:
        for row in reader:
            last = reader.line_num == kept.count("\n") + 1
            if _swallows(row, mark) or (last and _left_open(kept, first_line, mark)):
                problem = 'A quote (") opens here, and is not closed on this line.'
                remedy = "Close it, or take it out; a cell takes no line break."
                raise GeometryError([Fault(f"line {first_line}", "", problem, remedy)], source)
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, [cell.strip() for cell in row]))
            first_line = reader.line_num + 1
    except csv.Error as error:
        fault = Fault(f"line {reader.line_num}", "", f"Not a table: {error}.", "Save it as CSV.")
        raise GeometryError([fault], source) from None
    if not rows:
        remedy = f"The first line names the columns, such as {_EXAMPLE}."
        raise GeometryError([Fault("(whole file)", "", "The file is empty.", remedy)], source)
    if len(rows) > _MOST_ROWS:
        problem = f"{len(rows)} rows; readings by hand are some dozen, {_MOST_ROWS} at most."
        raise GeometryError([Fault("(whole file)", "", problem, "")], source)
    return mark, rows


def _swallows(row: list[str], mark: str) -> bool:
    """Return whether a cell goes on over a line that holds cells: its quote was never meant so."""
    return any("\n" in cell and mark in cell for cell in row)


def _left_open(text: str, first_line: int, mark: str) -> bool:
    """Return whether a quote of the last row, which begins at a line, is never closed."""
    rest = "\n".join(text.split("\n")[first_line - 1 :])
    try:
        list(csv.reader(io.StringIO(rest), delimiter=mark, strict=True))
    except csv.Error as error:
        return "unexpected end of data" in str(error)
    return False


def _columns(line: int, heads: list[str], source: str) -> list[_Column | str]:
    """Return what each column holds, or raise what is wrong with the first line."""
    place = f"line {line}"
    if all(re.fullmatch(r"[-+\d.,;eE\s]*", head) for head in heads):
        problem = "The first line holds numbers, not the names of the columns."
        remedy = f"Put a line above it such as {_EXAMPLE}."
        raise GeometryError([Fault(place, ", ".join(heads), problem, remedy)], source)
    found = [_column(head, place) for head in heads]
    faults = [each for each in found if isinstance(each, Fault)]
    columns = [each for each in found if not isinstance(each, Fault)]
    for k, each in enumerate(columns):
        for other in columns[:k]:
            same = (
                each == other
                if isinstance(each, str)
                else (
                    isinstance(other, _Column)
                    and (each.name, each.plus_minus) == (other.name, other.plus_minus)
                )
            )
            if same:
                heads_of = [c if isinstance(c, str) else c.head for c in (other, each)]
                problem = f"{heads_of[0]} and {heads_of[1]} say the same thing twice."
                faults.append(Fault(place, heads_of[1], problem, "Keep one of the two columns."))
    if not faults and not any(isinstance(each, _Column) for each in columns):
        faults.append(Fault(place, "", "No column holds readings.", f"For example {_EXAMPLE}."))
    if faults:
        raise GeometryError(faults, source)
    return columns


def _number(cell: str, column: _Column, place: str, comma: bool) -> float:
    """Return a cell as a number in the bare unit of its column.

    Raises
    ------
    GeometryError
    """
    plain = cell
    if comma or re.fullmatch(r"[-+]?\d+,\d+(\s*(±|\+/-|\+-)\s*\d+,\d+)?", cell):
        plain = re.sub(r"(?<=\d),(?=\d)", ".", cell)
    unit = _AS_READ.get(column.unit, column.unit)
    lettered = re.findall(r"[^\W\d_]+|\"|″", re.sub(r"(?<=\d)[eE](?=[-+\d])", "", plain))
    others = [word for word in lettered if word.lower() not in (column.unit, unit.lower())]
    shown = printable(cut(cell, 40))
    if others:
        units = {name for names in UNITS.values() for name in names}
        if all(word.lower() in units for word in others):
            problem = f"The column is in {unit}, the cell in {others[0]}: mixed units."
            remedy = f"Convert it to {unit}, or give it a column of its own unit."
        else:
            problem, remedy = "Not a number.", f"Write a number in {unit}, or leave the cell empty."
        raise GeometryError([Fault(place, shown, problem, remedy)])
    if not lettered:
        plain = re.sub(r"\s*(±|\+/-|\+-)\s*", rf" {unit} ± ", plain, count=1)
        plain = plain if "±" in plain and "%" in plain else f"{plain} {unit}"
    try:
        return read(plain, column.dimension)
    except QuantityError as error:
        raise GeometryError([Fault(place, shown, error.problem, error.remedy)]) from None


def _share(cell: str, place: str, comma: bool) -> float:
    """Return a scale error as a share."""
    plain = re.sub(r"(?<=\d),(?=\d)", ".", cell) if comma else cell
    plain = re.sub(r"^\s*(±|\+/-|\+-)\s*", "", plain)
    try:
        share = float(read(plain, "ratio"))
    except QuantityError as error:
        raise GeometryError([Fault(place, cell, error.problem, error.remedy)]) from None
    if not 0 <= share < 0.5:
        problem = f"A tool that is {100 * share:g} % out is no tool."
        raise GeometryError([Fault(place, cell, problem, 'Write a share, such as "2 %" or 0.02.')])
    return share


class _Table:
    """One readings file, taken apart row by row."""

    def __init__(self, columns: list[_Column | str], comma: bool) -> None:
        self.columns, self.comma = columns, comma
        self.faults: list[Fault] = []
        self.scales: dict[str, float] = {}
        self.found: list[Reading] = []

    def row(self, line: int, cells: list[str]) -> None:
        """Take one row; what is wrong with it is kept."""
        extra = [cell for cell in cells[len(self.columns) :] if cell]
        if extra:
            problem = f"{len(cells)} cells, and the first line names {len(self.columns)}."
            remedy = "With decimal commas, put semicolons between the cells."
            self.faults.append(Fault(f"line {line}", "", problem, remedy))
            return
        words: dict[str, str] = {}
        values: dict[str, float] = {}
        widths: dict[str, float] = {}
        is_scale, before = any(cell.lower() == "scale" for cell in cells), len(self.faults)
        for column, cell in zip(self.columns, cells, strict=False):
            if isinstance(column, str):
                words[column] = cell.lower()
                continue
            if not cell or cell.lower() in (*_FULL, "scale"):
                continue
            place = f"line {line}: {column.head}"
            try:
                if is_scale:
                    self.scales[column.name] = _share(cell, place, self.comma)
                elif column.plus_minus:
                    widths[column.name] = self._width(cell, column, place)
                else:
                    values[column.name] = _number(cell, column, place, self.comma)
                    if is_exact(values[column.name]):
                        self.faults.append(Fault(place, cell, NOT_EXACT, _OR_LEAVE_OUT))
            except GeometryError as error:
                self.faults += error.faults
        if not is_scale and len(self.faults) == before:
            self._readings(line, words, values, widths)

    def _width(self, cell: str, column: _Column, place: str) -> float:
        width = float(_number(cell, column, place, self.comma))
        if width <= 0:
            raise GeometryError([Fault(place, cell, NOT_EXACT, _OR_LEAVE_OUT)])
        return width

    def _word(self, line: int, words: Mapping[str, str], name: str) -> str:
        options = _DIRECTIONS if name == "direction" else _CONDITIONS
        said = words.get(name, "")
        for word, ways in options.items():
            if said in ways:
                return word
        known = ", ".join(f'"{word}"' for word in options if word)
        place = f"line {line}: {name}"
        self.faults.append(Fault(place, printable(cut(said, 40)), "Not known.", f"One of {known}."))
        return next(iter(options))

    def _readings(
        self,
        line: int,
        words: Mapping[str, str],
        values: dict[str, float],
        widths: Mapping[str, float],
    ) -> None:
        direction = self._word(line, words, "direction")
        condition = self._word(line, words, "condition")
        place = _place_of(condition, values)
        needed = {CABLE_OFF: "arm_rotation", ARM_HELD: "hand_force"}.get(condition)
        if needed and place != needed:
            column = f"{needed}_{UNITS[PLACES[needed]][0]}"
            problem = f'With "{condition}" a row says where by {column}.'
            self.faults.append(Fault(f"line {line}", "", problem, f"Fill in {column}."))
            return
        at = values.pop(place, None) if place else None
        at_rest = values.keys() & AT_REST
        taken = [name for name in values if name in QUANTITIES]
        for name in values.keys() - set(taken):
            self.faults.append(
                Fault(f"line {line}: {name}", "", "It says where, and so does another cell.", "")
            )
        if not taken:
            if at is not None or not values:
                problem = "This row holds no reading."
                self.faults.append(Fault(f"line {line}", "", problem, "Fill it in, or delete it."))
            return
        if at is not None and place and self._impossible(line, place, at, PLACES[place]):
            return
        for name in taken:
            value = values[name]
            if self._impossible(line, name, value, QUANTITIES[name].dimension):
                continue
            width = widths.get(name) or half_width_of(value, QUANTITIES[name].dimension)
            wide = at.half_width if isinstance(at, Measured) else widths.get(place or "", 0.0)
            self.found.append(
                Reading(
                    name,
                    float(value),
                    width,
                    None if at is None or name in at_rest else float(at),
                    place or "hand_travel",
                    direction,
                    condition,
                    at_half_width=wide,
                    line=line,
                )
            )

    def _impossible(self, line: int, name: str, value: float, dimension: str) -> bool:
        """Note a fault where a number lies below zero or beyond what can be computed with."""
        if 0 <= value <= LARGEST:
            return False
        unit = DIMENSIONS[dimension].unit
        small = "Below zero cannot be.", "Count every travel from rest."
        large = "This is too large to compute with.", "Check the number and its unit."
        problem, remedy = small if value < 0 else large
        self.faults.append(Fault(f"line {line}: {name}", f"{value:g} {unit}", problem, remedy))
        return True


def _place_of(condition: str, values: Mapping[str, float]) -> str | None:
    """Return which cell of a row says where on the stroke it was read."""
    if condition == CABLE_OFF:
        return "arm_rotation" if "arm_rotation" in values else None
    if condition == ARM_HELD:
        return "hand_force" if "hand_force" in values else None
    return next((name for name in ("hand_travel", "lever_angle") if name in values), None)


def readings_of(text: str, source: str = "") -> tuple[Reading, ...]:
    """Return the readings of a CSV text.

    Parameters
    ----------
    text : str
        The first line names the columns with their units; commas, semicolons or tabs part the
        cells; with semicolons or tabs, and in quotes, a decimal comma is understood.
    source : str
        Name shown in faults.

    Raises
    ------
    GeometryError
        With every fault and its line.
    """
    mark, rows = _rows(text, source)
    line, heads = rows[0]
    while heads and not heads[-1]:
        heads = heads[:-1]
    table = _Table(_columns(line, heads, source), comma=mark != ",")
    if len(rows) == 1:
        problem = "The columns are named, and no readings stand below them."
        raise GeometryError(
            [Fault(f"line {line}", "", problem, "Add a row for each place.")], source
        )
    for number, cells in rows[1:]:
        table.row(number, cells)
    if table.faults:
        raise GeometryError(table.faults, source)
    found = tuple(replace(r, scale=table.scales.get(r.quantity, 0.0)) for r in table.found)
    check_alike(found, source)
    return found
