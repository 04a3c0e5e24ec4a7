"""The check of a case: every duty solved, judged against its limits, with its uncertainty; and its rig.

A duty with a duration is judged by the peak that it reaches in that time from its start, nominal and uncertain alike;
its settled numbers stand beside it.

The nominal vehicle, the same with a healthy valve in its place, and the same with the valve held open are one ensemble
and one call of the solver. Where the valve is held open a fan on
its own control is held on as well: what regulates has no place in air-to-boil.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from engcalc.case.bench_rules import asks_for_a_duty, only_a_bench
from engcalc.case.case import Case, with_values
from engcalc.case.conditions import Conditions, conditions_of, joined_conditions
from engcalc.properties.coolant import Base, freezing_point
from engcalc.studies.check_findings import duty_findings, outside_validity, short_coolers, whole_findings
from engcalc.studies.check_run import CheckPoints, CheckRun
from engcalc.studies.checked import Check, DutyCheck, check_of_bench, verdict_of, with_bench
from engcalc.studies.coolers import coolers_in_duty
from engcalc.studies.duties.course import duration_of, limited_in_time, timed
from engcalc.studies.duties.cycle import courses
from engcalc.studies.duties.duty_model import (
    MEMBERS,
    DutyOdds,
    SecondLooks,
    coolant_limits,
    first_look,
    hunting_where_it_regulates,
    spread_of,
    sure_enough,
    swing_over,
)
from engcalc.studies.healthy_valve import has_valve, healthy_valve, is_healthy, with_healthy_members
from engcalc.studies.limits import AmbientFound, LimitingAmbient, air_to_boil, excess, limiting_ambient
from engcalc.studies.members import member
from engcalc.studies.refill_check import check_refill, is_entered
from engcalc.studies.rig import check_rig
from engcalc.studies.seen import seen_findings
from engcalc.studies.spread.uncertainty import Spread, draw
from engcalc.system.in_time.valve_cycle import Hunting
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.system.state import REGIMES, STATUSES, OperatingPoint, Status
from engcalc.units import Array
from engcalc.verdict import (
    DutyFacts,
    Finding,
    InTime,
    freezes,
    judge,
    with_coolers,
)


def check(
    case: Case,
    *,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    looks: Mapping[int, DutyOdds] | None = None,
) -> Check:
    """Check every duty of a case.

    ``members`` 0 leaves the uncertainty out (for every key press); with fewer than ``MEMBERS`` the chances are those of
    a first look. ``progress`` is told 0 to 1; where ``cancelled``
    comes true, Cancelled is raised. An exchanger on a bench without duties has none of a vehicle's. RangeError for a
    core that cannot be built. ``looks`` are second looks at duties of this case that were had before, with this seed.
    """
    if only_a_bench(case):
        return check_of_bench(case)
    run = CheckRun(
        case, prepare(case), conditions_of(case.duties), coolant_limits(case), members, seed, progress, cancelled
    )
    answers = _with_hunting(run, _answers(run))
    in_time = _in_time(run, answers)
    run.reached(0.3)
    ambients = _limiting(run, answers, in_time)
    run.reached(0.6)
    odds = _odds(run, answers, looks) if members else None
    run.reached(0.9)
    told = len(case.duties) if case.rig or asks_for_a_duty(case) else 0  # nobody asked for an empty bench's duty
    duties = tuple(_duty(run, answers, in_time.get(i), ambients, odds, i) for i in range(told))
    rig = check_rig(case, run.plant)
    seen = _seen(case)
    verdict = verdict_of(duties, (), rig, seen)
    run.reached(1.0)
    found = Check(
        case,
        run.plant,
        duties,
        rig,
        verdict,
        (*seen, *whole_findings(run, answers)),
        courses(case),
        outside_validity(run, answers),
        run.plant.rated,
        check_refill(case) if is_entered(case) else None,
        first_look=odds is None,
    )
    return with_bench(found)


def _seen(case: Case) -> tuple[Finding, ...]:
    """What somebody saw at the vehicle, and where its coolant would have frozen by the records."""
    of_valve = seen_findings(case) if has_valve(case) else ()
    return (*_freezes_in_records(case), *of_valve)


def _answers(run: CheckRun) -> CheckPoints:
    """All points in one call where the same words hold, in two where a valve is missing."""
    case = run.case
    c = run.conditions
    k = len(run.case.duties)
    held = c.replace(valve_held=np.ones(k), fan_mode=np.where(c.fan_mode == 0.0, 1.0, c.fan_mode))
    replaced = has_valve(case)
    if replaced and case.thermostat.kind == "none":
        own = solve(run.plant, joined_conditions([c, held]))
        healthy = solve(prepare(with_values(case, healthy_valve(case))), c)
        parts = _split(own, 2 * k)
        return CheckPoints(parts[:k], _split(healthy, k), parts[k:], own)
    if not replaced or is_healthy(case):  # the same vehicle: once is enough
        point = solve(run.plant, joined_conditions([c, held]))
        parts = _split(point, 2 * k)
        return CheckPoints(parts[:k], parts[:k], parts[k:], point)
    point = solve(prepare(with_healthy_members(case, 2 * k, 3 * k)), joined_conditions([c, held, c]))
    parts = _split(point, 3 * k)
    return CheckPoints(parts[:k], parts[2 * k :], parts[k : 2 * k], point)


def _split(point: OperatingPoint, count: int) -> tuple[OperatingPoint, ...]:
    return tuple(member(point, i) for i in range(count))


def _with_hunting(run: CheckRun, answers: CheckPoints) -> CheckPoints:
    """How the valve hunts in the duties that it regulates until they settle.

    A healthy valve is asked as well where that of the vehicle hunts, so that like is held against like. Elsewhere it
    counts where it would stand: a run for each would cost more than the few kelvins of its mean tell.
    """
    own = []
    with_healthy_valve = []
    for i, (point, healthy) in enumerate(zip(answers.nominal, answers.healthy, strict=True)):
        one = run.conditions.taken(slice(i, i + 1))
        in_time = run.case.duties[i].duration is not None
        found = hunting_where_it_regulates(run.plant, one, point, in_time)
        own.append(found)
        if found is not None and not bool(point.opening[0] == healthy.opening[0]):
            exchanged = prepare(with_values(run.case, healthy_valve(run.case)))
            found = hunting_where_it_regulates(exchanged, one, healthy, in_time)
        with_healthy_valve.append(found)
    return replace(answers, hunting=tuple(own), healthy_hunting=tuple(with_healthy_valve))


def _limiting(run: CheckRun, answers: CheckPoints, in_time: dict[int, InTime]) -> LimitingAmbient:
    """The limiting ambient of every duty.

    The first guess moves the ambient by what the open valve leaves, or the peak of a duty with a duration.
    """
    boiling = np.array([float(p.boiling[0]) for p in answers.nominal])
    out = np.array([float(p.coolant_out[0]) for p in answers.held])
    limit = np.minimum(run.limits, boiling)
    of = limited_in_time(run.case.duties)
    for i in of:
        out[i] = in_time[i].peak

    asked = np.full(limit.shape, np.nan)
    over_before = np.zeros(limit.shape)

    def over(c: Conditions) -> Array:
        """Peak over the limit [K], of duties with a duration over their time."""
        found = excess(solve(run.plant, c), limit)
        anew = [i for i in of if c.ambient[i] != asked[i]]
        if anew:
            reached = timed(run.asked(c.ambient), anew)
            asked[anew] = c.ambient[anew]
            over_before[anew] = reached.peak - limit[anew] + reached.boiled
        return np.where(np.isin(np.arange(len(limit)), of), over_before, found)

    return limiting_ambient(over, run.conditions, limit, run.conditions.ambient + limit - out)


def _in_time(run: CheckRun, answers: CheckPoints) -> dict[int, InTime]:
    """Duties with a duration over their time, and when duties without one that get too hot reach their limit."""
    hot = {
        i
        for i, p in enumerate(answers.nominal)
        if p.boiling[0] < run.limits[i] or not p.solved[0] or p.peak[0] > run.limits[i]
    }
    of = sorted({*limited_in_time(run.case.duties), *hot})
    if not of:
        return {}
    found = timed(run.asked(), of, to_limit=hot)
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


def _first_looks(seen: Spread, over: Array) -> list[DutyOdds]:
    """Chance and spread of every duty by the usual members; ``over`` [K] is what a hunting valve swings over."""
    of_duties = zip(seen.holds.sum(axis=1), seen.counted, seen.low + over, seen.high + over, strict=True)
    return [
        DutyOdds(first_look(int(held), int(counted)), float(low), float(high)) for held, counted, low, high in of_duties
    ]


def _odds(run: CheckRun, answers: CheckPoints, looks: Mapping[int, DutyOdds] | None) -> tuple[DutyOdds, ...]:
    """Chance and spread of every duty: a first look at the usual members, a second where that does not say it clearly.

    What a hunting valve swings over where it would stand comes on top. Fewer members than usual are a quick look only.
    """
    over = np.array([swing_over(found, p) for found, p in zip(answers.hunting, answers.nominal, strict=True)])
    drawn = draw(run.case, run.conditions, run.members, run.seed)
    seen = spread_of(run.case, drawn, run.limits - over)
    run.reached(0.7)
    first = _first_looks(seen, over)
    wanted = float(run.case.limits.confidence[0])
    open_ones = [i for i, one in enumerate(first) if not sure_enough(one.chance, wanted)]
    if run.members < MEMBERS:
        return tuple(first)
    second = SecondLooks(run.case, wanted, run.seed, looks)
    for k, i in enumerate(open_ones):
        begun = 0.7 + 0.2 * k / len(open_ones)
        part = 0.2 / len(open_ones)

        def step(share: float, begun: float = begun, part: float = part) -> None:
            run.reached(begun + part * share)

        first[i] = second.at(i, float(over[i]), others=open_ones, step=step)
    return tuple(first)


def _duty(
    run: CheckRun,
    answers: CheckPoints,
    in_time: InTime | None,
    ambients: LimitingAmbient,
    odds: Sequence[DutyOdds] | None,
    i: int,
) -> DutyCheck:
    point = answers.nominal[i]
    held = answers.held[i]
    duty = run.case.duties[i]
    limited = duty.duration is not None
    facts = _facts(run, answers, in_time if limited else None, odds, i)
    judged = judge(facts)
    solved = facts.answered
    found = AmbientFound(int(ambients.found[i]))
    known = found is AmbientFound.YES and facts.status in (Status.SOLVED, Status.BOILS)
    ambient = float(run.conditions.ambient[i])
    coolers = coolers_in_duty(run.case, run.plant, run.conditions.taken(slice(i, i + 1)), point)
    short = short_coolers(coolers, settles=duty.duration is None)
    return DutyCheck(
        index=i,
        name=duty.name or f"Duty {i + 1}",
        duty=duty,
        point=point,
        healthy=answers.healthy[i],
        held_open=held,
        verdict=with_coolers(judged.verdict, short),
        findings=judged.findings + duty_findings(run, point, facts, judged, found, i) + short,
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
        holds_error=odds[i].chance.error if odds else None,
        spread_low=odds[i].low if odds else None,
        spread_high=odds[i].high if odds else None,
        coolers=coolers,
        hunting=answers.hunting[i],
    )


def _outlet_when_it_opens(case: Case, healthy: OperatingPoint) -> float:
    """The engine's outlet [K] at which a healthy valve starts to open, wherever it sits."""
    opens = float(healthy.opens_at[0])
    if case.thermostat.side == "inlet":
        opens += float(healthy.coolant_rise[0])
    return opens


