"""The one conclusion on the vehicle in front of us, which banner, command line and paper read.

Its order of authority: a danger seen or measured; a fault that was looked at and found; what the readings say; and last
what a typical vehicle of the class would do, which is never this vehicle's verdict. Whether the system would hold its
duties (its capacity) is another question and stands beside under its own name.

Danger is judged on the latest record that holds any evidence. What was found before a repair is history, but a positive
gas test, lasting bubbles, a fan that stood still, a pump without drive or a coolant too hot has to be looked at again
before anything is called healthy.

Rules without a source of their own are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.bench_rules import on_a_bench
from engcalc.case.case import Case
from engcalc.case.records import Record
from engcalc.case.sections.job import HEATER_SIGNS
from engcalc.causes.catalogue import CAUSES
from engcalc.causes.record import SensorFault
from engcalc.diagnosis.checks.first_steps import (
    LAST_STEPS,
    NextStep,
    fan_step,
    first_step,
    heater_step,
    settled_step,
    valve_step,
)
from engcalc.diagnosis.checks.found_causes import fan_cannot_run
from engcalc.diagnosis.checks.hand_checks import lost_in_the_cabin
from engcalc.diagnosis.evidence.codes import STAYS_COLD
from engcalc.diagnosis.grounds import Danger, Ground, GroundCode, Rank, VehicleState
from engcalc.diagnosis.hottest import HotReading, hottest, without_fan
from engcalc.diagnosis.standing_record import StandingRecord, standing_record
from engcalc.studies.checked import Check
from engcalc.studies.seen import IN_HAND
from engcalc.vehicle.criterion import WarmupOutcome
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.verdict import OVERCOOLED_BY, Finding, FindingCode, FindingLevel, Verdict, worst

OVER_CAP = 3.0e4  # Pa over the cap's pressure that gauge and cap may differ by; common practice, no source
COLD_COMPLAINTS = ("no heat", "slow warm-up")
HOT_COMPLAINTS = ("hot at idle", "hot at speed")
COMPLAINTS = (*COLD_COMPLAINTS, *HOT_COMPLAINTS, "loss of coolant")
NO_COMPLAINT = ("sizing", "lesson")  # reasons under which the complaint's text is a question, not a complaint
IDENTITY = ("vehicle.class", "engine.fuel")  # these say which vehicle it is, and ask nothing
_NO_PARTS = ("job.", "evidence.", "limits.", "duties[", "base_rates.", "refill")  # paths of what describes no part
OVERHEATED_CODES = ("P0217",)  # SAE J2012: engine coolant over temperature condition


@dataclass(frozen=True)
class Conclusion:
    """What is said of the vehicle in front of us: ``because`` holds at least one ground, the weightiest first.

    ``capacity`` is the verdict over the duties, None where nobody asked for one. ``complaint`` says whether there is
    one, ``repaired`` whether the record after a repair is the one that speaks.
    """

    because: tuple[Ground, ...]
    capacity: Verdict | None
    complaint: bool
    repaired: bool
    evidence: bool  # whether anything was read or seen on this vehicle
    asked: bool  # whether somebody asks what such a vehicle would do: duties, parts, a rig, a run to be simulated
    lost_in_cabin: bool = (
        False  # whether coolant is told to be lost there: each look for a leak goes to the heater core
    )
    fuel_doubted: bool = False  # whether a log looks like another fuel's than the one entered
    too_small: bool = False  # whether it is told to run hot, and is undersized for its duties as it is described

    @property
    def lead(self) -> Ground:
        """What speaks first."""
        return self.because[0]

    @property
    def state(self) -> VehicleState:
        """How the vehicle is."""
        return self.lead.state

    @property
    def danger(self) -> Danger:
        """Whether it may be driven: the gravest of all grounds."""
        return max((ground.danger for ground in self.because), key=tuple(Danger).index)

    @property
    def rank(self) -> Rank:
        """By what authority it speaks."""
        return self.lead.rank

    @property
    def next_step(self) -> NextStep | None:
        """The next check."""
        return self.lead.next_step

    @property
    def of_this_vehicle(self) -> bool:
        """Whether a complaint, a reading or a record stands, so that not the capacity but the state is the verdict."""
        return self.complaint or self.evidence

    @property
    def outranks(self) -> bool:
        """Whether a danger or a fault that was found speaks."""
        return self.rank <= Rank.FOUND

    @property
    def so_far(self) -> bool:
        """Whether it is healthy by what there is, and more is wanted before that is said for good."""
        return self.lead.code in (GroundCode.READ_ONCE, GroundCode.AGREES_SO_FAR)

    @property
    def looked_for(self) -> bool:
        """Whether a cause is looked for: not in a healthy vehicle, unless it is complained of and nobody is sure."""
        return self.state is not VehicleState.HEALTHY or self.lead.code is GroundCode.AGREES_SO_FAR

    @property
    def green(self) -> bool:
        """Whether nothing speaks against leaving it as it is."""
        if self.of_this_vehicle:
            clear = self.state is VehicleState.HEALTHY and not self.so_far
            return clear and self.capacity in (Verdict.HOLDS, None) and not self.fuel_doubted
        return self.asked and self.capacity in (Verdict.HOLDS, None)


def conclude(check: Check) -> Conclusion:
    """The conclusion of a check. Pure, and quick enough for every face to ask for it by itself."""
    case = check.case
    standing = standing_record(case)
    complaint = has_complaint(case)
    grounds = [
        *_freezes(check),
        *_dangers(check, standing),
        *_faults_found(check, standing),
        *_not_seen_again(check, standing),
    ]
    if not grounds:
        read = _by_odds(check, standing, _of_readings(check, complaint, standing))
        grounds = [*_told_dangers(check, standing, read), read]
    capacity = _capacity(check)
    return Conclusion(
        tuple(sorted(_each_once(grounds), key=_weight)),
        capacity,
        complaint,
        repaired=standing.name == AFTER,
        evidence=standing.has_evidence,
        asked=_asks_for_numbers(check),
        lost_in_cabin=lost_in_the_cabin(case),
        fuel_doubted=any(f.code is FindingCode.FUEL_DOUBTED for f in check.findings),
        too_small=case.job.reason in HOT_COMPLAINTS and capacity is Verdict.UNDERSIZED,
    )


_SAID_BY: Mapping[GroundCode, tuple[GroundCode, ...]] = {  # what says the same and more
    GroundCode.FAN_STILL: (GroundCode.FAN_STILL_HOT,),
    GroundCode.FAN_MISSED: (GroundCode.FAN_STILL, GroundCode.FAN_STILL_HOT),
    GroundCode.BUBBLES: (GroundCode.BUBBLES_LOW_HOT, GroundCode.GAS),
    GroundCode.LEVEL_LOW: (GroundCode.BUBBLES_LOW_HOT,),
    GroundCode.OVER_LIMIT: (GroundCode.FAN_STILL_HOT, GroundCode.BUBBLES_LOW_HOT),
    GroundCode.RISING_FAST: (GroundCode.FAN_STILL_HOT, GroundCode.BUBBLES_LOW_HOT),
    GroundCode.NEAR_LIMIT: (GroundCode.FAN_STILL_HOT, GroundCode.BUBBLES_LOW_HOT),
    GroundCode.OVERHEAT_CODE: (GroundCode.OVER_LIMIT,),
    GroundCode.TOLD_LAMP: (GroundCode.TOLD_STEAM,),
}


def _each_once(grounds: Sequence[Ground]) -> list[Ground]:
    codes = {ground.code for ground in grounds}
    return [ground for ground in grounds if not codes & set(_SAID_BY.get(ground.code, ()))]


def has_complaint(case: Case) -> bool:
    """Whether somebody complains of the vehicle; a question of sizing or a lesson is none."""
    reason = case.job.reason
    words = (case.job.complaint or "").strip()
    return reason in COMPLAINTS or (bool(words) and reason not in NO_COMPLAINT)


def asks_for_capacity(case: Case) -> bool:
    """Whether somebody asks what the system would hold: a duty or anything of the vehicle's parts is typed."""
    of_parts = (
        path
        for path, given in case.given.items()
        if given.typed and not path.startswith(_NO_PARTS) and path not in IDENTITY
    )
    return case.own_duties or (any(of_parts) and not on_a_bench(case))


