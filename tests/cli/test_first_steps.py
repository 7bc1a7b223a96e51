"""`liftgeo` alone says what to do first; every option says what it takes."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from command_line import run, too_wide
from typer.main import get_command

from liftgeo.cli import COMMANDS, WHEN
from liftgeo.cli.app import command_line
from liftgeo.words.start_page import FIRST


def test_alone_it_says_what_to_do_first_and_that_nothing_was_asked() -> None:
    done = run()
    assert (done.code, done.out) == (2, "")
    after = done.err.split("First:\n")[1].splitlines()[:3]
    assert [line.split("  ")[2] for line in after] == [f"{n}. {c}" for n, (c, _) in zip(
        (1, 2, 3), FIRST, strict=True
    )]  # fmt: skip
    assert too_wide(done.err) == []


def test_the_help_says_the_same_on_standard_output() -> None:
    done = run("--help")
    assert (done.code, done.err) == (0, "")
    assert done.out.rstrip() == run().err.rstrip()


def test_every_command_stands_once_under_when_one_needs_it() -> None:
    said = run("--help").out
    assert re.findall(r"^  ([a-z]+)  ", said.split("Options:")[1], re.MULTILINE) == list(COMMANDS)
    assert re.findall(r"^([A-Z][\w ]+):$", said, re.MULTILINE) == ["Options", *WHEN]


def test_the_first_steps_are_commands_that_run(tmp_path: Path) -> None:
    for command, _ in FIRST:
        done = run(*command.split()[1:], folder=tmp_path)
        said = done.out + done.err
        assert done.code == 0 or "[lever]" in said or "lever." in said, said


# --- the help of every option ---


def options() -> list[tuple[str, Any]]:
    """Return every option of every command that takes a value, with its command."""
    commands: dict[str, Any] = get_command(command_line()).commands  # type: ignore[attr-defined]
    return [
        (name, option)
        for name, command in commands.items()
        for option in command.params
        if option.param_type_name == "option" and not option.is_flag
    ]


def wanting(option: Any) -> list[str]:
    """Return what the help of an option does not tell."""
    said, choices = option.help, "|" in option.metavar
    gaps = []
    if not choices and not re.search(r"\bas in \S+", said):
        gaps.append("an example")
    if option.metavar in {"N", "NUMBER", "VALUE", "FLOAT", "INTEGER", "TEXT"}:
        gaps.append("what its number counts")
    if (
        option.default is None
        and not option.required
        and not re.search(r"Left out: |Needed ", said)
    ):
        gaps.append("what holds where it is left out")
    return gaps


@pytest.mark.parametrize(("command", "option"), options(), ids=lambda each: str(each)[:40])
def test_every_option_tells_example_unit_and_default(command: str, option: Any) -> None:
    assert wanting(option) == [], f"liftgeo {command} {option.opts[0]}"


def test_a_default_is_printed_where_there_is_one() -> None:
    for command, option in options():
        if option.default is not None:
            page = "".join(run(command, "--help").out.split())
            assert f"[default:{option.default}]" in page, f"{command} {option.opts[0]}"


def test_the_rule_finds_what_an_option_does_not_tell() -> None:
    class Bare:
        metavar, help, default, required = "N", "Rows.", None, False

    assert len(wanting(Bare)) == 3


def test_quantities_name_their_unit() -> None:
    """What carries a unit says which a bare number is in."""
    for command, option in options():
        if option.metavar in {"LENGTH", "W,H", "TRAVEL", "KEY=LOW..HIGH", "KEY=SIZE",
                              "NAME>=NUMBER"}:  # fmt: skip
            assert re.search(r"\b(mm|unit)\b", option.help), f"{command} {option.opts[0]}"


def test_the_list_of_commands_gives_each_one_line() -> None:
    page = run("--help").out.split(f"{next(iter(WHEN))}:")[1]
    rows = [line for line in page.splitlines() if line.startswith("  ")]
    assert len(rows) == len(COMMANDS)
