"""Page one of the customer's report: whose vehicle, what was wrong, how sure, what was done, what changed."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.case.case import Case
from engcalc.case.records import SEEN_FACTS, Record, Spot
from engcalc.diagnosis.conclusion import Danger, GroundCode, Rank, VehicleState, conclude
from engcalc.diagnosis.diagnosis import Diagnosis
from engcalc.studies.checked import Check
from engcalc.words.answer import (
    capacity_sentence,
    capacity_stands_beside,
    carrying,
    first_sentences,
    speaks_for_the_class,
    speaks_of,
)
from engcalc.words.causes import check_cautions, check_sentence
from engcalc.words.causes_told import next_by_odds
from engcalc.words.conclusion_words import CAN_FREEZE, CAPACITY_QUESTION, DANGER_HEADS, next_step_of
from engcalc.words.plainly import by_sight, plain
from reports.kinds import Order, ReportKind
from reports.layout import HeadedTable as Table
from reports.layout import boxed, bullets, facts_abreast, grid, heading, new_page, para, room, subheading, title
from reports.pages.causes import customer_part
from reports.pages.photos import photo
from reports.pages.pictures import figures
from reports.pages.values import pretty
from reports.pages.verdicts import how_sure, ink_of
from reports.pages.warmup import proof_part
from reports.plots.registry import ChosenDuty, Paper

TITLE = "Cooling and heating check"
GROUNDS_TOLD = 3  # grounds that page one tells; all of them stand behind
CHANGES = (("coolant", "Coolant temperature"), ("vent", "Air from the vents"), ("cabin", "Air in the cabin"))


def customer_page(order: Order, width: float) -> list[Flowable]:
    """Page one, which nothing else shares; whatever was not said is left out."""
    case = order.check.case
    return [
        title(case.job.title or TITLE),
        *danger_part(order, width),
        *who_and_what(order, width),
        *_complaint(case),
        *_finding(order, width),
        *_work_done(case),
        *(proof_part(order, width) or _changed(case, width) or _readings(order, width)),
        *photo(order, width),
        new_page(),
    ]


def who_and_what(order: Order, width: float) -> list[Flowable]:
    """The vehicle, its owner, the work order and the shop."""
    job = order.check.case.job
    vehicle = [
        ("Vehicle", job.vehicle),
        ("Registration", job.registration),
        ("VIN", job.vin),
        ("Odometer", job.odometer),
        ("Customer", job.customer),
    ]
    paper = [
        ("Work order", job.work_order),
        ("Date", job.date or f"{order.now:%Y-%m-%d}"),
        ("Shop", job.shop),
        ("Contact", job.shop_contact),
        ("Prepared by", job.prepared_by),
    ]
    return facts_abreast(vehicle, paper, width)


def _complaint(case: Case) -> list[Flowable]:
    if not (case.job.complaint or "").strip():
        return []
    return [heading("What you told us"), para(f"“{(case.job.complaint or '').strip()}”", "quote")]


def danger_part(order: Order, width: float) -> list[Flowable]:
    """What heads the page where something was found that can hurt: may it be driven, why, and what to mind."""
    check = order.check
    found = conclude(check)
    head = CAN_FREEZE if found.lead.code is GroundCode.FREEZES else DANGER_HEADS.get(found.danger)
    if head is None:
        return []
    step = next_step_of(found)
    why = " ".join(carrying(check, order.system)[:GROUNDS_TOLD])
    cautions = bullets(step.caution_texts) if step else []
    return [boxed([para(head, "lead"), para(why), *cautions], width, ink_of(check))]


def _finding(order: Order, width: float) -> list[Flowable]:
    """What was found, with how sure; what comes next; what it means to leave it.

    A danger or a fault that was found is told by itself: odds come after it, on the pages behind."""
    check = order.check
    found = conclude(check)
    told = plain(check)
    causes = [] if found.outranks else customer_part(order)
    sure = "" if causes else by_sight(check) or how_sure(check)
    # where a danger heads the page, its grounds stand there already
    said_above = found.danger is not Danger.NONE
    grounds = "" if said_above else " ".join(carrying(check, order.system)[:GROUNDS_TOLD])
    short = first_sentences(grounds)
    said = [para(told.lead, "lead"), *causes, *(para(words) for words in (short, sure) if words)]
    return [
        room(90),
        heading("What we found"),
        boxed(said, width, ink_of(check)),
        *_next(order),
        *_duties_apart(order),
        *_left_or_found_before(check, told.if_left),
    ]


def _left_or_found_before(check: Check, if_left: str) -> list[Flowable]:
    """What it means to leave it; of a vehicle that is repaired, what was seen before instead."""
    found = conclude(check)
    if not (found.repaired and found.state is VehicleState.HEALTHY):
        return [room(60), heading("What it costs to leave it"), para(if_left)]
    before = check.case.evidence.before
    seen = [SEEN_FACTS[fact] for fact, is_so in (before.seen if before else {}).items() if is_so]
    return [para(f"Seen before the repair: {'; '.join(seen)}.")] if seen else []


def _next(order: Order) -> list[Flowable]:
    """The next check, where it follows without any odds; where there are odds, they name it. Its cautions stand with
    it unless they head the page."""
    found = conclude(order.check)
    odds = order.diagnosis
    if odds is not None and not found.outranks and speaks_of(order.check, odds.record):
        return _next_by_odds(odds)
    step = next_step_of(found)
    if step is None or speaks_for_the_class(found):
        return []
    cautions = bullets(step.caution_texts) if found.danger is Danger.NONE else []
    return [room(60), heading("What comes next"), para(step.text), *cautions]


def _next_by_odds(diagnosis: Diagnosis) -> list[Flowable]:
    check = next_by_odds(diagnosis)
    if check is None:
        return []
    cautions = bullets(check_cautions(check.key, diagnosis.case))
    return [room(60), heading("What comes next"), para(check_sentence(check)), *cautions]


def _duties_apart(order: Order) -> list[Flowable]:
    """Whether the system would hold its duties: another question than how this vehicle is, under its own name."""
    if not capacity_stands_beside(conclude(order.check)):
        return []
    said = capacity_sentence(order.check, order.system)
    if not said:
        return []
    return [subheading(CAPACITY_QUESTION), para(said.removeprefix(CAPACITY_QUESTION).strip())]


def _readings(order: Order, width: float) -> list[Flowable]:
    """What was read, against healthy vehicles, as a picture."""
    if not shows_readings(order):
        return []
    return figures(Paper.READINGS, ChosenDuty(order.check, None), order.system, width)


def shows_readings(order: Order) -> bool:
    """Whether page one draws the readings: in a customer's report before a repair, where they carry the conclusion."""
    lead = conclude(order.check).lead
    carries = lead.rank is Rank.READINGS or lead.hot is not None
    return carries and order.kind is ReportKind.CUSTOMER and order.check.case.evidence.after is None


