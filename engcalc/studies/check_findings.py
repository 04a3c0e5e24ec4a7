"""What a check finds beside its verdicts: of each duty, of the case as a whole, and what lies outside a range."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from engcalc.case.case import Case
from engcalc.case.conditions import Conditions
from engcalc.case.whole import pitch_agrees
from engcalc.components.core import RatedStatus, outside_ranges
from engcalc.components.engine import Load, asked_power, engine_heat, engine_load
from engcalc.components.fan import FanDrive, least_by_conditioning
from engcalc.components.pressure_cap import over_vapour
from engcalc.components.pump import suction_needed
from engcalc.components.validity import Outside, ValidRange, outside
from engcalc.properties.coolant import PHI_HIGHEST, Base
from engcalc.studies.by_design import by_design, by_design_in_duty
from engcalc.studies.check_run import CheckPoints, CheckRun
from engcalc.studies.coolers import CoolerInDuty
from engcalc.studies.healthy_valve import has_valve
from engcalc.studies.limits import AmbientFound
from engcalc.studies.what_limits import what_limits
from engcalc.system.airflow import Shutter, shutter_opening
from engcalc.system.plant import Plant, ScaledTo
from engcalc.system.state import OperatingPoint, Status
from engcalc.system.upstream import air_conditioning
from engcalc.units import Array
from engcalc.verdict import (
    DutyFacts,
    Finding,
    FindingCode,
    FindingLevel,
    Judgement,
    Verdict,
)

COMFORT = 2.0  # K under the cabin temperature wanted that still counts as warm; common practice, no source
BELIEVED_SCALE = (0.6, 1.6)  # -; factors on UA within which a maker's point is believed; common practice, no source
ROUNDING = 1e-9  # -, share by which a power may exceed another through conversion of units
GLYCOL_T = ValidRange(238.15, 373.15, "K", "range of the glycol tables, CoolProp AEG and APG; hotter is our extension")
CONCENTRATION = ValidRange(0.0, PHI_HIGHEST, "", "range of the glycol tables, by volume")


def duty_findings(
    run: CheckRun, point: OperatingPoint, facts: DutyFacts, judged: Judgement, found: AmbientFound, i: int
) -> tuple[Finding, ...]:
    """What else is worth saying of a duty, beside its verdict."""
    extra: list[Finding] = []
    only_frost = not any(f.code in _OF_HEAT for f in judged.findings)
    if judged.verdict in (Verdict.UNDERSIZED, Verdict.MARGINAL) and not only_frost:
        peak = None if facts.in_time is None else facts.in_time.peak
        limits = what_limits(point, facts.what_limits, peak)
        extra += [limits] if limits else []
    if facts.answered and found is not AmbientFound.YES:
        code = FindingCode.HOLDS_IN_ANY_WEATHER if found is AmbientFound.ABOVE else FindingCode.HOLDS_IN_NO_WEATHER
        extra.append(Finding(code, FindingLevel.NOTE))
    extra += _by_design(run, point, i) if facts.status is Status.SOLVED else []
    extra += _engine_findings(run, point, i)
    extra += by_design_in_duty(run.case, run.plant.engine, run.conditions.taken(slice(i, i + 1)), point)
    extra += _suction(run, point, i) if facts.status is Status.SOLVED else []
    if facts.status is Status.SOLVED and run.conditions.heater_air_share[i] >= 1.0:
        extra += _cold_cabin(run, point)
    return tuple(extra)


def _cold_cabin(run: CheckRun, point: OperatingPoint) -> list[Finding]:
    """That the cabin stays cold with the heater at its most."""
    target = float(run.case.cabin.target[0])
    cabin = float(point.cabin[0])
    if cabin >= target - COMFORT:
        return []
    numbers = {"cabin": cabin, "target": target, "vent": float(point.vent[0])}
    return [Finding(FindingCode.CABIN_COLD, FindingLevel.NOTE, numbers)]


def short_coolers(coolers: Sequence[CoolerInDuty], *, settles: bool) -> tuple[Finding, ...]:
    """That a cooler passes less than is asked of it; a fault where its oil overheats in a duty that ``settles``.

    In a duty that ends before it settles the oil may not get there: its mass is not in the case.
    """
    return tuple(
        Finding(
            FindingCode.COOLER_SHORT,
            FindingLevel.FAULT if settles and one.oil_most is not None else FindingLevel.CAUTION,
            {"asked": one.asked or 0.0, "heat": one.heat, "oil_most": one.oil_most or 0.0},
            {"cooler": one.name, "kind": one.kind},
        )
        for one in coolers
        if one.short > 0.0
    )


_OF_HEAT = (FindingCode.OVER_LIMIT, FindingCode.BOILS, FindingCode.MARGIN_SMALL, FindingCode.ODDS_SMALL)


def _by_design(run: CheckRun, point: OperatingPoint, i: int) -> list[Finding]:
    """What a fan or shutter does that is built to, and that a person might take for a fault."""
    c = run.conditions
    way = run.plant.airway
    out = float(point.coolant_out[0])
    speed = float(point.fan_speed[0])
    runs = air_conditioning(way.upstream, c.air_conditioning[i : i + 1], c.ambient[i : i + 1])
    on_its_own = c.fan_mode[i] == 0.0
    kept = float(least_by_conditioning(way.fan, runs)[0]) if on_its_own else 0.0
    asked = float(way.fan.off_temperature[0]) < out
    found = []
    if kept > 0.0 and speed > 0.0 and not asked:
        found.append(Finding(FindingCode.FAN_WITH_CONDITIONING, FindingLevel.NOTE, {"speed": speed}))
    has_part_speeds = way.fan.drive in (FanDrive.TWO_STAGE, FanDrive.PWM) and on_its_own
    if has_part_speeds and 0.0 < speed < 1.0 and (asked or not kept):
        found.append(Finding(FindingCode.FAN_PART_SPEED, FindingLevel.NOTE, {"speed": speed}))
    if way.shutter is not None:
        found += _shutter_not_open(way.shutter, point, runs)
    return found


def _shutter_not_open(shutter: Shutter, point: OperatingPoint, conditioning: Array) -> list[Finding]:
    """That the grille's shutter stands less than fully open in this duty, where it does."""
    opening = float(shutter_opening(shutter, point.coolant_out, conditioning)[0])
    if opening >= 1.0:
        return []
    numbers = {"opening": opening, "opens": float(shutter.opens[0]), "full": float(shutter.full[0])}
    return [Finding(FindingCode.SHUTTER_SHUT, FindingLevel.NOTE, numbers)]


