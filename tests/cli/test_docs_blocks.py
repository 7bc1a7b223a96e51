"""Console and Python blocks of README and docs say what is really printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from documentation import build

PAGES = [path for path in build.pages() if build.blocks_of(path.read_text(encoding="utf-8"))]


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_the_answers_on_a_page_are_what_is_printed(path: Path) -> None:
    for answer in build.answers(path.read_text(encoding="utf-8")):
        place = f"{path.name}, line {answer.block.line}: run python docs/build.py"
        if not answer.fresh:
            assert answer.block.text == answer.found, place
        assert answer.fresh, place


def test_blocks_are_run_where_they_should_be() -> None:
    languages = {
        path.name: {block.language for block in build.blocks_of(path.read_text(encoding="utf-8"))}
        for path in PAGES
    }
    assert "console" in languages["README.md"]
    assert {"python", "text"} <= languages["python.md"]


def test_a_wrong_answer_is_found_and_put_right() -> None:
    page = "```console\n$ liftgeo --version\nliftgeo 99\n```\n\n```python\nprint(1 + 1)\n```\n"
    page += "\n```text\n3\n```\n"
    assert [answer.fresh for answer in build.answers(page)] == [False, False]
    fresh = build.refreshed(page)
    assert "liftgeo 99" not in fresh
    assert "```text\n2\n```" in fresh
    assert [answer.fresh for answer in build.answers(fresh)] == [True, True]


@pytest.mark.parametrize(
    ("written", "found", "agrees"),
    [
        ("a\nb\n", "a\nb\n", True),
        ("a\n...\nd\n", "a\nb\nc\nd\n", True),
        ("a\n...\nd\n", "a\nd\n", True),
        ("a\n...\nd\n", "a\nb\nc\n", False),
        ("...\nb\n", "a\nb\n", True),
        ("a\n", "a\nb\n", False),
        ("a.b\n", "axb\n", False),
    ],
)
def test_three_dots_stand_for_any_lines(written: str, found: str, agrees: bool) -> None:
    assert build.agrees(written, found) is agrees


def test_nothing_but_liftgeo_is_run() -> None:
    with pytest.raises(ValueError, match="Only liftgeo is run"):
        build.run_console("$ rm -r geometries\n")
