"""How `liftgeo draw --over PHOTO` lays its drawing over a photograph."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import one_of
from liftgeo.cli.output import Outputs, emit
from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from liftgeo.figures import Figure
    from liftgeo.studies.drawn import Drawn

OverPhoto = Annotated[
    Path | None,
    typer.Option(
        "--over",
        metavar="PHOTO",
        help="Lay it over a photograph instead, as in --over lever.jpg. Left out: on a sheet.",
    ),
]
OverMarks = Annotated[
    Path | None,
    typer.Option(
        "--marks",
        metavar="CSV",
        help="The photograph's marks, as `liftgeo trace` takes them, as in --marks marks.csv. "
        "Left out: none; --over needs them.",
    ),
]
OverPart = Annotated[
    str | None,
    typer.Option(
        "--part",
        metavar="lever|arm",
        autocompletion=one_of(("lever", "arm")),
        help="What it shows. Left out: by the marks.",
    ),
]
OverLength = Annotated[
    str | None,
    typer.Option(
        "--length",
        metavar="LENGTH",
        help='From scale_1 to scale_2 there, mm or with its unit, as in --length "4 in". Left '
        "out: by --rectangle, or by the points marked.",
    ),
]
OverRectangle = Annotated[
    str | None,
    typer.Option(
        "--rectangle",
        metavar="W,H",
        help="corner_1 to corner_2, and on to corner_3, mm or with its unit, as in --rectangle "
        '"210,297". Left out: by --length, or by the points marked.',
    ),
]


@dataclass(frozen=True)
class Over:
    """What was typed about a photograph; nothing is asked for where there is none.

    Raises
    ------
    RequestError
        A photograph without marks, marks and sizes without a photograph, or one that moves.
    """

    photo: Path | None
    marks: Path | None
    part: str | None
    length: str | None
    rectangle: str | None
    moving: bool = False

    def __post_init__(self) -> None:
        if self.photo is not None and self.marks is None:
            raise RequestError(
                "--over needs the photograph's marks: --marks marks.csv, as `liftgeo trace PHOTO "
                "--save-marks marks.csv` writes them."
            )
        if self.photo is not None and self.moving:
            raise RequestError("--animate draws no photograph; leave one of --animate and --over.")
        others = (self.marks, self.part, self.length, self.rectangle)
        if self.photo is None and any(each is not None for each in others):
            raise RequestError("--marks, --part, --length and --rectangle go with --over PHOTO.")

    @property
    def inputs(self) -> tuple[Path, ...]:
        """The files it reads."""
        return tuple(path for path in (self.photo, self.marks) if path is not None)


def draw_over(over: Over, found: Drawn, wanted: Outputs) -> None:
    """Lay a drawing over a photograph, and give the page, the data or the picture."""
    from liftgeo.figures.photograph import read_photograph
    from liftgeo.studies.laid_over import laid_over
    from liftgeo.studies.marks import load_marks
    from liftgeo.words.over_page import over_page

    assert over.photo is not None
    assert over.marks is not None
    photograph = read_photograph(over.photo)
    marks = load_marks(over.marks, photograph.size_px)
    laid = laid_over(found, marks, over.part, length=over.length, rectangle=over.rectangle)

    def picture() -> Figure:
        from liftgeo.figures.over_photograph import over_page as drawn_over
        from liftgeo.outcome.analysis import stroke
        from liftgeo.words.verdict import warning_names

        named = warning_names(stroke(found.mechanism))
        return drawn_over(
            laid,
            photograph.pixels(),
            photograph.size_px,
            [named] if named else [],
            units=wanted.units,
        )

    emit(
        wanted,
        page=lambda: over_page(
            laid,
            photograph.name,
            wanted.units,
            figure=None if wanted.figure is None else str(wanted.figure),
        ),
        data=lambda: {**found.to_dict(), "over": laid.to_dict()},
        table=found.to_csv,
        drawing=picture,
    )
