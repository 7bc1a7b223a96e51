"""The plates' end of the working: spring, stack, cushion, needed separation, capacity."""

from __future__ import annotations

from typing import Any

import numpy as np
import sympy

from liftgeo.formulas.inputs import Case, has, put_down
from liftgeo.formulas.registry import Step, as_written, substituted
from liftgeo.formulas.sheet import Sheet
from liftgeo.formulas.symbols import sym, syms
from liftgeo.mechanism.convert import NMM_PER_NM, number, plain_plates
from liftgeo.mechanism.following import FOLLOWS
from liftgeo.mechanism.runouts import lift_tilt


@as_written
def spring_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the spring and its deflection at rest."""
    spring, keys, law = case.parts.spring, case.keys, case.spring
    known = "spring.installed_deflection" in keys
    put_down(sheet, spring, "spring", (i for i in law.inputs if not (known and i.name == "H_f")))
    if sym("K") in law.load.free_symbols:
        force, support = _circles(case)
        sheet.given("D_F", force, "spring.force_diameter")
        sheet.given("D_S", support, "spring.support_diameter")
        apart = sym("D_F") - sym("D_S") if force > support else sym("D_S") - sym("D_F")
        sheet.work("K", (sym("D_e") - sym("D_i")) / apart)
    sheet.steps(law.first)
    if law.free_height is not None and not known:
        sheet.work(*law.free_height)
    sheet.those(("ζ", "spring.friction"))
    if known:
        sheet.key("δ_0", "spring.installed_deflection")
        return
    if "spring.installed_length" in keys:
        sheet.key("G", "spring.installed_length")
    else:
        _stack(sheet, case)
    sheet.work("δ_0", sym("H_f") - sym("G"))


def _circles(case: Case) -> tuple[float, float]:
    """Return the diameters of force and support; one not given is the edge across."""
    outside, inside = (case.keys[f"spring.{e}_diameter"] for e in ("outside", "inside"))
    force, support = (case.keys.get(f"spring.{e}_diameter") for e in ("force", "support"))
    known = support if force is None else force
    assert known is not None
    across = outside if known < (outside + inside) / 2 else inside
    return (across if force is None else force), (across if support is None else support)


def _stack(sheet: Sheet, case: Case) -> None:
    keys = case.keys
    depth = sheet.key("B_r", "stack.rim_depth")
    for name, key in (
        ("q_b", "stack.basket_face_skim"),
        ("q_r", "stack.rim_skim"),
        ("B_c", "stack.cover_recess"),
        ("B_s", "stack.shims"),
    ):
        for value in sheet.those((name, key)):
            depth = depth - value if name == "q_r" else depth + value
    plates = sheet.key("n", "faces.friction_plates")
    if "stack.friction_plate" in keys:
        sheet.key("B_f", "stack.friction_plate")
    else:
        free = sheet.key("B_f0", "stack.friction_plate_free")
        for travel in sheet.those(("w_c", "faces.cushion_travel")):
            free = free - travel / plates
        sheet.work("B_f", free)
    depth = depth - (plates * sym("B_f") if keys["faces.friction_plates"] != 1 else sym("B_f"))
    if has(plain_plates(keys)) and has(number(keys, "stack.plain_plate")):
        sheet.given("n_q", plain_plates(keys), "plain plates")
        depth = depth - sym("n_q") * sheet.key("B_q", "stack.plain_plate")
    depth = depth - sheet.key("B_p", "stack.pressure_plate")
    for skim in sheet.those(("q_p", "stack.pressure_plate_skim")):
        depth = depth + skim
    sheet.work("G", depth)


def at_rest(expression: Any) -> Any:
    """Return a spring's expression at its deflection at rest."""
    return substituted(expression, {"δ": sym("δ_0"), "s_d": sym("s_d0")})


def spring_load(sheet: Sheet, case: Case) -> None:
    """Work out the spring load at the deflection δ."""
    sheet.steps((*case.spring.edge, Step("F", case.spring.load)))


def clamp_force(sheet: Sheet, case: Case) -> None:
    """Work out the spring load at rest, which is the clamp force."""
    for name, expression, _ in case.spring.edge:
        sheet.work(f"{name}0", at_rest(expression))
    sheet.work("N_0", at_rest(case.spring.load), "", "capacity.clamp_force_n")


