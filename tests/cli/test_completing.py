"""The shell completes commands, options, kinds, keys and the changes of a file."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path
from unittest import mock

import pytest
from child import surroundings, words_of
from clutches import BASE_TEXT
from command_line import run
from typer.main import get_command

from liftgeo.cli import COMMANDS
from liftgeo.cli.app import command_line
from liftgeo.formulas import SUBJECTS
from liftgeo.kinds import KINDS
from liftgeo.studies.symptoms import SYMPTOMS
from liftgeo.studies.wants import MEASURES


def offered(typed: str, folder: Path | None = None) -> list[str]:
    """Return what is offered at the end of a command line, as bash asks for it."""
    words = typed.split(" ")
    asking = {
        "_LIFTGEO_COMPLETE": "complete_bash",
        "COMP_WORDS": typed,
        "COMP_CWORD": str(len(words) - 1),
    }
    with mock.patch.dict(os.environ, asking):
        done = run(folder=folder)
    assert (done.code, done.err) == (0, "")
    return done.out.split()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    changes = '\n[changes.new-cable]\ncable.free_play = 1.0\n\n[changes.flat]\narm.radius = "2 %"\n'
    changes += '\n[changes."x; rm -r $HOME"]\ncable.free_play = 1.0\n'
    (tmp_path / "mine.toml").write_text(BASE_TEXT + changes, encoding="utf-8")
    (tmp_path / "broken.toml").write_text("[changes\n", encoding="utf-8")
    (tmp_path / "strange.toml").write_text("changes = 3\n", encoding="utf-8")
    return tmp_path


def test_commands_are_offered() -> None:
    assert set(offered("liftgeo ")) == set(COMMANDS)
    assert offered("liftgeo di") == ["diagnose"]


def test_options_are_offered() -> None:
    assert offered("liftgeo stroke --fig") == ["--figure", "--figure-only"]


@pytest.mark.parametrize("table", ["lever", "arm", "release", "spring"])
def test_kinds_are_offered(table: str) -> None:
    assert offered(f"liftgeo new mine --{table} ") == list(KINDS[table])


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("liftgeo stroke --figure-only ", ["effort", "lift", "advantage", "budget", "spring"]),
        ("liftgeo formula --for ", list(SUBJECTS)),
        ("liftgeo stroke --units ", ["metric", "inch"]),
        ("liftgeo diagnose --symptom ", list(SYMPTOMS)),
        ("liftgeo size mine.toml --least ", list(MEASURES)),
        ("liftgeo size mine.toml --vary cable.free_p", ["cable.free_play="]),
        ("liftgeo size mine.toml --vary cable.free_play=", []),
        ("liftgeo diagnose --fit cable.free_p", ["cable.free_play"]),
    ],
)
def test_names_are_offered(typed: str, names: list[str]) -> None:
    found = offered(typed)
    assert [name for name in found if name in names] == names
    assert names or not found


def test_a_choice_in_the_help_is_what_is_offered() -> None:
    """What an option's help sets apart by | is offered, all of it and nothing else."""
    commands = get_command(command_line()).commands  # type: ignore[attr-defined]
    seen = 0
    for name, command in commands.items():
        for option in command.params:
            if "|" in (option.metavar or ""):
                seen += 1
                assert offered(f"liftgeo {name} {option.opts[0]} ") == option.metavar.split("|")
    assert seen >= 20


def test_the_changes_of_a_file_are_offered(folder: Path) -> None:
    known = offered("liftgeo stroke mine.toml --change ", folder)
    assert known[-2:] == ["new-cable", "flat"]
    assert offered("liftgeo compare mine.toml new", folder) == ["new-cable"]
    assert offered("liftgeo compare mine.toml new-cable+fl", folder) == ["new-cable+flat"]
    assert "new-cable+new-cable" not in offered("liftgeo compare mine.toml new-cable+", folder)


def test_without_a_file_those_of_the_example_are_offered() -> None:
    assert "less-play" in offered("liftgeo stroke --change ")


@pytest.mark.parametrize("name", ["broken.toml", "strange.toml", "none.toml", ".", "-"])
def test_a_file_that_cannot_be_read_offers_none(name: str, folder: Path) -> None:
    assert offered(f"liftgeo stroke {name} --change ", folder) == []


@pytest.mark.parametrize(
    ("shell", "script", "typed"),
    [
        ("zsh", "compdef", {"_TYPER_COMPLETE_ARGS": "liftgeo dia"}),
        (
            "fish",
            "complete --command liftgeo",
            {"_TYPER_COMPLETE_ARGS": "liftgeo dia", "_TYPER_COMPLETE_FISH_ACTION": "get-args"},
        ),
    ],
)
def test_other_shells_have_a_script_and_are_answered(
    shell: str, script: str, typed: dict[str, str]
) -> None:
    with mock.patch.dict(os.environ, {"_LIFTGEO_COMPLETE": f"source_{shell}"}):
        given = run()
    assert script in given.out
    assert "_LIFTGEO_COMPLETE" in given.out
    with mock.patch.dict(os.environ, {"_LIFTGEO_COMPLETE": f"complete_{shell}", **typed}):
        answered = run()
    assert "diagnose" in answered.out
    assert "stroke" not in answered.out


def test_bash_itself_completes(tmp_path: Path) -> None:
    """The script of `--show-completion`, read into a real bash, completes a real command line."""
    program = tmp_path / "liftgeo"
    python, *words = words_of()
    quoted = " ".join(f"'{word}'" if "'" not in word else f'"{word}"' for word in words)
    program.write_text(f'#!/bin/sh\nexec "{python}" {quoted} "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    script = """
eval "$(_LIFTGEO_COMPLETE=source_bash liftgeo)"
COMP_WORDS=(liftgeo new mine --release qu) COMP_CWORD=4
$(complete -p liftgeo | sed 's/.*-F \\([^ ]*\\).*/\\1/') liftgeo
echo "${COMPREPLY[@]}"
"""
    done = subprocess.run(
        ["bash", "--norc", "-c", script],
        env=surroundings(PATH=f"{tmp_path}:{os.environ['PATH']}"),
        capture_output=True,
        text=True,
    )
    assert done.stderr == ""
    assert done.stdout.strip() == "quick-thread"
