"""Every plausible file has its working, in every form, or a fault that says what to put right.

The files are those of mechanisms.py, with cable angles and grips far out in addition.
"""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from mechanisms import RELEASES, SPRINGS, documents

from liftgeo import formulas
from liftgeo.errors import LiftgeoError
from liftgeo.mechanism import from_document
from liftgeo.mechanism.tables import TABLES


@st.composite
def far_out(draw: Any) -> dict[str, Any]:
    """Return a file whose lever or arm may stand near its dead centre, or hardly move."""
    document: dict[str, Any] = draw(documents())
    angles = st.none() | st.sampled_from([20.0, 40.0, 125.0, 130.0, 140.0, 150.0, 160.0])
    for table in ("lever", "arm"):
        angle = draw(angles)
        if angle is not None and "cable_angle" in document[table]:
            document[table]["cable_angle"] = angle
    travel = draw(st.none() | st.sampled_from([2.0, 10.0, 90.0]))
    if travel is not None:
        document["lever"]["hand_travel"] = travel
    return document


def written(document: dict[str, Any]) -> list[str]:
    """Return the working of a file in every form; the fault alone where it has none."""
    try:
        working = formulas.formula(from_document(document))
    except LiftgeoError as fault:
        return [str(fault)]
    texts = [working.text(), working.markdown(), working.latex(), working.to_csv()]
    texts += [working._repr_html_(), working._repr_latex_()]
    return [*texts, json.dumps(working.to_dict(), allow_nan=False)]


def sound(text: str) -> bool:
    return bool(text) and "DIFFER" not in text


ALL_THERE = [HealthCheck.too_slow, HealthCheck.data_too_large]


@given(far_out())
@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=ALL_THERE)
def test_a_file_has_its_working_in_every_form(document: dict[str, Any]) -> None:
    assert all(map(sound, written(document)))


@pytest.mark.slow
@given(far_out())
@settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=ALL_THERE)
def test_hundreds_of_files_have_their_working(document: dict[str, Any]) -> None:
    assert all(map(sound, written(document)))


def test_the_files_are_of_every_kind() -> None:
    assert set(TABLES["spring"]) == set(SPRINGS)
    assert set(TABLES["release"]) <= set(RELEASES)
