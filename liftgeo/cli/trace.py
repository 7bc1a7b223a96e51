"""`liftgeo trace`: the points of lever or arm, read off a photograph."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import one_of
from liftgeo.cli.options import AsJson, CsvPath, Force, Units
from liftgeo.cli.output import Outputs, as_typed, emit, say
from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from liftgeo.figures.photograph import Photograph
    from liftgeo.saving import Saved
    from liftgeo.studies.marks import Marks
    from liftgeo.studies.trace import Traced
    from liftgeo.studies.trace_frame import Laid


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "trace",
        short_help="Read the points of lever or arm off a photograph.",
        help="Read the points of lever or arm off a photograph: mark the two ends of a known "
        "length, or the four corners of a known rectangle, then pivot, pin (the cable end that "
        "moves), stop and, on a lever, hand.\n\n"
        "A window opens to click them in; --marks takes them from a table instead: columns "
        "name,x,y in pixels of the upright picture, from its upper left corner; a point that "
        "stands there several times is averaged, and tells the ±.\n\n"
        "Example: liftgeo trace lever.jpg --part lever --length 100mm --into my-clutch.toml",
    )(trace)


Part = Annotated[
    str,
    typer.Option(
        "--part",
        metavar="lever|arm",
        autocompletion=one_of(("lever", "arm")),
        help="What the photograph shows.",
    ),
]
Length = Annotated[
    str | None,
    typer.Option(
        "--length",
        metavar="LENGTH",
        help='scale_1 to scale_2, mm or with its unit, as in --length "100 ± 0.2 mm". Left out: '
        "by --rectangle.",
    ),
]
Rectangle = Annotated[
    str | None,
    typer.Option(
        "--rectangle",
        metavar="W,H",
        help="corner_1 to corner_2, and on to corner_3, mm or with its unit, as in --rectangle "
        '"210,297"; corrects a tilted camera. Left out: by --length.',
    ),
]
MarksPath = Annotated[
    Path | None,
    typer.Option(
        "--marks",
        metavar="CSV",
        help="The marks, name,x,y in pixels, as in --marks marks.csv. Left out: clicked in a "
        "window.",
    ),
]
SaveMarks = Annotated[
    Path | None,
    typer.Option(
        "--save-marks",
        metavar="CSV",
        help="Write what is clicked as such a table, as in --save-marks marks.csv. Left out: not "
        "kept.",
    ),
]
Into = Annotated[
    str | None,
    typer.Option(
        "--into",
        metavar="FILE",
        help="Geometry file that takes the points, as in --into my-clutch.toml. Left out: "
        "printed only.",
    ),
]


def trace(
    photo: Annotated[Path, typer.Argument(metavar="PHOTO", help="Photograph: .jpg or .png.")],
    part: Part,
    length: Length = None,
    rectangle: Rectangle = None,
    marks: MarksPath = None,
    save_marks: SaveMarks = None,
    into: Into = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Read the marks, turn them into millimetres, and say how sure that is."""
    read = [path for path in (photo, marks, into) if path is not None]
    wanted = Outputs(as_json, csv, None, units, force, tuple(map(str, read)))
    _check_request(part, into, save_marks, csv, read, force=force)
    from liftgeo.figures.photograph import read_photograph
    from liftgeo.studies.marks import CORNERS, PART_POINTS, SCALE_ENDS, load_marks
    from liftgeo.studies.trace import known_size
    from liftgeo.studies.trace import trace as trace_marks
    from liftgeo.words.trace_page import trace_page

    known_size(length, rectangle)
    photograph = read_photograph(photo)

    def read_off(found: Marks) -> Traced:
        return trace_marks(found, part, length=length, rectangle=rectangle)

    if marks is not None:
        found = load_marks(marks, photograph.size_px)
    else:
        from liftgeo.cli import SCREEN
        from liftgeo.figures.marking import mark_in_window

        known = SCALE_ENDS if rectangle is None else CORNERS
        screen = SCREEN[-1] if SCREEN else ""
        names = (*known, *PART_POINTS[part])
        found = mark_in_window(photograph, names, part, read_off, screen)
    if save_marks is not None:
        from liftgeo.files import shown, write_whole

        write_whole(save_marks, found.to_csv(), force=force)
        say(f"Written: {shown(save_marks)}")
    traced, laid = read_off(found), None
    if into is not None:
        from liftgeo.studies.trace_frame import into_frame

        traced, laid = into_frame(traced, into)
    saved = None if into is None else _save(traced, into, photograph.name, force=force)
    emit(
        wanted,
        page=lambda: trace_page(
            traced,
            units,
            into=None if into is None else as_typed(into),
            saved=saved,
            laid=laid,
            unsaved=marks is None and save_marks is None,
        ),
        data=lambda: _data(traced, photograph, into, saved, laid),
        table=traced.to_csv,
    )
    if into is not None:
        say(f"Written: {part}.points in {into}")


def _check_request(
    part: str,
    into: str | None,
    save_marks: Path | None,
    csv: Path | None,
    read: list[Path | str],
    *,
    force: bool,
) -> None:
    """Raise an error for what cannot be done, before anybody clicks anything."""
    from liftgeo.files import check_outputs, is_stdin, is_stdout
    from liftgeo.saving import check_keys
    from liftgeo.studies.marks import PART_POINTS

    if part not in PART_POINTS:
        raise RequestError(f"--part {part} is not known. Choose {' or '.join(PART_POINTS)}.")
    if save_marks is not None:
        if is_stdout(save_marks):
            raise RequestError("--save-marks needs the name of a file, such as marks.csv.")
        named = (("--csv", csv), ("--save-marks", save_marks))
        check_outputs([(o, p) for o, p in named if p is not None], read, force=force)
    if into is not None:
        if is_stdin(into):
            raise RequestError("--into needs a file to write into, not standard input.")
        if not Path(into).exists():
            raise RequestError(
                f"--into {into} is not there. `liftgeo new {as_typed(into)}` writes it as a "
                "starter file, which takes the points."
            )
        check_keys(into, [f"{part}.points.{name}" for name in PART_POINTS[part]], force=force)


def _save(traced: Traced, into: str, photo: str, *, force: bool) -> Saved:
    from liftgeo.saving import save_keys
    from liftgeo.words.trace_page import NOTED, note

    return save_keys(into, traced.keys(), said=note(photo), in_place_of=NOTED, force=force)


def _data(
    traced: Traced,
    photograph: Photograph,
    into: str | None,
    saved: Saved | None,
    laid: Laid | None,
) -> dict[str, object]:
    from dataclasses import asdict

    from liftgeo.words.trace_page import not_in_plus_minus

    width, height = photograph.size_px
    return {
        **traced.to_dict(),
        "photograph": {
            "name": photograph.name,
            "width_px": width,
            "height_px": height,
            "orientation": photograph.orientation,
        },
        "not_in_plus_minus": not_in_plus_minus(traced),
        "into": into,
        "laid": None if laid is None else asdict(laid),
        "replaced": {} if saved is None else saved.replaced,
    }
