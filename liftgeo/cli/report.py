"""`liftgeo report`: one page for the write-up, as HTML or as Markdown with its pictures."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import (
    BUILT_IN,
    After,
    Before,
    Changes,
    FileOrExample,
    Force,
    LeftOut,
    ReadingsPath,
    Units,
    given,
    name_of,
    open_mechanism,
    with_readings,
    with_typed,
)
from liftgeo.cli.output import Outputs, as_typed, put, say
from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from liftgeo.report import WriteUp

_HTML, _MARKDOWN = (".html", ".htm"), (".md", ".markdown")


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "report",
        short_help="One page for the write-up, with every figure and number.",
        help="One page for the write-up: what it does and why, every figure, changes, wear, all "
        "that was measured, and where the sums come from.\n\n"
        "Example: liftgeo report my-clutch.toml --change longer-arm -o my-clutch.html",
    )(report)


def report(
    file: FileOrExample = None,
    change: Changes = None,
    left_out: LeftOut = None,
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="PATH",
            help="Where the page goes, .html, or .md with its pictures beside it, as in -o "
            "write-up.md; - prints HTML. Left out: FILE's name with .html, in this folder.",
        ),
    ] = None,
    readings: ReadingsPath = None,
    before: Before = None,
    after: After = None,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Write the page."""
    from liftgeo.files import check_outputs, is_stdout, shown, write_whole

    Outputs(units=units)
    if (before is None) != (after is None) or (before is not None and not change):
        raise RequestError(
            "After the work: --before CSV --after CSV --change NAME, the readings before and after "
            "and the change that was made."
        )
    read = [str(path) for path in (readings, before, after) if path is not None]
    place = _place(file) if output is None else output
    kind = _kind(place)
    if not is_stdout(place):
        check_outputs([("--output", place)], (*given(file), *read), force=force)
    told = _told(file, change, left_out, output, readings, before, after, units, force)
    if is_stdout(place):
        put(told.html().removesuffix("\n"))
        return
    if kind == "html":
        write_whole(place, told.html(), force=force)
        say(f"Written: {shown(place)}")
        return
    stem = place.stem
    pictures = told.files(stem)
    beside = [("a picture of --output", place.with_name(name)) for name in pictures]
    check_outputs([("--output", place), *beside], (*given(file), *read), force=force)
    for name, content in pictures.items():
        write_whole(place.with_name(name), content, force=force)
    write_whole(place, told.markdown(stem), force=force)
    say(f"Written: {shown(place)} and {len(pictures)} pictures beside it, {stem}-*.png")


def _told(
    file: str | None,
    change: list[str] | None,
    left_out: str | None,
    output: Path | None,
    readings: Path | None,
    before: Path | None,
    after: Path | None,
    units: str,
    force: bool,
) -> WriteUp:
    """Return the write-up of what was asked for."""
    import datetime

    from liftgeo.geometry_file import load_readings
    from liftgeo.report import write_up

    words = ["liftgeo", "report", name_of(file)]
    words += [w for name in change or [] for w in ("--change", as_typed(name))]
    words += [] if left_out is None else ["--left-out", left_out]
    for option, path in (("--readings", readings), ("--before", before), ("--after", after)):
        words += [] if path is None else [option, as_typed(str(path))]
    words += [] if output is None else ["-o", as_typed(str(output))]
    words += ["--units", units] if units != "metric" else []
    words += ["--force"] if force else []
    mechanism = with_typed(open_mechanism(file, None, left_out), change or ())
    if readings is not None:
        mechanism = with_readings(mechanism, readings)
    return write_up(
        mechanism,
        change or [],
        before=() if before is None else load_readings(before),
        after=() if after is None else load_readings(after),
        units=units,
        command=" ".join(words),
        date=datetime.date.today().isoformat(),
    )


def _place(file: str | None) -> Path:
    """Return where the page goes where nothing was said."""
    from liftgeo.files import is_stdin

    if file is None:
        return Path(f"{BUILT_IN}.html")
    return Path("clutch.html") if is_stdin(file) else Path(f"{Path(file).stem}.html")


def _kind(place: Path) -> str:
    """Return what a page is written as, by its name."""
    from liftgeo.files import is_stdout, shown

    ending = place.suffix.lower()
    if is_stdout(place) or ending in _HTML:
        return "html"
    if ending in _MARKDOWN:
        return "markdown"
    raise RequestError(f"-o {shown(place)}: the name must end in .html or .md.")
