"""The clutch end in sentences: spring, grip, drag, play, bearing, tilt, hot and turned."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from liftgeo.as_written import digits_to_see
from liftgeo.cautions.clutch_rules import percent_between
from liftgeo.parts.disc_limits import SLOT_ROOT_RATIO
from liftgeo.parts.drag import RUBS_BELOW
from liftgeo.quantities import converted, shown
from liftgeo.words.lines import wrapped
from liftgeo.words.names import VERDICT_WORDS
from liftgeo.words.numbers import Shown, fixed

if TYPE_CHECKING:
    from liftgeo.outcome.results import Result

_NOTHING_NM = 5e-4  # a torque that would print as zero
_STANDARD_GRAVITY, _KG_PER_LB = 9.80665, 0.45359237
_SPANNER_M, _SPANNER_INCH_M = 0.1, 0.1016
_LONGEST_LIFE_H = 20_000.0


def _clear(clearance_mm: float, show: Shown) -> str:
    """Return a clearance in words, "clear by" or "short by"."""
    word = "short" if clearance_mm < 0 else "clear"
    return f"{word} by {show.small(abs(clearance_mm))}"


def spring_words(result: Result, show: Shown) -> str:
    """Return in plain words where the spring sits and what a thicker plate does."""
    spring = result.spring
    assert spring is not None  # a partial answer has a page of its own
    past = spring.past_peak_mm
    if spring.side == "falling":
        place = "" if np.isnan(past) else f" by {show.length(past)}"
        text = (
            f"Spring: a thicker plate lightens this clutch: it sits past its peak{place}, so "
            "clamp force and effort fall as it is pressed further. As the facing wears they rise, "
            "until it is back at its peak."
        )
    elif spring.side == "past-valley":
        text = (
            "Spring: a thicker plate loads this clutch: the disc sits past flat, beyond the "
            "lowest of its load, so clamp force and effort rise as it is pressed further."
        )
    else:
        text = (
            "Spring: a thicker plate loads this clutch: clamp force and effort rise as the spring "
            "is pressed further; they fall as the facing wears."
        )
        if past < 0:
            text += f" It sits {show.length(-past)} before its peak."
    if not np.isnan(spring.reference_stress_mpa):
        stress, limit = (
            shown(x, "pressure", show.units, 0)
            for x in (spring.reference_stress_mpa, spring.reference_stress_limit_mpa)
        )
        text += (
            f" Reference stress at full lever {stress}, beside {limit} for a steady load; a clutch "
            "is pulled again and again."
        )
    return text


def stress_words(result: Result, show: Shown) -> str:
    """Return the stresses at a disc's edges from rest to full lever; empty for other springs."""
    spring = result.spring
    if spring is None or not spring.edge_stresses:
        return ""
    edges = {e.point: (e.at_rest_mpa, e.full_lever_mpa) for e in spring.edge_stresses}
    unit = show.unit("pressure")
    swing = {
        point: " to ".join(shown(x, "pressure", show.units, 0).split()[0] for x in stresses)
        for point, stresses in edges.items()
    }
    more = 100 * (SLOT_ROOT_RATIO - 1)
    return (
        f"Disc's edges by the formula, rest to full lever, {unit}, tension plus: upper inside (I) "
        f"{swing['I']}, lower inside (II) {swing['II']}, lower outside (III) {swing['III']}, upper "
        f"outside (IV) {swing['IV']}. They swing at every pull; tension at II and III is what "
        "cracks a disc. No published limit for that many pulls is at hand, so none is judged. A "
        f"slotted disc bears about {more:.0f} % more at its slot roots; look there for cracks."
    )


def tolerance_words(result: Result, show: Shown) -> str:
    """Return what a disc made to the standard may clamp with; empty for other springs."""
    low, high = result.capacity.clamp_force_low_n, result.capacity.clamp_force_high_n
    if result.spring is None or np.isnan(low):
        return ""
    over = 100 * (result.spring.formula_bias_ratio - 1)
    text = (
        f" By tolerance of standard sizes, and as the formula lies about {over:.0f} % above an "
        f"elastic disc of this shape, it may clamp with {show.force(low)} to {show.force(high)}"
    )
    margin = result.capacity.slip_margin_low
    text += "." if np.isnan(margin) else f"; the least holds {margin:.2f} times."
    return text + " Weigh the spring."


def drag_words(result: Result, show: Shown) -> str:
    """Return the torque still carried at full lever; empty where the faces run clear."""
    capacity = result.capacity
    torque = capacity.drag_torque_nm
    if np.isnan(torque):
        return (
            "Still touching: how much is carried cannot be told with rigid faces; give "
            "faces.cushion_travel or faces.facing_stiffness."
        )
    if torque <= 0:
        return ""
    word = "rubs" if torque < RUBS_BELOW * capacity.torque_nm else "drags"
    torque = min(torque, capacity.torque_nm)  # by uniform pressure, a little above what is held
    least = min(capacity.drag_torque_low_nm, torque)
    low, high, unit = torques_between(least, torque, show)
    amount = f"some {low} {unit} (tilt shared by all faces) to {high} {unit} (all at one face) is"
    greater = "The greater is"
    if low == high:
        amount, greater = f"some {high} {unit} is", "That is"
    if torque < _NOTHING_NM:
        amount = "next to nothing is"
    share = percent_between(least / capacity.torque_nm, torque / capacity.torque_nm)
    return (
        f"At full lever it {word}: {amount} still carried ({share} of what it holds). An estimate: "
        "plates count as stiff and stuck at the worst turn; real ones give way and touch once a "
        f"turn. {greater} as much as {weight_text(torque, show)}."
    )


