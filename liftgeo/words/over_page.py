"""The page of a drawing laid over a photograph: how far each point lies from its mark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.words.drawing import POINT_WORDS, place_text
from liftgeo.words.lines import columns, headline, one_line, page, wrapped
from liftgeo.words.numbers import Shown
from liftgeo.words.verdict import titled

if TYPE_CHECKING:
    from liftgeo.studies.laid_over import LaidOver


_WHAT_IT_TESTS = (
    "This tests numbers taken otherwise, with a calliper say; points that were read off this very "
    "photograph lie on it whatever they are worth."
)


def figure_title(over: LaidOver, units: str) -> str:
    """Return what stands above the picture."""
    title = titled(over.drawn.mechanism.title, over.drawn.mechanism.change)
    return f"{title}: {_answer(over, units)}" if title else _answer(over, units)


def legend_words(over: LaidOver, units: str) -> list[str]:
    """Return what each weight of line is, in the order of the positions."""
    return [place_text(place, units) for place in over.drawn.positions]


def _answer(over: LaidOver, units: str) -> str:
    name, off = over.worst
    what = POINT_WORDS[over.part][name]
    return (
        f"drawn over its photograph the {over.part} lies within {Shown(units).length(off)} of its "
        f"marks; farthest off: {what}."
    )


def over_page(over: LaidOver, photo: str, units: str, *, figure: str | None) -> list[str]:
    """Return the whole page.

    Parameters
    ----------
    over : LaidOver
    photo : str
        Name of the photograph.
    units : {"metric", "inch"}
    figure : str, optional
        Where the picture is written.
    """
    show = Shown(units)
    mechanism = over.drawn.mechanism
    title = titled(mechanism.title, mechanism.change)
    answer = _answer(over, units)
    rows = [["Point", f"off its mark, {show.unit('length')}"]]
    rows += [
        [f"  {POINT_WORDS[over.part][name]}", show.bare(off)]
        for name, off in over.offsets_mm.items()
    ]
    size = {
        "length": "Size by the known length.",
        "rectangle": "Size and tilt by the four corners.",
        "fit": "Size: whatever fits the marks best, so that only proportions are compared. With "
        "--length or --rectangle the sizes are compared too.",
    }[over.by]
    following = (
        "Look at the picture: where the drawn part lies on the real one, the numbers are right."
        if figure
        else "Next: --figure over.png writes the picture."
    )
    return page(
        [*([title] if title else []), *headline(answer[0].upper() + answer[1:])],
        columns(rows),
        wrapped(
            f"Photograph {one_line(photo)}; the drawn pivot lies on its mark, the drawing is "
            f"turned about it to fit the others best. {size}"
        ),
        wrapped(f"{_WHAT_IT_TESTS} {following}") + wrapped(WORK_SAFELY_IN_BRIEF),
    )
