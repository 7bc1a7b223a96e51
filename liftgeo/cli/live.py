"""`liftgeo live`: the what-if page on this machine."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import LeftOut, Units
from liftgeo.cli.output import Outputs, say
from liftgeo.errors import GeometryError, RequestError

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism

USUAL_PORT = 8427


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "live",
        short_help="Try changes by sliders in the browser, or begin a file there.",
        help="A page in the browser, on this machine alone, to try changes by sliders and keep the "
        "good ones in the file. Without FILE it begins a new one: no text to edit. Ctrl-C ends it."
        "\n\nExample: liftgeo live my-clutch.toml",
    )(live)


def live(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="Geometry file; none: begin a new machine."),
    ] = None,
    port: Annotated[
        int,
        typer.Option(
            "--port",
            metavar="PORT",
            help="Port on this machine, as in --port 8500; 0 takes any that is free.",
        ),
    ] = USUAL_PORT,
    no_open: Annotated[
        bool, typer.Option("--no-open", help="Do not open the browser; the address is printed.")
    ] = False,
    left_out: LeftOut = None,
    units: Units = "metric",
) -> int:
    """Serve the page until somebody stops it."""
    Outputs(units=units)
    from liftgeo.files import is_stdin

    try:
        from liftgeo.live import Desk, application, serve
        from liftgeo.live.serving import bound
    except ModuleNotFoundError as error:
        if (error.name or "").split(".")[0] not in ("starlette", "uvicorn", "anyio"):
            raise
        raise RequestError(
            'The page needs two libraries more. In the checkout: python -m pip install ".[live]"'
        ) from None

    if file is not None and is_stdin(str(file)):
        raise RequestError("The page keeps changes in a file: name one in place of -.")
    desk = Desk(file, left_out)
    if file is not None:
        try:
            desk.read()
        except GeometryError:
            desk.read_faulty()  # no text of keys: this raises too, and says so
            say(f"{desk.name} has faults: the page names them beside their fields.")

    def write_up(mechanism: Mechanism, shown_in: str) -> str:
        import datetime

        from liftgeo.report import write_up as told

        date = datetime.date.today().isoformat()
        command = f"liftgeo live {desk.name}"
        return told(mechanism, units=shown_in, command=command, date=date).html()

    def ready(address: str) -> None:
        say(f"The page is at {address} (this machine alone). Ctrl-C ends it.")
        if not no_open:
            import webbrowser

            webbrowser.open(address)

    serve(application(desk, write_up, units), bound(port), ready)
    say("The page is closed. What you kept is in the file.")
    return 0
