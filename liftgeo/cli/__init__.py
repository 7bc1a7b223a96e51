"""The command line: one file a command; each parses, calls and prints, and holds no physics."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from importlib import import_module
from typing import Annotated

import typer

from liftgeo.errors import LiftgeoError
from liftgeo.version import __version__

COULD_NOT, INTERRUPTED = 2, 130

COMMANDS = ("stroke", "compare", "size", "wear", "formula", "check", "new", "schema", "safety")
"""In the order of the help; each is a module of this folder."""


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"liftgeo {__version__}")
        raise typer.Exit


def _options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    pass


def command_line(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """Return the command line with some of its commands: reading all of them takes time."""
    app = typer.Typer(
        name="liftgeo",
        add_completion=False,
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
        help="Why does the clutch drag, why is it heavy, and what would put it right?\n\n"
        "liftgeo works out the release mechanism of a friction clutch, from hand lever to "
        "pressure plate, from calliper measurements.",
    )
    app.callback()(_options)
    for name in names:
        import_module(f"liftgeo.cli.{name}").register(app)
    return app


def main() -> None:
    """Run the command line: exit 0 done, 1 a target is missed, 2 could not, 130 interrupted."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        wanted = [name for name in sys.argv[1:2] if name in COMMANDS]
        code = command_line(wanted or COMMANDS)(standalone_mode=False)
    except LiftgeoError as error:
        typer.echo(str(error), err=True)
        sys.exit(COULD_NOT)
    except (KeyboardInterrupt, typer.Abort):
        typer.echo("Interrupted; nothing was left half-written.", err=True)
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:
        # A usage error (unknown option, missing argument); its class differs between releases.
        if not hasattr(error, "show"):
            raise
        error.show()
        sys.exit(COULD_NOT)
    sys.exit(code if isinstance(code, int) else 0)
