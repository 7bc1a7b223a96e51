"""The symbols of the working: name, LaTeX, unit and meaning of each, said once.

Angles are radians inside; every other unit is the one shown. A prime marks letting back.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

ANGLE = "rad"


@dataclass(frozen=True)
class Quantity:
    """One symbol: plain text, LaTeX, unit and what it stands for."""

    plain: str
    latex: str
    unit: str
    meaning: str


_LEVER = (
    ("r_L", r"r_L", "mm", "lever: pivot to nipple"),
    ("d_L", r"d_L", "mm", "lever: pivot to cable stop"),
    ("ℓ_L0", r"\ell_{L0}", "mm", "lever: nipple to stop, at rest"),
    ("δ_L", r"\delta_L", ANGLE, "lever: angle at the nipple between pivot line and cable, at rest"),
    ("a_L", r"a_L", "mm", "lever: nipple and stop out of one plane"),
    ("b_L", r"b_L", "mm", "lever: radius of its drum"),
    ("γ_L0", r"\gamma_{L0}", ANGLE, "lever: angle at the pivot between nipple and stop, at rest"),
    ("γ_L", r"\gamma_L", ANGLE, "lever: the same angle, turned"),
    ("ℓ_L", r"\ell_L", "mm", "lever: nipple to stop, turned"),
    ("p_L", r"p_L", "mm", "lever: moment arm of the cable"),
    ("φ", r"\varphi", ANGLE, "lever angle"),
    ("r_h", r"r_h", "mm", "pivot to the middle of the pull"),
    ("h", r"h", "mm", "hand travel along the arc"),
    ("h_g", r"h_g", "mm", "hand travel from rest to grip"),
    ("φ_g", r"\varphi_g", ANGLE, "lever travel from rest to grip"),
    ("k_L", r"k_L", "N/mm", "stiffness of the blade at the hand"),
    ("η_L", r"\eta_L", "", "efficiency of the lever's pin"),
    ("F_h", r"F_h", "N", "hand force"),
    ("T_h", r"T_h", "N", "cable tension at the lever"),
)

_CABLE = (
    ("s", r"s", "mm", "cable pull at the lever"),
    ("s_0", r"s_0", "mm", "slack of the cable, all of it"),
    ("s_t", r"s_t", "mm", "slack taken up so far"),
    ("s_p", r"s_p", "mm", "free play of the cable"),
    ("s_s", r"s_s", "mm", "settling of the cable's ends"),
    ("s_c", r"s_c", "mm", "clearance of wire in liner"),
    ("u", r"u", "mm", "cable stretch"),
    ("T", r"T", "N", "cable tension at the arm"),
    ("T_m", r"T_m", "N", "mean cable tension over the bends"),
    ("β", r"\beta", ANGLE, "bends of the cable, added up"),
    ("μ_c", r"\mu_c", "", "friction of wire in liner"),
    ("D_c", r"D_c", "N", "drag of the empty cable"),
    ("k_c", r"k_c", "N/mm", "stiffness of the cable"),
    ("k_o", r"k_o", "N/mm", "stiffness of the cable's casing"),
    ("k_b", r"k_b", "N/mm", "stiffness of the cable's brackets"),
    ("L_w", r"L_w", "mm", "length of the wire"),
    ("A_w", r"A_w", "mm²", "metal area of the wire"),
    ("E_w", r"E_w", "MPa", "modulus of the wire on its metal area"),
    ("s_1", r"s_1", "mm", "pull left after the losses so far"),
)

_ARM = (
    ("r_A", r"r_A", "mm", "arm: pivot to cable end"),
    ("d_A", r"d_A", "mm", "arm: pivot to cable stop"),
    ("ℓ_A0", r"\ell_{A0}", "mm", "arm: cable end to stop, at rest"),
    ("δ_A", r"\delta_A", ANGLE, "arm: angle at the cable end between arm and cable, at rest"),
    ("a_A", r"a_A", "mm", "arm: cable end and stop out of one plane"),
    ("b_A", r"b_A", "mm", "arm: radius of its drum"),
    ("γ_A0", r"\gamma_{A0}", ANGLE, "arm: angle at the pivot between cable end and stop, at rest"),
    ("γ_A", r"\gamma_A", ANGLE, "arm: the same angle, turned"),
    ("ℓ_A", r"\ell_A", "mm", "arm: cable end to stop, turned"),
    ("p_A", r"p_A", "mm", "arm: moment arm of the cable"),
    ("θ", r"\theta", ANGLE, "arm rotation"),
    ("s_A", r"s_A", "mm", "cable pull at the arm"),
    ("M_0", r"M_0", "N·mm", "torque of the arm's return spring at rest"),
    ("k_M", r"k_M", "N·mm/rad", "rise of the return torque"),
    ("b_T", r"b_T", "", "share of the return torque that the cable carries so far"),
    ("M_r", r"M_r", "N·mm", "torque of the arm's return spring"),
    ("k_s", r"k_s", "N·mm/rad", "stiffness of the shaft in twist"),
    ("ω", r"\omega", ANGLE, "wind-up of the shaft"),
    ("η_A", r"\eta_A", "", "efficiency of the arm's bearing"),
)

_RELEASE = (
    ("θ_u", r"\theta_u", ANGLE, "rotation of the release unit"),
    ("y", r"y", "mm", "rod travel at the release unit"),
    ("j", r"j", "mm/rad", "rod travel per radian"),
    ("m", r"m", "mm", "torque arm of the release unit: torque over rod force"),
    ("M", r"M", "N·mm", "torque of the release unit"),
    ("r_b", r"r_b", "mm", "pitch radius of the balls"),
    ("α_1", r"\alpha_1", ANGLE, "slope of the driven plate's ramps"),
    ("α_2", r"\alpha_2", ANGLE, "slope of the other plate's ramps"),
    ("α", r"\bar\alpha", ANGLE, "slope along which the plates part"),
    ("ρ", r"\rho", ANGLE, "friction angle of the balls"),
    ("P", r"P", "mm", "lead of the thread"),
    ("d_m", r"d_m", "mm", "mean diameter of the thread"),
    ("ε", r"\varepsilon", ANGLE, "flank angle of the thread"),
    ("μ_t", r"\mu_t", "", "friction of the thread"),
    ("d_k", r"d_k", "mm", "mean diameter of the collar"),
    ("μ_k", r"\mu_k", "", "friction of the collar"),
    ("μ_n", r"\mu_n", "", "friction of the thread on its sloping flank"),
    ("r_p", r"r_p", "mm", "radius of the pinion"),
    ("r_k", r"r_k", "mm", "radius of the crank"),
    ("L_k", r"L_k", "mm", "length of the crank's link"),
    ("e_k", r"e_k", "mm", "offset of the rod line from the crank's axis"),
    ("X_0", r"X_0", "mm", "place of the rod end along its line, at rest"),
    ("X", r"X", "mm", "place of the rod end along its line"),
    ("w", r"w", "mm", "crank axis to rod end"),
    ("ψ_0", r"\psi_0", ANGLE, "crank or eccentric at rest, from the normal to the rod line"),
    ("ψ", r"\psi", ANGLE, "crank or eccentric, turned"),
    ("e", r"e", "mm", "throw of the eccentric"),
    ("R_c", r"R_c", "mm", "radius of the eccentric"),
    ("μ_e", r"\mu_e", "", "friction of the eccentric"),
    ("η_u", r"\eta_u", "", "efficiency of the release unit"),
)

_ROD = (
    ("i", r"i", "", "finger ratio: rod travel over plate lift"),
    ("f", r"f", "mm", "float taken up before the rod loads"),
    ("f_t", r"f_t", "mm", "float taken up so far"),
    ("f_e", r"f_e", "mm", "end float"),
    ("f_a", r"f_a", "mm", "adjuster clearance"),
    ("f_s", r"f_s", "mm", "shaft float"),
    ("f_b", r"f_b", "mm", "axial play of the release bearing"),
    ("R", r"R", "N", "rod force"),
    ("k_R", r"k_R", "N/mm", "stiffness of rod, fingers, mount and cover, at the rod"),
    ("k_1", r"k_1", "N/mm", "stiffness of the rod as measured"),
    ("k_2", r"k_2", "N/mm", "stiffness of the rod from its length and diameter"),
    ("k_f", r"k_f", "N/mm", "stiffness of the fingers"),
    ("k_m", r"k_m", "N/mm", "stiffness of the mount"),
    ("k_a", r"k_a", "N/mm", "axial stiffness of the release bearing"),
    ("k_p", r"k_p", "N/mm", "stiffness measured at the plate"),
    ("L_r", r"L_r", "mm", "length of the rod"),
    ("d_r", r"d_r", "mm", "diameter of the rod"),
    ("E_r", r"E_r", "MPa", "modulus of the rod's steel"),
    ("v", r"v", "mm", "flex of the rod"),
)

_SPRING = (
    ("δ_0", r"\delta_0", "mm", "spring deflection at rest"),
    ("δ", r"\delta", "mm", "spring deflection"),
    ("F", r"F", "N", "spring load"),
    ("ζ", r"\zeta", "", "share of the spring load lost to friction, each way"),
    ("D_e", r"D_e", "mm", "disc: outside diameter"),
    ("D_i", r"D_i", "mm", "disc: inside diameter"),
    ("t", r"t", "mm", "disc: thickness"),
    ("h_0", r"h_0", "mm", "disc: free cone height without the thickness"),
    ("E", r"E", "MPa", "disc: modulus of its steel"),
    ("ν", r"\nu", "", "disc: Poisson's ratio"),
    ("n_p", r"n_p", "", "discs in parallel"),
    ("n_s", r"n_s", "", "discs in series"),
    ("Δ", r"\Delta", "", "disc: outside over inside diameter"),
    ("K_1", r"K_1", "", "disc: constant of its diameters"),
    ("K", r"K", "", "disc: edge distance over distance of force and support"),
    ("D_F", r"D_F", "mm", "disc: diameter where the force acts"),
    ("D_S", r"D_S", "mm", "disc: diameter of its support"),
    ("C_F", r"C_F", "N/mm³", "disc: what its steel and diameters are worth"),
    ("s_d0", r"s_{d0}", "mm", "edge deflection of one disc, at rest"),
    ("s_d", r"s_d", "mm", "edge deflection of one disc"),
    ("n_c", r"n_c", "", "number of coil springs"),
    ("c", r"c", "N/mm", "rate of one coil spring"),
    ("H_f", r"H_f", "mm", "height of the free spring"),
    ("G", r"G", "mm", "height the stack leaves for the spring"),
    ("W_s", r"W_s", "N·mm", "rise of the spring's energy"),
    ("W_s0", r"W_{s0}", "N·mm", "energy of the spring at rest"),
    ("W_s1", r"W_{s1}", "N·mm", "energy of the spring at full lever"),
)

_STACK = (
    ("B_r", r"B_r", "mm", "basket face to rim"),
    ("q_b", r"q_b", "mm", "skimmed off the basket face"),
    ("q_r", r"q_r", "mm", "skimmed off the rim"),
    ("q_p", r"q_p", "mm", "skimmed off the pressure plate"),
    ("B_c", r"B_c", "mm", "recess of the cover"),
    ("B_s", r"B_s", "mm", "shims"),
    ("B_f", r"B_f", "mm", "friction plate under load"),
    ("B_f0", r"B_{f0}", "mm", "friction plate free"),
    ("B_q", r"B_q", "mm", "plain plate"),
    ("B_p", r"B_p", "mm", "pressure plate"),
)

_FACES = (
    ("n", r"n", "", "friction plates"),
    ("n_q", r"n_q", "", "plain plates"),
    ("x", r"x", "mm", "plate lift"),
    ("x_s", r"x_s", "mm", "plate lift, with slack and float left counted below zero"),
    ("N", r"N", "N", "clamp force between the faces"),
    ("N_0", r"N_0", "N", "clamp force at rest"),
    ("H", r"H", "N", "load the faces still carry, spring friction included"),
    ("w_c", r"w_c", "mm", "cushion travel of the pack"),
    ("N_c", r"N_c", "N", "load at which the cushion has that travel"),
    ("c_0", r"c_0", "mm", "cushion compression at rest"),
    ("S", r"S", "mm", "separation of the whole pack"),
    ("S_n", r"S_n", "mm", "separation needed to run clear"),
    ("g", r"g", "mm", "clearance per face"),
    ("w_p", r"w_p", "mm", "run-out of a friction plate"),
    ("w_q", r"w_q", "mm", "run-out of a plain plate"),
    ("w_b", r"w_b", "mm", "run-out of the basket face"),
    ("w_pp", r"w_{pp}", "mm", "run-out of the pressure plate"),
    ("w_t", r"w_t", "mm", "tilt of the lift"),
    ("τ", r"\tau", ANGLE, "angle between run-out of the pressure plate and tilt"),
    ("w_P", r"w_P", "mm", "run-out and tilt of the pressure plate together"),
    ("D_w", r"D_w", "mm", "diameter at which the run-outs were read"),
    ("D_o", r"D_o", "mm", "facing: outside diameter"),
    ("d_o", r"d_o", "mm", "facing: inside diameter"),
    ("μ_f", r"\mu_f", "", "friction of the facing"),
    ("z", r"z", "", "friction faces that carry torque"),
    ("M_c", r"M_c", "N·mm", "torque the clutch holds"),
    ("M_e", r"M_e", "N·mm", "torque the clutch must carry"),
    ("M_m", r"M_m", "N·mm", "torque of the engine"),
    ("i_p", r"i_p", "", "primary ratio"),
    ("k_e", r"k_e", "", "peak factor of the engine"),
    ("σ", r"\sigma", "", "slip margin"),
    ("p_f", r"p_f", "MPa", "facing pressure"),
    ("A_i", r"A_i", "", "ideal advantage: hand travel over rod travel, geometry alone"),
    ("A_r", r"A_r", "", "advantage: rod force over hand force"),
    ("W_c", r"W_c", "N·mm", "energy given back by the cushion"),
    ("W_r", r"W_r", "N·mm", "energy of the arm's return spring"),
    ("F_0", r"F_0", "N", "effort floor"),
)

# What is left of the lift after each item of the budget, in the budget's order.
_LEFT_AFTER = (
    "geometry alone",
    "free play",
    "lever flex",
    "cable stretch",
    "shaft wind-up",
    "end float",
    "rod flex",
    "stop",
    "cushion",
    "run-out and tilt",
)
_BUDGET = tuple(
    (f"x_{k}", f"x_{{{k}}}", "mm", f"lift left after {item}" if k else "lift of the geometry alone")
    for k, item in enumerate(_LEFT_AFTER)
)

QUANTITIES: dict[str, Quantity] = {
    row[0]: Quantity(*row)
    for group in (_LEVER, _CABLE, _ARM, _RELEASE, _ROD, _SPRING, _STACK, _FACES, _BUDGET)
    for row in group
}
"""Every symbol by its plain name."""


def quantity(plain: str) -> Quantity:
    """Return a quantity; a trailing prime gives the one of letting back."""
    if plain.endswith("'"):
        base = quantity(plain[:-1])
        meaning = f"{base.meaning}, letting back"
        return Quantity(plain, f"{base.latex}'", base.unit, meaning)
    return QUANTITIES[plain]


@cache
def sym(plain: str) -> Any:
    """Return the SymPy symbol of a quantity."""
    import sympy

    return sympy.Symbol(quantity(plain).plain, real=True)


def syms(names: str) -> tuple[Any, ...]:
    """Return the SymPy symbols of several quantities, their names parted by blanks."""
    return tuple(sym(name) for name in names.split())
