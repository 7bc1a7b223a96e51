"""Tables of shapes: blade, grip, arm, and the casing that arm and cable must keep clear of."""

from liftgeo.mechanism import fields as f
from liftgeo.mechanism import outlines as o
from liftgeo.mechanism.table import Table, key
from liftgeo.mechanism.usual import Usual

LEAST_GAP_MM = 1.0
"""Gap below which arm or cable may touch once metal gives; common practice, no source."""

# Nothing where the blade comes to the bare grip; a glove's palm and finger skins; the tip of a
# finger that lies between.
_BETWEEN = Usual(0.0, 3.0, 10.0)


class BladeOutline(Table):
    """The blade as a line with width."""

    points: o.MiddleLine = key(
        "middle line of the blade at rest, points [x, y] from the pivot to the tip; pivot at the "
        "origin, +x to the cable stop, +y to the nipple's side, or as lever.points",
        "lever traced on paper, the points read off with a rule",
        needed=True,
    )
    width: f.Length = key(
        "width of the blade across that line", "calliper, where it comes to the grip", needed=True
    )


class GripTable(Table):
    """The grip that the blade comes to, seen along the lever's pivot."""

    diameter: f.Length = key("diameter over the rubber", "calliper", needed=True)
    place: o.Place = key(
        "middle of the grip in the lever's frame: one point [x, y] of a bar seen end on, or points "
        "along the middle of one seen from its side",
        "the paper with the blade's line, bar drawn beside it",
        needed=True,
    )
    allowance: f.Play = key(
        "what stays between blade and grip at full lever; counts where hand_travel is left out",
        "calliper over glove or finger, pressed",
        typical="0 bare, 2 to 4 a glove, 10 a finger left round the grip (common practice)",
        usual=_BETWEEN,
    )


class ArmOutline(Table):
    """The arm as a line with width."""

    points: o.MiddleLine = key(
        "middle line of the arm at rest, points [x, y]; shaft at the origin, +x to the cable stop, "
        "+y to the cable end's side, or as arm.points",
        "arm traced on paper, the points read off with a rule",
        needed=True,
    )
    width: f.Length = key("width of the arm across that line", "calliper", needed=True)


class CasingTable(Table):
    """What arm and cable must keep clear of, seen along the arm's shaft."""

    outlines: o.Outlines = key(
        "outlines to keep clear of, each a list of points [x, y] in the arm's frame, without the "
        "boss that the arm turns over",
        "card held square to the shaft, ribs and bolts traced on it",
        needed=True,
    )
    least_gap: f.Play = key(
        "gap wanted between them and arm or cable", default=LEAST_GAP_MM, typical="1 to 2"
    )
