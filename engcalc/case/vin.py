"""The vehicle identification number: what its check digit says of the other sixteen characters.

Seventeen capital letters and digits, without I, O and Q (ISO 3779). Position 9 is a check digit where North American
law asks for one (49 CFR 565.15(c)): each character has a value, each position a weight, and the weighted sum leaves
the check digit when divided by 11. Other vehicles may carry anything there.
"""

from __future__ import annotations

import re
from enum import StrEnum

LENGTH = 17  # characters; ISO 3779, 49 CFR 565.13(b)
_ALLOWED = re.compile(r"[A-HJ-NPR-Z0-9]{17}")
_VALUES = dict(  # -; 49 CFR 565.15, table III
    zip("ABCDEFGHJKLMNPRSTUVWXYZ", (*range(1, 9), *range(1, 6), 7, 9, *range(2, 10)), strict=True)
)
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)  # -; by position, 49 CFR 565.15, table IV
_DIVISOR = 11  # -; 49 CFR 565.15(c)(3)
_TEN = "X"  # what a remainder of 10 is written as; 49 CFR 565.15(c)(4)
_NORTH_AMERICA = frozenset("12345")  # first characters given to North America; ISO 3780, from memory


class VinState(StrEnum):
    """What can be said of a number."""

    ABSENT = "absent"
    MALFORMED = "malformed"  # not seventeen allowed characters
    AGREES = "agrees"  # the check digit is that of the other characters
    DISAGREES = "disagrees"  # of a vehicle that must carry a check digit: a character is wrong
    NO_CHECK_DIGIT = "no check digit"  # of a vehicle that need not carry one: nothing can be said


def tidy_vin(typed: str) -> str:
    """Capital letters, without the blanks and hyphens that people put in.

    >>> tidy_vin("1m8gdm9a xkp042788")
    '1M8GDM9AXKP042788'
    """
    return re.sub(r"[\s-]", "", typed).upper()


def check_digit(vin: str) -> str:
    """The character that position 9 should hold: 0 to 9 or X. ``vin`` has seventeen allowed characters.

    >>> check_digit("1M8GDM9AXKP042788")
    'X'
    """
    values = (int(character) if character.isdigit() else _VALUES[character] for character in vin)
    remainder = sum(value * weight for value, weight in zip(values, _WEIGHTS, strict=True)) % _DIVISOR
    return _TEN if remainder == _DIVISOR - 1 else str(remainder)


def vin_state(typed: str) -> VinState:
    """What can be said of a number as typed. A number that says nothing of itself is no fault."""
    vin = tidy_vin(typed)
    if not vin:
        return VinState.ABSENT
    if not _ALLOWED.fullmatch(vin):
        return VinState.MALFORMED
    if vin[8] == check_digit(vin):
        return VinState.AGREES
    return VinState.DISAGREES if vin[0] in _NORTH_AMERICA else VinState.NO_CHECK_DIGIT
