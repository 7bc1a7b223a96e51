"""`liftgeo new`: a starter file with a blank for every number to measure."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from liftgeo.cli.options import Force
from liftgeo.cli.output import as_typed, say
from liftgeo.errors import RequestError, nearest

RELEASES = "ball-ramp|quick-thread|rack|crank|eccentric|profile"
LEVERS = "pin|drum|profile"
SPRINGS = "coned-disc|coils|table"


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "new",
        short_help="Write a starter file with a blank for every number.",
        help="Write a starter file: a blank for every number, with what it is and how it is "
        "measured.\n\nExample: liftgeo new my-clutch --release quick-thread --spring coils",
    )(new)


def new(
    name: Annotated[
        Path, typer.Argument(metavar="NAME", help="Name of the file; .toml is added to it.")
    ],
    release: Annotated[
        str, typer.Option(metavar=RELEASES, help="What turns the arm's rotation into lift.")
    ] = "ball-ramp",
    lever: Annotated[str, typer.Option(metavar=LEVERS, help="How the lever takes the cable.")] = (
        "pin"
    ),
    spring: Annotated[str, typer.Option(metavar=SPRINGS, help="What clamps the plates.")] = (
        "coned-disc"
    ),
    force: Force = False,
) -> int:
    """Write the starter file."""
    if not name.name:
        raise RequestError("The file needs a name, as in `liftgeo new my-clutch`.")
    kinds = {"release": release, "lever": lever, "spring": spring}
    for option, known in (("release", RELEASES), ("lever", LEVERS), ("spring", SPRINGS)):
        _check(option, kinds[option], known.split("|"))
    from liftgeo.geometry_file import write_whole
    from liftgeo.mechanism.starter import starter

    path = name if name.suffix == ".toml" else name.with_name(f"{name.name}.toml")
    title = path.stem.replace("-", " ").replace("_", " ")
    typed = as_typed(str(path))
    write_whole(path, starter(title[:1].upper() + title[1:], typed, kinds), force=force)
    say(
        f"Written: {path}\nFill in its blanks with a text editor; `liftgeo check {typed}` names "
        "those that are left."
    )
    return 0


def _check(option: str, kind: str, known: list[str]) -> None:
    if kind in known:
        return
    near = nearest(kind, known)
    hint = f" Did you mean {near}?" if near else ""
    raise RequestError(f"--{option} {kind} is not known.{hint} Choose {', '.join(known)}.")
