"""Factors and life of bearings under a purely axial load.

Sources
-------
SEED design guide on rolling bearings, section 4.1 (co-design.co.uk): factor Y of deep-groove
bearings over Fa/C0: read.
lycbearing.com, "Bearing basic knowledge", tables 2 to 4: Y and Y0 of angular-contact bearings:
read.
fgfa.com.cn, data of a 30 × 62 × 16 mm bearing with a contact angle of 40 deg (C 22.5 kN,
C0 14.3 kN): read; a second maker's page.
skf.com, "Deep groove ball bearings: loads": X0 0.6, Y0 0.5: read.
Examination question on life (sarthaks.com, 2642436): read.
"""

import pytest
from cases import each_holds, printed, worked_out

from liftgeo.parts import bearing

GUIDE = "SEED design guide on rolling bearings, section 4.1"
TABLES = "A bearing maker's tables (lycbearing.com, Bearing basic knowledge, tables 2 to 4)"
SECOND = "A second maker's data sheet (fgfa.com.cn, 30 × 62 × 16, 40°)"
LOADS = "A third maker's page (skf.com, Deep groove ball bearings, loads)"
EXAM = "Examination question (sarthaks.com, 2642436)"
ISO = "Worked out by ISO 281 and ISO 76 from the second maker's data"


def groove(share: float) -> float:
    return bearing.Bearing(None, 1.0).dynamic_axial_factor(share)


def angular(angle_deg: float, share: float = 0.5) -> float:
    return bearing.Bearing(angle_deg, 1.0).dynamic_axial_factor(share)


def static_factor(angle_deg: float | None) -> float:
    """Return Y0 as the static safety has it: C0 over a load of as much."""
    return 1.0 / bearing.Bearing(angle_deg, 1.0).static_safety(1.0)


def million_revolutions(unit: bearing.Bearing, axial_n: float) -> float:
    """Return the life of a bearing that turns once a minute."""
    return unit.life_h(axial_n) * 60 / 1e6


GROOVE_Y = ((".025", "2.0"), (".04", "1.8"), (".07", "1.6"), (".13", "1.4"), (".25", "1.2"),
            (".5", "1.0"))  # fmt: skip
ANGULAR_15_Y = ((".015", "1.47"), (".029", "1.40"), (".058", "1.30"), (".087", "1.23"),
                (".12", "1.19"), (".17", "1.12"), (".29", "1.02"), (".44", "1.00"))  # fmt: skip
RELEASE = bearing.Bearing(40.0, 14_300.0, 22_500.0, 1.0)

CASES = (
    *(printed(GUIDE, f"Deep groove, Fa/C0 = {share}", "axial factor Y", "", value,
              lambda share=share: groove(float(share)))
      for share, value in GROOVE_Y),
    *(printed(TABLES, f"Contact angle 15°, Fa/C0 = {share}", "axial factor Y", "", value,
              lambda share=share: angular(15.0, float(share)))
      for share, value in ANGULAR_15_Y),
    printed(TABLES, "Contact angle 25°", "axial factor Y", "", "0.87", lambda: angular(25.0)),
    printed(TABLES, "Contact angle 40°", "axial factor Y", "", "0.57", lambda: angular(40.0)),
    *(printed(TABLES, f"Contact angle {angle}°", "static axial factor Y0", "", value,
              lambda angle=angle: static_factor(float(angle)))
      for angle, value in (("15", "0.46"), ("25", "0.38"), ("40", "0.26"))),
    printed(SECOND, "Contact angle 40°", "axial factor Y", "", "0.57", lambda: angular(40.0)),
    printed(SECOND, "Contact angle 40°", "static axial factor Y0", "", "0.26",
            lambda: static_factor(40.0)),
    printed(LOADS, "Deep groove", "static axial factor Y0", "", "0.5",
            lambda: static_factor(None)),
    printed(EXAM, "C 16 kN, equivalent load 2 kN", "rating life", "million rev", "512",
            lambda: million_revolutions(bearing.Bearing(None, 4000.0, 16_000.0, 1.0), 2000.0)),
    worked_out(ISO, "40°, 1.5 kN axial", "equivalent load P = 0.57·1.5", "kN", 0.855,
               lambda: 1.5 * RELEASE.dynamic_axial_factor(1500.0)),
    worked_out(ISO, "40°, 1.5 kN axial", "rating life (22.5/0.855)³", "million rev",
               (22.5 / 0.855) ** 3, lambda: million_revolutions(RELEASE, 1500.0)),
    worked_out(ISO, "40°, 1.5 kN axial", "static safety 14.3/0.39", "", 14.3 / 0.39,
               lambda: RELEASE.static_safety(1500.0)),
    worked_out(ISO, "40°, 1.5 kN axial, 3000 rev/min, half the time declutched", "life", "h",
               (22.5 / 0.855) ** 3 * 1e6 / (60 * 3000 * 0.5),
               lambda: bearing.Bearing(40.0, 14_300.0, 22_500.0, 3000.0, 0.5).life_h(1500.0)),
)  # fmt: skip


test_row = each_holds(CASES)


@pytest.mark.parametrize(("angle", "low", "high"), [(20.0, 25.0, 15.0), (30.0, 40.0, 25.0)])
def test_a_contact_angle_between_two_tables_lies_between_their_factors(angle, low, high):
    assert angular(low) < angular(angle) < angular(high)
    assert static_factor(low) < static_factor(angle) < static_factor(high)
