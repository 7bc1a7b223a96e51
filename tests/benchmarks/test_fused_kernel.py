"""The compiled yardstick answers as `liftgeo.batch` does, so that both do the same work."""

from __future__ import annotations

import numpy as np
import pytest
from fused_kernel import INPUTS, kernel
from scenarios import ANSWERS, SCENARIOS, Array, read

import liftgeo

COUNT = 3000


def beside(name: str, over: dict[str, Array]) -> tuple[list[Array], list[Array]]:
    """Return the answers of the kernel and of the package: clearance, peak, full lever."""
    mechanism = read(name)
    many = liftgeo.batch(mechanism, over, answers=ANSWERS)
    return list(kernel(mechanism.keys, over)), [getattr(many, name) for name in ANSWERS]


@pytest.mark.parametrize("name", SCENARIOS)
def test_the_kernel_answers_as_the_batch_does(name: str) -> None:
    compiled, ours = beside(name, SCENARIOS[name].over(COUNT))
    for fused, found in zip(compiled, ours, strict=True):
        # A clearance may be next to nothing: there a millionth of a micrometre is near enough.
        np.testing.assert_allclose(fused, found, rtol=1e-9, atol=1e-9 * 1e-3)


@pytest.mark.parametrize("name", SCENARIOS)
def test_the_kernel_finds_a_hump_between_its_positions(name: str) -> None:
    over = SCENARIOS[name].over(COUNT)
    over["lever.rest_length"] = np.full(COUNT, 60.0)  # the lever nears its dead centre
    over["faces.cushion_travel"] = np.linspace(0.0, 0.3, COUNT)
    (_, compiled, full), (_, ours, _) = beside(name, over)
    assert (ours > full * (1 + 1e-6)).mean() > 0.9
    np.testing.assert_allclose(compiled, ours, rtol=1e-9)


@pytest.mark.parametrize("name", SCENARIOS)
def test_one_thread_and_two_give_the_same(name: str) -> None:
    keys, over = read(name).keys, SCENARIOS[name].over(500)
    alone, shared = kernel(keys, over, threads=1), kernel(keys, over, threads=2)
    assert all(np.array_equal(a, b) for a, b in zip(alone, shared, strict=True))


WHOLE_NUMBERS = {"faces.friction_plates", "spring.count"}


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_input_of_the_kernel_bears_on_it_as_on_the_batch(name: str) -> None:
    given = read(name).keys
    numbers = [key for key in INPUTS if isinstance(given.get(key), float)]
    numbers = [key for key in numbers if key not in WHOLE_NUMBERS and given[key] > 0]
    assert len(numbers) > 30
    for key in numbers:
        compiled, ours = beside(name, {key: given[key] * np.array([0.99, 0.999, 1.0])})
        for fused, found in zip(compiled, ours, strict=True):
            np.testing.assert_allclose(fused, found, rtol=1e-9, atol=1e-12, err_msg=key)
