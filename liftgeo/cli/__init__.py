"""The command line: one file a command; each parses, calls and prints, and holds no physics.

Nothing is imported before `main` runs, so that Ctrl-C is answered from the first moment.
"""

from __future__ import annotations

import atexit
import gc
import os
import sys

INTERRUPTED = 130

OBJECTS_OF_A_START = 100_000
"""More than loading a command and answering it once makes."""

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
    # To look for unreachable objects while all that is made is kept, and once more when the system
    # takes everything back anyway, takes longer than an answer.
    gc.set_threshold(OBJECTS_OF_A_START)
    atexit.register(gc.freeze)
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
