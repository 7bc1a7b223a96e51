"""Commands to paste: quoted for a shell, with what was laid over the file, in the page's units."""

from __future__ import annotations

import shlex
import tomllib

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.mechanism.bench import read_bench
from liftgeo.mechanism.readings_text import readings_of
from liftgeo.studies.bench_readings import NextReading, practical
from liftgeo.words.commands import (
    command,
    file_alone,
    number_to_lay,
    quoted,
    without_changes,
)
from liftgeo.words.foot import as_worked
from liftgeo.words.readings_lines import in_bench, row_to_type


@pytest.mark.parametrize(
    "word", ["less-play", "arm.hole=30", "cable.free_play=0.047 in", 'a"b', "$HOME", "it's", "±é"]
)
def test_a_shell_takes_a_quoted_word_whole(word: str) -> None:
    assert shlex.split(quoted(word)) == [word]


def test_a_command_carries_changes_and_what_follows() -> None:
    text = command("stroke", '"my file.toml" --units inch', ["a", "b=1 in"], "--full")
    assert (
        text == '`liftgeo stroke "my file.toml" --units inch --change a --change "b=1 in" --full`'
    )


@pytest.mark.parametrize(
    ("name", "alone", "without"),
    [
        ("my.toml", "my.toml", "my.toml"),
        ("my.toml --change a --units inch", "my.toml", "my.toml --units inch"),
        ('"a b.toml" --change "x=1 in" --change c', '"a b.toml"', '"a b.toml"'),
    ],
)
def test_a_file_is_told_from_what_is_laid_over_it(name: str, alone: str, without: str) -> None:
    assert file_alone(name) == alone
    assert without_changes(name) == without


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(
    ("key", "value"), [("cable.free_play", 1.2), ("cable.bend", 90.0), ("cable.stiffness", 240.0)]
)
def test_a_number_is_laid_in_the_units_of_the_page(key: str, value: float, units: str) -> None:
    typed, _, text = number_to_lay(key, value, "", units).partition("=")
    assert typed == key
    base = mechanism()
    laid = base.changed({key: text})
    assert float(laid.keys[key]) == pytest.approx(value, rel=5e-4)


def test_the_words_of_a_pedal_leave_commands_alone() -> None:
    pedal = mechanism(lever={"worked_by": "foot"})
    said = as_worked("The hand; `liftgeo stroke my hand.toml` tells of the hand.", pedal)
    assert said == "The foot; `liftgeo stroke my hand.toml` tells of the foot."


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_each_reading_is_read_back_as_it_is_typed(units: str) -> None:
    """In [bench] where it has a key there, and in a table of readings, at the same place."""
    full = liftgeo.stroke(mechanism()).full_lever
    for reading in practical(full):
        at = reading.at
        if at is None and reading.quantity not in ("take_up", "clamp_force"):
            at = full.hand_travel_mm
        where = reading.place, reading.direction, reading.condition
        step = NextReading(reading.quantity, at, *where, "", 0.9)
        heads, row = row_to_type(step, full.hand_travel_mm, units)
        (found,) = readings_of(f"{heads}\n{row.replace('…', '0.5')}\n")
        assert found.quantity == reading.quantity
        assert (found.direction, found.condition) == (reading.direction, reading.condition)
        assert found.half_width == pytest.approx(reading.half_width, rel=0.15)
        if reading.at is None:
            assert found.at is None
        else:
            assert found.at == pytest.approx(reading.at, rel=0.005)
        if key := in_bench(step, full.hand_travel_mm):
            bench, faults = read_bench(tomllib.loads(f'{key} = "0.5 ± 0.1"'))
            assert not faults
            (typed,) = bench.readings(laid=False)
            assert (typed.quantity, typed.direction) == (reading.quantity, reading.direction)
