"""A real browser for the pages: headless Chromium, with no way out of this machine."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from clutches import BASE_TEXT
from sites import Site, opened

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or "chromium"
"""Where the browser lies."""
ALONE = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as running:
        found = running.chromium.launch(executable_path=CHROMIUM, args=ALONE)
        yield found
        found.close()


@pytest.fixture
def tab(browser: Any) -> Iterator[Any]:
    """A tab that fails the test where the page's script does, or where it asks elsewhere."""
    yield from opened(browser)


@pytest.fixture
def second_tab(browser: Any) -> Iterator[Any]:
    """Another tab of the same kind."""
    yield from opened(browser)


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    file = tmp_path / "mine.toml"
    file.write_text(BASE_TEXT.replace('left_out = "nothing"', 'left_out = "usual"'), "utf-8")
    found = Site(file)
    found.start()
    yield found
    found.stop()


@pytest.fixture
def empty_site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Site]:
    monkeypatch.chdir(tmp_path)
    found = Site(None)
    found.start()
    yield found
    found.stop()
