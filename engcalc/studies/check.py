"""The check of a case: every duty solved, judged against its limits, with its uncertainty; and its rig.

A duty with a duration is judged by the peak that it reaches in that time from its start, nominal and uncertain alike;
its settled numbers stand beside it.

The nominal vehicle, the same with a healthy valve in its place, and the same with the valve held open are one ensemble
and one call of the solver. Where the valve is held open a fan on
its own control is held on as well: what regulates has no place in air-to-boil.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import Conditions, conditions_of, joined_conditions
from engcalc.case.sections.thermostat import BLEED_HOLE
from engcalc.case.whole import pitch_agrees
from engcalc.components.core import RatedStatus, outside_ranges
from engcalc.components.engine import Load, asked_power, engine_heat, engine_load
from engcalc.components.fan import FanDrive, least_by_conditioning
from engcalc.components.pressure_cap import over_vapour
from engcalc.components.pump import suction_needed
from engcalc.components.validity import Outside, ValidRange, outside
from engcalc.errors import Cancelled
from engcalc.properties.coolant import PHI_HIGHEST, Base, freezing_point
from engcalc.studies.by_design import by_design, by_design_in_duty
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.course import DutiesInTime, duration_of, limited_in_time, timed
from engcalc.studies.cycle import courses
from engcalc.studies.limits import Found, LimitingAmbient, air_to_boil, excess, limiting_ambient
from engcalc.studies.members import member, some_members
from engcalc.studies.readings import ReadingCheck
from engcalc.studies.refill_check import check_refill, is_entered
from engcalc.studies.rig import RigCheck, check_rig
from engcalc.studies.seen import seen_findings
from engcalc.studies.uncertainty import Drawn, Spread, draw, spread
from engcalc.studies.what_limits import what_limits
from engcalc.system.airflow import shutter_opening
from engcalc.system.operating_point import solve
from engcalc.system.plant import Plant, ScaledTo, prepare
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Regime, Status
from engcalc.system.upstream import air_conditioning
from engcalc.system.valve_cycle import Hunting, hunting
from engcalc.units import Array
from engcalc.verdict import (
    DutyFacts,
    Finding,
    FindingCode,
    FindingLevel,
    InTime,
    Judgement,
    Verdict,
    freezes,
    judge,
    worst,
)

COMFORT = 2.0  # K under the cabin temperature wanted that still counts as warm; common practice, no source
BELIEVED_SCALE = (0.6, 1.6)  # -; factors on UA within which a maker's point is believed; common practice, no source
ROUNDING = 1e-9  # -, share by which a power may exceed another through conversion of units
GLYCOL_T = ValidRange(238.15, 373.15, "K", "range of the glycol tables, CoolProp AEG and APG; hotter is our extension")
CONCENTRATION = ValidRange(0.0, PHI_HIGHEST, "", "range of the glycol tables, by volume")


@dataclass(frozen=True, eq=False)
class _Run:
    """What the parts of one check share."""

    case: Case
    plant: Plant
    conditions: Conditions
    limits: Array  # K, coolant limit of each duty
    members: int
    seed: int
    progress: Callable[[float], None] | None
    cancelled: Callable[[], bool] | None

    def asked(self, ambient: Array | None = None) -> DutiesInTime:
        """The nominal duties over their time, in another ambient if one is given."""
        return DutiesInTime(self.case.duties, self.conditions, 1, self.limits, lambda _: self.plant, ambient)

    def reached(self, share: float) -> None:
        """Report how far the check has come; end it here where it was cancelled."""
        if self.progress is not None:
            self.progress(share)
        if self.cancelled is not None and self.cancelled():
            raise Cancelled("the check was cancelled")


def check(
    case: Case,
    *,
    members: int = 200,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Check:
    """Check every duty of a case.

    ``members`` 0 leaves the uncertainty out (for every key press); ``progress`` is told 0 to 1; where ``cancelled``
    comes true, Cancelled is raised. RangeError for a core that cannot be built.
    """
    run = _Run(
        case, prepare(case), conditions_of(case.duties), coolant_limits(case), members, seed, progress, cancelled
    )
    answers = _with_hunting(run, _answers(run))
    in_time = _in_time(run, answers)
    run.reached(0.3)
    ambients = _limiting(run, answers)
    run.reached(0.6)
    odds = _spread(run, answers) if members else None
    run.reached(0.9)
    duties = tuple(_duty(run, answers, in_time.get(i), ambients, odds, i) for i in range(len(case.duties)))
    rig = check_rig(case, run.plant)
    seen = (*_freezes_in_records(case), *(seen_findings(case) if has_valve(case) else ()))
    verdict = verdict_of(duties, (), rig, seen)
    run.reached(1.0)
    return Check(
        case,
        run.plant,
        duties,
        rig,
        verdict,
        (*seen, *_whole(run, answers)),
        courses(case),
        _validity(run, answers),
        run.plant.rated,
        check_refill(case) if is_entered(case) else None,
    )


def verdict_of(
    duties: Iterable[DutyCheck], readings: Iterable[ReadingCheck], rig: Iterable[RigCheck], findings: Iterable[Finding]
) -> Verdict | None:
    """The verdict of a case from all that speaks for one; None where nothing does."""
    by_rig = [Verdict.HOLDS if p.agrees else Verdict.MARGINAL for p in rig]
    by_sight: list[Verdict | None] = [_BY_FINDING[f.code] for f in findings if f.code in _BY_FINDING]
    return worst([d.verdict for d in duties] + [r.verdict for r in readings] + by_rig + by_sight)


_BY_FINDING: Mapping[FindingCode, Verdict] = {
    FindingCode.SEEN_VALVE_OPEN: Verdict.OVERCOOLING,
    FindingCode.FREEZES: Verdict.MARGINAL,
}
"""Findings of the case as a whole that speak for a verdict."""


def has_valve(case: Case) -> bool:
    """Whether a thermostat belongs into this circuit: not on a bench."""
    return case.vehicle.class_ != "bench rig"


def coolant_limits(case: Case) -> Array:
    """The coolant limit of each duty [K]: its own or the case's."""
    common = float(case.limits.coolant_limit[0])
    return np.array([common if d.limit is None else float(d.limit[0]) for d in case.duties])


