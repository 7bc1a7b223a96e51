"""What the first screen says of what it took, did not judge, or could not use; and small numbers.

All made from the sound clutch of the tests (clutches.py), invented.
"""

from __future__ import annotations

import re

import pytest
from clutches import sound_mechanism
from matplotlib.text import Text

import liftgeo
from liftgeo.as_written import millimetres
from liftgeo.figures.page import page as page_of_figures
from liftgeo.mechanism.derived import derived
from liftgeo.studies.diagnose import diagnose
from liftgeo.studies.symptoms import SYMPTOMS
from liftgeo.words.certainty import reading_words, sure_line
from liftgeo.words.numbers import Shown
from liftgeo.words.stroke_page import stroke_page
from liftgeo.words.verdict import key_numbers, message

WARM = {"warm": {"temperature_rise": 80, "casing_length": 450, "casing_material": "aluminium"}}


def page(mechanism: liftgeo.Mechanism, *, full: bool = False) -> str:
    result = liftgeo.stroke(mechanism)
    lines = stroke_page(result, mechanism, "metric", "x.toml", liftgeo.known(mechanism), full=full)
    return " ".join(" ".join(lines).split())


def pack_of(plates: int) -> dict[str, float]:
    return {"faces.friction_plates": plates, "spring.installed_deflection": 2.1}


# --- dry or wet ---


@pytest.mark.parametrize(("plates", "taken"), [(2, "dry"), (3, "wet")])
def test_dry_or_wet_is_never_guessed_in_silence(plates, taken):
    guessed = sound_mechanism(faces={"running": None}).changed(pack_of(plates))
    assert f"dry or in oil is not given, taken as {taken}" in page(guessed)
    rows = key_numbers(liftgeo.stroke(guessed), "metric", 0.1, 90.0, taken)
    assert [f"torque it holds, taken as {taken}"] == [r[0] for r in rows if "torque" in r[0]]
    assert "taken as" not in page(guessed.changed({"faces.running": taken})).split("Grip")[1]


def test_a_usual_friction_says_that_it_hangs_on_dry_or_wet():
    laid = {"faces": {"running": None, "friction": None}, "engine": {"torque": 200}}
    slipping = sound_mechanism(left_out="usual", **laid)
    assert "At a usual 0.30 (dry or in oil is not given) the clutch would hold" in page(slipping)
    known = slipping.changed({"faces.running": "dry"})
    assert "At a usual 0.30 the clutch would hold" in page(known)


# --- what was not judged, and what was not used ---


def test_what_was_not_judged_stands_on_the_first_page_in_a_line():
    bare = sound_mechanism(cable={"wire": None, "stiffness": 200}, release={"max_rotation": None})
    assert "Not judged: overtravel, strength of the cable; `--full` says why." in page(bare)
    assert "Not judged" not in page(bare, full=True)
    assert "Not judged" not in page(sound_mechanism())


def test_a_table_that_is_not_whole_is_owned_up_to():
    half = sound_mechanism(warm={"temperature_rise": 80, "casing_length": 100})
    text = page(half)
    assert "[warm] is not used: not whole without warm.casing_material" in text
    assert "`liftgeo check x.toml`" in text
    assert "not used" not in page(sound_mechanism(**WARM))


# --- hot ---


def test_a_verdict_that_changes_when_hot_is_said_in_a_line():
    worse = sound_mechanism(rod={"action": "push"}, **WARM)
    cold, hot = liftgeo.stroke(worse), liftgeo.stroke(worse).hot
    assert hot is not None
    assert (cold.verdict, hot.verdict) == ("clear", "drags")
    assert re.search(r"Hot drags, [\d.]+ mm short on each face; cold: clear", page(worse))
    better = sound_mechanism(rod={"action": "pull"}, faces={"plate_runout": 0.56}, **WARM)
    better = better.changed({"warm.casing_length": 150})
    result = liftgeo.stroke(better)
    assert result.hot is not None
    assert (result.verdict, result.hot.verdict) == ("drags", "marginal")
    assert re.search(r"Hot marginal, [\d.]+ mm clear on each face; cold: drags", page(better))


def test_no_line_is_given_to_heat_that_changes_nothing():
    mild = sound_mechanism(**WARM).changed({"warm.casing_length": 20})
    assert liftgeo.stroke(mild).hot is not None
    assert "Hot " not in page(mild)


