"""What is written: never over an input, never two into one, whole, and with nothing lost."""

from __future__ import annotations

import os
import shutil
import stat
from pathlib import Path

import pytest
from child import start
from command_line import TRACTOR, run

import liftgeo

QUICK = ("--vary", "arm.radius=32..44", "--step", "arm.radius=4")


@pytest.fixture
def clutch(tmp_path: Path) -> Path:
    return Path(shutil.copy(TRACTOR, tmp_path / "clutch.toml"))


# Each command that writes, with the option that names what it writes.
WRITERS = {
    "stroke csv": ("stroke", "--csv"),
    "stroke figure": ("stroke", "--figure"),
    "compare csv": ("compare", "--csv"),
    "wear csv": ("wear", "--csv"),
    "formula csv": ("formula", "--for", "capacity", "--csv"),
    "size csv": ("size", *QUICK, "--csv"),
}
any_writer = pytest.mark.parametrize("writer", WRITERS.values(), ids=WRITERS.keys())


def written(writer: tuple[str, ...], clutch: Path, path: Path | str, *more: str):
    command, *words = writer
    return run(command, clutch, *words, path, *more, folder=clutch.parent)


@any_writer
@pytest.mark.parametrize("name", ["clutch.toml", "./clutch.toml", "link.svg", "other.svg"])
def test_the_geometry_file_is_never_written_over(
    writer: tuple[str, ...], name: str, clutch: Path
) -> None:
    """By its name, by another way there, by a link, or by its other name (a hard link)."""
    (clutch.parent / "link.svg").symlink_to(clutch)
    os.link(clutch, clutch.parent / "other.svg")
    before = clutch.read_bytes()
    done = written(writer, clutch, name, "--force")
    assert (done.code, done.out) == (2, "")
    assert "never written over" in done.err or "must end in" in done.err
    assert clutch.read_bytes() == before


def test_another_file_that_is_compared_is_never_written_over(clutch: Path) -> None:
    other = Path(shutil.copy(TRACTOR, clutch.with_name("other.toml")))
    done = run("compare", clutch, "--against", other, "--csv", other, "--force")
    assert (done.code, done.out) == (2, "")
    assert other.read_bytes() == TRACTOR.read_bytes()


@pytest.mark.parametrize("name", ["page.svg", "./page.svg"])
@pytest.mark.parametrize("there", [True, False])
def test_two_outputs_never_share_a_name(name: str, there: bool, clutch: Path) -> None:
    page = clutch.with_name("page.svg")
    if there:
        page.write_text("mine")
    words = ("--csv", name, "--figure", "page.svg", "--force")
    done = run("stroke", clutch, *words, folder=clutch.parent)
    assert (done.code, done.out) == (2, "")
    assert "--csv and --figure name the same file" in done.err
    assert page.exists() == there


@any_writer
@pytest.mark.parametrize("what", ["pipe", "device", "folder", "read-only"])
def test_only_a_file_is_written_over(writer: tuple[str, ...], what: str, clutch: Path) -> None:
    path = clutch.with_name("out.svg")
    if what == "pipe":
        os.mkfifo(path)
    elif what == "device":
        path.symlink_to("/dev/null")
    elif what == "folder":
        path.mkdir()
    else:
        path.write_text("mine")
        path.chmod(0o444)
    before = path.lstat()
    done = written(writer, clutch, path, "--force")
    assert (done.code, done.out) == (2, "")
    assert {"pipe": "is a pipe", "device": "is a device"}.get(what, f"is {'a ' * (what != 'read-only')}{what}") in done.err  # fmt: skip  # noqa: E501
    assert path.lstat() == before
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)


# --- standard output ---


@pytest.mark.parametrize("name", ["-", "/dev/stdout"])
@any_writer
def test_a_table_goes_to_standard_output_alone(
    writer: tuple[str, ...], name: str, clutch: Path
) -> None:
    done = written(writer, clutch, name)
    if "--figure" in writer:
        assert (done.code, done.out) == (2, "")
        assert ".png, .svg or .pdf" in done.err
        return
    path = clutch.with_name("table.csv")
    assert written(writer, clutch, path).code == 0
    assert done.code == 0, done.err
    assert done.out == path.read_text(encoding="utf-8")
    assert "Written" not in done.err


