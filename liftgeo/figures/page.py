"""One A4 page for the write-up, and each figure on its own."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable
from functools import cache
from typing import Any

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure, SubFigure
from matplotlib.font_manager import FontProperties
from matplotlib.text import Text

from liftgeo.errors import RequestError, nearest
from liftgeo.figures.registry import FIGURES
from liftgeo.figures.style import SINGLE_IN, SMALL_PT, styled
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.bands import Bands
from liftgeo.outcome.known import Known
from liftgeo.outcome.results import Result
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.words import verdict as words
from liftgeo.words.certainty import FILE_ALONE, headline_word, running_taken, sure_line
from liftgeo.words.foot import as_worked
from liftgeo.words.lines import one_line
from liftgeo.words.names import UNTITLED_FIGURE

A4_IN = (8.27, 11.69)
SIDE_IN, END_IN = 0.55, 0.5
WIDTH_IN = A4_IN[0] - 2 * SIDE_IN

_TITLE_PT, _TEXT_PT = 15.0, 8.5
_VERDICT_PT = (10.5, 10.0, 9.5)  # the first at which the verdict fits on one line
_LINE = 1.35  # line height over size
_MEASURE_DPI = 360  # at fewer dots the widths of letters are rounded up too far
_MOST_STOP_LINES, _MOST_WARNING_LINES, _MOST_TITLE_LINES = 14, 9, 3


@styled
def single(
    name: str,
    result: Result,
    mechanism: Mechanism,
    units: str = "metric",
    bands: Bands | None = None,
    *,
    bare_in: tuple[float, float] | None = None,
) -> Figure:
    """Return one figure on its own, the width of a page's text.

    Parameters
    ----------
    name : {"effort", "lift", "advantage", "budget", "spring"}
        Which figure.
    result, mechanism : Result, Mechanism
        From `liftgeo.stroke`, and what it was computed from.
    units : {"metric", "inch"}
        Units of the axes and labels.
    bands : Bands, optional
        Where 90 in 100 clutches measured alike lie, drawn behind the curves.
    bare_in : (float, float), optional
        Size [in] of the figure without title and cautions, for a page that says them beside it.

    Raises
    ------
    RequestError
        Another name, or a result without its stroke.
    """
    if name not in FIGURES:
        near = nearest(name, FIGURES)
        hint = f" Did you mean {near}?" if near else ""
        raise RequestError(f"There is no figure '{name}'.{hint} There are {', '.join(FIGURES)}.")
    if bare_in is not None:
        figure = Figure(figsize=bare_in, layout="constrained")
        _draw(name, result, mechanism, figure.add_subplot(), units, bands)
        return figure
    lines = _shortened(wrapped(words.full_title(result), SINGLE_IN[0] - 0.3, _TEXT_PT))
    foot = [WORK_SAFELY_IN_BRIEF, words.warning_names(result)]
    below = [line for text in foot[::-1] for line in wrapped(text, SINGLE_IN[0] - 0.3, SMALL_PT)]
    height = SINGLE_IN[1] + (len(lines) - 1) * _line_in(_TEXT_PT)
    height += len(below) * _line_in(SMALL_PT)
    figure = Figure(figsize=(SINGLE_IN[0], height), layout="constrained")
    _draw(name, result, mechanism, figure.add_subplot(), units, bands)
    figure.supxlabel("\n".join(below).strip(), x=0.02, ha="left", fontsize=SMALL_PT)
    figure.suptitle("\n".join(lines), x=0.02, ha="left", fontsize=_TEXT_PT, color="#404040")
    return figure


@styled
def page(
    result: Result,
    mechanism: Mechanism,
    units: str = "metric",
    bands: Bands | None = None,
    known: Known | None = None,
) -> Figure:
    """Return one A4 page: title, verdict, the figures, the key numbers, and what to beware of.

    Parameters
    ----------
    result, mechanism : Result, Mechanism
        From `liftgeo.stroke`, and what it was computed from.
    units : {"metric", "inch"}
        Units of the axes and labels.
    bands : Bands, optional
        Where 90 in 100 clutches measured alike lie, drawn behind the curves.
    known : Known, optional
        How sure the answer is, from `liftgeo.known`: said in the verdict and below it.

    Raises
    ------
    RequestError
        The result was computed without its stroke.
    """
    head, foot = _head_lines(result, mechanism, units, known), _foot_lines(result, mechanism, units)
    head_in = sum(_line_in(size) for _, size, _ in head) + 0.12
    foot_in = sum(_line_in(size) for _, size, _ in foot) + 0.28
    body_in = A4_IN[1] - 2 * END_IN - head_in - foot_in
    figure = Figure(figsize=A4_IN, layout="constrained")
    grid: Any = figure.subfigures(
        5,
        3,
        width_ratios=[SIDE_IN, WIDTH_IN, SIDE_IN],
        height_ratios=[END_IN, head_in, body_in, foot_in, END_IN],
        wspace=0.0,
        hspace=0.0,
    )
    _write(grid[1, 1], head, head_in)
    _write(grid[3, 1], foot, foot_in - 0.24)
    left, right = grid[2, 1].subfigures(1, 2, width_ratios=[1.3, 1.0], wspace=0.02)
    curves = left.subplots(3, 1, sharex=True, height_ratios=[1.15, 1.15, 0.8])
    for name, ax in zip(("effort", "lift", "advantage"), curves, strict=True):
        _draw(name, result, mechanism, ax, units, bands)
        ax.label_outer()
    budget, spring, numbers = right.subfigures(3, 1, height_ratios=[1.1, 1.0, 1.0], hspace=0.02)
    for name, place in (("budget", budget), ("spring", spring)):
        _draw(name, result, mechanism, place.add_subplot(), units, bands)
    _write_numbers(numbers, result, mechanism, units)
    return figure


def _draw(
    name: str, result: Result, mechanism: Mechanism, ax: Axes, units: str, bands: Bands | None
) -> None:
    """Draw a figure, its words those of what works the clutch."""
    FIGURES[name](result, mechanism, ax, units, bands)
    say_as_worked([ax], mechanism)


def say_as_worked(axes: Iterable[Axes], mechanism: Mechanism, names: Collection[str] = ()) -> None:
    """Put the words of what works the clutch in place of ours; `names` are somebody's own."""
    for text in (text for ax in axes for text in ax.findobj(Text)):
        said = text.get_text()
        if said not in names and (ours := as_worked(said, mechanism)) != said:
            text.set_text(ours)


