"""The chain from the plates back to the hand: positions, where it stops, work, budget, states."""

from liftgeo.chain.linkage import Arm, Lever, Parts, Rod, taken
from liftgeo.chain.positions import (
    ARM_MOVES,
    FACES_PART,
    JOINTS,
    LEAST_MOMENT_ARM_MM,
    ROD_LOADS,
    SLACK_TAKEN_UP,
    Position,
    Rates,
    position,
)

__all__ = [
    "ARM_MOVES",
    "FACES_PART",
    "JOINTS",
    "LEAST_MOMENT_ARM_MM",
    "ROD_LOADS",
    "SLACK_TAKEN_UP",
    "Arm",
    "Lever",
    "Parts",
    "Position",
    "Rates",
    "Rod",
    "position",
    "taken",
]