def _engine_findings(run: CheckRun, point: OperatingPoint, i: int) -> list[Finding]:
    one = run.conditions.taken(slice(i, i + 1))
    load = engine_load(run.plant.engine, one)
    heat = engine_heat(run.plant.engine, load, point.coolant_out)
    found = [*_power_findings(run, one, load, i)]
    if heat.balance_impossible[0]:
        found.append(
            Finding(
                FindingCode.SHARES_IMPOSSIBLE,
                FindingLevel.CAUTION,
                {"fuel_power": float(heat.fuel_power[0]), "heat_to_metal": float(heat.heat_to_metal[0])},
            )
        )
    if load.speed_guessed[0] and run.plant.engine.present and one.vehicle_speed[0] > 0.0:
        found.append(
            Finding(FindingCode.SPEED_GUESSED, FindingLevel.NOTE, {"engine_speed": float(load.engine_speed[0])})
        )
    return found


def _power_findings(run: CheckRun, one: Conditions, load: Load, i: int) -> Iterator[Finding]:
    """Where a duty's power counts, and that it is more than the engine gives."""
    case = run.case
    duty = run.case.duties[i]
    engine = run.plant.engine
    if load.power_limited[0]:
        asked = float(asked_power(engine, one)[0][0])
        rated = float(engine.rated_power[0])
        entered = duty.brake_power is not None
        impossible = entered and asked > rated * (1.0 + ROUNDING)
        yield Finding(
            FindingCode.POWER_LIMITED,
            FindingLevel.FAULT if impossible else FindingLevel.CAUTION,
            {"asked": asked, "brake_power": float(load.brake_power[0]), "rated": rated},
            {
                "asks": "entered" if entered else "road",
                "impossible": "yes" if impossible else "no",
                "rating": case.given["engine.rated_power"].basis.value,
            },
        )
    if duty.wheel_power is not None:
        numbers = {
            "wheel": float(duty.wheel_power[0]),
            "crank": float(one.brake_power[0]),
            "efficiency": float(case.vehicle.driveline_efficiency[0]),
        }
        yield Finding(FindingCode.POWER_AT_WHEELS, FindingLevel.NOTE, numbers)
    elif duty.brake_power is not None and case.engine.power_at == "wheel":
        yield Finding(FindingCode.POWER_AT_CRANK, FindingLevel.CAUTION, {"crank": float(one.brake_power[0])})


def _heated(answers: CheckPoints) -> bool:
    return any(float((p.heat_to_metal + p.extra_heat)[0]) > 0.0 for p in answers.nominal)