@as_written
def cushion(sheet: Sheet, case: Case) -> None:
    """Work out the cushion compression at rest."""
    faces, keys = case.parts.faces, case.keys
    if not sheet.those(("w_c", "faces.cushion_travel")):
        return
    if "faces.cushion_load" in keys:
        sheet.given("N_c", faces.cushion_load_n, "faces.cushion_load")
    elif np.isclose(faces.cushion_load_n, sheet.numbers["N_0"], rtol=1e-12):
        sheet.work("N_c", sym("N_0"), "the cushion is measured under the clamp force")
    else:
        sheet.found("N_c", faces.cushion_load_n, "clamp force of the unchanged file")
    sheet.work("c_0", sym("w_c") * sym("N_0") / sym("N_c"))


def _run_outs(sheet: Sheet, case: Case) -> None:
    """Put down the run-outs; work out what the pressure plate's and its tilt come to together."""
    keys = case.keys
    sheet.key("w_p", "faces.plate_runout")
    if has(plain_plates(keys)):
        sheet.those(("w_q", "faces.plain_plate_runout"))
    sheet.key("w_b", "faces.basket_runout")
    sheet.key("w_pp", "faces.pressure_plate_runout")
    value, direction = lift_tilt(keys)
    if keys.get("faces.rim_heights") is None:
        sheet.given("w_t", value, "faces.lift_tilt")
    else:
        sheet.found("w_t", value, "plane through faces.rim_heights, at the run-outs' diameter")
    run_out, tilt = syms("w_pp w_t")
    highest = keys.get("faces.pressure_plate_runout_angle")
    if highest is None or direction is None:
        sheet.work("w_P", run_out + tilt, "both ride on the pressure plate")
        return
    between = np.radians(float(highest) - float(direction))
    sheet.found("τ", between, "between where the run-out and where the lift is greatest")
    square = run_out**2 + tilt**2 + 2 * run_out * tilt * sympy.cos(sym("τ"))
    sheet.work("w_P", sympy.sqrt(square), "both ride on the pressure plate")


@as_written
def needed(sheet: Sheet, case: Case) -> None:
    """Work out the separation that runs clear."""
    keys = case.keys
    count = sheet.key("n", "faces.friction_plates")
    _run_outs(sheet, case)
    plates = count * sym("w_p")
    if "w_q" in sheet.numbers:
        if "n_q" not in sheet.numbers:
            sheet.given("n_q", plain_plates(keys), "plain plates")
        plates = plates + sym("n_q") * sym("w_q")
    total = plates + (sym("w_b") + sym("w_P")) / 2
    outside = keys["faces.outside_diameter"]
    if number(keys, "faces.runout_diameter", outside) != outside:
        read_at = (
            sheet.key("D_o", "faces.outside_diameter"),
            sheet.key("D_w", "faces.runout_diameter"),
        )
        total = read_at[0] / read_at[1] * total
    sheet.work("S_n", total, "", "full_lever.needed_mm")


@as_written
def capacity(sheet: Sheet, case: Case) -> None:
    """Work out the torque the clutch holds, slip margin and facing pressure."""
    faces, keys = case.parts.faces, case.keys
    sheet.given("μ_f", faces.friction, "faces.friction")
    sheet.given("z", faces.friction_faces, "faces.friction_faces")
    sheet.given("D_o", faces.outside_mm, "faces.outside_diameter")
    sheet.given("d_o", faces.inside_mm, "faces.inside_diameter")
    clamp, outside, inside = syms("N_0 D_o d_o")
    held = sym("μ_f") * clamp * sym("z") * (outside + inside) / 4
    per_nm = 1 / NMM_PER_NM
    sheet.work("M_c", held, "run-in faces, uniform wear", "capacity.torque_nm", per_nm)
    if keys.get("engine.torque") is not None:
        torque = keys["engine.torque"] * NMM_PER_NM
        source, words = FOLLOWS["engine.torque"]
        if source in keys:
            sheet.found("M_m", torque, words)
        else:
            sheet.given("M_m", torque, "engine.torque")
        asked = sym("M_m")
        rows = ("i_p", "engine.primary_ratio"), ("k_e", "engine.peak_factor")
        for factor in sheet.those(*rows, but=1.0):
            asked = asked * factor
        sheet.work("M_e", asked)
        sheet.work("σ", sym("M_c") / sym("M_e"), "", "capacity.slip_margin")
    area = sympy.pi * (outside**2 - inside**2)
    sheet.work("p_f", 4 * clamp / area, "", "capacity.facing_pressure_mpa")
