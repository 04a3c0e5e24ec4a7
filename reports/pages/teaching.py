"""Charts of a lesson's deciding duty on paper, and what common approximations cost there."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.studies.teaching import shortcuts, taught
from engcalc.words.answer.reasons import deciding
from engcalc.words.lesson.teaching_words import SHORTCUT_HEAD, SHORTCUT_LEAD, SHORTCUT_TITLE, shortcut_rows
from reports.kinds import Order
from reports.layout import HeadedTable, grid, para, subheading, together
from reports.pages.pictures import figures_abreast
from reports.plots.registry import Paper, drawn_at


def charts_part(order: Order, width: float) -> list[Flowable]:
    """Every chart of the duty that carries the verdict; empty where nothing was solved."""
    duty = deciding(order.check)
    if duty is None or not bool(duty.point.solved[0]):
        return []
    found = taught(order.check.case, duty.index)
    drawn = figures_abreast(drawn_at(Paper.TEACHING, found, order.system), width, last_in_half=True)
    costs = shortcuts(found)
    if not costs:
        return drawn
    rows = shortcut_rows(float(found.core.Q[0]), costs, order.system)
    table = HeadedTable(SHORTCUT_HEAD, rows, frozenset({1, 2}), small=True)
    told = together([subheading(SHORTCUT_TITLE), para(SHORTCUT_LEAD, "small"), grid(table, width)])
    return [*drawn, told]
