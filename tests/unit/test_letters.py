"""Letters of the measuring sheet: what is measured on a part stands on its drawing, or why not."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from liftgeo.figures.measuring_pages import drawn_keys
from liftgeo.figures.part_dimensions import sized_on_the_bench
from liftgeo.figures.sheet_flow import Item, grown
from liftgeo.figures.sizes import Angle, Length
from liftgeo.kinds import KINDS
from liftgeo.mechanism import from_document
from liftgeo.mechanism.key_facts import keys_of, number_in, readings_in
from liftgeo.mechanism.samples import sample_document
from liftgeo.mechanism.tables import TABLES
from liftgeo.words.measuring_sheet import HEADINGS, asked_of
from liftgeo.words.undrawn import NOT_IN_VIEW, why_undrawn

KINDED = ("lever", "arm", "release", "spring")
VALUES: dict[str, Any] = {
    "lever.travel": 30.0, "lever.blade_length": 120.0, "lever.cable_angle": 95.0,
    "lever.hand_angle": 50.0, "arm.cable_angle": 85.0, "arm.max_rotation": 40.0,
    "release.max_rotation": 40.0, "release.groove_radius": 4.9, "release.collar_diameter": 30.0,
    "spring.solid_length": 25.0, "spring.free_height": 30.0, "spring.force_diameter": 55.0,
    "spring.support_diameter": 35.0, "stack.rim_depth": 40.0, "faces.rim_diameter": 120.0,
    "faces.runout_diameter": 125.0, "faces.rim_heights": [1.0, 1.1, 0.9],
    "rod.length": 100.0, "rod.diameter": 8.0, "rod.unguided_length": 50.0,
    "rod.thinnest_diameter": 7.0,
}  # fmt: skip
"""Invented, where 3 mm or 8 deg would not do."""
INSTEAD: dict[str, dict[str, Any]] = {
    "lever.travel": {"hand_travel": None},
    "lever.cable_angle": {"rest_length": None},
    "arm.cable_angle": {"rest_length": None},
    "cable.free_play_at_hand": {"free_play": None},
    "cable.take_up_at_hand": {"free_play": None},
    "release.rise": {"lead": None, "rise": 2.0, "rise_over": 30.0},
    "release.rise_over": {"lead": None, "rise": 2.0, "rise_over": 30.0},
    "stack.friction_plate_free": {"friction_plate": None, "friction_plate_free": 8.2},
    "faces.plain_plate_runout": {"friction_plates": 2},
    "faces.rim_diameter": {"rim_heights": [1.0, 1.1, 0.9]},
    "spring.lengths": {
        "rate": None,
        "free_length": None,
        "loads": [0.0, 320.0],
        "lengths": [46.0, 36.0],
    },
}
"""What must stand beside a key, or must not."""
WIRE = {"construction": "1x19", "material": "stainless", "diameter": 2.5, "length": 900.0}
GRIP = {"diameter": 30.0, "place": [[-80.0, -20.0], [-20.0, -40.0]], "allowance": 3.0}
OUTLINE = {"points": [[0, 0], [10, 60]], "width": 12.0}


@pytest.fixture(autouse=True)
def _without_shares(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out what decides most: no letter hangs on it, and it takes its time."""
    monkeypatch.setattr("liftgeo.words.measuring_sheet.known", lambda mechanism: None)


def on_the_part() -> Iterator[tuple[str, str]]:
    """Yield every key that is a length or angle measured on a part, with its kind."""
    for table in HEADINGS:
        for kind, model in TABLES[table].items():
            for name, info in keys_of(model, "").items():
                number = number_in(info) or readings_in(info)
                extra: Any = info.json_schema_extra or {}
                how = str(extra.get("measure") or "")
                key = f"{table}.{name}"
                if number is not None and not why_undrawn(key, "number", number.dimension, how):
                    yield key, kind


