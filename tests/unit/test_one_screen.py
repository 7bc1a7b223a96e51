"""A sound clutch is told on one screen, the gravest first, and all of it behind --full.

40 lines is what a terminal window shows; common practice, no source.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.change_terms import Terms
from liftgeo.mechanism.changes import Change
from liftgeo.words.certainty import no_finer
from liftgeo.words.compare_page import compare_page
from liftgeo.words.diagnose_page import diagnose_page
from liftgeo.words.lines import Headline
from liftgeo.words.plan_page import plan_page
from liftgeo.words.size_page import size_page
from liftgeo.words.stroke_page import stroke_page
from liftgeo.words.wear_page import wear_page

ONE_SCREEN, WIDTH = 40, 80
FILE = Path(__file__).resolve().parents[1] / "sound_machines.toml"
SOUND = {
    name: from_document(document)
    for name, document in tomllib.loads(FILE.read_text(encoding="utf-8")).items()
}


def tried(machine: Mechanism) -> Mechanism:
    """Return a machine with two changes to compare."""
    free = float(machine.keys.get("cable.free_play", 2.0))
    changes = {
        name: Change(name, "invented", {"cable.free_play": play})
        for name, play in (("less-play", 0.5 * free), ("more-play", 1.2 * free))
    }
    return replace(machine, changes=changes)


def stroke_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    known = liftgeo.known(machine)
    return stroke_page(liftgeo.stroke(machine), machine, "metric", "mine.toml", known, full=full)


def compare_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    found = liftgeo.compare(tried(machine))
    known = liftgeo.known(machine)
    return compare_page(found, None, "metric", "mine.toml", known, full=full)


def size_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    ranges = [f"cable.free_play={0.8}..{4.0}"]
    found = liftgeo.size(machine, ranges, ["clearance>=0.02"])
    return size_page(found, "metric", "mine.toml", None, full=full)


def wear_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    return wear_page(liftgeo.wear(machine), "metric", "mine.toml", full=full)


def diagnose_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    return diagnose_page(liftgeo.diagnose(machine), "metric", "mine.toml", full=full)


def plan_lines(machine: Mechanism, *, full: bool = False) -> list[str]:
    priced = tried(machine)
    changes = {
        name: replace(change, terms=Terms(cost=10.0)) for name, change in priced.changes.items()
    }
    return plan_page(
        liftgeo.plan(replace(priced, changes=changes)), "metric", "mine.toml", full=full
    )


PAGES = {
    "diagnose": diagnose_lines,
    "plan": plan_lines,
    "stroke": stroke_lines,
    "compare": compare_lines,
    "size": size_lines,
    "wear": wear_lines,
}


HEADLINES = ("SLIPS", "ALREADY", "LIKELY", "DRAGS", "FOUND", "NOT POSSIBLE")
HEADLINES += ("CHEAPEST", "NOT REACHED", "NOTHING TO BUY")
NUMBERS = ("Where the lift goes", "as it stands ", "Input ", "each mm", "In this order", "What it")
"""How the first table of each page begins."""


def place_of(lines: list[str], *starts: str) -> int:
    return next(k for k, line in enumerate(lines) if line.startswith(starts))


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize("page", PAGES)
def test_a_sound_clutch_is_told_on_one_screen(page: str, name: str) -> None:
    lines = PAGES[page](SOUND[name])
    assert len(lines) <= ONE_SCREEN
    assert max(len(line) for line in lines) <= WIDTH


@pytest.mark.parametrize("page", PAGES)
def test_the_whole_page_holds_the_screen_and_more(page: str) -> None:
    one, whole = (PAGES[page](SOUND["trials-wet-six"], full=full) for full in (False, True))
    assert len(whole) > len(one)
    rows = {line for line in one if line[:9].strip().replace(".", "").isdigit()}  # of wear
    assert set(one) - set(whole) - retold(one) <= rows | {x for x in one if "--full" in x}


def retold(lines: list[str]) -> set[str]:
    """Return the rows of remedies, which the whole page tells with more columns."""
    if not any(line.startswith("Remedies") for line in lines):
        return set()
    first = place_of(lines, "Remedies")
    return set(lines[first : lines.index("", first)])


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("full", [False, True])
def test_verdict_stops_and_cautions_come_first(page: str, full: bool) -> None:
    worn = mechanism(cable={"free_play": 0.1}, engine={"torque": 300})
    lines = PAGES[page](worn, full=full)
    verdict = place_of(lines, *HEADLINES)
    assert isinstance(lines[verdict], Headline)
    stop, numbers = place_of(lines, "STOP"), place_of(lines, *NUMBERS)
    cautions = [k for k, line in enumerate(lines) if line.startswith("CAUTION")]
    assert verdict < stop < cautions[0] <= cautions[-1] < numbers


def test_notes_wait_behind_full_and_are_counted() -> None:
    oil = SOUND["trials-wet-six"]
    one, whole = stroke_lines(oil), stroke_lines(oil, full=True)
    assert not any(line.startswith("NOTE") for line in one)
    assert sum(line.startswith("NOTE") for line in whole) == 1
    assert "`--full` prints the rest and a note; `liftgeo safety` says in full:" in one


def test_lever_effort_and_grip_take_a_line_each_after_the_bars() -> None:
    lines = stroke_lines(SOUND["mower"])
    order = [
        place_of(lines, word)
        for word in ("RUNS", "Where the lift", "Lever ", "Effort ", "Grip ", "Next:", "Work safely")
    ]
    assert order == sorted(order)


def test_a_clutch_that_drags_is_led_on_by_the_file_as_typed() -> None:
    lines = stroke_lines(mechanism(faces={"plate_runout": 0.5}))
    said = " ".join(lines)
    assert "`liftgeo diagnose mine.toml` ranks what to put right" in said
    assert "`liftgeo draw mine.toml` shows the linkage." in said


def test_a_diagnosis_of_many_remedies_names_the_rest_and_keeps_what_to_mind() -> None:
    found = liftgeo.diagnose(mechanism(cable={"free_play": 3.0}))
    cures = found.remedies
    assert cures is not None
    one, whole = (
        " ".join(" ".join(diagnose_page(found, "metric", "mine.toml", full=full)).split())
        for full in (False, True)
    )
    assert f"and {len(cures.offered) - 3} more" in one
    for place, remedy in enumerate(cures.offered):
        assert remedy.name in whole
        if remedy.caution:
            assert remedy.caution in whole
            assert place >= 3 or remedy.caution in one


@pytest.mark.parametrize("value", [12649.1, 8000.0, 31622.8, 123.4])
@pytest.mark.parametrize("units", ["metric", "inch"])
def test_a_usual_value_has_three_figures(value: float, units: str) -> None:
    text = no_finer([value], "rate", units)[0].split(" ")[0]
    assert float(text) == pytest.approx(float(text_of(float(text))), rel=1e-12)
    exact = value / (1.0 if units == "metric" else 0.45359237 * 9.80665 / 25.4)
    assert float(text) == pytest.approx(exact, rel=0.005)


def text_of(number: float) -> str:
    return f"{number:.2e}"


def test_usual_values_that_stand_together_have_as_many_decimals() -> None:
    assert no_finer([130.0, 60.0, 220.0], "angle", "metric") == ["130 deg", "60 deg", "220 deg"]
    assert no_finer([1.0, 0.5, 2.0], "angle", "metric") == ["1.0 deg", "0.5 deg", "2.0 deg"]
