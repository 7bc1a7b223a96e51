"""The commands put together, and what becomes of anything that stops one of them."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from importlib import import_module
from typing import Annotated, Any

import typer

from liftgeo.cli import COMMANDS, INTERRUPTED
from liftgeo.cli.by_need import ByNeed
from liftgeo.cli.output import CannotPrintError, ReaderGoneError, finish, say
from liftgeo.errors import LiftgeoError
from liftgeo.plain_text import printable
from liftgeo.version import __version__

PROGRAM = "liftgeo"
DONE, COULD_NOT = 0, 2


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"liftgeo {__version__}")
        raise typer.Exit


def _options(
    ctx: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    if ctx.invoked_subcommand is None:
        say(ctx.get_help())
        raise typer.Exit(COULD_NOT)


def command_line(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """Return the command line with some of its commands: reading all of them takes time."""
    app = typer.Typer(
        name="liftgeo",
        cls=ByNeed,
        invoke_without_command=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback()(_options)
    for name in names:
        import_module(f"liftgeo.cli.{name}").register(app)
    return app


def run() -> int:
    """Run the command that was typed, and return the exit code; what stops it is said on stderr."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    if sys.stdout is None:
        say("Standard output is closed: there is nowhere to print. Nothing was done.")
        return COULD_NOT
    try:
        wanted = [name for name in sys.argv[1:2] if name in COMMANDS]
        code: Any = command_line(wanted or COMMANDS)(prog_name=PROGRAM, standalone_mode=False)
        if code == INTERRUPTED:  # so the library of the command line reports Ctrl-C
            raise KeyboardInterrupt
        finish()
        return code if isinstance(code, int) else DONE
    except LiftgeoError as error:
        say(str(error))
    except typer.Abort:
        raise KeyboardInterrupt from None
    except (ReaderGoneError, BrokenPipeError):
        _let_go()
        return DONE
    except CannotPrintError as error:
        _let_go()
        say(str(error))
    except FileNotFoundError as error:
        say(f"{error.filename or 'The folder this runs in'} is not there any more.")
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        say(f"{where}{error.strerror or error}.")
    except MemoryError:
        say("There is not enough memory for this. Ask for fewer positions or values.")
    except Exception as error:
        _usage(error)
    return COULD_NOT


def _usage(error: Exception) -> None:
    """Say what is wrong with how a command was typed; anything else is a slip of the program.

    An unknown option or a missing argument: its class differs between releases of the library.
    """
    if not hasattr(error, "show"):
        raise error
    if hasattr(error, "message"):
        error.message = printable(str(error.message).replace("\n", " "))
    error.show()


def _let_go() -> None:
    """Give up standard output, so that the end of the program does not try it again."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):  # no file of the system stands behind it
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115  # until the end
