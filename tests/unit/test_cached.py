"""Properties that are kept: worked out once an object, and no lock between two objects."""

from __future__ import annotations

import ast
import threading
from pathlib import Path

import pytest

import liftgeo
from liftgeo.cached import cached_property

SOURCE = Path(liftgeo.__file__).parent


class Counted:
    """Counts how often its property is worked out."""

    def __init__(self) -> None:
        self.times = 0

    @cached_property
    def answer(self) -> int:
        """The answer."""
        self.times += 1
        if self.times > 2:
            raise ArithmeticError
        return 6 * 7


def test_it_is_worked_out_once_for_each_object():
    first, second = Counted(), Counted()
    assert [first.answer, first.answer, second.answer] == [42] * 3
    assert (first.times, second.times) == (1, 1)
    del first.answer
    assert (first.answer, first.times) == (42, 2)
    assert Counted.answer.__doc__ == "The answer."


def test_what_fails_is_not_kept():
    one = Counted()
    one.times = 2
    with pytest.raises(ArithmeticError):
        _ = one.answer
    assert "answer" not in vars(one)


class Meeting:
    """Two of these can be worked out only at the same time."""

    both = threading.Barrier(2)

    @cached_property
    def met(self) -> bool:
        """Whether the other one came while this was worked out."""
        try:
            self.both.wait(10.0)
        except threading.BrokenBarrierError:
            return False
        return True


def test_two_objects_are_worked_out_at_the_same_time():
    ones = [Meeting(), Meeting()]
    threads = [threading.Thread(target=lambda one=one: one.met) for one in ones]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one.met for one in ones] == [True, True]


def test_the_package_keeps_its_properties_without_a_lock():
    taken = [
        path.name
        for path in SOURCE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and node.module == "functools"
        for name in node.names
        if name.name == "cached_property"
    ]
    assert taken == ["cached.py"]
