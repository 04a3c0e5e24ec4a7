"""What would hold the limit: the conductance needed, changes ranked by gain, and what the temperature hangs on."""

from __future__ import annotations

from pathlib import Path

from reportlab.platypus.flowables import Flowable

from engcalc.studies.choice.sizing import Option, Sizing, size
from engcalc.studies.choice.tables import tables_of
from engcalc.studies.spread.sensitivity import ChangeStep, Sensitivity, sensitivity
from engcalc.system.state import Status
from engcalc.units import UnitSystem
from engcalc.verdict import Verdict
from engcalc.words.answer.reasons import deciding
from engcalc.words.sizing.sizing_words import (
    EACH_INPUT_ALONE,
    NO_CHANGE_COOLS,
    limiting_sentence,
    needed_of,
    together_sentence,
)
from engcalc.words.terms.numbers import capital, lowered
from engcalc.words.texts import page_texts, shared_texts
from reports.kinds import Order
from reports.layout import HeadedTable, bullets, grid, heading, para, subheading
from reports.pages.values import quantity

OPTIONS, SENSITIVITY = shared_texts.WHAT_WOULD_MEND_IT, shared_texts.WHAT_THE_TEMPERATURE_HANGS_ON
MOST_OPTIONS, MOST_INPUTS = 7, 12
LEAST_GAIN = 0.05  # K; what gains less is not worth a line
PER = {
    ChangeStep.TENTH: "10 % more",
    ChangeStep.FIVE_KELVIN: "5 K more",
    ChangeStep.ONE_MORE: "one more",
    ChangeStep.OFF_ZERO: page_texts.TENTH_OF_ITS_USUAL_RANGE_MORE,
}
HOT = (Verdict.UNDERSIZED, Verdict.MARGINAL)


def options_part(order: Order, width: float) -> list[Flowable]:
    """What would mend a duty that runs hot; empty where nothing does."""
    if order.check.verdict not in HOT or deciding(order.check) is None:  # measured points decide: nothing runs hot
        return []
    case = order.check.case
    study = size(case, tables_of(case, order.files_folder or Path()), cancelled=order.cancelled)
    rows = [_row(option, order.system) for option in study.options if _worth(option)][:MOST_OPTIONS]
    head = ("Change", "Helps the", "Coolant out", "Gain", "Then")
    parts = [
        heading(f"{OPTIONS}: {study.name}"),
        *map(para, (needed_of(study, order.system), limiting_sentence(study, order.system))),
    ]
    if rows:
        parts.append(
            grid(HeadedTable(head, rows, frozenset({2, 3}), small=True, shares=(0.36, 0.12, 0.13, 0.1, 0.29)), width)
        )
    else:
        parts.append(para(NO_CHANGE_COOLS))
    return [*parts, *_together(study, order.system), *_mind(study)]


def _together(study: Sizing, system: UnitSystem) -> list[Flowable]:
    """What the best changes gain together, with their names."""
    said = together_sentence(study, system)
    if study.together is None or not said:
        return []
    return [para(f"{capital(study.together.change.name)}: {lowered(said)}")]


def _worth(option: Option) -> bool:
    return option.gain is not None and option.gain >= LEAST_GAIN


def _row(option: Option, system: UnitSystem) -> tuple[str, ...]:
    name, gain = option.change.name, option.gain or 0.0
    more = "over " if option.at_least else ""
    return (
        capital(name),
        option.side.value,
        quantity(option.coolant_out, "temperature", system),
        f"{more}{quantity(gain, 'temperature difference', system, 2)}",
        _what_it_makes(option),
    )


def _what_it_makes(option: Option) -> str:
    said = page_texts.HOLDS_WITH_THE_MARGIN_WANTED if option.holds else "not enough alone"
    return f"{said}; spoils {', '.join(option.spoils)}" if option.spoils else said


def _mind(study: Sizing) -> list[Flowable]:
    """The cautions of the changes shown."""
    shown = [option for option in study.options if _worth(option)][:MOST_OPTIONS]
    told = [f"{capital(o.change.name)}: {o.change.caution}" for o in shown if o.change.caution]
    return bullets(told, "small bullet")


def sensitivity_part(order: Order, width: float) -> list[Flowable]:
    """The inputs on which the deciding duty's temperature hangs most."""
    duty = deciding(order.check)
    if duty is None or duty.status is not Status.SOLVED:
        return []
    engine = order.check.plant.engine.present
    found = sensitivity(order.check.case, duty.index, cancelled=order.cancelled)
    ranked = [one for one in found.ranked if engine or not _of_engine(one.path)]
    rows = [_hangs(one, order.system) for one in ranked if abs(one.change) >= LEAST_GAIN][:MOST_INPUTS]
    if not rows:
        return []
    head = ("Input", "Now", "Changed by", page_texts.COOLANT_OUT_MOVES_BY)
    return [
        subheading(SENSITIVITY),
        para(EACH_INPUT_ALONE, "small"),
        grid(HeadedTable(head, rows, frozenset({1, 3}), shares=(0.44, 0.16, 0.22, 0.18)), width),
    ]


def _of_engine(path: str) -> bool:
    """Whether an input means nothing without an engine and a vehicle around it."""
    return path.startswith(("engine.", "vehicle.")) or path.endswith((".brake_power", ".wheel_power", ".engine_speed"))


def _hangs(one: Sensitivity, system: UnitSystem) -> tuple[str, ...]:
    kelvin = quantity(abs(one.change), "temperature difference", system, 2)
    return one.label, quantity(one.value, one.kind, system), PER[one.step], f"{'+' if one.change > 0 else '-'}{kelvin}"
