"""What a ± stands for: the end gauge of the guide to uncertainty, combined to first order.

Source: JCGM 100 (GUM), example H.1, calibration of an end gauge, read in the documentation of a
measurement institute's library (MSL, GTC: "Gauge block measurement (GUM H1)"). Published: standard
uncertainty 32 nm; components 25, 16.599, 6.7, 5.8, 3.9 and 2.88679 nm. The inputs are written
here as a geometry file would hold them: ± is two standard uncertainties, or a limit with `uniform`.
With second-order terms the guide gives 34 nm; they are left out here.
"""

from __future__ import annotations

import math

from cases import each_holds, printed

from liftgeo.quantities import Measured, read

GUM = "JCGM 100, Guide to the expression of uncertainty, example H.1 (through a library's pages)"
NM_PER_MM = 1e6
EXPANSION_PER_K, OFF_K = 11.5e-6, -0.1  # the standard's expansion, and how far it is off 20 degC


def uncertainty(text: str, dimension: str) -> float:
    """Return the standard uncertainty of a number as a file gives it, in the bare unit."""
    found = read(text, dimension)
    assert isinstance(found, Measured)
    return found.standard_uncertainty


def components_nm() -> dict[str, float]:
    standard_nm = float(read("50000623 ± 50 nm", "length")) * NM_PER_MM
    parts = {
        "standard": uncertainty("50000623 ± 50 nm", "length") * NM_PER_MM,
        "comparator, observations": uncertainty("215 ± 11.6 nm", "length") * NM_PER_MM,
        "comparator, random": uncertainty("0 ± 7.8 nm", "length") * NM_PER_MM,
        "comparator, systematic": uncertainty("0 ± 13.4 nm", "length") * NM_PER_MM,
    }
    apart_k = uncertainty("0 ± 0.05 K uniform", "temperature")
    parts["temperature apart"] = standard_nm * EXPANSION_PER_K * apart_k
    unlike = uncertainty("0 ± 0.000001 1/K uniform", "expansion")
    parts["expansions apart"] = standard_nm * abs(OFF_K) * unlike
    return parts


def component(name: str) -> float:
    return components_nm()[name]


CASES = (
    printed(GUM, "end gauge", "component: standard", "nm", "25", lambda: component("standard")),
    printed(GUM, "end gauge", "component: temperature apart", "nm", "16.599",
            lambda: component("temperature apart")),
    printed(GUM, "end gauge", "component: expansions apart", "nm", "2.88679",
            lambda: component("expansions apart")),
    printed(GUM, "end gauge", "combined standard uncertainty", "nm", "32",
            lambda: math.hypot(*components_nm().values())),
)  # fmt: skip


test_the_end_gauge = each_holds(CASES)
