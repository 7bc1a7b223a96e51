"""Clutches, and cords round fixed drums, of textbooks.

Sources
-------
R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design, ch. 16: a plate clutch, 250
and 175 mm, and a hydraulic multidisk clutch, 6.5 and 4 in: from memory.
R. S. Khurmi, J. K. Gupta, A Textbook of Machine Design, clutches: three discs on the driving and
two on the driven shaft: from memory.
R. C. Hibbeler, Engineering Mechanics: Statics, ch. 8, frictional forces on flat belts: a cord over
two fixed drums and a free pulley: from memory.
V. B. Bhandari, Design of Machine Elements, examples 11.8 and 11.9: read in the result files of a
Scilab companion (FOSSEE, textbook companion 764); the printed page was not seen.
All from memory were met when tried.
"""

import math

from cases import each_holds, printed

from liftgeo.parts import cable, faces

SHIGLEY = "Budynas & Nisbett, Shigley's Mechanical Engineering Design, ch. 16"
KHURMI = "Khurmi & Gupta, A Textbook of Machine Design, clutches"
HIBBELER = "Hibbeler, Engineering Mechanics: Statics, ch. 8"
COMPANION = "V. B. Bhandari, Design of Machine Elements, ch. 11, through a textbook companion"

MULTIDISK_LBF = math.pi * 120.0 * 4.0 / 2 * (6.5 - 4.0)  # 120 psi at the inside edge
KHURMI_NMM = 25e6 * 60 / (2 * math.pi * 1575)


def khurmi_pressure():
    """Return the greatest pressure, at the inside edge, of what carries the torque [MPa]."""
    one = float(faces.uniform_wear_torque_nmm(1.0, 0.3, 240.0, 120.0, 4.0))
    return KHURMI_NMM / one / (math.pi / 2 * 120.0 * (240.0 - 120.0))


def after_a_drum(pull_n):
    """Return what is left of a pull after 135 deg round a fixed drum, friction 0.25 [N]."""
    drum = cable.Cable(bend_rad=math.radians(135.0), friction=0.25)
    return pull_n / float(drum.gain(cable.PULLING))


CASES = (
    printed(SHIGLEY, "plate clutch, uniform wear", "torque", "N·m", "127.5",
            lambda: faces.uniform_wear_torque_nmm(4000.0, 0.30, 250.0, 175.0, 1.0) / 1000,
            read=False),
    printed(SHIGLEY, "plate clutch, uniform pressure", "torque", "N·m", "128.8",
            lambda: faces.uniform_pressure_torque_nmm(4000.0, 0.30, 250.0, 175.0, 1.0) / 1000,
            read=False),
    printed(SHIGLEY, "multidisk clutch, six planes, uniform wear", "torque", "lbf·in", "7125",
            lambda: faces.uniform_wear_torque_nmm(MULTIDISK_LBF, 0.24, 6.5, 4.0, 6.0),
            read=False),
    printed(KHURMI, "three and two discs, 25 kW at 1575 rev/min", "greatest pressure", "N/mm²",
            "0.062", khurmi_pressure, read=False),
    printed(HIBBELER, "cord over two fixed drums, 500 N", "tension between them", "N", "277.4",
            lambda: after_a_drum(500.0), read=False),
    printed(HIBBELER, "cord over two fixed drums, 500 N", "weight lifted", "N", "153.9",
            lambda: after_a_drum(after_a_drum(500.0)), read=False),
    printed(COMPANION, "11.8, five steel and four bronze discs", "torque", "N·mm", "119282.346",
            lambda: faces.uniform_wear_torque_nmm(2650.719, 0.1, 150.0, 75.0, 8.0),
            tolerance=0.03, note="The force is printed to its third decimal, which is 0.02 N·mm."),
    printed(COMPANION, "11.9, 75 N·m in oil, ten faces of 100 and 57.7 mm", "torque", "N·m", "75",
            lambda: faces.uniform_wear_torque_nmm(1916.929, 0.1, 100.0, 57.7, 9.924) / 1000,
            note="With the exact number of faces the companion finds."),
)  # fmt: skip


test_row = each_holds(CASES)
