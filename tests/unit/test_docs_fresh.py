"""The generated pages read as they should, and the documentation names what there is."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from documentation import CHECKOUT, build

from liftgeo.cli import COMMANDS
from liftgeo.mechanism.tables import TABLES

README = (CHECKOUT / "README.md").read_text(encoding="utf-8")
MOST_WORDS = 1200
DEVELOPERS = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "name",
    [
        "docs/keys.md",
        "docs/symptoms.md",
        "docs/write-up.md",
        pytest.param("docs/validation.md", marks=pytest.mark.slow),
    ],
)
def test_a_page_that_is_written_whole_is_fresh(name: str) -> None:
    written = (CHECKOUT / name).read_text(encoding="utf-8")
    assert written == build.WHOLE_PAGES[name](), "run python docs/build.py"


def test_the_page_of_keys_names_every_key() -> None:
    page = build.keys_page()
    for table, kinds in TABLES.items():
        for model in kinds.values():
            section = page.split(f"## [{table}]")[1].split("\n## ")[0]
            for name in set(model.model_fields) - {"kind"}:
                assert re.search(rf"`{name}(\.\w+)?`", section), f"{table}.{name}"


def test_check_fails_on_a_stale_page_and_passes_on_a_fresh_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "page.md"
    monkeypatch.setattr(build, "CHECKOUT", tmp_path)
    monkeypatch.setattr(build, "WHOLE_PAGES", {"page.md": lambda: "as it should read\n"})
    monkeypatch.setattr(build, "MEASURED_PAGES", {})
    assert build.main(["--check"]) == 1
    assert not page.exists()
    page.write_text("as it read once\n", encoding="utf-8")
    assert build.main(["--check"]) == 1
    assert "Stale: page.md" in capsys.readouterr().err
    assert build.main([]) == 0
    assert page.read_text(encoding="utf-8") == "as it should read\n"
    assert build.main(["--check"]) == 0


def test_a_measured_page_must_be_there_and_say_when_and_with_what(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    made = "# How fast\n\nGenerated on 2026-01-31 with liftgeo 0.1.0, Python 3.12.1, numpy 2.1.0.\n"
    monkeypatch.setattr(build, "CHECKOUT", tmp_path)
    monkeypatch.setattr(build, "WHOLE_PAGES", {})
    monkeypatch.setattr(build, "MEASURED_PAGES", {"page.md": lambda: made})
    assert build.main(["--check"]) == 1
    (tmp_path / "page.md").write_text("# How fast\n\nVery.\n", encoding="utf-8")
    assert build.main(["--check"]) == 1
    assert "Not made: page.md" in capsys.readouterr().err
    assert build.main(["--performance"]) == 0
    assert build.main(["--check"]) == 0


def test_the_page_of_timings_is_there() -> None:
    assert build.unmade() == []


def test_an_unknown_word_is_refused_by_the_builder() -> None:
    done = subprocess.run(
        [sys.executable, str(CHECKOUT / "docs" / "build.py"), "--chek"],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 2
    assert "--check" in done.stdout


def test_the_readme_begins_with_the_job() -> None:
    lines = README.splitlines()
    assert lines[0] == "# liftgeo"
    assert lines[2].startswith("You rebuild a machine whose clutch is worked by hand")


def words_beside_the_blocks(page: str) -> int:
    """Return how many words stand on a page outside its fenced blocks."""
    return len(build.FENCE.sub("", page).split())


def test_the_readme_is_read_in_one_evening() -> None:
    assert words_beside_the_blocks(README) <= MOST_WORDS
    assert words_beside_the_blocks("one two\n```sh\nthree\n```\nfour\n") == 3


def test_the_readme_goes_in_the_order_of_a_first_evening() -> None:
    heads = re.findall(r"^## (.+)$", build.FENCE.sub("", README), re.MULTILINE)
    evening = ["See it work", "Ten numbers", "The verdict", "The drawing", "One change"]
    assert [head for head in heads if head != "Before you start"] == [
        *evening,
        "The write-up",
        "The commands",
        "More",
    ]


def test_the_index_names_every_page_of_the_documentation() -> None:
    index = (CHECKOUT / "docs" / "index.md").read_text(encoding="utf-8")
    pages = {path.name for path in (CHECKOUT / "docs").glob("*.md")} - {"index.md"}
    assert pages <= set(LINK.findall(index)), pages - set(LINK.findall(index))


def test_the_worked_write_up_says_that_it_is_invented() -> None:
    head = (CHECKOUT / "docs" / "write-up.md").read_text(encoding="utf-8")[:400]
    assert "invented" in head
    assert "](write-up-" not in head


def test_the_cautions_stand_once_in_the_readme_in_full() -> None:
    """The page of `liftgeo stroke` shown there has them in two lines; the list is the long text."""
    assert README.count("asbestos") <= 2
    assert README.count("**Springs.**") == 1


def test_ci_calls_the_test_command_of_the_readme() -> None:
    command = re.search(r"^python3 -m venv .*pytest .*$", README, re.MULTILINE)
    assert command is not None
    assert command[0] in (CHECKOUT / ".ci" / "run").read_text(encoding="utf-8").splitlines()


def test_the_readme_names_every_command_and_no_other() -> None:
    assert set(re.findall(r"^\| `liftgeo (\w+)", README, re.MULTILINE)) == set(COMMANDS)


def test_the_readme_gives_the_cautions() -> None:
    for word in (
        "Springs.",
        "asbestos",
        "Fingers.",
        "a wheel in the air has no load",
        "Local codes",
    ):
        assert word in README


def test_the_developers_page_knows_every_room() -> None:
    here = CHECKOUT / "liftgeo"
    rooms = {path.name for path in here.glob("*.py")} - {"__init__.py", "__main__.py"}
    rooms |= {f"{path.parent.name}/" for path in here.glob("*/__init__.py")}
    named = set(re.findall(r"`([\w/.]+)`", DEVELOPERS.split("## Where")[1].split("Three kinds")[0]))
    assert rooms <= named, rooms - named


LINK = re.compile(r"\]\(([^)#:]+)\)")


@pytest.mark.parametrize("path", build.pages(), ids=lambda path: path.name)
def test_every_link_of_a_page_leads_somewhere(path: Path) -> None:
    broken = [
        link
        for link in LINK.findall(path.read_text(encoding="utf-8"))
        if not (path.parent / link).exists()
    ]
    assert broken == []


def test_the_page_of_keys_says_true_or_false_of_what_is_true_or_false_alone() -> None:
    rows = [line.split(" | ") for line in build.keys_page().splitlines() if line.startswith("| `")]
    takes = [(row[0].strip("| `"), row[1], row[2]) for row in rows]
    assert all(what.startswith("true") for _, what, said in takes if said == "true or false")
    readings = {said for name, _, said in takes if name == "readings"}
    assert readings == {"list of pairs, N and mm", "text"}
