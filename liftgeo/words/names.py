"""What things are called: stops, events, losses, verdicts, wear's limits; and the safety texts."""

from __future__ import annotations

AS_IT_STANDS = "as it stands"
UNTITLED, UNTITLED_FIGURE = "The clutch", "Clutch release"

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
    "target-clear": "clear by target",
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
    "drags": "the clutch drags",
    "lever-rides": "the lever rides: the rod is loaded at rest",
    "spring-loose": "the spring is loose",
    "wear-limit": "the facing is done",
    "slip-margin": "little slip margin is left",
    "little-take-up": "little take-up is left",
    "wear-to-riding": "less than 0.3 mm of wear is left to riding",
    "heavy-hand": "the lever grows heavier than anybody should be asked to pull",
}
"""The limits and caution lines that wear meets."""

WORK_SAFELY = (
    "Work safely: unload the spring evenly before the cover comes off, and keep your face out of "
    "line with it. Treat dust from old facings as asbestos: never blow or dry-brush it. Keep "
    "fingers out of running parts. Weigh the spring, and check for slip under load on a stand, "
    "before the machine goes on the road. Local codes and licensed practice come first."
)
WORK_SAFELY_IN_BRIEF = (
    "Work safely: unload the spring evenly before the cover comes off; treat dust from old "
    "facings as asbestos; check for slip under load on a stand; follow local codes."
)
"""For the foot of a figure, where room is short."""
