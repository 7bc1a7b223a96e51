"""Bring a model of a physics engine (MuJoCo) to rest, to the last digits.

First as in nature: one joint is drawn to where it shall stand, and the damped motion dies out. That
settles which springs and one-sided stops bear. Then a Newton search on the engine's own forces and
its own constraint rows takes away what is left, so that rigid joints and stops are rigid: the
engine by itself leaves them very slightly soft.

Written for models with hinges and slides only, and with inertias about equal to the stiffnesses. A
leftover acceleration is then also, roughly, the leftover error of position, in mm or rad.
"""

from __future__ import annotations

from dataclasses import dataclass

import mujoco
import numpy as np
from numpy.typing import NDArray

RAMP_STEPS = 300
"""Steps in which the held joint is drawn from rest to the wanted position."""
SETTLE_STEPS = 50_000
"""Steps after which a motion that has not died out is called a failure."""
STILL = 1e-7
"""Speed [mm or rad a step] below which the Newton search takes over."""
NEAR = 1e-3
"""A one-sided stop nearer than this [mm or rad] is first taken to bear."""
AT_REST = 1e-11
"""Largest leftover acceleration and constraint error [mm or rad] accepted as rest."""
NUDGE = 1e-6
"""Step [mm or rad] of the differences that give the Newton search its slopes."""
NEUTRAL = 1e-8
"""Directions softer than this share of the stiffest count as free to stand anywhere."""


class NotSettledError(RuntimeError):
    """The engine did not come to rest: no answer, rather than a poor one."""


@dataclass(frozen=True)
class Rest:
    """What the Newton search found, beside the state it leaves in the engine's data.

    Attributes
    ----------
    reaction : dict of (int, int) to float
        Force or torque of each constraint that bears, by the engine's constraint type and object.
    leftover : float
        Largest acceleration and constraint error left [mm or rad].
    """

    reaction: dict[tuple[int, int], float]
    leftover: float


def draw_to(model: mujoco.MjModel, data: mujoco.MjData, hold: int, target: float) -> None:
    """Draw the joint that equality constraint `hold` commands to a target, and wait for stillness.

    Raises
    ------
    NotSettledError
        The motion did not die out.
    """
    for step in range(SETTLE_STEPS):
        model.eq_data[hold, 0] = target * min(1.0, (step + 1) / RAMP_STEPS)
        mujoco.mj_step(model, data)
        if step > RAMP_STEPS and np.abs(data.qvel).max() * model.opt.timestep < STILL:
            return
    raise NotSettledError(f"Still moving after {SETTLE_STEPS} steps.")


def find_rest(model: mujoco.MjModel, data: mujoco.MjData) -> Rest:
    """Take away what the damped motion left: forces to balance, bearing constraints to close.

    Raises
    ------
    NotSettledError
        No balance within `AT_REST`, or one too far from where the motion died out.
    """
    # From here on every stop and touching pair shows its distance, bearing or not.
    model.jnt_margin[:] = 1e3
    model.pair_margin[:] = 1e3
    found = data.qpos.copy()
    search = _Search(model, data)
    bears = search.two_sided | (search.gap < NEAR)
    for _ in range(10):
        leftover = search.balance(bears)
        pulls = ~search.two_sided & bears & (search.push < -AT_REST)
        overrun = ~bears & (search.gap < -AT_REST)
        if not (pulls.any() or overrun.any()):
            break
        bears = (bears & ~pulls) | overrun
    else:
        raise NotSettledError("Which one-sided stops bear could not be settled.")
    if leftover > AT_REST:
        raise NotSettledError(f"{leftover:.1e} mm or rad of imbalance left.")
    # What rests unloaded between its neighbours may stand anywhere; the rest must not have moved.
    if np.abs(data.qpos - found).max() > 10 * NEAR:
        raise NotSettledError("The balance found is not the one the motion came to.")
    keys = zip(data.efc_type.tolist(), data.efc_id.tolist(), strict=True)
    reaction = {key: float(force) for key, force in zip(keys, search.force, strict=True)}
    return Rest(reaction, leftover)


class _Search:
    """Newton search for positions and constraint forces at which nothing accelerates."""

    def __init__(self, model: mujoco.MjModel, data: mujoco.MjData) -> None:
        self.model, self.data = model, data
        self.inertia = model.dof_M0.copy()
        self._look(data.qpos.copy())
        self.two_sided = data.efc_type == int(mujoco.mjtConstraint.mjCNSTR_EQUALITY)
        self.force = np.zeros(data.nefc)

    def _look(self, place: NDArray[np.float64]) -> None:
        """Let the engine work out forces and constraints with everything standing at a place."""
        self.data.qpos[:], self.data.qvel[:] = place, 0.0
        mujoco.mj_fwdPosition(self.model, self.data)
        mujoco.mj_fwdVelocity(self.model, self.data)
        self.rows = self.data.efc_J.reshape(self.data.nefc, self.model.nv).copy()
        self.gap = self.data.efc_pos.copy()

    @property
    def _scale(self) -> NDArray[np.float64]:
        """Force in each constraint that gives an acceleration of about 1."""
        largest = np.abs(self.rows / self.inertia).max(axis=1)
        return 1.0 / np.where(largest > 0, largest, 1.0)

    @property
    def push(self) -> NDArray[np.float64]:
        """Constraint forces as accelerations."""
        return self.force / self._scale

    def _imbalance(self, bears: NDArray[np.bool_]) -> NDArray[np.float64]:
        free = self.data.qfrc_passive + self.data.qfrc_applied - self.data.qfrc_bias
        return np.concatenate([(free + self.force @ self.rows) / self.inertia, self.gap[bears]])

    def balance(self, bears: NDArray[np.bool_]) -> float:
        """Find the balance with these constraints bearing; return the imbalance left."""
        self.force[~bears] = 0.0
        self._look(self.data.qpos.copy())
        best, best_state = np.inf, (self.data.qpos.copy(), self.force.copy())
        for _ in range(40):
            imbalance = self._imbalance(bears)
            size = float(np.abs(imbalance).max())
            if size < best:
                best, best_state = size, (self.data.qpos.copy(), self.force.copy())
            elif best < AT_REST:
                break
            self._step(bears, imbalance)
        self.force = best_state[1]
        self._look(best_state[0])
        return best

    def _step(self, bears: NDArray[np.bool_], imbalance: NDArray[np.float64]) -> None:
        place, scale = self.data.qpos.copy(), self._scale[bears]
        by_force = np.zeros((imbalance.size, scale.size))
        by_force[: place.size] = (self.rows[bears] * scale[:, np.newaxis] / self.inertia).T
        by_place = np.empty((imbalance.size, place.size))
        for joint in range(place.size):
            nudge = np.zeros(place.size)
            nudge[joint] = NUDGE
            self._look(place + nudge)
            ahead = self._imbalance(bears)
            self._look(place - nudge)
            by_place[:, joint] = (ahead - self._imbalance(bears)) / (2 * NUDGE)
        slopes = np.hstack([by_place, by_force])
        move = np.linalg.lstsq(slopes, -imbalance, rcond=NEUTRAL)[0]
        self.force[bears] += move[place.size :] * scale
        self._look(place + move[: place.size])
