"""Real parts side by side, in words and as a table that every face shows."""

from __future__ import annotations

from collections.abc import Iterator

from engcalc.studies.checked import tightest
from engcalc.studies.choice.candidates import Candidate, Comparison, PartDuty
from engcalc.studies.choice.heat_points import HeatFit
from engcalc.studies.choice.part_curves import CurveFit
from engcalc.units import UnitSystem, show
from engcalc.verdict import Finding
from engcalc.words.answer.input_words import fault_words
from engcalc.words.answer.reasons import verdict_label
from engcalc.words.terms.numbers import capital, chance, difference, temperature

AS_IT_IS = "As it is"
NO_PARTS = "No table is loaded. The parts of a table are laid side by side over every duty."
HEAD = ("Part", "Duty", "Verdict", "Coolant", "Holds", "Limited by", "Air drop", "Coolant drop", "One fan gives")
LIMITED_BY = {
    "airflow": "how much air comes",
    "air side": "the core's air side",
    "coolant side": "its coolant side",
    "stored": "heat stored before it",
}
BOILS = "boils"
DRIVEN = "the air drives it"
WHILE_IT_RUNS = "while it runs"
NO_FAN = "no fan"
HELD_OFF = "held off"
STANDS = "it stands: cool enough"


def comparison_sentences(found: Comparison, system: UnitSystem = UnitSystem.SI) -> tuple[str, ...]:
    """Each part in a sentence or two, then what is to be said of the tables."""
    said = [" ".join(_of_one(candidate, system)) for candidate in found.candidates]
    return (*said, *found.notes)


def candidate_name(candidate: Candidate) -> str:
    """The part's name; of the case as it is that."""
    return AS_IT_IS if candidate.part is None else candidate.part.name


def comparison_rows(found: Comparison, system: UnitSystem = UnitSystem.SI) -> tuple[tuple[str, ...], ...]:
    """A row for each part and duty, under ``HEAD``; parts that do not go in have none."""
    return tuple(
        (candidate_name(candidate), *_row(duty, system)) for candidate in found.candidates for duty in candidate.duties
    )


def deciding_rows(found: Comparison, system: UnitSystem = UnitSystem.SI) -> tuple[tuple[str, ...], ...]:
    """The same rows, of each part that of the duty that decides alone."""
    return tuple(
        (candidate_name(candidate), *_row(_deciding(candidate), system))
        for candidate in found.candidates
        if candidate.duties
    )


