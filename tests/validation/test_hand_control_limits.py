"""Limits of hand controls that the warnings use.

Sources
-------
UN Regulation 78 / Global Technical Regulation 3, motorcycle brakes: hand control at most 200 N, at
50 mm from the outermost point of the lever (from memory).
ISO 4210-4:2014, clause 4.4, strength of the brake lever of a cycle: 450 N on the lever (read).
They are limits of brake controls; none was found for a clutch lever.
"""

from __future__ import annotations

import numpy as np
from cases import each_holds, printed

from liftgeo.cautions import stroke_rules
from liftgeo.parts import hand_limits

UN_78 = "UN Regulation 78 and Global Technical Regulation 3, motorcycle brakes"
ISO_4210 = "ISO 4210-4:2014, clause 4.4, strength of the brake lever"

CASES = (
    printed(UN_78, "hand control", "greatest force", "N", "200",
            lambda: stroke_rules.HEAVY_HAND_N, read=False),
    printed(UN_78, "hand control", "point of the force from the tip", "mm", "50",
            lambda: hand_limits.FROM_TIP_MM, read=False),
    printed(ISO_4210, "brake lever", "force of the strength test", "N", "450",
            lambda: hand_limits.PANIC_FORCE_N),
)  # fmt: skip


test_the_limit_is_the_printed_one = each_holds(CASES)


def test_the_limits_are_numbers_a_hand_can_reach() -> None:
    """Grip of a man of 20 to 24, half of all: 48.0 kgf (J Sport Health Sci 2025;14:101014)."""
    grip_n = 48.0 * 9.80665
    assert grip_n > stroke_rules.HEAVY_HAND_N
    assert np.isclose(hand_limits.PANIC_FORCE_N, grip_n, rtol=0.05)
