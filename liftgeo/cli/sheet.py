"""`liftgeo sheet`: a sheet to print and take to the machine, with a blank for every number."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import one_of
from liftgeo.cli.options import Force, Units, given, open_mechanism, text_of
from liftgeo.cli.output import Outputs, as_typed, put, say
from liftgeo.errors import RequestError
from liftgeo.kinds import KINDS

if TYPE_CHECKING:
    from liftgeo.files import AnyPath
    from liftgeo.mechanism import Mechanism

_ENDINGS = (".pdf", ".svg")


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "sheet",
        short_help="A sheet to print and measure by, with a blank for each number.",
        help="A measuring sheet to print: each part drawn with a letter at what is measured, a "
        "blank for each number under its key, which tool, how, and how well; what decides most "
        "first. With FILE its numbers are filled in; without, choose the kinds.\n\n"
        "Example: liftgeo sheet --release rack --spring coils -o sheet.pdf",
    )(sheet)


def _kinds_of(table: str, what: str) -> typer.models.OptionInfo:
    found: typer.models.OptionInfo = typer.Option(
        metavar="|".join(KINDS[table]),
        autocompletion=one_of(KINDS[table]),
        help=f"{what} Left out: as FILE says, or the first.",
    )
    return found


def sheet(
    file: Annotated[
        str | None,
        typer.Argument(metavar="FILE", help="Geometry file, - for stdin; none: an empty sheet."),
    ] = None,
    release: Annotated[str | None, _kinds_of("release", "What turns rotation into lift.")] = None,
    lever: Annotated[str | None, _kinds_of("lever", "How the lever takes the cable.")] = None,
    arm: Annotated[str | None, _kinds_of("arm", "How the arm takes the cable.")] = None,
    spring: Annotated[str | None, _kinds_of("spring", "What clamps the plates.")] = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="PATH",
            help="Where it goes, as in sheet.pdf; .svg: a file a page. Left out: FILE-sheet.pdf.",
        ),
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option(
            metavar="PATH",
            help="Write an empty table of readings, as in bench.csv; - prints it. Left out: none.",
        ),
    ] = None,
    paper: Annotated[
        str,
        typer.Option(
            metavar="a4|letter", autocompletion=one_of(("a4", "letter")), help="Size of the paper."
        ),
    ] = "a4",
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Write the sheet."""
    from liftgeo.files import check_outputs, shown, write_whole

    Outputs(units=units)
    asked_for = {"lever": lever, "arm": arm, "release": release, "spring": spring}
    kinds = {table: kind for table, kind in asked_for.items() if kind}
    place = _place(file) if output is None else output
    ending = place.suffix.lower()
    if ending not in _ENDINGS:
        raise RequestError(f"-o {shown(place)}: the name must end in .pdf or .svg.")
    inputs = given(file)
    if readings is None or output is not None:
        check_outputs([("--output", place)], inputs, force=force or ending == ".svg")
    mechanism, written = _opened(file)
    if readings is not None:
        _template(readings, mechanism, units, inputs, force)
        if output is None:
            return
    from liftgeo.figures.measuring_pages import measuring_sheet
    from liftgeo.figures.output import render, render_pages

    pages = measuring_sheet(mechanism, kinds=kinds, paper=paper, units=units, written=written)
    if ending == ".pdf":
        write_whole(place, render_pages(pages), force=force)
        say(f"Written: {shown(place)}, {len(pages)} pages")
    else:
        names = [place.with_name(f"{place.stem}-{k}.svg") for k in range(1, len(pages) + 1)]
        check_outputs([(f"page {k}", n) for k, n in enumerate(names, 1)], inputs, force=force)
        for name, content in [(n, render(p, ".svg")) for n, p in zip(names, pages, strict=True)]:
            write_whole(name, content, force=force)
        say(f"Written: {shown(names[0])} to {shown(names[-1])}, a page each")


def _opened(file: str | None) -> tuple[Mechanism | None, Mapping[str, Mapping[str, str]]]:
    """Return the mechanism of a file, and what an unfinished one says of lever and arm."""
    from liftgeo.errors import GeometryError
    from liftgeo.files import is_stdin
    from liftgeo.geometry_file import parsed
    from liftgeo.mechanism.unfinished import unfinished

    if file is None:
        return None, {}
    text = text_of(file)
    source = "standard input" if is_stdin(file) else Path(file).name
    try:
        return open_mechanism(file, text=text), {}
    except GeometryError as error:
        if any(not fault.absent for fault in error.faults):
            raise
        found = unfinished(parsed(text.replace("\r\n", "\n"), source), source, error)
        return found.mechanism, found.written


def _place(file: str | None) -> Path:
    """Return where the sheet goes where nothing was said."""
    from liftgeo.files import is_stdin

    if file is None:
        return Path("measuring-sheet.pdf")
    return Path(f"{'clutch' if is_stdin(file) else Path(file).stem}-sheet.pdf")


def _template(
    path: Path,
    mechanism: Mechanism | None,
    units: str,
    inputs: tuple[AnyPath, ...],
    force: bool,
) -> None:
    from liftgeo.files import check_outputs, is_stdout, shown, write_whole
    from liftgeo.words.measuring_sheet import readings_template

    text = readings_template(mechanism, units)
    if is_stdout(path):
        put(text.removesuffix("\n"))
        return
    check_outputs([("--readings", path)], inputs, force=force)
    write_whole(path, text, force=force)
    say(
        f"Written: {shown(path)}\nFill in a row for each reading and delete the rest; then "
        f"`liftgeo diagnose FILE --readings {as_typed(str(path))}`."
    )
