"""`liftgeo report`: where the page goes, and what is refused."""

from __future__ import annotations

from pathlib import Path

from command_line import TRACTOR, run


def test_it_writes_one_page_named_for_the_file(tmp_path: Path) -> None:
    done = run("report", TRACTOR, folder=tmp_path)
    assert (done.code, done.out) == (0, "")
    assert "Written: base_clutch.html" in done.err
    assert (tmp_path / "base_clutch.html").read_text("utf-8").startswith("<!DOCTYPE html>")
    assert [p.name for p in tmp_path.iterdir()] == ["base_clutch.html"]


def test_markdown_comes_with_its_pictures(tmp_path: Path) -> None:
    done = run("report", TRACTOR, "-o", "mine.md", folder=tmp_path)
    assert done.code == 0
    names = {p.name for p in tmp_path.iterdir()}
    assert {"mine.md", "mine-effort.png", "mine-budget.png"} <= names
    text = (tmp_path / "mine.md").read_text("utf-8")
    assert all(name == "mine.md" or f"({name})" in text for name in names)


def test_a_picture_that_stands_there_already_stops_it_before_anything_is_written(
    tmp_path: Path,
) -> None:
    kept = tmp_path / "mine-effort.png"
    kept.write_bytes(b"mine")
    done = run("report", TRACTOR, "-o", "mine.md", folder=tmp_path)
    assert done.code == 2
    assert "mine-effort.png exists already" in done.err
    assert [p.name for p in tmp_path.iterdir()] == ["mine-effort.png"]
    assert kept.read_bytes() == b"mine"


def test_what_it_cannot_do_it_says(tmp_path: Path) -> None:
    for words, said in (
        (["report", TRACTOR, "-o", "page.pdf"], "must end in .html or .md"),
        (["report", TRACTOR, "--change", "nothing-such"], "No change is called"),
        (["report", TRACTOR, "--units", "ell"], "--units ell is not known"),
        (["report", TRACTOR, "-o", "none/page.html"], "folder of none/page.html is not there"),
        (["report", TRACTOR, "-o", TRACTOR], "must end in .html or .md"),
    ):
        done = run(*words, folder=tmp_path)
        assert done.code == 2
        assert said in done.err
        assert list(tmp_path.iterdir()) == []


def test_readings_before_want_those_after_and_a_change(tmp_path: Path) -> None:
    (tmp_path / "r.csv").write_text("hand_travel_mm,separation_mm\n38,0.2\n", "utf-8")
    for words in (["--before", "r.csv"], ["--before", "r.csv", "--after", "r.csv"]):
        done = run("report", TRACTOR, *words, folder=tmp_path)
        assert done.code == 2
        assert "After the work: --before CSV --after CSV --change NAME" in done.err


def test_a_dash_prints_the_page_with_the_readings_and_what_made_it(tmp_path: Path) -> None:
    readings = tmp_path / "r.csv"
    readings.write_text("hand_travel_mm,separation_mm\n38,0.2\n", "utf-8")
    words = ("--readings", "r.csv", "--units", "inch", "-o", "-")
    done = run("report", TRACTOR, *words, folder=tmp_path)
    assert done.code == 0
    assert done.out.startswith("<!DOCTYPE html>")
    assert done.out.endswith("</html>\n")
    assert f"liftgeo report {TRACTOR} --readings r.csv -o - --units inch" in done.out
    assert "On the bench" in done.out
    assert list(tmp_path.iterdir()) == [readings]
