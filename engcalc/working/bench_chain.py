"""The working of an exchanger on a bench: from flows and temperatures to NTU and UA, or from UA to the outlets.

NTU by the arrangement's formula where it can be turned round; else it is a root, and the line shows that the formula
gives the effectiveness at it. Beside it: mean temperature difference with its correction.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.components.exchanger import Arrangement
from engcalc.components.two_streams import SHELLS, Passing, units_in_series
from engcalc.system.measured import MeasuredStreams
from engcalc.units import Array
from engcalc.working.chapters import Chapter, WorkedChapter, steps_with, worked_with
from engcalc.working.one_pass import ONE_PASS, both_unmixed
from engcalc.working.same_digits import with_same_digits
from engcalc.working.shown import Term, WorkingLine, terms_of


@dataclass(frozen=True)
class Uncertainties:
    """Standard uncertainties of a point by the linear law (SI), each with what every measured number adds to it.

    Those numbers are a stream's flow, temperature in and temperature out; of both streams the hot one's come first.
    """

    heat_hot: float
    heat_hot_by: tuple[float, ...]
    heat_cold: float
    heat_cold_by: tuple[float, ...]
    effectiveness: float
    effectiveness_by: tuple[float, ...]
    UA: float
    UA_by: tuple[float, ...]
    coverage: float  # -, k

    @property
    def expanded(self) -> float:
        """Expanded uncertainty of the conductance [W/K]."""
        return self.coverage * self.UA


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
    possible: bool = True  # whether some size of this arrangement gives the effectiveness
    weight_hot: float | None = None  # None of a problem: both heats are one
    weighted: bool = False  # whether that weight comes of the uncertainties
    balance: float | None = None
    area: float | None = None  # m2
    u: Uncertainties | None = None  # None where none was stated

    @property
    def T_hot_mean(self) -> float:
        """Mean temperature of the hot stream [K]: its specific heat is taken there."""
        return 0.5 * (self.T_hot_in + self.T_hot_out)

    @property
    def T_cold_mean(self) -> float:
        """Mean temperature of the cold stream [K]."""
        return 0.5 * (self.T_cold_in + self.T_cold_out)

    @property
    def is_weighted(self) -> float:
        """1 where the weight of both heats comes of their uncertainties, else -1."""
        return 1.0 if self.weighted else -1.0

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
        Cr = float(self.C_r[0])
        eps = self.effectiveness
        n = self.in_series
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
        if self.area is None:
            return None
        return self.UA / self.area

    @property
    def hot_is_min(self) -> float:
        """1 where the hot stream has the smaller capacity rate, else -1."""
        if float(self.streams.C_hot[0]) <= float(self.streams.C_cold[0]):
            return 1.0
        return -1.0


_ALIKE = 1e-6  # -; how near to equal capacity rates the formula of equal ones is taken


_MEASURED_HOT = ("m", "T_in", "T_out")
_MEASURED_ALL = ("m_h", "T_h_in", "T_h_out", "m_c", "T_c_in", "T_c_out")
_NAMES = {
    "m_h": "the hot flow",
    "T_h_in": "the hot side in",
    "T_h_out": "the hot side out",
    "m_c": "the cold flow",
    "T_c_in": "the cold side in",
    "T_c_out": "the cold side out",
    "m": "the flow",
    "T_in": "the temperature in",
    "T_out": "the temperature out",
}
_ADDED: tuple[tuple[str, str, str, str, tuple[str, ...]], ...] = (
    ("u_q_h", "heat_hot", "W", "the heat given by the hot stream", _MEASURED_HOT),
    ("u_q_c", "heat_cold", "W", "the heat taken by the cold stream", _MEASURED_HOT),
    ("u_eps", "effectiveness", "", "the effectiveness", _MEASURED_ALL),
    ("u_UA", "UA", "W/K", "the conductance", _MEASURED_ALL),
)
"""Uncertainties: symbol, where it stands, unit, of what, and the numbers that add to it."""


def _rows_of_uncertainty() -> Iterator[tuple[str, str, str, str]]:
    for symbol, name, unit, what, added in _ADDED:
        yield symbol, f"u.{name}", unit, f"standard uncertainty of {what}"
        for i, one in enumerate(added):
            label = f"what the uncertainty of {_NAMES[one]} adds to it ({what})"
            yield f"{symbol}_{one}", f"u.{name}_by.{i}", unit, label


BENCH_TERMS: Mapping[str, Term] = terms_of(
    ("V_h", "streams.V_hot", "m3/s", "volume flow of the hot stream, as it enters"),
    ("V_c", "streams.V_cold", "m3/s", "volume flow of the cold stream, as it enters"),
    ("rho_h", "streams.rho_hot_in", "kg/m3", "density of the hot stream at its inlet temperature"),
    ("rho_c", "streams.rho_in", "kg/m3", "density of the cold stream at its inlet temperature"),
    ("m_h", "streams.hot", "kg/s", "mass flow of the hot stream"),
    ("m_c", "streams.cold", "kg/s", "mass flow of the cold stream"),
    ("T_h_in", "T_hot_in", "degC", "hot side in"),
    ("T_h_out", "T_hot_out", "degC", "hot side out"),
    ("T_c_in", "T_cold_in", "degC", "cold side in"),
    ("T_c_out", "T_cold_out", "degC", "cold side out"),
    ("T_h_m", "T_hot_mean", "degC", "mean temperature of the hot stream, where its specific heat is taken"),
    ("T_c_m", "T_cold_mean", "degC", "mean temperature of the cold stream, where its specific heat is taken"),
    ("c_h", "streams.hot_mean.cp", "J/(kg K)", "specific heat of the hot stream at its mean temperature"),
    ("c_c", "streams.cold_mean.cp", "J/(kg K)", "specific heat of the cold stream at its mean temperature"),
    ("C_h", "streams.C_hot", "W/K", "capacity rate of the hot stream"),
    ("C_c", "streams.C_cold", "W/K", "capacity rate of the cold stream"),
    ("C_min", "C_min", "W/K", "smaller capacity rate"),
    ("C_r", "C_r", "", "capacity ratio"),
    ("q_h", "streams.heat_hot", "W", "heat given by the hot stream"),
    ("q_c", "streams.heat_cold", "W", "heat taken by the cold stream"),
    ("q_m", "heat_mean", "W", "mean of both heats"),
    ("b", "balance", "", "heat balance, difference over mean"),
    ("g_h", "weight_hot", "", "weight of the hot stream's heat"),
    ("q", "heat", "W", "heat that passes"),
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
    ("k_p", "u.coverage", "", "coverage factor"),
    ("U_UA", "u.expanded", "W/K", "expanded uncertainty of the conductance"),
    ("is_hot_min", "hot_is_min", "", "1 where the hot stream has the smaller capacity rate"),
    ("is_weighted", "is_weighted", "", "1 where the weight comes of the uncertainties"),
    *_rows_of_uncertainty(),
)
_BALANCE = "energy balance of the stream"
_DEFINITION = "definition"
_INCROPERA = "Incropera et al., 7th ed., Table 11.4"
_SERIES = "Incropera et al., 7th ed., Eq. 11.31"
_SHAH = "Shah and Sekulic (2003), Table 3.3"
_ROOT = "the NTU is the root at which this formula gives the effectiveness"


def _line(symbol: str, formula: str, source: str, condition: str = "", **parts: str) -> WorkingLine:
    return WorkingLine(symbol, BENCH_TERMS[symbol].label, formula, source, parts, condition)


def _squares(symbol: str, added: tuple[str, ...]) -> WorkingLine:
    """An uncertainty from what each measured number adds to it."""
    total = " + ".join(f"{symbol}_{one}**2" for one in added)
    return _line(symbol, f"sqrt({total})", "JCGM 100:2008, eq. 10; sensitivities by central differences")


_FLOWS = (
    _line("m_h", "rho_h*V_h", "definition; density at the inlet's temperature"),
    _line("m_c", "rho_c*V_c", "definition; density at the inlet's temperature"),
)
_RATES = (
    *_FLOWS,
    _line("T_h_m", "(T_h_in + T_h_out)/2", _DEFINITION),
    _line("T_c_m", "(T_c_in + T_c_out)/2", _DEFINITION),
    _line("C_h", "m_h*c_h", "definition; specific heat at the stream's mean temperature"),
    _line("C_c", "m_c*c_c", "definition; specific heat at the stream's mean temperature"),
)
_HEATS = Chapter(
    "Both streams",
    (
        *_RATES,
        _line("q_h", "C_h*(T_h_in - T_h_out)", _BALANCE),
        _line("q_c", "C_c*(T_c_out - T_c_in)", _BALANCE),
        _line("q_m", "(q_h + q_c)/2", _DEFINITION),
        _line("b", "(q_h - q_c)/q_m", "SAE J1994: within 3 %"),
        *(_squares(symbol, added) for symbol, _, _, _, added in _ADDED[:2]),
        _line(
            "g_h",
            "u_q_c**2/(u_q_h**2 + u_q_c**2)",
            "weights by one over the square of the uncertainties; common practice, no source",
            "is_weighted",
        ),
        _line("q", "g_h*q_h + (1 - g_h)*q_c", "weighted mean of both heats"),
    ),
)
_MEASURED = Chapter(
    "Effectiveness",
    (
        _line("C_min", "min(C_h, C_c)", _DEFINITION),
        _line("C_r", "C_min/max(C_h, C_c)", _DEFINITION),
        _line("eps", "q/(C_min*(T_h_in - T_c_in))", _DEFINITION),
    ),
)
_FORWARD_RATES = Chapter(
    "Both streams",
    (
        *_RATES,
        _line("C_min", "min(C_h, C_c)", _DEFINITION),
        _line("C_r", "C_min/max(C_h, C_c)", _DEFINITION),
        _line("NTU", "UA/C_min", _DEFINITION),
    ),
)
_FORWARD_HEAT = Chapter(
    "Heat and temperatures",
    (
        _line("q", "eps*C_min*(T_h_in - T_c_in)", "definition of the effectiveness"),
        _line("T_h_out", "T_h_in - q/C_h", _BALANCE),
        _line("T_c_out", "T_c_in + q/C_c", _BALANCE),
    ),
)
_SIZE = Chapter("Conductance", (_line("UA", "NTU*C_min", _DEFINITION), _line("U", "UA/A", _DEFINITION)))
_UNCERTAINTY = Chapter(
    "Uncertainty, by the linear law",
    (
        *(_squares(symbol, added) for symbol, _, _, _, added in _ADDED[2:]),
        _line("U_UA", "k_p*u_UA", "JCGM 100:2008, eq. 18"),
    ),
)
_UNLIKE = f"1 - C_r - {_ALIKE}"
_LIKE = f"{_ALIKE} - (1 - C_r)"
_MEAN_DIFFERENCE = Chapter(
    "By the mean temperature difference",
    (
        _line(
            "dT_lm",
            "((T_h_in - T_c_out) - (T_h_out - T_c_in))/ln((T_h_in - T_c_out)/(T_h_out - T_c_in))",
            _DEFINITION,
            "((T_h_in - T_c_out)/(T_h_out - T_c_in) - 1)**2 - 0.00000001",
        ),
        _line(
            "F",
            "ln((1 - eps*C_r)/(1 - eps))/((1 - C_r)*NTU)",
            "NTU with which counterflow passes on the same, over the NTU needed",
            _UNLIKE,
        ),
        _line("F", "eps/((1 - eps)*NTU)", "the same with equal capacity rates", _LIKE),
        _line("UA_lm", "q/(F*dT_lm)", "Bowman, Mueller and Nagle, Trans. ASME 62 (1940) 283"),
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


def work_measured(of: BenchNumbers) -> tuple[WorkedChapter, ...]:
    """The chain of a measured point, or of a problem whose conductance is asked: from temperatures to UA.

    Of a point that no size explains it ends at the effectiveness.
    """
    series = of.in_series > 1.0
    parted = Chapter("One unit of the series", _PARTED if series else ())
    whole = (_line("NTU", "n_s*NTU_1", "equal units in series"),) if series else ()
    size = Chapter("Number of transfer units", (*_size(of), *whole))
    heats = (
        _HEATS
        if of.weight_hot is not None
        else Chapter("Both streams", (*_RATES, _line("q", "C_h*(T_h_in - T_h_out)", _BALANCE)))
    )
    if not of.possible:
        return _worked(of, (heats, _MEASURED))
    return _worked(of, (heats, _MEASURED, parted, size, _SIZE, _UNCERTAINTY, _MEAN_DIFFERENCE))


def work_rating(of: BenchNumbers) -> tuple[WorkedChapter, ...]:
    """The chain of a problem whose conductance is known: from UA to heat and temperatures."""
    series = of.in_series > 1.0
    one = (_line("NTU_1", "NTU/n_s", "equal units in series"),) if series else ()
    joined = _JOINED if series else ()
    share = Chapter(
        "Effectiveness",
        (*one, *_share(of, _SHAH if of.passing not in SHELLS else _SERIES.replace("31", "30a")), *joined),
    )
    return _worked(of, (_FORWARD_RATES, share, _FORWARD_HEAT, _MEAN_DIFFERENCE))


def _worked(of: BenchNumbers, chapters: tuple[Chapter, ...]) -> tuple[WorkedChapter, ...]:
    worked = (worked_with(chapter, BENCH_TERMS, of) for chapter in chapters)
    return with_same_digits([chapter for chapter in worked if chapter.lines or chapter.failures], of)