def _asks_for_numbers(check: Check) -> bool:
    records = (check.case.evidence.before, check.case.evidence.after)
    simulated = any(record is not None and record.schedule for record in records)
    return asks_for_capacity(check.case) or bool(check.measured) or check.bench is not None or simulated


def _capacity(check: Check) -> Verdict | None:
    return worst(duty.verdict for duty in check.duties) if asks_for_capacity(check.case) else None


def _weight(ground: Ground) -> tuple[int, int, int]:
    """Danger first, the gravest ahead; then by authority; then as the codes are listed."""
    gravity = -tuple(Danger).index(ground.danger)
    return gravity, int(ground.rank), tuple(GroundCode).index(ground.code)


# ---- dangers ---------------------------------------------------------------------------------------------------------


def _dangers(check: Check, standing: StandingRecord) -> Iterator[Ground]:
    """Everything seen or measured in the record that speaks that can hurt a person or the engine."""
    if standing.record is None:
        return
    yield from _dangers_in(check, standing.name, standing.record)


def _freezes(check: Check) -> Iterator[Ground]:
    """That the mixture as entered freezes in the air of a duty or of a record, whatever else holds."""
    findings = [f for duty in check.duties for f in duty.findings] + list(check.findings)
    if any(f.code is FindingCode.FREEZES for f in findings):
        yield Ground(GroundCode.FREEZES, Rank.DANGER, VehicleState.CANNOT_TELL, Danger.CARE, NextStep.MIXTURE)


