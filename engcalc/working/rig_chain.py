"""The working of one measured point of a rig: from flows and temperatures to heat balance, effectiveness, NTU and UA.

The NTU is a root: the arrangement's formula gives the measured effectiveness at it, and the line that shows so stands
beside it. Of an exchanger of several passes that line is left out: the formula holds for one pass.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from engcalc.components.exchanger import Arrangement
from engcalc.system.measured import MeasuredStreams
from engcalc.units import Array
from engcalc.working.chain import effectiveness_chapter
from engcalc.working.chapters import Chapter, WorkedChapter, worked_with
from engcalc.working.same_digits import with_same_digits
from engcalc.working.shown import Term, WorkingLine, terms_of
from engcalc.working.terms import TERMS


class MeasuredValue(Protocol):
    """A number that was measured."""

    @property
    def measured(self) -> float: ...


class PointResults(Protocol):
    """What the working reads of one measured point; :class:`engcalc.studies.rig.RigCheck` has it all."""

    @property
    def streams(self) -> MeasuredStreams: ...
    @property
    def balance(self) -> float: ...
    @property
    def effectiveness(self) -> MeasuredValue: ...
    @property
    def NTU(self) -> MeasuredValue: ...
    @property
    def UA(self) -> MeasuredValue: ...


@dataclass(frozen=True, eq=False)
class RigResults:
    """Where the paths of the terms begin: the point's results, and its four temperatures [K] as measured."""

    point: PointResults
    T_hot_in: Array
    T_hot_out: Array
    T_cold_in: Array
    T_cold_out: Array
    passes: Array  # of the coolant

    @property
    def streams(self) -> MeasuredStreams:
        """Both streams."""
        return self.point.streams

    @property
    def heat_mean(self) -> Array:
        """Mean of both heats [W]."""
        return np.asarray(0.5 * (self.streams.heat_hot + self.streams.heat_cold))

    @property
    def C_min(self) -> Array:
        """Smaller capacity rate [W/K]."""
        return np.minimum(self.streams.C_hot, self.streams.C_cold)

    @property
    def C_r(self) -> Array:
        """Smaller capacity rate over the larger [-]."""
        return np.asarray(self.C_min / np.maximum(self.streams.C_hot, self.streams.C_cold))


RIG_TERMS: Mapping[str, Term] = {
    **TERMS,  # of the effectiveness chapter, what a measured point has no number for is left out
    **terms_of(
        ("V_hot", "streams.V_hot", "m3/s", "volume flow of the hot stream, as it enters"),
        ("V_cold", "streams.V_cold", "m3/s", "volume flow of the cold stream, as it enters"),
        ("rho_hot", "streams.rho_hot_in", "kg/m3", "density of the hot stream at its inlet temperature"),
        ("rho_cold", "streams.rho_in", "kg/m3", "density of the cold stream at its inlet temperature"),
        ("m_hot", "streams.hot", "kg/s", "mass flow of the hot stream"),
        ("m_cold", "streams.cold", "kg/s", "mass flow of the cold stream"),
        ("cp_hot", "streams.hot_mean.cp", "J/(kg K)", "specific heat of the hot stream at its mean temperature"),
        ("cp_cold", "streams.cold_mean.cp", "J/(kg K)", "specific heat of the cold stream at its mean temperature"),
        ("T_hot_in", "T_hot_in", "degC", "hot side in"),
        ("T_hot_out", "T_hot_out", "degC", "hot side out"),
        ("T_cold_in", "T_cold_in", "degC", "cold side in"),
        ("T_cold_out", "T_cold_out", "degC", "cold side out"),
        ("C_hot", "streams.C_hot", "W/K", "capacity rate of the hot stream"),
        ("C_cold", "streams.C_cold", "W/K", "capacity rate of the cold stream"),
        ("C_c", "streams.C_hot", "W/K", "capacity rate of the coolant"),
        ("C_a", "streams.C_cold", "W/K", "capacity rate of the air"),
        ("C_min", "C_min", "W/K", "smaller capacity rate"),
        ("C_r", "C_r", "", "capacity ratio"),
        ("N_p", "passes", "", "passes"),
        ("Q_hot", "streams.heat_hot", "W", "heat given by the hot stream"),
        ("Q_cold", "streams.heat_cold", "W", "heat taken by the cold stream"),
        ("Q_mean", "heat_mean", "W", "mean of both heats"),
        ("b", "point.balance", "", "heat balance, difference over mean"),
        ("eps", "point.effectiveness.measured", "", "effectiveness"),
        ("NTU", "point.NTU.measured", "", "number of transfer units"),
        ("UA", "point.UA.measured", "W/K", "conductance"),
    ),
}
_BALANCE = "energy balance of the stream"
_MEAN = "the mean of both heats, each measured by itself"
_INCROPERA = "Incropera et al., Fundamentals of Heat and Mass Transfer, ch. 11"


def _line(symbol: str, formula: str, source: str) -> WorkingLine:
    return WorkingLine(symbol, RIG_TERMS[symbol].label, formula, source, {})


STREAMS = Chapter(
    "Both streams",
    (
        _line("m_hot", "rho_hot*V_hot", "definition; density at the inlet's temperature"),
        _line("m_cold", "rho_cold*V_cold", "definition; density at the inlet's temperature"),
        _line("C_hot", "m_hot*cp_hot", "definition; specific heat at the stream's mean temperature"),
        _line("C_cold", "m_cold*cp_cold", "definition; specific heat at the stream's mean temperature"),
        _line("Q_hot", "C_hot*(T_hot_in - T_hot_out)", _BALANCE),
        _line("Q_cold", "C_cold*(T_cold_out - T_cold_in)", _BALANCE),
        _line("Q_mean", "(Q_hot + Q_cold)/2", _MEAN),
        _line("b", "(Q_hot - Q_cold)/Q_mean", "SAE J1994: within 3 %"),
    ),
)
MEASURED_EFFECTIVENESS = Chapter(
    "Effectiveness as measured",
    (
        _line("C_min", "min(C_hot, C_cold)", "definition"),
        _line("C_r", "C_min/max(C_hot, C_cold)", "definition"),
        _line("eps", "Q_mean/(C_min*(T_hot_in - T_cold_in))", _INCROPERA),
    ),
)
SIZE = Chapter("Conductance as measured", (_line("UA", "NTU*C_min", _INCROPERA),))
NTU_CHAPTER = "The NTU that gives this effectiveness"


def work_point(results: RigResults, arrangement: Arrangement) -> tuple[WorkedChapter, ...]:
    """The chain of one measured point, chapter by chapter; steps that do not apply are left out."""
    passes = float(results.passes.ravel()[0])
    root = effectiveness_chapter(arrangement, passes).steps if passes <= 1.0 else ()
    chapters = (STREAMS, MEASURED_EFFECTIVENESS, Chapter(NTU_CHAPTER, root), SIZE)
    worked = (worked_with(chapter, RIG_TERMS, results) for chapter in chapters)
    return with_same_digits([chapter for chapter in worked if chapter.lines or chapter.failures], results)
