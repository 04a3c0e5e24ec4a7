"""An exchanger on a bench on paper: tables of points, groups, Wilson plot and problems, and the working of each."""

from __future__ import annotations

from collections.abc import Iterator

from reportlab.platypus.flowables import Flowable

from engcalc.studies.bench.check import BenchCheck
from engcalc.studies.bench.points import BenchPoint
from engcalc.studies.bench.problem import ProblemAnswer, ProblemStatus
from engcalc.words.bench_words import bench_tables, point_name
from engcalc.words.paper_words import POINT_WORKING, PROBLEM_WORKING, ROUNDS, WORKING_LEAD
from engcalc.working.bench_chain import BenchNumbers, work_measured, work_rating
from engcalc.working.chapters import Worked
from reports.kinds import Order
from reports.layout import HeadedTable, grid, heading, para, room, subheading, together
from reports.pages.derivation import WORKING_ROOM, chapter_part

MOST_WORKED = 6  # points whose working is printed: a class's are all worked in the same way


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
    for number, (title, chapters, more) in enumerate(_worked(bench)):
        leads = [*([WORKING_LEAD] if number == 0 else []), *([more] if more else [])]  # how to read a line is told once
        parts += [room(WORKING_ROOM), heading(title), *(para(lead, "small") for lead in leads)]
        parts += [part for chapter in chapters for part in chapter_part(chapter, width)]
    return parts


def _worked(bench: BenchCheck) -> Iterator[tuple[str, tuple[Worked, ...], str]]:
    possible = [point for point in bench.points if point.possible]
    for point in possible[:MOST_WORKED]:
        yield POINT_WORKING.format(number=point_name(point)), work_measured(numbers_of_point(bench, point)), ""
    for problem in bench.problems:
        if problem.status is ProblemStatus.SOLVED:
            yield PROBLEM_WORKING.format(name=problem.name), worked_problem(bench, problem), _rounds(problem)


def _rounds(problem: ProblemAnswer) -> str:
    """How guess and correction went; empty where the first guess was right."""
    if len(problem.rounds) < 2:
        return ""
    told = ", ".join(f"{one.correction:.2g} K" for one in problem.rounds)
    return ROUNDS.format(rounds=told)


def bench_chapters(bench: BenchCheck) -> Iterator[Worked]:
    """Every chapter that a lesson prints of a bench."""
    for _, chapters, _ in _worked(bench):
        yield from chapters


def worked_problem(bench: BenchCheck, problem: ProblemAnswer) -> tuple[Worked, ...]:
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
        weight_hot=point.weight_hot,
        balance=point.balance.value,
        area=bench.area,
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
