"""Lines of a page: a command to paste is never broken, and nothing else is wider than the page."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from liftgeo.words.lines import wrapped

COMMAND = "`liftgeo stroke my-clutch.toml --change shorter-arm --change better-cable`"


@given(st.integers(0, 90))
def test_a_command_stands_on_one_line_wherever_it_comes(before: int) -> None:
    lines = wrapped("x" * (before % 7) + " word" * (before // 7) + f" {COMMAND}. More follows.")
    assert sum(COMMAND in line for line in lines) == 1
    assert all(len(line) <= 80 for line in lines)


def test_a_command_wider_than_the_page_has_a_line_of_its_own() -> None:
    long = COMMAND.replace("my-clutch", "in/a/folder/" * 6 + "my-clutch")
    assert wrapped(f"Next: {long}. It says more.") == ["Next:", f"{long}.", "It says more."]


@given(st.text(st.sampled_from("ab -0\u00e9"), max_size=400))
def test_nothing_else_is_wider_than_the_page(text: str) -> None:
    lines = wrapped(text)
    assert all(len(line) <= 80 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
