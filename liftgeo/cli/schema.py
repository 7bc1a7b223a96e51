"""`liftgeo schema`: the JSON Schema of a geometry file, for editors."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from liftgeo.cli.options import Force
from liftgeo.cli.output import print_json, say


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
        Path | None, typer.Option("--output", metavar="PATH", help="Write it to a file.")
    ] = None,
    force: Force = False,
) -> int:
    """Print the schema, or write it whole."""
    from liftgeo.mechanism.schema import file_schema

    if output is None:
        print_json(file_schema())
        return 0
    import json

    from liftgeo.geometry_file import write_whole

    text = json.dumps(file_schema(), ensure_ascii=False, indent=2) + "\n"
    write_whole(output, text, force=force)
    say(f"Written: {output}")
    return 0