def _dangers_in(check: Check, name: str, record: Record) -> Iterator[Ground]:
    seen = record.seen
    hot = hottest(check, name, record)
    near = hot if hot is not None and hot.near else None
    of_bubbles = NextStep.BLEED if seen.get("combustion_gas_found") is False else NextStep.GAS
    if seen.get("combustion_gas_found") is True:
        yield _danger(GroundCode.GAS, Danger.STOP, NextStep.GAS_AGAIN, hot=near)
    if near is not None and seen.get("bubbles_when_running") is True and seen.get("level_low") is True:
        yield _danger(GroundCode.BUBBLES_LOW_HOT, Danger.STOP, of_bubbles, hot=near)
    if near is not None and (seen.get("fan_runs_when_hot") is False or fan_cannot_run(seen)):
        yield _danger(GroundCode.FAN_STILL_HOT, Danger.STOP, fan_step(seen), hot=near)
    if near is not None and near.over:
        yield _danger(GroundCode.OVER_LIMIT, Danger.STOP, NextStep.STOP_AND_COOL, hot=near)
    elif hot is not None and hot.soon:
        yield _danger(GroundCode.RISING_FAST, Danger.STOP, NextStep.STOP_AND_COOL, hot=hot)
    elif near is not None:
        yield _danger(GroundCode.NEAR_LIMIT, Danger.CARE, NextStep.LET_COOL, hot=near)
    if (still := without_fan(check, name, record)) is not None:
        yield _danger(GroundCode.FAN_MISSED, Danger.CARE, fan_step(seen), hot=still)
    if seen.get("belt_drives_pump") is False:
        yield _danger(GroundCode.NO_PUMP_DRIVE, Danger.STOP, NextStep.DRIVE)
    if any(code.strip().upper() in OVERHEATED_CODES for code in record.codes):
        yield _danger(GroundCode.OVERHEAT_CODE, Danger.CARE, NextStep.LET_COOL)
    if seen.get("bubbles_when_running") is True:
        yield _danger(GroundCode.BUBBLES, Danger.CARE, of_bubbles, hot=near)
    yield from _too_much_pressure(check.case, record)


