"""What somebody who works on a clutch must be told, in brief and in full, for every page.

Sources stand with each caution. Local codes and licensed practice come before all of them.
"""

from __future__ import annotations

WORK_SAFELY = (
    "Work safely: unload springs evenly, weigh them; treat old dust as asbestos; mind fingers; try "
    "slip blocked, nobody in line; local codes, licensed practice first."
)
"""Two lines, at the foot of every page; `liftgeo safety` says it in full."""
WORK_SAFELY_AT_LENGTH = (
    "Work safely: unload the spring evenly before the cover comes off, and keep your face out of "
    "line with it. Treat dust from old facings as asbestos: never blow or dry-brush it. Keep "
    "fingers out of running parts. Weigh the spring. A wheel in the air has no load: check for "
    "slip with the machine blocked, nobody in line and an assistant at the stop control, or on a "
    "licensed test bench, before it goes on the road. Local codes and licensed practice come "
    "first. `liftgeo safety` says it in full."
)
WORK_SAFELY_IN_BRIEF = (
    "Work safely: unload the spring evenly before the cover comes off; treat dust from old "
    "facings as asbestos; fingers out of running parts; weigh the spring; check for slip under "
    "load only with the machine blocked and nobody in line; local codes and licensed practice "
    "come first (liftgeo safety)."
)
"""Where room is short."""

CAUTIONS: tuple[tuple[str, str, str], ...] = (
    (
        "Before anything",
        "Engine off, cold, and unable to start: plug lead off, battery off. Block the machine so "
        "that it cannot roll. Eye protection for all of it.",
        "common practice, no source",
    ),
    (
        "Stored energy",
        "A clutch spring holds several hundred kilograms. Before the cover comes off, unload it a"
        " turn on each screw in rotation, face and hands out of line. Look first whether the "
        "screws run out of thread before the spring is free: then hold the cover with a press, or"
        " with long screws and nuts put in one by one. A spring under a press goes in a cage or "
        "behind a guard, never between bare plates.",
        "29 CFR 1910.147(d)(5), stored energy to be relieved or restrained (from memory); the "
        "rest common practice, no source",
    ),
    (
        "Dust",
        "Treat dust from facings of unknown age as asbestos. Never blow it, brush it dry or sand "
        "it. Wet it, wipe it up, bag the rags, wear a mask made for asbestos, and dispose of it "
        "as your law asks.",
        "29 CFR 1910.1001, Appendix F, wet method (read elsewhere); EPA notice 72 FR 15690, also "
        "for home mechanics (read)",
    ),
    (
        "Fingers",
        "Keep hands out of running parts. With the clutch open, never reach between plates while "
        "somebody holds the lever: wedge the lever.",
        "common practice, no source",
    ),
    (
        "Weigh the spring",
        "Sums from sizes can be a tenth and more above what a spring really presses, and old "
        "springs sag. Press it over scales in a caged press before you rely on it.",
        "docs/theory.md, The clutch end; sagging: common practice, no source",
    ),
    (
        "Slip under load",
        "A wheel in the air has no load, and proves nothing. Block the machine fore and aft "
        "against something that cannot move, chain it so that it cannot climb, nobody in line "
        "before or behind it, an assistant at the stop control. Take the load up briefly in a "
        "high gear: a clutch that holds stalls the engine, one that slips lets it run on. A few "
        "seconds, then let it cool. If you cannot do it so, a licensed test bench can.",
        "common practice, no source",
    ),
    (
        "A clutch that does not release",
        "With a gear in, a machine whose clutch drags or does not part may creep, or start off as"
        " the engine is started. Start it in neutral, blocked, and do not stand before it.",
        "common practice, no source",
    ),
    (
        "Metal taken off",
        "Keep the maker's least thickness. A thinned or cracked flywheel, basket or plate can "
        "burst at speed and heat: a cracked one is scrap, one that was machined is balanced "
        "again. A skim or a ground ramp may go through a hardened layer. A hole drilled into an "
        "arm weakens it: 1.2 times its diameter from its centre to every edge is the least from "
        "building steel under steady load, not made for parts that tire.",
        "no accepted figure for metal that may go: a flywheel maker's page (read); EN 1993-1-8, "
        "Table 3.3 (read on a copy); the rest common practice, no source",
    ),
    (
        "Law and practice",
        "Local codes and licensed practice come before anything printed by this program. If in "
        "doubt, let somebody licensed look at it.",
        "common practice, no source",
    ),
)
"""Title, what to do, and where it comes from, of each caution in full."""


def cautions() -> list[str]:
    """Return the cautions in full, one text each, as every command's JSON carries them."""
    return [f"{title}: {text}" for title, text, _ in CAUTIONS]
