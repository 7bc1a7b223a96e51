"""`liftgeo schema`: the JSON Schema of a geometry file, for editors."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from liftgeo.cli.options import Force
from liftgeo.cli.output import json_text, put, say


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "schema",
        short_help="Print the JSON Schema of a geometry file, for an editor.",
        help="Print the JSON Schema of a geometry file: an editor then completes and checks "
        "keys as they are typed.\n\n"
        "Example: liftgeo schema --output liftgeo.schema.json",
    )(schema)


def schema(
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            metavar="PATH",
            help="Write it to a file, as in --output liftgeo.schema.json. Left out: printed.",
        ),
    ] = None,
    force: Force = False,
) -> int:
    """Print the schema, or write it whole."""
    from liftgeo.mechanism.schema import file_schema

    text = json_text(file_schema())
    from liftgeo.files import is_stdout, shown, write_whole

    if output is None or is_stdout(output):
        put(text)
        return 0
    write_whole(output, f"{text}\n", force=force)
    say(f"Written: {shown(output)}")
    return 0
