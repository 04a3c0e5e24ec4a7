"""Which key was meant by one that is not known: a mistyped fact must not pass unseen."""

from __future__ import annotations

import re
from collections.abc import Collection
from difflib import SequenceMatcher

from engcalc.words.texts import case_texts

ALIKE = 0.6  # share of two spellings that agrees, from which one may be meant for the other; as Python's difflib has it
MOST_NAMED = 3  # keys that are named at most
SHORT_LIST = 8  # keys that are listed whole where none is near


def meant_by(typed: str, known: Collection[str]) -> tuple[str, ...]:
    """The keys that are nearest to what was typed, the nearest first; none where nothing is near.

    A key is near that is spelled alike or that has every word of what was typed.
    """
    plain = re.sub(r"\W+", "_", typed.casefold()).strip("_")
    words = set(plain.split("_"))
    near = {key: SequenceMatcher(None, plain, key).ratio() for key in known}
    whole = [key for key in known if words <= set(key.split("_"))]
    found = whole or [key for key in known if near[key] >= ALIKE]
    return tuple(sorted(found, key=lambda key: -near[key])[:MOST_NAMED])


def what_would_do(typed: str, known: Collection[str]) -> str:
    """What to write instead of a key that is not known, as the end of a sentence."""
    near = meant_by(typed, known)
    if near:
        *others, last = near
        listed = ", ".join(others)
        return case_texts.DID_YOU_MEAN_THE_KEY.format(keys=f"{listed} or {last}" if others else last)
    if 0 < len(known) <= SHORT_LIST:
        return case_texts.THESE_KEYS_WOULD_DO.format(keys=", ".join(sorted(known)))
    return case_texts.FIELDS_LISTS_THE_KEYS
