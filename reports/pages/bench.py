"""An exchanger on a bench on paper: tables of points, groups, Wilson plot and problems, and the working of each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.platypus.flowables import Flowable

from engcalc.classroom.symbols import SymbolSet, with_symbols, written
from engcalc.studies.bench.check import BenchCheck
from engcalc.studies.bench.points import BenchPoint
from engcalc.studies.bench.problem import ProblemAnswer, ProblemStatus
from engcalc.studies.bench.wilson import WilsonFit
from engcalc.system.measured import MEASURED
from engcalc.units import UnitSystem
from engcalc.words.lesson.bench_words import bench_finding, bench_tables, point_name, symbols_of
from engcalc.words.lesson.class_symbols import Write
from engcalc.words.page.paper_words import (
    POINT_WORKING,
    POINTS_ALIKE,
    PROBLEM_WORKING,
    ROUNDS,
    WILSON_HEAD,
    WILSON_SUMS,
    WILSON_TABLE_LEAD,
    WILSON_WORKING,
    WORKING_LEAD,
)
from engcalc.words.terms.numbers import raised_to
from engcalc.words.texts import page_texts
from engcalc.working.bench_chain import BenchNumbers, Uncertainties, work_measured, work_rating
from engcalc.working.chapters import WorkedChapter
from engcalc.working.shown import digits_of
from engcalc.working.wilson_chain import WilsonNumbers, work_wilson
from reports.kinds import Order
from reports.layout import HeadedTable, grid, heading, para, room, subheading, together
from reports.pages.derivation import MOST_WORKED, WORKING_ROOM, chapter_part


@dataclass(frozen=True)
class BenchWorking:
    """A point, the Wilson plot or a problem: its title, what is told first, a table that it begins with, its lines."""

    title: str
    leads: tuple[str, ...]
    table: HeadedTable | None
    chapters: tuple[WorkedChapter, ...]


def bench_part(order: Order, width: float) -> list[Flowable]:
    """Every table of the bench, with its pictures; empty where there is none."""
    bench = order.check.bench
    if bench is None:
        return []
    parts: list[Flowable] = []
    for table in bench_tables(bench, order.system):
        numbers = frozenset(range(1, len(table.head)))
        body = grid(HeadedTable(table.head, [list(row) for row in table.rows], numbers, small=True), width)
        parts.append(together([subheading(table.title), para(table.lead, "small"), body]))
    return parts


def bench_working_part(order: Order, width: float) -> list[Flowable]:
    """The working of the points and problems, line by line."""
    bench = order.check.bench
    if bench is None:
        return []
    parts: list[Flowable] = []
    for number, one in enumerate(bench_workings(bench, order.system)):
        leads = (*([WORKING_LEAD] if number == 0 else []), *one.leads)  # how to read a line is told once
        parts += [room(WORKING_ROOM), heading(one.title), *(para(lead, "small") for lead in leads)]
        parts += [] if one.table is None else [grid(one.table, width)]
        parts += [part for chapter in one.chapters for part in chapter_part(chapter, width, written_by(bench))]
    return parts


def written_by(bench: BenchCheck) -> Write:
    """How the class writes a symbol of the bench."""
    symbols = symbols_of(bench)
    return lambda symbol, _unit: written(symbol, symbols)


def bench_workings(bench: BenchCheck, system: UnitSystem) -> Iterator[BenchWorking]:
    """Every working that a lesson prints of a bench."""
    some = [p for i, p in enumerate(bench.points) if i < MOST_WORKED or not p.agrees]
    rest = ", ".join(point_name(p).partition(",")[0] for p in bench.points if p not in some)
    alike = POINTS_ALIKE.format(points=rest) if rest else ""
    for point in some:
        name = POINT_WORKING.format(number=point_name(point))
        found = [bench_finding(f"Point {point_name(point)}", one, system) for one in point.findings]
        leads = (*found, *([alike] if alike and point is some[0] else []))
        yield BenchWorking(name, tuple(leads), None, work_measured(numbers_of_point(bench, point)))
    if bench.fit is not None:
        numbers = numbers_of_wilson(bench, bench.fit)
        yield BenchWorking(
            WILSON_WORKING,
            (WILSON_TABLE_LEAD,),
            _wilson_table(bench.fit, numbers, symbols_of(bench)),
            work_wilson(numbers),
        )
    for problem in bench.problems:
        if problem.status is ProblemStatus.SOLVED:
            told = _rounds(problem)
            leads = (told,) if told else ()
            yield BenchWorking(PROBLEM_WORKING.format(name=problem.name), leads, None, worked_problem(bench, problem))


def numbers_of_wilson(bench: BenchCheck, fit: WilsonFit) -> WilsonNumbers:
    """The plot as its working reads it."""
    return WilsonNumbers(
        m=fit.flows,
        UA=1.0 / fit.y,
        exponent=fit.exponent,
        rest=fit.rest,
        rest_u=fit.rest_u,
        slope=fit.slope,
        slope_u=fit.slope_u,
        scatter=fit.scatter,
        t=fit.t,
        coverage=bench.coverage,
        area=bench.area,
    )


def _wilson_table(fit: WilsonFit, of: WilsonNumbers, symbols: SymbolSet) -> HeadedTable:
    """The points that count, with what the sums of the line are made of."""
    from_x, from_y = of.x - of.mean_x, of.y - of.mean_y
    columns = (of.m, of.UA, of.x, of.y, from_x**2, from_x * from_y, of.off_line**2)
    names = [str(int(path.removeprefix("rig[").removesuffix("]")) + 1) for path in fit.paths]
    rows = [(name, *(_table_number(float(column[i])) for column in columns)) for i, name in enumerate(names)]
    sums = (of.sum_x, of.sum_y, of.sum_xx, of.sum_xy, of.sum_rr)
    rows.append((WILSON_SUMS, "", "", *(_table_number(one) for one in sums)))
    head = tuple(with_symbols(one, symbols) for one in WILSON_HEAD)
    return HeadedTable(head, rows, frozenset(range(1, len(WILSON_HEAD))), small=True)


def _table_number(value: float) -> str:
    """A number to five digits, with a power of ten where it is very small."""
    if value != 0.0 and abs(value) < LEAST_PLAIN:
        head, _, power = f"{value:.4e}".partition("e")
        return f"{head}·10{raised_to(str(int(power)))}"
    return digits_of(value, 5, zeros=True)


LEAST_MOVE = 1e-3  # K; rounds that move the temperatures by less are not told one by one
LEAST_PLAIN = 1e-3  # smaller numbers are printed with a power of ten


def _rounds(problem: ProblemAnswer) -> str:
    """How guess and correction went; empty where the first guess was right."""
    if len(problem.rounds) < 2:
        return ""
    seen = [one.correction for one in problem.rounds if one.correction >= LEAST_MOVE]
    told = [f"{digits_of(one, 2)} K" for one in seen]
    if len(seen) < len(problem.rounds):
        told.append(page_texts.THEN_BY_LESS_THAN_K.format(least_move=LEAST_MOVE))
    return ROUNDS.format(rounds=", ".join(told))


def bench_chapters(bench: BenchCheck) -> Iterator[WorkedChapter]:
    """Every chapter that a lesson prints of a bench."""
    for one in bench_workings(bench, UnitSystem.SI):
        yield from one.chapters


def worked_problem(bench: BenchCheck, problem: ProblemAnswer) -> tuple[WorkedChapter, ...]:
    """The working of a problem: towards UA where that is asked, else from it."""
    numbers = numbers_of_problem(bench, problem)
    return work_measured(numbers) if "conductance" in problem.asked else work_rating(numbers)


def numbers_of_point(bench: BenchCheck, point: BenchPoint) -> BenchNumbers:
    """A measured point as the working reads it."""
    return BenchNumbers(
        passing=bench.setup.passing,
        passes=bench.setup.passes,
        streams=point.streams,
        T_hot_in=point.T["hot_in"],
        T_hot_out=point.T["hot_out"],
        T_cold_in=point.T["cold_in"],
        T_cold_out=point.T["cold_out"],
        heat=point.heat.value,
        effectiveness=point.effectiveness.value,
        NTU=point.NTU.value,
        UA=point.UA.value,
        mean_difference=point.mean_difference.value,
        F=point.F.value,
        UA_by_difference=point.UA_by_difference.value,
        possible=point.possible,
        weight_hot=point.weight_hot,
        weighted=point.weighted,
        balance=point.balance.value,
        area=bench.area,
        u=_uncertainties(bench, point),
    )


def _uncertainties(bench: BenchCheck, point: BenchPoint) -> Uncertainties | None:
    """The uncertainties of a point as the working reads them; None where none was stated."""
    if point.heat_hot.u == 0.0 and point.heat_cold.u == 0.0:
        return None
    of_one = len(MEASURED) // 2  # numbers of a stream; the hot one's come first
    return Uncertainties(
        heat_hot=point.heat_hot.u,
        heat_hot_by=point.heat_hot.parts[:of_one],
        heat_cold=point.heat_cold.u,
        heat_cold_by=point.heat_cold.parts[of_one:],
        effectiveness=point.effectiveness.u,
        effectiveness_by=point.effectiveness.parts,
        UA=point.UA.u,
        UA_by=point.UA.parts,
        coverage=bench.coverage,
    )


def numbers_of_problem(bench: BenchCheck, problem: ProblemAnswer) -> BenchNumbers:
    """A solved problem as the working reads it."""
    assert problem.streams is not None  # a solved one has them
    n = problem.numbers
    return BenchNumbers(
        passing=bench.setup.passing,
        passes=bench.setup.passes,
        streams=problem.streams,
        T_hot_in=n["hot_in"],
        T_hot_out=n["hot_out"],
        T_cold_in=n["cold_in"],
        T_cold_out=n["cold_out"],
        heat=n["heat"],
        effectiveness=problem.effectiveness,
        NTU=problem.NTU,
        UA=n["conductance"],
        mean_difference=problem.mean_difference,
        F=problem.F,
        UA_by_difference=n["heat"] / (problem.F * problem.mean_difference),
        area=bench.area,
    )
