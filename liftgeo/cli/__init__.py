"""The command line: one file a command; each parses, calls and prints, and holds no physics.

Nothing is imported before `main` runs, so that Ctrl-C is answered from the first moment.
"""

from __future__ import annotations

import os
import sys

INTERRUPTED = 130

WHEN: dict[str, tuple[str, ...]] = {
    "Measure": ("safety", "new", "sheet", "trace", "check", "schema"),
    "Answer": ("stroke", "wear", "spread", "formula"),
    "Change": ("compare", "size", "plan", "live"),
    "At the bench": ("diagnose",),
    "Show": ("draw", "report"),
}
"""When one needs which command, in the order of an evening."""

COMMANDS = tuple(name for names in WHEN.values() for name in names)
"""In the order of the help; each is a module of this folder."""

SCREEN: list[str] = []
"""What MPLBACKEND named, if anything, for the one window there is: that of `trace`."""


def main() -> None:
    """Run the command line: exit 0 done, 1 a target is missed, 2 could not, 130 interrupted."""
    # No plug-in of pydantic has a part in this; looking for them takes longer than the answer.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # matplotlib fails as it loads where this names what it does not know; figures go to files.
    SCREEN.append(os.environ.pop("MPLBACKEND", ""))
    try:
        from liftgeo.cli.app import run

        code = run()
    except KeyboardInterrupt:
        if sys.stderr is not None:
            sys.stderr.write("Interrupted; nothing was left half-written.\n")
        code = INTERRUPTED
    sys.exit(code)
