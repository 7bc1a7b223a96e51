"""Wherever a page says "from ... to ...": both ends with the same decimals, the lesser first.

A range reads the lesser end first; what becomes something else says "from".
"""

from __future__ import annotations

import re

import pytest
from command_line import GEOMETRIES, run

_NUMBER = r"[-−]?\d+(?:\.\d+)?"
_PAIR = re.compile(
    rf"(?P<before>\S+ )?(?<![\w.])(?P<low>{_NUMBER}) to (?P<high>{_NUMBER})(?![\w.]*\d)"
)
PAGES = {
    "diagnose": ["--full"],
    "stroke": ["--full"],
    "compare": ["--full", "--sensitivity"],
    "size": ["--vary", "cable.friction=0.04..0.2", "--vary", "cable.bend=60..140", "--full"],
    "wear": ["--full"],
    "spread": ["--full", "--samples", "2000"],
    "check": [],
    "formula": [],
}


def uneven(page: str) -> list[str]:
    """Return what stands on a page with ends of unlike decimals, or the greater end first."""
    found = []
    for pair in _PAIR.finditer(" ".join(page.split())):
        low, high = (pair[end].replace("−", "-") for end in ("low", "high"))
        before = (pair["before"] or "").strip()
        moves = before == "from" or before.endswith(")")  # stresses: at rest, then at full lever
        decimals = {len(number.partition(".")[2]) for number in (low, high)}
        if len(decimals) > 1 or (float(low) > float(high) and not moves):
            found.append(pair[0])
    return found


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_diagnosis_has_even_ranges_and_moves_that_say_from(units: str) -> None:
    done = run("diagnose", GEOMETRIES / "quarry-hauler.toml", "--full", "--units", units)
    assert done.code == 0
    assert " from " in done.out
    assert uneven(done.out) == []


@pytest.mark.slow
@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("command", PAGES)
@pytest.mark.parametrize("file", sorted(GEOMETRIES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_range_of_every_page_is_even(file: object, command: str, units: str) -> None:
    done = run(command, str(file), *PAGES[command], "--units", units)
    assert done.code == 0, done.err
    assert uneven(done.out) == []


@pytest.mark.parametrize("text", ["3.25 to 3.898 in", "between 82.6 to 82.5 deg", "0.2 to −0.1"])
def test_an_uneven_range_is_seen(text: str) -> None:
    assert uneven(text)
    assert not uneven("from 82.6 to 82.5 deg, 0.05 to 0.40 mm, 2 to 12")
