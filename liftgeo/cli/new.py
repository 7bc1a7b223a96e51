"""`liftgeo new`: a starter file with a blank for every number that an answer needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from liftgeo.cli.completing import one_of
from liftgeo.cli.options import Force
from liftgeo.cli.output import as_typed, put, say
from liftgeo.errors import RequestError, nearest
from liftgeo.kinds import KINDS


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "new",
        short_help="Write a starter file: the numbers an answer needs, as blanks.",
        help="Write a starter file: a blank for every number that an answer needs, with what it is "
        "and how it is measured. What is left out is taken as usual; --all writes every key."
        "\n\nExample: liftgeo new my-clutch --release quick-thread --spring coils",
    )(new)


def new(
    name: Annotated[
        Path, typer.Argument(metavar="NAME", help="Name of the file; .toml is added to it.")
    ],
    release: Annotated[
        str,
        typer.Option(
            metavar="|".join(KINDS["release"]),
            autocompletion=one_of(KINDS["release"]),
            help="What turns the arm's rotation into lift.",
        ),
    ] = KINDS["release"][0],
    lever: Annotated[
        str,
        typer.Option(
            metavar="|".join(KINDS["lever"]),
            autocompletion=one_of(KINDS["lever"]),
            help="How the lever takes the cable.",
        ),
    ] = KINDS["lever"][0],
    arm: Annotated[
        str,
        typer.Option(
            metavar="|".join(KINDS["arm"]),
            autocompletion=one_of(KINDS["arm"]),
            help="How the arm takes the cable.",
        ),
    ] = KINDS["arm"][0],
    spring: Annotated[
        str,
        typer.Option(
            metavar="|".join(KINDS["spring"]),
            autocompletion=one_of(KINDS["spring"]),
            help="What clamps the plates.",
        ),
    ] = KINDS["spring"][0],
    everything: Annotated[
        bool, typer.Option("--all", help="Every key, with what is taken where it is left blank.")
    ] = False,
    force: Force = False,
) -> int:
    """Write the starter file."""
    if not name.name:
        raise RequestError("The file needs a name, as in `liftgeo new my-clutch`.")
    kinds = {"lever": lever, "arm": arm, "release": release, "spring": spring}
    for option, kind in kinds.items():
        _check(option, kind, KINDS[option])
    from liftgeo.files import is_stdout, shown, write_whole
    from liftgeo.mechanism.starter import starter
    from liftgeo.plain_text import one_line

    printed = is_stdout(name)
    path = Path("my-clutch.toml") if printed else name
    path = path if path.suffix == ".toml" else path.with_name(f"{path.name}.toml")
    title = one_line(path.stem.replace("-", " ").replace("_", " "))
    typed = as_typed(one_line(str(path)))
    text = starter(title[:1].upper() + title[1:], typed, kinds, everything=everything)
    if printed:
        put(text.removesuffix("\n"))
        return 0
    write_whole(path, text, force=force)
    say(
        f"Written: {shown(path)}\nFill in its blanks with a text editor. `liftgeo stroke {typed}` "
        f"answers as far as they reach; `liftgeo sheet {typed}` prints a sheet to measure by."
    )
    return 0


def _check(option: str, kind: str, known: Sequence[str]) -> None:
    if kind in known:
        return
    near = nearest(kind, known)
    hint = f" Did you mean {near}?" if near else ""
    raise RequestError(f"--{option} {kind} is not known.{hint} Choose {', '.join(known)}.")
