"""A warm-up in plain sentences: what it should have been, what it was, and what that says."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from engcalc.units import Array, UnitSystem
from engcalc.vehicle.criterion import Criterion, WarmFacts, WarmupOutcome, WarmVerdict
from engcalc.vehicle.settling import RecordEnd
from engcalc.vehicle.warmup_study import EXTRA_TO, TIMES_TO, FitResult, Measured, RecordStudy
from engcalc.verdict import Finding
from engcalc.words.answer.by_design import by_design_in_warm_up
from engcalc.words.page.cautions import CAUTION_TEXTS, CAUTIONS, Situation
from engcalc.words.terms.numbers import capital, difference, fuel_amount, heat, minutes, share, span, temperature

TITLES = {"before": "As found", "after": "After the repair", "duty": "The first duty from a cold start"}
WHEN = {"before": "As found", "after": "After the repair", "duty": "In the first duty"}
LOST = ": heat is lost where a healthy vehicle keeps it"
LEAST_EXTRA = 0.05  # -, of the other fuel, from which on what a cold start takes more is worth a sentence
_UNUSUAL = 2.5  # standard deviations of one unknown, from which on a vehicle that needs them is said to be unusual


def warmup_sentences(record: RecordStudy, system: UnitSystem) -> tuple[str, ...]:
    """Everything worth saying of one record, the verdict first."""
    cold = record.verdict.outcome is WarmupOutcome.SETTLED_COLD  # then the verdict has said where it settled
    said = [record_sentence(record, system), _times(record, system)]
    if record.measured is None:
        said.append("" if cold else _simulated_end(record, system))
    else:
        said += ["" if cold else _measured_end(record.measured, system), _band(record.measured)]
    if record.fitted is not None:
        said.append(_fit(record.fitted, system))
    if record.criterion is not None:
        said.append(criterion_sentence(record.criterion, system))
    said += [
        heat_sentence(record),
        *fuel_sentences(record, system),
        *heater_sentences(record, system),
        *by_design_in_warm_up(record, system),
    ]
    said += boiling_sentences(record, system)
    ice = record.verdict.facts.freezing
    if ice is not None:
        air = temperature(float(np.min(record.run.drive.conditions.ambient)), system)
        said.insert(0, freezing_sentence(temperature(ice, system), f"when the vehicle stands in air of {air}"))
    said += [f"Not noted: {question}" for question in record.asks]
    return tuple(s for s in said if s)


def record_sentence(record: RecordStudy, system: UnitSystem) -> str:
    """What the verdict on a record rests on; where nothing was measured over time, that it is of the vehicle as
    described."""
    said = verdict_sentence(record.verdict, system)
    if record.measured is not None:
        return said
    return f"Nothing was read over time, so this is computed for the vehicle as described. {said}"


def verdict_sentence(judged: WarmVerdict, system: UnitSystem, *, overtaken: bool = False) -> str:
    """What the verdict rests on; ``overtaken``: of a record that a later one has overtaken."""
    facts = judged.facts
    within = minutes(facts.within)
    reached = "" if facts.reached is None else f" after {minutes(facts.reached)}"
    settled = "" if facts.settled is None else f" at {temperature(facts.settled, system)}"
    lines: Mapping[WarmupOutcome, str] = {
        WarmupOutcome.IN_TIME: _warm_in(facts, reached, within),
        WarmupOutcome.LATE: f"It was not warm within {within}; a healthy vehicle would have been",
        WarmupOutcome.NOT_YET: f"The record ends before {within}: too early to tell whether it warms in time",
        WarmupOutcome.NOT_IN_THIS_RUN: f"It was not warm within {within}. In this run {_few(facts.healthy_share)} would "
        "have been, so that blames no part",
        WarmupOutcome.UNANSWERED: "It stayed colder than a healthy vehicle, but what nobody noted may be the reason. "
        "Answer that first",
        WarmupOutcome.SETTLED_COLD: f"It settled{settled}, where a healthy vehicle shows "
        f"{temperature(facts.healthy_end, system)}",
        WarmupOutcome.BOILS: f"The coolant boils{_since(facts.boils)}, at {_peak(facts, system)}: the run ends there",
        WarmupOutcome.TOO_HOT: f"The coolant reaches {_peak(facts, system)}, over its limit{_limit(facts, system)}",
    }
    at_fault = judged.outcome in (WarmupOutcome.LATE, WarmupOutcome.SETTLED_COLD)
    return f"{lines[judged.outcome]}{LOST if at_fault and not overtaken else ''}."


def _warm_in(facts: WarmFacts, reached: str, within: str) -> str:
    """That it got warm, and whether in the time: where hardly any healthy vehicle is in time, a later one is no fault."""
    if facts.reached is None or facts.reached <= facts.within:
        return f"It was warm{reached}, within the {within} allowed"
    return f"It was warm{reached}, not within {within}. {capital(_few(facts.healthy_share))} would have been, so that blames no part"


def _since(time: float | None) -> str:
    return "" if time is None else f" {minutes(time)} after the start"


def _peak(facts: WarmFacts, system: UnitSystem) -> str:
    return "" if facts.peak is None else temperature(facts.peak, system)


def _limit(facts: WarmFacts, system: UnitSystem) -> str:
    return "" if facts.limit is None else f" of {temperature(facts.limit, system)}"


def warm_up_told(finding: Finding, system: UnitSystem) -> str:
    """The sentence of a warm-up that was counted into a check (:mod:`engcalc.diagnosis.whole_check`)."""
    n = finding.numbers
    facts = WarmFacts(
        n["within"],
        n.get("reached"),
        n["ends"],
        n["healthy_share"],
        n.get("settled"),
        n["healthy_end"],
        n["healthy_low"],
        (),
        n.get("boils"),
        n.get("peak"),
        n.get("limit"),
    )
    overtaken = finding.words["counts"] == "no"
    said = verdict_sentence(
        WarmVerdict(None, WarmupOutcome(finding.words["outcome"]), facts), system, overtaken=overtaken
    )
    when = "Before the repair" if overtaken else WHEN[finding.words["record"]]
    how = "" if finding.words["measured"] == "yes" else ", computed from this case"
    beside = _BESIDE_IN_TIME.get(finding.words["leaves"], "") if _is_in_time(finding) else ""
    return f"{when}{how}: {said[:1].lower()}{said[1:]}{beside}"


def _is_in_time(finding: Finding) -> bool:
    """Whether a course counts as that of a healthy vehicle; one that got far too hot does not, however soon it was warm."""
    return finding.words["outcome"] == WarmupOutcome.IN_TIME.value and finding.words["hotter"] == "no"


_BESIDE_IN_TIME: Mapping[str, str] = {  # what the picture of such a course shows besides
    "above": " For a time it was warmer than nine in ten healthy vehicles would be; that alone is no fault.",
    "below": " For a time it was colder than nine in ten healthy vehicles would be; that alone is no fault.",
}


def _few(part: float) -> str:
    return f"only {share(part)} of healthy vehicles" if part >= 0.05 else "hardly any healthy vehicle"


def _times(record: RecordStudy, system: UnitSystem) -> str:
    own = (
        record.measured.time_to
        if record.measured is not None
        else {T: float(record.nominal.time_to(T)[0]) for T in TIMES_TO}
    )
    parts = []
    for T in TIMES_TO:
        healthy = _spread(record.band.times_to[T])
        parts.append(f"{temperature(T, system)}: {_after(own[T])} (healthy vehicles: {healthy})")
    return f"To {'; to '.join(parts)}."


def _after(time: float | None) -> str:
    return "not in this run" if time is None or not np.isfinite(time) else f"after {minutes(time)}"


def _spread(times: Array) -> str:
    low, high = np.quantile(times, (0.05, 0.95), method="higher")
    if not np.isfinite(low):
        return "hardly ever"
    return f"{minutes(low)} to {minutes(high)}" if np.isfinite(high) else f"after {minutes(low)} at the soonest"


def _measured_end(measured: Measured, system: UnitSystem) -> str:
    end = measured.settled
    now = temperature(measured.end, system)
    sentences: Mapping[RecordEnd, Callable[[], str]] = {
        RecordEnd.SETTLED: lambda: f"It settled at {temperature(end.temperature or measured.end, system)}.",
        RecordEnd.RISING: lambda: f"It was still rising when the record ended at {now}: it has not settled.",
        RecordEnd.FALLING: lambda: f"It was still falling when the record ended at {now}: it has not settled.",
        RecordEnd.BOILED: lambda: "It boiled.",
        RecordEnd.SHORT: lambda: f"The record ended at {now}, too soon to tell where it settles.",
    }
    return sentences[end.end]()


def _simulated_end(record: RecordStudy, system: UnitSystem) -> str:
    if record.settled.end is RecordEnd.BOILED:
        return ""
    if record.hunting is not None:
        between = span(record.hunting.low, record.hunting.high, system, "and")
        return (
            f"As described the thermostat hunts: the coolant swings between {between}, "
            f"{temperature(record.hunting.mean, system)} on average."
        )
    own = record.settled.temperature
    healthy = record.healthy_settled.temperature
    if own is None:
        return "As described it has not settled by the end of this run."
    if healthy is None or abs(healthy - own) < 1.0:
        return f"As described it settles at {temperature(own, system)}."
    return (
        f"As described it settles at {temperature(own, system)}, with a healthy thermostat at "
        f"{temperature(healthy, system)}."
    )


def _band(measured: Measured) -> str:
    if measured.leaves_band is None and measured.ends_outside:
        return (
            f"The curve ends {measured.ends_outside} what nine in ten healthy vehicles of this kind would show, not long "
            "or far enough to count."
        )
    if measured.leaves_band is None:
        return "The curve lies within what nine in ten healthy vehicles of this kind would show."
    way = "falls below" if measured.leaves_below else "rises above"
    return (
        f"From {minutes(measured.leaves_band)} on the curve {way} what nine in ten healthy vehicles of this kind "
        "would show."
    )


def _fit(fitted: FitResult, system: UnitSystem) -> str:
    furthest = int(np.abs(fitted.fit.z).argmax())
    said = f"With a healthy thermostat the model, fitted to this vehicle, follows it within {_rms(fitted, system)}"
    if abs(fitted.fit.z[furthest]) > _UNUSUAL:
        return f"{said}, but only if the vehicle is an unusual one ({fitted.unknowns[furthest].label})."
    return f"{said}." if fitted.parts is None else f"{said}; they part after {minutes(fitted.parts)}."


def _rms(fitted: FitResult, system: UnitSystem) -> str:
    return difference(max(fitted.rms, 1.0), system)


def criterion_sentence(criterion: Criterion, system: UnitSystem) -> str:
    """The regulation's criterion for a thermostat monitor, on this record."""
    goal = temperature(criterion.target, system)
    within = difference(20.0 / 1.8, system)
    asked = f"Regulations (13 CCR 1968.2) ask a monitor for {goal}, {within} under the valve's opening"
    allowed = "" if criterion.allowed is None else f" within {minutes(criterion.allowed)}"
    reached = "" if criterion.reached is None else f" after {minutes(criterion.reached)}"
    ends: Mapping[WarmupOutcome, str] = {
        WarmupOutcome.IN_TIME: f": reached{reached}.",
        WarmupOutcome.LATE: f": not reached{allowed}, in which 19 of 20 healthy vehicles reach it.",
        WarmupOutcome.NOT_YET: ": the record ends too early to tell.",
        WarmupOutcome.NOT_IN_THIS_RUN: ": not reached, nor would every healthy vehicle reach it in this run.",
        WarmupOutcome.UNANSWERED: ": not reached, but what nobody noted may be the reason.",
        WarmupOutcome.SETTLED_COLD: ": not reached.",
        WarmupOutcome.BOILS: ": not reached.",
        WarmupOutcome.TOO_HOT: ": not reached.",
    }
    cold = " In such cold a monitor may be switched off." if criterion.may_be_off else ""
    return f"{asked}{ends[criterion.outcome]}{cold}"