Line = tuple[str, float, str]
"""One line of text, its size [pt] and its weight."""


def _head_lines(
    result: Result, mechanism: Mechanism, units: str, known: Known | None
) -> list[Line]:
    title = wrapped(one_line(result.title) or UNTITLED_FIGURE, WIDTH_IN, _TITLE_PT, "bold")
    lines: list[Line] = [(line, _TITLE_PT, "bold") for line in _shortened(title)]
    if result.change:
        change = wrapped(f"with {one_line(result.change)}", WIDTH_IN)
        lines += [(line, _TEXT_PT, "normal") for line in _shortened(change)]
    word = "" if known is None else headline_word(result, mechanism, known)
    lines += _verdict_lines(as_worked(words.verdict_line(result, units, word, known), mechanism))
    if known is not None:
        alone = f" {FILE_ALONE}" if known.bench is not None else ""
        sure = wrapped(sure_line(result, known, units) + alone, WIDTH_IN)
        lines += [(line, _TEXT_PT, "normal") for line in sure]
    return lines


def _verdict_lines(verdict: str) -> list[Line]:
    """Return the verdict on one line where it fits, else each sentence on lines of its own."""
    for size in _VERDICT_PT:
        if _width_in(verdict, size, "normal") <= WIDTH_IN:
            return [(verdict, size, "normal")]
    size = _VERDICT_PT[0]
    sentences = verdict.replace(". ", ".\n").split("\n")
    return [(line, size, "normal") for each in sentences for line in wrapped(each, WIDTH_IN, size)]


def _shortened(lines: list[str]) -> list[str]:
    """Return the first lines of a name somebody made very long."""
    if len(lines) <= _MOST_TITLE_LINES:
        return lines
    return [*lines[: _MOST_TITLE_LINES - 1], going_on(lines[_MOST_TITLE_LINES - 1])]


