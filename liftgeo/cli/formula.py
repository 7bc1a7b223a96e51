"""`liftgeo formula`: the working, in symbols and with the file's numbers put in line by line."""

from __future__ import annotations

from typing import Annotated

import typer

from liftgeo import formulas
from liftgeo.cli.completing import one_of
from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FileOrExample,
    Force,
    LeftOut,
    Units,
    given,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit
from liftgeo.errors import RequestError


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
    left_out: LeftOut = None,
    subject: Annotated[
        str | None,
        typer.Option(
            "--for",
            metavar="|".join(formulas.SUBJECTS),
            autocompletion=one_of(formulas.SUBJECTS),
            help="One question. Left out: everything.",
        ),
    ] = None,
    latex: Annotated[bool, typer.Option("--latex", help="Print a LaTeX document.")] = False,
    markdown: Annotated[
        bool, typer.Option("--markdown", help="Print Markdown with LaTeX formulas.")
    ] = False,
    as_json: AsJson = False,
    csv: CsvPath = None,
    units: Units = "metric",
    force: Force = False,
) -> int:
    """Print the working."""
    if latex + markdown + as_json > 1:
        raise RequestError("Choose one of --latex, --markdown and --json.")
    wanted = Outputs(as_json, csv, None, units, force, given(file))
    working = formulas.formula(open_mechanism(file, change, left_out), subject)
    read = working.in_units(units)
    shown = read.latex if latex else read.markdown if markdown else read.text
    emit(wanted, page=lambda: [shown()], data=working.to_dict, table=working.to_csv)
    return 0