def heater_sentences(record: RecordStudy, system: UnitSystem) -> tuple[str, ...]:
    """What block and coolant heater did before the start and while it ran, as simulated, and what to mind of them."""
    preheat = record.run.drive.preheat
    heater = record.run.record.auxiliary_heater
    said = []
    if preheat is not None:
        parts = [f"the block heater for {minutes(preheat.block_time)}"] * (preheat.block_time > 0.0)
        parts += [f"the coolant heater for {minutes(preheat.coolant_heater_time)}"] * (
            preheat.coolant_heater_time > 0.0
        )
        said.append(
            f"Before the start {' and '.join(parts)} would have brought the coolant "
            f"{difference(float(record.nominal.preheated[0]), system)} over the air, as simulated."
        )
    mean = float(record.nominal.coolant_heater_heat[0]) / record.run.drive.duration
    if mean > 0.0:
        unsure = " at half its power, as nobody noted whether it ran" if heater == "unknown" else ""
        said.append(f"The coolant heater, simulated{unsure}, adds {heat(mean, system)} on average over the run.")
    if mean > 0.0 or preheat is not None:
        said += [caution.text for caution in CAUTIONS[Situation.PREHEATING]]
    return tuple(said)


def freezing_sentence(ice: str, where: str) -> str:
    """That the coolant freezes, and what to do: ``ice`` the temperature of first ice, ``where`` it gets colder."""
    return (
        f"The coolant can freeze: first ice forms at {ice}, and it gets colder {where}. Slush blocks the radiator "
        f"and the engine overheats; ice bursts radiator and engine block. {CAUTION_TEXTS['frozen']} Then have the "
        "mixture set right."
    )


