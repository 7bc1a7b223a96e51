"""A tab that watches over itself, and the page of a file on a port of its own."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import uvicorn

from liftgeo.live import Desk, application
from liftgeo.live.serving import bound
from liftgeo.report import write_up


def expect(found: Any) -> Any:
    """Return what waits until something holds of a place in a page, and fails if it never does."""
    from playwright.sync_api import expect as waits

    return waits(found)


def faults_of(tab: Any) -> str:
    """Return what an accessibility engine finds wrong with a page; empty where it finds nothing."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(tab)
    return found.generate_report() if found.violations_count else ""


def opened(browser: Any, **looks: Any) -> Iterator[Any]:
    """Yield a tab that watches over itself."""
    context = browser.new_context(**looks)
    found = context.new_page()
    wrong: list[str] = []
    found.on("pageerror", lambda error: wrong.append(str(error)))
    found.on(
        "request",
        lambda request: (
            None
            if request.url.startswith(("http://127.0.0.1:", "file:", "data:", "blob:"))
            else wrong.append(f"asks {request.url}")
        ),
    )
    yield found
    context.close()
    assert wrong == []


class Site:
    """The page of a file, running on a port of its own."""

    def __init__(self, file: Path | None) -> None:
        self.file = file
        self._at = bound(0)
        self.address = f"http://127.0.0.1:{self._at.getsockname()[1]}"

        def told(mechanism: Any, units: str) -> str:
            return write_up(mechanism, units=units).html()

        app = application(Desk(file), told)
        self._server = uvicorn.Server(uvicorn.Config(app, log_level="error", lifespan="off"))
        self._thread = threading.Thread(
            target=self._server.run, kwargs={"sockets": [self._at]}, daemon=True
        )

    def start(self) -> None:
        """Answer from now on."""
        self._thread.start()
        until = time.monotonic() + 30
        while not self._server.started and time.monotonic() < until:
            time.sleep(0.01)

    def stop(self) -> None:
        """Answer no more."""
        self._server.should_exit = True
        self._server.force_exit = True
        self._thread.join(timeout=30)
        self._at.close()
