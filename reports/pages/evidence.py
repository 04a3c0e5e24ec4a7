"""What was measured and seen, beside what a healthy vehicle shows."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.case.records import (
    AUXILIARY_HEATERS,
    DRIVING,
    INSTRUMENTS,
    SEEN_FACTS,
    SPOT_PLACES,
    SURFACES,
    Record,
    Spot,
)
from engcalc.diagnosis.conclusion import conclude
from engcalc.studies.readings import ReadingCheck
from engcalc.verdict import FindingCode, FindingLevel, Verdict
from engcalc.words.answer.reasons import Reason, reasons
from engcalc.words.answer.warmup_words import TITLES
from engcalc.words.diagnosis.codes import code_sentence
from engcalc.words.diagnosis.told_by_customer import TOO_HOT_CAUTION, burns, told_rows
from engcalc.words.page.paper_words import CUSTOMER_TELLS, TOLD_HEAD
from engcalc.words.terms.gathering import gathered
from engcalc.words.terms.numbers import capital
from engcalc.words.texts import page_texts
from engcalc.words.workshop.live_words import heater_words
from reports.kinds import Order, ReportKind
from reports.layout import HeadedTable, bullets, facts, grid, para, subheading
from reports.pages.one_picture import shows_readings
from reports.pages.pictures import figures
from reports.pages.values import as_given, label_of, pretty, whole
from reports.plots.registry import ChosenDuty, Paper

ELSEWHERE = ("outside_range", "speed_guessed")  # codes of reasons that stand with the uncertainty, the assumptions
SAID_OF_EACH = (  # codes of reasons that page one of a sizing report says in the sentence of each duty
    "holds",
    FindingCode.OVER_LIMIT.value,
    FindingCode.BOILS.value,
)
MOST_STAGES = 4  # of how it ran, that are told one by one
LOOKED_AT_HEAD = (page_texts.WHAT_WAS_LOOKED_AT, "Found")


def evidence_part(order: Order, width: float) -> list[Flowable]:
    """Readings, codes and what was seen; empty for a case without records."""
    records = {"before": order.check.case.evidence.before, "after": order.check.case.evidence.after}
    parts = [
        part for name, record in records.items() if record is not None for part in _record(order, name, record, width)
    ]
    told = _told_by_customer(order, width)
    if not parts:
        return told
    if not shows_readings(order):
        parts += figures(Paper.READINGS, ChosenDuty(order.check, None), order.system, width)
    return [*told, *parts]


def _told_by_customer(order: Order, width: float) -> list[Flowable]:
    """What the customer was asked and answered: evidence too, for it moves the odds."""
    rows = told_rows(order.check.case)
    return [subheading(CUSTOMER_TELLS), grid(HeadedTable(TOLD_HEAD, rows, shares=(0.6, 0.4)), width)] if rows else []


def reasons_part(order: Order, _width: float) -> list[Flowable]:
    """Why the answer is what it is, in sentences.

    Of a vehicle that was brought or read, what its duties would do stands apart (:func:`duties_part`).
    """
    apart = stands_apart(order)
    return _sentences(order, [r for r in _reasons_to_tell(order) if not (apart and _of_a_duty(order, r))])


def duties_part(order: Order, _width: float) -> list[Flowable]:
    """Whether the system would hold its duties: what the class alone would do, never this vehicle's verdict."""
    if not stands_apart(order):
        return []
    return _sentences(order, [r for r in _reasons_to_tell(order) if _of_a_duty(order, r)])


def stands_apart(order: Order) -> bool:
    """Whether a complaint or something read or seen carries the report, not the duties."""
    return conclude(order.check).of_this_vehicle


def _of_a_duty(order: Order, reason: Reason) -> bool:
    return reason.about in {duty.name for duty in order.check.duties}


def _reasons_to_tell(order: Order) -> list[Reason]:
    """A sizing report says of each duty on its first page whether it holds; here that would only be said again. A
    customer whose system is short of something is told what weighs, and no notes."""
    customer = order.kind is ReportKind.CUSTOMER
    all_well = order.check.verdict in (Verdict.HOLDS, None)
    least = FindingLevel.NOTE if all_well or not customer else FindingLevel.CAUTION
    weights = tuple(FindingLevel)
    elsewhere = ELSEWHERE if customer else (*ELSEWHERE, *SAID_OF_EACH)
    return [
        r
        for r in reasons(order.check, order.system)
        if weights.index(r.severity) <= weights.index(least) and r.code not in elsewhere
    ]


def _sentences(order: Order, told: list[Reason]) -> list[Flowable]:
    return bullets([r.text for r in gathered(told, [duty.name for duty in order.check.duties])])


