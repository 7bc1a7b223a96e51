"""The figures of a write-up, as SVG that a page can hold and as files that travel alone."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.figures import page as pages
from liftgeo.figures.output import render
from liftgeo.figures.style import force, length
from liftgeo.report.blocks import Moving, Picture
from liftgeo.words import report_page as words
from liftgeo.words.lines import one_line
from liftgeo.words.names import AS_IT_STANDS
from liftgeo.words.verdict import full_title, unusable, warning_names

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from numpy.typing import NDArray

    from liftgeo.report.facts import Facts
    from liftgeo.web import Scene

    Array = NDArray[np.float64]

_BARE_IN = (4.3, 3.1)
_ONE_OF_FOUR_IN = (4.3, 2.5)
_POINTS_PER_IN = 72.0
_PROLOGUE = re.compile(r"<\?xml.*?\?>|<!DOCTYPE.*?>|<metadata>.*?</metadata>|<!--.*?-->", re.DOTALL)
_ID = re.compile(r'\s+id="([^"]*)"')
_NAMESPACE = re.compile(r'\s+xmlns(:\w+)?="[^"]*"')
TRACKED = {"effort": "hand_force_n", "lift": "separation_mm"}
"""Figures along which a mark runs as the lever moves, and the column it follows."""


def inline_svg(figure: Figure, prefix: str) -> str:
    """Return a figure as SVG to stand inside a page: no names from elsewhere, ids of its own.

    Parameters
    ----------
    figure : Figure
    prefix : str
        What every id begins with, so that two figures of a page do not meet.
    """
    text = _PROLOGUE.sub("", render(figure, ".svg").decode())
    text = _NAMESPACE.sub("", text).replace("xlink:href", "href")
    used = {*re.findall(r'href="#([^"]*)"', text), *re.findall(r"url\(#([^)]*)\)", text)}
    text = _ID.sub(lambda m: f' id="{prefix}-{m[1]}"' if m[1] in used else "", text)
    text = re.sub(r'href="#', f'href="#{prefix}-', text)
    text = text.replace("url(#", f"url(#{prefix}-")
    start = text.index("<svg")
    head_end = text.index(">", start)
    head = re.sub(r'\s(?:width|height)="[^"]*"', "", text[start:head_end])
    return head + ' aria-hidden="true" focusable="false"' + text[head_end:].strip()


def curve(name: str, facts: Facts) -> Picture:
    """Return one figure of the analysis."""

    def drawn(*, bare: bool) -> Figure:
        return pages.single(
            name,
            facts.result,
            facts.mechanism,
            facts.units,
            facts.bands,
            bare_in=_BARE_IN if bare else None,
        )

    banded = facts.bands is not None
    told = words.caption(name, facts.result, facts.mechanism, facts.units, banded=banded)
    warned = warning_names(facts.result)
    return Picture(
        name,
        f"{told} {warned}".strip(),
        f"{one_line(full_title(facts.result))}. {told}",
        lambda: [drawn(bare=True)],
        lambda: drawn(bare=False),
        TRACKED.get(name, ""),
        facts.units,
    )


def mechanism_drawn(facts: Facts) -> Moving:
    """Return the mechanism to scale: as it moves, and as a sheet."""

    def sheet() -> Figure:
        from liftgeo.figures.drawing_sheet import drawing_sheet
        from liftgeo.studies.drawn import drawn

        return drawing_sheet(drawn(facts.mechanism), facts.result, units=facts.units)

    told = words.scene_caption(facts.scene.dashed)
    return Moving(facts.scene, told, f"{one_line(full_title(facts.result))}. {told}", sheet)


@dataclass(frozen=True)
class Inline:
    """A figure inside a page: its SVG, and where a mark stands in it at each place of a scene.

    `parts` is how many there are, one after the other.
    """

    svg: str
    marks: tuple[tuple[float, float], ...] = ()
    parts: int = 1


def inline(picture: Picture, scene: Scene) -> Inline:
    """Return a picture to stand inside a page, with its mark at full lever where it has one."""
    figures = picture.bare()
    if not picture.tracked:
        each = [inline_svg(part, f"{picture.name}{k or ''}") for k, part in enumerate(figures)]
        return Inline("".join(each), parts=len(each))
    (figure,) = figures
    svg = inline_svg(figure, picture.name)
    units = picture.units
    values = {"hand_force_n": force, "separation_mm": length}
    up = values[picture.tracked](np.array(getattr(scene, picture.tracked)), units)
    marks = _places(figure, length(np.array(scene.hand_travel_mm), units), up)
    x, y = marks[-1]
    mark = f'<circle class="mark" data-mark="{picture.name}" cx="{x}" cy="{y}" r="4.5"/>'
    return Inline(svg.removesuffix("</svg>") + mark + "</svg>", marks)


def _places(figure: Figure, x: Array, y: Array) -> tuple[tuple[float, float], ...]:
    """Return where points of the first Axes stand in the SVG of a figure, y down."""
    figure.draw_without_rendering()
    pixels = figure.axes[0].transData.transform(np.column_stack([x, y]))
    scale = _POINTS_PER_IN / figure.dpi
    height = float(figure.get_size_inches()[1]) * _POINTS_PER_IN
    return tuple((round(a * scale, 2), round(height - b * scale, 2)) for a, b in pixels.tolist())


def trade_map(facts: Facts) -> Picture:
    """Return clearance against peak effort of every change."""
    from liftgeo.figures.study_pages import comparison_page, trade_page
    from liftgeo.words.compare_page import figure_title, targets_of

    found = facts.comparison
    assert found is not None
    results = {case.label or AS_IT_STANDS: case.result for case in found.all}
    targets = targets_of(found)
    struck = [f"{one_line(n)} {why}" for n, r in results.items() if (why := unusable(r))]
    told = words.trade_caption(struck)
    return Picture(
        "changes",
        told,
        told,
        lambda: [trade_page(results, targets, units=facts.units, size_in=_BARE_IN)],
        lambda: comparison_page(
            figure_title(found, ranked=False), results, targets, units=facts.units
        ),
    )


def bench_readings(facts: Facts) -> Picture:
    """Return the readings over the curves before and after, and what is left over."""
    from liftgeo.figures.readings_page import readings_page

    found = facts.bench
    assert found is not None

    told = words.bench_caption(found)
    return Picture(
        "bench",
        told,
        told,
        lambda: [readings_page(found, facts.units, bare=True)],
        lambda: readings_page(found, facts.units),
    )


def wear_curves(facts: Facts) -> Picture:
    """Return what wear does to clearance, effort, grip and play."""
    from liftgeo.figures.wear_page import wear_figures, wear_page

    study = facts.worn
    assert study is not None
    told = words.wear_caption(study)

    return Picture(
        "wear",
        told,
        told,
        lambda: wear_figures(study, facts.units, size_in=_ONE_OF_FOUR_IN),
        lambda: wear_page(study, facts.units),
    )
