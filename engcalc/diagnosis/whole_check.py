"""The check of a case with its records in time: one verdict from duties, readings, things seen and warm-ups.

Where a record after the repair decides, what was read and seen before it is history: it is told, but the verdict is of
what stands now.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from engcalc.case.case import Case
from engcalc.diagnosis.conclusion import Conclusion, conclude
from engcalc.diagnosis.evidence.hand_readings import doubted_readings
from engcalc.diagnosis.evidence.places_read import check_places, is_shown
from engcalc.diagnosis.evidence.readings import check_readings
from engcalc.diagnosis.grounds import Danger
from engcalc.diagnosis.hottest import ahead_of, fan_missed_in, limit_of
from engcalc.diagnosis.members.simulated import fan_starts
from engcalc.diagnosis.repair.hot_runs import ran_hot
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.studies.check import check
from engcalc.studies.checked import Check, LoggedPeak, verdict_of
from engcalc.studies.readings import ReadingCheck
from engcalc.vehicle.fuel_doubt import fuel_doubt
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.vehicle.run import records as noted
from engcalc.vehicle.warmup_study import MEMBERS, RecordStudy, has_warmup, study
from engcalc.verdict import Finding, FindingCode, FindingLevel, Verdict, worst

DECIDES = (Verdict.UNDERSIZED, Verdict.OVERCOOLING, Verdict.HOLDS)  # marginal: that one reading leaves it open
READING_MEMBERS = 120  # healthy vehicles that a hand reading is held against
CHECKED = 0.4  # share of the work that the check takes where there are records, about
OF_THE_VALVE = (FindingCode.SEEN_VALVE_OPEN, FindingCode.SEEN_HOSE)
SEEN_OF_A_PART = (*OF_THE_VALVE, FindingCode.SEEN)


@dataclass(frozen=True, eq=False)
class WholeCheck:
    """The check with its records counted in, and the warm-ups themselves."""

    check: Check
    records: tuple[RecordStudy, ...]

    @property
    def conclusion(self) -> Conclusion:
        """What is said of the vehicle, from all of it."""
        return conclude(self.check)


def check_with_records(
    case: Case,
    logs: Mapping[str, LogRecord],
    *,
    members: int = MEMBERS,
    seed: int = 1,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> WholeCheck:
    """Check a case with all that was recorded. ``logs`` as of :func:`engcalc.vehicle.run.read_logs`.

    ``members`` 0 leaves uncertainty, readings and warm-ups out, for every key press; where these may change the verdict
    the check is then ``unfinished``. Raises as :func:`engcalc.studies.check.check`.
    """
    warms = members > 0 and has_warmup(case, logs)
    reads = members > 0 and _has_readings(case)
    found = check(
        case,
        members=members,
        seed=seed,
        progress=_between(progress, 0.0, CHECKED if warms or reads else 1.0),
        cancelled=cancelled,
    )
    found = replace(found, findings=(*_doubts(case, logs), *found.findings))
    if reads:
        found = replace(found, readings=check_readings(case, logs, READING_MEMBERS, seed, cancelled))
    if members > 0 and _has_places(case):
        found = replace(found, elsewhere=check_places(case, logs, READING_MEMBERS, seed, cancelled))
    if not warms:
        alone = joined(found, ())
        return WholeCheck(replace(alone, unfinished=members == 0 and _may_change(alone)), ())
    records = study(
        case,
        logs,
        members=members,
        seed=seed,
        fits=False,
        progress=_between(progress, CHECKED, 1.0),
        cancelled=cancelled,
    ).records
    return WholeCheck(joined(found, records), records)


def _doubts(case: Case, logs: Mapping[str, LogRecord]) -> list[Finding]:
    """What makes a log or a noted reading doubtful before it is judged."""
    of_logs = [doubt for name, log in logs.items() for doubt in fuel_doubt(case, name, log)]
    of_records = [doubt for name, record in noted(case).items() for doubt in doubted_readings(name, record)]
    return of_logs + of_records


def _has_readings(case: Case) -> bool:
    return any(spot.what == "coolant" for record in noted(case).values() for spot in record.spots)


def _has_places(case: Case) -> bool:
    return any(is_shown(spot) for record in noted(case).values() for spot in record.spots)


def _may_change(alone: Check) -> bool:
    """Whether records in time may bring another verdict: one after the repair, or any where there is no fault yet."""
    if conclude(alone).danger is Danger.STOP and AFTER not in noted(alone.case):
        return False
    recorded = [name for name, r in noted(alone.case).items() if r.schedule or r.curve or r.log is not None]
    decided = alone.verdict in (Verdict.UNDERSIZED, Verdict.OVERCOOLING)
    may_be_hot = any(r.log is not None for r in noted(alone.case).values())  # its hottest sample is not known yet
    recorded_counts = bool(recorded) and (AFTER in recorded or not decided or may_be_hot)
    return _has_readings(alone.case) or recorded_counts


def joined(found: Check, records: Sequence[RecordStudy]) -> Check:
    """The check with these warm-ups counted in; a check that has them already comes out the same."""
    readings = (*found.history, *found.readings)
    repaired = _after_decides(readings, records)
    history = tuple(r for r in readings if repaired and r.record == BEFORE)
    standing = tuple(r for r in readings if not (repaired and r.record == BEFORE))
    told = {f.words["fact"] for r in standing for f in r.findings if f.words.get("fact")}
    kept = tuple(
        f
        for f in found.findings
        if f.code is not FindingCode.WARM_UP
        and not (repaired and _of_before(f, found.case))
        and not (f.code in OF_THE_VALVE and f.words["fact"] in told)
    )
    counted = [r for r in records if not (repaired and r.name == BEFORE)]
    verdict = worst((verdict_of(found.duties, standing, found.measured, kept), *(r.verdict.verdict for r in counted)))
    of_records = tuple(_finding(r, counts=r in counted, hotter=ran_hot(found.case, r)) for r in records)
    return replace(
        found,
        readings=standing,
        history=history,
        findings=(*kept, *of_records),
        verdict=verdict,
        unfinished=False,
        logged=_peaks(found.case, records) or found.logged,
    )


def _peaks(case: Case, records: Sequence[RecordStudy]) -> tuple[LoggedPeak, ...]:
    """The hottest sample of each log, of those that are answers of a sensor in order."""
    found = []
    for record in records:
        time, T = (np.zeros(0),) * 2 if record.run.log is None else record.run.log.observed(Channel.COOLANT)
        if T.size:
            at = int(T.argmax())
            still = fan_missed_in(record.run.log, time, T, fan_starts(case))
            ahead = ahead_of(time, T, limit_of(case, record.run.record))
            found.append(LoggedPeak(record.name, float(time[at]), float(T[at]), ahead, still))
    return tuple(found)


def _after_decides(readings: Sequence[ReadingCheck], records: Sequence[RecordStudy]) -> bool:
    """Whether what was measured after the repair says by itself how things stand."""
    by_hand = any(r.record == AFTER and r.verdict in DECIDES for r in readings)
    return (
        by_hand
        or _warm_since(readings)
        or any(r.name == AFTER and r.measured is not None and r.verdict.verdict in DECIDES for r in records)
    )


def _warm_since(readings: Sequence[ReadingCheck]) -> bool:
    """Whether a dash gauge stood in its middle after the repair of a vehicle that was read cold and no more than that.

    It proves no repair, but nobody can go on saying that the vehicle runs cold. Of one that ran hot it tells nothing.
    """
    before = [r.verdict for r in readings if r.record == BEFORE and r.verdict in DECIDES]
    of_after = [finding for reading in readings if reading.record == AFTER for finding in reading.findings]
    middle = any(finding.code is FindingCode.READING_COARSE for finding in of_after)
    return middle and bool(before) and set(before) == {Verdict.OVERCOOLING}


def _of_before(finding: Finding, case: Case) -> bool:
    """Whether a thing was seen before the repair only."""
    after = case.evidence.after
    return finding.code in SEEN_OF_A_PART and (after is None or finding.words["fact"] not in after.seen)


def _side_left(record: RecordStudy) -> str:
    """On which side a measured course left what healthy vehicles show: "above", "below", or "no"."""
    if record.measured is None or record.measured.leaves_band is None:
        return "no"
    return "below" if record.measured.leaves_below else "above"


def _finding(record: RecordStudy, *, counts: bool, hotter: bool) -> Finding:
    """A warm-up's verdict with the numbers that it rests on, SI; what is not known is left out."""
    judged = record.verdict
    at_fault = counts and judged.verdict in (Verdict.OVERCOOLING, Verdict.UNDERSIZED)
    numbers = {key: value for key, value in asdict(judged.facts).items() if isinstance(value, float)}
    words = {
        "record": record.name,
        "outcome": judged.outcome.value,
        "counts": "yes" if counts else "no",
        "measured": "no" if record.measured is None else "yes",
        "hotter": "yes" if hotter else "no",
        "leaves": _side_left(record),
    }
    return Finding(FindingCode.WARM_UP, FindingLevel.FAULT if at_fault else FindingLevel.NOTE, numbers, words)


def _between(progress: Callable[[float], None] | None, low: float, high: float) -> Callable[[float], None] | None:
    if progress is None:
        return None
    return lambda share: progress(low + (high - low) * share)
