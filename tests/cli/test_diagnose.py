"""`liftgeo diagnose`: page, JSON, CSV and figure, what it saves and refuses, after the work."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from clutches import BASE_TEXT
from command_line import TRACTOR, Done, run, too_wide

import liftgeo
from liftgeo.outcome.known import SURE
from liftgeo.safety import WORK_SAFELY

LEFT_OUT = BASE_TEXT.replace('left_out = "nothing"', 'left_out = "usual"')
READ = "hand_travel_mm,hand_force_n,separation_mm\n15,22 ± 3,\n,124 ± 3,0.20 ± 0.05\n"


def text_of(done: Done) -> str:
    return " ".join(done.out.split())


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return a copy of the base clutch without its play, stiffness and float."""
    text = LEFT_OUT
    for line in ("free_play = 2.2", "end_float = 0.12", "stiffness = 240"):
        assert line in text
        text = text.replace(line, f"# {line}")
    place = tmp_path / "clutch.toml"
    place.write_text(text, encoding="utf-8")
    return place


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    place = tmp_path / "bench.csv"
    place.write_text(READ, encoding="utf-8")
    return place


def test_without_readings_it_says_what_eats_the_lift_and_what_to_read(file: Path) -> None:
    done = run("diagnose", file)
    assert (done.code, done.err) == (0, "")
    text = text_of(done)
    assert "Where the lift goes" in text
    assert "Most is lost to" in text_of(run("diagnose", file, "--full"))
    assert "Next: read what the faces part at full lever" in text
    assert 'under [bench]: separation = "… ± 0.05 mm", then `liftgeo diagnose' in text
    assert "what the faces part at full lever" in text_of(run("diagnose", file, "--full"))
    assert " ".join(WORK_SAFELY.split()[:6]) in text


def test_with_readings_it_says_what_they_say(file: Path, readings: Path) -> None:
    done = run("diagnose", file, "--readings", readings)
    assert done.code == 0
    text = text_of(done)
    assert "Readings and file agree: chi-square" in text
    assert "What the readings say of the numbers in the file" in text
    assert "cable free play (cable.free_play): 2.50 ->" in text
    assert too_wide(done.out) == []


def test_json_has_the_names_of_the_agreement(file: Path, readings: Path) -> None:
    data = run("diagnose", file, "--readings", readings, "--json").data
    assert {"budget", "remedies", "readings", "result"} <= data.keys()
    assert {"fitted", "reduced_chi_square", "undetermined", "contradicts", "next"} <= (
        data["readings"].keys()
    )
    fitted = data["readings"]["fitted"]
    assert {"cable.free_play", "cable.stiffness", "rod.end_float"} <= fitted.keys()
    for item in fitted.values():
        assert item["stderr"] > 0
        assert item["prior_stderr"] > 0
        assert {"value", "file_value"} <= item.keys()
    for key in data["readings"]["undetermined"]:
        assert fitted[key]["stderr"] > 0.8 * fitted[key]["prior_stderr"]
    for step in data["readings"]["next"]:
        assert {"reading", "at", "certainty"} <= step.keys()
        assert 0.5 <= step["certainty"] <= 1.0
    assert data["readings"]["contradicts"] == []
    assert data["budget"] == data["result"]["budget"]
    plain = run("diagnose", file, "--json").data
    assert plain["readings"]["fitted"] == {}
    assert plain["readings"]["reduced_chi_square"] is None
    steps = [round(min(step["certainty"], SURE), 2) for step in plain["readings"]["next"]]
    assert steps
    assert steps == sorted(steps, reverse=True)


def test_a_contradicting_reading_is_named_and_who_could_explain_it(tmp_path: Path) -> None:
    exact = tmp_path / "exact.toml"
    exact.write_text(LEFT_OUT + '\n[bench]\nseparation = "0.10 ± 0.05 mm"\n', encoding="utf-8")
    done = run("diagnose", exact)
    text = text_of(done)
    assert "Contradicting: separation." in text
    assert "By itself each of these would explain it: " in text
    assert "(cable.free_play) 2.20 ->" in text
    assert "Next: read separation again, and correct it where it stands" in text
    assert "If it stays, read" in text
    assert "Read next, what tells the suspects apart first" in text_of(
        run("diagnose", exact, "--full")
    )
    data = run("diagnose", exact, "--json").data
    assert data["readings"]["contradicts"] == ["separation"]
    for item in data["readings"]["alone"]:
        moved = liftgeo.load(exact).changed({item["key"]: item["value"]})
        apart = liftgeo.stroke(moved).full_lever.separation_mm
        assert apart == pytest.approx(0.10, abs=0.02), item["key"]
    page = text_of(run("stroke", exact))
    assert "CAUTION: from the bench, separation was read as 0.10 mm where the file says" in page
    assert "DRAGS" in page.split(".")[0] or "with the readings from the bench" in page


