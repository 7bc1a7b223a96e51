"""`liftgeo wear`: the clutch as its facing wears, and which limit it meets first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FigurePath,
    FileOrExample,
    Force,
    Full,
    LeftOut,
    Units,
    again,
    given,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit

if TYPE_CHECKING:
    from liftgeo.figures import Figure


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "wear",
        short_help="Follow the clutch as its facing wears, to the first limit.",
        help="The clutch as its facing wears: grip, effort, play, clearance; the first limit.\n\n"
        "Example: liftgeo wear my-clutch.toml --readjusted --figure wear.pdf",
    )(wear)


def wear(
    file: FileOrExample = None,
    change: Changes = None,
    left_out: LeftOut = None,
    readjusted: Annotated[
        bool, typer.Option("--readjusted", help="Play is set again as the facing wears.")
    ] = False,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    full: Full = False,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Follow one mechanism from new facing to worn."""
    wanted = Outputs(as_json, csv, figure, units, force, given(file))
    from liftgeo.studies.wear import wear as follow
    from liftgeo.words.wear_page import wear_page

    study = follow(open_mechanism(file, change, left_out), readjusted=readjusted)
    name = again(file, change, units, left_out)

    def drawing() -> Figure:
        from liftgeo.figures.wear_page import wear_page as drawn

        return drawn(study, units)

    emit(
        wanted,
        page=lambda: wear_page(study, units, name, full=full),
        data=study.to_dict,
        table=study.to_csv,
        drawing=drawing,
    )