def _suction(run: CheckRun, point: OperatingPoint, i: int) -> list[Finding]:
    """That the pump draws its coolant too near to boiling; nothing where the flow is given or the pump rests."""
    plant = run.plant
    c = run.conditions
    if np.isfinite(c.coolant_flow[i]) or point.pump_head[0] <= 0.0:
        return []
    rho = plant.coolant.state(point.coolant_in).rho * (1.0 - plant.aeration)
    needed = suction_needed(plant.circuit.pump, point.engine_speed, point.coolant_mass_flow / rho, rho)
    core_drop = point.branch_drop - point.valve_drop
    left = over_vapour(plant.cap, c.altitude[i : i + 1], core_drop, point.coolant_in)
    if left[0] >= needed[0]:
        return []
    return [
        Finding(
            FindingCode.CAVITATES,
            FindingLevel.CAUTION,
            {"left": max(float(left[0]), 0.0), "needed": float(needed[0]), "inlet": float(point.coolant_in[0])},
        )
    ]


def whole_findings(run: CheckRun, answers: CheckPoints) -> tuple[Finding, ...]:
    """Findings of the case as a whole."""
    plant = run.plant
    case = run.case
    impossible = plant.rated is not None and bool((plant.rated.status == RatedStatus.IMPOSSIBLE).any())
    heater = bool((plant.heater.UA_rated > 0.0).any() and not plant.heater.rated_possible.all())
    rules: Mapping[FindingCode, bool] = {
        FindingCode.VALVE_MISSING: has_valve(case) and case.thermostat.kind == "none",
        FindingCode.EFFICIENCY_IMPOSSIBLE: not bool(plant.engine.efficiency_possible.all()),
        FindingCode.HEATER_IMPOSSIBLE: heater,
        FindingCode.RATED_POINT_IMPOSSIBLE: impossible,
    }
    found = [Finding(code, FindingLevel.CAUTION) for code, holds in rules.items() if holds]
    if not has_valve(case) and not case.rig and not _heated(answers):
        found.append(Finding(FindingCode.NO_HEAT_SOURCE, FindingLevel.CAUTION))
    if plant.scaled_to is not ScaledTo.NOTHING:
        found.append(
            Finding(
                FindingCode.UA_SCALED,
                FindingLevel.NOTE,
                {"ua_scale": float(plant.known_scale[0])},
                {"to": plant.scaled_to.value},
            )
        )
    found += _core_findings(plant, case)
    return (
        *found,
        *by_design(case),
        *(
            Finding(FindingCode.ASSUMED, FindingLevel.NOTE, {}, {"assumption": a.value})
            for a in plant.assumptions
            if a.name not in _SAID_OTHERWISE
        ),
    )


def _core_findings(plant: Plant, case: Case) -> Iterator[Finding]:
    """What of the core's dimensions is to be doubted."""
    core = case.radiator
    if not pitch_agrees(core).all():
        fin = plant.core.fin.fin
        yield Finding(
            FindingCode.PITCH_DIFFERS,
            FindingLevel.CAUTION,
            {
                "pitch": float(core.tube_pitch[0]),
                "sum": float((core.tube_height + core.fin_height)[0]),
                "passage": float(fin.passage[0]),
            },
        )
    factor = float(plant.known_scale[0])
    rated = plant.rated
    stated = core.rated_heat
    believed = BELIEVED_SCALE[0] <= factor <= BELIEVED_SCALE[1]
    if plant.scaled_to is ScaledTo.RATED and rated is not None and stated is not None and not believed:
        yield Finding(
            FindingCode.RATED_POINT_DOUBTED,
            FindingLevel.CAUTION,
            {"stated": float(stated[0]), "predicted": float(rated.predicted.Q[0]), "ua_scale": factor},
        )


_SAID_OTHERWISE = ("RATED_POINT_IMPOSSIBLE", "HEATER_RATING_IMPOSSIBLE")


def outside_validity(run: CheckRun, answers: CheckPoints) -> tuple[Outside, ...]:
    """What lies outside a correlation's range or the coolant tables, over all duties."""
    every = (one.of_first(len(answers.nominal)) for one in outside_ranges(answers.all_nominal.core))
    found = tuple(one for one in every if one is not None)
    if run.plant.coolant.base is Base.WATER:
        return found
    values = {
        "coolant temperature": np.array([float(p.coolant_out[0]) for p in answers.nominal]),
        "coolant concentration": run.case.coolant.concentration,
    }
    return found + outside({"coolant temperature": GLYCOL_T, "coolant concentration": CONCENTRATION}, values)
