"""`liftgeo safety`: the cautions in full."""

from __future__ import annotations

import typer

from liftgeo.cli.options import AsJson
from liftgeo.cli.output import Outputs, emit


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "safety",
        short_help="The cautions in full: springs, dust, slip, metal taken off.",
        help="The cautions in full, each with where it comes from.\n\nExample: liftgeo safety",
    )(safety)


def safety(as_json: AsJson = False) -> int:
    """Print the cautions."""
    from liftgeo.words.safety_page import safety_page

    emit(Outputs(as_json), page=safety_page, data=dict)
    return 0
