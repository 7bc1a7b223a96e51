"""`liftgeo spread`: its page, JSON, CSV and figure, and what it refuses."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import clutches
import pytest
from command_line import TRACTOR, Done, edited, run, too_wide

from liftgeo.safety import WORK_SAFELY

QUICK = ("--samples", "2000")
LEFT_OUT = (
    ('left_out = "nothing"', 'left_out = "usual"'),
    ("free_play = 2.2  ", "# free_play ="),
    ("end_float = 0.12 ", "# end_float ="),
    ("stiffness = 240  ", "# stiffness ="),
)


@pytest.fixture
def unsure(tmp_path: Path) -> Path:
    """Return a copy of an example with three numbers left out."""
    return edited(tmp_path / "unsure.toml", LEFT_OUT)


def spread(*words: str | Path) -> Done:
    return run("spread", *words, *QUICK)


def text_of(done: Done) -> str:
    return " ".join(done.out.split())


def test_the_page_says_how_sure_whose_and_what_to_repeat(unsure: Path):
    done = spread(unsure)
    assert done.code == 0
    assert done.err == ""
    text = text_of(done)
    assert text.startswith("Base clutch of the tests, single dry plate (invented) ")
    assert "How sure: of 20 clutches measured like this" in text
    assert "Of 100 clutches measured like this" in text
    assert "Whose ± decides the clearance" in text
    assert "cable free play *" in text
    assert "What to repeat: The answer holds" in text
    assert " ".join(WORK_SAFELY.split()[:6]) in text
    assert too_wide(done.out) == []


def test_the_rest_of_the_page_waits_behind_full(unsure: Path):
    behind = (
        "Worst case: with every number at once",
        "Not given, taken as usual for a used machine: ",
        "Every number varies by itself here",
    )
    one, whole = text_of(spread(unsure)), text_of(spread(unsure, "--full"))
    assert [words in one for words in behind] == [False] * 3
    assert [words in whole for words in behind] == [True] * 3


def test_json_has_the_names_of_known_and_its_own(unsure: Path):
    done = spread(unsure, "--json")
    data = done.data
    known = run("stroke", unsure, "--json").data["known"]
    assert {name: data[name] for name in known} == known
    assert set(data["slip_margin"]) == {"p05", "p50", "p95"}
    assert set(data["corner"]) == {"clearance_per_face_mm", "peak_hand_force_n"}
    assert all(set(share) == {"key", "share"} for share in data["shares"])
    assert sum(data["odds"].values()) == pytest.approx(1.0)
    assert data["verdict"] == run("stroke", unsure, "--json").data["verdict"]
    assert sum(data["distribution"]["share"]) == pytest.approx(1.0, abs=0.003)


def test_in_full_the_total_stands_beside_each_share(unsure: Path):
    data = spread(unsure, "--full", "--json").data
    assert all(set(share) == {"key", "share", "total"} for share in data["shares"])
    assert data["total_runs"] == 2000 * len(data["shares"])
    page = text_of(spread(unsure, "--full"))
    assert f"from {data['total_runs']:,} further mechanisms" in page


def test_the_seed_changes_the_samples_and_no_more(unsure: Path):
    one, again, other = (spread(unsure, "--seed", s, "--json") for s in ("7", "7", "8"))
    assert one.out == again.out
    assert one.out != other.out
    assert other.data["seed"] == 8
    assert other.data["taken"] == one.data["taken"]


def test_nothing_left_out_is_said_and_the_plain_verdict_given(unsure: Path):
    done = spread(unsure, "--left-out", "nothing")
    assert done.code == 0
    assert "Nothing in this file is uncertain" in text_of(done)
    data = spread(unsure, "--left-out", "nothing", "--json").data
    assert data["frees"] is None
    assert data["corner"] is None
    assert data["verdict"] in done.out.lower() or data["verdict"] == "marginal"
    usual = spread(unsure, "--left-out", "usual", "--json").data
    assert usual["frees"] is not None


def test_a_change_is_laid_over_the_file(unsure: Path):
    data = spread(unsure, "--change", "less-play", "--json").data
    assert data["change"] == "less-play"
    assert "cable.free_play" not in {item["key"] for item in data["taken"]}


def test_csv_and_figure_are_written_whole_and_not_over_others(unsure: Path, tmp_path: Path):
    table, figure = tmp_path / "spread.csv", tmp_path / "spread.svg"
    done = spread(unsure, "--csv", table, "--figure", figure)
    assert done.code == 0
    assert f"Written: {figure}" in done.err
    rows = list(csv.DictReader(io.StringIO(table.read_text())))
    assert {row["key"] for row in rows} == {"cable.free_play", "cable.stiffness", "rod.end_float"}
    assert all(row["left_out"] == "yes" and row["total"] == "" for row in rows)
    assert figure.read_text().lstrip().startswith("<?xml")
    again = spread(unsure, "--csv", table)
    assert again.code == 2
    assert again.out == ""


def test_a_figure_of_what_is_certain_is_drawn_too(tmp_path: Path):
    figure = tmp_path / "certain.png"
    done = spread(TRACTOR, "--left-out", "nothing", "--figure", figure)
    assert done.code == 0
    assert figure.read_bytes().startswith(b"\x89PNG")


def test_inch_units_are_shown_and_json_stays_metric(unsure: Path):
    assert "clearance per face, in " in text_of(spread(unsure, "--units", "inch"))
    metric = spread(unsure, "--json").out
    assert spread(unsure, "--json", "--units", "inch").out == metric


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--samples", "20"), "20 samples cannot be"),
        (("--seed", "-3"), "A seed of -3 cannot be"),
        (("--left-out", "zero"), "--left-out zero is not known. Choose usual or nothing."),
        (("--units", "ells"), "--units ells is not known"),
        (("--change", "less-pley"), "Did you mean less-play?"),
    ],
)
def test_what_cannot_be_asked_is_refused_with_a_remedy(words: tuple[str, ...], says: str):
    done = run("spread", TRACTOR, *words)
    assert done.code == 2
    assert done.out == ""
    assert says in done.err
    assert "Traceback" not in done.err


def test_a_partial_file_is_told_what_it_lacks(tmp_path: Path):
    path = tmp_path / "partial.toml"
    text = clutches.BASE_TEXT
    path.write_text(text[: text.index("[release]")])
    done = run("spread", path)
    assert done.code == 2
    assert "A spread needs the whole clutch" in done.err
    assert "Traceback" not in done.err
