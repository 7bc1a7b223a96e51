"""Remedies on the page and in the JSON of `liftgeo diagnose`."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import GEOMETRIES, run, too_wide

from liftgeo.studies.symptoms import SYMPTOMS

HAULER = GEOMETRIES / "quarry-hauler.toml"


def test_the_page_says_what_the_hand_does_what_it_gives_and_what_to_mind() -> None:
    done = run("diagnose", HAULER, "--full")
    assert done.code == 0
    page = " ".join(done.out.split())
    assert "Remedies, one by one" in page
    assert "turn the cable adjuster out" in page
    assert "cable.free_play from 2.0 to 1." in page
    assert "Together, free ones first" in page
    assert "Mind: a clutch with no play left rides and slips." in page


def test_one_screen_says_what_the_first_gives_what_to_mind_and_what_all_come_to() -> None:
    page = " ".join(run("diagnose", HAULER).out.split())
    assert "less-play free +0.0" in page
    assert "cable.free_play from 2.0 to 1." in page
    assert "Mind: a clutch with no play left rides and slips." in page
    assert "Together less-play, " in page
    assert "turn the cable adjuster out" in page


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("word", SYMPTOMS)
def test_a_symptom_names_its_measurement_within_80_columns(word: str, units: str) -> None:
    done = run("diagnose", GEOMETRIES / "saw-bench.toml", "--symptom", word, "--units", units)
    assert done.code == 0
    assert too_wide(done.out) == []
    page = " ".join(done.out.split())
    assert f"{word}: {SYMPTOMS[word].felt}." in page
    assert SYMPTOMS[word].measure in page
    key = SYMPTOMS[word].key
    assert f"Goes in as {key.replace('bench.', '[bench] ')}." in page
    table, _, name = key.partition(".")
    assert f'type it under [{table}]: {name} = "… ' in page


def test_json_has_the_agreed_shape_and_its_gains_are_those_of_the_change() -> None:
    data = run("diagnose", HAULER, "--json").data
    base = data["result"]["full_lever"]["clearance_per_face_mm"]
    names = {"name", "keys", "from", "to", "clearance_gain_mm", "hand_force_change_n"}
    assert data["remedies"]
    for each in data["remedies"]:
        assert names | {"slip_margin_change"} <= each.keys()
        assert len(each["keys"]) == len(each["from"]) == len(each["to"])
    play = next(each for each in data["remedies"] if each["name"] == "less-play")
    assert (play["keys"], play["from"]) == (["cable.free_play"], [2.0])
    last = data["together"][-1]
    assert data["reached"] == (last["short"] == [])
    assert last["clearance_per_face_mm"] > base


def test_a_symptom_narrows_the_remedies() -> None:
    data = run("diagnose", HAULER, "--symptom", "sticks", "--json").data
    assert data["symptom"]["key"] == "bench.return_force"
    assert {each["name"] for each in data["remedies"]} <= {
        "straighter-cable", "oiled-cable", "lined-cable", "clean-unit", "stronger-return"
    }  # fmt: skip


def test_an_unknown_symptom_is_refused_with_the_nearest() -> None:
    done = run("diagnose", HAULER, "--symptom", "draggs")
    assert (done.code, done.out) == (2, "")
    assert "Did you mean drags?" in done.err


def test_a_files_own_targets_are_taken_and_faults_named(tmp_path: Path) -> None:
    text = HAULER.read_text(encoding="utf-8")
    own = tmp_path / "own.toml"
    own.write_text(text + "\n[remedies]\ncable.free_play = 1.8\n", encoding="utf-8")
    data = run("diagnose", own, "--json").data
    play = next(each for each in data["remedies"] if each["name"] == "less-play")
    assert play["to"] == [1.8]
    own.write_text(text + "\n[remedies]\ncable.free_pley = 1.8\n", encoding="utf-8")
    done = run("diagnose", own)
    assert (done.code, done.out) == (2, "")
    assert "remedies.cable.free_pley" in done.err
    assert "Did you mean cable.free_play?" in done.err
