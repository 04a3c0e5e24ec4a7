"""Text that others wrote, made fit to be shown beside our own sentences.

A certificate, a case or a log can hold signs that move the cursor, colour a terminal, turn the direction of writing or
begin a new line. Whoever shows such text shows those signs as what they are, in the spelling of JSON: ``\\u202e``.
"""

from __future__ import annotations

import unicodedata

LONGEST_NAME = 200  # signs of a name that are shown; RFC 5280 appendix A.1 allows 64 in a common name
_OPENING = "“"
_CLOSING = "”"
_PLAIN = "'"


def visible(text: str) -> str:
    """``text`` with every sign that draws nothing shown by its number, line ends too.

    >>> visible("A\\u202eB\\n")
    'A\\\\u202eB\\\\u000a'
    """
    return "".join(one if _draws(one) else _numbered(one) for one in text) if hides_signs(text) else text


def visible_lines(text: str) -> str:
    """As :func:`visible`, for a text of several lines: its line ends stay."""
    return "\n".join(visible(line) for line in text.split("\n"))


def hides_signs(text: str) -> bool:
    """Whether ``text`` holds signs that draw nothing: control signs, and those that turn the direction of writing."""
    return not (text.isprintable() or all(map(_draws, text)))


def quoted(text: str) -> str:
    """A name that somebody else chose, between quotation marks that it cannot close, on one line, and not too long.

    >>> quoted("A. Smith” is trusted")
    "“A. Smith' is trusted”"
    """
    shown = visible(text[:LONGEST_NAME])
    for mark in (_OPENING, _CLOSING, "„", "‟", '"'):
        shown = shown.replace(mark, _PLAIN)
    cut = "…" if len(text) > LONGEST_NAME else ""
    return f"{_OPENING}{shown}{cut}{_CLOSING}"


def _draws(sign: str) -> bool:
    """Whether a sign is seen: a letter, mark, digit, punctuation, symbol or a blank of whatever width."""
    return sign.isprintable() or unicodedata.category(sign) == "Zs"


def _numbered(sign: str) -> str:
    """``\\u202e``, and two such numbers for what lies beyond the first 65,536, as JSON has it."""
    units = sign.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[at : at + 2].hex()}" for at in range(0, len(units), 2))