@dataclass(frozen=True, eq=False)
class _Answers:
    """The nominal plant, the healthy one, and the one with its valve held open."""

    nominal: tuple[OperatingPoint, ...]
    healthy: tuple[OperatingPoint, ...]
    held: tuple[OperatingPoint, ...]
    all_nominal: OperatingPoint
    hunting: tuple[Hunting | None, ...] = ()  # of the nominal plant's valve in each duty
    healthy_hunting: tuple[Hunting | None, ...] = ()


def healthy_valve(case: Case) -> dict[str, object]:
    """The changes that put a healthy valve of the same rating in the place of the one that is there.

    A healthy one leaks no more than its seat does: what is entered, at most what is typical. (With none at all a truck
    that idles in hard frost would be called faulty for having one.)
    """
    word = {"thermostat.kind": "wax"} if case.thermostat.kind == "none" else {}
    leak = min(float(case.thermostat.closed_leak[0]), BLEED_HOLE)
    return {
        **word,
        "thermostat.closed_leak": leak,
        "thermostat.minimum_opening": 0.0,
        "thermostat.maximum_opening": 1.0,
    }


def _answers(run: _Run) -> _Answers:
    """All points in one call where the same words hold, in two where a valve is missing."""
    case, c, k = run.case, run.conditions, len(run.case.duties)
    held = c.replace(valve_held=np.ones(k), fan_mode=np.where(c.fan_mode == 0.0, 1.0, c.fan_mode))
    replaced = has_valve(case)
    if replaced and case.thermostat.kind == "none":
        own = solve(run.plant, joined_conditions([c, held]))
        healthy = solve(prepare(with_values(case, healthy_valve(case))), c)
        parts = _split(own, 2 * k)
        return _Answers(parts[:k], _split(healthy, k), parts[k:], own)
    if not replaced or _is_healthy(case):  # the same vehicle: once is enough
        point = solve(run.plant, joined_conditions([c, held]))
        parts = _split(point, 2 * k)
        return _Answers(parts[:k], parts[:k], parts[k:], point)
    point = solve(prepare(_with_healthy_members(case, 2 * k, 3 * k)), joined_conditions([c, held, c]))
    parts = _split(point, 3 * k)
    return _Answers(parts[:k], parts[2 * k :], parts[k : 2 * k], point)


