"""What a vehicle of today does by design and what might be taken for a fault, of each duty and of the whole vehicle."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions
from engcalc.case.sections.circuit import EXHAUST_HEAT, GEARBOX_WARMER, OIL_WARMER, STANDS_COLD
from engcalc.components.engine import PreparedEngine
from engcalc.system.in_time.hybrid import may_stand
from engcalc.system.state import OperatingPoint
from engcalc.verdict import Finding, FindingCode, FindingLevel
from engcalc.words.texts import study_texts

MAPPED_DOWN = 0.5  # K; an opening that load moves by less is not told


class ByDesign(StrEnum):
    """What is told of; the words for each stand in :mod:`engcalc.words.answer.by_design`."""

    MAPPED = "mapped valve"
    ENGINE_STANDS = "hybrid engine stands"
    PUMP_STANDS = study_texts.PUMP_STANDS_WHEN_COLD
    OIL = "oil warmer"
    GEARBOX = "gearbox warmer"
    EXHAUST = "exhaust heat"


def by_design_in_duty(
    case: Case, engine: PreparedEngine, conditions: Conditions, point: OperatingPoint
) -> tuple[Finding, ...]:
    """Of one duty: a valve that load has open lower, a hybrid's engine that may stand. Everything of one member."""
    found = []
    down = float(case.thermostat.start_to_open[0] - point.opens_at[0])
    if down > MAPPED_DOWN:
        found.append(_note(ByDesign.MAPPED, opens_at=float(point.opens_at[0]), down=down))
    if case.engine.hybrid == "yes" and bool(may_stand(engine, conditions).any()):
        found.append(_note(ByDesign.ENGINE_STANDS))
    return tuple(found)


def by_design(case: Case) -> tuple[Finding, ...]:
    """Of the whole vehicle: what warms up in its own way."""
    found = []
    if case.circuit.pump_cold == STANDS_COLD:
        found.append(_note(ByDesign.PUMP_STANDS, starts=float(case.circuit.pump_starts[0])))
    for item in case.circuit.extra:
        if item.kind == OIL_WARMER and np.any(item.conductance > 0.0):
            found.append(_note(ByDesign.OIL))
        elif item.kind == GEARBOX_WARMER and np.any(item.conductance > 0.0):
            found.append(_note(ByDesign.GEARBOX))
        elif item.kind == EXHAUST_HEAT and np.any(item.recovery > 0.0):
            found.append(_note(ByDesign.EXHAUST, stops=float(item.stops[0])))
    return tuple(found)


def _note(design: ByDesign, **numbers: float) -> Finding:
    return Finding(FindingCode.BY_DESIGN, FindingLevel.NOTE, numbers, {"design": design.value})