def test_schema_and_starter_go_to_standard_output_too(tmp_path: Path) -> None:
    assert run("schema", "--output", "-").out == run("schema").out
    starter = run("new", "-", folder=tmp_path)
    assert run("new", "my-clutch", folder=tmp_path).code == 0
    assert starter.out == (tmp_path / "my-clutch.toml").read_text(encoding="utf-8")


def test_json_and_a_table_do_not_both_go_to_standard_output() -> None:
    done = run("stroke", TRACTOR, "--json", "--csv", "-")
    assert (done.code, done.out) == (2, "")
    assert "Choose one" in done.err


# --- a change saved into the file ---


def saved(clutch: Path, name: str = "sized", *more: str):
    return run("size", clutch, *QUICK, "--save", name, *more)


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_saving_keeps_the_permissions(mode: int, clutch: Path) -> None:
    clutch.chmod(mode)
    assert saved(clutch).code == 0
    assert stat.S_IMODE(clutch.stat().st_mode) == mode
    assert "sized" in liftgeo.load(clutch).changes


def test_saving_keeps_hard_links_and_follows_others(clutch: Path) -> None:
    other, link = clutch.with_name("other.toml"), clutch.with_name("link.toml")
    os.link(clutch, other)
    link.symlink_to("clutch.toml")
    assert saved(link).code == 0
    assert link.is_symlink()
    assert clutch.stat().st_ino == other.stat().st_ino
    assert "sized" in liftgeo.load(other).changes
    assert sorted(p.name for p in clutch.parent.iterdir()) == [
        "clutch.toml",
        "link.toml",
        "other.toml",
    ]


def test_saving_into_a_read_only_file_is_refused_before_the_search(clutch: Path) -> None:
    clutch.chmod(0o444)
    done = saved(clutch)
    assert (done.code, done.out) == (2, "")
    assert "is read-only" in done.err
    assert clutch.read_bytes() == TRACTOR.read_bytes()


def test_a_file_keeps_the_mask_of_its_maker(clutch: Path) -> None:
    before = os.umask(0o027)
    try:
        assert run("stroke", clutch, "--csv", clutch.with_name("a.csv")).code == 0
    finally:
        os.umask(before)
    assert stat.S_IMODE(clutch.with_name("a.csv").stat().st_mode) == 0o640


AT_ONCE, EACH = 4, 3


def test_many_who_save_at_once_lose_nothing(clutch: Path) -> None:
    code = (
        "import sys\nfrom liftgeo.geometry_file import save_change\n"
        "sys.stdin.read()\n"
        f"for k in range({EACH}):\n"
        "    save_change(sys.argv[1], f'{sys.argv[2]}-{k}', {'cable.free_play': 1.0})\n"
        "sys.exit()\n"
    )
    children = [start(clutch, f"c{n}", before=code, stdin=-1) for n in range(AT_ONCE)]
    for child in children:
        assert child.stdin is not None
        child.stdin.close()
    said = []
    for child in children:
        child.stdin = None
        said.append(child.communicate(timeout=120)[1])
    assert said == [b""] * AT_ONCE
    wanted = {f"c{n}-{k}" for n in range(AT_ONCE) for k in range(EACH)}
    assert wanted <= liftgeo.load(clutch).changes.keys()
    assert [p.name for p in clutch.parent.iterdir()] == ["clutch.toml"]


def test_a_name_as_long_as_the_system_allows_is_written(clutch: Path) -> None:
    path = clutch.with_name("n" * 251 + ".csv")
    assert run("stroke", clutch, "--csv", path).code == 0
    assert path.read_text(encoding="utf-8").startswith("hand_travel_mm")
    longer = clutch.with_name("n" * 252 + ".csv")
    done = run("stroke", clutch, "--csv", longer)
    assert (done.code, done.out) == (2, "")
    assert "too long" in done.err
