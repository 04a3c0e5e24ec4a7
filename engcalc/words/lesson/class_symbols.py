"""The symbols of a radiator's working and results in the set that a class uses.

The program has symbols of its own, one for each quantity (:mod:`engcalc.words.terms.symbols`). A letter of them is written
as the class writes it where the unit says that it stands for what that letter means in the set: ``h_a`` in W/(m2 K) is
a film coefficient, ``h_t`` in m is a height.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engcalc.case.case import Case
from engcalc.classroom.symbols import SymbolSet, written

LESSON = "lesson"

Write = Callable[[str, str], str]
"""How a symbol is written, from the program's own and its unit (empty for a plain number)."""

_LETTERS: Mapping[tuple[str, str], str] = {
    **{("Q", unit): "q" for unit in ("W", "kW")},
    ("m", "kg/s"): "m",
    **{("V", unit): "V" for unit in ("m3/s", "m3/h", "L/min")},
    ("C", "W/K"): "C",
    ("UA", "W/K"): "UA",
    **{("T", unit): "T" for unit in ("degC", "°C")},
    ("dT", "K"): "dT",
    ("h", "W/(m2 K)"): "h",
    ("k", "W/(m K)"): "k",
    ("cp", "J/(kg K)"): "cp",
    **{("eps", unit): "eps" for unit in ("", "%")},
}
"""The letter of the classroom's records by the program's own and the unit."""

_WHOLE: Mapping[str, tuple[str, str]] = {
    "C_r": ("C_r", "R"),
    "C_r1": ("C_r1", "R_1"),
    "C_rh": ("C_rh", "R_h"),
    "R": ("R", "R_tot"),
    "f_1": ("f_1", "zeta_1"),
    "f_2": ("f_2", "zeta_2"),
}
"""Symbols that are written in another way as a whole: in B the capacity ratio is R, friction factors are ζ."""


def as_it_is(symbol: str, unit: str) -> str:  # noqa: ARG001  # as every way of writing is called
    """The program's own symbol."""
    return symbol


def in_set(symbols: SymbolSet) -> Write:
    """The way in which this set writes.

    >>> write = in_set(SymbolSet.B)
    >>> write("Q_rad", "W"), write("h_a", "W/(m2 K)"), write("h_t", "m")
    ('Qdot_rad', 'alpha_a', 'h_t')
    """

    def write(symbol: str, unit: str) -> str:
        if symbol in _WHOLE:
            return _WHOLE[symbol][0 if symbols is SymbolSet.A else 1]
        head, line, tail = symbol.partition("_")
        letter = _LETTERS.get((head, unit))
        return symbol if letter is None else written(letter, symbols) + line + tail

    return write


def class_writes(case: Case) -> Write:
    """The way in which the class of this case writes."""
    return in_set(SymbolSet(case.exchanger.symbols))


def symbols_for(case: Case) -> SymbolSet:
    """The set of a lesson's class; of any other case that which has the program's own symbols."""
    return SymbolSet(case.exchanger.symbols) if case.job.reason == LESSON else SymbolSet.A


def writes_for(case: Case) -> Write:
    """As the class chose where the case is a lesson; else the program's own symbols."""
    return class_writes(case) if case.job.reason == LESSON else as_it_is
