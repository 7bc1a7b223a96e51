"""How every command gives its answer: a page or JSON on stdout, files, remarks on stderr."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from liftgeo.errors import RequestError
from liftgeo.safety import cautions

if TYPE_CHECKING:
    from liftgeo.figures import Figure

FIGURE_ENDINGS = (".png", ".svg", ".pdf")


def say(text: str) -> None:
    """Print a remark to stderr, so that stdout holds the data alone."""
    typer.echo(text, err=True)


def as_typed(name: str) -> str:
    """Return the name of a file as a command takes it: in quotes where it holds a space."""
    return f'"{name}"' if any(c.isspace() or c in "&;()'" for c in name) else name


def json_text(data: Any) -> str:
    """Return data as JSON, numbers in full double precision and no NaN."""
    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2)


def print_page(lines: Iterable[str]) -> None:
    """Print a page on stdout, its headline bold on a terminal."""
    from liftgeo.words.lines import Headline

    bold = sys.stdout.isatty()
    typer.echo(
        "\n".join(
            typer.style(line, bold=True) if bold and isinstance(line, Headline) else line
            for line in lines
        )
    )


@dataclass(frozen=True)
class Outputs:
    """What a command was asked to give: JSON or a page, a table, a figure.

    Raises
    ------
    RequestError, FileError
        On being made, before anything is computed: unknown units, or a file that could not be
        written.
    """

    as_json: bool = False
    csv: Path | None = None
    figure: Path | None = None
    units: str = "metric"
    force: bool = False

    def __post_init__(self) -> None:
        if self.units not in ("metric", "inch"):
            raise RequestError(f"--units {self.units} is not known. Choose metric or inch.")
        if self.figure is not None and self.figure.suffix.lower() not in FIGURE_ENDINGS:
            raise RequestError(
                f"--figure {self.figure}: the name must end in {', '.join(FIGURE_ENDINGS[:-1])} "
                f"or {FIGURE_ENDINGS[-1]}."
            )
        from liftgeo.geometry_file import check_writable

        for path in filter(None, (self.csv, self.figure)):
            check_writable(path, force=self.force)


def emit(
    wanted: Outputs,
    *,
    page: Callable[[], Iterable[str]],
    data: Callable[[], Mapping[str, Any]],
    table: Callable[[], str] | None = None,
    drawing: Callable[[], Figure] | None = None,
) -> None:
    """Write the files asked for, print the page or the JSON, then say what was written.

    Parameters
    ----------
    wanted : Outputs
        What to give; of the others only that is called which is.
    page, data, table, drawing : callable
        The lines of the page, plain data for the JSON (which carries the cautions too), the table
        as CSV text, and the figure.
    """
    from liftgeo.geometry_file import write_whole

    if wanted.figure is not None and drawing is not None:
        from liftgeo.figures.output import render

        drawn = render(drawing(), wanted.figure.suffix)
        write_whole(wanted.figure, drawn, force=wanted.force)
    if wanted.csv is not None and table is not None:
        write_whole(wanted.csv, table(), force=wanted.force)
    if wanted.as_json:
        typer.echo(json_text({**data(), "cautions": cautions()}))
    else:
        print_page(page())
    for path in filter(None, (wanted.csv, wanted.figure)):
        say(f"Written: {path}")
