"""Results whose fields are worked out when they are asked for: once, and the same as at once."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, dataclass, fields, replace

import pytest
from clutches import BASE_FILE

import liftgeo
from liftgeo.outcome import analysis
from liftgeo.outcome.deferred import Deferred
from liftgeo.outcome.results import plain


@dataclass(frozen=True)
class Pair(Deferred):
    """Two numbers."""

    first: int
    second: int


def test_a_field_is_worked_out_once_and_only_when_asked_for() -> None:
    asked: list[str] = []
    pair = Pair.holding({"first": 1}, {"second": lambda: asked.append("second") or 2})
    assert (pair.first, asked) == (1, [])
    assert (pair.second, pair.second, asked) == (2, 2, ["second"])
    assert pair == Pair(1, 2)


@pytest.mark.parametrize("made", [copy.copy, copy.deepcopy, replace])
def test_a_copy_has_every_field(made: object) -> None:
    assert callable(made)
    pair = Pair.holding({"first": 1}, {"second": lambda: 2})
    assert vars(made(pair)) == {"first": 1, "second": 2}


def test_what_is_no_field_is_an_error() -> None:
    pair = Pair.holding({"first": 1}, {"second": lambda: 2})
    with pytest.raises(AttributeError, match="'Pair' object has no attribute 'third'"):
        _ = pair.third  # type: ignore[attr-defined]
    with pytest.raises(FrozenInstanceError):
        pair.second = 3  # type: ignore[misc]


@pytest.mark.parametrize("later", [(), ("first", "second"), ("second", "third")])
def test_each_field_is_given_once(later: tuple[str, ...]) -> None:
    with pytest.raises(TypeError, match="Pair needs each of its fields once"):
        Pair.holding({"first": 1}, {name: lambda: 2 for name in later})


def test_a_stroke_works_out_no_rows_and_no_warnings_that_no_one_reads(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[str] = []
    for name in ("stroke_columns", "found"):
        real = getattr(analysis, name)
        monkeypatch.setattr(
            analysis, name, lambda *a, real=real, name=name: asked.append(name) or real(*a)
        )
    result = liftgeo.stroke(liftgeo.load(BASE_FILE))
    assert result.full_lever.clearance_per_face_mm == pytest.approx(-0.027, abs=5e-4)
    assert asked == []
    assert len(result.table()) == 121
    assert result.warnings
    assert asked == ["stroke_columns", "found"]


def test_a_result_read_backwards_copied_or_pickled_is_the_same() -> None:
    mechanism = liftgeo.load(BASE_FILE)
    whole = liftgeo.stroke(mechanism).to_dict()
    backwards = liftgeo.stroke(mechanism)
    for field in reversed(fields(backwards)):
        getattr(backwards, field.name)
    assert backwards.to_dict() == whole
    assert copy.deepcopy(liftgeo.stroke(mechanism)).to_dict() == whole
    assert plain(pickle.loads(pickle.dumps(liftgeo.stroke(mechanism)))) == whole
