"""What things are called: stops, events, losses, verdicts, wear's limits."""

from __future__ import annotations

AS_IT_STANDS = "as it stands"
UNTITLED, UNTITLED_FIGURE = "The clutch", "Clutch release"

TOLD_APART = (
    "Lift is how far the pressure plate moves, separation what the faces part once the cushion has "
    "opened, clearance what is then left on each face past run-out and tilt."
)
TOLD_APART_BY = ("lift", "separation", "clearance")
"""Three measures of one thing, and how they differ: said wherever one is asked for."""

VERDICT_WORDS = {
    "slips": "slips",
    "no-release": "no release",
    "drags": "drags",
    "marginal": "marginal",
    "clear": "clear",
}
ITEM_WORDS = {
    "geometry": "geometry alone",
    "free-play": "free play",
    "lever-flex": "lever flex",
    "cable-stretch": "cable stretch",
    "shaft-wind-up": "shaft wind-up",
    "end-float": "end float",
    "rod-flex": "rod flex",
    "stop": "stopped early",
    "cushion": "cushion",
    "run-out-and-tilt": "run-out and tilt",
}
EVENT_WORDS = {
    "slack-taken-up": "slack taken up",
    "faces-part": "faces part",
    "running-clear": "running clear",
    "target-clear": "clear as wanted",
}
STOP_WORDS = {
    "grip": "the grip",
    "track-end": "the end of the release unit's track",
    "arm-stop": "the arm's stop",
    "spring-flat": "the spring going flat",
    "spring-solid": "the spring going solid",
    "table-end": "the end of a measured table",
    "dead-centre": "a link at dead centre",
}
END_WORDS = {"spring-flat": "flat", "spring-solid": "solid", "table-end": "last reading"}
"""The ends of a spring, as short as a figure wants them."""
CROSSING_WORDS = {
    "slips": "the clutch slips",
    "drags-hard": "the clutch drags so much that the machine may move",
    "drags": "the clutch drags",
    "lever-rides": "the lever rides: the rod is loaded at rest",
    "spring-loose": "the spring is loose",
    "wear-limit": "the facing is done",
    "slip-margin": "little slip margin is left",
    "little-take-up": "less than 2 mm of play is left at the lever (a pedal: 5 mm)",
    "wear-to-riding": "less than 0.3 mm of wear is left to riding",
    "heavy-hand": "the lever needs more than 200 N (a pedal: 280 N)",
}
"""The limits and caution lines that wear meets."""

LETTING_BACK_BEGINS = "letting back begins: friction now helps"
"""At full lever the hand gives way and the plates stand still: what the fall of its force is."""

LEAST_EFFORT = "least average of\nany linkage"
"""The mean hand force that spring and cushion ask at the least over this travel."""

TIMES_THE_HAND = "Rod force per hand force"
"""Title of the curve of rod force over hand force."""
