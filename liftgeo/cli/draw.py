"""`liftgeo draw`: the mechanism to scale through its stroke, as a sheet or moving."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FileOrExample,
    Force,
    LeftOut,
    Units,
    again,
    given,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit
from liftgeo.cli.over import (
    Over,
    OverLength,
    OverMarks,
    OverPart,
    OverPhoto,
    OverRectangle,
    draw_over,
)
from liftgeo.cli.progress import progress

if TYPE_CHECKING:
    from liftgeo.figures import Figure
    from liftgeo.mechanism import Mechanism
    from liftgeo.studies.drawn import Drawn

FRAMES = 60


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "draw",
        short_help="Draw the mechanism to scale through its stroke.",
        help="Draw the mechanism to scale on one A4 sheet: lever end, actuator end, release unit, "
        "spring and plates, at rest, where the faces part and at full lever. With a change the "
        "unchanged mechanism lies in grey below. --over lays lever or arm over its photograph.\n\n"
        "Example: liftgeo draw my-clutch.toml --change shorter-arm --figure sheet.pdf",
    )(draw)


Places = Annotated[
    list[str] | None,
    typer.Option(
        "--at",
        metavar="TRAVEL",
        help="Draw it there, hand travel in mm or with its unit or in % of all, as in --at "
        "25mm or --at 50%; repeatable. Left out: at rest, faces part, full lever.",
    ),
]

Moving = Annotated[
    Path | None,
    typer.Option(
        "--animate",
        metavar="PATH",
        help="Write it moving, .gif, or .mp4 with ffmpeg, as in --animate moving.gif. Left "
        "out: not written.",
    ),
]

Sheet = Annotated[
    Path | None,
    typer.Option(
        "--figure",
        "-o",
        metavar="PATH",
        help="Write the sheet, .png, .svg or .pdf, as in -o sheet.pdf. Left out: not written.",
    ),
]


def draw(
    file: FileOrExample = None,
    change: Changes = None,
    at: Places = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: Sheet = None,
    animate: Moving = None,
    over: OverPhoto = None,
    marks: OverMarks = None,
    part: OverPart = None,
    length: OverLength = None,
    rectangle: OverRectangle = None,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Draw one mechanism."""
    photo = Over(over, marks, part, length, rectangle, moving=animate is not None)
    read = (*given(file), *map(str, photo.inputs))
    wanted = Outputs(as_json, csv, figure, units, force, read, animate)
    from liftgeo.outcome.analysis import stroke
    from liftgeo.studies.drawn import drawn
    from liftgeo.words.draw_page import draw_page

    mechanism = open_mechanism(file, change, left_out)
    found = drawn(mechanism, at or None)
    if over is not None:
        return draw_over(photo, found, wanted)
    name = again(file, change, units, left_out)
    result = stroke(mechanism)

    def sheet() -> Figure:
        from liftgeo.figures.drawing_sheet import drawing_sheet

        stock = before_change(mechanism, at)
        return drawing_sheet(found, result, units=units, stock=stock)

    def moving(ending: str) -> bytes:
        from liftgeo.figures.moving import moving_picture

        with progress("drawing", "pictures", FRAMES) as advance:
            return moving_picture(mechanism, ending, FRAMES, units=units, advance=advance)

    emit(
        wanted,
        page=lambda: draw_page(found, result, units, name, sheet=figure is not None),
        data=lambda: {**found.to_dict(), "warnings": result.to_dict()["warnings"]},
        table=found.to_csv,
        drawing=sheet,
        moving=moving,
    )
    return None


def before_change(mechanism: Mechanism, at: list[str] | None) -> Drawn | None:
    """Return the unchanged mechanism where it is asked for; where its stroke ends before, usual."""
    from liftgeo.errors import RequestError
    from liftgeo.studies.drawn import drawn

    if mechanism.origin is None:
        return None
    try:
        return drawn(mechanism.origin, at or None)
    except RequestError:
        return drawn(mechanism.origin)
