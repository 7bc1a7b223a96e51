"""`liftgeo stroke`: the main job, from a measured mechanism to verdict, budget and effort."""

from __future__ import annotations

from typing import Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FigurePath,
    FileOrExample,
    Force,
    Positions,
    Units,
    check_outputs,
    check_units,
    name_of,
    open_mechanism,
)
from liftgeo.cli.output import print_json, say
from liftgeo.errors import RequestError

FIGURES = ("effort", "lift", "advantage", "budget", "spring")
TARGET_MISSED = 1


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "stroke",
        short_help="The main job: does it part, where the lift goes, how heavy it is.",
        help="The main job: verdict, where the lift goes, effort through the stroke.\n\n"
        "Example: liftgeo stroke my-clutch.toml --change longer-arm --figure page.pdf",
    )(stroke)


def stroke(
    file: FileOrExample = None,
    change: Changes = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    figure_only: Annotated[
        str | None,
        typer.Option("--figure-only", metavar="|".join(FIGURES), help="One figure, not the page."),
    ] = None,
    units: Units = "metric",
    positions: Positions = 121,
    check_targets: Annotated[
        bool, typer.Option("--check-targets", help="Exit 1 if a target is missed.")
    ] = False,
    force: Force = False,
) -> int:
    """Analyse one mechanism and print what was found."""
    check_units(units)
    if figure_only is not None and figure_only not in FIGURES:
        raise RequestError(
            f"--figure-only {figure_only} is not known. Choose {', '.join(FIGURES)}."
        )
    if figure_only is not None and figure is None:
        raise RequestError("--figure-only needs --figure PATH, where the figure goes.")
    check_outputs(csv, figure, force=force)
    from liftgeo.outcome.analysis import missed_targets
    from liftgeo.outcome.analysis import stroke as analyse

    mechanism = open_mechanism(file, change)
    result = analyse(mechanism, positions)
    if figure is not None:
        from liftgeo.figures.page import page, render, single
        from liftgeo.geometry_file import write_whole

        if figure_only is None:
            drawn = page(result, mechanism, units)
        else:
            drawn = single(figure_only, result, mechanism, units)
        write_whole(figure, render(drawn, figure.suffix.lower()), force=force)
    if csv is not None:
        result.to_csv(csv, force=force)
    if as_json:
        print_json(result.to_dict())
    else:
        from liftgeo.cli.stroke_page import stroke_page

        name = name_of(file)
        typer.echo("\n".join(stroke_page(result, mechanism, units, name)))
    for path in (csv, figure):
        if path is not None:
            say(f"Written: {path}")
    missed = missed_targets(mechanism, result) if check_targets else []
    for target in missed:
        say(f"Target missed: {target}")
    return TARGET_MISSED if missed else 0
