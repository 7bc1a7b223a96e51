"""Writing when things go wrong: killed, disk full, read-only, permission lost."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from clutches import BASE_TEXT, mechanism

import liftgeo
from liftgeo import files
from liftgeo.cli.output import Outputs, emit
from liftgeo.errors import FileError, RequestError
from liftgeo.files import check_outputs, read_bytes, write_held, write_whole
from liftgeo.geometry_file import save_change

CHECKOUT = Path(__file__).resolve().parents[2]


def old(path: Path) -> bytes:
    return path.read_bytes() if path.exists() else b""


# --- every writer, and every way it can go wrong ---


def by_emit(path: Path) -> None:
    emit(Outputs(csv=path, force=True), page=lambda: [], data=dict, table=lambda: "a,b\n" * 500)


WRITERS: dict[str, Callable[[Path], object]] = {
    "a text": lambda path: write_whole(path, "new\n" * 500, force=True),
    "a table of a command": by_emit,
    "a table from Python": lambda path: liftgeo.stroke(mechanism()).to_csv(path, force=True),
    "a change": lambda path: save_change(path, "less", {"cable.free_play": 1.0}),
}

Injure = Callable[[pytest.MonkeyPatch], None]


def failing(name: str, number: int) -> Injure:
    """Return what makes a call of the system fail from its first use on."""

    def injure(patch: pytest.MonkeyPatch) -> None:
        def fail(*_: Any, **__: Any) -> None:
            raise OSError(number, os.strerror(number))

        patch.setattr(files.os, name, fail)

    return injure


def half_written(patch: pytest.MonkeyPatch) -> None:
    """The disk fills up in the middle of the new file."""
    whole = files._put

    def half(part: Path, data: bytes) -> None:
        whole(part, data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    patch.setattr(files, "_put", half)


FAULTS: dict[str, Injure] = {
    "disk full at the start": failing("open", errno.ENOSPC),
    "disk full half way": half_written,
    "disk full at the end": failing("fsync", errno.ENOSPC),
    "disk fails": failing("fsync", errno.EIO),
    "permission lost": failing("open", errno.EACCES),
    "permission lost at the end": failing("replace", errno.EACCES),
    "read-only disk": failing("open", errno.EROFS),
    "interrupted": lambda patch: patch.setattr(files.os, "fsync", _interrupt),
}


def _interrupt(*_: Any) -> None:
    raise KeyboardInterrupt


@pytest.mark.parametrize("fault", FAULTS.values(), ids=FAULTS.keys())
@pytest.mark.parametrize("writer", WRITERS.values(), ids=WRITERS.keys())
@pytest.mark.parametrize("linked", [False, True], ids=["alone", "with another name"])
def test_a_writer_that_is_stopped_leaves_the_file_as_it_was(
    writer: Callable[[Path], object],
    fault: Injure,
    linked: bool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text(BASE_TEXT, encoding="utf-8")
    if linked:
        os.link(path, tmp_path / "other.toml")
    before, names = path.read_bytes(), sorted(p.name for p in tmp_path.iterdir())
    with monkeypatch.context() as patch:
        fault(patch)
        if linked and fault is FAULTS["permission lost at the end"]:
            patch.setattr(files, "_over", _broken_over(files._over))
        with pytest.raises((FileError, KeyboardInterrupt)):
            writer(path)
    assert path.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == names
    writer(path)
    assert path.read_bytes() != before


def _broken_over(whole: Callable[[int, bytes], None]) -> Callable[[int, bytes], None]:
    """Return a writing in place that fails half way, once."""
    calls = []

    def over(handle: int, data: bytes) -> None:
        calls.append(data)
        if len(calls) == 1:
            os.write(handle, data[: len(data) // 2])
            raise OSError(errno.EACCES, os.strerror(errno.EACCES))
        whole(handle, data)

    return over


def test_a_disk_that_is_really_full_is_said(tmp_path: Path) -> None:
    """The system itself refuses to write more than so many bytes into a file."""
    path = tmp_path / "out.csv"
    path.write_text("mine")
    code = (
        "import resource, sys\nfrom liftgeo.files import write_whole\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "write_whole(sys.argv[1], 'x' * 5000, force=True)\n"
    )
    done = child(code, path)
    assert done.returncode == 1
    assert "FileError: " in done.stderr
    assert "cannot be written: File too large." in done.stderr
    assert path.read_text() == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["out.csv"]


# --- killed ---

PLACES = ("open", "fsync", "chmod", "replace", "link", "unlink", "flock")
"""Where the program is killed: at a call of the system, before and after it is done."""


def child(code: str, *words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, words)],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


KILLED = """
import os, fcntl, pathlib, sys, signal
from liftgeo import files
name, when, path = sys.argv[1:4]
home = fcntl if name == "flock" else pathlib.Path if name == "unlink" else os
whole = getattr(home, name)
def killing(*a, **k):
    if when == "before":
        os.kill(os.getpid(), signal.SIGKILL)
    found = whole(*a, **k)
    os.kill(os.getpid(), signal.SIGKILL)
    return found