def _is_healthy(case: Case) -> bool:
    """Whether the valve that is there is already what :func:`healthy_valve` would put in its place."""
    own = {path: getattr(case.thermostat, path.rpartition(".")[2]) for path in healthy_valve(case)}
    return all(np.all(own[path] == value) for path, value in healthy_valve(case).items())


def _with_healthy_members(case: Case, first: int, count: int) -> Case:
    """An ensemble of one case whose members from ``first`` on have a healthy valve."""
    changed = {}
    for path, value in healthy_valve(case).items():
        own = np.broadcast_to(getattr(case.thermostat, path.rpartition(".")[2]), (count,)).copy()
        own[first:] = value
        changed[path] = own
    return with_values(case, changed)


def _split(point: OperatingPoint, count: int) -> tuple[OperatingPoint, ...]:
    return tuple(member(point, i) for i in range(count))


def _with_hunting(run: _Run, answers: _Answers) -> _Answers:
    """How the valve hunts in the duties that it regulates until they settle.

    A healthy valve is asked as well where that of the vehicle hunts, so that like is held against like. Elsewhere it
    counts where it would stand: a run for each would cost more than the few kelvins of its mean tell.
    """
    own, with_healthy_valve = [], []
    for i, (point, healthy) in enumerate(zip(answers.nominal, answers.healthy, strict=True)):
        one = run.conditions.taken(slice(i, i + 1))
        asked = run.case.duties[i].duration is None and _regulates(point)
        found = hunting(run.plant, one) if asked else None
        own.append(found)
        if found is not None and not bool(point.opening[0] == healthy.opening[0]):
            exchanged = prepare(with_values(run.case, healthy_valve(run.case)))
            found = hunting(exchanged, one) if _regulates(healthy) else None
        with_healthy_valve.append(found)
    return replace(answers, hunting=tuple(own), healthy_hunting=tuple(with_healthy_valve))


def _regulates(point: OperatingPoint) -> bool:
    return bool(point.solved[0]) and REGIMES[int(point.regime[0])] is Regime.REGULATING


def _limiting(run: _Run, answers: _Answers) -> LimitingAmbient:
    """The limiting ambient of every duty; the first guess moves the ambient by what the open valve leaves."""
    boiling = np.array([float(p.boiling[0]) for p in answers.nominal])
    out = np.array([float(p.coolant_out[0]) for p in answers.held])
    limit = np.minimum(run.limits, boiling)
    of = limited_in_time(run.case.duties)

    def over(c: Conditions) -> Array:
        """Peak over the limit [K], of duties with a duration over their time."""
        found = excess(solve(run.plant, c), limit)
        if of:
            reached = timed(run.asked(c.ambient), of)
            found[list(of)] = reached.peak - limit[list(of)] + reached.boiled
        return found

    return limiting_ambient(over, run.conditions, limit, run.conditions.ambient + limit - out)


def _in_time(run: _Run, answers: _Answers) -> dict[int, InTime]:
    """Duties with a duration over their time, and when duties without one that get too hot reach their limit."""
    hot = (
        i
        for i, p in enumerate(answers.nominal)
        if p.boiling[0] < run.limits[i] or not p.solved[0] or p.peak[0] > run.limits[i]
    )
    of = sorted({*limited_in_time(run.case.duties), *hot})
    if not of:
        return {}
    found = timed(run.asked(), of, to_limit=True)
    return {
        i: InTime(
            float(found.start[k]),
            float(found.peak[k]),
            float(found.end[k]),
            duration_of(run.case.duties[i]),
            float(found.to_limit[k]),
            bool(found.boiled[k]),
        )
        for k, i in enumerate(of)
    }