_PUSHES_OUT = (GroundCode.GAS, GroundCode.BUBBLES, GroundCode.OVER_PRESSURE)  # coolant goes, even where none is hot yet


def _danger(code: GroundCode, danger: Danger, step: NextStep, hot: HotReading | None = None) -> Ground:
    state = VehicleState.LOSES_COOLANT if code in _PUSHES_OUT and hot is None else VehicleState.RUNS_HOT
    return Ground(code, Rank.DANGER, state, danger, step, hot)


def _too_much_pressure(case: Case, record: Record) -> Iterator[Ground]:
    """A pressure well over the cap's: the cap is stuck, or gas is pressed in faster than it lets out."""
    cap = float(case.coolant.cap_pressure[0])
    highest = max((float(s.value[0]) for s in record.spots if s.what == "pressure"), default=-np.inf)
    if highest > cap + OVER_CAP:
        ground = _danger(GroundCode.OVER_PRESSURE, Danger.STOP, NextStep.STOP_AND_COOL)
        yield replace(ground, pressure=highest, cap=cap)


# ---- faults looked at and found --------------------------------------------------------------------------------------

# By fact and answer: what it is, the state that it makes, how far it may be driven, and what comes first.
_FOUND: tuple[tuple[str, bool, GroundCode, VehicleState, Danger, NextStep], ...] = (
    ("fan_runs_when_hot", False, GroundCode.FAN_STILL, VehicleState.RUNS_HOT, Danger.CARE, NextStep.FAN),
    ("level_low", True, GroundCode.LEVEL_LOW, VehicleState.LOSES_COOLANT, Danger.CARE, NextStep.FILL_UP),
    ("coolant_leak", True, GroundCode.LEAK, VehicleState.LOSES_COOLANT, Danger.CARE, NextStep.PRESSURE),
    ("pressure_held_cold", False, GroundCode.PRESSURE_LOST, VehicleState.LOSES_COOLANT, Danger.CARE, NextStep.PRESSURE),
    ("cap_holds_pressure", False, GroundCode.CAP_WEAK, VehicleState.LOSES_COOLANT, Danger.CARE, NextStep.CAP),
    (
        "thermostat_opens_hot",
        False,
        GroundCode.VALVE_STAYS_SHUT,
        VehicleState.RUNS_HOT,
        Danger.CARE,
        NextStep.NEW_VALVE,
    ),
    ("lower_hose_collapses", True, GroundCode.SUCTION_HOSE, VehicleState.RUNS_HOT, Danger.CARE, NextStep.SUCTION_HOSE),
    ("fan_blows_backward", True, GroundCode.FAN_BACKWARD, VehicleState.RUNS_HOT, Danger.CARE, NextStep.FAN_WIRING),
    ("fan_runs_always", True, GroundCode.FAN_ALWAYS, VehicleState.RUNS_COLD, Danger.NONE, NextStep.FAN_WIRING),
    (
        "heater_hoses_swapped",
        True,
        GroundCode.HEATER_HOSES,
        VehicleState.HEATS_POORLY,
        Danger.NONE,
        NextStep.HEATER_HOSES,
    ),
)
_VALVES = {"thermostat_open_when_cold": GroundCode.VALVE_OPEN, "thermostat_missing": GroundCode.VALVE_MISSING}
_DANGER_OF_FACT = {
    "combustion_gas_found": GroundCode.GAS,
    "bubbles_when_running": GroundCode.BUBBLES,
    "belt_drives_pump": GroundCode.NO_PUMP_DRIVE,
}
GROUND_OF_FACT: Mapping[str, GroundCode] = {
    **{fact: code for fact, _, code, *_ in _FOUND},
    **_VALVES,
    **_DANGER_OF_FACT,
}


