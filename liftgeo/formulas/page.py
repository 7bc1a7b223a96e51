"""Writes a working as plain text, Markdown with LaTeX, LaTeX, or plain data."""

from __future__ import annotations

import textwrap
from typing import Any

from liftgeo.formulas.script import Latex, Script
from liftgeo.formulas.sheet import Identity, Line, Section, Working

HOW_TO_READ = (
    "Lengths in mm, forces in N, torques in N·mm, angles in deg or, where they are multiplied, "
    "in rad. Six figures are carried so that a pocket calculator gets the same answer; no "
    "measurement is that good. What the file does not have (a loss of zero, a rigid part) is "
    "left out. The sections in symbols show where each formula comes from; who only wants the "
    "numbers begins at the first section as measured and finds the answer in the last."
)
_WIDTH = 96


# --- plain text ---


def as_text(working: Working) -> str:
    """Return the working as plain text for a terminal."""
    head = _headline(working)
    lines = [head, "", *textwrap.wrap(HOW_TO_READ, _WIDTH)]
    for number, section in enumerate(working.sections, 1):
        title = f"{number}. {section.title}"
        lines += ["", title, "-" * len(title)]
        if section.words:
            lines += textwrap.wrap(section.words, _WIDTH)
        lines.append("")
        for item in section.items:
            lines += _text_line(item) if isinstance(item, Line) else _text_identity(item)
    return "\n".join(lines)


def _headline(working: Working) -> str:
    title = f"{working.title} with {working.change}" if working.change else working.title
    return f"The working of: {title}" if title else "The working"


def _text_line(line: Line) -> list[str]:
    sides = line.parts(Script)
    words = line.quantity.meaning + (f" ({line.note})" if line.note else "")
    if line.kind == "given":
        return [f"  {sides[0]} = {sides[1]}".ljust(30) + f"  {words}"]
    name, rest = sides[0], sides[1:]
    one = f"  {name} = " + " = ".join(rest)
    if len(one) <= 40:
        return [one.ljust(30) + f"  {words}"]
    written = [f"  {name} = {rest[0]}"]
    written += [" " * (len(name) + 2) + f" = {side}" for side in rest[1:]]
    return [f"  {words}:", *written]


def _text_identity(item: Identity) -> list[str]:
    return [
        *textwrap.wrap(item.words + ":", _WIDTH, initial_indent="  ", subsequent_indent="  "),
        f"    {item.left[0]} = {item.right[0]}",
        f"    [{item.shown}]",
    ]


# --- Markdown and LaTeX ---


def as_markdown(working: Working) -> str:
    """Return the working as Markdown with LaTeX between dollar signs."""
    lines = [f"# {_headline(working)}", "", HOW_TO_READ]
    for number, section in enumerate(working.sections, 1):
        lines += ["", f"## {number}. {section.title}", ""]
        if section.words:
            lines += [section.words, ""]
        lines += _markdown_items(section)
    return "\n".join(lines)


def _markdown_items(section: Section) -> list[str]:
    lines: list[str] = []
    table = False
    for item in section.items:
        if isinstance(item, Line) and item.kind == "given":
            if not table:
                lines += ["| symbol | value | what | from |", "|---|---|---|---|"]
            table = True
            # A thin space is backslash and comma; Markdown tables would eat the backslash.
            name, value = (side.replace("\\,", "~") for side in item.parts(Latex))
            lines.append(f"| ${name}$ | ${value}$ | {item.quantity.meaning} | {item.note} |")
            continue
        if table:
            lines.append("")
            table = False
        if isinstance(item, Line):
            words = item.quantity.meaning + (f" ({item.note})" if item.note else "")
            lines += [f"{words}:", "", "$$", *_aligned(item.parts(Latex)), "$$", ""]
        else:
            sides = [item.left[1], item.right[1]]
            lines += [f"{item.words}:", "", "$$", *_aligned(sides), "$$", "", f"*{item.shown}*", ""]
    return lines


def _aligned(sides: list[str]) -> list[str]:
    if len(sides) == 2:
        return [f"{sides[0]} = {sides[1]}"]
    first = rf"{sides[0]} &= {sides[1]} \\"
    rest = [rf"&= {side} \\" for side in sides[2:-1]]
    return [r"\begin{aligned}", first, *rest, f"&= {sides[-1]}", r"\end{aligned}"]


def as_latex(working: Working) -> str:
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
        _escaped(HOW_TO_READ),
    ]
    for section in working.sections:
        lines += ["", rf"\section{{{_escaped(section.title)}}}", _escaped(section.words)]
        for item in section.items:
            lines += _latex_item(item)
    return "\n".join([*lines, r"\end{document}"])


def _latex_item(item: Line | Identity) -> list[str]:
    if isinstance(item, Line):
        words = item.quantity.meaning + (f" ({item.note})" if item.note else "")
        sides = item.parts(Latex)
        if item.kind == "given":
            return ["", rf"\noindent ${sides[0]} = {sides[1]}$: {_escaped(words)}"]
        return ["", rf"\noindent {_escaped(words)}:", r"\[", *_aligned(sides), r"\]"]
    sides = [item.left[1], item.right[1]]
    words, shown = _escaped(item.words), _escaped(item.shown)
    return [
        "",
        rf"\noindent {words}:",
        r"\[",
        *_aligned(sides),
        r"\]",
        rf"\emph{{{shown}}}",
    ]


_SPECIAL = {"\\": r"\textbackslash{}", "~": r"\textasciitilde{}", "^": r"\textasciicircum{}"}
_SPECIAL |= {c: rf"\{c}" for c in "&%$#_{}"}
_SPECIAL |= {"·": r"$\cdot$", "δ": r"$\delta$", "φ": r"$\varphi$", "θ": r"$\theta$"}
_SPECIAL |= {"ℓ": r"$\ell$", "ψ": r"$\psi$", "±": r"$\pm$", "°": r"$^{\circ}$"}


def _escaped(text: str) -> str:
    return "".join(_SPECIAL.get(c, c) for c in text)


# --- plain data ---


def as_data(working: Working) -> dict[str, Any]:
    """Return the working as plain data for JSON: angles in deg, every other unit as named."""
    return {
        "title": working.title,
        "change": working.change,
        "sections": [_section_data(section) for section in working.sections],
    }


def _section_data(section: Section) -> dict[str, Any]:
    return {
        "title": section.title,
        "words": section.words,
        "lines": [
            _line_data(item) if isinstance(item, Line) else _identity_data(item)
            for item in section.items
        ],
    }


def _line_data(line: Line) -> dict[str, Any]:
    is_angle = line.quantity.unit == "rad"
    return {
        "symbol": line.name,
        "kind": line.kind,
        "meaning": line.quantity.meaning,
        "note": line.note,
        "value": line.shown_value,
        "unit": "deg" if is_angle else line.quantity.unit,
        "text": " = ".join(line.parts(Script)),
        "latex": " = ".join(line.parts(Latex)),
        "result": line.result,
    }


def _identity_data(item: Identity) -> dict[str, Any]:
    return {
        "kind": "identity",
        "meaning": item.words,
        "text": f"{item.left[0]} = {item.right[0]}",
        "latex": f"{item.left[1]} = {item.right[1]}",
        "shown": item.shown,
    }
