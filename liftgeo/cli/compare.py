"""`liftgeo compare`: stock against changes, other files, and every input a little changed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import change_names
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
    how_sure,
    open_mechanism,
    with_typed_joined,
)
from liftgeo.cli.output import Outputs, emit
from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from liftgeo.figures import Figure
    from liftgeo.studies.compare import Comparison
    from liftgeo.studies.sensitivity import Sensitivities

FIGURE_POSITIONS = 121


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "compare",
        short_help="Set changes side by side: what each trades for what.",
        help="Stock against changes: what each does to lift, effort, clamp load, all at once.\n\n"
        "Examples: liftgeo compare my-clutch.toml; liftgeo compare my-clutch.toml "
        "better-cable+less-play longer-arm arm.radius=30 --figure trade.pdf",
    )(compare)


Strokes = Annotated[
    int | None,
    typer.Option(
        "--positions",
        metavar="ROWS",
        help="Put strokes of so many rows into the JSON, at least 100, as in --positions 201. "
        "Left out: no strokes.",
    ),
]

Named = Annotated[
    list[str] | None,
    typer.Option(
        "--change",
        metavar="NAME",
        autocompletion=change_names,
        help="The same as CHANGE: a change to set beside the file as it stands, as in --change "
        "less-play or --change arm.radius=30; repeatable. Left out: those of CHANGE.",
    ),
]

Others = Annotated[
    list[str] | None,
    typer.Option(
        "--against",
        metavar="OTHER",
        help="Another geometry file, as in --against rebuilt.toml; repeatable. Left out: none.",
    ),
]


def compare(
    file: FileGiven,
    change: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[CHANGE ...]",
            autocompletion=change_names,
            help="Changes of the file, or a number of your own as in cable.free_play=1.2, or "
            "several joined with + to be made together; none: all of the file's.",
        ),
    ] = None,
    more: Named = None,
    together: Annotated[
        bool, typer.Option("--together", help="Add all the changes made together.")
    ] = False,
    against: Others = None,
    sensitivity: Annotated[
        bool,
        typer.Option(
            "--sensitivity",
            help="Add what every input does over its own ± or range, and +1 % and +0.1 mm or "
            "+1 deg of it; --csv and --figure then hold that ranking.",
        ),
    ] = False,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    full: Full = False,
    units: Units = "metric",
    positions: Strokes = None,
    force: Force = False,
) -> None:
    """Compare a mechanism with changes and other files, and print what was found."""
    wanted = Outputs(as_json, csv, figure, units, force, given(file, *(against or [])))
    _check_positions(positions)
    from liftgeo.studies.compare import compare as set_side_by_side
    from liftgeo.words.compare_page import compare_page

    names = [*(change or []), *(more or [])]
    mechanism = with_typed_joined(open_mechanism(file, None, left_out), names)
    others = [open_mechanism(other, None, left_out) for other in against or []]
    if not (mechanism.changes or others or names or sensitivity):
        raise RequestError(
            f"{file} holds no changes to compare. Write [changes.NAME] with the keys that change, "
            "or name another file with --against."
        )
    rows = positions
    if figure is not None and not sensitivity and rows is None:
        rows = FIGURE_POSITIONS
    found = set_side_by_side(mechanism, names, together=together, against=others, positions=rows)
    ranking = None
    if sensitivity:
        from liftgeo.studies.sensitivity import sensitivity as rank

        ranking = rank(mechanism)
    name = again(file, None, units, left_out)
    emit(
        wanted,
        page=lambda: compare_page(found, ranking, units, name, how_sure(mechanism), full=full),
        data=lambda: _data(found, ranking, strokes=positions is not None),
        table=(found if ranking is None else ranking).to_csv,
        drawing=lambda: _drawing(found, ranking, units),
    )


def _check_positions(positions: int | None) -> None:
    from liftgeo.outcome.analysis import check_positions

    if positions is not None:
        check_positions(positions)


def _data(found: Comparison, ranking: Sensitivities | None, *, strokes: bool) -> dict[str, object]:
    data = found.to_dict()
    if not strokes:
        for result in (data["base"], *(v["result"] for v in data["variants"])):
            result.pop("stroke", None)
    if ranking is not None:
        data |= ranking.to_dict()
    return data


def _drawing(found: Comparison, ranking: Sensitivities | None, units: str) -> Figure:
    from liftgeo.figures.page import say_as_worked
    from liftgeo.figures.study_pages import comparison_page, sensitivity_page
    from liftgeo.words.compare_page import bar_rows, figure_title, targets_of
    from liftgeo.words.names import AS_IT_STANDS

    title = figure_title(found, ranked=ranking is not None)
    if ranking is not None:
        rows = bar_rows(found.base.mechanism, ranking, units)
        figure = sensitivity_page(title, rows, found.base.result, units=units)
        say_as_worked(figure.axes, found.base.mechanism)
        return figure
    results = {c.label or AS_IT_STANDS: c.result for c in found.all}
    figure = comparison_page(title, results, targets_of(found), units=units)
    say_as_worked(figure.axes, found.base.mechanism, results.keys())
    return figure