def facts_told(found: Conclusion) -> frozenset[str]:
    """The facts seen that the conclusion tells among its grounds, by itself or within a graver one."""
    told = {ground.code for ground in found.because}
    return frozenset(fact for fact, code in GROUND_OF_FACT.items() if told & {code, *_SAID_BY.get(code, ())})


def _faults_found(check: Check, standing: StandingRecord) -> Iterator[Ground]:
    for fact, answer, code, state, danger, step in _FOUND:
        if standing.seen.get(fact) is answer:
            yield Ground(code, Rank.FOUND, state, danger, fan_step(standing.seen) if step is NextStep.FAN else step)
    if fan_cannot_run(standing.seen):
        yield Ground(GroundCode.FAN_STILL, Rank.FOUND, VehicleState.RUNS_HOT, Danger.CARE, fan_step(standing.seen))
    for fact in sorted(_valve_facts(check, standing), key=IN_HAND.index):
        yield Ground(_VALVES[fact], Rank.FOUND, VehicleState.RUNS_COLD, Danger.NONE, NextStep.NEW_VALVE)


def _valve_facts(check: Check, standing: StandingRecord) -> set[str]:
    """A thermostat in the hand that stood open or was not there, unless a later reading has overtaken that.

    What was found before a repair is history, even where nothing since decides.
    """
    told = {f.words["fact"] for f in check.findings if f.code is FindingCode.SEEN_VALVE_OPEN}
    told |= {f.words.get("fact", "") for reading in check.readings for f in reading.findings}
    return {fact for fact in told & set(IN_HAND) if standing.seen.get(fact) is True}


# ---- what was a danger before the repair -----------------------------------------------------------------------------

_LOOKED_AT_AGAIN: Mapping[GroundCode, tuple[str, ...]] = {
    GroundCode.GAS: ("combustion_gas_found",),
    GroundCode.BUBBLES: ("bubbles_when_running", "combustion_gas_found"),
    GroundCode.FAN_STILL: ("fan_runs_when_hot",),
    GroundCode.FAN_MISSED: ("fan_runs_when_hot",),
    GroundCode.NO_PUMP_DRIVE: ("belt_drives_pump",),
}
_TOO_HOT = (GroundCode.OVER_LIMIT, GroundCode.RISING_FAST, GroundCode.NEAR_LIMIT)
_SEEN_AGAIN = dict.fromkeys((GroundCode.FAN_STILL, GroundCode.FAN_MISSED), NextStep.FAN_RUNS)  # mended: only seen again


def _not_seen_again(check: Check, standing: StandingRecord) -> Iterator[Ground]:
    """Dangers of before the repair that nobody has looked at since: they are history, and nothing is proved yet."""
    if standing.before is None or standing.record is None:
        return
    was = [*_dangers_in(check, BEFORE, standing.before)]
    if standing.before.seen.get("fan_runs_when_hot") is False:
        was.append(Ground(GroundCode.FAN_STILL, Rank.FOUND, VehicleState.RUNS_HOT, next_step=NextStep.FAN))
    after = hottest(check, AFTER, standing.record)
    warm = float(check.case.thermostat.start_to_open[0]) - OVERCOOLED_BY
    read_again = after is not None and warm <= after.T  # a cold reading does not prove that it no longer gets too hot
    for ground in was:
        facts = _LOOKED_AT_AGAIN.get(ground.code, ())
        by_sight = bool(facts) and not any(fact in standing.seen for fact in facts)
        by_reading = ground.code in _TOO_HOT and not read_again
        if by_sight or by_reading:
            step = NextStep.READ_WHEN_HOT if by_reading else _SEEN_AGAIN.get(ground.code, ground.next_step)
            yield Ground(
                GroundCode.NOT_SEEN_AGAIN,
                Rank.READINGS,
                VehicleState.CANNOT_TELL,
                Danger.NONE,
                step,
                ground.hot,
                ground.code,
            )


