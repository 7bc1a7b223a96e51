"""Run the command line in this process, and see what it prints where."""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

from liftgeo.cli import main

CHECKOUT = Path(__file__).resolve().parents[2]
GEOMETRIES = CHECKOUT / "geometries"
TRACTOR = CHECKOUT / "tests" / "base_clutch.toml"


@dataclass(frozen=True)
class Done:
    """What a command left behind: exit code, standard output and standard error."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """Standard output read as JSON; fails where anything else stands there."""
        return json.loads(self.out, parse_constant=_refuse)


def _refuse(word: str) -> None:
    raise AssertionError(f"{word} is no JSON")


def too_wide(printed: str) -> list[str]:
    """Return the lines over 80 columns; a command alone on its line is whole at any width."""
    lone = re.compile(r"\s*`[^`]*`[.,;:)]*")
    return [line for line in printed.splitlines() if len(line) > 80 and not lone.fullmatch(line)]


def run(*words: str | Path, folder: Path | None = None, stdin: bytes = b"") -> Done:
    """Run `liftgeo` with some words in a folder, in this process."""
    out, err = io.StringIO(), io.StringIO()
    argv = ["liftgeo", *(str(word) for word in words)]
    with (
        mock.patch.object(sys, "argv", argv),
        mock.patch.object(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin))),
        mock.patch.dict(os.environ, {"COLUMNS": "80", "TERM": "dumb", "NO_COLOR": "1"}),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        contextlib.chdir(folder or Path.cwd()),
    ):
        try:
            main()
            code = 0
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Done(code, out.getvalue(), err.getvalue())


def edited(path: Path, swaps: Sequence[tuple[str, str]], source: Path = TRACTOR) -> Path:
    """Write a copy of a file in which some texts are swapped; each must be there once.

    A text that ends in a space ends where a word does.
    """
    text = source.read_text(encoding="utf-8")
    for old, new in swaps:
        ending = r"(?=\s)" if old.endswith(" ") else ""
        pattern = re.escape(old.rstrip(" ")) + ending
        found = len(re.findall(pattern, text))
        assert found == 1, f"{old!r} stands {found} times in {source.name}"
        kept = new.rstrip(" ") if ending else new
        text = re.sub(pattern, lambda _, kept=kept: kept, text)
    path.write_text(text, encoding="utf-8")
    return path
