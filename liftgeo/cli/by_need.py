"""The commands in the order in which they are needed, for the help and for `liftgeo` alone."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import Protocol

from typer.core import TyperGroup

from liftgeo.cli import WHEN
from liftgeo.words.start_page import start_page


class HelpWriter(Protocol):
    """What the command-line library gives to write a help page with."""

    def write(self, string: str) -> None:
        """Write a text as it stands."""

    def section(self, name: str) -> AbstractContextManager[None]:
        """Begin a part of the page under its head."""

    def write_dl(self, rows: Sequence[tuple[str, str]]) -> None:
        """Write rows of a name and what it means."""


class ByNeed(TyperGroup):
    """A command line whose help lists its commands by when one needs them."""

    def format_help_text(self, ctx: object, formatter: HelpWriter) -> None:
        """Write what to do first; its lines are as long as they are."""
        for line in ["", *start_page()]:
            formatter.write(f"  {line}".rstrip() + "\n")

    def format_commands(self, ctx: object, formatter: HelpWriter) -> None:
        """Write the commands that were read, under the heads of `WHEN`."""
        width = max(map(len, self.commands))
        for head, names in WHEN.items():
            rows = [
                (name.ljust(width), self.commands[name].short_help or "")
                for name in names
                if name in self.commands
            ]
            if rows:
                with formatter.section(head):
                    formatter.write_dl(rows)
