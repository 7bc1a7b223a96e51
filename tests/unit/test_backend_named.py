"""Figures go to files, whatever screen library MPLBACKEND names."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from liftgeo.errors import RequestError
from liftgeo.figures.marking import mark_in_window
from liftgeo.figures.photograph import Photograph

NONSENSE = {**os.environ, "MPLBACKEND": "nonsense"}


def python(*arguments: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments], env=NONSENSE, cwd=folder, capture_output=True, text=True
    )


def test_matplotlib_alone_fails_so_that_the_variable_counts(tmp_path: Path) -> None:
    assert python("-c", "import matplotlib", folder=tmp_path).returncode != 0


@pytest.mark.parametrize("command", ["stroke", "wear", "draw"])
def test_a_backend_that_is_not_known_costs_no_figure(command: str, tmp_path: Path) -> None:
    done = python("-m", "liftgeo", command, "--figure", "page.png", folder=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert (tmp_path / "page.png").read_bytes().startswith(b"\x89PNG")


def test_the_window_of_a_screen_not_known_says_so() -> None:
    photograph = Photograph.__new__(Photograph)  # not looked at before the screen is
    with pytest.raises(RequestError, match="MPLBACKEND names nonsense"):
        mark_in_window(photograph, ["pivot"], "lever", screen="nonsense")