# ---- readings, and the class alone -----------------------------------------------------------------------------------

_STATE_OF_REASON: Mapping[str, VehicleState] = {  # what a cause brings that leaves the engine as warm as it should be
    **dict.fromkeys(COLD_COMPLAINTS, VehicleState.HEATS_POORLY),
    **dict.fromkeys(HOT_COMPLAINTS, VehicleState.RUNS_HOT),
    "loss of coolant": VehicleState.LOSES_COOLANT,
}


_AGREEING = (GroundCode.AGREES, GroundCode.AGREES_COLD)


def _by_odds(check: Check, standing: StandingRecord, read: Ground) -> Ground:
    """What all readings together settle, where no single one tells it. A reading too cold yields to a sensor that is
    settled to be wrong; one that is too hot does not."""
    odds = check.odds
    if odds is None or odds.record != standing.name:
        return _doubted(check, standing, read)
    of_sensor = CAUSES[odds.faults[0]].sensor is not SensorFault.NONE
    if read.state is not VehicleState.CANNOT_TELL and not (of_sensor and read.code is GroundCode.COLDER):
        return read
    state = _state_brought(odds.faults[0], check.case.job.reason)
    step = settled_step(check.case, standing.record, odds.faults)
    return Ground(GroundCode.ODDS_SETTLE, Rank.READINGS, state, next_step=step, odds=odds)


def _doubted(check: Check, standing: StandingRecord, read: Ground) -> Ground:
    """What single readings say, unless all of them together speak against it: a healthy vehicle while a fault is
    likelier than none, or a thermostat that something else is likelier than. Then nothing is settled. As long as nobody
    has weighed them together, or no fault is less likely than some fault, a vehicle that is complained of is healthy so
    far and no more."""
    weighed = check.weighed if check.weighed is not None and check.weighed.record == standing.name else None
    again = LAST_STEPS.get(check.case.job.reason or "", NextStep.READ_AGAIN)
    step = read.next_step or _step(check, standing, again)
    if weighed is not None and read.state is VehicleState.HEALTHY and weighed.doubt_healthy:
        ground = _read(GroundCode.ODDS_DOUBT_HEALTHY, VehicleState.CANNOT_TELL, step)
        return replace(ground, weighed=weighed)
    if weighed is not None and read.code is GroundCode.VALVE_SUSPECTED and weighed.doubt_open_valve:
        return replace(read, code=GroundCode.ODDS_DOUBT_VALVE, weighed=weighed)
    not_sure = weighed is None or weighed.leave_open
    if not_sure and read.code in _AGREEING and has_complaint(check.case) and standing.name != AFTER:
        return replace(read, code=GroundCode.AGREES_SO_FAR, next_step=step)
    return read


def _state_brought(fault: str, reason: str | None) -> VehicleState:
    """How a vehicle is that has a cause, as far as it tells; a sensor that is wrong says nothing of the engine."""
    cause = CAUSES[fault]
    if cause.sensor is not SensorFault.NONE:
        return VehicleState.CANNOT_TELL
    if cause.keeps_engine_cold:
        return VehicleState.RUNS_COLD
    brings = {name: often for name, often in cause.per_cent.items() if name in _STATE_OF_REASON}
    return _STATE_OF_REASON[reason if reason in brings else max(brings, key=brings.__getitem__)]


_TOO_COLD = frozenset({FindingCode.READING_LOW, FindingCode.VALVE_PASSES})
_OPEN = frozenset({FindingCode.VALVE_SUSPECTED, FindingCode.READING_DEPENDS, FindingCode.READING_UNDECIDED})


_TOLD_DANGERS = {"steam": GroundCode.TOLD_STEAM, "warning_lamp": GroundCode.TOLD_LAMP}


