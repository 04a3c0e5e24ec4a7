"""Real parts side by side over every duty: in sentences and as a table."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.words.sizing.candidate_words import (
    HEAD,
    comparison_rows,
    comparison_sentences,
    deciding_rows,
    every_duty_table,
)
from reports.kinds import Annex, Order
from reports.layout import HeadedTable, bullets, grid, together

SHARES = (0.08, 0.12, 0.095, 0.1, 0.11, 0.15, 0.1, 0.105, 0.14)
NUMBERS = frozenset({3, 6, 7})


def candidates_part(order: Order, width: float) -> list[Flowable]:
    """The parts that the case names beside the case as it is; empty where there are none.

    Every number of every duty stands in the full annex. Else each part's deciding duty does, and how hot each of the
    others gets: six duties with seven parts took two pages.
    """
    found, system = order.candidates, order.system
    if found is None:
        return []
    said = bullets(comparison_sentences(found, system))
    if order.annex is Annex.FULL:
        whole = HeadedTable(HEAD, comparison_rows(found, system), NUMBERS, small=True, shares=SHARES)
        return [*said, grid(whole, width)]
    deciding = HeadedTable(HEAD, deciding_rows(found, system), NUMBERS, small=True, shares=SHARES)
    head, rows = every_duty_table(found, system)
    return [*said, together([grid(deciding, width)]), together([grid(HeadedTable(head, rows, small=True), width)])]
