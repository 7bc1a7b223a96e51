"""What the shell's Tab key offers where a value is to be typed.

Only names of letters, digits and -_. are offered: what stands in a file may hold anything, and a
shell takes what it is offered as typed.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterable

import typer

_SAFE = re.compile(r"[\w.-]+", re.ASCII)


def one_of(words: Iterable[str]) -> Callable[[str], list[str]]:
    """Return what offers those of some words that begin as typed."""
    known = list(words)

    def offered(incomplete: str) -> list[str]:
        return [word for word in known if word.startswith(incomplete)]

    return offered


def change_names(ctx: typer.Context, incomplete: str) -> list[str]:
    """Return the changes of the file that was named, or of the example where none was.

    After a + the changes that are not yet among those joined.
    """
    # While an option still waits for its value, the arguments are not told apart yet.
    file = ctx.params.get("file") or next(iter(ctx.args), None)
    made = incomplete.split("+")[:-1]
    before = "".join(f"{name}+" for name in made)
    names = [name for name in _changes_in(file) if name not in made]
    return [f"{before}{name}" for name in names if f"{before}{name}".startswith(incomplete)]


def _changes_in(file: str | None) -> list[str]:
    """Return the names of a file's changes; none where it cannot be read, or is no such file."""
    import tomllib

    from liftgeo.cli.options import BUILT_IN
    from liftgeo.errors import LiftgeoError
    from liftgeo.files import is_stdin, read_text
    from liftgeo.geometry_file import example_path

    if file is not None and is_stdin(file):
        return []
    with contextlib.suppress(LiftgeoError, OSError, ValueError, RecursionError):
        document = tomllib.loads(read_text(example_path(BUILT_IN) if file is None else file))
        changes = document.get("changes")
        if isinstance(changes, dict):
            return [name for name in changes if _SAFE.fullmatch(name)]
    return []


def keys(incomplete: str) -> list[str]:
    """Return the keys of a file that hold a number and begin as typed."""
    from liftgeo.mechanism.key_facts import numeric_keys_of
    from liftgeo.mechanism.tables import TABLES

    found = {
        key
        for table, kinds in TABLES.items()
        for model in kinds.values()
        for key in numeric_keys_of(model, f"{table}.")
    }
    return sorted(key for key in found if key.startswith(incomplete))


def keys_to_set(incomplete: str) -> list[str]:
    """Return the same, each with the = that its value follows."""
    return [f"{key}=" for key in keys(incomplete.partition("=")[0]) if "=" not in incomplete]


def measures(incomplete: str) -> list[str]:
    """Return what a sizing can bring down or up, as far as it begins as typed."""
    from liftgeo.studies.wants import MEASURES

    return [name for name in MEASURES if name.startswith(incomplete)]


def symptoms(incomplete: str) -> list[str]:
    """Return what can be felt of a clutch, as far as it begins as typed."""
    from liftgeo.studies.symptoms import SYMPTOMS

    return [name for name in SYMPTOMS if name.startswith(incomplete)]