def torques_between(low_nm: float, high_nm: float, show: Shown) -> tuple[str, str, str]:
    """Return two torques and their unit, no finer than an estimate is, and so that 0 is seen."""
    low, high = (converted(x, "torque", show.units) for x in (low_nm, high_nm))
    digits = next((d for d, least in enumerate((100.0, 10.0)) if high >= least), 2)
    digits = max(digits, digits_to_see(low, digits))
    return fixed(low, digits), fixed(high, digits), show.unit("torque")


def weight_text(torque_nm: float, show: Shown) -> str:
    """Return what hung on a short spanner makes a torque, in words."""
    if show.units == "inch":
        pounds = torque_nm / (_STANDARD_GRAVITY * _KG_PER_LB * _SPANNER_INCH_M)
        return f"{_two_digits(pounds)} lb hung on a spanner 4 in long"
    kilograms = torque_nm / (_STANDARD_GRAVITY * _SPANNER_M)
    heavy = kilograms >= 1
    weight = f"{_two_digits(kilograms)} kg" if heavy else f"{_two_digits(1000 * kilograms)} g"
    return f"{weight} hung on a spanner 100 mm long"


def _two_digits(number: float) -> str:
    """Return a number of two digits that count, never by a power of ten: "290", "2.9", "0.29"."""
    return f"{float(f'{number:.2g}'):g}"


def hand_words(result: Result, show: Shown) -> str:
    """Return play, wear to riding, force near the tip, and whether it comes back."""
    hand = result.hand
    text = (
        f"Play: the rod loads after {show.length(hand.take_up_mm, coarse=True)} of hand travel; "
        f"the plates may wear {show.length(hand.wear_to_riding_mm)} in all before it is loaded at "
        "rest."
    )
    if not np.isnan(hand.tip_force_n):
        tip = show.length(50.0, coarse=True)
        text += f" With the hand {tip} from the tip: peak {show.force(hand.tip_force_n)}."
    if result.unit is not None and result.unit.lets_itself_back:
        text += " The release unit lets itself back"
        home = hand.self_return_n
        text += (
            f"; the arm's spring brings the lever home with {shown(home, 'force', show.units, 1)}."
            if home > 0
            else "."
        )
    return text


def bearing_words(result: Result, show: Shown) -> str:
    """Return load, safety and life of the release bearing; empty where none is given."""
    bearing = result.bearing
    if np.isnan(bearing.static_safety) and np.isnan(bearing.life_h):
        return ""
    text = f"Bearing: {show.force(bearing.axial_load_n)} of thrust at most"
    if not np.isnan(bearing.static_safety):
        text += f", static safety {bearing.static_safety:.1f}"
    if not np.isnan(bearing.life_h):
        life = f"{bearing.life_h:.0f} h"
        if bearing.life_h > _LONGEST_LIFE_H:
            life = f"more than {_LONGEST_LIFE_H:,.0f} h (beyond that dirt and grease decide)"
        text += f", life {life} of running at its duty"
    return text + "."


def state_words(result: Result, show: Shown) -> list[str]:
    """Return hot beside cold, and full lock beside straight ahead, where the file tells."""
    full, found = result.full_lever, []
    for name, usual, state in (
        ("Hot", "cold", result.hot),
        ("Bars at full lock", "straight", result.turned),
    ):
        if state is None:
            continue
        text = (
            f"{name}: {VERDICT_WORDS[state.verdict]}, each face "
            f"{_clear(state.clearance_per_face_mm, show)}, rod loads after "
            f"{show.length(state.take_up_mm, coarse=True)}, peak "
            f"{show.force(state.peak_hand_force_n)}"
        )
        if name == "Hot" and not np.isnan(state.slip_margin):
            text += f", holds {state.slip_margin:.2f} times"
        text += (
            f"; {usual}: {VERDICT_WORDS[result.verdict]}, "
            f"{_clear(full.clearance_per_face_mm, show)}, "
            f"{show.length(result.hand.take_up_mm, coarse=True)}, "
            f"{show.force(result.peak.hand_force_n)}."
        )
        if name != "Hot":
            worst = min(state.clearance_per_face_mm, full.clearance_per_face_mm)
            least = min(state.take_up_mm, result.hand.take_up_mm)
            text += (
                f" Worst clearance {show.small(worst)}, least lever travel before the rod loads "
                f"{show.length(least, coarse=True)}."
            )
        found.append(text)
    return found


def tilt_words(result: Result, show: Shown) -> str:
    """Return the tilt read round the rim; empty where none was read."""
    tilt = result.tilt
    if tilt is None:
        return ""
    return (
        f"Tilt: the plate lifts {show.length(tilt.lift_tilt_mm)} unevenly across the facing, most "
        f"at {tilt.direction_deg % 360:.0f} deg; the readings stray "
        f"{show.length(tilt.residual_mm)} from a plane."
    )


def clutch_end_texts(result: Result, show: Shown) -> list[str]:
    """Return the clutch end in paragraphs: spring, its tolerance, drag, play, bearing, states."""
    texts = [
        spring_words(result, show) + tolerance_words(result, show),
        stress_words(result, show),
        drag_words(result, show),
        hand_words(result, show),
        bearing_words(result, show),
        tilt_words(result, show),
        *state_words(result, show),
    ]
    return [text for text in texts if text]


def clutch_end_lines(result: Result, show: Shown) -> list[str]:
    """Return the clutch end as lines of a printed page."""
    return [line for text in clutch_end_texts(result, show) for line in wrapped(text)]
