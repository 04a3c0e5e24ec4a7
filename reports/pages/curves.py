"""Where fan and pump work: their points in every duty, and on their curves in the duty that decides."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.choice.candidates import part_duty
from engcalc.studies.teaching import taught
from engcalc.units import UnitSystem
from engcalc.words.answer.reasons import deciding
from engcalc.words.page.paper_words import CURVES_HEAD, NO_PUMP_POINT
from engcalc.words.sizing.candidate_words import fan_point
from reports.kinds import Order
from reports.layout import HeadedTable, grid
from reports.pages.pictures import figures_abreast, figures_in_half
from reports.pages.values import quantity
from reports.plots.registry import Paper, drawn_at

SHARES = (0.2, 0.28, 0.13, 0.24, 0.15)


def curves_part(order: Order, width: float) -> list[Flowable]:
    """The points as a table and the deciding duty on the curves; empty where nothing was solved."""
    check, system = order.check, order.system
    rows = [_row(check, duty, system) for duty in check.duties if bool(duty.point.solved[0])]
    if not rows or not check.plant.engine.present:
        return []
    table = grid(HeadedTable(CURVES_HEAD, rows, frozenset({2, 4}), small=True, shares=SHARES), width)
    duty = deciding(check)
    if duty is None or not bool(duty.point.solved[0]):
        return [table]
    drawn = drawn_at(Paper.CURVES, taught(check.case, duty.index), system)
    pictures = figures_in_half(drawn, width) if len(drawn) == 1 else figures_abreast(drawn, width)
    return [table, *pictures]


def _row(check: Check, duty: DutyCheck, system: UnitSystem) -> tuple[str, ...]:
    point = duty.point
    return (
        duty.name,
        fan_point(part_duty(check, duty), system),
        quantity(float(point.air_velocity[0]), "air speed", system),
        _pump_point(duty, system),
        quantity(float((point.radiator_mass_flow / point.coolant_density)[0]), "coolant flow", system),
    )


def _pump_point(duty: DutyCheck, system: UnitSystem) -> str:
    """Where the pump is on its curve."""
    point = duty.point
    if float(point.pump_head[0]) <= 0.0:
        return NO_PUMP_POINT
    flow = quantity(float((point.coolant_mass_flow / point.coolant_density)[0]), "coolant flow", system)
    return f"{flow} at {quantity(float(point.pump_head[0]), 'pump pressure', system)}"