def test_an_exact_key_moves_only_where_it_is_asked(tmp_path: Path, readings: Path) -> None:
    exact = tmp_path / "exact.toml"
    exact.write_text(LEFT_OUT, encoding="utf-8")
    words = ("diagnose", exact, "--readings", readings, "--json")
    assert "cable.free_play" not in run(*words).data["readings"]["fitted"]
    fitted = run(*words, "--fit", "cable.free_play").data["readings"]["fitted"]
    assert fitted["cable.free_play"]["file_value"] == 2.2
    assert fitted["cable.free_play"]["value"] != 2.2
    wrong = run(*words, "--fit", "cable.fre_play")
    assert wrong.code == 2
    assert "Did you mean cable.free_play?" in wrong.err


def test_csv_and_figure_are_written(file: Path, readings: Path, tmp_path: Path) -> None:
    table, figure = tmp_path / "out.csv", tmp_path / "out.png"
    words = ("diagnose", file, "--readings", readings, "--csv", table, "--figure", figure)
    assert run(*words).code == 0
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8"))))
    assert [row["reading"] for row in rows] == [
        "hand_force at 15 mm (line 2)", "separation (line 3)", "hand_force (line 3)",
    ] or len(rows) == 3  # fmt: skip
    assert figure.read_bytes()[:4] == b"\x89PNG"
    assert run("diagnose", file, "--figure", tmp_path / "no.png").code == 2


def test_save_names_the_readings_and_touches_no_number(file: Path, readings: Path) -> None:
    before = file.read_text(encoding="utf-8")
    assert run("diagnose", file, "--readings", readings, "--save").code == 0
    after = file.read_text(encoding="utf-8")
    assert after == before.rstrip() + '\n\n[bench]\nreadings = "bench.csv"\n'
    assert len(liftgeo.load(file).readings) == 3
    again = run("diagnose", file, "--readings", readings, "--save")
    assert again.code == 0
    assert file.read_text(encoding="utf-8") == after
    assert "with the readings from the bench" in text_of(run("stroke", file))


def test_save_keeps_what_bench_holds_and_refuses_a_second_file(
    file: Path, readings: Path, tmp_path: Path
) -> None:
    with file.open("a", encoding="utf-8") as more:
        more.write('\n[bench]\nplate_lift = "0.6 ± 0.1 mm"  # dial\n')
    assert run("diagnose", file, "--readings", readings, "--save").code == 0
    text = file.read_text(encoding="utf-8")
    assert 'plate_lift = "0.6 ± 0.1 mm"  # dial' in text
    other = tmp_path / "other.csv"
    other.write_text("plate_lift_mm\n0.6 ± 0.1\n", encoding="utf-8")
    refused = run("diagnose", file, "--readings", other, "--save")
    assert refused.code == 2
    assert "names other readings already" in refused.err
    assert file.read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "empty"), ("1,2\n3,4\n", "line 1"), ("hand_force_n\n", "no readings stand below"),
     ("hand_travel_mm,hand_force_n\n10,many\n", "line 2: hand_force_n"),
     ("hand_travel_mm,hand_force_n\n10,3 lbf\n", "mixed units"),
     ("hand_travel_mm,hand_force_n\n500,40\n", "line 2"),
     ("hand_travel_mm,hand_force_n\n10,40\n10,60\n", "line 3")],
)  # fmt: skip
def test_bad_readings_end_with_the_line_and_nothing_lost(
    file: Path, tmp_path: Path, text: str, words: str
) -> None:
    bad, kept = tmp_path / "bad.csv", file.read_text(encoding="utf-8")
    bad.write_text(text, encoding="utf-8")
    done = run("diagnose", file, "--readings", bad, "--save", "--csv", tmp_path / "out.csv")
    assert (done.code, done.out) == (2, "")
    assert words in done.err
    assert file.read_text(encoding="utf-8") == kept
    assert not (tmp_path / "out.csv").exists()


