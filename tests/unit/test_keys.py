"""A key that no table has is an error where it is written, not a zero where it is read."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import numpy as np
import pytest
from clutches import mechanism

from liftgeo.cautions.rule import has
from liftgeo.errors import Reason
from liftgeo.mechanism.key_facts import known, number
from liftgeo.mechanism.rule import Rule, fixed
from liftgeo.mechanism.tables import TABLES
from liftgeo.outcome.outcome import analysed

PACKAGE = Path(__file__).resolve().parents[2] / "liftgeo"
KEY = re.compile(rf"({'|'.join(TABLES)})(\.[a-z][a-z_0-9]*)+")
NOT_KEYS = {
    # made of several keys, or a table and its kind: known where they are put together
    "arm.radius_same_angle": "changes arm.radius and arm.cable_angle together",
    "spring.installed": "how keys of the fitted height begin",
    "lever.pivot_shift": "how keys of a moved pivot begin",
    # what follows from several keys and is given by none
    "lever.pivot_angle": "from the sides of a triangle",
    "arm.shaft_angle": "from the sides of a triangle",
    "faces.separation_needed": "from run-outs, tilt and the count of plates",
}


def texts_in(source: str) -> list[str]:
    """Return every text of a module but its docstrings and the pieces of texts put together."""
    tree = ast.parse(source)
    pieces = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for part in node.values
    }
    said = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    return [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in pieces | said
    ]


def unknown_keys(source: str) -> list[str]:
    """Return the texts of a module that look like a file's key and are none."""
    found = []
    for text in texts_in(source):
        if KEY.fullmatch(text) and text not in NOT_KEYS:
            try:
                known(text)
            except KeyError:
                found.append(text)
    return found


@pytest.mark.parametrize(
    "path", sorted(PACKAGE.rglob("*.py")), ids=lambda path: str(path.relative_to(PACKAGE))
)
def test_every_text_that_looks_like_a_key_is_one(path: Path) -> None:
    assert unknown_keys(path.read_text(encoding="utf-8")) == []


def test_a_slip_in_a_key_is_found() -> None:
    assert unknown_keys('number(keys, "arm.raduis")') == ["arm.raduis"]
    assert unknown_keys('"""arm.raduis"""\nnumber(keys, "arm.radius")') == []
    assert len([t for t in texts_in('x = "arm.radius"') if KEY.fullmatch(t)]) == 1


def test_what_begins_keys_is_still_wanted() -> None:
    texts = {t for path in PACKAGE.rglob("*.py") for t in texts_in(path.read_text("utf-8"))}
    assert set(NOT_KEYS) <= texts


@pytest.mark.parametrize("key", ["arm.raduis", "cable.no_such_key", "gearbox.ratio", "arm"])
def test_a_number_of_a_key_that_no_table_has_is_refused(key: str) -> None:
    if key == "arm":  # a table is no number, but it is known
        assert known(key) == key
        return
    with pytest.raises(KeyError, match=re.escape(key)):
        number({}, key)
    with pytest.raises(KeyError, match=re.escape(key)):
        number(mechanism().keys, key, 1.0)


def test_a_number_left_out_is_what_its_table_says() -> None:
    assert number({}, "spring.youngs_modulus") == 206000.0
    assert number({}, "cable.drag") == 0.0
    assert np.isnan(number({}, "engine.torque", np.nan))


def test_a_rule_that_names_a_key_no_table_has_fails_where_it_is_made() -> None:
    def make(**over):
        parts = {
            "reason": Reason.OUT_OF_RANGE,
            "needs": ("arm.radius",),
            "holds": lambda keys: True,
            "key": fixed("arm.radius"),
            "text": lambda keys: ("", ""),
        }
        return Rule(**parts | over)

    assert make(reads=("arm.radius", "lever")).needs == ("arm.radius",)
    for over in ({"needs": ("arm.raduis",)}, {"reads": ("arm.radius", "arm.raduis")}):
        with pytest.raises(KeyError, match=r"arm\.raduis"):
            make(**over)
    with pytest.raises(KeyError, match=r"arm\.raduis"):
        fixed("arm.raduis")


def test_a_warning_that_asks_for_a_key_no_table_has_fails() -> None:
    outcome = analysed(mechanism())
    assert has(outcome, "arm.radius")
    with pytest.raises(KeyError, match=r"arm\.raduis"):
        has(outcome, "arm.raduis")
