"""What a command loads: what its page shows, and no more. Each module is time before an answer."""

from __future__ import annotations

import subprocess

import pytest
from child import CHECKOUT, surroundings, words_of

_TELL = """
import atexit, sys
atexit.register(lambda: print(*sys.modules, file=sys.stderr))
"""

EXACT = CHECKOUT / "tests" / "base_clutch.toml"
OUT_BY_SOME = CHECKOUT / "geometries" / "quarry-hauler.toml"

HEAVY = {"matplotlib", "scipy", "sympy", "pint", "tomlkit", "jinja2", "shapely"}
SAMPLES = {"numpy.random", "concurrent.futures", "liftgeo.outcome.batches", "liftgeo.outcome.known"}
NOT_ASKED = {"json", "numpy.ma", "liftgeo.outcome.bands", "liftgeo.studies.offers"}
BENCH = {"liftgeo.mechanism.bench"}


def loaded(*words: str) -> set[str]:
    """Return the modules that a command has loaded by its end."""
    done = subprocess.run(
        words_of(*words, before=_TELL), capture_output=True, text=True, env=surroundings()
    )
    assert done.returncode == 0, done.stderr
    return set(done.stderr.splitlines()[-1].split())


@pytest.mark.parametrize(
    ("words", "shown", "spared"),
    [
        (("--help",), {"liftgeo.cli.stroke"}, HEAVY | {"numpy", "pydantic.main"}),
        (
            ("stroke", str(EXACT)),
            {"liftgeo.words.stroke_page"},
            HEAVY | NOT_ASKED | SAMPLES | BENCH,
        ),
        (("stroke", str(OUT_BY_SOME)), {"liftgeo.outcome.known"}, HEAVY | NOT_ASKED),
        (("stroke", str(EXACT), "--json"), {"json"}, HEAVY | {"liftgeo.words.stroke_page"}),
        (
            ("compare", str(EXACT)),
            {"liftgeo.words.compare_page"},
            HEAVY | {"numpy.ma", "liftgeo.studies.sensitivity", "liftgeo.studies.search"},
        ),
    ],
    ids=["help", "an exact file", "a file with ranges", "JSON", "compared"],
)
def test_a_command_loads_what_its_page_shows(
    words: tuple[str, ...], shown: set[str], spared: set[str]
) -> None:
    found = loaded(*words)
    assert shown <= found
    assert not spared & found
