"""A lap by its one lump of metal and coolant, beside the same lap by the steps of the warm-up: how far they part."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

import worked_examples
from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of, table_of
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.cycle import courses
from engcalc.system.balance import balance, held_at, prepare_setting
from engcalc.system.drive import Drive
from engcalc.system.fan_cycle import Begin, steady_start
from engcalc.system.plant import prepare
from engcalc.system.renewals import Renewal, renew
from engcalc.system.step import step
from engcalc.system.step_fixed import fix

RENEW_STEPS = 5  # as in a warm-up
MOST_LAPS = 20
ENDS = 0.4  # K; by which the ends of the legs part at most
SLOWER = 2.5  # K; by which the steps peak higher as the engine slows: the hot metal gives on while less coolant flows


def lap_by_steps(case: Case) -> tuple[list[float], list[float]]:
    """Ends and peaks [K] of the legs of the first course, once it closes."""
    legs = courses(case)[0].legs
    duties = [case.duties[leg.leg.duty_index] for leg in legs]
    seconds = [round(leg.leg.duration) for leg in legs]
    plant, rows = prepare(case), [conditions_of((duty,)) for duty in duties]
    setting, off = prepare_setting(plant, rows[0]), np.zeros(1)
    opens = balance(setting, plant.valve.start, held_at(setting, off))
    fan = plant.airway.fan
    begin = Begin(plant.valve.start, opens, opens.coolant_out, off, fan.on_temperature, fan.off_temperature)
    warm, state = steady_start(setting, begin)
    which = np.repeat(np.arange(len(legs)), seconds)[:, None]
    fixed = fix(plant, Drive(1.0, which, table_of(rows, rows[0]), opens.coolant_out), 1)
    fixed = replace(
        fixed, rows=replace(fixed.rows, catalyst=()), lumps=replace(fixed.lumps, boiling=warm.lumps.boiling)
    )
    ends: list[float] = []
    for _ in range(MOST_LAPS):
        course = [float(state.T)]
        for k in range(len(which)):
            if k % RENEW_STEPS == 0:
                renew(fixed, state, Renewal(k, min(k + RENEW_STEPS, len(which)), True, True, None))
            step(fixed, state, k)
            course.append(float(state.T))
        edges = np.cumsum([0, *seconds])
        before, ends = ends, [course[edge] for edge in edges[1:]]
        if before and np.allclose(before, ends, atol=0.02):
            break
    return ends, [max(course[a : b + 1]) for a, b in pairwise(edges)]


def test_a_lap_ends_its_legs_where_the_steps_of_the_warm_up_end_them_and_peaks_a_little_lower():
    path = worked_examples.folder() / "tow-and-track.heatcase.json"
    case = resolve(read_case(path))
    assert isinstance(case, Case)
    ends, peaks = lap_by_steps(case)
    legs = courses(case)[0].legs
    assert np.allclose([leg.end for leg in legs], ends, atol=ENDS)
    higher = np.array(peaks) - [leg.peak for leg in legs]
    assert np.all(higher < SLOWER)
    assert higher.max() > 1.0  # it is told: what a lap shows is not the last word on its peak
