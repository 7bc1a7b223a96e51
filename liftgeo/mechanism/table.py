"""What every table of a geometry file shares, and how a key says what it means."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from liftgeo.mechanism.usual import UsualFor


def key(
    what: str,
    how: str = "",
    default: Any = None,
    *,
    instead: str = "",
    typical: str = "",
    needed: bool = False,
    unless: str = "",
    needed_with: str = "",
    usual: UsualFor | None = None,
    start: str = "",
) -> Any:
    """Return a field with what is said about it to somebody with a calliper in hand.

    Parameters
    ----------
    what : str
        What the number is.
    how : str
        How it is measured, as it reads after "Measure with".
    default : float, str, bool or None
        What is taken where the key is left out; None: nothing.
    instead : str
        The key, or keys, it may be given instead of.
    typical : str
        Values to expect where it can hardly be measured, with their source.
    needed : bool
        Its table cannot do without it.
    unless : str
        Names of keys of the table, apart by spaces, each of which makes it unnecessary.
    needed_with : str
        Names of keys of the table, apart by spaces, each of which makes it necessary.
    usual : Usual, or mapping of them by kind of machine
        What it is taken as where it is left out, and over what it then varies.
    start : {"", "short", "long"}
        A blank of the short starter file, or of the long one, besides what is needed: the short one
        asks what is needed, the long one also what has a usual value.
    """
    said: dict[str, Any] = {"measure": how, "instead": instead, "typical": typical}
    said |= {"needed": needed, "unless": unless, "needed_with": needed_with, "usual": usual}
    said |= {"start": start}
    extra: Any = {name: value for name, value in said.items() if value}
    return Field(default, description=what, json_schema_extra=extra or None)


class Table(BaseModel):
    """Shared behaviour of all tables: frozen, and strict about unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