def boiling_sentences(record: RecordStudy, system: UnitSystem) -> tuple[str, ...]:
    """That the vehicle boils as it is described, where a measured record has the verdict; and what to mind."""
    if record.settled.end is not RecordEnd.BOILED:
        return ()
    after, at = (float(x[0]) for x in (record.nominal.boiled, record.nominal.boiling))
    said = (
        []
        if record.measured is None
        else [f"As described it would boil {minutes(after)} after the start, at {temperature(at, system)}."]
    )
    return *said, *(c.text for when in (Situation.RUNNING_HOT, Situation.OPENING) for c in CAUTIONS[when])


def fuel_sentences(record: RecordStudy, system: UnitSystem) -> tuple[str, ...]:
    """How much fuel the run takes, and what a cold start adds to it where that matters."""
    used = float(record.fuel.mass[-1, 0])
    extra = float(record.fuel.extra_share(record.warm_by)[0])
    said = f"In this run the engine takes {fuel_amount(used, record.fuel.fuel, system)} of fuel."
    if extra < LEAST_EXTRA:
        return (said,)
    late = float(record.fuel.late[-1, 0]) > 0.0
    for_what = "for a rich mixture and late ignition" if late else "for a rich mixture"
    goes = "Most of that heats the exhaust, not the coolant." if late else "That leaves unburnt with the exhaust."
    until = temperature(EXTRA_TO, system)
    return said, f"Until {until} a cold start takes {share(extra)} more fuel {for_what}. {goes}"


def heat_sentence(record: RecordStudy) -> str:
    """Where the engine's heat comes from."""
    heat = record.run.heat
    if heat is None:
        return f"The engine's heat comes from the engine model for {record.run.source}."
    return (
        f"The engine's heat comes from {heat.source.value} in the log, give or take "
        f"{share(heat.relative_uncertainty)}: {heat.reason}."
    )
