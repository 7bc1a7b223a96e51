"""A mechanism made ready for many sets of numbers laid over the same keys."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.errors import Reason
from liftgeo.mechanism import rules
from liftgeo.mechanism.inward import Inward
from liftgeo.mechanism.laying import Flat, lay
from liftgeo.mechanism.left_out import AT_THE_PLATE, left_out
from liftgeo.parts.values import Values

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism


class Varied:
    """A mechanism made ready for many sets of numbers laid over the same keys.

    What depends on the keys' names alone is worked out once: which keys give way, which usual
    values are taken then, which rules look at the keys, what each takes.

    Parameters
    ----------
    mechanism : Mechanism
    names : tuple of str
        Dotted keys; of a range of truths (`as_truth`) they are keys the mechanism has already.
    """

    def __init__(self, mechanism: Mechanism, names: tuple[str, ...]) -> None:
        self._names = {name: name for name in names}
        added: Flat = {}
        if "arm.radius_same_angle" in names:
            self._names["arm.radius_same_angle"] = "arm.radius"
            angle = float(mechanism.inward.sides("arm").cable_angle_deg)
            added["arm.cable_angle"] = angle
        self._takes = {name: mechanism.takes(home) for name, home in self._names.items()}
        self._carried = mechanism.cushion_load_n
        laid = {home: mechanism.keys.get(home, 0.0) for home in self._names.values()} | added
        taken = {item.key for item in mechanism.taken}
        known = {key: value for key, value in mechanism.keys.items() if key not in taken}
        base = lay(known, laid)
        usual: Flat = {}
        if mechanism.left_out == "usual":
            found = left_out(base, mechanism.tables, mechanism.machine, mechanism.condition)
            usual = {item.key: item.value for item in found}
        self._base = usual | base
        self._usual = frozenset(usual)
        self._at_plate = [key for key in AT_THE_PLATE if key in usual]
        self._ratio = float(base.get("rod.finger_ratio", 1.0))
        self._rules = rules.rules_for(self._base, [*laid, *usual])

    def inward(self, over: Mapping[str, Values], carried_n: Values = None) -> Inward:
        """Return the keys turned inward, with numbers or arrays laid over them.

        Parameters
        ----------
        over : mapping
            Numbers or arrays for the keys.
        carried_n : float or array, optional
            Cushion load of the unchanged file; left out: that of the mechanism as given [N].
        """
        laid = {self._names[name]: value for name, value in over.items()}
        keys = self._base | laid
        if "rod.finger_ratio" in laid:
            for key in self._at_plate:
                keys[key] = keys[key] * (self._ratio / keys["rod.finger_ratio"]) ** 2
        return Inward(keys, self._carried if carried_n is None else carried_n, self._usual)

    def reasons(self, keys: Inward, over: Mapping[str, Values], shape: tuple[int, ...]) -> Values:
        """Return the reason code of each variant, 0 where it can be computed."""
        with np.errstate(all="ignore"):
            found = rules.reasons(keys, shape, self._rules)
            for name, value in over.items():
                good = self._takes[name].within(np.asarray(value, float))
                if np.ndim(good) > len(shape):  # points and readings: each of their numbers
                    good = good.all(axis=-1)
                if not np.all(good):
                    found = np.where(good, found, int(Reason.OUT_OF_RANGE))
        return found
