"""The one file that the page was started with, and the trials that are laid over it.

A trial is the text of the fields that were changed. It comes whole with every question, so two
tabs, an undo and a lost connection need nothing kept here.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from liftgeo.errors import FileError, RequestError
from liftgeo.files import as_text, read_bytes, shown, write_whole
from liftgeo.geometry_file import filled, loads, save_change
from liftgeo.kinds import KINDS
from liftgeo.live.entries import forms, typed
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.laying import nested
from liftgeo.mechanism.starter import starter
from liftgeo.plain_text import one_line

_MOST_KEPT = 16
_MOST_FIELDS = 400
Trial = Mapping[str, str]


class ChangedOnDiskError(Exception):
    """The file is not the one that the page read."""


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
        self._read: OrderedDict[str, Mechanism] = OrderedDict()
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
                text = as_text(data, self.name)
                self._read[mark] = loads(text, one_line(self.path.name), left_out=self._left_out)
                while len(self._read) > _MOST_KEPT:
                    self._read.popitem(last=False)
            self._read.move_to_end(mark)
            return mark, self._read[mark]

    def stands(self) -> str:
        """Return the mark of the file as it stands on the disk; empty where it cannot be read."""
        if self.path is None:
            return ""
        try:
            return hashlib.sha256(read_bytes(self.path)).hexdigest()[:16]
        except FileError:
            return ""

    def stock(self, mark: str) -> Mechanism:
        """Return the mechanism of the file as a page read it.

        Raises
        ------
        ChangedOnDiskError
            It was read too long ago, and is another now.
        """
        with self._lock:
            kept = self._read.get(mark)
        if kept is not None:
            return kept
        now, mechanism = self.read()
        if now != mark:
            raise ChangedOnDiskError
        return mechanism

    def tried(self, mark: str, over: Trial) -> Mechanism:
        """Return the file's mechanism with a trial laid over it.

        Raises
        ------
        RequestError, GeometryError, ChangedOnDiskError
        """
        stock = self.stock(mark)
        laid = {key: None if value == "" else value for key, value in _values(over).items()}
        return stock.changed(laid) if laid else stock

    def keep(self, mark: str, name: str, over: Trial, note: str, *, anyway: bool = False) -> str:
        """Write a trial into the file as a change; return the file's new mark.

        Raises
        ------
        ChangedOnDiskError
            The file was changed since the page read it, and nobody said to go on.
        RequestError, FileError, GeometryError
            Nothing was written.
        """
        if self.path is None:
            raise RequestError("There is no file yet. Save this machine first.")
        if not over:
            raise RequestError("Nothing is changed yet, so there is no change to keep.")
        if not anyway and self.stands() != mark:
            raise ChangedOnDiskError
        keys = _values(over)
        blank = [key for key, value in keys.items() if value == ""]
        if blank:
            raise RequestError(
                f"A change cannot take a number out of the file: {', '.join(blank)}. Fill it in, "
                "or put it back."
            )
        self.stock(mark).changed(keys)
        save_change(self.path, name, keys, one_line(note))
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
    values = {key: value for key, value in _values(over).items() if value != ""}
    flat = {f"{table}.kind": kind for table, kind in kinds.items()}
    used = {key.split(".")[0] for key in values} | {"lever", "arm"}
    flat = {key: value for key, value in flat.items() if key.split(".")[0] in used}
    return from_document(nested(flat | values), "this machine")


def _values(over: Trial) -> dict[str, Any]:
    """Return the text of fields as a file's values; unknown keys are left for their reader."""
    if len(over) > _MOST_FIELDS:
        raise RequestError(f"{len(over)} fields are more than there are.")
    return {key: typed(key, text, _forms().get(key, "one")) for key, text in over.items()}


@cache
def _forms() -> dict[str, str]:
    return dict(forms())


def _place(name: str) -> Path:
    """Return where a new file goes: in the folder that the page was started in, nowhere else."""
    plain = name.strip()
    if not plain or plain != Path(plain).name or plain.startswith("."):
        raise RequestError("The file needs a plain name, as in my-clutch.")
    return Path(plain if plain.endswith(".toml") else f"{plain}.toml")
