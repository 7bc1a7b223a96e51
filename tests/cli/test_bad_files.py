"""The corpus of broken files in tests/cli/bad/: each says in its head what must be said of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from command_line import run

from liftgeo.plain_text import printable

BAD = Path(__file__).with_name("bad")
FILES = sorted(BAD.glob("*.toml"))
FEWEST = 150


@dataclass(frozen=True)
class Wanted:
    """The key that must be named, and the hint that must stand with it."""

    key: str
    hint: str


@cache
def wanted_of(path: Path) -> Wanted:
    """Return what the head of a broken file asks for."""
    head = path.read_text(encoding="utf-8").split("\n")[:3]
    assert head[0].startswith("# Broken on purpose (invented)")
    return Wanted(head[1].removeprefix("# key: "), head[2].removeprefix("# hint: "))


def block_of(said: str, key: str) -> str:
    """Return the blocks of an answer that name a key, each on one line."""
    blocks = [block for block in said.split("\n\n") if key in block.split("\n")[0]]
    return "\n".join(re.sub(r"\s+", " ", block) for block in blocks)


def test_there_are_enough_of_them_and_each_breaks_something_of_its_own() -> None:
    assert len(FILES) >= FEWEST
    texts = {path.read_text(encoding="utf-8").split("\n", 3)[3] for path in FILES}
    assert len(texts) == len(FILES)


@pytest.mark.parametrize("command", ["check", "stroke"])
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_broken_file_is_refused_with_its_key_and_what_would_be_right(
    path: Path, command: str
) -> None:
    done, wanted = run(command, path), wanted_of(path)
    assert (done.code, done.out) == (2, ""), done
    assert "Traceback" not in done.err
    assert wanted.hint in block_of(done.err, wanted.key), done.err
    assert printable(done.err) == done.err
    assert len(done.err) < 20_000
