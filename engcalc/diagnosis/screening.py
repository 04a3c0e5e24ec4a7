"""One log judged as screening: what a check without a complaint says of it, in a few numbers that can be ranked.

It is the diagnosis of a record with no hand reading, for the reason "screening", with less work than a single vehicle
is given, and the conclusion that every face reads.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import NO_REASON, OtherRates
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Danger, VehicleState
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.errors import InputError, InputFault
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.vehicle.run import BEFORE
from engcalc.words.texts import diagnosis_texts

EFFORT = Effort(prior=24, steps=1, first=16, round=200, rounds=1)
"""Draws of one screening: a third of the work; healthy within 6 points of the full work on six real logs."""

LOG = "log.csv"  # the name by which the case of a log names it
_CURVE = "curve"  # the evidence item of a log's own coolant curve
_OF_ONE_VISIT = ("base_rates", "duties", "refill", "rig", "limits")  # sections that say nothing of the vehicle


@dataclass(frozen=True)
class LogJudged:
    """What one log says.

    ``fault`` is the probability that something is at fault, ``leading`` the likeliest fault with ``leading_odds`` its
    probability. ``deviation`` is how far the coolant ended from what a healthy vehicle would show in the same run [K];
    None where the log does not tell. ``enough``: the odds rest on enough draws. ``state`` and ``danger`` are the
    conclusion's.
    """

    state: VehicleState
    danger: Danger
    fault: float
    leading: str
    leading_odds: float
    next_check: str
    deviation: float | None
    lasted: float
    enough: bool


def screening_case(vehicle: CaseText | None) -> CaseText:
    """The case in which a log is judged: of the vehicle what its case says, of the visit nothing but the log."""
    tree: dict[str, Any] = {"format": FORMAT} if vehicle is None else dict(vehicle.tree)
    for section in _OF_ONE_VISIT:
        tree.pop(section, None)
    tree["job"] = {"reason": NO_REASON}
    tree["evidence"] = {BEFORE: {"log": {"file": LOG}}}
    return CaseText(tree)


def judge_log(text: CaseText, log: LogRecord, instead: OtherRates | None = None, seed: int = 1) -> LogJudged:
    """Judge one log. ``text`` is as of :func:`screening_case`; ``instead`` are base rates in place of the shipped ones.

    InputError when the case cannot be resolved or the log tells no coolant temperature.
    """
    case = resolve(text)
    if isinstance(case, Faults):
        raise InputError(case.faults)
    if not log.has(Channel.COOLANT):
        wanted = diagnosis_texts.LOG_WITH_A_COLUMN_OF_THE_COOLANT
        raise InputError((InputFault("", "", wanted),))
    logs = {BEFORE: log}
    checked = check_with_records(case, logs).check
    found = diagnose(case, logs, record=BEFORE, instead=instead, seed=seed, effort=EFFORT)
    conclusion = conclude(with_odds(checked, BEFORE, found.causes))
    leading = next(cause for cause in found.causes if cause.fault != HEALTHY.key)
    return LogJudged(
        state=conclusion.state,
        danger=conclusion.danger,
        fault=1.0 - found.probability(HEALTHY.key),
        leading=leading.fault,
        leading_odds=leading.probability,
        next_check="" if found.next_check is None else found.next_check.key,
        deviation=_deviation(found),
        lasted=log.end,
        enough=found.enough,
    )


def _deviation(found: Diagnosis) -> float | None:
    return next((e.measured - e.expected_healthy for e in found.evidence if e.item == _CURVE), None)
