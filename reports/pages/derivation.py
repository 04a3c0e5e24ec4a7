"""The working of one duty, line by line, in the symbols of the textbooks."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.studies.checked import DutyCheck
from engcalc.words.numbers import capital
from engcalc.words.reasons import deciding
from engcalc.working.chain import Results, Worked, work
from engcalc.working.shown import Shown, Term
from reports.formulas import spoken, symbol_markup, typeset
from reports.kinds import Order
from reports.layout import heading, para, rich, room, subheading, together
from reports.pages.values import pretty
from reports.tagging import Tagged
from reports.texts import markup

WORKING = "Working"
WORKING_ROOM = 170.0  # pt that a working wants to begin on a page: heading, lead, the first lines
LEAD = (
    "Each line is read from the computation: the formula, the numbers that went in, what came out and where the "
    "formula is from. Numbers are shown to the fewest digits with which the line comes out as shown. SI units."
)
LEAD_OF_POINTS = (
    "Each line is read from the computation: the formula, the numbers that went in, what came out and where the "
    "formula is from. A number has the same digits wherever it stands, and each line comes out at them within 0.1 %. "
    "SI units."
)


def working_part(order: Order, width: float) -> list[Flowable]:
    """The working of the duty that carries the verdict; empty where nothing was solved."""
    duty = deciding(order.check)
    if duty is None or not bool(duty.point.solved[0]):
        return []
    chapters = worked(order, duty)
    return [
        room(WORKING_ROOM),
        heading(f"{WORKING}: {duty.name}"),
        para(LEAD, "small"),
        *(part for chapter in chapters for part in chapter_part(chapter, width)),
    ]


def worked(order: Order, duty: DutyCheck) -> tuple[Worked, ...]:
    """The chapters of a duty's working."""
    plant = order.check.plant
    return work(Results(duty.duty, duty, plant.engine), plant.arrangement)


def chapter_part(chapter: Worked, width: float) -> list[Flowable]:
    """A chapter of a working: its title and its lines."""
    lines = [_line(line, width) for line in chapter.lines]
    failures = [para(f"Not shown, for it does not come out: {words}", "small") for words in chapter.failures]
    return [subheading(chapter.title), *lines, *failures]


def _line(line: Shown, width: float) -> Flowable:
    step = line.step
    picture = typeset(step.symbol, step.formula, step.parts, width)
    drawn = Tagged(picture, "Formula", spoken(step.symbol, step.formula, step.parts))
    said = ", ".join(
        f"{symbol_markup(symbol)} = {_number(line.values[symbol], term)}" for symbol, term in line.inputs.items()
    )
    outcome = f"<b>{symbol_markup(step.symbol)} = {_number(line.result, line.result_term)}</b>"
    label = f"{markup(capital(step.label))} <font size='7'>({markup(step.source)})</font>"
    series = [rich(f"The {line.count} terms of the sum: {', '.join(line.series)}.", "small")] if line.series else []
    return together([rich(label, "step"), drawn, rich(f"{said}: {outcome}", "formula"), *series])


def _number(text: str, term: Term) -> str:
    return markup(f"{text} {pretty(term.unit)}".strip())