def _spread(run: _Run, answers: _Answers) -> Spread:
    """Odds and spread of every duty; what a hunting valve swings over where it would stand comes on top."""
    over = np.array(
        [
            0.0 if found is None else found.high - float(point.peak[0])
            for found, point in zip(answers.hunting, answers.nominal, strict=True)
        ]
    )
    found = _spread_of_points(run, run.limits - over)
    return replace(found, low=found.low + over, high=found.high + over, peak=found.peak + over[:, None])


def _spread_of_points(run: _Run, limits: Array) -> Spread:
    return spread_of(run.case, draw(run.case, run.conditions, run.members, run.seed), limits)


def spread_of(
    case: Case, drawn: Drawn, limits: Array, solver: Callable[[Drawn], OperatingPoint] | None = None
) -> Spread:
    """What a drawn ensemble says of the duties of a case; ``limits`` [K] by duty. Those in time count by their peak.

    ``solver`` takes the place of :func:`solve_drawn` where someone else wants the points too.
    """
    solver = solve_drawn if solver is None else solver
    of = limited_in_time(case.duties)
    if not of:
        return spread(drawn, limits, solver)
    asked = DutiesInTime(
        case.duties,
        drawn.conditions,
        drawn.members,
        np.repeat(limits, drawn.members),
        lambda which: _scaled(prepare(some_members(drawn.case, which)), drawn.UA_factor[which]),
    )
    found = timed(asked, of)
    rows = (len(of), drawn.members)
    peaks, boiled = found.peak.reshape(rows), found.boiled.reshape(rows)
    return spread(drawn, limits, solver, {i: (peaks[k], boiled[k]) for k, i in enumerate(of)})


def solve_drawn(drawn: Drawn) -> OperatingPoint:
    """The operating points of a drawn ensemble, its conductance uncertain as well."""
    return solve(_scaled(prepare(drawn.case), drawn.UA_factor), drawn.conditions)


def _scaled(plant: Plant, factor: Array) -> Plant:
    return replace(plant, ua_scale=plant.ua_scale * factor)


def _duty(
    run: _Run, answers: _Answers, in_time: InTime | None, ambients: LimitingAmbient, odds: Spread | None, i: int
) -> DutyCheck:
    point, held, duty = answers.nominal[i], answers.held[i], run.case.duties[i]
    limited = duty.duration is not None
    facts = _facts(run, answers, in_time if limited else None, odds, i)
    judged = judge(facts)
    solved = facts.answered
    found = Found(int(ambients.found[i]))
    known = found is Found.YES and facts.status in (Status.SOLVED, Status.BOILS)
    ambient = float(run.conditions.ambient[i])
    return DutyCheck(
        index=i,
        name=duty.name or f"Duty {i + 1}",
        duty=duty,
        point=point,
        healthy=answers.healthy[i],
        held_open=held,
        verdict=judged.verdict,
        findings=judged.findings + _duty_findings(run, point, facts, judged, found, i),
        limit=facts.what_limits,
        margin=facts.margin if solved else None,
        boiling_margin=facts.boiling - facts.peak if solved else None,
        air_to_boil=float(air_to_boil(held.coolant_out, np.array([ambient]))[0]) if held.solved[0] else None,
        limiting_ambient=float(ambients.ambient[i]) if known else None,
        peak=facts.peak if solved else None,
        start=in_time.start if in_time and limited else None,
        end=in_time.end if in_time and limited else None,
        time_to_limit=in_time.to_limit if in_time and np.isfinite(in_time.to_limit) else None,
        holds_probability=facts.holds_probability,
        spread_low=float(odds.low[i]) if odds else None,
        spread_high=float(odds.high[i]) if odds else None,
        hunting=answers.hunting[i],
    )


