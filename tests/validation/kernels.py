"""The functions of liftgeo.parts that return a physical quantity, found by themselves.

A kernel is a public function, method or property of a module in liftgeo/parts/. Words and yes-or-no
answers are none, nor are the protocols that only say what a part must answer.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import wraps
from typing import Any

import numpy as np

from liftgeo import parts

NO_QUANTITY = {"bool", "str", "None"}


# What a function at a place gives back as it was asked: nothing to check.
ECHOED = {"at": "rotation_rad", "at_pull": "pull_mm", "at_travel": "travel_mm"}


@dataclass(frozen=True)
class Kernel:
    """One function, one member of a class, or one field of what it returns or works out."""

    owner: Any  # the module or class
    member: str
    field: str = ""

    @property
    def name(self) -> str:
        """Module, class and member: "release.BallRamp.torque_arm_mm"."""
        if inspect.ismodule(self.owner):
            return f"{self.owner.__name__.rpartition('.')[2]}.{self.member}"
        room = self.owner.__module__.rpartition(".")[2]
        whole = f"{room}.{self.owner.__name__}.{self.member}"
        return f"{whole}.{self.field}" if self.field else whole

    @property
    def part(self) -> str:
        """What the kernel belongs to: its class, or its own name."""
        return self.owner.__name__ if inspect.isclass(self.owner) else self.member


def _returns_quantity(function: Callable[..., Any]) -> bool:
    return function.__annotations__.get("return") not in NO_QUANTITY


def _members(cls: type) -> Iterator[str]:
    for name, member in vars(cls).items():
        function = member.fget if isinstance(member, property) else member
        if (
            not name.startswith("_")
            and inspect.isfunction(function)
            and _returns_quantity(function)
        ):
            yield name


def _of_class(cls: Any) -> Iterator[Kernel]:
    """Yield the kernels of a class: its members, the fields they return, and those it works out."""
    for name in _members(cls):
        answer = getattr(vars(cls)[name], "__annotations__", {}).get("return")
        place = getattr(importlib.import_module(cls.__module__), str(answer), None)
        names = getattr(place, "_fields", ())
        found = [Kernel(cls, name, each) for each in names if ECHOED.get(name) != each]
        yield from found or [Kernel(cls, name)]
    if is_dataclass(cls):
        for each in fields(cls):
            if not each.init and not each.name.startswith("_"):
                yield Kernel(cls, "__post_init__", each.name)


def kernels() -> list[Kernel]:
    """Return every kernel of liftgeo.parts."""
    found = []
    for info in pkgutil.iter_modules(parts.__path__):
        module = importlib.import_module(f"{parts.__name__}.{info.name}")
        for name, item in vars(module).items():
            if name.startswith("_") or getattr(item, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(item) and _returns_quantity(item):
                found.append(Kernel(module, name))
            elif inspect.isclass(item) and not getattr(item, "_is_protocol", False):
                found.extend(_of_class(item))
    return found


def scaled(value: Any, factor: float) -> Any:
    """Return a result with every number in it multiplied."""
    if isinstance(value, tuple):
        return tuple(scaled(item, factor) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        changed = {f.name: scaled(getattr(value, f.name), factor) for f in fields(value)}
        return replace(value, **changed)
    if isinstance(value, int | float | np.ndarray | np.generic) and not isinstance(value, bool):
        return value * factor
    return value


@contextmanager
def falsified(kernel: Kernel, factor: float) -> Iterator[None]:
    """Let a kernel return its result times a factor for a while, wherever it was imported."""
    original = vars(kernel.owner)[kernel.member]
    function = original.fget if isinstance(original, property) else original

    @wraps(function)
    def false(*args: Any, **named: Any) -> Any:
        found = function(*args, **named)
        if kernel.member == "__post_init__":
            own = args[0]
            object.__setattr__(own, kernel.field, scaled(getattr(own, kernel.field), factor))
            return found
        if kernel.field:
            return found._replace(**{kernel.field: scaled(getattr(found, kernel.field), factor)})
        return scaled(found, factor)

    holders = [kernel.owner]
    if inspect.ismodule(kernel.owner):
        rooms = [m for name, m in sys.modules.items() if name.startswith("liftgeo.")]
        holders = [m for m in rooms if vars(m).get(kernel.member) is original]
    for holder in holders:
        setattr(holder, kernel.member, property(false) if function is not original else false)
    try:
        yield
    finally:
        for holder in holders:
            setattr(holder, kernel.member, original)
