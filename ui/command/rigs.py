"""A bench exchanger on the command line: its points and problems worked, a class's table in and out."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from engcalc.words.texts import command_texts, shared_texts
from ui.command.named_case import SYSTEMS, resolved

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from engcalc.case.text import CaseText
    from engcalc.words.lesson.bench_words import BenchTable
    from ui.command.answer import Answer


def rig_command(options: argparse.Namespace) -> Answer:
    """``heatdocket rig``: points and problems of a case, or a table's points. InputError with every fault."""
    from engcalc.case.file import read_case
    from engcalc.diagnosis.whole_check import check_with_records
    from engcalc.errors import InputError, InputFault
    from engcalc.words.answer.answer import headline
    from engcalc.words.answer.reasons import reasons
    from engcalc.words.lesson.bench_words import bench_tables
    from ui.command.as_json import check_json

    text = read_case(options.case)
    if options.points is not None:
        text = _with_table(text, options.points)
    case, system = resolved(text, options.case), SYSTEMS[options.units]
    if not case.rig and not case.problems:
        raise InputError((InputFault("rig", "", command_texts.CASE_WITH_MEASURED_POINTS_OR_PROBLEMS),))
    check = check_with_records(case, {}).check
    answer = check_json(check, system)
    written = list(_written(text, options))
    answer["files"] = written
    lines = [headline(check, system), *(f"- {reason.text}" for reason in reasons(check, system))]
    for table in () if check.bench is None else bench_tables(check.bench, system):
        lines += ["", *table_lines(table)]
    return answer, [*lines, *(f"written: {path}" for path in written)]


def _with_table(text: CaseText, path: Path) -> CaseText:
    from engcalc.case.file import read_whole
    from engcalc.case.rig_table import LARGEST, points_of_table, sides_by_fluid, with_points

    data = read_whole(path, shared_texts.TABLE_OF_MEASURED_POINTS, 4 * LARGEST)
    table = data.decode("utf-8-sig", errors="replace")
    return with_points(text, points_of_table(table, sides_by_fluid(text)))


def _written(text: CaseText, options: argparse.Namespace) -> Iterator[str]:
    """Write the case with its points, and the points as a table, where asked."""
    from engcalc.case.file import write_case, write_whole
    from engcalc.case.rig_table import table_of_points
    from ui.command.outputs import may_replace

    inputs = (options.case, options.points)
    for path in (options.output, options.table):
        if path is not None:
            may_replace(path, inputs, force=options.force)
    if options.output is not None:
        write_case(text, options.output)
        yield str(options.output)
    if options.table is not None:
        write_whole(options.table, table_of_points(text).encode())
        yield str(options.table)


def table_lines(table: BenchTable) -> list[str]:
    """A table in columns, its title and lead above it."""
    rows = [table.head, *table.rows]
    widths = [max(len(row[i]) for row in rows) for i in range(len(table.head))]
    body = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    return [f"{table.title}. {table.lead}", *body]
