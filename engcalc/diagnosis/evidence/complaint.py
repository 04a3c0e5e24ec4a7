"""What the customer tells, as evidence: how likely each sign is to be told of each simulated member.

What the simulated state can say (where the gauge settles in everyday use, what the vents blow, how fast it warms) is
said by it; what it cannot (how it came on, after which work, where coolant is lost) by the record of the cause
(:mod:`engcalc.causes.history`). A customer errs more often than a look does, and by more: all error rates here are
ours, no source, and wide.

Nothing counts twice. The reason for the visit has set the base rates, so that the sign which says the same as the
reason counts no more, and of a sign that says more than the reason only the rest counts (``_GIVEN_REASON``). The
errors of one customer hang together: the floors of the signs of heat and cold are high for that reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from engcalc.case.sections.job import TOLD_SIGNS, Job
from engcalc.causes.history import CustomerQuestion
from engcalc.causes.record import VisibleState
from engcalc.diagnosis.evidence.sights import SeenItem
from engcalc.diagnosis.members.everyday import EverydayUse, SettledTemperatures
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.units import Array
from engcalc.vehicle.unknowns import normal_share
from engcalc.words.texts import diagnosis_texts

# Where something is noticed, and the width over which people come to notice it; common practice, no source
TOLD_HOT = 384.15  # K; 111 degC: from about there on a driver sees the gauge rise
HOT_WIDTH = 4.0  # K
TOLD_COLD = 341.15  # K; 68 degC: below about it the gauge stands low
COLD_WIDTH = 6.0  # K
COLD_AIR = 318.15  # K; 45 degC: below it a driver calls the heater cold
AIR_WIDTH = 6.0  # K
TEPID_AIR = 303.15  # K; 30 degC: below it nobody calls air lukewarm
STEAMS = 390.15  # K; 117 degC: some kelvin under the boiling points of usual caps
STEAM_WIDTH = 5.0  # K
LAMP = 388.15  # K; 115 degC: usual warning lamps
LAMP_WIDTH = 5.0  # K
LOW_LEVEL = 0.15  # -; share of the coolant missing from which an engine may run hot by that
LOW_LEVEL_WIDTH = 0.05  # -
LAMP_LEVEL = 0.2  # -; share of the coolant missing at which a level lamp comes on
LAMP_LEVEL_WIDTH = 0.08  # -
WARM_BY = 720.0  # s
SLOW_SHARE = 0.7  # -; part of the way to the thermostat made in that time
SLOW_WIDTH = 0.12  # -
BELOW_RATING = 11.0  # K under the rating: warm, as rules for warming up have it
LOSES_LEVEL = 0.07  # -; share missing from which somebody notices
LOSES_WIDTH = 0.03  # -


@dataclass(frozen=True)
class ToldSign:
    """A sign of the complaint: P(told) in each member, and the everyday uses in which it shows."""

    probability: Callable[[Simulated], Array]
    uses: tuple[EverydayUse, ...] = ()


def _rises(x: Array, at: float, width: float, least: float, most: float) -> Array:
    """Probability that rises from ``least`` to ``most`` about x = ``at``."""
    return np.asarray(least + (most - least) * normal_share((x - at) / width))


def _hot(*uses: EverydayUse) -> ToldSign:
    """Told hot, where the gauge shows hot in all of these uses."""

    def probability(s: Simulated) -> Array:
        shown = np.min([s.settled[use].shown for use in uses], axis=0)
        return np.maximum(_rises(shown, TOLD_HOT, HOT_WIDTH, 0.10, 0.85), _boils_over(s))

    return ToldSign(probability, uses)


def _boils_over(s: Simulated) -> Array:
    """Told hot because coolant was gone or gas pushed it out, which the model of temperatures does not hold."""
    gone = _rises(s.states[VisibleState.LEVEL], LOW_LEVEL, LOW_LEVEL_WIDTH, 0.0, 0.45)
    pushed = np.maximum(0.45 * s.states[VisibleState.GAS], 0.25 * s.states[VisibleState.LEAK])
    return np.maximum(np.maximum(gone, pushed), 0.25 * (1.0 - s.states[VisibleState.CAP]))


def _cold(*uses: EverydayUse) -> ToldSign:
    """Told cold, where the gauge shows cold in all of these uses."""

    def probability(s: Simulated) -> Array:
        shown = np.max([s.settled[use].shown for use in uses], axis=0)
        return _rises(-shown, -TOLD_COLD, COLD_WIDTH, 0.10, 0.85)

    return ToldSign(probability, uses)


def _slow(s: Simulated) -> Array:
    """Slow to warm: by 12 minutes of the record's own run it has made little of the way to the thermostat."""
    at = np.array([min(WARM_BY, float(s.time[-1]))])
    way = np.maximum(s.rating - BELOW_RATING - s.shown[0], 1.0)
    made = (s.at(s.shown, at)[0] - s.shown[0]) / way
    return _rises(-made, -SLOW_SHARE, SLOW_WIDTH, 0.12, 0.8)


