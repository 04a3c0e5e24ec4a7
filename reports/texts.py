"""Text that people typed, made safe to print: every character has a glyph, none hides, none is markup.

DejaVu Sans carries Latin, Greek, Cyrillic and much else, but not every script, and nothing here shapes scripts that
run from right to left. A character that cannot be printed truly is replaced by its nearest printable form, else by its
name, else by its code point in brackets: never dropped in silence, never an empty box. The attached case keeps the
text as typed.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from html import escape

from reportlab.pdfbase import pdfmetrics

from engcalc.units import unbroken
from reports import fonts

_RIGHT_TO_LEFT = ("R", "AL", "AN")  # Unicode bidirectional classes that need an order and shapes we do not make
_INVISIBLE = "Cf"  # format characters: joiners, direction marks, the soft hyphen; nothing of them would be seen
_BLANKS = {"\t": "    ", "\u2028": "\n", "\u2029": "\n", "\x0b": "\n", "\x0c": "\n"}
ELLIPSIS = "…"
MOST_LINE_ENDS = 100


@cache
def printable() -> frozenset[int]:
    """The code points that regular and bold both have a glyph for."""
    fonts.register()
    faces = [pdfmetrics.getFont(name).face.charToGlyph for name in (fonts.REGULAR, fonts.BOLD)]
    return frozenset(faces[0]) & frozenset(faces[1])


def plain(text: str) -> str:
    """``text`` in characters that can all be printed; line ends are ``\\n``.

    >>> plain("Ж 9 ㎏, 水 🔥")
    'Ж 9 kg, [U+6C34] [fire]'
    """
    composed = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\r", "\n"))
    return "".join(map(_printed, composed)).replace("][U+", " U+")


def _kept(character: str) -> bool:
    return (
        ord(character) in printable()
        and unicodedata.bidirectional(character) not in _RIGHT_TO_LEFT
        and unicodedata.category(character)[0] != "C"
    )


@cache
def _printed(character: str) -> str:
    if character in _BLANKS:
        return _BLANKS[character]
    if character == "\n" or _kept(character):
        return character
    category = unicodedata.category(character)
    if category == _INVISIBLE:
        return ""
    nearest = unicodedata.normalize("NFKD", character)
    if category[0] != "C" and nearest != character and all(map(_kept, nearest)):
        return nearest
    name = unicodedata.name(character, "")
    if name and category[0] == "S":
        return f"[{name.lower()}]"
    return f"[U+{ord(character):04X}]"


def markup(text: str) -> str:
    """``text`` for a paragraph of the page library: printable, its marks escaped, line ends kept, no number parted
    from its unit.

    Of more line ends than a person makes, each is a blank: else one field fills hundreds of pages.
    """
    shown = plain(text)
    end = "<br/>" if shown.count("\n") <= MOST_LINE_ENDS else " "
    return escape(unbroken(shown), quote=False).replace("\n", end)


def cut(text: str, most: int) -> str:
    """``text`` on one line of at most ``most`` characters, with an ellipsis where it is longer."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1].rstrip() + ELLIPSIS


def shortened(text: str, font: str, size: float, width: float) -> str:
    """``text`` on one line of at most ``width`` [pt], cut with an ellipsis where it is longer."""
    line = " ".join(plain(text).split())
    if pdfmetrics.stringWidth(line, font, size) <= width:
        return line
    low, high = 0, len(line)
    while low < high:
        middle = (low + high + 1) // 2
        fits = pdfmetrics.stringWidth(line[:middle].rstrip() + ELLIPSIS, font, size) <= width
        low, high = (middle, high) if fits else (low, middle - 1)
    return line[:low].rstrip() + ELLIPSIS
