"""What every table of a geometry file shares, and how a key says what it means."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


def key(
    what: str, how: str = "", default: Any = None, *, instead: str = "", typical: str = ""
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
    """
    said = {"measure": how, "instead": instead, "typical": typical}
    extra: Any = {name: text for name, text in said.items() if text}
    return Field(default, description=what, json_schema_extra=extra or None)


class Table(BaseModel):
    """Shared behaviour of all tables: frozen, and strict about unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
