"""`liftgeo plan`: of the file's changes the cheapest set that reaches what is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    CsvPath,
    FigurePath,
    FileGiven,
    Force,
    Full,
    LeftOut,
    Units,
    again,
    given,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit
from liftgeo.cli.progress import progress

if TYPE_CHECKING:
    from liftgeo.figures import Figure
    from liftgeo.studies.plan_result import Plan


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "plan",
        short_help="Find the cheapest of the file's changes that reach the wants.",
        help="Of the file's changes the cheapest set that reaches what is wanted, and what each "
        "sum of money buys.\n\n"
        'Example: liftgeo plan my-clutch.toml --want "clearance>=0.1" --want "hand_force<=90" '
        "--budget 150\n\n"
        "Each [changes.NAME] says what it costs in your own money: cost = 25, 0 where it is free; "
        "also hours = 2, needs and excludes = lists of names. Wants as in `liftgeo size`: "
        "lift, clearance (per face), separation, slip_margin, peak_hand_force, hand_force, "
        'clamp_force, axial_load, with >= or <=, in quotes; "frees>=0.9" asks that nine clutches '
        "in ten run clear.",
    )(plan)


Wants = Annotated[
    list[str] | None,
    typer.Option(
        "--want",
        metavar="NAME>=NUMBER",
        help='What is to be reached in mm or N, or with its unit, as in "clearance>=0.1"; '
        "repeatable. Left out: the target clearance.",
    ),
]
Rate = Annotated[
    float | None,
    typer.Option(
        "--hourly-rate",
        metavar="MONEY",
        help="What an hour of work counts, in the money of cost, as in --hourly-rate 15. Left "
        "out: 0.",
    ),
]
Budget = Annotated[
    float | None,
    typer.Option(
        "--budget",
        metavar="MONEY",
        help="The most to be spent, in the money of cost, as in --budget 150. Left out: no limit.",
    ),
]


def plan(
    file: FileGiven,
    want: Wants = None,
    hourly_rate: Rate = None,
    budget: Budget = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    full: Full = False,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Search the sets of changes, and print the cheapest that reaches the wants."""
    wanted = Outputs(as_json, csv, figure, units, force, given(file))
    mechanism = open_mechanism(file, None, left_out)
    from liftgeo.studies.plan import most_work
    from liftgeo.studies.plan import plan as cheapest
    from liftgeo.words.plan_page import plan_page

    with progress("working out", "sets", most_work(mechanism)) as advance:
        found = cheapest(
            mechanism, want or (), hourly_rate=hourly_rate, budget=budget, progress=advance
        )
    emit(
        wanted,
        page=lambda: plan_page(found, units, again(file, None, units, left_out), full=full),
        data=found.to_dict,
        table=found.to_csv,
        drawing=lambda: _drawing(found, units),
    )


def _drawing(found: Plan, units: str) -> Figure:
    from liftgeo.figures.plan_page import Limits, Mark, plan_figure
    from liftgeo.words.plan_page import figure_marks, figure_title
    from liftgeo.words.verdict import warning_names

    told = {"As it stands": found.base_result}
    told |= {"Chosen" if found.chosen else "Nearest": found.result}
    named = {name: warning_names(result) for name, result in told.items()}
    marks = [
        Mark(
            letter,
            names,
            bundle.cost,
            bundle.clearance_per_face_mm,
            bundle.peak_hand_force_n,
            bundle.reaches,
            chosen,
        )
        for letter, names, bundle, chosen in figure_marks(found)
    ]
    limits = {want.measure: want.limit for want in found.wants}
    return plan_figure(
        figure_title(found),
        marks,
        found.cloud,
        Limits(limits.get("clearance"), limits.get("peak_hand_force")),
        warnings=[f"{name}. {words}" for name, words in named.items() if words],
        units=units,
    )
