"""No answer without a number: whole awkward mechanisms, alone, in a batch and on every page.

The bounded run goes with the tests. The long one (-m slow) draws 10,000 at random, in another order
every time, and prints how many were tried, refused and held.
"""

from __future__ import annotations

import dataclasses
import re
from collections import Counter

import numpy as np
import pytest
from awkward import awkward_documents
from clutches import mechanism
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import liftgeo
from liftgeo.errors import Reason
from liftgeo.mechanism import from_document
from liftgeo.mechanism.tables import TABLES
from liftgeo.outcome.outcome import VERDICTS, analysed
from liftgeo.studies.wear import wear
from liftgeo.words.stroke_page import stroke_page

MAY_BE_MISSING = {
    "bearing",  # not in the file
    "strength",
    "targets",
    "cable_to_arm_angle_deg",  # a drum or a table does not tell it
    "spring_to_stop_mm",  # nothing known ends the spring
    "past_peak_mm",
    "formula_bias_ratio",
    "reference_stress_mpa",
    "reference_stress_limit_mpa",
    "tip_force_n",
    "slip_margin",
    "slip_margin_low",
    "clamp_force_low_n",
    "clamp_force_high_n",
    "oil_drag_nm",
    "drag_torque_low_nm",
    "drag_torque_nm",  # rigid faces that touch in places: nothing limits the force between them
    "peak_over_floor",
    "friction_to_roll",
    "advantage",  # no hand force yet
    "hand_travel_mm",  # of an event not reached
    "lever_angle_deg",
    "left_mm",
}
WIDELY = settings(
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
TABLE_OR_KEY = tuple(TABLES)


def check_names_a_key(error: liftgeo.GeometryError) -> None:
    assert error.faults
    for fault in error.faults:
        assert fault.key.split(".")[0] in TABLE_OR_KEY
        assert fault.problem


def missing(data: object, path: tuple[str, ...] = ()) -> list[str]:
    """Return every place of plain data that holds no number where one must stand."""
    if isinstance(data, dict):
        return [
            place
            for key, value in data.items()
            if key not in MAY_BE_MISSING or (path and path[-1] in ("full_lever", "peak"))
            if key not in ("cable_to_arm_angle_deg", "spring_to_stop_mm")
            for place in missing(value, (*path, key))
        ]
    if isinstance(data, list):
        return [place for each in data for place in missing(each, path)]
    if data is None and path[-1] not in ("change", "tilt", "turned", "hot"):
        return [".".join(path)]
    return []


def check_stands(document: dict) -> str:
    """Assert that a mechanism is refused by name or answered whole; return which."""
    try:
        drawn = from_document(document)
    except liftgeo.GeometryError as error:
        check_names_a_key(error)
        return "refused by its file"
    free_play = float(drawn.keys.get("cable.free_play", 0.0))
    many = liftgeo.batch(drawn, {"cable.free_play": np.array([free_play, 1.0])})
    try:
        result = liftgeo.stroke(drawn)
    except liftgeo.GeometryError as error:
        check_names_a_key(error)
        assert not many.ok[0]
        assert many.reason[0] == int(Reason.NO_NUMBER)
        assert many.verdict[0] == ""
        return "refused by its sums"
    assert many.ok[0]
    assert missing(result.to_dict()) == []
    assert result.verdict == many.verdict[0]
    for name, ours in (
        ("clearance_per_face_mm", result.full_lever.clearance_per_face_mm),
        ("peak_hand_force_n", result.peak.hand_force_n),
        ("work_j", result.effort.work_j),
        ("return_hand_force_n", result.full_lever.return_hand_force_n),
    ):
        assert getattr(many, name)[0] == pytest.approx(ours, rel=1e-9, abs=1e-9)
    table = result.stroke
    assert np.all(np.diff(table.hand_travel_mm) >= -1e-7 * (1 + table.hand_travel_mm[-1]))
    assert table.hand_force_n.max() <= result.peak.hand_force_n * (1 + 1e-6) + 1e-9
    assert result.effort.work_j >= -1e-9
    page = "\n".join(stroke_page(result, drawn, "metric", "drawn", full=True))
    assert not re.search(r"-0\.0+(?!\d)", page), page  # a negative zero
    for word in ("nan", "inf "):
        assert word not in page.lower().replace("information", ""), page
    return "answered"


@settings(WIDELY, max_examples=120)
@given(awkward_documents())
def test_an_awkward_mechanism_is_answered_whole_or_refused_by_name(document):
    check_stands(document)


@pytest.mark.slow
def test_ten_thousand_awkward_mechanisms(capsys):
    """Prints the figures that docs/validation.md states."""
    counts: Counter[str] = Counter()

    @settings(
        max_examples=10_000, deadline=None, database=None, suppress_health_check=list(HealthCheck)
    )
    @given(awkward_documents())
    def run(document):
        counts[check_stands(document)] += 1

    run()
    with capsys.disabled():
        tried = counts.total()
        print(f"\ntried {tried}, " + ", ".join(f"{n} {word}" for word, n in counts.items()))
    assert counts["answered"] > 0.5 * counts.total()
    assert counts["refused by its sums"] < 0.02 * counts.total()


# --- one place makes the rule: every way of asking meets it ---


def made_hollow(file):
    """Return a mechanism with a number that no file can hold put past its bounds: 0 N/mm."""
    return dataclasses.replace(file, keys=file.keys | {"lever.stiffness": np.float64(0.0)})


def test_sums_without_a_number_are_a_fault_that_names_a_table():
    broken = made_hollow(mechanism())
    for ask in (liftgeo.stroke, analysed, wear):
        with pytest.raises(liftgeo.GeometryError) as caught:
            ask(broken)
        check_names_a_key(caught.value)
        assert "no number" in str(caught.value)
    many = liftgeo.batch(made_hollow(mechanism()), {"cable.free_play": np.array([1.0, 2.0])})
    assert not many.ok.any()
    assert set(many.reason) == {int(Reason.NO_NUMBER)}
    assert set(many.verdict) == {""}
    assert np.isnan(many.clearance_per_face_mm).all()


def test_a_variant_without_a_number_falls_out_alone():
    """A number laid over the keys past every bound, as a study never does: only it falls out."""
    many = analysed(mechanism(), {"lever.stiffness": np.array([100.0, 0.0, 50.0])})
    with np.errstate(all="ignore"):
        assert list(many.finite) == [True, False, True]
        assert many.verdict[1] == len(VERDICTS)
    with pytest.raises(liftgeo.GeometryError, match="no number"):
        many.check_finite("three of them")
    many.check_finite("the sound ones", where=np.array([True, False, True]))


@settings(WIDELY, max_examples=40)
@given(st.sampled_from(["lever", "arm", "release"]), st.floats(0.001, 0.34))
def test_play_read_along_is_answered_and_told(table, share):
    """A first step of any flatness: a finite answer, the caution, and the line to write."""
    step = {"lever": 4.4, "arm": 2.7, "release": 0.25}[table]
    up = [0.0, share * step] + [share * step + k * step for k in (1, 2, 3)]
    angle = {"lever": [0, 10, 20, 30, 40]}.get(table, [0, 4, 8, 12, 16])
    name = "travel" if table == "release" else "pull"
    keys = {"kind": "profile", "angle": angle, name: up}
    if table == "lever":
        keys |= {"hand_radius": 75.0, "hand_travel": 39.0}
    file = mechanism(**{table: keys})
    result = liftgeo.stroke(file)
    assert result.verdict in VERDICTS
    [told] = [w.message for w in result.warnings if w.key == "slack-in-table"]
    assert f"{table}.angle = [{angle[1]}, {angle[2]}" in told
    left_out = file.changed({f"{table}.angle": angle[1:], f"{table}.{name}": up[1:]})
    cured = liftgeo.stroke(left_out)
    assert "slack-in-table" not in [w.key for w in cured.warnings]
    assert cured.peak.hand_force_n < 400.0
