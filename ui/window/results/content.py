"""What of a check goes where: its sentences and its table, taken from the engine's words and results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from engcalc.classroom.symbols import in_letters
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Danger
from engcalc.studies.checked import Check, DutyCheck
from engcalc.studies.healthy_valve import has_valve
from engcalc.units import UnitSystem, plain_number, raised, to_unit, unit_for
from engcalc.verdict import FindingCode, FindingLevel, Verdict
from engcalc.words.answer.answer import capacity_sentence, cautions_with_answer, class_heading, next_words, statement
from engcalc.words.answer.reasons import Reason, duty_sentence, of_the_class, reasons
from engcalc.words.answer.results import RESULTS, result_name
from engcalc.words.diagnosis.codes import code_sentences
from engcalc.words.lesson.class_symbols import writes_for
from engcalc.words.page.cautions import CAUTIONS, Situation
from engcalc.words.sizing.cooler_words import cooler_rows
from engcalc.words.terms.gathering import gathered
from engcalc.words.terms.glossary import RESULT_WORDS
from engcalc.words.texts import window_texts
from ui.window.results.lines import Sentence
from ui.window.results.table import TableText

NOT_ON_A_BENCH = frozenset(
    {  # results of an engine and a cabin
        "engine_speed_rev_s",
        "brake_power_W",
        "accessory_power_W",
        "fuel_power_W",
        "heat_to_metal_W",
        "heat_exhaust_W",
        "heat_rest_W",
        "surface_heat_W",
        "heater_heat_W",
        "hose_heat_W",
        "vent_degC",
        "cabin_degC",
        "heater_flow_kg_s",
        "bypass_flow_kg_s",
        "thermostat_opening",
        "fan_speed",
        "fan_on_share",
        "air_to_boil_degC",
    }
)
NOTHING = 1e-4  # in the unit shown; what is smaller is rounding
SEVERITY_SIGNS = {
    FindingLevel.FAULT: ("■", "Fault", "error"),
    FindingLevel.CAUTION: ("▲", "Caution", "warn"),
    FindingLevel.NOTE: ("–", "Note", "muted"),
}


def headline_of(check: Check, system: UnitSystem) -> str:
    """What stands beside the verdict, without the verdict's own word: a statement and what it is held against.

    Whatever else the headline advises stands among the reasons.
    """
    return window_texts.RECORDS_TO_COME if _waits(check) else statement(check, system)


def next_of(check: Check) -> str:
    """What stands beneath it: what comes next, where that is known."""
    return "" if _waits(check) else next_words(check)


def _waits(check: Check) -> bool:
    return check.unfinished and not conclude(check).outranks


def duty_words(duty: DutyCheck, system: UnitSystem) -> str:
    """The chosen duty in one sentence."""
    return duty_sentence(duty, system)


def reasons_of(check: Check, duty: DutyCheck | None, system: UnitSystem) -> tuple[list[Sentence], list[Sentence]]:
    """What weighs, and what is only noted: every fault, and of the rest what is not about another duty. What a vehicle
    of the class would do has its own heading where this one was judged (:func:`duties_of`).

    Where nothing weighs the first note takes its place: it says why all is well. What the case file holds under keys
    that are not known stands before all of it: what was meant may be a danger.
    """
    apart, answer = bool(class_heading(check)), headline_of(check, system)
    every = [r for r in _reasons_of(check, duty, system) if not (r.in_answer and r.text in answer)]
    found = [reason for reason in every if not (apart and of_the_class(reason, check))]
    weighty = [
        reason for reason in found if reason.severity is not FindingLevel.NOTE or reason.code == FindingCode.WHAT_LIMITS
    ] or found[:1]
    noted = _sentences([reason for reason in found if reason not in weighty])
    unread = [Sentence(warning, "!", "Not used", "warn") for warning in check.case.warnings]
    return [*unread, *_sentences(weighty)], [*noted, *map(Sentence, code_sentences(check.case))]


def duties_of(check: Check, duty: DutyCheck | None, system: UnitSystem) -> tuple[str, list[Sentence]]:
    """What a vehicle of the class would do in its duties, under its heading; nothing where the answer says it."""
    head = class_heading(check)
    if not head:
        return "", []
    capacity = capacity_sentence(check, system).removeprefix(head).strip()
    of_duty = "" if duty is None else duty_sentence(duty, system)
    answer = statement(check, system)  # what it says stands above already
    said = [text for text in (capacity, "" if of_duty in capacity else of_duty) if text not in answer]
    found = [reason for reason in _reasons_of(check, duty, system) if of_the_class(reason, check)]
    once = [reason for reason in found if not any(reason.text in text for text in said)]
    return head, [*(_as_weighty_as(found, text) for text in said), *_sentences(once)]


def _as_weighty_as(found: Sequence[Reason], text: str) -> Sentence:
    """A sentence with the sign of the reason that it says; without one where it says none."""
    signs = [SEVERITY_SIGNS[reason.severity] for reason in found if reason.text in text]
    return Sentence(text, *signs[0]) if signs else Sentence(text)


def _reasons_of(check: Check, duty: DutyCheck | None, system: UnitSystem) -> list[Reason]:
    """Every fault, and of the rest what is not about another duty; oil that overheats in whichever duty."""
    others = {one.name for one in check.duties if one is not duty}
    found = [
        reason
        for reason in reasons(check, system)
        if reason.severity is FindingLevel.FAULT
        or reason.code == FindingCode.COOLER_SHORT
        or reason.about not in others
    ]
    return list(gathered(found, [one.name for one in check.duties]))


def _sentences(found: Sequence[Reason]) -> list[Sentence]:
    return [Sentence(reason.text, *SEVERITY_SIGNS[reason.severity]) for reason in found]


_ACTING = (Situation.OPENING, Situation.RUNNING)
SITUATIONS: Mapping[Verdict, tuple[Situation, ...]] = {  # what a person is about to do when the verdict is this
    Verdict.UNDERSIZED: (Situation.RUNNING_HOT, *_ACTING),
    Verdict.OVERCOOLING: _ACTING,
    Verdict.MARGINAL: _ACTING,
}


def cautions_of(check: Check) -> list[Sentence]:
    """What can hurt whoever acts on this answer. A bench rig has neither cap nor belts."""
    if not has_valve(check.case):
        return []
    found = conclude(check)
    texts = list(cautions_with_answer(check))
    situations = (
        SITUATIONS[Verdict.UNDERSIZED]
        if found.danger is not Danger.NONE
        else (() if check.verdict is None else SITUATIONS.get(check.verdict, ()))
    )
    texts += [caution.text for situation in situations for caution in CAUTIONS[situation]]
    return [Sentence(text, "!", "Caution", "warn") for text in dict.fromkeys(texts)]


def table_of(check: Check, chosen: int, system: UnitSystem) -> TableText:
    """Every result of every duty; the head of the duty that the pictures show carries a pointer."""
    heads = [
        f"▸ {duty.name}" if i == chosen and len(check.duties) > 1 else duty.name for i, duty in enumerate(check.duties)
    ]
    rows, helps = [], []
    write = writes_for(check.case)
    for row in RESULTS:
        if row.key in NOT_ON_A_BENCH and not has_valve(check.case):
            continue
        values = [row.getter(duty) for duty in check.duties]
        if any(value is not None for value in values):
            unit = unit_for(row.kind, system)
            name = result_name(row, bench=not check.plant.engine.present)
            symbol = in_letters(write(row.symbol, unit_for(row.kind, UnitSystem.SI)))
            rows.append((name, symbol, raised(unit), *(_cell(value, row.kind, unit) for value in values)))
            helps.append(RESULT_WORDS.get(row.key, row.label))
    for cooler in cooler_rows(check.duties):
        unit = unit_for(cooler.kind, system)
        rows.append((cooler.label, "", unit, *(_cell(value, cooler.kind, unit) for value in cooler.values)))
        helps.append(cooler.help)
    return TableText(("Result", "Symbol", "Unit", *heads), tuple(rows), tuple(helps))


def _cell(value: float | None, kind: str, unit: str) -> str:
    if value is None:
        return "–"
    number = to_unit(value, unit, kind)
    return plain_number(number if abs(number) >= NOTHING else 0.0, tenths="temperature" in kind)
