"""Whole command lines drawn at random: an answer, or what is wrong and how to put it right.

Whatever is typed, and whatever stands in the file: an exit code that means something, no traceback,
nothing on standard output beside a refusal, no control character, no file harmed. The test command
draws a few of each; `-m slow` draws 10,000.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest
from command_line import TRACTOR, Done, run
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from liftgeo.cli import COMMANDS
from liftgeo.mechanism.tables import TABLES
from liftgeo.plain_text import printable

FEW, MANY = 120, 10_000

KEYS = sorted(
    {f"{t}.{n}" for t, kinds in TABLES.items() for m in kinds.values() for n in m.model_fields}
)
FILES = ["clutch.toml", "clutch.toml", "clutch.toml", "broken.toml", "none.toml", ".", "-", "x\0y"]
CHANGES = ["longer-arm", "less-play", "longer-arm+less-play", "none", "", "a\x1b[31m", "+"]
VALUES = ["0", "-1", "1e400", "nan", "26 ± 1", "1/0", "10..20", "20..10", "1..2 in", "..", "=", "x"]
WORDS = [
    "--json", "--force", "--check-targets", "--together", "--sensitivity", "--readjusted",
    "--latex", "--markdown", "--help", "--version", "--", "-x", "--none", "\x1b[31m", "", "é",
]  # fmt: skip
OPTIONS = {
    "--change": CHANGES,
    "--units": ["metric", "inch", "furlong"],
    "--positions": ["100", "121", "99", "1000000000", "-1", "x"],
    "--csv": ["table.csv", "clutch.toml", "-", ".", "none/t.csv", "read-only.csv", "n" * 300],
    "--figure-only": ["effort", "pie"],
    "--output": ["schema.json", "clutch.toml", "-"],
    "--for": ["capacity", "clearance", "luck"],
    "--against": FILES,
    "--release": ["ball-ramp", "crank", "wedge"],
    "--spring": ["coils", "none"],
    "--lever": ["drum", "\x1b"],
    "--least": ["hand_force", "luck"],
    "--most": ["clearance", "luck"],
}

either = st.sampled_from
ENDING = [name for name in COMMANDS if name != "live"]  # a page's server ends when it is told to
pair = either(sorted(OPTIONS)).flatmap(lambda o: either(OPTIONS[o]).map(lambda v: [o, v]))
varied = st.tuples(either(KEYS), either(VALUES)).map(lambda kv: ["--vary", "=".join(kv)])
stepped = st.tuples(either(KEYS), either(VALUES)).map(lambda kv: ["--step", "=".join(kv)])
wanted = st.tuples(either(["clearance", "slip_margin", "x"]), either([">=", "<=", "=", "><"]),
                   either(VALUES)).map(lambda t: ["--want", "".join(t)])  # fmt: skip
piece = st.one_of(pair, pair, varied, stepped, wanted, either(WORDS).map(lambda w: [w]))


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    """Return the words of a command: sensible for the most part, then anything."""
    command = draw(either([*ENDING, *ENDING, "strokes", "", "\x1b"]))
    words = [command]
    if draw(st.booleans()) or command == "compare":
        words.append(draw(either(FILES)))
    for more in draw(st.lists(piece, max_size=4)):
        words += more
    if draw(st.integers(0, 9)) == 0:
        words.append(draw(st.text(st.characters(codec="utf-8"), max_size=8)))
    return words


def outcome_of(words: list[str]) -> tuple[Done, dict[str, bytes]]:
    """Run a command in a folder with three files, and return what it said and left of them."""
    with tempfile.TemporaryDirectory() as name:
        here = Path(name)
        (here / "clutch.toml").write_bytes(TRACTOR.read_bytes())
        (here / "broken.toml").write_bytes(TRACTOR.read_bytes().replace(b"26.0", b"26,0"))
        (here / "read-only.csv").write_bytes(b"mine")
        (here / "read-only.csv").chmod(0o444)
        done = run(*words, folder=here, stdin=TRACTOR.read_bytes())
        left = {p.name: p.read_bytes() for p in here.iterdir() if p.is_file()}
    return done, left


def check(words: list[str]) -> Done:
    """Run a command, and assert all that holds of every one of them."""
    done, left = outcome_of(words)
    assert done.code in (0, 1, 2), done
    assert "Traceback" not in done.err
    assert printable(done.out + done.err) == done.out + done.err
    if done.code == 2:
        assert done.err.strip()
        assert done.out == ""
        assert set(left) <= {"clutch.toml", "broken.toml", "read-only.csv"}
    assert left["clutch.toml"] == TRACTOR.read_bytes()
    assert left["read-only.csv"] == b"mine"
    assert not any(name.startswith(".liftgeo") for name in left)
    if done.code == 0 and "--json" in words and done.out.startswith("{"):
        json.loads(done.out)
    return done


bounded = settings(max_examples=FEW, suppress_health_check=[HealthCheck.too_slow])


@bounded
@given(command_lines())
def test_any_command_line_is_answered_or_refused(words: list[str]) -> None:
    assert check(words) is not None


@pytest.mark.slow
@settings(bounded, max_examples=MANY)
@given(command_lines())
def test_ten_thousand_command_lines_are_answered_or_refused(words: list[str]) -> None:
    assert check(words) is not None
