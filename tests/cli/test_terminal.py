"""Nothing that stands in a file, or in its name, steers a terminal or hides in a figure."""

from __future__ import annotations

import os
import pty
import select
import subprocess
from pathlib import Path

import pytest
from child import surroundings, words_of
from command_line import TRACTOR, edited, run

from liftgeo.plain_text import in_markdown, latin, one_line, printable

ESC, CSI, BELL, TURN = "\x1b", "\x9b", "\x07", "\u202e"
HOSTILE = f"{ESC}]0;owned{BELL}{CSI}31m{ESC}[2J\n# {TURN}evil\u200b"
IN_TOML = HOSTILE.encode("unicode_escape").decode().replace("\\x", "\\u00")
CONTROLS = {chr(n) for n in (*range(32), *range(127, 160)) if chr(n) != "\n"}
CONTROLS |= {TURN, "\u200b"}

COMMANDS = {
    "stroke": (),
    "stroke json": ("--json",),
    "compare": (),
    "compare json": ("--json",),
    "wear": (),
    "check": (),
    "check json": ("--json",),
    "draw": (),
    "draw json": ("--json",),
    "formula": ("--for", "capacity"),
    "formula markdown": ("--for", "capacity", "--markdown"),
    "formula latex": ("--for", "capacity", "--latex"),
    "size": ("--vary", "arm.radius=32..44", "--step", "arm.radius=4"),
}


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """Return a file whose title, note, name of a change and own name are hostile."""
    path = tmp_path / f"clutch {ESC}[31m{TURN}.toml"
    edited(path, [('title = "', f'title = "{IN_TOML}')])
    change = f'\n[changes."{IN_TOML}"]\nnote = "{IN_TOML}"\ncable.free_play = 1.0\n'
    path.write_text(path.read_text(encoding="utf-8") + change, encoding="utf-8")
    return path


@pytest.mark.parametrize("name", COMMANDS)
def test_no_control_character_is_printed(name: str, hostile: Path) -> None:
    done = run(name.split()[0], hostile, *COMMANDS[name])
    assert done.code == 0, done.err
    assert CONTROLS.isdisjoint(done.out + done.err)
    if "json" in name and "title" in done.data:
        assert done.data["title"].startswith(HOSTILE)


@pytest.mark.parametrize(
    ("command", "ending"),
    [
        ("stroke", ".svg"),
        ("stroke", ".pdf"),
        ("stroke", ".png"),
        ("wear", ".svg"),
        ("draw", ".svg"),
        ("compare", ".svg"),
    ],
)
def test_no_control_character_is_in_a_figure(command: str, ending: str, hostile: Path) -> None:
    path = hostile.with_name(f"page{ending}")
    done = run(command, hostile, "--figure", path)
    assert done.code == 0, done.err
    data = path.read_bytes()
    assert b"owned" not in data or ending == ".svg"
    assert b"\x1b]0" not in data
    if ending == ".svg":
        assert CONTROLS.isdisjoint(data.decode("utf-8"))


@pytest.mark.parametrize(
    "words",
    [
        (f"stroke{ESC}[31m",),
        ("stroke", f"none{ESC}[31m.toml"),
        ("stroke", TRACTOR, f"--{ESC}[31m"),
        ("stroke", TRACTOR, "--change", HOSTILE),
        ("stroke", TRACTOR, "--units", HOSTILE),
        ("stroke", TRACTOR, "--csv", f"none/{HOSTILE}"),
        ("stroke", TRACTOR, "--figure", HOSTILE),
        ("stroke", TRACTOR, "--figure-only", HOSTILE),
        ("size", TRACTOR, "--vary", HOSTILE),
        ("size", TRACTOR, "--vary", "arm.radius=30..40", "--want", HOSTILE),
        ("size", TRACTOR, "--vary", "arm.radius=30..40", "--step", HOSTILE),
        ("size", TRACTOR, "--vary", "arm.radius=30..40", "--save", HOSTILE),
        ("compare", TRACTOR, HOSTILE),
        ("formula", TRACTOR, "--for", HOSTILE),
        ("new", "x", "--release", HOSTILE),
    ],
)
def test_no_word_of_a_command_comes_back_as_a_control(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    done = run(*words, folder=tmp_path)
    assert (done.code, done.out) == (2, "")
    assert CONTROLS.isdisjoint(done.err)
    assert list(tmp_path.iterdir()) == []


def test_a_starter_of_a_strange_name_says_only_what_prints(tmp_path: Path) -> None:
    done = run("new", f"my {ESC}[31mclutch", folder=tmp_path)
    assert done.code == 0
    (path,) = tmp_path.iterdir()
    assert CONTROLS.isdisjoint(path.read_text(encoding="utf-8") + done.err)


def on_a_terminal(*words: str | Path, **more: str) -> bytes:
    """Return what a command prints on a terminal of its own, both streams together."""
    ours, theirs = pty.openpty()
    place = surroundings(**more)
    with subprocess.Popen(words_of(*words), stdout=theirs, stderr=theirs, env=place) as child:
        os.close(theirs)
        shown = b""
        while select.select([ours], [], [], 60.0)[0]:
            try:
                piece = os.read(ours, 4096)
            except OSError:  # the terminal closes with the last writer
                break
            if not piece:
                break
            shown += piece
    os.close(ours)
    assert child.returncode == 0, shown
    return shown


def test_a_terminal_gets_the_headline_bold_and_no_other_control(hostile: Path) -> None:
    shown = on_a_terminal("stroke", hostile, TERM="xterm", NO_COLOR="")
    assert b"\x1b[1mDRAGS" in shown
    rest = shown.replace(b"\x1b[1m", b"").replace(b"\x1b[0m", b"").replace(b"\r\n", b"\n")
    assert CONTROLS.isdisjoint(rest.decode("utf-8"))


@pytest.mark.parametrize("more", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_a_terminal_that_wants_no_styles_gets_none(more: dict[str, str]) -> None:
    for words in (("stroke", TRACTOR), ("--help",), ("stroke", "--help")):
        assert b"\x1b" not in on_a_terminal(*words, **({"TERM": "xterm"} | more))


# --- the one function ---


def test_what_prints_stays_and_what_does_not_becomes_a_mark() -> None:
    assert printable("26.0 ± 0.2 mm, 14°\nzwölf · 日本 ½") == "26.0 ± 0.2 mm, 14°\nzwölf · 日本 ½"
    assert printable(f"a{ESC}[1m{CSI}{TURN}b\tc\r") == "a?[1m??b?c?"
    assert one_line("  two\n\nlines\t of  it ") == "two lines of it"
    assert len(one_line("x" * 200_000)) == 300
    assert one_line("x" * 200_000).endswith("...")
    assert in_markdown("# <b>[a](b)*_`|") == r"\# \<b\>\[a\]\(b\)\*\_\`\|"
    assert latin(" Nipplе  Radius ") == "nipple_radius"