def _facts(
    run: CheckRun, answers: CheckPoints, in_time: InTime | None, odds: Sequence[DutyOdds] | None, i: int
) -> DutyFacts:
    case = run.case
    point = answers.nominal[i]
    healthy = answers.healthy[i]
    valve = has_valve(case) and bool(healthy.solved[0]) and not np.isfinite(run.conditions.valve_held[i])
    own = answers.hunting[i]
    healthy_cycle = answers.healthy_hunting[i]
    return DutyFacts(
        status=STATUSES[int(point.status[0])],
        regime=REGIMES[int(point.regime[0])],
        settled=_mean_of(point, own),
        limit=float(run.limits[i]),
        boiling=float(point.boiling[0]),
        wanted_margin=float(case.limits.margin[0]),
        confidence=float(case.limits.confidence[0]),
        holds_probability=odds[i].chance.probability if odds else None,
        healthy=_mean_of(healthy, healthy_cycle) if valve else None,
        healthy_regime=REGIMES[int(healthy.regime[0])],
        opens_at=_outlet_when_it_opens(case, healthy) if valve else None,
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
    if point.cycles[0]:
        return (float(point.span_low[0]), float(point.span_high[0]))
    return None


def _freezing(case: Case) -> float:
    """Where first ice forms in the case's coolant [K]."""
    return float(freezing_point(Base(case.coolant.base), case.coolant.concentration)[0])


def _freezes_in_records(case: Case) -> list[Finding]:
    """That the coolant freezes in the coldest air that a record of the vehicle noted."""
    both = (case.evidence.before, case.evidence.after)
    noted = [r.ambient for r in both if r is not None and r.ambient is not None]
    found = freezes(_freezing(case), min(float(T[0]) for T in noted)) if noted else None
    return [found] if found is not None else []