def _cold_heater(s: Simulated) -> Array:
    """Cold air with the heater on while the gauge is neither cold nor hot, standing still or under way."""
    found = [_cold_heater_in(s.settled[use]) for use in _COOL_DAYS]
    return np.asarray(0.06 + 0.79 * np.max(found, axis=0))


def _cold_heater_in(there: SettledTemperatures) -> Array:
    return np.asarray(_gauge_normal(there) * _cold_air(there))


def _cold_heater_cold_gauge(s: Simulated) -> Array:
    """Cold or lukewarm air with the heater on while the gauge stays low, standing still or under way."""
    found = [_gauge_low(s.settled[use]) * _cold_air(s.settled[use]) for use in _COOL_DAYS]
    return np.asarray(0.06 + 0.79 * np.max(found, axis=0))


def _cold_air(there: SettledTemperatures) -> Array:
    """Share of drivers who do not call this air warm."""
    return normal_share((COLD_AIR - there.vent) / AIR_WIDTH)


def _gauge_low(there: SettledTemperatures) -> Array:
    return normal_share((TOLD_COLD - there.shown) / COLD_WIDTH)


def _gauge_normal(there: SettledTemperatures) -> Array:
    cold = (there.shown - TOLD_COLD) / COLD_WIDTH
    hot = (TOLD_HOT - there.shown) / HOT_WIDTH
    return np.asarray(normal_share(cold) * normal_share(hot))


def _lukewarm_heater(s: Simulated) -> Array:
    """Air that is neither cold nor warm: that of a heater a driver would call cold, but not of one without any heat."""
    found = [
        _cold_heater_in(s.settled[use]) * normal_share((s.settled[use].vent - TEPID_AIR) / AIR_WIDTH)
        for use in _COOL_DAYS
    ]
    return np.asarray(0.06 + 0.79 * np.max(found, axis=0))


_COOL_DAYS = (EverydayUse.IDLE_COOL, EverydayUse.ROAD_COOL)
_WARM_DAYS = (EverydayUse.IDLE_WARM, EverydayUse.FAST_WARM)


def _steam(s: Simulated) -> Array:
    """Steam: it boils in some use, or coolant drips on what is hot, or gas blows it out."""
    hottest = np.max([s.settled[use].coolant for use in _WARM_DAYS], axis=0)
    boils = _rises(hottest, STEAMS, STEAM_WIDTH, 0.03, 0.6)
    spilt = np.maximum(0.2 * s.states[VisibleState.LEAK], 0.35 * s.states[VisibleState.GAS])
    return np.maximum(boils, spilt)


def _lamp(s: Simulated) -> Array:
    hottest = np.max([s.settled[use].shown for use in _WARM_DAYS], axis=0)
    by_heat = _rises(hottest, LAMP, LAMP_WIDTH, 0.05, 0.75)
    by_level = _rises(s.states[VisibleState.LEVEL], LAMP_LEVEL, LAMP_LEVEL_WIDTH, 0.05, 0.5)
    return np.maximum(by_heat, by_level)


def _smell(s: Simulated) -> Array:
    return _rises(s.states[VisibleState.LEAK], 0.5, 0.25, 0.05, 0.45)


