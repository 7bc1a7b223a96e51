"""Size and time: what is endless, huge or nested is refused within two seconds and 500 MB.

The two seconds are processor time, and include the start of the program, so that a busy machine
changes nothing.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from child import costed
from command_line import TRACTOR, run, too_wide

from liftgeo.parts.triangle import Triangle

MOST_S, MOST_MB = 2.0, 500.0
TEXT = TRACTOR.read_text(encoding="utf-8")


def text(content: str) -> Callable[[Path], None]:
    return lambda path: path.write_text(content, encoding="utf-8") and None


def swapped(new: str) -> Callable[[Path], None]:
    return text(TEXT.replace("nipple_radius = 26.0", f"nipple_radius = {new}"))


def of_50_mb(path: Path) -> None:
    path.touch()
    os.truncate(path, 50_000_000)


HUGE = {
    "a pipe": (lambda path: os.mkfifo(path), "is a pipe"),
    "a device": (lambda path: path.symlink_to("/dev/zero"), "is a device"),
    "a whole number of 5,000 digits": (swapped("9" * 5000), "5000 digits"),
    "a hexadecimal of 100,000 digits": (swapped("0x" + "F" * 100_000), "not a finite number"),
    "5,000 brackets": (text(TEXT + "\nx = " + "[" * 5000 + "]" * 5000), "too deeply"),
    "5,000 tables in each other": (text(f"{TEXT}\n[{'a.' * 5000}b]\n"), "too deeply"),
    "200,000 tables in each other": (text(f"{TEXT}\n[{'a.' * 200_000}b]\n"), "too deeply"),
    "dots and blanks": (text(f"{TEXT}\nx = {{{'a . ' * 100_000}b = 1}}\n"), "too deeply"),
    "60,000 keys": (text("\n".join(f"k{n} = 1" for n in range(60_000))), "some hundred"),
    "9,000 keys of one table": (
        text(TEXT.replace("[lever]", "[lever]\n" + "\n".join(f"k{n} = 1" for n in range(9000)))),
        "some hundred",
    ),
    "40,000 tables": (text("\n".join(f"[a.a{n}.b.c]" for n in range(40_000))), "40000 tables"),
    "300,000 readings": (text(f"{TEXT}\n[bearing]\nx = [{'1,' * 300_000}1]"), "some hundred"),
    "80,000 lines that are none": (text("x y z\n" * 80_000), "Not a TOML file"),
    "one line of 900,000 quotes": (text('"' * 900_000), "Not a TOML file"),
    "50 MB": (of_50_mb, "50 MB"),
}


@pytest.mark.parametrize(("make", "says"), HUGE.values(), ids=HUGE.keys())
def test_what_is_huge_is_refused_soon_and_small(
    make: Callable[[Path], None], says: str, tmp_path: Path
) -> None:
    path = tmp_path / "clutch.toml"
    make(path)
    done = costed("stroke", path, note=tmp_path / "cost")
    assert (done.code, done.out) == (2, b""), done
    assert says in done.err
    assert "Traceback" not in done.err
    assert done.processor_s < MOST_S
    assert done.memory_mb < MOST_MB


def test_an_endless_standard_input_is_refused(tmp_path: Path) -> None:
    with open("/dev/zero", "rb") as endless:
        done = costed("stroke", "-", note=tmp_path / "cost", stdin=endless)
    assert (done.code, done.out) == (2, b"")
    assert "over 1 MB" in done.err
    assert done.processor_s < MOST_S


@pytest.mark.parametrize("count", ["1000000000", "9" * 30, "-5"])
@pytest.mark.parametrize("command", ["stroke", "compare"])
def test_positions_beyond_count_are_refused(count: str, command: str) -> None:
    done = run(command, TRACTOR, "--positions", count)
    assert (done.code, done.out) == (2, "")
    assert "at most 100000" in done.err or "at least 100" in done.err


def test_a_title_of_200_000_letters_is_cut_wherever_it_is_shown(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text(TEXT.replace('title = "', 'title = "' + "long " * 40_000), encoding="utf-8")
    done = costed("stroke", path, "--figure", tmp_path / "page.svg", note=tmp_path / "cost")
    assert done.code == 0, done.err
    assert done.processor_s < 15.0
    assert len(done.out) < 10_000
    for command in ("wear", "compare", "check"):
        assert len(run(command, path).out) < 20_000
    assert len(run("formula", path, "--for", "capacity", "--markdown").out) < 20_000


# --- a pull longer than the cable ---


def test_an_arm_pulled_past_its_own_length_stays_at_its_dead_centre() -> None:
    arm = Triangle(38.0, 95.0, 90.0, 0.0, -1)
    here = arm.at_pull(np.array([33.0, 60.0, 90.0, 200.0, 1e6]))
    assert np.all(here.rotation_rad == arm.last_rotation_rad)
    assert np.all(here.moment_arm_mm == 0.0)


def test_no_line_of_the_budget_is_longer_than_its_bar(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text(
        TEXT.replace("hand_travel   = 39.0", "hand_travel = 150.0").replace(
            "nipple_radius = 26.0", "nipple_radius = 38.0"
        ),
        encoding="utf-8",
    )
    done = run("stroke", path)
    assert done.code == 0, done.err
    assert too_wide(done.out) == []
