"""Notes on how numbers were read: said once, about what was typed, and no slip."""

from __future__ import annotations

import pytest
from clutches import document

from liftgeo.cautions import looks_wrong
from liftgeo.mechanism import from_document
from liftgeo.outcome.analysis import stroke


def notes(**over: object) -> list[str]:
    """Return what is said of weights in a file with these keys in it."""
    whole = document()
    for dotted, value in over.items():
        table, key = dotted.split("__")
        whole[table][key] = value
    return [w.message for w in stroke(from_document(whole)).warnings if w.key == "weighed"]


def test_kilograms_where_a_force_is_wanted_are_kgf_and_that_is_said() -> None:
    said = notes(cable__stiffness="30 kg/mm", cable__drag="0.2 kg")
    assert said == [
        "cable.stiffness = 30 kg/mm, cable.drag = 0.2 kg: scales weigh a force, so kg/mm is read "
        "as kgf/mm and kg is read as kgf."
    ]
    assert not looks_wrong("weighed")


@pytest.mark.parametrize("text", ["30 kgf/mm", "1680 lb/in", "300", 300])
def test_nothing_is_said_of_forces(text: object) -> None:
    assert notes(cable__stiffness=text) == []