SIGNS: Mapping[str, ToldSign] = {
    "cold_at_idle": _cold(EverydayUse.IDLE_COOL),
    "cold_when_driving": _cold(EverydayUse.ROAD_COOL),
    "cold_always": _cold(EverydayUse.IDLE_COOL, EverydayUse.ROAD_COOL),
    "slow_to_warm": ToldSign(_slow),
    "heater_cold_gauge_low": ToldSign(_cold_heater_cold_gauge, _COOL_DAYS),
    "heater_cold_gauge_normal": ToldSign(_cold_heater, _COOL_DAYS),
    "heater_lukewarm": ToldSign(_lukewarm_heater, _COOL_DAYS),
    "hot_at_idle": _hot(EverydayUse.IDLE_WARM),
    "hot_at_speed": _hot(EverydayUse.FAST_WARM),
    "hot_towing": _hot(EverydayUse.TOWING_WARM),
    "hot_always": _hot(EverydayUse.IDLE_WARM, EverydayUse.FAST_WARM),
    "smell": ToldSign(_smell),
    "steam": ToldSign(_steam, _WARM_DAYS),
    "warning_lamp": ToldSign(_lamp, _WARM_DAYS),
}
"""Probability that a customer tells of each sign of the case file."""

# A sign that is told, by the reason whose base rates count: what of it the reason has not said yet; None for nothing.
_GIVEN_REASON: Mapping[tuple[str, str], str | None] = {
    ("hot at idle", "hot_at_idle"): None,
    ("hot at idle", "hot_always"): "hot_at_speed",
    ("hot at speed", "hot_at_speed"): None,
    ("hot at speed", "hot_always"): "hot_at_idle",
    ("slow warm-up", "slow_to_warm"): None,
}


@dataclass(frozen=True)
class ComplaintEvidence:
    """The complaint as evidence: its pieces, the everyday uses that they ask for, and what counts elsewhere already."""

    sights: tuple[SeenItem, ...]
    uses: tuple[EverydayUse, ...]
    unused: tuple[str, ...]


def told_by(job: Job, reason: str) -> ComplaintEvidence:
    """What the customer tells, given the ``reason`` whose base rates count."""
    sights: list[SeenItem] = []
    uses: list[EverydayUse] = []
    unused: list[str] = []
    for name, so in job.told.items():
        left = _GIVEN_REASON.get((reason, name), name) if so else name
        if left is None:
            counted = diagnosis_texts.REASON_FOR_THE_VISIT_SAYS_IT
            unused.append(diagnosis_texts.TOLD_BY_THE_CUSTOMER.format(told_signs=TOLD_SIGNS[name], counted=counted))
            continue
        sign = SIGNS[left]
        sights.append(SeenItem(f"told.{name}", name, so, sign.probability))
        uses += sign.uses
    sights += [
        SeenItem(f"told.{key}", word, True, probability, of_record=True)
        for key, word, probability in _words(job, reason)
    ]
    return ComplaintEvidence(tuple(sights), tuple(dict.fromkeys(uses)), tuple(unused))


def _words(job: Job, reason: str) -> list[tuple[str, str, Callable[[Simulated], Array]]]:
    """The answers out of lists: name, word, and how likely each is told."""
    found = []
    for key, question, word in (
        ("onset", CustomerQuestion.ONSET, job.onset),
        ("after_work", CustomerQuestion.WORK, job.after_work),
        ("coolant_lost_at", CustomerQuestion.LOST_AT, job.coolant_lost_at),
    ):
        if word is not None:
            lost = question is CustomerQuestion.LOST_AT and reason != "loss of coolant"
            found.append((key, word, _word(question, word, lost)))
    return found


def _word(question: CustomerQuestion, word: str, lost: bool) -> Callable[[Simulated], Array]:
    """P(this word) of the causes' records; ``lost``: and that coolant is lost at all, which no reason has said."""

    def probability(s: Simulated) -> Array:
        share = s.histories[(question, word)]
        return np.asarray(share * _loses(s)) if lost else share

    return probability


def _loses(s: Simulated) -> Array:
    """P(a customer tells that coolant is lost)."""
    missing = _rises(s.states[VisibleState.LEVEL], LOSES_LEVEL, LOSES_WIDTH, 0.06, 0.6)
    out = np.maximum(0.85 * s.states[VisibleState.LEAK], 0.65 * s.states[VisibleState.GAS])
    by_cap = 0.4 * (1.0 - s.states[VisibleState.CAP])
    return np.maximum(missing, np.maximum(out, by_cap))
