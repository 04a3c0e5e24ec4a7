"""Before and after in plain sentences: one for the customer, then what it rests on and what is still open."""

from __future__ import annotations

from collections.abc import Mapping

from engcalc.diagnosis.repair.before_after import (
    HEALTHY_OPENING,
    BeforeAfter,
    BeforeAfterChange,
    Proof,
    Unproven,
    ValveFit,
)
from engcalc.diagnosis.repair.hot_runs import HotRuns
from engcalc.diagnosis.repair.same_heat import SameHeat
from engcalc.units import UnitSystem, plain_number
from engcalc.verdict import Verdict
from engcalc.words.terms.numbers import chance, difference, minutes, share, small_share, temperature
from engcalc.words.texts import diagnosis_texts

_ENDS: Mapping[Proof, str] = {
    Proof.REPAIRED: "now it warms up as a healthy vehicle does.",
    Proof.BETTER: "that is better, but not yet what a healthy vehicle does.",
    Proof.SAME: "what was wrong is still there.",
    Proof.NO_FAULT: "a healthy vehicle does both.",
}


_ENDS_OF_HEAT: Mapping[Proof, str] = {
    Proof.REPAIRED: "The cooling had as much to do, and now the engine stays as cool as a healthy one.",
    Proof.SAME: "It still gets too hot.",
    Proof.OPEN: "The repair is not proven by that yet.",
}


def proof_sentence(found: BeforeAfter, system: UnitSystem) -> str:
    """The one sentence for the customer."""
    if found.hot is not None:
        return _hottest(found.hot, found.proof, system)
    c = found.change
    before, after = (temperature(T, system) for T in (c.before, c.after))
    at = f"{minutes(c.at)} after the start"
    said = f"{at.capitalize()} the coolant was at {before} before the repair and at {after} after it"
    return f"{said}. {_why_open(found)}" if found.proof is Proof.OPEN else f"{said}: {_ENDS[found.proof]}"


def _why_open(found: BeforeAfter) -> str:
    """Why it proves nothing yet; of a vehicle that is warm in time, that it is."""
    if Unproven.TOO_FEW in found.unproven and found.after.study.verdict.verdict is Verdict.HOLDS:
        return diagnosis_texts.WARM_AGAIN_BUT_FEW
    why = next((f": {what.value}" for what in found.unproven), "")
    return f"The repair is not proven by that yet{why}."


def _hottest(hot: HotRuns, proof: Proof, system: UnitSystem) -> str:
    before, after = (temperature(T, system) for T in (hot.before, hot.after))
    return (
        f"At its hottest the coolant was at {before} before the repair ({minutes(hot.before_at)} after the start) and at "
        f"{after} after it ({minutes(hot.after_at)} after the start). {_ENDS_OF_HEAT[proof]}"
    )


def so_far_sentence(found: BeforeAfter, system: UnitSystem) -> str:
    """While the record after the repair still grows: whether the proof stands, and the sentence for the customer."""
    return f"{found.proof.value.capitalize()}. {proof_sentence(found, system)}"


def proof_sentences(found: BeforeAfter, system: UnitSystem) -> tuple[str, ...]:
    """The sentence for the customer, what it rests on, and what is still unproven."""
    if found.hot is not None:
        return (
            proof_sentence(found, system),
            _health(found),
            *(f"Still open: {what.value}." for what in found.unproven),
        )
    return (
        proof_sentence(found, system),
        *_change(found.change, system),
        *_at_same_heat(found.at_same_heat, system),
        *_opening(found),
        _health(found),
        *(f"Still open: {what.value}." for what in found.unproven),
    )


def _change(c: BeforeAfterChange, system: UnitSystem) -> tuple[str, ...]:
    gained = c.after - c.before
    more = "more" if gained >= 0.0 else "less"
    said = [f"That is {difference(gained, system)} {more} at the same time after the start."]
    if c.step is not None and c.time_after is not None:
        before = "was not reached before" if c.time_before is None else f"took {minutes(c.time_before)} before"
        said.append(f"{temperature(c.step, system)} {before}, and {minutes(c.time_after)} after.")
    return tuple(said)


def _at_same_heat(found: SameHeat | None, system: UnitSystem) -> tuple[str, ...]:
    """The same comparison at the same heat put in, where that is not the same time."""
    if found is None or not found.drives_differ:
        return ()
    before, after = (temperature(T, system) for T in (float(found.before[-1]), found.after))
    late, early = (minutes(float(t[-1])) for t in (found.time, found.time_before))
    return (
        f"The drive after the repair put {plain_number(found.ratio, 2)} times as much heat into the engine as the one "
        "before, in the same time.",
        f"At the same heat put in ({early} before, {late} after) the coolant was at {before} before and at {after} after.",
    )


def _opening(found: BeforeAfter) -> tuple[str, ...]:
    """What the fit tells of the thermostat; empty where nothing was fitted."""
    before = found.before.fitted
    after = found.after.fitted
    if before is None or after is None or found.odds is None:
        return ()
    return (
        f"Both records fit one vehicle whose shut thermostat let pass {_passes(before)} before and "
        f"{_passes(after)} after. The odds that it was more before than after are {chance(found.odds)}.",
    )


def _passes(fitted: ValveFit) -> str:
    if fitted.opening < HEALTHY_OPENING:
        return f"no more than a healthy one ({small_share(fitted.opening_high)} at most)"
    low = small_share(fitted.opening_low)
    high = small_share(fitted.opening_high)
    return f"about {share(fitted.opening)} of its full opening ({low} to {high})"


def _health(found: BeforeAfter) -> str:
    measured = found.after.study.measured
    if found.after_healthy and measured is not None and measured.leaves_band is not None:
        way = "colder" if measured.leaves_below else "warmer"
        return (
            f"The record after the repair was {way} for a time than nine in ten healthy vehicles of this kind. Vehicles "
            "warm up at paces of their own, and this one came to its temperature in time."
        )
    if found.after_healthy:
        return "The record after the repair lies within what nine in ten healthy vehicles of this kind would show."
    if found.after.fitted is not None and found.after.study.verdict.verdict is Verdict.HOLDS:
        return "It came to its temperature in time. How tightly its thermostat shuts is not clear from these records."
    return "After the repair it does not yet clearly run as a healthy vehicle of this kind does."