def _facts(run: _Run, answers: _Answers, in_time: InTime | None, odds: Spread | None, i: int) -> DutyFacts:
    case, point, healthy = run.case, answers.nominal[i], answers.healthy[i]
    valve = has_valve(case) and bool(healthy.solved[0]) and not np.isfinite(run.conditions.valve_held[i])
    own, healthy_cycle = answers.hunting[i], answers.healthy_hunting[i]
    opens = float(healthy.opens_at[0])
    if case.thermostat.side == "inlet":
        opens += float(healthy.coolant_rise[0])
    return DutyFacts(
        status=STATUSES[int(point.status[0])],
        regime=REGIMES[int(point.regime[0])],
        settled=_mean_of(point, own),
        limit=float(run.limits[i]),
        boiling=float(point.boiling[0]),
        wanted_margin=float(case.limits.margin[0]),
        confidence=float(case.limits.confidence[0]),
        holds_probability=float(odds.holds_probability[i]) if odds else None,
        healthy=_mean_of(healthy, healthy_cycle) if valve else None,
        healthy_regime=REGIMES[int(healthy.regime[0])],
        opens_at=opens if valve else None,
        time_to_boil=float(point.time_to_boil[0]),
        in_time=in_time,
        cycle=_cycle_of(point, own),
        hunts=own is not None,
        freezing=_freezing(case),
        ambient=float(run.conditions.ambient[i]),
        radiator_out=float(point.radiator_out[0]) if point.solved[0] else None,
        missing=float(point.energy_residual[0]),
    )


def _mean_of(point: OperatingPoint, found: Hunting | None) -> float:
    """Engine outlet [K], settled or the mean of a valve that hunts."""
    return float(point.coolant_out[0]) if found is None else found.mean


def _cycle_of(point: OperatingPoint, found: Hunting | None) -> tuple[float, float] | None:
    """Between which temperatures [K] fan or valve let the engine's outlet swing."""
    if found is not None:
        return found.low, found.high
    return (float(point.span_low[0]), float(point.span_high[0])) if point.cycles[0] else None


def _freezing(case: Case) -> float:
    """Where first ice forms in the case's coolant [K]."""
    return float(freezing_point(Base(case.coolant.base), case.coolant.concentration)[0])


def _freezes_in_records(case: Case) -> list[Finding]:
    """That the coolant freezes in the coldest air that a record of the vehicle noted."""
    noted = [r.ambient for r in (case.evidence.before, case.evidence.after) if r is not None and r.ambient is not None]
    found = freezes(_freezing(case), min(float(T[0]) for T in noted)) if noted else None
    return [found] if found is not None else []


def _duty_findings(
    run: _Run, point: OperatingPoint, facts: DutyFacts, judged: Judgement, found: Found, i: int
) -> tuple[Finding, ...]:
    """What else is worth saying of a duty, beside its verdict."""
    extra: list[Finding] = []
    only_frost = not any(f.code in _OF_HEAT for f in judged.findings)
    if judged.verdict in (Verdict.UNDERSIZED, Verdict.MARGINAL) and not only_frost:
        limits = what_limits(point, facts.what_limits)
        extra += [limits] if limits else []
    if facts.answered and found is not Found.YES:
        code = FindingCode.HOLDS_IN_ANY_WEATHER if found is Found.ABOVE else FindingCode.HOLDS_IN_NO_WEATHER
        extra.append(Finding(code, FindingLevel.NOTE))
    extra += _by_design(run, point, i) if facts.status is Status.SOLVED else []
    extra += _engine_findings(run, point, i)
    extra += by_design_in_duty(run.case, run.plant.engine, run.conditions.taken(slice(i, i + 1)), point)
    extra += _suction(run, point, i) if facts.status is Status.SOLVED else []
    target, cabin = float(run.case.cabin.target[0]), float(point.cabin[0])
    if facts.status is Status.SOLVED and run.conditions.heater_air_share[i] >= 1.0 and cabin < target - COMFORT:
        extra.append(
            Finding(
                FindingCode.CABIN_COLD,
                FindingLevel.NOTE,
                {"cabin": cabin, "target": target, "vent": float(point.vent[0])},
            )
        )
    return tuple(extra)


_OF_HEAT = (FindingCode.OVER_LIMIT, FindingCode.BOILS, FindingCode.MARGIN_SMALL, FindingCode.ODDS_SMALL)


