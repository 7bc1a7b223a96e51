"""The one file that the page was started with, and the trials that are laid over it.

A trial is the text of the fields that were changed. It comes whole with every question, so two
tabs, an undo and a lost connection need nothing kept here.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from liftgeo.errors import FileError, GeometryError, RequestError
from liftgeo.files import as_text, holding, read_bytes, shown, write_held, write_whole
from liftgeo.geometry_file import filled, loads, parsed, save_change, with_named_readings
from liftgeo.kinds import KINDS
from liftgeo.live.entries import as_typed, typed
from liftgeo.live.mending import Faulty
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.bench import play_of, read_bench
from liftgeo.mechanism.laying import nested
from liftgeo.mechanism.starter import starter
from liftgeo.plain_text import one_line

_MOST_KEPT = 16
_MOST_FIELDS = 400
Trial = Mapping[str, str]


_BENCH = "bench."


class ChangedOnDiskError(Exception):
    """The file is not the one that the page read; `gone` where there is none any more."""

    def __init__(self, *, gone: bool = False) -> None:
        super().__init__()
        self.gone = gone


class NameTakenError(Exception):
    """The file has a change of that name already."""


@dataclass(frozen=True)
class Kept:
    """A file as it was read: its bytes, its mechanism, and its table [bench]."""

    data: bytes
    mechanism: Mechanism
    bench: Mapping[str, Any]


class Desk:
    """What the page works on.

    Parameters
    ----------
    path : Path or None
        The geometry file; None: a machine that nobody has measured yet.
    left_out : {"usual", "nothing"}, optional
        How what is left out is taken, in place of what the file says.
    """

    def __init__(self, path: Path | None = None, left_out: str | None = None) -> None:
        self.path, self._left_out = path, left_out
        self._read: OrderedDict[str, Kept] = OrderedDict()
        self._faulty: dict[str, Faulty] = {}
        self._lock = threading.Lock()

    @property
    def name(self) -> str:
        """Name of the file, as shown; empty without one."""
        return "" if self.path is None else shown(self.path.name)

    def read(self) -> tuple[str, Mechanism]:
        """Return the file as it stands on the disk: its mark, and its mechanism.

        Raises
        ------
        FileError, GeometryError
        """
        if self.path is None:
            raise RequestError("There is no file yet. Save this machine first.")
        data = read_bytes(self.path)
        mark = hashlib.sha256(data).hexdigest()[:16]
        with self._lock:
            if mark not in self._read:
                text, source = as_text(data, self.name), one_line(self.path.name)
                found = loads(text, source, left_out=self._left_out)
                bench = parsed(text.replace("\r\n", "\n"), source).get("bench", {})
                self._read[mark] = Kept(data, with_named_readings(found, self.path), bench)
                while len(self._read) > _MOST_KEPT:
                    self._read.popitem(last=False)
            self._read.move_to_end(mark)
            return mark, self._read[mark].mechanism

    def read_faulty(self) -> tuple[str, Faulty]:
        """Return a file with faults as it stands on the disk: its mark, and what it says.

        Raises
        ------
        FileError
        GeometryError
            It is no text of keys: only a text editor helps.
        """
        if self.path is None:
            raise RequestError("There is no file yet. Save this machine first.")
        data = read_bytes(self.path)
        found = Faulty(self.path, data, self._left_out)
        _ = found.flat
        mark = hashlib.sha256(data).hexdigest()[:16]
        self._faulty = {mark: found}
        return mark, found

    def faulty(self, mark: str) -> Faulty | None:
        """Return the file with faults that a page read, or None where it had none."""
        return self._faulty.get(mark)

    def mend(self, mark: str, over: Trial) -> str:
        """Write what was put right into a file with faults; return its new mark.

        Raises
        ------
        ChangedOnDiskError
            The file was changed since the page read it; or it is gone.
        RequestError, FileError, GeometryError
            Nothing was written.
        """
        found = self.faulty(mark)
        if found is None:
            raise RequestError("There is nothing to put right.")
        self._check_stands(mark, False)
        found.mend(over)
        return self.read()[0]

    def stands(self) -> str:
        """Return the mark of the file as it stands on the disk; empty where it cannot be read."""
        if self.path is None:
            return ""
        try:
            return hashlib.sha256(read_bytes(self.path)).hexdigest()[:16]
        except FileError:
            return ""

    def kept(self, mark: str) -> Kept:
        """Return the file as a page read it.

        Raises
        ------
        ChangedOnDiskError
            It was read too long ago, and is another now.
        """
        with self._lock:
            found = self._read.get(mark)
        if found is not None:
            return found
        if self.read()[0] != mark:
            raise ChangedOnDiskError
        return self._read[mark]

    def stock(self, mark: str) -> Mechanism:
        """Return the mechanism of the file as a page read it; raises as `kept` does."""
        return self.kept(mark).mechanism

    def tried(self, mark: str, over: Trial) -> Mechanism:
        """Return the file's mechanism with a trial laid over it.

        Raises
        ------
        RequestError, GeometryError, ChangedOnDiskError
        """
        kept = self.kept(mark)
        values = _values({k: v for k, v in over.items() if not k.startswith(_BENCH)})
        laid = {key: None if value == "" else value for key, value in values.items()}
        stock = kept.mechanism
        if any(key.startswith(_BENCH) for key in over):
            stock = _with_bench(stock, kept.bench, over)
        return stock.changed(laid) if laid else stock

    def lay(self, mark: str, over: Trial, name: str) -> dict[str, str]:
        """Return a trial with a change of the file laid over it.

        Raises
        ------
        RequestError, GeometryError, ChangedOnDiskError
        """
        stock, before = self.stock(mark), self.tried(mark, over)
        after = before.changed(name).given
        found = {k: v for k, v in over.items() if k.startswith(_BENCH)}
        for key in dict.fromkeys([*stock.given, *after]):
            if key in after and after[key] != stock.given.get(key):
                found[key] = as_typed(after[key])
        left = self.tried(mark, found).given
        return found | {key: "" for key in left if key not in after}

    def keep(
        self,
        mark: str,
        name: str,
        over: Trial,
        note: str,
        *,
        anyway: bool = False,
        instead: bool = False,
    ) -> str:
        """Write a trial into the file as a change, and what was read on the bench into [bench].

        Parameters
        ----------
        mark, name : str
        over : mapping
        note : str
        anyway : bool
            Go on although the file was changed since the page read it.
        instead : bool
            Replace a change of that name.

        Returns
        -------
        str
            The file's new mark.

        Raises
        ------
        ChangedOnDiskError
            The file was changed since the page read it, and nobody said to go on; or it is gone.
        NameTakenError
        RequestError, FileError, GeometryError
            Nothing was written.
        """
        if self.path is None:
            raise RequestError("There is no file yet. Save this machine first.")
        keys = {k: v for k, v in over.items() if not k.startswith(_BENCH)}
        if not keys:
            raise RequestError("Nothing is changed yet, so there is no change to keep.")
        self._check_stands(mark, anyway)
        values = self._as_a_change(mark, keys)
        self.stock(mark).changed(values)
        if not instead and name in self.read()[1].changes:
            raise NameTakenError(name)
        save_change(self.path, name, values, one_line(note), force=instead)
        return self.read()[0]

    def keep_bench(self, mark: str, over: Trial, *, anyway: bool = False) -> str:
        """Write what was read on the bench into [bench] of the file; return its new mark.

        Raises
        ------
        ChangedOnDiskError
            As `keep` does.
        RequestError, FileError, GeometryError
            Nothing was written.
        """
        if self.path is None:
            raise RequestError("There is no file yet. Save this machine first.")
        values = {k: v.strip() for k, v in over.items() if k.startswith(_BENCH)}
        if not values:
            raise RequestError("No reading is new, so there is none to keep.")
        self._check_stands(mark, anyway)
        data = read_bytes(self.path)
        text = filled(as_text(data, self.name).replace("\r\n", "\n"), values)
        loads(text, one_line(self.path.name))
        if b"\r\n" in data:
            text = text.replace("\n", "\r\n")
        bom = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        with holding(self.path):
            write_held(self.path, bom + text.encode(), force=True, instead_of=data)
        return self.read()[0]

    def _check_stands(self, mark: str, anyway: bool) -> None:
        """Raise ChangedOnDiskError where the file is not as the page read it."""
        now = self.stands()
        if not now or (now != mark and not anyway):
            raise ChangedOnDiskError(gone=not now)

    def _as_a_change(self, mark: str, over: Trial) -> dict[str, Any]:
        """Return a trial as a change says it: what gives way to another key is not said."""
        values = _values(over)
        blank = [key for key, value in values.items() if value == ""]
        said = {key: value for key, value in values.items() if value != ""}
        left = self.stock(mark).changed(said).given if blank and said else self.stock(mark).given
        kept = [key for key in blank if key in left]
        if kept or not said:
            raise RequestError(
                f"A change cannot take a number out of the file: {', '.join(kept or blank)}. Fill "
                "it in, or put it back."
            )
        return said

    def anew(self, mark: str) -> str:
        """Write the file as a page read it where none is any more; return its mark.

        Raises
        ------
        RequestError
            It is not known here any more.
        FileError
            Something stands in its place, or it cannot be written.
        """
        with self._lock:
            kept = self._read.get(mark)
        if self.path is None or kept is None:
            raise RequestError("What the file said is not known here any more.")
        if self.stands():
            raise RequestError(f"{self.name} is there again: read it again in place of writing it.")
        write_whole(self.path, kept.data)
        return self.read()[0]

    def save_new(self, name: str, title: str, kinds: Mapping[str, str], over: Trial) -> str:
        """Write a machine that was filled in here into a new file, and work on it from now on.

        Raises
        ------
        RequestError, FileError, GeometryError
            Nothing was written.
        """
        if self.path is not None:
            raise RequestError(f"This page works on {self.name} already.")
        place = _place(name)
        text = filled(starter(one_line(title) or place.stem, place.name, kinds), _values(over))
        loads(text, place.name)
        write_whole(place, text)
        self.path = place
        return self.read()[0]


def kinds_of(wanted: Mapping[str, str]) -> dict[str, str]:
    """Return the kinds of a machine to begin with, the first where nothing is said.

    Raises
    ------
    RequestError
        A kind that is not known.
    """
    found = {}
    for table in ("lever", "arm", "release", "spring"):
        kind = wanted.get(table, KINDS[table][0])
        if kind not in KINDS[table]:
            raise RequestError(f"{one_line(kind)} is no kind of {table}.")
        found[table] = kind
    return found


def begun(kinds: Mapping[str, str], over: Trial) -> Mechanism:
    """Return the mechanism of a machine that is being filled in.

    Raises
    ------
    GeometryError
        Lever and arm are not whole yet, or what was typed cannot be.
    """
    machine = {key: text for key, text in over.items() if not key.startswith(_BENCH)}
    values = {key: value for key, value in _values(machine).items() if value != ""}
    flat = {f"{table}.kind": kind for table, kind in kinds.items()}
    used = {key.split(".")[0] for key in values} | {"lever", "arm"}
    flat = {key: value for key, value in flat.items() if key.split(".")[0] in used}
    document = nested(flat | values)
    bench = {k.removeprefix(_BENCH): v for k, v in over.items() if k.startswith(_BENCH)}
    return from_document(document | ({"bench": bench} if bench else {}), "this machine")


def _with_bench(stock: Mechanism, file: Mapping[str, Any], over: Trial) -> Mechanism:
    """Return a mechanism with the readings of a trial in place of those of its file.

    Raises
    ------
    GeometryError
    """
    typed_in = {k.removeprefix(_BENCH): v for k, v in over.items() if k.startswith(_BENCH)}
    bench, faults = read_bench({**file, **typed_in})
    if faults:
        raise GeometryError(faults, stock.source)
    own = play_of(read_bench(file)[0], {}, stock.left_out)  # the file's take-up, where it is laid
    laid = [key for key in own if stock.given.get(key) == own[key]]
    given = {key: value for key, value in stock.given.items() if key not in laid}
    play = play_of(bench, given, stock.left_out)
    found = stock.changed(play or dict.fromkeys(laid)) if play or laid else stock
    beside = tuple(each for each in stock.readings if each.line)
    return replace(found, change=stock.change, readings=(*bench.readings(bool(play)), *beside))


def _values(over: Trial) -> dict[str, Any]:
    """Return the text of fields as a file's values; unknown keys are left for their reader."""
    if len(over) > _MOST_FIELDS:
        raise RequestError(f"{len(over)} fields are more than there are.")
    return {key: typed(key, text) for key, text in over.items()}


def _place(name: str) -> Path:
    """Return where a new file goes: in the folder that the page was started in, nowhere else."""
    plain = name.strip()
    if not plain or plain != Path(plain).name or plain.startswith("."):
        raise RequestError("The file needs a plain name, as in my-clutch.")
    return Path(plain if plain.endswith(".toml") else f"{plain}.toml")
