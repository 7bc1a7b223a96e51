"""`liftgeo sheet`: where the pages go, what is refused, and the file just begun."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import TRACTOR, run


def test_it_writes_one_pdf_named_for_the_file(tmp_path: Path) -> None:
    done = run("sheet", TRACTOR, folder=tmp_path)
    assert (done.code, done.out) == (0, "")
    assert "Written: base_clutch-sheet.pdf" in done.err
    content = (tmp_path / "base_clutch-sheet.pdf").read_bytes()
    assert content.startswith(b"%PDF")
    assert len(re.findall(rb"/Type /Page\b", content)) == int(done.err.split()[-2])


def test_svg_comes_a_file_a_page_and_none_is_written_over(tmp_path: Path) -> None:
    kept = tmp_path / "mine-2.svg"
    kept.write_bytes(b"mine")
    done = run("sheet", "--release", "rack", "-o", "mine.svg", folder=tmp_path)
    assert done.code == 2
    assert "mine-2.svg exists already" in done.err
    assert [p.name for p in tmp_path.iterdir()] == ["mine-2.svg"]
    assert kept.read_bytes() == b"mine"
    done = run("sheet", "--release", "rack", "-o", "mine.svg", "--force", folder=tmp_path)
    assert done.code == 0
    assert len(list(tmp_path.glob("mine-*.svg"))) >= 4
    assert kept.read_bytes().startswith(b"<?xml")


def test_a_file_just_begun_gives_a_sheet_with_its_few_numbers(tmp_path: Path) -> None:
    run("new", "mine", "--release", "crank", folder=tmp_path)
    begun = tmp_path / "mine.toml"
    text = begun.read_text("utf-8")
    assert 'nipple_radius = ""' in text
    begun.write_text(text.replace('nipple_radius = ""', 'nipple_radius = "26.5 mm"'), "utf-8")
    assert run("sheet", "mine.toml", folder=tmp_path).code == 0
    assert (tmp_path / "mine-sheet.pdf").is_file()


def test_a_file_with_a_fault_is_not_taken_for_unfinished(tmp_path: Path) -> None:
    run("new", "mine", folder=tmp_path)
    begun = tmp_path / "mine.toml"
    text = begun.read_text("utf-8")
    begun.write_text(text.replace('nipple_radius = ""', 'nipple_radius = "26 kg"'), "utf-8")
    done = run("sheet", "mine.toml", folder=tmp_path)
    assert done.code == 2
    assert "nipple_radius" in done.err
    assert not list(tmp_path.glob("*.pdf"))


def test_readings_are_an_empty_table_alone(tmp_path: Path) -> None:
    done = run("sheet", "--readings", "-", folder=tmp_path)
    assert done.out.startswith("hand_travel_mm,hand_force_n,")
    done = run("sheet", TRACTOR, "--readings", "r.csv", "--units", "inch", folder=tmp_path)
    assert done.code == 0
    assert [p.name for p in tmp_path.iterdir()] == ["r.csv"]
    assert run("sheet", TRACTOR, "--readings", "r.csv", folder=tmp_path).code == 2


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--paper", "a5"), "--paper a5 is not known"),
        (("--spring", "coil"), "Did you mean coils?"),
        (("-o", "sheet.docx"), "must end in .pdf or .svg"),
        (("nowhere.toml",), "nowhere.toml"),
        ((TRACTOR, "--lever", "profile"), "the file has lever.kind"),
    ],
)
def test_what_cannot_be_done_is_said_and_nothing_is_written(
    words: tuple[str, ...], says: str, tmp_path: Path
) -> None:
    done = run("sheet", *words, folder=tmp_path)
    assert done.code == 2
    assert says in done.err
    assert not list(tmp_path.iterdir())
