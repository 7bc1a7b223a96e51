"""`liftgeo diagnose`: what eats the lift, what bench readings say, what to read next."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FigurePath,
    FileOrExample,
    Force,
    LeftOut,
    Units,
    given,
    name_of,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "diagnose",
        short_help="What eats the lift, what bench readings say of it, what to read next.",
        help="What eats the lift; what readings from the bench say of each number, and whether "
        "they agree; what cannot be told apart, and the next reading that would settle most; and "
        "what can be done, worked out for this machine, free ones first.\n\n"
        "Examples: liftgeo diagnose my-clutch.toml --readings bench.csv; "
        "liftgeo diagnose my-clutch.toml --symptom drags",
    )(diagnose)


def diagnose(
    file: FileOrExample = None,
    change: Changes = None,
    readings: Annotated[
        Path | None,
        typer.Option("--readings", metavar="CSV", help="Readings from the bench, beside [bench]."),
    ] = None,
    fit: Annotated[
        list[str] | None,
        typer.Option("--fit", metavar="KEY", help="Let readings move an exact key; repeatable."),
    ] = None,
    symptom: Annotated[
        str | None,
        typer.Option(
            "--symptom",
            metavar="WORD",
            help="What is felt: heavy, drags, drags-hot, bites-low, bites-high, sticks, slips, "
            "creeps or judders. Names the measurement that decides; only remedies for that.",
        ),
    ] = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Diagnose one mechanism and print what was found."""
    read_too = (str(readings),) if readings is not None else ()
    wanted = Outputs(as_json, csv, figure, units, force, (*given(file), *read_too))
    from liftgeo.geometry_file import load_readings
    from liftgeo.studies.diagnose import diagnose as study
    from liftgeo.words.diagnose_page import diagnose_page

    mechanism = open_mechanism(file, change, left_out)
    mechanism.need_full("A diagnosis")
    if readings is not None:
        mechanism = mechanism.with_readings(load_readings(readings), readings.name)
    found = study(mechanism, fit=fit or (), symptom=symptom)
    emit(
        wanted,
        page=lambda: diagnose_page(found, units, name_of(file)),
        data=found.to_dict,
        table=found.to_csv,
    )
