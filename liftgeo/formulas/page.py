"""Writes a working as plain text, Markdown with LaTeX, LaTeX, or HTML for a notebook."""

from __future__ import annotations

import html
import textwrap
from collections.abc import Callable
from typing import TYPE_CHECKING

from liftgeo.outcome.html_table import html_table
from liftgeo.plain_text import in_markdown, one_line
from liftgeo.safety import WORK_SAFELY

if TYPE_CHECKING:
    from liftgeo.formulas.result import Formula, Identity, Line, Section

_UNITS = {
    "metric": "Lengths in mm, forces in N, torques in N·mm",
    "inch": "Lengths in inches, forces in lbf, torques in lbf·in",
}
HOW_TO_READ = (
    "{units}, angles in deg or, where they are multiplied, "
    "in rad. Six figures are carried so that a pocket calculator gets the same answer; no "
    "measurement is that good. What the file does not have (a loss of zero, a rigid part) is "
    "left out. The sections in symbols show where each formula comes from; who only wants the "
    "numbers begins at the first section as measured and finds the answer in the last."
)
_WIDTH = 96


def how_to_read(working: Formula) -> str:
    """Return what the units are, and what is carried and left out."""
    return HOW_TO_READ.format(units=_UNITS[working.units])


def _headline(working: Formula, name: Callable[[str], str] = one_line) -> str:
    title = name(working.title)
    title += f" with {name(working.change)}" if working.change else ""
    return f"The working of: {title}" if title else "The working"


# --- plain text ---


def text(working: Formula) -> str:
    """Return the working as plain text for a terminal."""
    lines = [_headline(working), "", *textwrap.wrap(how_to_read(working), _WIDTH)]
    for number, section in enumerate(working.sections, 1):
        title = f"{number}. {section.title}"
        lines += ["", title, "-" * len(title)]
        lines += [*textwrap.wrap(section.words, _WIDTH), ""]
        for item in section.items:
            lines += _text_item(item)
    return "\n".join([*lines, "", *textwrap.wrap(WORK_SAFELY, _WIDTH)])


def _text_item(item: Line | Identity) -> list[str]:
    name, *rest = item.sides()
    if item.kind == "identity":
        head = textwrap.wrap(item.words + ":", _WIDTH - 2)
        return [*(f"  {line}" for line in head), f"    {name} = {rest[0]}", f"    [{item.shown}]"]
    one = f"  {name} = " + " = ".join(rest)
    if item.kind == "given" or len(one) <= 40:
        return [one.ljust(30) + f"  {item.words}"]
    more = [" " * (len(name) + 2) + f" = {side}" for side in rest[1:]]
    return [f"  {item.words}:", f"  {name} = {rest[0]}", *more]


# --- Markdown and LaTeX ---


def _aligned(sides: list[str]) -> list[str]:
    if len(sides) == 2:
        return [f"{sides[0]} = {sides[1]}"]
    first = rf"{sides[0]} &= {sides[1]} \\"
    rest = [rf"&= {side} \\" for side in sides[2:-1]]
    return [r"\begin{aligned}", first, *rest, f"&= {sides[-1]}", r"\end{aligned}"]


def markdown(working: Formula) -> str:
    """Return the working as Markdown with LaTeX between dollar signs."""
    lines = [f"# {_headline(working, in_markdown)}", "", how_to_read(working)]
    for number, section in enumerate(working.sections, 1):
        lines += ["", f"## {number}. {section.title}", ""]
        lines += [section.words, ""] if section.words else []
        lines += _markdown_items(section)
    return "\n".join([*lines, "", WORK_SAFELY])


def _markdown_items(section: Section) -> list[str]:
    lines: list[str] = []
    in_table = False
    for item in section.items:
        sides = item.sides(latex=True)
        if item.kind == "given":
            lines += [] if in_table else ["| symbol | value | what | from |", "|---|---|---|---|"]
            in_table = True
            # A thin space is backslash and comma; Markdown tables would eat the backslash.
            name, value = (side.replace("\\,", "~") for side in sides)
            lines.append(f"| ${name}$ | ${value}$ | {item.quantity.meaning} | {item.remark} |")
            continue
        lines += [""] if in_table else []
        in_table = False
        lines += [f"{item.words}:", "", "$$", *_aligned(sides), "$$", ""]
        lines += [f"*{item.shown}*", ""] if item.kind == "identity" else []
    return lines


def latex(working: Formula) -> str:
    """Return the working as a whole LaTeX document (amsmath alone)."""
    lines = [
        r"\documentclass[a4paper]{article}",
        r"\usepackage[utf8]{inputenc}",
        r"\usepackage[T1]{fontenc}",
        r"\usepackage{amsmath}",
        r"\allowdisplaybreaks",
        rf"\title{{{_escaped(_headline(working))}}}",
        r"\date{}",
        r"\begin{document}",
        r"\maketitle",
        _escaped(how_to_read(working)),
    ]
    for section in working.sections:
        lines += ["", rf"\section{{{_escaped(section.title)}}}", _escaped(section.words)]
        for item in section.items:
            lines += ["", *_latex_item(item)]
    return "\n".join([*lines, "", r"\bigskip\noindent " + _escaped(WORK_SAFELY), r"\end{document}"])


def _latex_item(item: Line | Identity) -> list[str]:
    sides, words = item.sides(latex=True), _escaped(item.words)
    if item.kind == "given":
        return [rf"\noindent ${sides[0]} = {sides[1]}$: {words}"]
    lines = [rf"\noindent {words}:", r"\[", *_aligned(sides), r"\]"]
    return [*lines, rf"\emph{{{_escaped(item.shown)}}}"] if item.kind == "identity" else lines


_SPECIAL = {"\\": r"\textbackslash{}", "~": r"\textasciitilde{}", "^": r"\textasciicircum{}"}
_SPECIAL |= {c: rf"\{c}" for c in "&%$#_{}"}
_SPECIAL |= {"·": r"$\cdot$", "δ": r"$\delta$", "φ": r"$\varphi$", "θ": r"$\theta$"}
_SPECIAL |= {"ℓ": r"$\ell$", "ψ": r"$\psi$", "±": r"$\pm$", "°": r"$^{\circ}$"}


def _escaped(text: str) -> str:
    return "".join(_SPECIAL.get(c, c) for c in text)


# --- for a notebook ---


def equations(working: Formula) -> str:
    """Return every equation in LaTeX, one below the other, and the caution."""
    lines = [
        rf"{sides[0]} &= {' = '.join(sides[1:])} \\"
        for section in working.sections
        for sides in (item.sides(latex=True) for item in section.items)
    ]
    said = rf"&\text{{{WORK_SAFELY}}}"
    return "\n".join([r"$\displaystyle \begin{aligned}", *lines, said, r"\end{aligned}$"])


def table(working: Formula) -> str:
    """Return the numbers as an HTML table, and the caution."""
    rows: list[tuple[str, ...]] = []
    for section in working.sections:
        cells = [(*line.shown, line.words) for line in section.lines]
        rows += [(section.title,), *cells] if cells else []
    return f"{html_table(_headline(working), rows)}<p>{html.escape(WORK_SAFELY)}</p>"
