"""`liftgeo spread`: what the ± of the measurements does, and which of them to repeat."""

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


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "spread",
        short_help="What the ± of the measurements does, and which of them to repeat.",
        help="What the ± of the measurements and the usual ranges do: odds of dragging, whose ± "
        "decides, which measurement to repeat and how well, and the worst case.\n\n"
        "Example: liftgeo spread my-clutch.toml --full --figure spread.pdf",
    )(spread)


def spread(
    file: FileOrExample = None,
    change: Changes = None,
    full: Annotated[
        bool,
        typer.Option(
            "--full", help="The whole page, and the total share of each number; takes longer."
        ),
    ] = False,
    samples: Annotated[
        int,
        typer.Option(
            "--samples", metavar="MECHANISMS", help="How many to draw, as in --samples 20000."
        ),
    ] = 100_000,
    seed: Annotated[
        int,
        typer.Option(
            "--seed",
            metavar="SEED",
            help="Start of the random numbers, as in --seed 2; same seed, same page.",
        ),
    ] = 1,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Draw many mechanisms from every ± and range of one file."""
    wanted = Outputs(as_json, csv, figure, units, force, given(file))
    from liftgeo.outcome.uncertain import uncertain
    from liftgeo.studies.spread import EACH_AGAIN
    from liftgeo.studies.spread import spread as study
    from liftgeo.words.spread_page import spread_page

    mechanism = open_mechanism(file, change, left_out)
    runs = min(samples, EACH_AGAIN) * len(uncertain(mechanism)) if full else 0
    with progress("drawing", "mechanisms", runs) as advance:
        found = study(mechanism, samples=samples, seed=seed, full=full, progress=advance)
    name = again(file, change, units, left_out)

    def drawing() -> Figure:
        from liftgeo.figures.spread_page import spread_page as drawn

        return drawn(found, units)

    emit(
        wanted,
        page=lambda: spread_page(found, units, name, full=full),
        data=found.to_dict,
        table=found.to_csv,
        drawing=drawing,
    )