def going_on(line: str) -> str:
    """Return a line that says it goes on: its last word left out, if it has more than one."""
    before, blank, _ = line.rpartition(" ")
    return f"{before} …" if blank else f"{line[:-1]}…"


def _warning_lines(result: Result, mechanism: Mechanism, units: str) -> list[str]:
    """Return the warnings in words, each whole or not at all; the names of all where one is not."""
    texts = words.warning_texts(result, mechanism, units)
    named = wrapped(f"{words.warning_names(result)} See what liftgeo stroke prints.", WIDTH_IN)
    lines: list[str] = []
    for k, text in enumerate(texts):
        more = wrapped(text, WIDTH_IN)
        most = _MOST_STOP_LINES if text.startswith("STOP") else _MOST_WARNING_LINES
        room = most - (len(named) if k < len(texts) - 1 else 0)
        if len(lines) + len(more) > room:
            return lines + named
        lines += more
    return lines


def _foot_lines(result: Result, mechanism: Mechanism, units: str) -> list[Line]:
    lines = _warning_lines(result, mechanism, units)
    found: list[Line] = [(line, _TEXT_PT, "normal") for line in lines]
    safely = wrapped(WORK_SAFELY_IN_BRIEF, WIDTH_IN, weight="bold")
    found += [(line, _TEXT_PT, "bold") for line in safely]
    made = f"liftgeo {result.version}. A running engine shakes friction out: hand forces then lie "
    made += "between pulling and letting back."
    return found + [(line, SMALL_PT, "normal") for line in wrapped(made, WIDTH_IN, SMALL_PT)]


def _write(place: SubFigure, lines: list[Line], height_in: float) -> None:
    """Write lines from the top of a strip down."""
    y = height_in
    for text, size, weight in lines:
        place.text(0.0, y / height_in, text, ha="left", va="top", fontsize=size, fontweight=weight)
        y -= _line_in(size)


def _write_numbers(place: SubFigure, result: Result, mechanism: Mechanism, units: str) -> None:
    target_n = words.hand_force_target_n(mechanism)
    target_mm = float(mechanism.parts().faces.target_mm)
    taken = running_taken(mechanism)
    rows = words.key_numbers(result, units, target_mm, target_n, taken)
    place.text(0.1, 0.97, "Key numbers", ha="left", va="top", fontsize=10.0, fontweight="bold")
    step = 0.88 / (len(rows) + 0.5)
    for row, pair in enumerate(rows):
        name, value = (as_worked(text, mechanism) for text in pair)
        y = 0.88 - step * row
        place.text(0.1, y, name, ha="left", va="top", fontsize=_TEXT_PT)
        place.text(0.98, y, value, ha="right", va="top", fontsize=_TEXT_PT)


def _line_in(size_pt: float) -> float:
    return size_pt * _LINE / 72


@cache
def _measure() -> Any:
    return RendererAgg(1, 1, _MEASURE_DPI)  # type: ignore[no-untyped-call]  # matplotlib's own


def _width_in(text: str, size_pt: float, weight: str) -> float:
    font = FontProperties(size=size_pt, weight=weight)
    width, _, _ = _measure().get_text_width_height_descent(text, font, False)
    return float(width) / _MEASURE_DPI


def wrapped(
    text: str, width_in: float, size_pt: float = _TEXT_PT, weight: str = "normal"
) -> list[str]:
    """Return a text broken into lines no wider than a width [in]; long words are cut."""
    lines: list[str] = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if _width_in(longer, size_pt, weight) <= width_in:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        while _width_in(word, size_pt, weight) > width_in:
            cut = _letters_within(word, width_in, size_pt, weight)
            cut = word.rfind("-", 0, cut) + 1 or cut  # behind a hyphen, where there is one
            lines[-1], word = word[:cut], word[cut:]
            lines.append("")
        lines[-1] = word
    return lines


def _letters_within(word: str, width_in: float, size_pt: float, weight: str) -> int:
    """Return how many first letters of a word fit a width [in]; one at least."""
    counts = range(1, len(word))
    fitting = bisect_right(counts, width_in, key=lambda n: _width_in(word[:n], size_pt, weight))
    return max(fitting, 1)
