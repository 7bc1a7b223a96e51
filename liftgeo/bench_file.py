"""Naming a file of readings in the geometry file they belong to."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

from liftgeo.errors import FileError, RequestError
from liftgeo.files import (
    AnyPath,
    as_text,
    check_writable,
    holding,
    read_bytes,
    shown,
    write_held,
)
from liftgeo.geometry_file import lies_beside, load_readings, loads
from liftgeo.plain_text import one_line


def save_readings(path: AnyPath, readings: AnyPath) -> None:
    """Write into [bench] of a geometry file which readings belong to it; all else stays.

    Parameters
    ----------
    path, readings : path
        The geometry file, and its readings.

    Raises
    ------
    RequestError
        [bench] names other readings already.
    FileError
        The file cannot be read or written; it is then as it was.
    GeometryError
        With the readings the file would no longer read.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    with holding(path):
        check_writable(path, force=True)
        data = read_bytes(path)
        text = as_text(data, shown(path))
        name = Path(os.path.relpath(readings, Path(path).parent)).as_posix()
        if not lies_beside(name):
            raise RequestError(
                f"{shown(readings)} lies elsewhere than {shown(path)}; readings that a file names "
                "lie in its folder, or below it. Move them there first."
            )
        before = tomllib.loads(text.replace("\r\n", "\n"))
        wanted = {**before, "bench": {**before.get("bench", {}), "readings": name}}
        old = before.get("bench", {}).get("readings", "")
        if old == name:
            return
        if old:
            raise RequestError(
                f"{shown(path)} names other readings already: {one_line(str(old))}. Put the rows "
                "into that file, or take the line out of [bench]."
            )
        try:
            document = tomlkit.parse(text.rstrip() + "\n\n")
            document.setdefault("bench", tomlkit.table())["readings"] = name
            written = tomlkit.dumps(document).rstrip() + "\n"
            after = tomllib.loads(written.replace("\r\n", "\n"))
        except (TOMLKitError, ValueError, TypeError, AttributeError):
            written, after = "", {}
        if after != wanted:
            raise FileError(
                f"{shown(path)} is laid out so that it cannot be added to safely; nothing was "
                f'changed. Add by hand:\n\n[bench]\nreadings = "{name}"'
            )
        loads(written, Path(path).name).with_readings(load_readings(readings))
        if "\r\n" in text:
            written = written.replace("\r\n", "\n").replace("\n", "\r\n")
        mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        write_held(path, mark + written.encode(), force=True, instead_of=data)
