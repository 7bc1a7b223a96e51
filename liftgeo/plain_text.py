"""Text of a stranger's file made safe to show: no control characters, no endless lines.

A title, a note, a key or a file's name may hold anything. What a terminal, a figure or a page gets
of them goes through here: `printable` where lines are kept, `one_line` where a name stands.
"""

from __future__ import annotations

import re
import unicodedata

LONGEST_NAME = 300
"""Letters of a title, a note or a change's name that are shown; what is longer is cut."""

LONGEST_IN_FAULT = 60
"""Letters of a key or a value that a fault shows."""

_STAND_IN = "?"
# Letters of other alphabets that look like Latin ones. Common practice, no source: the lower-case
# letters that most type draws alike.
_LOOKALIKES = str.maketrans(
    "аеорсухіјѕһԁԛԝӏαορντικυ‐‑‒–—−＿",
    "aeopcyxijshdqwlaopvtiku------_",
)


def printable(text: str) -> str:
    """Return a text whose characters all print; lines stay, what does not print becomes "?".

    Control characters go, and marks that turn the direction of writing or cannot be seen, halves of
    a character, and places in the alphabet that belong to nobody.
    """
    if text.isprintable():
        return text
    return "".join(c if c == "\n" or c.isprintable() or _blank(c) else _STAND_IN for c in text)


def _blank(letter: str) -> bool:
    return unicodedata.category(letter) == "Zs"


def cut(text: str, most: int = LONGEST_NAME) -> str:
    """Return a text, cut where it is longer than `most` letters, with "..." for the rest."""
    return text if len(text) <= most else f"{text[: most - 3]}..."


def one_line(text: str) -> str:
    """Return a name on one line, of a length that can be shown, all of it printable."""
    start = text[: 4 * LONGEST_NAME]  # blanks may fall away, but nobody counts 200,000 of them
    plain = printable(" ".join(start.split()))
    return cut(plain + ("..." if len(text) > len(start) else ""))


def unbroken(text: str) -> str:
    """Return a text of ours on one line, whole, all of it printable."""
    return printable(" ".join(text.split()))


def in_markdown(text: str) -> str:
    """Return a name as Markdown shows it: on one line, none of its marks meaning anything."""
    return marks_escaped(one_line(text))


def marks_escaped(text: str) -> str:
    """Return a text none of whose characters means anything to Markdown."""
    return re.sub(r"([\\`*_{}\[\]<>()#|!$&~])", r"\\\1", text)


def latin(text: str) -> str:
    """Return a key with letters that only look Latin made Latin, and blanks as underscores."""
    plain = unicodedata.normalize("NFKC", text.strip()).casefold().translate(_LOOKALIKES)
    return re.sub(r"\s+", "_", plain)


def strange_letter(key: str) -> str:
    """Return in words the first letter of a key that only looks like a Latin one; "" if none."""
    for letter in key:
        if not letter.isascii():
            name = unicodedata.name(letter, "a letter without a name").lower()
            return f"'{printable(letter)}' is {name}"
    return ""
