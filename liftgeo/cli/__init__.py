"""The command line: one file a command; each parses, calls and prints, and holds no physics.

Nothing is imported before `main` runs, so that Ctrl-C is answered from the first moment.
"""

from __future__ import annotations

import os
import sys

INTERRUPTED = 130

COMMANDS = (
    "stroke",
    "compare",
    "size",
    "plan",
    "wear",
    "diagnose",
    "spread",
    "draw",
    "report",
    "trace",
    "live",
    "formula",
    "check",
    "new",
    "schema",
    "safety",
)
"""In the order of the help; each is a module of this folder."""


def main() -> None:
    """Run the command line: exit 0 done, 1 a target is missed, 2 could not, 130 interrupted."""
    # No plug-in of pydantic has a part in this; looking for them takes longer than the answer.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    try:
        from liftgeo.cli.app import run

        code = run()
    except KeyboardInterrupt:
        if sys.stderr is not None:
            sys.stderr.write("Interrupted; nothing was left half-written.\n")
        code = INTERRUPTED
    sys.exit(code)