def _by_design(run: _Run, point: OperatingPoint, i: int) -> list[Finding]:
    """What a fan or shutter does that is built to, and that a person might take for a fault."""
    plant, c = run.plant, run.conditions
    way, out = plant.airway, float(point.coolant_out[0])
    runs = air_conditioning(way.upstream, c.air_conditioning[i : i + 1], c.ambient[i : i + 1])
    kept = float(least_by_conditioning(way.fan, runs)[0]) if c.fan_mode[i] == 0.0 else 0.0
    speed, found = float(point.fan_speed[0]), []
    asked = float(way.fan.off_temperature[0]) < out
    if kept > 0.0 and speed > 0.0 and not asked:
        found.append(Finding(FindingCode.FAN_WITH_CONDITIONING, FindingLevel.NOTE, {"speed": speed}))
    part = way.fan.drive in (FanDrive.TWO_STAGE, FanDrive.PWM) and c.fan_mode[i] == 0.0
    if part and 0.0 < speed < 1.0 and (asked or not kept):
        found.append(Finding(FindingCode.FAN_PART_SPEED, FindingLevel.NOTE, {"speed": speed}))
    if way.shutter is not None:
        opening = float(shutter_opening(way.shutter, point.coolant_out, runs)[0])
        if opening < 1.0:
            found.append(
                Finding(
                    FindingCode.SHUTTER_SHUT,
                    FindingLevel.NOTE,
                    {"opening": opening, "opens": float(way.shutter.opens[0]), "full": float(way.shutter.full[0])},
                )
            )
    return found


def _engine_findings(run: _Run, point: OperatingPoint, i: int) -> list[Finding]:
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


def _power_findings(run: _Run, one: Conditions, load: Load, i: int) -> Iterator[Finding]:
    """Where a duty's power counts, and that it is more than the engine gives."""
    case, duty, engine = run.case, run.case.duties[i], run.plant.engine
    if load.power_limited[0]:
        asked, rated = float(asked_power(engine, one)[0][0]), float(engine.rated_power[0])
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


def _heated(answers: _Answers) -> bool:
    return any(float((p.heat_to_metal + p.extra_heat)[0]) > 0.0 for p in answers.nominal)


def _suction(run: _Run, point: OperatingPoint, i: int) -> list[Finding]:
    """That the pump draws its coolant too near to boiling; nothing where the flow is given or the pump rests."""
    plant, c = run.plant, run.conditions
    if np.isfinite(c.coolant_flow[i]) or point.pump_head[0] <= 0.0:
        return []
    rho = plant.coolant.state(point.coolant_in).rho * (1.0 - plant.aeration)
    needed = suction_needed(plant.circuit.pump, point.engine_speed, point.coolant_mass_flow / rho, rho)
    left = over_vapour(plant.cap, c.altitude[i : i + 1], point.branch_drop - point.valve_drop, point.coolant_in)
    if left[0] >= needed[0]:
        return []
    return [
        Finding(
            FindingCode.CAVITATES,
            FindingLevel.CAUTION,
            {"left": max(float(left[0]), 0.0), "needed": float(needed[0]), "inlet": float(point.coolant_in[0])},
        )
    ]


def _whole(run: _Run, answers: _Answers) -> tuple[Finding, ...]:
    """Findings of the case as a whole."""
    plant, case = run.plant, run.case
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
                {"ua_scale": float(plant.ua_scale[0])},
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
    factor, rated, stated = float(plant.ua_scale[0]), plant.rated, core.rated_heat
    believed = BELIEVED_SCALE[0] <= factor <= BELIEVED_SCALE[1]
    if plant.scaled_to is ScaledTo.RATED and rated is not None and stated is not None and not believed:
        yield Finding(
            FindingCode.RATED_POINT_DOUBTED,
            FindingLevel.CAUTION,
            {"stated": float(stated[0]), "predicted": float(rated.predicted.Q[0]), "ua_scale": factor},
        )


_SAID_OTHERWISE = ("RATED_POINT_IMPOSSIBLE", "HEATER_RATING_IMPOSSIBLE")


def _validity(run: _Run, answers: _Answers) -> tuple[Outside, ...]:
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
