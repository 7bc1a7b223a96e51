"""What a rider or driver feels, what lies behind it, and the one measurement that decides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from liftgeo.errors import RequestError, nearest


@dataclass(frozen=True)
class Symptom:
    """Something that is felt.

    Attributes
    ----------
    felt : str
        What is felt.
    behind : str
        What is mostly behind it.
    measure : str
        The single measurement that decides, and what it says.
    key : str
        Where it goes in the file: a key, or a reading of [bench].
    also : str
        A second key to look at.
    """

    felt: str
    behind: str
    measure: str
    key: str
    also: str


SYMPTOMS: Mapping[str, Symptom] = {
    "heavy": Symptom(
        "the lever takes too much force",
        "friction of cable and release unit, a cable that stands askew to the arm, a strong spring",
        "Pull the lever by a spring balance to half its travel, and read the force and the place. "
        "Much above the page's curve: friction. On the curve: the geometry and the spring.",
        "bench.hand_force",
        "cable.friction",
    ),
    "drags": Symptom(
        "with the lever at the grip the machine still pulls, gears grate",
        "lift lost on the way, or plates that do not run true",
        "Put a feeler between the faces at full lever, at three places round the rim. Less than "
        "the page says: lift is lost on the way. As much: the plates do not run true.",
        "bench.separation",
        "bench.plate_lift",
    ),
    "drags-hot": Symptom(
        "it frees cold, and drags once it is warm",
        "a rod or casing that grows, oil that is thin, a plate that dishes with heat",
        "Read the take-up at the lever cold, and again hot. More when hot: play grows, cable and "
        "casing. The same: a plate that dishes; read its run-out hot. [warm] in the file "
        "works out what casing and rod do.",
        "bench.take_up",
        "faces.plate_runout",
    ),
    "bites-low": Symptom(
        "it takes up with the lever close to the grip",
        "play, stretch and float that use the travel up before the plates move",
        "Read the hand travel until the rod loads, pulled lightly. More than the page says: play "
        "or float. As much: stretch and flex.",
        "bench.take_up",
        "cable.free_play",
    ),
    "bites-high": Symptom(
        "it takes up with the lever nearly let go, or slips before it is",
        "no play left: the facing is worn, or the adjuster is too far out",
        "Read the hand travel until the rod loads, pulled lightly. Under 2 mm: set the play first.",
        "bench.take_up",
        "cable.free_play",
    ),
    "sticks": Symptom(
        "the lever comes back slowly, or stays",
        "friction that eats the return: cable, release unit, a weak return spring",
        "Let the lever back by a spring balance and read what it still pulls. Next to nothing: "
        "friction eats the return. Then again with the cable off: heavy or light tells which.",
        "bench.return_force",
        "arm.return_torque",
    ),
    "slips": Symptom(
        "the engine runs away under load",
        "a weak spring, an oily or glazed facing, a lever that rides",
        "First see that there is play at the lever. Then weigh the spring at its fitted height: "
        "less than the page says: the spring. As much: the facing.",
        "bench.clamp_force",
        "faces.friction",
    ),
    "creeps": Symptom(
        "in gear, lever at the grip, it creeps or cannot be pushed",
        "plates that touch at one place: run-out, warp, a plate that lifts unevenly",
        "Turn each plate on its hub below a dial gauge, high to low over one turn.",
        "faces.plate_runout",
        "faces.lift_tilt",
    ),
    "judders": Symptom(
        "it shakes as it takes up",
        "a plate lifted unevenly, springs that differ, oil or glaze on the facing",
        "Read the lift of the pressure plate at four places round the rim: they should be alike.",
        "faces.lift_tilt",
        "faces.cushion_travel",
    ),
}
"""By the word that `--symptom` takes. What lies behind each is common practice without a source."""


def symptom_named(text: str) -> str:
    """Return the name of a symptom.

    Raises
    ------
    RequestError
        With the nearest known one.
    """
    name = text.strip().lower().replace("_", "-").replace(" ", "-")
    if name in SYMPTOMS:
        return name
    near = nearest(name, SYMPTOMS)
    hint = f" Did you mean {near}?" if near else ""
    raise RequestError(f"{text!r} is no symptom known here.{hint} Known: {', '.join(SYMPTOMS)}.")
