"""`liftgeo formula`: the working, in symbols and with the file's numbers put in line by line."""

from __future__ import annotations

from typing import Annotated

import typer

from liftgeo.cli.options import AsJson, Changes, FileOrExample, open_mechanism
from liftgeo.cli.output import Outputs, emit
from liftgeo.errors import RequestError

_SUBJECTS = ("clearance", "effort", "advantage", "spring", "capacity")


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "formula",
        short_help="Show the working, in symbols and with the file's numbers.",
        help="The working behind the numbers: each formula in symbols, then with this file's "
        "numbers put in, to follow with a pocket calculator or to put in a write-up.\n\n"
        "Example: liftgeo formula my-clutch.toml --for clearance --markdown > working.md",
    )(formula)


def formula(
    file: FileOrExample = None,
    change: Changes = None,
    subject: Annotated[
        str | None,
        typer.Option("--for", metavar="|".join(_SUBJECTS), help="One question; none: everything."),
    ] = None,
    latex: Annotated[bool, typer.Option("--latex", help="Print a LaTeX document.")] = False,
    markdown: Annotated[
        bool, typer.Option("--markdown", help="Print Markdown with LaTeX formulas.")
    ] = False,
    as_json: AsJson = False,
) -> int:
    """Print the working."""
    if latex + markdown + as_json > 1:
        raise RequestError("Choose one of --latex, --markdown and --json.")
    mechanism = open_mechanism(file, change)
    from liftgeo import formulas

    working = formulas.worked(mechanism, subject)
    show = formulas.as_latex if latex else formulas.as_markdown if markdown else formulas.as_text
    emit(
        Outputs(as_json),
        page=lambda: [show(working)],
        data=lambda: formulas.as_data(working),
    )
    return 0