def _work_done(case: Case) -> list[Flowable]:
    if not (case.job.work_done or "").strip():
        return []
    return [heading("What was done"), para((case.job.work_done or "").strip())]


def _changed(case: Case, width: float) -> list[Flowable]:
    """Before beside after, where both were measured."""
    before, after = case.evidence.before, case.evidence.after
    if before is None or after is None:
        return []
    rows = [
        (label, _reading(case, "before", before, what), _reading(case, "after", after, what)) for what, label in CHANGES
    ]
    both = [row for row in rows if row[1] and row[2]]
    if not both:
        return []
    return [heading("What changed"), grid(Table(("Measured", "Before", "After"), both, shares=(0.4, 0.3, 0.3)), width)]


def _reading(case: Case, record_name: str, record: Record, what: str) -> str:
    """The latest reading of this in a record, as it was read, with its time."""
    found = [(i, spot) for i, spot in enumerate(record.spots) if spot.what == what]
    if not found:
        return ""
    index, spot = max(found, key=lambda pair: _minutes(pair[1]))
    path = f"evidence.{record_name}.spots[{index}]"
    said = pretty(case.given[f"{path}.value"].text)
    return f"{said} after {pretty(case.given[f'{path}.at'].text)}" if spot.at is not None else said


def _minutes(spot: Spot) -> float:
    return -1.0 if spot.at is None else float(spot.at[0])