def _told_dangers(check: Check, standing: StandingRecord, read: Ground) -> Iterator[Ground]:
    """Steam or a warning lamp that the customer told of, until something that was read answers it."""
    if standing.name == AFTER or read.state is VehicleState.HEALTHY:
        return
    for sign, code in _TOLD_DANGERS.items():
        if check.case.job.told.get(sign) is True:
            yield Ground(code, Rank.READINGS, read.state, Danger.CARE, read.next_step or NextStep.LET_COOL)


def _of_readings(check: Check, complaint: bool, standing: StandingRecord) -> Ground:
    """What the readings say; without any, that nothing is known of this vehicle."""
    codes = {f.code for reading in check.readings for f in reading.findings}
    warmed = measured_warm_ups(check)
    by_hand = FindingCode.READING_HOTTER in codes
    if by_hand or any(f.words["hotter"] == "yes" for f in warmed):
        ground = _read(GroundCode.HOTTER, VehicleState.RUNS_HOT, _step(check, standing, NextStep.READ_WHEN_HOT))
        course = None if by_hand else standing.record  # a reading tells its own sentence
        return ground if course is None else replace(ground, hot=hottest(check, standing.name, course))
    if codes & _TOO_COLD or any(f.severity is FindingLevel.FAULT for f in warmed):
        return _read(
            GroundCode.COLDER, VehicleState.RUNS_COLD, _step(check, standing, valve_step(check.case, standing.record))
        )
    if codes & _OPEN:
        return _left_open(check, codes, standing)
    if _too_early(check, warmed):
        return _read(GroundCode.TOO_EARLY, VehicleState.CANNOT_TELL, NextStep.READ_AGAIN)
    if _stored_cold(check.case, standing):
        valve = valve_step(check.case, standing.record)
        return _read(GroundCode.COLD_CODE, VehicleState.CANNOT_TELL, _step(check, standing, valve))
    return _of_what_agrees(check, complaint, standing, warmed)


def _left_open(check: Check, codes: Set[FindingCode], standing: StandingRecord) -> Ground:
    """A cold reading that a healthy vehicle may show too: where something points to the thermostat, that comes next.
    Where it was read as it should be, nobody is asked to read it so once more."""
    if FindingCode.VALVE_SUSPECTED in codes:
        valve = _step(check, standing, valve_step(check.case, standing.record))
        return _read(GroundCode.VALVE_SUSPECTED, VehicleState.CANNOT_TELL, valve)
    depends = FindingCode.READING_DEPENDS in codes
    then = NextStep.READ_COOLANT if depends else valve_step(check.case, standing.record)
    return _read(GroundCode.UNDECIDED, VehicleState.CANNOT_TELL, _step(check, standing, then))


def _of_what_agrees(check: Check, complaint: bool, standing: StandingRecord, warmed: Sequence[Finding]) -> Ground:
    """Nothing is out of place as far as it was read: whether that answers what was complained of."""
    reason = check.case.job.reason
    findings = [f for reading in check.readings for f in reading.findings]
    agreeing = [f for f in findings if f.code is FindingCode.READING_AGREES]
    in_time = any(f.words["outcome"] == WarmupOutcome.IN_TIME.value for f in warmed)
    warm = in_time or any(_is_warm(f) for f in agreeing)
    healthy = _read(GroundCode.AGREES if warm else GroundCode.AGREES_COLD, VehicleState.HEALTHY, None)
    agrees = in_time or bool(agreeing)
    if standing.name == AFTER and agrees and (warm or reason not in HOT_COMPLAINTS):
        return _read_once(reason) if _is_read_once(standing.record) else healthy
    gauge = standing.name != AFTER and any(f.code is FindingCode.READING_COARSE for f in findings)
    if reason == "no heat" and (warm or gauge):
        return _read(
            GroundCode.WARM_ENGINE, VehicleState.HEATS_POORLY, _step(check, standing, heater_step(standing.record))
        )
    told = check.case.job.told
    told_heater = standing.name != AFTER and any(told.get(sign) is True for sign in HEATER_SIGNS)
    if agrees and not told_heater and (reason in COLD_COMPLAINTS or not complaint):
        return healthy
    if complaint:
        return _unexplained(check, reason, standing, told_heater)
    if standing.has_evidence:
        return _read(GroundCode.NOTHING_READ, VehicleState.CANNOT_TELL, NextStep.READ_COOLANT)
    if not check.plant.engine.present:
        enter = NextStep.ENTER_RIG
    else:
        enter = NextStep.ENTER_DUTIES if reason == "sizing" else NextStep.ENTER
    return Ground(GroundCode.NOTHING_ENTERED, Rank.CLASS_ONLY, VehicleState.NOTHING_TO_JUDGE, Danger.NONE, enter)


