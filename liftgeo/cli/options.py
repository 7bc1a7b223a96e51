"""Options that several commands share, and how a mechanism is opened from them."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import change_names, one_of
from liftgeo.cli.output import as_typed, say

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known

BUILT_IN = "quarry-hauler"

FileOrExample = Annotated[
    str | None,
    typer.Argument(metavar="FILE", help="Geometry file, - for stdin; none: the example."),
]
FileGiven = Annotated[str, typer.Argument(metavar="FILE", help="Geometry file, - for stdin.")]
Changes = Annotated[
    list[str] | None,
    typer.Option(
        "--change",
        metavar="NAME",
        autocompletion=change_names,
        help="Lay a change of the file over it, as in --change less-play, or a number of your own, "
        "as in --change cable.free_play=1.2; repeatable. Left out: as it stands.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print the whole result as JSON, metric.")]
CsvPath = Annotated[
    Path | None,
    typer.Option(
        "--csv",
        metavar="PATH",
        help="Write the table as CSV, metric, as in --csv table.csv. Left out: not written.",
    ),
]
FigurePath = Annotated[
    Path | None,
    typer.Option(
        "--figure",
        metavar="PATH",
        help="Write a figure, .png, .svg or .pdf, as in --figure page.pdf. Left out: none.",
    ),
]
LeftOut = Annotated[
    str | None,
    typer.Option(
        "--left-out",
        metavar="usual|nothing",
        autocompletion=one_of(("usual", "nothing")),
        help="Take what the file leaves out as usual, or as nothing (0 or rigid). Left out: as "
        "the file says, or usual.",
    ),
]
Units = Annotated[
    str,
    typer.Option(
        "--units",
        metavar="metric|inch",
        autocompletion=one_of(("metric", "inch")),
        help="Units shown.",
    ),
]
Full = Annotated[bool, typer.Option("--full", help="Print the whole page, not one screen.")]
Force = Annotated[bool, typer.Option("--force", help="Write over files that exist.")]
Positions = Annotated[
    int,
    typer.Option(
        "--positions",
        metavar="ROWS",
        help="Rows through the stroke, at least 100, as in --positions 201.",
    ),
]

ReadingsPath = Annotated[
    Path | None,
    typer.Option(
        "--readings",
        metavar="CSV",
        help="Readings from the bench, as in --readings bench.csv. Left out: those of [bench].",
    ),
]
Before = Annotated[
    Path | None,
    typer.Option(
        "--before",
        metavar="CSV",
        help="Readings before the work, as in --before before.csv. Left out: none.",
    ),
]
After = Annotated[
    Path | None,
    typer.Option(
        "--after",
        metavar="CSV",
        help="Readings after --change was made, as in --after after.csv. Left out: none.",
    ),
]


def standard_input() -> str:
    """Return what stands on stdin, for FILE given as a dash.

    Raises
    ------
    FileError
        It is closed, not UTF-8 text, or larger than any geometry file.
    """
    from liftgeo.errors import FileError
    from liftgeo.files import LARGEST_BYTES, as_text

    if sys.stdin is None:
        raise FileError("Standard input is closed. Name a geometry file.")
    try:
        data = sys.stdin.buffer.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(f"Standard input cannot be read: {reason}.") from None
    if len(data) > LARGEST_BYTES:
        raise FileError("Standard input is over 1 MB; a geometry file is a page of text.")
    return as_text(data, "Standard input")


def given(*files: str | None) -> tuple[str, ...]:
    """Return the files a command reads, for `Outputs`; none where it takes the example."""
    return tuple(file for file in files if file is not None)


def name_of(file: str | None) -> str:
    """Return the file as a next command would name it: as given, or where the example lies."""
    from liftgeo.geometry_file import example_path

    if file is not None:
        return as_typed(file)
    near = Path("geometries", f"{BUILT_IN}.toml")
    return near.as_posix() if near.is_file() else as_typed(str(example_path(BUILT_IN)))


def again(
    file: str | None,
    changes: Iterable[str] | None = None,
    units: str = "metric",
    left_out: str | None = None,
) -> str:
    """Return the file with what was laid over it, as a next command would be typed.

    Parameters
    ----------
    file : str or None
    changes : iterable of str, optional
        As of --change.
    units, left_out : str, optional
        As of --units and --left-out; said where they are not what holds without them.
    """
    from liftgeo.words.commands import laid

    units_too = " --units inch" if units == "inch" else ""
    left_out_too = f" --left-out {left_out}" if left_out else ""
    return f"{name_of(file)}{laid(changes or ())}{left_out_too}{units_too}"


def text_of(file: str | None) -> str:
    """Return the text of a file, of standard input, or of the built-in example."""
    from liftgeo.files import is_stdin
    from liftgeo.geometry_file import example_path, read_text

    if file is not None and is_stdin(file):
        return standard_input()
    return read_text(example_path(BUILT_IN) if file is None else file)


def open_mechanism(
    file: str | None,
    changes: list[str] | None = None,
    left_out: str | None = None,
    text: str | None = None,
) -> Mechanism:
    """Return the mechanism of a file, or of the built-in example, with changes laid over it.

    Parameters
    ----------
    file : str or None
        As given: a path, "-" for stdin, or nothing.
    changes : list of str, optional
        Names of its changes, or KEY=VALUE, in the order in which they are laid over it.
    left_out : {"usual", "nothing"}, optional
        How what is left out is taken, in place of what the file says.
    text : str, optional
        What stands on stdin, where it has been read already.

    Raises
    ------
    RequestError
        A word for what is left out that is not known.
    """
    from liftgeo.errors import RequestError
    from liftgeo.files import is_stdin
    from liftgeo.geometry_file import example_path, load, loads
    from liftgeo.mechanism.usual import LEFT_OUT

    if left_out is not None and left_out not in LEFT_OUT:
        raise RequestError(f"--left-out {left_out} is not known. Choose {' or '.join(LEFT_OUT)}.")
    if file is None:
        say("No file given: this is the built-in example, a made-up hauler.")
        mechanism = load(example_path(BUILT_IN), left_out=left_out)
    elif is_stdin(file):
        said = standard_input() if text is None else text
        mechanism = loads(said, "standard input", left_out=left_out)
    else:
        mechanism = load(file, left_out=left_out)
    return with_typed(mechanism, changes).changed(*changes) if changes else mechanism


def with_typed(mechanism: Mechanism, changes: Iterable[str]) -> Mechanism:
    """Return a mechanism with each KEY=VALUE among the changes asked for as a change of its own.

    A name of the file's own stays what it is.

    Raises
    ------
    GeometryError
        An unknown key, a wrong unit, a number out of bounds.
    """
    from dataclasses import replace

    from liftgeo.mechanism.changes import typed_change

    found = [typed_change(text, mechanism.given) for text in changes]
    typed = {change.name: change for change in found if change is not None}
    return replace(mechanism, changes=typed | mechanism.changes) if typed else mechanism


def with_typed_joined(mechanism: Mechanism, texts: Iterable[str]) -> Mechanism:
    """Return a mechanism with each KEY=VALUE of texts that may join several with "+".

    A plus before a number, as in "cable.free_play=+1 mm", joins nothing.

    Raises
    ------
    GeometryError
        As `with_typed`.
    """
    from liftgeo.studies.compare import joined_names

    return with_typed(mechanism, (name for text in texts for name in joined_names(mechanism, text)))


def how_sure(mechanism: Mechanism) -> Known | None:
    """Return how sure the answer of a mechanism is; None where nothing is uncertain."""
    from liftgeo.mechanism.left_out import is_exact

    if is_exact(mechanism):
        return None
    from liftgeo.outcome.known import known

    return known(mechanism)


def with_readings(mechanism: Mechanism, path: Path) -> Mechanism:
    """Return a mechanism with the readings of a file, unless [bench] names that file already."""
    from liftgeo.geometry_file import load_readings

    if mechanism.readings_file and mechanism.readings_file == path.name:
        return mechanism
    return mechanism.with_readings(load_readings(path), path.name)
