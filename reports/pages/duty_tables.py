"""Tables with a column for each duty, in as many tables as the width of the page asks for."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from engcalc.studies.checked import DutyCheck
from engcalc.system.state import Status
from engcalc.units import UnitSystem, unit_for
from engcalc.words.answer.results import ResultRow, result_name
from engcalc.words.lesson.class_symbols import Write
from engcalc.words.page.paper_words import BOILS_IF_IT_GOES_ON
from reports.formulas import symbol_markup
from reports.layout import HeadedTable, Marked, grid, para, together
from reports.pages.values import quantity
from reports.texts import markup

DUTIES_ABREAST = 5  # columns of duties beside the column of labels
SMALL_ABREAST = 7  # the same in small type, where that makes one table of two
MOST_ROWS = 34  # of a table in usual type that fits on a page; longer ones are set small
LABELS = 0.32  # of the width
LEAST_HEAT = 0.001  # W; what is below this is rounding
NOTHING = ("", "0", "0 kW", "0 BTU/h", "0 hp", "0 kg/s", "0 lb/min")  # a row of nothing but these is left out


def tables_abreast(
    duties: Sequence[DutyCheck], rows: Sequence[tuple[str | Marked, Sequence[str]]], width: float
) -> list[Flowable]:
    """A table with a column for each duty, in as many tables as the page's width asks for."""
    tables = 1 if len(duties) <= SMALL_ABREAST else -(-len(duties) // DUTIES_ABREAST)
    columns_of_one = max(1, -(-len(duties) // tables))  # ten duties make two tables of five
    parts = []
    for first in range(0, len(duties), columns_of_one):
        some = range(first, min(first + columns_of_one, len(duties)))
        body = [[label, *(values[i] for i in some)] for label, values in rows if any(values[i] for i in some)]
        columns = (LABELS, *[(1.0 - LABELS) / max(columns_of_one, 3)] * len(some))
        head = ("", *(duties[i].name for i in some))
        shares = tuple(c / sum(columns) for c in columns)
        small = len(body) > MOST_ROWS or len(some) > DUTIES_ABREAST
        table = HeadedTable(head, body, frozenset(range(1, len(some) + 1)), small, shares)
        parts.append(grid(table, width * sum(columns)))
    return parts


def whole_tables(
    duties: Sequence[DutyCheck], rows: Sequence[tuple[str | Marked, Sequence[str]]], width: float
) -> list[Flowable]:
    """The same, each table on one page where it fits on one."""
    return [together([table]) for table in tables_abreast(duties, rows, width)]


def boiling_note(duties: Sequence[DutyCheck]) -> list[Flowable]:
    """Which duties boil if they go on, so that their settled numbers are not there; nothing where none does."""
    boiling = [duty.name for duty in duties if duty.status is Status.BOILS]
    return [para(BOILS_IF_IT_GOES_ON.format(duties="; ".join(boiling)), "small")] if boiling else []


def result_label(row: ResultRow, write: Write, *, bench: bool) -> Marked:
    """A result's name with its symbol; ``bench``: of a rig, which has no engine."""
    name, symbol = result_name(row, bench=bench), write(row.symbol, unit_for(row.kind, UnitSystem.SI))
    return Marked(f"{markup(name)} {symbol_markup(symbol)}", f"{name} {symbol}")


def shown_result(row: ResultRow, duty: DutyCheck, system: UnitSystem) -> str:
    """A result of a duty with its unit; empty where there is none."""
    value = row.getter(duty)
    if value is not None and "heat rate" in row.kind and abs(value) < LEAST_HEAT:
        return f"under {quantity(LEAST_HEAT, row.kind, system, 1)}" if row.kind == "small heat rate" else "0"
    return quantity(value, row.kind, system)
