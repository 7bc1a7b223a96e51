"""Runs the page's server on this machine, and opens it."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Callable
from typing import TYPE_CHECKING

from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from starlette.types import ASGIApp

HOST = "127.0.0.1"
USUAL_PORT = 8427
_LARGEST_PORT = 65_535


def bound(port: int) -> socket.socket:
    """Return a socket of this machine alone, at a port; 0 takes any that is free.

    Raises
    ------
    RequestError
        The port cannot be had.
    """
    if not 0 <= port <= _LARGEST_PORT:
        raise RequestError(f"--port {port} is no port. Choose 1024 to {_LARGEST_PORT}, or 0.")
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        taken.bind((HOST, port))
    except OSError as error:
        taken.close()
        raise RequestError(
            f"Port {port} cannot be had ({error.strerror}). Perhaps the page runs already: look at "
            f"http://{HOST}:{port}. --port 0 takes any port that is free."
        ) from None
    return taken


def serve(app: ASGIApp, at: socket.socket, ready: Callable[[str], None]) -> None:
    """Serve until somebody stops it with Ctrl-C.

    Parameters
    ----------
    app : ASGI application
    at : socket
        From `bound`.
    ready : callable
        Called once with the page's address, when it answers.
    """
    import uvicorn

    address = f"http://{HOST}:{at.getsockname()[1]}"

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets=sockets)
            ready(address)

    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, lifespan="off"
    )
    with contextlib.suppress(KeyboardInterrupt), at:
        Server(config).run(sockets=[at])