def test_the_symptom_of_a_clutch_that_drags_hot_names_the_table():
    assert "[warm]" in SYMPTOMS["drags-hot"].measure


# --- on the page of figures ---


def test_a_warning_stands_whole_on_the_page_of_figures_or_is_named():
    many = sound_mechanism(cable={"wire": None, "stiffness": 200}).changed(
        {
            "cable.breaking_load": 400,
            "engine.torque": 60,
            "bearing.static_rating": 1000,
            "rod.diameter": 4.0,
            "faces.plate_runout": 0.8,
            "release.allowed_pressure": 1500,
        }
    )
    result = liftgeo.stroke(many)
    figure = page_of_figures(result, many)
    texts = [t.get_text() for sub in figure.findobj(Text) for t in [sub] if t.get_text()]
    said = " ".join(" ".join(texts).split())
    warned = [w for w in result.warnings if w.severity != "note"]
    assert len(warned) > 6
    whole = [w for w in warned if message(w, many, "metric") in said]
    assert whole == warned[: len(whole)]
    assert 0 < len(whole) < len(warned)
    for warning in warned[len(whole) :]:
        assert message(warning, many, "metric")[:40] not in said
        assert warning.key.replace("-", " ") in said
    assert "…" not in said


# --- small numbers ---


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.0, "0.00 mm"), (-0.004, "-0.004 mm"), (0.0049, "0.005 mm"), (0.005, "0.01 mm"),
     (0.31, "0.31 mm"), (2e-6, "0.00 mm"), (-1e-9, "0.00 mm")],
)  # fmt: skip
def test_a_length_never_looks_like_none_nor_loses_its_sign(value, said):
    assert millimetres(value) == said
    assert Shown("metric").length(value) == said


def test_the_ends_of_a_range_differ():
    show = Shown("metric")
    assert show.ends(0.018, 0.022) == ["0.018", "0.022"]
    assert show.ends(0.01, 0.2) == ["0.01", "0.20"]
    assert show.ends(0.003, 0.05) == ["0.003", "0.050"]
    assert show.ends(0.02, 0.02) == ["0.02", "0.02"]


def test_the_range_of_how_sure_has_two_ends():
    mechanism = sound_mechanism(faces={"plate_runout": "0.50 ± 0.004 mm"})
    known = liftgeo.known(mechanism)
    assert known is not None
    told = re.search(
        r"between ([\d.]+) and ([\d.]+) mm", sure_line(liftgeo.stroke(mechanism), known, "metric")
    )
    assert told is not None
    assert told[1] != told[2]


def test_hot_by_a_hair_has_digits():
    for length in range(100, 500, 5):
        mechanism = sound_mechanism(**WARM).changed({"warm.casing_length": length})
        result = liftgeo.stroke(mechanism)
        for warning in result.warnings:
            assert "0.00 mm" not in warning.message, length


def test_what_is_still_short_is_never_nothing():
    text = diagnose(sound_mechanism(faces={"plate_runout": 0.34}))
    assert text.remedies is not None
    from liftgeo.words.remedy_lines import together_lines

    lines = " ".join(together_lines(text.remedies, Shown("metric")))
    assert "clearance per face 0.00 mm" not in lines


# --- readings ---


def test_the_place_of_a_reading_is_in_the_units_of_the_page():
    assert reading_words("hand_force at 20 mm (line 4)", "metric") == "hand force at 20 mm (line 4)"
    assert reading_words("hand_force at 20 mm (line 4)", "inch") == "hand force at 0.79 in (line 4)"


def test_a_plus_minus_that_was_not_typed_says_whence_it_is():
    base = {"kind": "coils", "count": 6}
    bare = sound_mechanism(spring={**base, "readings": [[0, 50], [300, 45], [610, 40]]})
    names = {line.name: line.value for line in derived(bare)}
    # By hand: the line has slope 61 and misfits -1.67, 3.33, -1.67 about it; 2 x sqrt(16.7/1).
    assert names["± of a load, by their scatter"] == pytest.approx(2 * (50 / 3) ** 0.5, rel=1e-9)
    typed = [["0 ± 1 N", 50], ["300 ± 1 N", 45], ["610 ± 1 N", 40]]
    told = sound_mechanism(spring={**base, "readings": typed})
    assert not [line for line in derived(told) if line.name.startswith("±")]