def every_duty_table(
    found: Comparison, system: UnitSystem = UnitSystem.SI
) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Head and rows of how hot each duty gets with each part and how likely it holds: a row for each duty."""
    built = [candidate for candidate in found.candidates if candidate.duties]
    rows = []
    for in_duty in zip(*(candidate.duties for candidate in built), strict=True):
        cells = (_row(one, system) for one in in_duty)
        rows.append((in_duty[0].duty.name, *(_hot_and_sure(hottest, sure) for _, _, hottest, sure, *_ in cells)))
    return ("Duty", *map(candidate_name, built)), tuple(rows)


def _hot_and_sure(hottest: str, sure: str) -> str:
    return f"{hottest}, {sure}" if sure else hottest


def _row(one: PartDuty, system: UnitSystem) -> tuple[str, ...]:
    duty = one.duty
    boils = duty.boils and duty.peak is None
    hottest = duty.coolant_out if duty.peak is None else duty.peak
    return (
        duty.name,
        verdict_label(duty.verdict),
        BOILS if boils else show(hottest, "temperature", system, 4),
        "" if one.probability is None else chance(one.probability),
        limited_by(one.limits),
        show(one.air_drop, "pressure difference", system),
        show(one.coolant_drop, "pump pressure", system),
        fan_point(one, system),
    )


def limited_by(found: Finding | None) -> str:
    """Which side limits, in a few words; empty where nothing tells."""
    return "" if found is None else LIMITED_BY[found.words["limiting"]]


def fan_point(one: PartDuty, system: UnitSystem) -> str:
    """Where one fan is on its curve."""
    if one.fan_flow <= 0.0:
        return NO_FAN if not one.has_fan else HELD_OFF if one.duty.duty.fan == "off" else STANDS
    flow = show(one.fan_flow, "air flow", system)
    if one.fan_pressure <= 0.0:
        return f"{flow}, {DRIVEN}"
    at = f"{flow} at {show(one.fan_pressure, 'pressure difference', system)}"
    return f"{at}, {WHILE_IT_RUNS}" if one.duty.point.cycles[0] or one.fan_waits else at


def _of_one(candidate: Candidate, system: UnitSystem) -> Iterator[str]:
    name = candidate_name(candidate)
    if candidate.checked is None:
        yield f"{name} does not go in: {'; '.join(fault_words(fault) for fault in candidate.why_not)}."
    else:
        worst = _deciding(candidate)
        sure = "" if worst.probability is None else f"; the chance that it holds is {chance(worst.probability)}"
        yield f"{name}: {_holds(candidate)} {worst.duty.name} decides: {_margin(worst, system)}{sure}."
    if candidate.part is not None:
        yield from _curves(candidate, system)
        if candidate.part.beside:
            yield f"{capital(beside_words(candidate))}."


def beside_words(candidate: Candidate) -> str:
    """The columns that are only shown: price, supplier, note."""
    part = candidate.part
    return "" if part is None else "; ".join(f"{head}: {cell}" for head, cell in part.beside.items())


def _holds(candidate: Candidate) -> str:
    kept = all(d.duty.verdict == "holds" for d in candidate.duties)
    return "every duty holds." if kept else "not every duty holds."


def _deciding(candidate: Candidate) -> PartDuty:
    """The duty that shows the verdict most: the one that the answer to a case with this part in it speaks of."""
    verdict = None if candidate.checked is None else candidate.checked.verdict
    showing = [one for one in candidate.duties if one.duty.verdict is verdict] or list(candidate.duties)
    worst = tightest([one.duty for one in showing])
    return next(one for one in showing if one.duty is worst)


def _margin(one: PartDuty, system: UnitSystem) -> str:
    margin = one.duty.margin
    if margin is None:
        return "the coolant boils" if one.duty.boils else "it has no steady state"
    where = "under" if margin >= 0.0 else "over"
    limit = temperature(one.duty.limit, system)
    return f"the coolant gets to {difference(margin, system)} {where} its limit of {limit}"


def _curves(candidate: Candidate, system: UnitSystem) -> Iterator[str]:
    assert candidate.part is not None
    if candidate.heat is not None:
        yield _heat_fit(candidate.heat, system)
    for what, fit, kind in (
        ("fan", candidate.part.fan, "pressure difference"),
        ("pump", candidate.part.pump, "pump pressure"),
    ):
        if fit is not None:
            yield _fit(what, fit, kind, system)


def _heat_fit(fit: HeatFit, system: UnitSystem) -> str:
    k = fit.worst
    points = fit.points
    flow = show(float(points.flow[k]), "coolant flow", system, 3)
    air = show(float(points.velocity[k]), "air speed", system, 2)
    return (
        f"The maker's {points.heat.size} points of heat put the factor on the core's conductance at {fit.factor:.3g}. It "
        f"misses them by {_percent(fit.rms)} (root mean square), most at {flow} and {air}: there the maker states "
        f"{_percent(abs(float(fit.misses[k])))} {'more' if fit.misses[k] > 0.0 else 'less'}."
    )


def _percent(part: float) -> str:
    return f"{100.0 * part:.1f} %"


def _fit(what: str, fit: CurveFit, kind: str, system: UnitSystem) -> str:
    if fit.flow.size == 2:
        return f"The {what}'s curve goes through its two points: nothing tells how well it would meet a third."
    rms = show(fit.rms, kind, system, 2)
    worst = show(fit.worst, kind, system, 2)
    return f"The curve through the {what}'s {fit.flow.size} points misses them by {rms} (root mean square), at most {worst}."
