"""Properties worked out when they are first read, without a lock."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING or sys.version_info >= (3, 12):
    from functools import cached_property
else:

    class cached_property:
        """As `functools.cached_property` is from Python 3.12 on.

        Until then that holds one lock for all objects of a class while it works out a property:
        threads with an object each wait for one another, and a batch on two threads takes as long
        as on one. Source: its code in 3.11; its documentation in 3.12 (from memory).
        """

        def __init__(self, of: Callable[[Any], Any]) -> None:
            self.of = of
            self.__doc__ = of.__doc__

        def __set_name__(self, owner: type, name: str) -> None:
            self.name = name

        def __get__(self, instance: object | None, owner: type | None = None) -> Any:
            """Work it out, and lay it where the next reading finds it first."""
            if instance is None:
                return self
            value = instance.__dict__[self.name] = self.of(instance)
            return value


__all__ = ["cached_property"]
