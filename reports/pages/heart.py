"""The heart of the work on paper: heat, flows and the exchanger, per duty and per measured point, and what limits."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.studies.checked import DutyCheck
from engcalc.studies.rig import RigCheck
from engcalc.studies.what_limits import what_limits
from engcalc.system.state import OperatingPoint, Regime, Status
from engcalc.units import UnitSystem, plain_number
from engcalc.words.answer.results import BY_KEY, ResultRow
from engcalc.words.lesson.rig_words import on_a_rig
from engcalc.words.page.paper_words import (
    AT_LIMIT,
    BOILS,
    HEART_LEAD,
    HEART_RIG_LEAD,
    LIMITS,
    LIMITS_ROW,
    NOT_LIMITED,
)
from engcalc.words.texts import page_texts, shared_texts
from reports.kinds import Order
from reports.layout import HeadedTable, grid, para, subheading, together
from reports.pages.duty_tables import NOTHING, boiling_note, result_label, shown_result, tables_abreast
from reports.pages.values import quantity

KEYS = (
    "heat_to_coolant_W",
    "radiator_heat_W",
    "heater_heat_W",
    "coolant_out_degC",
    "coolant_rise_K",
    "coolant_flow_kg_s",
    "radiator_flow_kg_s",
    "heater_flow_kg_s",
    "effectiveness",
    "ntu",
    "ua_W_K",
)
"""Results that stand here, by the key of :mod:`engcalc.words.answer.results`."""

POINTS = (
    (page_texts.HEAT_GIVEN_BY_THE_HOT_SIDE, "heat_hot", "heat rate"),
    (page_texts.HEAT_TAKEN_BY_THE_COLD_SIDE, "heat_cold", "heat rate"),
    ("Effectiveness", "effectiveness", "number"),
    ("NTU", "NTU", "number"),
    ("UA", "UA", "conductance"),
)


def heart_part(order: Order, width: float) -> list[Flowable]:
    """Measured points first, where there are any; then every duty."""
    return [*_of_points(order, width), *_of_duties(order, width)]


def _of_duties(order: Order, width: float) -> list[Flowable]:
    duties = order.check.duties
    bench = not order.check.plant.engine.present
    rows = [
        (result_label(row, order.write, bench=bench), [_shown(row, duty, order.system) for duty in duties])
        for row in map(BY_KEY.__getitem__, KEYS)
    ]
    shown = [(label, values) for label, values in rows if any(value not in NOTHING for value in values)]
    if not shown:
        return []
    limits = (LIMITS_ROW, [_limiting(duty) for duty in duties])
    first, *more = tables_abreast(duties, [*shown, limits], width)
    return [
        together([para(HEART_LEAD), first]),
        *map(_unparted, more),
        *boiling_note(duties),
        para(on_a_rig(AT_LIMIT) if bench else AT_LIMIT, "small"),
    ]


def _shown(row: ResultRow, duty: DutyCheck, system: UnitSystem) -> str:
    """A result of a duty; of one that settles nowhere the word for it stands where its temperature would."""
    shown = shown_result(row, duty, system)
    return BOILS if not shown and row.key == "coolant_out_degC" and duty.status is Status.BOILS else shown


def _unparted(table: Flowable) -> Flowable:
    """A table that is not parted."""
    return together([table])


def _limiting(duty: DutyCheck) -> str:
    """Where more would help first; empty for a duty without an answer."""
    if duty.status not in (Status.SOLVED, Status.BOILS):
        return ""
    peak = None if duty.duration is None else duty.peak
    found = what_limits(_with_valve_open(duty), duty.limit, peak)
    return NOT_LIMITED if found is None else LIMITS[found.words["limiting"]]


def _with_valve_open(duty: DutyCheck) -> OperatingPoint:
    """The duty as it would be with the thermostat wide open: while it regulates, nothing but it limits."""
    regulates = duty.regime in (Regime.REGULATING, Regime.FLOATING_BELOW)
    return duty.held_open if regulates and bool(duty.held_open.solved[0]) else duty.point


def _of_points(order: Order, width: float) -> list[Flowable]:
    points = order.check.rig
    if not points:
        return []
    head = ("", *(f"Point {i + 1}" for i in range(len(points))))
    rows = [[label, *(_measured(point, name, kind, order.system) for point in points)] for label, name, kind in POINTS]
    rows.insert(2, ["Difference over mean", *(_balance(point) for point in points)])
    table = grid(HeadedTable(head, rows, frozenset(range(1, len(head)))), width)
    return [together([subheading(shared_texts.MEASURED_POINTS), para(HEART_RIG_LEAD), table])]


def _measured(point: RigCheck, name: str, kind: str, system: UnitSystem) -> str:
    """A measured number with its standard uncertainty, both in the system's unit."""
    one = getattr(point, name)
    value = quantity(one.measured, kind, system)
    return value if one.uncertainty <= 0.0 else f"{value} ± {quantity(one.uncertainty, kind, system, 2)}"


def _balance(point: RigCheck) -> str:
    value, u = (plain_number(100.0 * number, 2) for number in (point.balance, point.balance_uncertainty))
    return f"{value} ± {u} %"
