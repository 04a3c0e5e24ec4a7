"""Real parts side by side over every duty: in sentences and as a table."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.words.sizing.candidate_words import HEAD, comparison_rows, comparison_sentences
from reports.kinds import Order
from reports.layout import HeadedTable, bullets, grid

SHARES = (0.08, 0.12, 0.105, 0.1, 0.115, 0.135, 0.085, 0.11, 0.15)


def candidates_part(order: Order, width: float) -> list[Flowable]:
    """The parts that the case names beside the case as it is; empty where there are none."""
    found = order.candidates
    if found is None:
        return []
    table = HeadedTable(HEAD, comparison_rows(found, order.system), frozenset({3, 6, 7}), small=True, shares=SHARES)
    return [*bullets(comparison_sentences(found, order.system)), grid(table, width)]
