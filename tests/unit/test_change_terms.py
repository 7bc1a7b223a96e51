"""What a change costs, needs and excludes: read, checked, kept on saving."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from clutches import BASE_TEXT, CHANGES, changeable

import liftgeo
from liftgeo.errors import Fault
from liftgeo.geometry_file import save_change

PLAY: dict[str, Any] = {"cable": {"free_play": 1.0}}


def faults(**changes: dict[str, Any]) -> dict[str, Fault]:
    """Return what is wrong with some changes, by key."""
    with pytest.raises(liftgeo.GeometryError) as caught:
        changeable(changes=changes)
    return {fault.key: fault for fault in caught.value.faults}


def test_terms_are_read_and_are_no_keys_of_the_mechanism() -> None:
    made = changeable(
        changes={
            "less-play": {**PLAY, "cost": 12, "hours": 0.5, "needs": ["longer-arm"]},
            "longer-arm": {**CHANGES["longer-arm"], "cost": 0, "excludes": ["shorter-arm"]},
        }
    )
    terms = made.changes["less-play"].terms
    assert (terms.cost, terms.hours, terms.needs, terms.excludes) == (
        12.0,
        0.5,
        ("longer-arm",),
        (),
    )
    assert made.changes["longer-arm"].terms.excludes == ("shorter-arm",)
    assert made.changes["thick-plate"].terms.cost is None
    assert dict(made.changes["less-play"].keys) == {"cable.free_play": 1.0}
    assert made.changed("less-play").cable.free_play == 1.0


def test_a_blank_counts_as_left_out() -> None:
    made = changeable(
        changes={"less-play": {**PLAY, "cost": "", "hours": "", "needs": "", "excludes": []}}
    )
    assert made.changes["less-play"].terms == type(made.changes["less-play"].terms)()


@pytest.mark.parametrize("value", [-1, "25", True, float("inf"), float("nan"), [3], 10**400])
@pytest.mark.parametrize("term", ["cost", "hours"])
def test_an_amount_is_a_plain_number_not_below_zero(term: str, value: Any) -> None:
    assert faults(new={**PLAY, term: value}).keys() == {f"changes.new.{term}"}


@pytest.mark.parametrize("value", ["less-play", [1], {"less-play": 1}, 3])
@pytest.mark.parametrize("term", ["needs", "excludes"])
def test_names_are_a_list(term: str, value: Any) -> None:
    found = faults(new={**PLAY, term: value})[f"changes.new.{term}"]
    assert f'{term} = ["NAME"]' in found.remedy


def test_an_unknown_name_gets_the_nearest_known_one() -> None:
    found = faults(new={**PLAY, "needs": ["les-play"]})["changes.new.needs"]
    assert found.value == "les-play"
    assert "less-play" in found.remedy


def test_a_change_neither_needs_nor_excludes_itself() -> None:
    assert faults(new={**PLAY, "needs": ["new"]}).keys() == {"changes.new.needs"}
    assert faults(new={**PLAY, "excludes": ["new"]}).keys() == {"changes.new.excludes"}


def test_needs_in_a_circle_are_told_once() -> None:
    found = faults(
        one={"cable": {"bend": 90}, "needs": ["two"]},
        two={"cable": {"friction": 0.05}, "needs": ["three"]},
        three={"cable": {"drag": 1.0}, "needs": ["one"]},
    )
    assert found.keys() == {"changes.one.needs"}
    assert found["changes.one.needs"].value == "one needs two needs three needs one"


@pytest.mark.parametrize("who", ["new", "less-play"])
def test_what_is_needed_cannot_be_excluded(who: str) -> None:
    new = {"cable": {"bend": 90}, "needs": ["less-play"]}
    other = {"less-play": {**PLAY, "excludes": ["new"]}} if who == "less-play" else {}
    new |= {"excludes": ["less-play"]} if who == "new" else {}
    assert faults(new=new, **other).keys() == {"changes.new.needs"}


def test_a_misspelt_term_and_a_term_at_the_top_are_told() -> None:
    assert "cost" in faults(new={**PLAY, "cosst": 3})["changes.new.cosst"].remedy
    with pytest.raises(liftgeo.GeometryError, match=r"\[changes.NAME\]: cost"):
        liftgeo.loads(f"cost = 3\n{BASE_TEXT}")
    with pytest.raises(liftgeo.GeometryError, match="terms"):
        changeable().changed({"cost": 3})


def test_terms_are_kept_when_a_change_is_saved_anew(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text(BASE_TEXT.replace("[changes.less-play]", "[changes.less-play]\ncost = 7.5"))
    save_change(path, "less-play", {"cable.free_play": 0.8}, "tighter", force=True)
    saved = tomllib.loads(path.read_text())["changes"]["less-play"]
    assert saved == {"cost": 7.5, "note": "tighter", "cable": {"free_play": 0.8}}
    save_change(path, "more-play", {"cable.free_play": 2.5})
    assert liftgeo.load(path).changes["less-play"].terms.cost == 7.5
