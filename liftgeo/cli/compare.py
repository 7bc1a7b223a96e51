"""`liftgeo compare`: stock against changes, other files, and every input a little changed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    CsvPath,
    FigurePath,
    FileGiven,
    Force,
    Units,
    check_outputs,
    check_units,
    open_mechanism,
)
from liftgeo.cli.output import print_json, say
from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.studies.compare import Comparison
    from liftgeo.studies.sensitivity import Sensitivity

FIGURE_POSITIONS = 121


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "compare",
        short_help="Set changes side by side: what each trades for what.",
        help="Stock against changes: what each does to lift, effort, clamp load, all at once.\n\n"
        "Examples: liftgeo compare my-clutch.toml; liftgeo compare my-clutch.toml "
        "better-cable+less-play longer-arm --figure trade.pdf",
    )(compare)


def compare(
    file: FileGiven,
    change: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[CHANGE ...]",
            help="Changes of the file, or several joined with + to be made together; none: all.",
        ),
    ] = None,
    together: Annotated[
        bool, typer.Option("--together", help="Add all the changes made together.")
    ] = False,
    against: Annotated[
        list[str] | None,
        typer.Option("--against", metavar="OTHER", help="Another geometry file; repeatable."),
    ] = None,
    sensitivity: Annotated[
        bool,
        typer.Option(
            "--sensitivity",
            help="Add what +1 % and +0.1 mm or +1 deg of every input do; --csv and --figure then "
            "hold that ranking.",
        ),
    ] = False,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    units: Units = "metric",
    positions: Annotated[
        int | None,
        typer.Option(
            "--positions", metavar="N", help="Put strokes of N rows into the JSON, at least 100."
        ),
    ] = None,
    force: Force = False,
) -> None:
    """Compare a mechanism with changes and other files, and print what was found."""
    check_units(units)
    check_outputs(csv, figure, force=force)
    _check_positions(positions)
    from liftgeo.studies.compare import compare as set_side_by_side

    mechanism, names = open_mechanism(file), list(change or [])
    others = [open_mechanism(other) for other in against or []]
    if not (mechanism.changes or others or names or sensitivity):
        raise RequestError(
            f"{file} holds no changes to compare. Write [changes.NAME] with the keys that change, "
            "or name another file with --against."
        )
    rows = positions
    if figure is not None and not sensitivity and rows is None:
        rows = FIGURE_POSITIONS
    found = set_side_by_side(mechanism, names, together=together, against=others, positions=rows)
    ranking = _ranking(mechanism) if sensitivity else None
    if figure is not None:
        _draw(figure, found, ranking, units, force=force)
    if csv is not None:
        _write_table(csv, found, ranking, force=force)
    if as_json:
        print_json(_data(found, ranking, strokes=positions is not None))
    else:
        from liftgeo.cli.compare_page import compare_page

        typer.echo("\n".join(compare_page(found, ranking, units, file)))
    for path in (csv, figure):
        if path is not None:
            say(f"Written: {path}")


def _check_positions(positions: int | None) -> None:
    from liftgeo.outcome.analysis import FEWEST_POSITIONS

    if positions is not None and positions < FEWEST_POSITIONS:
        raise RequestError(f"{positions} positions are too few; at least {FEWEST_POSITIONS}.")


def _ranking(mechanism: Mechanism) -> tuple[Sensitivity, ...]:
    from liftgeo.studies.sensitivity import sensitivities

    return sensitivities(mechanism)


def _data(
    found: Comparison, ranking: tuple[Sensitivity, ...] | None, *, strokes: bool
) -> dict[str, object]:
    data = found.to_dict()
    if not strokes:
        for result in (data["base"], *(v["result"] for v in data["variants"])):
            result.pop("stroke", None)
    if ranking is not None:
        data["sensitivity"] = [row.to_dict() for row in ranking]
    return data


def _write_table(
    path: Path, found: Comparison, ranking: tuple[Sensitivity, ...] | None, *, force: bool
) -> None:
    from liftgeo.geometry_file import write_whole
    from liftgeo.studies.sensitivity import to_csv

    write_whole(path, found.to_csv() if ranking is None else to_csv(ranking), force=force)


def _draw(
    path: Path,
    found: Comparison,
    ranking: tuple[Sensitivity, ...] | None,
    units: str,
    *,
    force: bool,
) -> None:
    from liftgeo.cli.compare_page import AS_IT_STANDS, shown_rows, step_words, targets_of
    from liftgeo.figures.output import render
    from liftgeo.figures.study_pages import comparison_page, sensitivity_page
    from liftgeo.geometry_file import write_whole

    title = found.base.result.title or "The clutch"
    if ranking is None:
        results = {c.label or AS_IT_STANDS: c.result for c in found.all}
        page = comparison_page(
            f"{title}: changes side by side", results, targets_of(found), units=units
        )
    else:
        rows = [
            (f"{row.key} {step_words(row, units)}", *row.shown_effects)
            for row in shown_rows(found.base.mechanism, ranking)[:16]
        ]
        page = sensitivity_page(f"{title}: a little more of each input", rows, units=units)
    write_whole(path, render(page, path.suffix), force=force)
