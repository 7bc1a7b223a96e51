"""Every name the core can give has its words, and no word is left over; pages are put together."""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.cautions.stroke_rules import (
    HEAVY_FOOT_N,
    HEAVY_HAND_N,
    LEAST_PEDAL_TAKE_UP_MM,
    LEAST_TAKE_UP_MM,
    RIDES_LATER_MM,
)
from liftgeo.chain.budget import ITEMS
from liftgeo.chain.limits import limit_names
from liftgeo.outcome.outcome import EVENTS, VERDICTS
from liftgeo.parts.spring import Coils, ConedDisc, MeasuredSpring
from liftgeo.studies.wear import LINES
from liftgeo.words import names
from liftgeo.words.foot import as_worked
from liftgeo.words.lines import Headline, columns, headline, listed, noted, page, wrapped
from liftgeo.words.numbers import fixed
from liftgeo.words.stroke_page import stroke_page

BASE_FILE = Path(__file__).resolve().parents[1] / "base_clutch.toml"


def spring_ends() -> set[str]:
    """Return what the end of every kind of spring is called."""
    springs: list[tuple[Any, bool]] = [(ConedDisc, False), (ConedDisc, True)]
    springs += [(Coils, False), (MeasuredSpring, False)]
    return {kind.end_name.fget(SimpleNamespace(past_flat=past)) for kind, past in springs}


def stop_names() -> set[str]:
    """Return every name a stroke's end can have: links with a dead centre and without."""
    found: set[str] = set()
    for end, dead in itertools.product(spring_ends(), (True, False)):
        link = SimpleNamespace(dead_centre=dead)
        lever = arm = SimpleNamespace(link=link)
        parts: Any = SimpleNamespace(
            lever=lever, arm=arm, release=link, spring=SimpleNamespace(end_name=end)
        )
        found |= set(limit_names(parts))
    return found


@pytest.mark.parametrize(
    ("words", "known"),
    [
        (names.ITEM_WORDS, ITEMS),
        (names.EVENT_WORDS, EVENTS),
        (names.VERDICT_WORDS, VERDICTS),
        (names.STOP_WORDS, stop_names()),
        (names.END_WORDS, spring_ends()),
        (
            names.CROSSING_WORDS,
            {*(line.name for line in LINES), "lever-rides", "spring-loose", "wear-limit"},
        ),
    ],
    ids=["items", "events", "verdicts", "stops", "ends", "crossings"],
)
def test_there_are_words_for_what_the_core_names_and_for_nothing_else(
    words: dict[Any, str], known: Iterable[Any]
) -> None:
    assert words.keys() == set(known)
    assert len(set(words.values())) == len(words)
    assert all(words.values())


def test_what_is_in_order_in_the_core_is_in_that_order_in_words() -> None:
    assert tuple(names.ITEM_WORDS) == ITEMS
    assert tuple(names.EVENT_WORDS) == EVENTS
    assert tuple(names.VERDICT_WORDS) == VERDICTS


def test_the_caution_lines_in_words_are_those_that_are_held() -> None:
    for name, line in (
        ("little-take-up", f"{LEAST_TAKE_UP_MM:g} mm"),
        ("wear-to-riding", f"{RIDES_LATER_MM:g} mm"),
        ("heavy-hand", f"{HEAVY_HAND_N:g} N"),
        ("heavy-hand", f"(a pedal: {HEAVY_FOOT_N:g} N)"),
        ("little-take-up", f"(a pedal: {LEAST_PEDAL_TAKE_UP_MM:g} mm)"),
    ):
        assert f" {line} " in f"{names.CROSSING_WORDS[name]} "


def test_a_page_keeps_one_blank_line_between_blocks_and_drops_empty_ones() -> None:
    assert page([], ["a", "b"], [], ["c"], []) == ["a", "b", "", "c"]
    assert page() == []


def test_the_headline_of_a_page_is_marked_and_nothing_else() -> None:
    mechanism = liftgeo.load(BASE_FILE)
    lines = stroke_page(liftgeo.stroke(mechanism), mechanism, "metric", "file.toml")
    marked = [line for line in lines if isinstance(line, Headline)]
    assert marked[0].startswith("DRAGS: at full lever")
    assert marked == headline(" ".join(marked))


def test_columns_are_as_wide_as_their_widest_cell() -> None:
    rows = [["a", "1", "22"], ["long", "333", ""]]
    assert columns(rows) == ["a       1  22", "long  333"]
    assert columns(rows, left=0, gap=1) == ["   a   1 22", "long 333"]
    assert columns([]) == []
    assert noted(["a ", "b"], ["", "  peak"]) == ["a", "b  peak"]


def test_a_number_stays_on_the_line_of_its_unit() -> None:
    assert wrapped("parted by 12 mm", width=12) == ["parted by", "12 mm"]


@pytest.mark.parametrize(
    ("value", "text"), [(-0.004, "0.00"), (-0.006, "-0.01"), (float("nan"), "-"), (2.0, "2.00")]
)
def test_a_number_has_no_negative_zero_and_a_dash_where_it_is_not_known(
    value: float, text: str
) -> None:
    assert fixed(value, 2) == text


def test_names_of_the_json_are_listed_as_words() -> None:
    assert listed(["over-centre", "slips"]) == "over centre, slips"


def test_words_need_no_terminal_and_no_figure() -> None:
    modules = sorted((BASE_FILE.parents[1] / "liftgeo" / "words").glob("*.py"))
    imports = "\n".join(f"import liftgeo.words.{path.stem}" for path in modules)
    program = f"import sys\n{imports}\nprint({{'typer', 'rich', 'matplotlib'}} & set(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "set()"


@pytest.mark.parametrize(
    ("hand", "foot"),
    [
        ("at full lever the hand stands at the grip", "at full pedal the foot stands at the floor"),
        ("hand 90 N, letting back 49 N", "foot 90 N, letting back 49 N"),
        ("lever.hand_travel, lever-rides, heavy-hand: none is at hand",) * 2,
        ("Grip: clamp force 1920 N",) * 2,
    ],
)
def test_a_pedal_is_spoken_of_as_one(hand: str, foot: str) -> None:
    assert as_worked(hand, mechanism(lever={"worked_by": "foot"})) == foot
    assert as_worked(hand, mechanism()) == hand


def test_the_page_of_a_pedal_knows_no_hand() -> None:
    file = mechanism(title="By hand (invented)", lever={"worked_by": "foot"})
    lines = stroke_page(liftgeo.stroke(file), file, "metric", "hand.toml", full=True)
    assert "Full pedal: 39.0 mm at the foot, stopped by the floor" in lines
    assert any(line.startswith("Pedal   39.0 mm at the foot to the floor;") for line in lines)
    assert lines[0] == "By hand (invented)"
