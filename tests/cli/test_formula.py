"""`liftgeo formula`: the working as text, Markdown, LaTeX and JSON."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import TRACTOR, run

import liftgeo
from liftgeo import formulas
from liftgeo.cli.options import BUILT_IN
from liftgeo.geometry_file import example_path


def hand_force_n(*changes: str) -> float:
    return liftgeo.stroke(liftgeo.load(TRACTOR).changed(*changes)).full_lever.hand_force_n


def test_it_prints_the_working_and_nothing_else() -> None:
    done = run("formula", TRACTOR)
    assert (done.code, done.err) == (0, "")
    printed = re.search(r"^  F_h = .*\n +=.*\n +?= ([\d.]+) N$", done.out, re.MULTILINE)
    assert printed
    assert float(printed[1]) == pytest.approx(hand_force_n(), abs=0.0005)
    assert "Mechanical advantage, two ways" in done.out
    assert "Torque capacity" in done.out


def test_a_change_is_laid_over_the_file() -> None:
    done = run("formula", TRACTOR, "--change", "longer-arm", "--for", "effort", "--json")
    lines = [x for s in done.data["sections"] for x in s["lines"]]
    force = next(x for x in lines if x.get("result") == "full_lever.hand_force_n")
    assert done.data["change"] == "longer-arm"
    assert force["value"] == pytest.approx(hand_force_n("longer-arm"), rel=1e-12)
    assert force["value"] != pytest.approx(hand_force_n(), rel=1e-3)


@pytest.mark.parametrize("subject", formulas.SUBJECTS)
def test_each_subject_prints_less_than_everything(subject: str) -> None:
    whole, part = run("formula", TRACTOR), run("formula", TRACTOR, "--for", subject)
    assert part.code == 0
    assert 500 < len(part.out) < len(whole.out)


def test_the_subjects_offered_are_those_there_are() -> None:
    assert "|".join(formulas.SUBJECTS) in run("formula", "--help").out.replace("\n", "")


def test_latex_and_markdown_are_what_they_say() -> None:
    latex = run("formula", TRACTOR, "--for", "capacity", "--latex")
    assert latex.out.startswith(r"\documentclass")
    assert latex.out.rstrip().endswith(r"\end{document}")
    markdown = run("formula", TRACTOR, "--for", "capacity", "--markdown")
    assert markdown.out.startswith("# The working")
    assert r"\frac{" in markdown.out


def test_csv_is_written_beside_the_text_and_never_over_a_file(tmp_path: Path) -> None:
    path = tmp_path / "working.csv"
    done = run("formula", TRACTOR, "--for", "capacity", "--csv", path)
    assert (done.code, done.err) == (0, f"Written: {path}\n")
    assert path.read_text(encoding="utf-8").startswith("symbol,meaning,value,unit\n")
    again = run("formula", TRACTOR, "--for", "capacity", "--csv", path)
    assert (again.code, again.out) == (2, "")
    assert run("formula", TRACTOR, "--for", "capacity", "--csv", path, "--force").code == 0


def test_every_form_carries_the_caution() -> None:
    for form in ((), ("--latex",), ("--markdown",), ("--json",)):
        printed = " ".join(run("formula", TRACTOR, "--for", "capacity", *form).out.split())
        assert "local codes, licensed practice first." in printed


def test_two_ways_of_printing_are_one_too_many() -> None:
    done = run("formula", TRACTOR, "--latex", "--json")
    assert (done.code, done.out) == (2, "")
    assert "Choose one of --latex, --markdown and --json." in done.err


def test_a_subject_that_is_not_known_names_the_nearest() -> None:
    done = run("formula", TRACTOR, "--for", "efort")
    assert (done.code, done.out) == (2, "")
    assert "Did you mean effort?" in done.err


def test_a_file_that_is_not_there_is_said_so(tmp_path: Path) -> None:
    done = run("formula", tmp_path / "none.toml")
    assert (done.code, done.out) == (2, "")
    assert "none.toml" in done.err


def test_without_a_file_it_works_the_example_and_says_so() -> None:
    done = run("formula", "--for", "capacity")
    assert done.code == 0
    assert "built-in example" in done.err
    assert done.out == run("formula", example_path(BUILT_IN), "--for", "capacity").out
