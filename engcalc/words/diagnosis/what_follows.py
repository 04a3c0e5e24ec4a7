"""What follows the next step: the checks after it, the proof of the repair, and what its driver watches for meanwhile.

What proves a repair and what a driver is to watch for is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum, auto

from engcalc.case.case import Case
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.checks.found_causes import found_causes
from engcalc.diagnosis.checks.hand_checks import FAN, LEVEL, HandCheck, first_checks, noted_in
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK, PART_CHECKS
from engcalc.diagnosis.conclusion import COLD_COMPLAINTS, HOT_COMPLAINTS, Conclusion, conclude
from engcalc.diagnosis.grounds import Danger, GroundCode, VehicleState
from engcalc.diagnosis.members.faulty_vehicle import can_have
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.studies.checked import Check
from engcalc.studies.readings import ReadingCheck
from engcalc.units import UnitSystem
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.verdict import Finding, FindingCode, FindingLevel, Verdict
from engcalc.words.diagnosis.causes_told import offered_checks, parts_left
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import minutes, temperature
from engcalc.words.texts import page_texts

# ---- checks ----------------------------------------------------------------------------------------------------------

_LEVEL_THEN_FAN = (NextStep.STOP_AND_COOL, NextStep.LET_COOL)  # they send a person to the level, then to the fan
# the part is found: what may have broken it is left to be looked at
_PART_KNOWN: Mapping[NextStep, tuple[str, ...]] = {
    NextStep.FAN_FUSE_BLOWN: ("fan_motor",),
    NextStep.FAN_RELAY_FAILS: (),
    NextStep.FAN_MOTOR_FAILS: (),
}


def checks_after(found: Conclusion, case: Case, odds: Diagnosis | None) -> tuple[HandCheck, ...]:
    """The checks to make after the conclusion's own step, in their order.

    ``odds``: those of the record that stands, where there are any; then the checks are those that they offer. Without
    them: what finds the part of a fault that was found, else what comes first for the complaint.
    """
    step = found.next_step
    keys: Iterable[str]
    if step is not None and step in _PART_KNOWN:
        keys = _PART_KNOWN[step]
    elif odds is not None:
        keys = [offered.key for offered in offered_checks(odds, after_another=True)]
    else:
        keys = _without_odds(found, case)
    if step in _LEVEL_THEN_FAN:
        keys = sorted(keys, key=lambda key: (key != LEVEL, key != FAN))
    own = "" if step is None else step.value
    return tuple(EVERY_CHECK[key] for key in dict.fromkeys(keys) if key != own or key in PART_CHECKS)


def _without_odds(found: Conclusion, case: Case) -> list[str]:
    name, record = (AFTER, case.evidence.after) if found.repaired else (BEFORE, case.evidence.before)
    causes = [key for key in found_causes(case, name) if can_have(case, CAUSES[key])]
    parts = [check.key for check in parts_left(causes, case, record)]
    reason = "hot at idle" if found.next_step in _LEVEL_THEN_FAN else case.job.reason
    noted = frozenset() if record is None else noted_in(record)
    return parts or [key for key in first_checks(reason, case) if not EVERY_CHECK[key].is_done(noted)]


# ---- proof -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ProofAfter:
    """How a repair is proven, and the cautions for it by their keys."""

    text: str
    cautions: tuple[str, ...]


_RUNNING = ("moving_parts", "exhaust")
_HOT = ("stop_hot", *_RUNNING)
_NO_GAS = ProofAfter(page_texts.PROOF_OF_NO_GAS, ("hot_cap", "bleeding", *_RUNNING))
_FAN_RUNS = ProofAfter(page_texts.PROOF_OF_THE_FAN, (*_HOT, "fan_by_itself"))
_TIGHT = ProofAfter(page_texts.PROOF_OF_TIGHTNESS, ("hot_cap", "pressure"))
_STAYS_COOL = ProofAfter(page_texts.PROOF_OF_COOLING, _HOT)
_FROM_COLD = ProofAfter(page_texts.PROOF_FROM_COLD, _HOT)
_DRIVEN = ("exhaust",)
_WARM_AGAIN = ProofAfter(page_texts.PROOF_OF_WARMTH, _DRIVEN)
_BY_ITS_COURSE = ProofAfter(page_texts.PROOF_BY_ITS_COURSE, _DRIVEN)
_AS_LATE_AS_BEFORE = ProofAfter(page_texts.PROOF_AT_THE_SAME_TIME, _DRIVEN)
_HEATS = ProofAfter(page_texts.PROOF_OF_HEAT, _RUNNING)
_PROOFS: Mapping[GroundCode, ProofAfter] = {
    **dict.fromkeys((GroundCode.GAS, GroundCode.BUBBLES, GroundCode.BUBBLES_LOW_HOT), _NO_GAS),
    **dict.fromkeys((GroundCode.FAN_STILL_HOT, GroundCode.FAN_STILL, GroundCode.FAN_MISSED), _FAN_RUNS),
    **dict.fromkeys((GroundCode.LEAK, GroundCode.LEVEL_LOW, GroundCode.PRESSURE_LOST), _TIGHT),
    GroundCode.OVER_PRESSURE: ProofAfter(page_texts.PROOF_OF_PRESSURE, ("hot_cap", "pressure", *_RUNNING)),
    GroundCode.FREEZES: ProofAfter(page_texts.PROOF_OF_THE_MIXTURE, ("hot_cap", "poison", *_RUNNING)),
}


class Sort(Enum):
    """What is wrong with a vehicle, as far as proof and driver ask."""

    COLD = auto()
    HEATER = auto()
    HOT = auto()
    LOSS = auto()


_OF_STATE: Mapping[VehicleState, Sort] = {
    VehicleState.RUNS_COLD: Sort.COLD,
    VehicleState.HEATS_POORLY: Sort.HEATER,
    VehicleState.RUNS_HOT: Sort.HOT,
    VehicleState.LOSES_COOLANT: Sort.LOSS,
}
_OF_REASON: Mapping[str, Sort] = {
    **dict.fromkeys(COLD_COMPLAINTS, Sort.COLD),
    **dict.fromkeys(HOT_COMPLAINTS, Sort.HOT),
    "loss of coolant": Sort.LOSS,
}
_PROOF_OF_SORT: Mapping[Sort, ProofAfter] = {
    Sort.HEATER: _HEATS,
    Sort.HOT: _STAYS_COOL,
    Sort.LOSS: _TIGHT,
}


def _sort(found: Conclusion, case: Case) -> Sort | None:
    """By how the vehicle is, else by what was complained of; None where neither says."""
    return _OF_STATE.get(found.state, _OF_REASON.get(case.job.reason or ""))


@dataclass(frozen=True)
class _ReadBelow:
    """A time [s], and what healthy vehicles, the slow ones too, show of their coolant by then [K]."""

    time: float
    least: float


def _cold_reading(check: Check) -> _ReadBelow | None:
    """The reading that showed a vehicle too cold: the proof is read as late as that."""
    cold = [_read(r) for r in check.readings if r.verdict is Verdict.OVERCOOLING and r.word is None]
    return next(filter(None, reversed(cold)), None)


def _read(reading: ReadingCheck) -> _ReadBelow | None:
    return None if reading.at is None else _ReadBelow(reading.at, reading.expected_low)


def _last_below(check: Check) -> _ReadBelow | None:
    """The last that was read, by hand or in a log, below what healthy vehicles show then."""
    by_hand = [_read(r) for r in check.readings if r.measured < r.expected_low]
    logged = [
        _ReadBelow(f.numbers["ends"], f.numbers["healthy_low"])
        for f in _courses(check)
        if f.severity is FindingLevel.FAULT
    ]
    return max((*filter(None, by_hand), *logged), key=lambda read: read.time, default=None)


def _courses(check: Check) -> list[Finding]:
    """The warm-ups that were measured."""
    return [f for f in check.findings if f.code is FindingCode.WARM_UP and f.words["measured"] == "yes"]


def _middle_by(check: Check) -> float | None:
    """From when on [s] healthy vehicles keep the gauge in its middle, in such weather; None where the slow ones do not,
    or where nothing tells of the weather."""
    times = [*(r.middle_by for r in check.readings), *(f.numbers.get("middle_by") for f in _courses(check))]
    return max((time for time in times if time is not None), default=None)


def _proof(check: Check) -> ProofAfter | None:
    found = conclude(check)
    if found.danger is not Danger.NONE:
        usual = _FROM_COLD if found.lead.hot is None else _STAYS_COOL
        return _PROOFS.get(found.lead.code, usual)
    if found.repaired or found.state is VehicleState.HEALTHY:
        return None
    sort = _sort(found, check.case)
    if sort is Sort.COLD:
        return _proof_of_warmth(check)
    return None if sort is None else _PROOF_OF_SORT[sort]


def _proof_of_warmth(check: Check) -> ProofAfter:
    """No fixed minute: in frost a healthy vehicle may need longer than anybody would wait, and read as low as this one."""
    if _cold_reading(check) is not None:
        return _AS_LATE_AS_BEFORE
    if _middle_by(check) is not None:
        return _WARM_AGAIN
    return _BY_ITS_COURSE if _last_below(check) is None else _AS_LATE_AS_BEFORE


def proof_after(check: Check, system: UnitSystem) -> str:
    """What proves the repair; with the limit, or what a healthy vehicle would show, where a reading was held against
    it. Empty where there is nothing to be repaired or a repair is being proven already."""
    proof = _proof(check)
    if proof is None:
        return ""
    hot = next((ground.hot for ground in conclude(check).because if ground.hot is not None), None)
    read = _cold_reading(check) or _last_below(check)
    late = read.time if read is not None and proof is _AS_LATE_AS_BEFORE else _middle_by(check)
    said = proof.text.format(
        begin=_begin(check.case, system),
        limit=page_texts.ITS_LIMIT if hot is None else temperature(hot.limit, system),
        time="" if late is None else minutes(late),
        least="" if read is None else temperature(read.least, system),
    )
    return f"{said} {page_texts.ENTER_THE_PROOF}"


def _begin(case: Case, system: UnitSystem) -> str:
    """How the drive of the proof begins: as cold as the one before, or what healthy vehicles show does not hold for it."""
    before = case.evidence.before
    start = None if before is None else before.start_temperature
    air = None if before is None else before.ambient
    if start is None or air is None or float(start[0]) <= float(air[0]) + _AS_COLD_AS_THE_AIR:
        return page_texts.FROM_A_COLD_START
    return page_texts.FROM_AS_WARM.format(start=temperature(float(start[0]), system))


_AS_COLD_AS_THE_AIR = 5.0  # K; over the air, up to which a start is called cold; common practice, no source


def proof_cautions(check: Check) -> tuple[str, ...]:
    """What to mind while it is proven."""
    proof = _proof(check)
    return () if proof is None else tuple(CAUTION_TEXTS[key] for key in proof.cautions)


# ---- what its driver watches for -------------------------------------------------------------------------------------

_COLD_WATCH = (page_texts.CLEAR_THE_GLASS, page_texts.STOP_IF_IT_CLIMBS, page_texts.COLD_COME_BACK)
_UNTIL_THEN: Mapping[Sort, tuple[str, ...]] = {
    Sort.COLD: _COLD_WATCH,
    Sort.HEATER: _COLD_WATCH,
    Sort.HOT: (page_texts.STOP_IF_IT_CLIMBS, page_texts.NO_LONG_IDLING, page_texts.HOT_COME_BACK),
    Sort.LOSS: (page_texts.LOOK_AT_THE_LEVEL, page_texts.STOP_IF_IT_CLIMBS, page_texts.LEVEL_COME_BACK),
}
_FROM_NOW_ON: Mapping[Sort, str] = {
    Sort.COLD: page_texts.COLD_AGAIN,
    Sort.HOT: page_texts.HOT_AGAIN,
    Sort.LOSS: page_texts.LEAKS_AGAIN,
}


def watched_for(check: Check) -> tuple[str, tuple[str, ...]]:
    """A heading, and what its driver watches for and when to come back. Nothing where a danger's box says it, or where
    nobody complained of anything."""
    found = conclude(check)
    sort = _sort(found, check.case)
    if found.danger is not Danger.NONE or sort is None:
        return "", ()
    if not found.looked_for:
        level = (page_texts.LEVEL_ONCE_MORE,) if found.repaired else ()
        return page_texts.FROM_NOW_ON, (*level, _FROM_NOW_ON[sort], page_texts.KEEP_THE_PAPER)
    if found.state is VehicleState.HEALTHY:
        return page_texts.UNTIL_IT_IS_FOUND, _UNTIL_THEN[sort]
    return page_texts.UNTIL_THEN, _UNTIL_THEN[sort]