def _record(order: Order, name: str, record: Record, width: float) -> list[Flowable]:
    case = order.check.case
    path = f"evidence.{name}"
    seen = [(capital(SEEN_FACTS[fact]), "yes" if so else "no") for fact, so in record.seen.items()]
    curve = [[f"{minutes / 60:g} min", whole(kelvin, order.system)] for minutes, kelvin in record.curve]
    return [
        subheading(TITLES[name]),
        *facts(
            [
                ("Outside", as_given(case, f"{path}.ambient", order.system)),
                ("Stood before", as_given(case, f"{path}.soak", order.system)),
                ("Coolant at start", as_given(case, f"{path}.start_temperature", order.system)),
                ("How it ran", _how_it_ran(order, path, record)),
                ("Engine at halts", _AT_HALTS.get(record.engine_off_phases, "")),
                ("Heater", heater_words(record)),
                ("Block heater", _block_heater(order, path, record)),
                ("Auxiliary heater", _auxiliary_heater(order, path, record)),
                ("Trouble codes", ", ".join(record.codes)),
            ],
            width,
        ),
        *_spots(order, name, record, width),
        *([para(TOO_HOT_CAUTION, "small")] if burns(record) else []),
        *([grid(HeadedTable(LOOKED_AT_HEAD, seen, shares=(0.76, 0.24)), width)] if seen else []),
        *bullets([code_sentence(code) for code in record.codes]),
        *([grid(HeadedTable(("Time since start", "Coolant"), curve, shares=(0.3, 0.7)), width)] if curve else []),
    ]


_AT_HALTS = {"yes": "stops by itself", "no": "keeps running"}


def _how_it_ran(order: Order, path: str, record: Record) -> str:
    """From the start up to the readings: by its log, by stages, or in a word; empty where nobody noted it."""
    if record.log is not None:
        return page_texts.AS_LOGGED_IN.format(file=record.log.file)
    if record.schedule:
        count = len(record.schedule)
        if count > MOST_STAGES:
            return page_texts.AS_ENTERED_IN_STAGES.format(count=count)
        return "; ".join(_stage(order, f"{path}.schedule[{i}]") for i in range(count))
    return "" if record.driving == "unknown" else DRIVING[record.driving]


def _stage(order: Order, path: str) -> str:
    """One stage as it was typed."""
    case = order.check.case
    typed = [p for p, given in case.given.items() if p.startswith(f"{path}.") and given.typed]
    return ", ".join(f"{label_of(p).lower()} {as_given(case, p, order.system)}" for p in typed)


def _block_heater(order: Order, path: str, record: Record) -> str:
    """Whether it was used, and for how long; empty where nobody noted it."""
    if record.block_heater != "yes":
        return "" if record.block_heater == "unknown" else "not used"
    time = as_given(order.check.case, f"{path}.block_heater_time", order.system)
    return page_texts.PLUGGED_IN_FOR.format(time=time) if time else "used"


def _auxiliary_heater(order: Order, path: str, record: Record) -> str:
    """Which ran, and for how long before the start; empty where nobody noted it."""
    if record.auxiliary_heater == "unknown":
        return ""
    time = as_given(order.check.case, f"{path}.coolant_heater_time", order.system)
    ran = AUXILIARY_HEATERS[record.auxiliary_heater]
    return page_texts.FOR_BEFORE_THE_START.format(ran=ran, time=time) if time else ran


def _spots(order: Order, name: str, record: Record, width: float) -> list[Flowable]:
    if not record.spots:
        return []
    checks = {check.path: check for check in (*order.check.history, *order.check.readings)}
    rows = [_row(order, f"evidence.{name}.spots[{i}]", spot, checks) for i, spot in enumerate(record.spots)]
    head = ("What", "When", "Read", "With", page_texts.HEALTHY_VEHICLE_SHOWS)
    shares = (0.24, 0.12, 0.12, 0.22, 0.30)
    return [grid(HeadedTable(head, rows, shares=shares), width), *_notes(record)]


def _row(order: Order, path: str, spot: Spot, checks: dict[str, ReadingCheck]) -> tuple[str, ...]:
    case = order.check.case
    check = checks.get(path)
    when = pretty(case.given[f"{path}.at"].text) if spot.at is not None else ""
    return (
        capital(SPOT_PLACES[spot.what]),
        when,
        as_given(case, f"{path}.value", order.system),
        _instrument(spot),
        "" if check is None else _expected(order, check),
    )


def _expected(order: Order, check: ReadingCheck) -> str:
    low, high = (whole(kelvin, order.system) for kelvin in (check.expected_low, check.expected_high))
    return low if low == high else page_texts.RANGE_OF_NINE_IN_TEN.format(low=low, high=high)


def _instrument(spot: Spot) -> str:
    said = INSTRUMENTS[spot.instrument]
    return said if spot.surface == "none" else f"{said}, {SURFACES[spot.surface]}"


def _notes(record: Record) -> list[Flowable]:
    return [para(f"{capital(SPOT_PLACES[spot.what])}: {spot.note}", "small") for spot in record.spots if spot.note]
