"""Everything that is said of an exchanger on a bench: its points, what they show together, and its problems."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.bench_rules import on_a_bench
from engcalc.case.case import Case
from engcalc.errors import InputFault, RangeError
from engcalc.studies.bench.points import BenchPoint, bench_points
from engcalc.studies.bench.problem import ProblemAnswer, ProblemStatus, bench_problems
from engcalc.studies.bench.setup import BenchSetup, setup_of_bench
from engcalc.studies.bench.wilson import WilsonFit, outliers, wilson_fit
from engcalc.verdict import Finding, FindingCode, FindingLevel
from engcalc.words.texts import study_texts


@dataclass(frozen=True, eq=False)
class BenchCheck:
    """The bench of a case. ``coverage`` is the k with which uncertainties are shown [-], ``area`` [m2] if stated."""

    setup: BenchSetup
    points: tuple[BenchPoint, ...]
    problems: tuple[ProblemAnswer, ...]
    fit: WilsonFit | None
    outliers: tuple[str, ...]
    coverage: float
    area: float | None
    conductance: float | None  # W/K, stated, to compare with
    symbols: str  # of the working: A or B, as on problem sheets

    def U(self, UA: float) -> float | None:
        """UA [W/K] over the stated area: W/(m2 K)."""
        return None if self.area is None else UA / self.area


def check_bench(case: Case) -> BenchCheck | None:
    """The bench of a case, None where it has none. RangeError where a substance has no properties (see faults)."""
    if not on_a_bench(case):
        return None
    setup = setup_of_bench(case)
    points = bench_points(case, setup)
    exponent = float(case.exchanger.flow_exponent[0])
    off = outliers(points, wilson_fit(points, exponent))
    fit = wilson_fit([point for point in points if point.path not in off], exponent)
    points = tuple(_named(point) if point.path in off else point for point in points)
    area = case.exchanger.area
    stated = case.exchanger.conductance
    return BenchCheck(
        setup,
        points,
        bench_problems(case, setup),
        fit,
        off,
        float(case.exchanger.coverage),
        None if area is None else float(area[0]),
        None if stated is None else float(stated[0]),
        case.exchanger.symbols,
    )


def _named(point: BenchPoint) -> BenchPoint:
    """The point, named as one that lies off the others."""
    finding = Finding(FindingCode.BENCH_OUTLIER, FindingLevel.CAUTION)
    return replace(point, findings=(*point.findings, finding))


def bench_without_answer(case: Case) -> Iterator[InputFault]:
    """A fault for each substance without properties at a measured point, and for each problem without an answer."""
    if not on_a_bench(case):
        return
    setup = setup_of_bench(case)
    for name, state in (("hot", setup.hot), ("cold", setup.cold)):
        for i, point in enumerate(case.rig):
            try:
                state(np.concatenate([getattr(point, f"{name}_in"), getattr(point, f"{name}_out")]))
            except RangeError as error:
                yield InputFault(
                    f"rig[{i}].{name}_in", "", study_texts.TEMPERATURES_AT_WHICH_THE_FLUID.format(error=error)
                )
                return
    for answer in bench_problems(case, setup):
        if answer.status is not ProblemStatus.SOLVED:
            yield InputFault(answer.path, answer.name, _WANTED[answer.status])


_WANTED = {
    ProblemStatus.TOO_LITTLE: study_texts.THESE_NUMBERS_DO_NOT_SETTLE_THE_OTHERS,
    ProblemStatus.IMPOSSIBLE: study_texts.NO_EXCHANGER_OF_THIS_ARRANGEMENT_DOES_THAT,
    ProblemStatus.NO_PROPERTIES: study_texts.SUBSTANCE_HAS_NO_PROPERTIES_AT_THESE,
    ProblemStatus.UNSETTLED: study_texts.SPECIFIC_HEATS_AND_TEMPERATURES_DO,
}