def document_with(key: str, kind: str) -> dict[str, Any]:
    """Return a whole document of invented sizes that gives a key."""
    table, _, name = key.partition(".")
    found = sample_document({table: kind} if table in KINDED else {})
    keys = found.setdefault(table, {})
    if table == "stack":
        keys |= {
            "rim_depth": 40.0,
            "friction_plate": 8.0,
            "pressure_plate": 6.0,
            "plain_plate": 3.0,
        }
        found["spring"] = {"kind": "coils", "count": 6, "rate": 32, "free_length": 46}
        found["faces"]["friction_plates"] = 2
    if name.startswith("outline."):
        keys["outline"] = OUTLINE
    elif name.startswith("wire."):
        keys |= {"wire": WIRE, "housing": {"stiffness": 900.0}}
    elif table == "grip":
        keys |= GRIP
    elif name not in keys:
        number = number_in(keys_of(TABLES[table][kind], "")[name])
        turned = number is not None and number.dimension == "angle"
        keys[name] = VALUES.get(key, 8.0 if turned else 3.0)
    for beside, value in INSTEAD.get(key, {}).items():
        keys[beside] = value
    found[table] = {k: v for k, v in keys.items() if v is not None}
    return found


@pytest.mark.parametrize(("key", "kind"), sorted(set(on_the_part())), ids=str)
def test_every_size_of_the_key_table_has_its_letter_on_a_drawing(key: str, kind: str) -> None:
    asked = asked_of(from_document(document_with(key, kind), "a key"), {})
    assert asked.mechanism is not None
    assert asked.mechanism.level == "full"
    assert key in {row.key for block in asked.blocks for row in block.rows}
    assert key in drawn_keys(asked)


def test_what_is_said_to_be_in_no_view_is_a_key_that_somebody_measures() -> None:
    known = {
        f"{table}.{name}"
        for table, kinds in TABLES.items()
        for model in kinds.values()
        for name in keys_of(model, "")
    }
    assert set(NOT_IN_VIEW) <= known


@pytest.mark.parametrize(
    "kinds", [{table: kind} for table in KINDED for kind in KINDS[table]], ids=str
)
def test_every_row_of_an_empty_sheet_has_a_letter_or_a_reason(kinds: dict[str, str]) -> None:
    asked = asked_of(None, kinds)
    there = drawn_keys(asked)
    lengths = {"mm": "length", "deg": "angle"}
    for block in asked.blocks:
        for row in block.rows:
            why = why_undrawn(row.key, row.form, lengths.get(row.unit, "other"), row.how)
            assert row.key in there or why, row.key


@pytest.mark.parametrize(
    ("table", "kind"),
    [*[("release", k) for k in KINDS["release"]], *[("spring", k) for k in KINDS["spring"]],
     ("faces", "")],
    ids=str,
)  # fmt: skip
def test_a_dimension_lies_where_its_size_is(table: str, kind: str) -> None:
    mechanism = from_document(sample_document({table: kind} if kind else {}), "sample")
    checked = 0
    for size in sized_on_the_bench(mechanism, table)[1]:
        value = mechanism.keys.get(size.key)
        if value is None or isinstance(value, np.ndarray | tuple):
            continue  # thicknesses of a stack that the sample does not have; readings
        if isinstance(size, Angle):
            first, last = size.sides_rad
            assert np.degrees(abs(last - first)) == pytest.approx(abs(float(value)), abs=1e-9)
            checked += 1
        elif isinstance(size, Length):
            apart = float(np.hypot(*(np.asarray(size.end) - np.asarray(size.start))))
            factor = 0.5 if size.half else np.pi if size.part == "π × {}" else 1.0
            assert apart == pytest.approx(factor * float(value), rel=1e-9), size.key
            assert size.size == pytest.approx(float(value), rel=1e-9)
            checked += 1
    assert checked >= (0 if kind in ("profile", "table") else 1)


def test_room_is_shared_alike_up_to_what_each_can_use() -> None:
    def no(sheet: object, y: float, more: float) -> None:
        raise AssertionError

    items = [Item(10.0, no, 5.0), Item(10.0, no), Item(10.0, no, 50.0), Item(10.0, no, 50.0)]
    assert grown(items, 45.0) == [5.0, 0.0, 20.0, 20.0]
    assert grown(items, 500.0) == [5.0, 0.0, 50.0, 50.0]
    assert grown(items, 0.0) == [0.0] * 4
