"""`liftgeo stroke`: the main job, from a measured mechanism to verdict, budget and effort."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import one_of
from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FigurePath,
    FileOrExample,
    Force,
    Full,
    LeftOut,
    Positions,
    Units,
    again,
    given,
    how_sure,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit, say
from liftgeo.errors import RequestError
from liftgeo.figures.registry import FIGURES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from liftgeo.figures import Figure
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.studies.offers import Offer

TARGET_MISSED = 1


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "stroke",
        short_help="The main job: does it part, where the lift goes, how heavy it is.",
        help="The main job: verdict, where the lift goes, effort through the stroke.\n\n"
        "Example: liftgeo stroke my-clutch.toml --change longer-arm --figure page.pdf",
    )(stroke)


def _beside(mechanism: Mechanism, sure: Known | None) -> dict[str, object]:
    """Return what stands in the JSON beside the result: how sure, and what a change brings."""
    from liftgeo.mechanism.consequence import consequence

    data: dict[str, object] = {"known": None if sure is None else sure.to_dict()}
    if mechanism.origin is not None:
        data["consequence"] = consequence(mechanism).to_dict()
    return data


OneFigure = Annotated[
    str | None,
    typer.Option(
        "--figure-only",
        metavar="|".join(FIGURES),
        autocompletion=one_of(FIGURES),
        help="One figure of --figure. Left out: the whole page.",
    ),
]


def stroke(
    file: FileOrExample = None,
    change: Changes = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    figure_only: OneFigure = None,
    full: Full = False,
    units: Units = "metric",
    positions: Positions = 121,
    check_targets: Annotated[
        bool, typer.Option("--check-targets", help="Exit 1 if a target is missed.")
    ] = False,
    force: Force = False,
) -> int:
    """Analyse one mechanism and print what was found."""
    if figure_only is not None and figure_only not in FIGURES:
        raise RequestError(
            f"--figure-only {figure_only} is not known. Choose {', '.join(FIGURES)}."
        )
    if figure_only is not None and figure is None:
        raise RequestError("--figure-only needs --figure PATH, where the figure goes.")
    wanted = Outputs(as_json, csv, figure, units, force, given(file))
    from liftgeo.outcome.analysis import missed_targets
    from liftgeo.outcome.analysis import stroke as analyse
    from liftgeo.words.answer import whole_page
    from liftgeo.words.certainty import with_the_bench

    mechanism = open_mechanism(file, change, left_out)
    if figure is not None:
        mechanism.need_full("A figure")
    if check_targets:
        mechanism.need_full("Looking at the targets")
    result = analyse(mechanism, positions)
    sure = how_sure(mechanism)
    told = with_the_bench(result, sure, units)

    name = again(file, change, units, left_out)

    def text() -> list[str]:
        tries: Sequence[Offer] = ()
        if not mechanism.changes:
            from liftgeo.studies.offers import offers

            tries = offers(mechanism, units)
        return whole_page(result, mechanism, units, name, sure, tries, full=full)

    def drawing() -> Figure:
        from liftgeo.figures.page import page, single
        from liftgeo.outcome.bands import bands_of

        behind = bands_of(mechanism, result)
        if figure_only is None:
            return page(told, mechanism, units, behind, sure)
        return single(figure_only, told, mechanism, units, behind)

    emit(
        wanted,
        page=text,
        data=lambda: told.to_dict() | _beside(mechanism, sure),
        table=result.to_csv,
        drawing=drawing,
    )
    missed = missed_targets(mechanism, result) if check_targets else []
    for target in missed:
        say(f"Target missed: {target}")
    return TARGET_MISSED if missed else 0
