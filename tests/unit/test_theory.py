"""docs/theory.md has every section that the code points to, and its formulas can be set."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from matplotlib.mathtext import MathTextParser

import liftgeo

CHECKOUT = Path(__file__).resolve().parents[2]
PAGE = (CHECKOUT / "docs" / "theory.md").read_text(encoding="utf-8")
HEADINGS = re.findall(r"^## (.+)$", PAGE, re.MULTILINE)
_REFERENCE = re.compile(r"docs/theory\.md,\s+\"?([A-Z][A-Za-z ]+)")


def references() -> list[str]:
    """Return the sections that docstrings and sources in the package name."""
    found = []
    for path in sorted((CHECKOUT / "liftgeo").rglob("*.py")):
        text = re.sub(r"\s+", " ", path.read_text(encoding="utf-8"))
        found += [m.strip() for m in _REFERENCE.findall(text)]
    return found


def anchor(heading: str) -> str:
    """Return the link of a heading as GitHub makes it."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


def test_every_section_that_the_code_names_is_there() -> None:
    found = references()
    assert len(found) > 8
    assert sorted({name for name in found if name not in HEADINGS}) == []


def test_every_section_is_in_the_contents_and_every_link_leads_somewhere() -> None:
    links = re.findall(r"\]\(#([\w-]+)\)", PAGE)
    anchors = [anchor(h) for h in HEADINGS]
    assert sorted(set(anchors) - set(links)) == []
    assert sorted(set(links) - set(anchors)) == []


def test_what_the_page_says_of_the_example_is_so() -> None:
    """The last paragraph of "What is left out" quotes the built-in example."""
    base = liftgeo.load(CHECKOUT / "tests" / "base_clutch.toml")
    stock = liftgeo.stroke(base)

    def changed(key: str, more: float) -> tuple[str, str, str]:
        other = liftgeo.stroke(base.changed({key: base.keys[key] + more}))
        lift = other.full_lever.plate_lift_mm - stock.full_lever.plate_lift_mm
        share = 100 * lift / stock.full_lever.plate_lift_mm
        clamp = other.capacity.clamp_force_n / stock.capacity.clamp_force_n
        return f"{abs(lift):.3f} mm", f"({abs(share):.0f} %)", f"{100 * (clamp - 1):.1f} %"

    said = re.sub(r"\s+", " ", PAGE.split("Measurement matters more", 1)[1])
    lift, share, _ = changed("rod.end_float", 0.1)
    assert f"0.1 mm more end float takes {lift} of lift {share}" in said
    lift, share, _ = changed("cable.free_play", 0.1)
    assert f"0.1 mm more free play {lift} {share}" in said
    lift, share, _ = changed("release.ramp_angle", 1.0)
    assert f"1 deg more ramp gives {lift} {share}" in said
    assert f"0.02 mm thicker clamps {changed('spring.thickness', 0.02)[2]} harder" in said


def _formulas() -> list[str]:
    blocks = re.findall(r"^\$\$\n(.*?)\n\$\$$", PAGE, re.MULTILINE | re.DOTALL)
    rest = re.sub(r"^\$\$\n.*?\n\$\$$", "", PAGE, flags=re.MULTILINE | re.DOTALL)
    assert rest.count("$") % 2 == 0
    return blocks + re.findall(r"\$([^$]+)\$", rest)


_KNOWN_TO_GITHUB_ALONE = (
    (r"\\text\{([^}]*)\}", r"\\mathrm{\1}"),
    (r"\\tfrac(\d)(\d)", r"\\frac{\1}{\2}"),
    (r"\\tfrac(\d)\\(\w+)", r"\\frac{\1}{\\\2}"),
    (r"\\tfrac", r"\\frac"),
    (r"\\dfrac", r"\\frac"),
    (r"\\frac(\d)(\w)", r"\\frac{\1}{\2}"),
    (r"\\frac(\d)\\(\w+)", r"\\frac{\1}{\\\2}"),
    (r"\\sqrt (\d)", r"\\sqrt{\1}"),
    (r"\\[bB]ig", ""),
    (r"\\le ", r"\\leq "),
    (r"\\ge ", r"\\geq "),
    ("°", r"^{\\circ}"),
)
"""LaTeX that is right, but that the parser of this test has under another name."""


@pytest.mark.parametrize("formula", sorted(set(_formulas())))
def test_every_formula_can_be_set(formula: str) -> None:
    text = formula.replace("\n", " ")
    for pattern, other in _KNOWN_TO_GITHUB_ALONE:
        text = re.sub(pattern, other, text)
    assert MathTextParser("path").parse(f"${text}$").width > 0
