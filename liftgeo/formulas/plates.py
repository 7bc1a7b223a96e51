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
    for step in law.first:
        sheet.work(*step)
    if law.free_height is not None and not known:
        sheet.work(*law.free_height)
    if has(case.parts.spring_friction):
        sheet.given("ζ", case.parts.spring_friction, "spring.friction")
    if known:
        sheet.given("δ_0", keys["spring.installed_deflection"], "spring.installed_deflection")
        return
    if "spring.installed_length" in keys:
        sheet.given("G", keys["spring.installed_length"], "spring.installed_length")
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
    depth = sheet.given("B_r", keys["stack.rim_depth"], "stack.rim_depth")
    for name, key, sign in (
        ("q_b", "basket_face_skim", 1),
        ("q_r", "rim_skim", -1),
        ("B_c", "cover_recess", 1),
        ("B_s", "shims", 1),
    ):
        if has(number(keys, f"stack.{key}")):
            value = sheet.given(name, keys[f"stack.{key}"], f"stack.{key}")
            depth = depth + value if sign > 0 else depth - value
    plates = sheet.given("n", keys["faces.friction_plates"], "faces.friction_plates")
    if "stack.friction_plate" in keys:
        sheet.given("B_f", keys["stack.friction_plate"], "stack.friction_plate")
    else:
        free = sheet.given("B_f0", keys["stack.friction_plate_free"], "stack.friction_plate_free")
        if has(case.parts.faces.cushion_travel_mm):
            _cushion_travel(sheet, case)
            free = free - sym("w_c") / plates
        sheet.work("B_f", free)
    depth = depth - (plates * sym("B_f") if keys["faces.friction_plates"] != 1 else sym("B_f"))
    if has(plain_plates(keys)) and has(number(keys, "stack.plain_plate")):
        sheet.given("n_q", plain_plates(keys), "plain plates")
        sheet.given("B_q", keys["stack.plain_plate"], "stack.plain_plate")
        depth = depth - sym("n_q") * sym("B_q")
    depth = depth - sheet.given("B_p", keys["stack.pressure_plate"], "stack.pressure_plate")
    if has(number(keys, "stack.pressure_plate_skim")):
        skim = keys["stack.pressure_plate_skim"]
        depth = depth + sheet.given("q_p", skim, "stack.pressure_plate_skim")
    sheet.work("G", depth)


def _cushion_travel(sheet: Sheet, case: Case) -> None:
    if "w_c" not in sheet.numbers:
        sheet.given("w_c", case.parts.faces.cushion_travel_mm, "faces.cushion_travel")


def at_rest(expression: Any) -> Any:
    """Return a spring's expression at its deflection at rest."""
    return substituted(expression, {"δ": sym("δ_0"), "s_d": sym("s_d0")})


def spring_load(sheet: Sheet, case: Case) -> None:
    """Work out the spring load at the deflection δ."""
    for step in (*case.spring.edge, Step("F", case.spring.load)):
        sheet.work(*step)


def clamp_force(sheet: Sheet, case: Case) -> None:
    """Work out the spring load at rest, which is the clamp force."""
    for name, expression, _ in case.spring.edge:
        sheet.work(f"{name}0", at_rest(expression))
    sheet.work("N_0", at_rest(case.spring.load), "", "capacity.clamp_force_n")


@as_written
def cushion(sheet: Sheet, case: Case) -> None:
    """Work out the cushion compression at rest."""
    faces, keys = case.parts.faces, case.keys
    if not has(faces.cushion_travel_mm):
        return
    _cushion_travel(sheet, case)
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
    for name, key in (
        ("w_p", "plate_runout"),
        ("w_q", "plain_plate_runout"),
        ("w_b", "basket_runout"),
        ("w_pp", "pressure_plate_runout"),
    ):
        value = number(keys, f"faces.{key}")
        if name != "w_q" or (has(value) and has(plain_plates(keys))):
            sheet.given(name, value, f"faces.{key}")
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
    if "n" not in sheet.numbers:
        sheet.given("n", keys["faces.friction_plates"], "faces.friction_plates")
    _run_outs(sheet, case)
    plates = sym("n") * sym("w_p")
    if "w_q" in sheet.numbers:
        if "n_q" not in sheet.numbers:
            sheet.given("n_q", plain_plates(keys), "plain plates")
        plates = plates + sym("n_q") * sym("w_q")
    total = plates + (sym("w_b") + sym("w_P")) / 2
    outside = keys["faces.outside_diameter"]
    if number(keys, "faces.runout_diameter", outside) != outside:
        sheet.given("D_o", outside, "faces.outside_diameter")
        sheet.given("D_w", keys["faces.runout_diameter"], "faces.runout_diameter")
        total = sym("D_o") / sym("D_w") * total
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
        sheet.given("M_m", keys["engine.torque"] * NMM_PER_NM, "engine.torque")
        asked = sym("M_m")
        for name, key in (("i_p", "primary_ratio"), ("k_e", "peak_factor")):
            if number(keys, f"engine.{key}", 1.0) != 1.0:
                asked = asked * sheet.given(name, keys[f"engine.{key}"], f"engine.{key}")
        sheet.work("M_e", asked)
        sheet.work("σ", sym("M_c") / sym("M_e"), "", "capacity.slip_margin")
    area = sympy.pi * (outside**2 - inside**2)
    sheet.work("p_f", 4 * clamp / area, "", "capacity.facing_pressure_mpa")
