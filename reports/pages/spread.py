"""How sure the duty that decides is: the chance with its error, intervals and what to measure next."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.studies.spread.spread_study import DutySpread, duty_spread
from engcalc.units import UnitSystem
from engcalc.words.answer.reasons import deciding
from engcalc.words.sizing.spread_words import INTERVAL_HEAD, SHARE_HEAD, interval_rows, share_rows, spread_sentences
from engcalc.words.texts import page_texts
from reports.kinds import Order, ReportKind
from reports.layout import HeadedTable, bullets, grid, subheading

MOST_SHARES = 8  # rows; the program shows more
SHARES, ENDS = (0.44, 0.13, 0.13, 0.12, 0.18), (0.36, 0.16, 0.16, 0.16, 0.16)  # of the width, by column


def spread_tables(order: Order, width: float) -> list[Flowable]:
    """Of a sizing report: the study of the deciding duty; empty where nothing speaks for one."""
    duty = deciding(order.check) if order.kind is ReportKind.SIZING else None
    if duty is None or duty.holds_probability is None:
        return []
    found, system = duty_spread(order.check.case, duty.index, cancelled=order.cancelled), order.system
    numeric = frozenset({1, 2, 3, 4})
    shares = HeadedTable(SHARE_HEAD, _shares(found, system), numeric, small=True, shares=SHARES)
    parts = [
        subheading(page_texts.DUTY_THAT_DECIDES.format(name=found.name)),
        *bullets(spread_sentences(found, system)),
    ]
    if found.shares:
        parts.append(grid(shares, width))
    intervals = HeadedTable(INTERVAL_HEAD, interval_rows(found, system), numeric, small=True, shares=ENDS)
    return [*parts, grid(intervals, width)]


def _shares(found: DutySpread, system: UnitSystem) -> tuple[tuple[str, ...], ...]:
    """The largest shares, and the row of all others together where there is one."""
    rows = share_rows(found, system)
    return rows if len(rows) <= MOST_SHARES else (*rows[: MOST_SHARES - 1], rows[-1])