setattr(home, name, killing)
files.write_whole(path, "new\\n" * 5000, force=True)
"""


@pytest.mark.parametrize("there", [True, False], ids=["over a file", "a new file"])
@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize("name", PLACES)
def test_a_kill_leaves_the_old_file_or_the_new_and_is_swept(
    name: str, when: str, there: bool, tmp_path: Path
) -> None:
    path = tmp_path / "out.csv"
    if there:
        path.write_text("old\n")
    done = child(KILLED, name, when, path)
    assert done.returncode in (-signal.SIGKILL, 0), done.stderr  # 0: it never came by
    assert old(path) in (b"old\n" if there else b"", b"new\n" * 5000)
    write_whole(path, "newer\n", force=True)
    assert path.read_text() == "newer\n"
    assert [p.name for p in tmp_path.iterdir()] == ["out.csv"]


@pytest.mark.slow
@pytest.mark.parametrize("number", range(70))
def test_a_kill_at_any_moment_tears_nothing(number: int, tmp_path: Path) -> None:
    path = tmp_path / "out.csv"
    code = (
        "import sys\nfrom liftgeo.files import write_whole\nprint('begun', flush=True)\n"
        "for k in range(10**6):\n    write_whole(sys.argv[1], f'{k}\\n' * 20000, force=True)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(path)], cwd=CHECKOUT, stdout=subprocess.PIPE
    ) as writer:
        assert writer.stdout is not None
        assert writer.stdout.readline() == b"begun\n"
        with pytest.raises(subprocess.TimeoutExpired):
            writer.wait(0.01 + 0.0037 * number)
        writer.kill()
    lines = old(path).split(b"\n")
    assert len(set(lines[:-1])) <= 1
    assert len(lines) in (1, 20001)
    write_whole(path, "newer\n", force=True)
    assert [p.name for p in tmp_path.iterdir()] == ["out.csv"]


# --- two at once ---


def test_what_somebody_else_wrote_meanwhile_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text("theirs")
    with pytest.raises(FileError, match="was changed by somebody else"):
        write_held(path, "mine", force=True, instead_of=b"as it was")
    assert path.read_text() == "theirs"
    assert [p.name for p in tmp_path.iterdir()] == ["clutch.toml"]


def test_a_file_that_comes_up_meanwhile_is_not_written_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "out.csv"
    put = files._put

    def late(part: Path, data: bytes) -> None:
        put(part, data)
        path.write_text("theirs")

    monkeypatch.setattr(files, "_put", late)
    with pytest.raises(FileError, match="exists already"):
        write_whole(path, "mine")
    assert path.read_text() == "theirs"
    assert [p.name for p in tmp_path.iterdir()] == ["out.csv"]


def test_a_folder_that_another_holds_for_long_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "PATIENCE_S", 0.05)
    with files.holding(tmp_path / "a.csv"), pytest.raises(FileError, match="has been writing"):
        write_whole(tmp_path / "b.csv", "x")
    write_whole(tmp_path / "b.csv", "x")


def test_without_locks_only_what_is_old_is_swept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "_locked", lambda folder: None)
    young, aged = (tmp_path / f".liftgeo-{n}-x.part" for n in (1, 2))
    young.write_text("")
    aged.write_text("")
    os.utime(aged, (0, 0))
    write_whole(tmp_path / "a.csv", "x")
    assert sorted(p.name for p in tmp_path.iterdir()) == [young.name, "a.csv"]


# --- no access ---


def test_a_folder_without_access_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(files.os, "access", lambda *_: False)
        with pytest.raises(FileError, match="no permission to write into its folder"):
            write_whole(tmp_path / "a.csv", "x")
    with monkeypatch.context() as patch:
        failing("stat", errno.EACCES)(patch)
        with pytest.raises(FileError, match=r"cannot be read: Permission denied\."):
            read_bytes(tmp_path / "a.csv")
    assert list(tmp_path.iterdir()) == []


# --- names and bounds ---


@pytest.mark.parametrize("path", ["a\0b", "x" * 300, "none/a.csv"])
def test_names_that_cannot_be_are_said(path: str, tmp_path: Path) -> None:
    with pytest.raises(FileError):
        write_whole(tmp_path / path, "x")
    with pytest.raises(FileError):
        read_bytes(tmp_path / path)
    with pytest.raises(FileError):
        check_outputs([("--csv", tmp_path / path)], [])


def test_an_output_may_stand_beside_its_input_but_not_on_it(tmp_path: Path) -> None:
    mine = tmp_path / "clutch.toml"
    mine.write_text("")
    check_outputs([("--csv", tmp_path / "a.csv"), ("--figure", "-")], [mine, "-"])
    with pytest.raises(RequestError, match="never written over"):
        check_outputs([("--csv", mine)], [mine], force=True)
    with pytest.raises(RequestError, match="--csv and --figure name the same"):
        check_outputs([("--csv", "-"), ("--figure", "/dev/stdout")], [])
