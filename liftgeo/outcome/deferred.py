"""Frozen results some of whose fields are worked out when they are first asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Self

import numpy as np


class Deferred:
    """Base of a frozen dataclass that may hold fields still to be worked out.

    Whoever reads a field gets its value, worked out once and kept. A copy, a pickle and
    `dataclasses.replace` read all fields first.
    """

    @classmethod
    def holding(cls, now: Mapping[str, object], later: Mapping[str, Callable[[], object]]) -> Self:
        """Return one with the fields of `now`; those of `later` are worked out when asked for.

        Raises
        ------
        TypeError
            The two do not name each field of the dataclass once.
        """
        if sorted([*now, *later]) != sorted(field.name for field in fields(cls)):  # type: ignore[arg-type]
            raise TypeError(f"{cls.__name__} needs each of its fields once")
        made = cls.__new__(cls)
        vars(made).update(now, _later=dict(later))
        return made

    if not TYPE_CHECKING:  # a field that is none must stay an error to the type checker

        def __getattr__(self, name: str) -> object:
            later = vars(self).get("_later", {})
            if name not in later:
                raise AttributeError(f"{type(self).__name__!r} object has no attribute {name!r}")
            with np.errstate(all="ignore"):
                value = vars(self)[name] = later[name]()
            later.pop(name, None)
            return value

    def __getstate__(self) -> dict[str, Any]:
        return {field.name: getattr(self, field.name) for field in fields(self)}  # type: ignore[arg-type]
