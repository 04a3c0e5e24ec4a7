"""The working of an exchanger on a bench: from flows and temperatures to NTU and UA, or from UA to the outlets.

NTU by the arrangement's formula where it can be turned round; else it is a root, and the line shows that the formula
gives the effectiveness at it. Beside it the other road: mean temperature difference with its correction.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.components.exchanger import Arrangement
from engcalc.components.two_streams import SHELLS, Passing, units_in_series
from engcalc.system.measured import MeasuredStreams
from engcalc.units import Array
from engcalc.working.chapters import Chapter, Worked, steps_with, worked_with
from engcalc.working.one_pass import ONE_PASS, both_unmixed
from engcalc.working.rig_chain import RIG_TERMS, STREAMS
from engcalc.working.same_digits import with_same_digits
from engcalc.working.shown import Term, WorkingLine, terms_of


@dataclass(frozen=True, eq=False)
class BenchNumbers:
    """Where the paths of the terms begin: one measured point, or one problem. K, W, W/K; numbers of one member."""

    passing: Passing
    passes: int
    streams: MeasuredStreams
    T_hot_in: float
    T_hot_out: float
    T_cold_in: float
    T_cold_out: float
    heat: float
    effectiveness: float
    NTU: float
    UA: float
    mean_difference: float
    F: float
    UA_by_difference: float
    weight_hot: float | None = None  # None of a problem: both heats are one
    balance: float | None = None
    area: float | None = None  # m2

    @property
    def C_min(self) -> Array:
        """Smaller capacity rate [W/K]."""
        return np.minimum(self.streams.C_hot, self.streams.C_cold)

    @property
    def C_r(self) -> Array:
        """Smaller capacity rate over the larger [-]."""
        return np.asarray(self.C_min / np.maximum(self.streams.C_hot, self.streams.C_cold))

    @property
    def heat_mean(self) -> Array:
        """Mean of both heats [W]."""
        return np.asarray(0.5 * (self.streams.heat_hot + self.streams.heat_cold))

    @property
    def in_series(self) -> float:
        """Units one after the other [-]."""
        return float(units_in_series(self.passing, self.passes))

    @property
    def one_unit(self) -> float:
        """Effectiveness [-] of one unit of the series."""
        Cr, eps, n = float(self.C_r[0]), self.effectiveness, self.in_series
        if 1.0 - Cr < _ALIKE:
            return eps / (n - (n - 1.0) * eps)
        X = ((1.0 - eps * Cr) / (1.0 - eps)) ** (1.0 / n)
        return float((X - 1.0) / (X - Cr))

    @property
    def NTU_of_one(self) -> float:
        """NTU [-] of one unit of the series."""
        return self.NTU / self.in_series

    @property
    def U(self) -> float | None:
        """Overall heat transfer coefficient [W/(m2 K)]; None where no area is stated."""
        return None if self.area is None else self.UA / self.area

    @property
    def hot_is_min(self) -> float:
        """1 where the hot stream has the smaller capacity rate, else -1."""
        return 1.0 if float(self.streams.C_hot[0]) <= float(self.streams.C_cold[0]) else -1.0


_ALIKE = 1e-6  # -; how near to equal capacity rates the formula of equal ones is taken


BENCH_TERMS: Mapping[str, Term] = {
    **RIG_TERMS,
    **terms_of(
        ("b", "balance", "", "heat balance, difference over mean"),
        ("w_hot", "weight_hot", "", "weight of the hot stream's heat"),
        ("Q", "heat", "W", "heat that passes"),
        ("eps", "effectiveness", "", "effectiveness"),
        ("NTU", "NTU", "", "number of transfer units"),
        ("UA", "UA", "W/K", "conductance"),
        ("eps_1", "one_unit", "", "effectiveness of one unit of the series"),
        ("NTU_1", "NTU_of_one", "", "number of transfer units of one unit"),
        ("n_s", "in_series", "", "units in series"),
        ("dT_lm", "mean_difference", "K", "logarithmic mean temperature difference, as in counterflow"),
        ("F", "F", "", "correction of the mean temperature difference"),
        ("UA_lm", "UA_by_difference", "W/K", "conductance by the mean temperature difference"),
        ("A", "area", "m2", "heat transfer area"),
        ("U", "U", "W/(m2 K)", "overall heat transfer coefficient"),
        ("is_hot_min", "hot_is_min", "", "1 where the hot stream has the smaller capacity rate"),
    ),
}
_BALANCE = "energy balance of the stream"
_DEFINITION = "definition"
_INCROPERA = "Incropera et al., 7th ed., Table 11.4"
_SERIES = "Incropera et al., 7th ed., Eq. 11.31"
_SHAH = "Shah and Sekulic (2003), Table 3.3"
_ROOT = "the NTU is the root at which this formula gives the effectiveness"


def _line(symbol: str, formula: str, source: str, condition: str = "", **parts: str) -> WorkingLine:
    return WorkingLine(symbol, BENCH_TERMS[symbol].label, formula, source, parts, condition)


_HEATS = Chapter(
    "Both streams",
    (
        *STREAMS.steps[:4],
        _line("Q_mean", "(Q_hot + Q_cold)/2", _DEFINITION, "w_hot + 1"),
        _line("b", "(Q_hot - Q_cold)/Q_mean", "SAE J1994: within 3 %"),
        _line("Q", "w_hot*Q_hot + (1 - w_hot)*Q_cold", "weights by one over the square of the uncertainties"),
    ),
)
_MEASURED = Chapter(
    "Effectiveness",
    (
        _line("C_min", "min(C_hot, C_cold)", _DEFINITION),
        _line("C_r", "C_min/max(C_hot, C_cold)", _DEFINITION),
        _line("eps", "Q/(C_min*(T_hot_in - T_cold_in))", _DEFINITION),
    ),
)
_FORWARD_RATES = Chapter(
    "Both streams",
    (
        *STREAMS.steps[:2],
        _line("C_min", "min(C_hot, C_cold)", _DEFINITION),
        _line("C_r", "C_min/max(C_hot, C_cold)", _DEFINITION),
        _line("NTU", "UA/C_min", _DEFINITION),
    ),
)
_FORWARD_HEAT = Chapter(
    "Heat and temperatures",
    (
        _line("Q", "eps*C_min*(T_hot_in - T_cold_in)", "definition of the effectiveness"),
        _line("T_hot_out", "T_hot_in - Q/C_hot", _BALANCE),
        _line("T_cold_out", "T_cold_in + Q/C_cold", _BALANCE),
    ),
)
_SIZE = Chapter("Conductance", (_line("UA", "NTU*C_min", _DEFINITION), _line("U", "UA/A", _DEFINITION)))
_UNLIKE, _LIKE = f"1 - C_r - {_ALIKE}", f"{_ALIKE} - (1 - C_r)"
_MEAN_DIFFERENCE = Chapter(
    "The other road: mean temperature difference",
    (
        _line(
            "dT_lm",
            "((T_hot_in - T_cold_out) - (T_hot_out - T_cold_in))/ln((T_hot_in - T_cold_out)/(T_hot_out - T_cold_in))",
            _DEFINITION,
            "((T_hot_in - T_cold_out)/(T_hot_out - T_cold_in) - 1)**2 - 0.00000001",
        ),
        _line(
            "F",
            "ln((1 - eps*C_r)/(1 - eps))/((1 - C_r)*NTU)",
            "NTU with which counterflow passes on the same, over the NTU needed",
            _UNLIKE,
        ),
        _line("F", "eps/((1 - eps)*NTU)", "the same with equal capacity rates", _LIKE),
        _line("UA_lm", "Q/(F*dT_lm)", "Bowman, Mueller and Nagle, Trans. ASME 62 (1940) 283"),
    ),
)

_TURNED: Mapping[Passing, tuple[tuple[str, str, str], ...]] = {  # formula of the NTU, its source, its condition
    Passing.COUNTERFLOW: (
        ("ln((1 - {one}*C_r)/(1 - {one}))/(1 - C_r)", _INCROPERA, _UNLIKE),
        ("{one}/(1 - {one})", _INCROPERA, _LIKE),
    ),
    Passing.PARALLEL: (("-ln(1 - {one}*(1 + C_r))/(1 + C_r)", _INCROPERA, ""),),
    Passing.HOT_MIXED: (
        ("-ln(1 + C_r*ln(1 - {one}))/C_r", _INCROPERA, "is_hot_min"),
        ("-ln(1 + ln(1 - {one}*C_r)/C_r)", _INCROPERA, "-is_hot_min"),
    ),
    Passing.COLD_MIXED: (
        ("-ln(1 + C_r*ln(1 - {one}))/C_r", _INCROPERA, "-is_hot_min"),
        ("-ln(1 + ln(1 - {one}*C_r)/C_r)", _INCROPERA, "is_hot_min"),
    ),
}
_E = "(2/{one} - 1 - C_r)/sqrt(1 + C_r**2)"
_SHELL_SIZE = "-ln((E - 1)/(E + 1))/sqrt(1 + C_r**2)"
_SHELL_SHARE = "2/(1 + C_r + s*(1 + exp(-{size}*s))/(1 - exp(-{size}*s)))"
_OF_CORES: Mapping[Passing, Arrangement] = {
    Passing.BOTH_MIXED: Arrangement.BOTH_MIXED,
    Passing.COUNTERFLOW: Arrangement.COUNTERFLOW,
    Passing.PARALLEL: Arrangement.PARALLEL,
}
_MIXED = ("1 - exp(-(1 - exp(-C_r*{size}))/C_r)", "(1 - exp(-C_r*(1 - exp(-{size}))))/C_r")  # smaller, larger


def _names(of: BenchNumbers) -> tuple[str, str]:
    """Symbols of effectiveness and NTU of one unit."""
    return ("eps", "NTU") if of.in_series == 1.0 else ("eps_1", "NTU_1")


def _share(of: BenchNumbers, source: str) -> tuple[WorkingLine, ...]:
    """From the NTU of one unit to its effectiveness."""
    one, size = _names(of)
    if of.passing in SHELLS:
        formula = _SHELL_SHARE.replace("{size}", size)
        return (_line(one, formula, source, s="sqrt(1 + C_r**2)"),)
    if of.passing in (Passing.HOT_MIXED, Passing.COLD_MIXED):
        smaller = (of.hot_is_min > 0.0) == (of.passing is Passing.HOT_MIXED)
        return (_line(one, _MIXED[0 if smaller else 1].replace("{size}", size), source),)
    if of.passing is Passing.BOTH_UNMIXED:
        return both_unmixed(steps_with(BENCH_TERMS), one, size, "C_r")
    ((formula, _),) = ONE_PASS[_OF_CORES[of.passing]]
    return (_line(one, formula, source, x=size, r="C_r"),)


def _size(of: BenchNumbers) -> tuple[WorkingLine, ...]:
    """From the effectiveness of one unit to its NTU."""
    one, size = _names(of)
    if of.passing in SHELLS:
        return (_line(size, _SHELL_SIZE, _INCROPERA, E=_E.replace("{one}", one)),)
    if of.passing not in _TURNED:
        return _share(of, f"{_SHAH}; {_ROOT}")
    return tuple(
        _line(size, formula.replace("{one}", one), source, when) for formula, source, when in _TURNED[of.passing]
    )


_PARTED = (
    _line("eps_1", "(X - 1)/(X - C_r)", _SERIES, _UNLIKE, X="((1 - eps*C_r)/(1 - eps))**(1/n_s)"),
    _line("eps_1", "eps/(n_s - (n_s - 1)*eps)", _SERIES, _LIKE),
)
_JOINED = (
    _line("eps", "(X - 1)/(X - C_r)", _SERIES, _UNLIKE, X="((1 - eps_1*C_r)/(1 - eps_1))**n_s"),
    _line("eps", "n_s*eps_1/(1 + (n_s - 1)*eps_1)", _SERIES, _LIKE),
)


def work_measured(of: BenchNumbers) -> tuple[Worked, ...]:
    """The chain of a measured point, or of a problem whose conductance is asked: from temperatures to UA."""
    series = of.in_series > 1.0
    parted = Chapter("One unit of the series", _PARTED if series else ())
    whole = (_line("NTU", "n_s*NTU_1", "equal units in series"),) if series else ()
    size = Chapter("Number of transfer units", (*_size(of), *whole))
    heats = (
        _HEATS
        if of.weight_hot is not None
        else Chapter("Both streams", (*STREAMS.steps[:2], _line("Q", "C_hot*(T_hot_in - T_hot_out)", _BALANCE)))
    )
    return _worked(of, (heats, _MEASURED, parted, size, _SIZE, _MEAN_DIFFERENCE))


def work_rating(of: BenchNumbers) -> tuple[Worked, ...]:
    """The chain of a problem whose conductance is known: from UA to heat and temperatures."""
    series = of.in_series > 1.0
    one = (_line("NTU_1", "NTU/n_s", "equal units in series"),) if series else ()
    joined = _JOINED if series else ()
    share = Chapter(
        "Effectiveness",
        (*one, *_share(of, _SHAH if of.passing not in SHELLS else _SERIES.replace("31", "30a")), *joined),
    )
    return _worked(of, (_FORWARD_RATES, share, _FORWARD_HEAT, _MEAN_DIFFERENCE))


def _worked(of: BenchNumbers, chapters: tuple[Chapter, ...]) -> tuple[Worked, ...]:
    worked = (worked_with(chapter, BENCH_TERMS, of) for chapter in chapters)
    return with_same_digits([chapter for chapter in worked if chapter.lines or chapter.failures], of)
