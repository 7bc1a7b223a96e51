"""How every command gives its answer: a page or JSON on stdout, files, remarks on stderr."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from liftgeo.errors import RequestError
from liftgeo.plain_text import one_line, printable
from liftgeo.safety import cautions

if TYPE_CHECKING:
    from liftgeo.figures import Figure
    from liftgeo.files import AnyPath

FIGURE_ENDINGS = (".png", ".svg", ".pdf")
MOVING_ENDINGS = (".gif", ".mp4")


class CannotPrintError(Exception):
    """Standard output takes nothing more: closed, or its disk is full."""


class ReaderGoneError(Exception):
    """Whoever read standard output has gone, and nothing more need be said."""


def put(text: str) -> None:
    """Print a text on stdout; nothing of a file's text can steer the terminal.

    Raises
    ------
    CannotPrintError
    ReaderGoneError
        Whoever read it has gone.
    """
    _written(printable(text) + "\n")


def finish() -> None:
    """See to it that what was printed has arrived.

    Raises
    ------
    CannotPrintError
    """
    _written("")


def _written(text: str) -> None:
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise ReaderGoneError from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise CannotPrintError(f"Standard output cannot be written: {reason}.") from None


def say(text: str) -> None:
    """Print a remark to stderr, so that stdout holds the data alone."""
    if sys.stderr is not None:
        with contextlib.suppress(OSError, ValueError):
            sys.stderr.write(printable(text) + "\n")
            sys.stderr.flush()


def plain_terminal(stream: IO[str]) -> bool:
    """Return whether a stream takes no styles: no terminal, NO_COLOR, or TERM=dumb."""
    return bool(
        not stream.isatty() or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    )


def as_typed(name: str) -> str:
    """Return the name of a file as a command takes it: in quotes where it holds a space."""
    return f'"{name}"' if any(c.isspace() or c in "&;()'" for c in name) else name


def json_text(data: Any) -> str:
    """Return data as JSON, numbers in full double precision, no NaN, no character unseen."""
    import json

    text = json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2)
    plain = printable(text)
    if plain == text:
        return text
    # What does not print is written as \\uXXXX, so that a program reads it back as it was.
    return "".join(c if c == p else json.dumps(c)[1:-1] for c, p in zip(text, plain, strict=True))


def print_page(lines: Iterable[str]) -> None:
    """Print a page on stdout, its headline bold on a terminal."""
    from liftgeo.words.lines import Headline

    plain = plain_terminal(sys.stdout)
    shown = []
    for line in lines:
        safe = printable(line)
        shown.append(safe if plain or not isinstance(line, Headline) else f"{_BOLD}{safe}{_USUAL}")
    _written("\n".join(shown) + "\n")


_BOLD, _USUAL = "\x1b[1m", "\x1b[0m"


@dataclass(frozen=True, eq=False, repr=False)
class Outputs:
    """What a command was asked to give: JSON or a page, a table, a figure, a moving picture.

    Raises
    ------
    RequestError, FileError
        On being made, before anything is computed: unknown units, a file that could not be
        written, that is one of the `inputs`, or that two outputs share.
    """

    as_json: bool = False
    csv: Path | None = None
    figure: Path | None = None
    units: str = "metric"
    force: bool = False
    inputs: tuple[AnyPath, ...] = ()
    moving: Path | None = None

    def __post_init__(self) -> None:
        if self.units not in ("metric", "inch"):
            raise RequestError(f"--units {self.units} is not known. Choose metric or inch.")
        _check_ending("--figure", self.figure, FIGURE_ENDINGS)
        _check_ending("--animate", self.moving, MOVING_ENDINGS)
        from liftgeo.files import check_outputs, is_stdout

        named = (("--csv", self.csv), ("--figure", self.figure), ("--animate", self.moving))
        outputs: list[tuple[str, AnyPath]] = [(o, path) for o, path in named if path is not None]
        if self.as_json and is_stdout(self.csv):
            raise RequestError("--json and --csv both go to standard output. Choose one.")
        check_outputs(outputs, self.inputs, force=self.force)


def _check_ending(option: str, path: Path | None, endings: tuple[str, ...]) -> None:
    """Raise RequestError for a file whose name does not say what it is to hold."""
    if path is not None and path.suffix.lower() not in endings:
        most = ", ".join(endings[:-1])
        raise RequestError(
            f"{option} {one_line(str(path))}: the name must end in {most} or {endings[-1]}."
        )


def emit(
    wanted: Outputs,
    *,
    page: Callable[[], Iterable[str]],
    data: Callable[[], Mapping[str, Any]],
    table: Callable[[], str] | None = None,
    drawing: Callable[[], Figure] | None = None,
    moving: Callable[[str], bytes] | None = None,
) -> None:
    """Write the files asked for, print the page or the JSON, then say what was written.

    A table that goes to standard output takes the place of the page.

    Parameters
    ----------
    wanted : Outputs
        What to give; of the others only that is called which is.
    page, data, table, drawing, moving : callable
        The lines of the page, plain data for the JSON (which carries the cautions too), the table
        as CSV text, the figure, and the content of a moving picture by the ending of its name.
    """
    from liftgeo.files import is_stdout, shown, write_whole

    table_printed = is_stdout(wanted.csv) and table is not None
    # All is worked out before anything is written: an answer that fails leaves no file behind.
    printed: str | list[str]
    if wanted.as_json:
        printed = json_text({**data(), "cautions": cautions()})
    elif table_printed and table is not None:
        printed = table().removesuffix("\n")
    else:
        printed = list(page())
    moved = moving(wanted.moving.suffix) if wanted.moving is not None and moving else None
    if wanted.figure is not None and drawing is not None:
        from liftgeo.figures.output import render

        drawn = render(drawing(), wanted.figure.suffix)
        write_whole(wanted.figure, drawn, force=wanted.force)
    if wanted.moving is not None and moved is not None:
        write_whole(wanted.moving, moved, force=wanted.force)
    if wanted.csv is not None and table is not None and not table_printed:
        write_whole(wanted.csv, table(), force=wanted.force)
    if isinstance(printed, str):
        put(printed)
    else:
        print_page(printed)
    for path in filter(None, (None if table_printed else wanted.csv, wanted.figure, wanted.moving)):
        say(f"Written: {shown(path)}")
