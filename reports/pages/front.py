"""Page one of the customer's report: whose vehicle, what was wrong, how sure, what was done, what changed."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.case.case import Case
from engcalc.case.records import Record, Spot
from engcalc.verdict import Verdict
from engcalc.words.reasons import headline, verdict_label
from reports.kinds import Order
from reports.layout import Grid as Table
from reports.layout import boxed, facts_abreast, grid, heading, para, room, title
from reports.pages.photos import photo
from reports.pages.values import pretty
from reports.pages.verdicts import INK_OF, PLAINLY, how_sure

TITLE = "Cooling and heating check"
LEFT_UNDONE = {
    Verdict.UNDERSIZED: "An engine that runs too hot can warp its cylinder head, burn through the head gasket and "
                        "seize. Do not drive on with the gauge in the red: stop in a safe place, switch the engine "
                        "off, and let it cool with the cap shut.",
    Verdict.OVERCOOLING: "An engine that stays cold burns more fuel, wears faster and thins its oil with fuel. In "
                         "frost the heater cannot keep the cabin warm or the windscreen clear.",
    Verdict.MARGINAL: "There is little in hand. A hotter day, a longer hill, a trailer or a dirty radiator can be "
                      "enough to make the engine run too hot.",
    Verdict.HOLDS: "Nothing is lost by leaving it as it is.",
}
NOT_SAID = "No answer could be computed for this vehicle as it was described; the reasons stand on the next pages."
CHANGES = (("coolant", "Coolant temperature"), ("vent", "Air from the vents"), ("cabin", "Air in the cabin"))


def customer_page(order: Order, width: float) -> list[Flowable]:
    """Page one; whatever was not said is left out."""
    case = order.check.case
    return [
        title(case.job.title or TITLE),
        *who_and_what(order, width),
        *_complaint(case),
        *_finding(order, width),
        *_work_done(case),
        *_changed(case, width),
        *photo(order, width),
    ]


def who_and_what(order: Order, width: float) -> list[Flowable]:
    """The vehicle, its owner, the work order and the shop."""
    job = order.check.case.job
    vehicle = [("Vehicle", job.vehicle), ("Registration", job.registration), ("VIN", job.vin),
               ("Odometer", job.odometer), ("Customer", job.customer)]
    paper = [("Work order", job.work_order), ("Date", job.date or f"{order.now:%Y-%m-%d}"), ("Shop", job.shop),
             ("Contact", job.shop_contact), ("Prepared by", job.prepared_by)]
    return facts_abreast(vehicle, paper, width)


def _complaint(case: Case) -> list[Flowable]:
    if not (case.job.complaint or "").strip():
        return []
    return [heading("What you told us"), para(f"“{(case.job.complaint or '').strip()}”", "quote")]


def _finding(order: Order, width: float) -> list[Flowable]:
    check = order.check
    why = headline(check, order.system).removeprefix(verdict_label(check.verdict)).lstrip(". ")
    said = [para(PLAINLY[check.verdict], "lead"), *(para(words) for words in (why, how_sure(check)) if words)]
    cost = NOT_SAID if check.verdict is None else LEFT_UNDONE[check.verdict]
    return [room(90), heading("What we found"), boxed(said, width, INK_OF[check.verdict]),
            room(60), heading("What it costs to leave it"), para(cost)]


def _work_done(case: Case) -> list[Flowable]:
    if not (case.job.work_done or "").strip():
        return []
    return [heading("What was done"), para((case.job.work_done or "").strip())]


def _changed(case: Case, width: float) -> list[Flowable]:
    """Before beside after, where both were measured."""
    before, after = case.evidence.before, case.evidence.after
    if before is None or after is None:
        return []
    rows = [(label, _reading(case, "before", before, what), _reading(case, "after", after, what))
            for what, label in CHANGES]
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