def _is_read_once(record: Record | None) -> bool:
    """Whether one reading of the coolant is all that shows how the vehicle runs: no repair is proven by that."""
    if record is None or record.log is not None or record.curve:
        return False
    return sum(spot.what == "coolant" for spot in record.spots) == 1


def _read_once(reason: str | None) -> Ground:
    again = NextStep.READ_WHEN_HOT if reason in HOT_COMPLAINTS else NextStep.READ_AGAIN
    return _read(GroundCode.READ_ONCE, VehicleState.HEALTHY, again)


def _stored_cold(case: Case, standing: StandingRecord) -> bool:
    """Whether the control unit found the engine too cold by itself: one reading that agrees does not answer that.

    After a repair an old code may still be stored; whoever complains of heat does not ask for it.
    """
    if standing.record is None or standing.name == AFTER or case.job.reason in HOT_COMPLAINTS:
        return False
    return any(code.strip().upper() in STAYS_COLD for code in standing.record.codes)


def _unexplained(check: Check, reason: str | None, standing: StandingRecord, told_heater: bool) -> Ground:
    """A complaint that nothing explains yet; ``told_heater``: its own words point to the heater."""
    if told_heater:
        next_step = _step(check, standing, heater_step(standing.record))
        return _read(GroundCode.TOLD_HEATER, VehicleState.HEATS_POORLY, next_step)
    last = LAST_STEPS.get(reason or "", NextStep.READ_COOLANT)
    open_ = GroundCode.REPAIR_OPEN if standing.name == AFTER else GroundCode.COMPLAINT_OPEN
    return _read(open_, VehicleState.CANNOT_TELL, _step(check, standing, last))


def _is_warm(agreeing: Finding) -> bool:
    """Whether a reading that agrees with a healthy vehicle's is one of a warm engine: near its thermostat's opening."""
    n = agreeing.numbers
    return n["measured"] + n["uncertainty"] >= n["opens"] - OVERCOOLED_BY


def _read(code: GroundCode, state: VehicleState, step: NextStep | None) -> Ground:
    return Ground(code, Rank.READINGS, state, Danger.NONE, step)


def _step(check: Check, standing: StandingRecord, then: NextStep) -> NextStep:
    return first_step(check.case, standing.record, then)


def measured_warm_ups(check: Check) -> list[Finding]:
    """The warm-ups that were measured and that count, not those of before a repair."""
    return [
        f
        for f in check.findings
        if f.code is FindingCode.WARM_UP and f.words["measured"] == "yes" and f.words["counts"] == "yes"
    ]


def _too_early(check: Check, warmed: Sequence[Finding]) -> bool:
    """Whether the last that was read came too early; nobody who complains of heat asks whether it warms."""
    if check.case.job.reason in (*HOT_COMPLAINTS, "loss of coolant"):
        return False
    findings = [f for reading in check.readings for f in reading.findings]
    if any(f.code is FindingCode.READING_AGREES and _is_warm(f) for f in findings):
        return False  # a reading by hand says what the record was too short for
    if warmed:
        return all(f.words["outcome"] == WarmupOutcome.NOT_YET.value for f in warmed)
    return bool(check.readings) and any(f.code is FindingCode.TOO_EARLY for f in check.readings[-1].findings)