def test_what_cannot_be_asked_is_said(file: Path, readings: Path, tmp_path: Path) -> None:
    assert "--save needs --readings" in run("diagnose", file, "--save").err
    assert "--save needs FILE" in run("diagnose", "--readings", readings, "--save").err
    assert run("diagnose", file, "--readings", tmp_path / "none.csv").code == 2
    assert "--before CSV --after CSV --change" in run("diagnose", file, "--before", readings).err
    partial = tmp_path / "partial.toml"
    partial.write_text(LEFT_OUT[: LEFT_OUT.index("[spring]")], encoding="utf-8")
    done = run("diagnose", partial, "--readings", readings)
    assert done.code == 2
    assert "A diagnosis needs the whole clutch" in done.err


# ---------------------------------------------------------------- after the work


def bench_csv(path: Path, force: float, gap: float) -> Path:
    path.write_text(
        f"hand_travel_mm,hand_force_n,separation_mm\n,{force} ± 2,{gap} ± 0.03\n", encoding="utf-8"
    )
    return path


def test_after_the_work_readings_are_set_beside_what_the_sums_said(tmp_path: Path) -> None:
    base = liftgeo.load(TRACTOR)
    name = next(iter(base.changes))
    was, made = (liftgeo.stroke(m).full_lever for m in (base, base.changed(name)))
    before = bench_csv(tmp_path / "b.csv", was.hand_force_n + 1, was.separation_mm - 0.02)
    after = bench_csv(tmp_path / "a.csv", made.hand_force_n + 1, made.separation_mm - 0.02)
    words = ("diagnose", TRACTOR, "--before", before, "--after", after, "--change", name)
    done = run(*words)
    assert done.code == 0
    assert "YES, it did what the sums said" in text_of(done)
    assert too_wide(done.out) == []
    data = run(*words, "--json").data
    assert data["agrees"] is True
    row = next(r for r in data["rows"] if r["reading"] == "separation")
    assert row["said"] == pytest.approx(made.separation_mm - was.separation_mm, abs=0.03)
    wrong = bench_csv(tmp_path / "w.csv", made.hand_force_n + 1, made.separation_mm + 0.2)
    done = run("diagnose", TRACTOR, "--before", before, "--after", wrong, "--change", name)
    assert "NOT AS THE SUMS SAID: separation" in text_of(done)


def test_after_the_work_needs_the_same_readings_again(tmp_path: Path) -> None:
    name = next(iter(liftgeo.load(TRACTOR).changes))
    before = tmp_path / "b.csv"
    before.write_text("separation_mm\n0.3\n", encoding="utf-8")
    after = tmp_path / "a.csv"
    after.write_text("plate_lift_mm\n0.3\n", encoding="utf-8")
    done = run("diagnose", TRACTOR, "--before", before, "--after", after, "--change", name)
    assert done.code == 2
    assert "both before and after" in done.err


def test_readings_too_large_to_be_any_are_told_as_readings(tmp_path: Path) -> None:
    large = tmp_path / "large.csv"
    large.write_text("hand_force_n\n" + "61\n" * 1_000_000, encoding="utf-8")
    done = run("diagnose", TRACTOR, "--readings", large)
    assert (done.code, done.out) == (2, "")
    assert "a table of readings is a page of text, 1 MB at most" in " ".join(done.err.split())
    assert "geometry file" not in done.err


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_readings_before_and_after_are_drawn(tmp_path: Path, units: str) -> None:
    base = liftgeo.load(TRACTOR)
    was, made = (liftgeo.stroke(m).full_lever for m in (base, base.changed("less-play")))
    before = bench_csv(tmp_path / "b.csv", was.hand_force_n, was.separation_mm)
    after = bench_csv(tmp_path / "a.csv", made.hand_force_n, made.separation_mm)
    figure = tmp_path / "after.svg"
    words = ("--before", before, "--after", after, "--change", "less-play", "--units", units)
    done = run("diagnose", TRACTOR, *words, "--figure", figure)
    assert (done.code, done.err) == (0, f"Written: {figure}\n")
    drawn = figure.read_text(encoding="utf-8")
    assert drawn.startswith("<?xml")
    for text in (
        "before and after",
        "read before",
        "read after",
        "sums with the change",
        "Before.",
    ):
        assert text in drawn


def test_readings_off_the_curves_are_drawn_by_their_agreement_alone(tmp_path: Path) -> None:
    for name, travel in (("b", "9.0"), ("a", "7.0")):
        text = f"take_up_mm\n{travel} ± 0.5\n"
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    words = ("--before", "b.csv", "--after", "a.csv", "--change", "less-play")
    done = run("diagnose", TRACTOR, *words, "--figure", "after.png", folder=tmp_path)
    assert done.code == 0
    assert (tmp_path / "after.png").read_bytes()[:4] == b"\x89PNG"
