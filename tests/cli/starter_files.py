"""Starter files with invented numbers in their blanks, as somebody would write them."""

from __future__ import annotations

import re

# INVENTED: no such machine was measured.
FILLED = {
    "lever.nipple_radius": '"26.0"',
    "lever.stop_distance": '"42.0 ± 0.2 mm"',
    "lever.rest_length": '"44"',
    "lever.hand_radius": "75.0",
    "lever.hand_travel": '"1 9/16 in"',
    "lever.drum_radius": "22",
    "lever.angle": "[0, 10, 20, 30, 40]",
    "lever.pull": "[0, 4, 8, 12, 16]",
    "cable.free_play": '"1.2"',
    "cable.bend": '"120"',
    "cable.friction": '"0.08"',
    "cable.stiffness": '"400 N/mm"',
    "arm.radius": "38",
    "arm.stop_distance": "95",
    "arm.rest_length": "90",
    "arm.drum_radius": "36",
    "arm.angle": "[0, 10, 20, 30, 40]",
    "arm.pull": "[0, 6, 12, 18, 24]",
    "arm.return_torque": "0.2",
    "release.pitch_radius": "16",
    "release.ramp_angle": '"14 deg"',
    "release.friction_angle": "1",
    "release.lead": "24",
    "release.mean_diameter": "16",
    "release.friction": "0.1",
    "release.efficiency": "0.93",
    "release.pinion_radius": "5",
    "release.crank_radius": "6",
    "release.rest_angle": "-5",
    "release.eccentricity": "4",
    "release.angle": "[0, 10, 20, 30]",
    "release.travel": "[0, 0.7, 1.4, 2.1]",
    "rod.action": '"push"',
    "rod.end_float": '"4 thou"',
    "rod.stiffness": "20000",
    "spring.outside_diameter": "120",
    "spring.inside_diameter": "92",
    "spring.thickness": "1.7",
    "spring.cone_height": "3.4",
    "spring.count": '"6"',
    "spring.rate": "24",
    "spring.free_length": "42",
    "spring.installed_length": "31",
    "spring.deflection": "[0, 5, 10]",
    "spring.load": "[0, 700, 1500]",
    "spring.installed_deflection": "2.1",
    "faces.friction_plates": "1",
    "faces.outside_diameter": "118",
    "faces.inside_diameter": "84",
    "faces.running": '"dry"',
    "faces.friction": "0.30",
    "faces.cushion_travel": "0.25",
    "faces.basket_runout": "0.05",
    "faces.pressure_plate_runout": "0.05",
    "faces.plate_runout": "0.20",
    "faces.plain_plate_runout": "0.05",
    "faces.lift_tilt": "0.15",
    "engine.torque": '"43 lbf·ft"',
    "engine.primary_ratio": "1",
}
"""What stands in for `stack` is `installed_...`: its keys stay blank."""

_BLANK = re.compile(r'(\w+) *= (?:""|\[\])(.*)')


def blanks_in(text: str) -> list[str]:
    """Return the dotted keys that stand blank in a file."""
    found, table = [], ""
    for line in text.splitlines():
        if head := re.fullmatch(r"\[(\w+)\]", line):
            table = head[1]
        elif key := _BLANK.fullmatch(line):
            found.append(f"{table}.{key[1]}")
    return found


def filled(text: str, *tables: str) -> str:
    """Return the file with a number in every blank, of some tables or of all."""
    lines, table = [], ""
    for line in text.splitlines():
        if head := re.fullmatch(r"\[(\w+)\]", line):
            table = head[1]
        key = _BLANK.fullmatch(line)
        if key and (not tables or table in tables):
            number = FILLED.get(f"{table}.{key[1]}", '""')
            line = f"{key[1]} = {number}{key[2]}"
        lines.append(line)
    return "\n".join(lines) + "\n"
