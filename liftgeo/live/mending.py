"""A file with faults: its fields as they stand, what is wrong beside them, and putting it right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from liftgeo.cached import cached_property
from liftgeo.errors import GeometryError
from liftgeo.files import as_text, holding, shown, write_held
from liftgeo.geometry_file import filled, loads, parsed
from liftgeo.live.entries import Group, groups_to_mend, typed
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.laying import flatten, nested
from liftgeo.mechanism.tables import TABLES
from liftgeo.plain_text import one_line


@dataclass(frozen=True)
class Faulty:
    """A file that can be read as a text of keys, and not as a machine.

    Attributes
    ----------
    path : Path
    data : bytes
        What it holds.
    left_out : str or None
        How what is left out is taken, in place of what the file says.
    """

    path: Path
    data: bytes
    left_out: str | None

    @cached_property
    def document(self) -> dict[str, Any]:
        """What the file says, table by table.

        Raises
        ------
        GeometryError
            It is no TOML.
        """
        text = as_text(self.data, shown(self.path.name)).replace("\r\n", "\n")
        return parsed(text, one_line(self.path.name))

    @cached_property
    def flat(self) -> dict[str, Any]:
        """What the file says of the machine, by dotted key."""
        return flatten({k: v for k, v in self.document.items() if k in TABLES})

    def tried(self, over: Mapping[str, str]) -> Mechanism:
        """Return the mechanism with what was put right laid over the file.

        Raises
        ------
        GeometryError
            It still has faults.
        """
        laid = {key: typed(key, text) for key, text in over.items()}
        machine = {k: v for k, v in laid.items() if k.split(".")[0] in TABLES}
        bench = {k.partition(".")[2]: v for k, v in laid.items() if k.startswith("bench.")}
        document = {**self.document, **nested({**self.flat, **machine})}
        said = self.document.get("bench", {})
        if bench and isinstance(said, dict):
            document["bench"] = {**said, **bench}
        return from_document(document, one_line(self.path.name), self.left_out)

    def groups(self, units: str) -> list[Group]:
        """Return the form: what the file says, the tables with faults open."""
        try:
            self.tried({})
        except GeometryError as error:
            keys = [fault.key for fault in error.faults]
        else:
            keys = []
        bench = self.document.get("bench", {})
        return groups_to_mend(self.flat, keys, bench if isinstance(bench, dict) else {}, units)

    def mend(self, over: Mapping[str, str]) -> None:
        """Write what was put right into the file; its comments and all else stay.

        Raises
        ------
        GeometryError
            It would still have faults; nothing was written.
        FileError
            It was changed meanwhile, or cannot be written.
        """
        self.tried(over)
        text = as_text(self.data, shown(self.path.name))
        new = filled(text.replace("\r\n", "\n"), {k: typed(k, v) for k, v in over.items()})
        loads(new, one_line(self.path.name), left_out=self.left_out)
        if "\r\n" in text:
            new = new.replace("\n", "\r\n")
        bom = b"\xef\xbb\xbf" if self.data.startswith(b"\xef\xbb\xbf") else b""
        with holding(self.path):
            write_held(self.path, bom + new.encode(), force=True, instead_of=self.data)
