"""The customer's report: two pages. What was found and how sure; then what to do, what was done, price and signature.

Each page is made several times, from the fullest to the tightest, and the first that fits is taken: pictures become
smaller before long texts are cut short. What is cut stands whole in the case that the file carries.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.platypus.flowables import Flowable

from engcalc.case.case import Case
from engcalc.case.records import SEEN_FACTS, SPOT_PLACES, Record, Spot
from engcalc.diagnosis.checks.hand_checks import CHECKS, HandCheck
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Danger, GroundCode, VehicleState
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.units import UnitSystem
from engcalc.verdict import Verdict
from engcalc.words.answer.answer import (
    capacity_sentence,
    capacity_stands_beside,
    carrying,
    comes_before_odds,
    first_sentences,
    read_beside,
    speaks_for_the_class,
    speaks_of,
)
from engcalc.words.answer.explained import why_hot
from engcalc.words.answer.how_sure import how_sure
from engcalc.words.answer.plainly import beside_lead, plain
from engcalc.words.diagnosis.causes import check_cautions, check_title, made_sentence
from engcalc.words.diagnosis.causes_told import next_by_odds
from engcalc.words.diagnosis.conclusion_words import CAPACITY_QUESTION, next_step_of
from engcalc.words.diagnosis.own_history_words import own_history_start
from engcalc.words.diagnosis.proof_words import proof_sentence
from engcalc.words.diagnosis.seen_words import NOT_SEEN
from engcalc.words.diagnosis.told_by_customer import told_in_a_line, too_hot_cautions
from engcalc.words.diagnosis.what_follows import checks_after, proof_after, proof_cautions, watched_for
from engcalc.words.page.paper_words import (
    BEFORE_AND_AFTER,
    CUT,
    DONE,
    FIRST_THE_BOX,
    FOUND,
    IF_LEFT,
    NEXT_CHECK,
    PRICE,
    PRICE_BLANKS,
    RECOMMENDED,
    SEEN_BEFORE,
    TOLD,
    YES_NO,
)
from engcalc.words.terms.numbers import capital, lowered
from engcalc.words.texts import page_texts
from reports.kinds import Order
from reports.layout import (
    HeadedTable,
    blanks,
    boxed,
    bullets,
    grid,
    heading,
    height_of,
    new_page,
    para,
    space,
    subheading,
    together,
)
from reports.pages.causes import customer_part
from reports.pages.front import GROUNDS_TOLD, LONGEST_FACT, head_part
from reports.pages.one_picture import one_picture
from reports.pages.photos import photo
from reports.pages.signature import SignatureBoxes, of_order, signed_block
from reports.pages.values import as_given, pretty
from reports.pages.verdicts import ink_of
from reports.texts import cut

HOSES = ("upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose")
CHANGES = (
    ("coolant", "Coolant temperature"),
    ("vent", page_texts.AIR_FROM_THE_VENTS),
    ("cabin", page_texts.AIR_IN_THE_CABIN),
    *((place, capital(SPOT_PLACES[place])) for place in HOSES),
)


@dataclass(frozen=True)
class Tightness:
    """How tightly a page is set: what part of its width a picture takes, how many characters a typed text keeps, how
    many of the checks after the next step are told in full, and whether there is room for what follows at all and for
    what the driver watches for."""

    picture: float
    longest: int
    checks: int
    follows: bool = True
    watched: bool = True


FURTHER_CHECKS = 4  # that are named at most after the next step
FEW_FROM = 0.7  # part of the width, from which down a picture has one reading for each place and record
EDGE = 2.0  # pt left free at the foot, for what rounding adds
FITS = (
    Tightness(1.0, 1500, 4),
    Tightness(0.85, 1500, 4),
    Tightness(0.7, 900, 3),
    Tightness(0.6, 500, 2),
    Tightness(0.5, 240, 1),
    Tightness(0.5, 240, 0),
    Tightness(0.0, 120, 0),
    Tightness(0.0, 120, 0, watched=False),
    Tightness(0.0, 120, 0, follows=False, watched=False),
)


def customer_pages(order: Order, boxes: SignatureBoxes, width: float, height: float) -> list[Flowable]:
    """Both pages, each on its own; ``width`` and ``height`` [pt] of the room between the margins. The picture that
    carries the report stands on page two where page one has no room for it. What the driver watches for stands beneath
    what comes of leaving the vehicle as it is, where page one has room for both."""
    for one in (*((fit, True) for fit in FITS[:3]), *((fit, False) for fit in FITS)):
        fit, tells_if_left = one
        first = [*_page_one(order, width, fit), *(_if_left(order) if tells_if_left else [])]
        if height_of(first, width) <= height - EDGE:
            break
    watched = _watched_for(order)
    beneath = [*first, *watched]
    if tells_if_left and height_of(beneath, width) <= height - EDGE:
        first, watched = beneath, []
    for fit_two in FITS:
        left = [] if tells_if_left else _if_left(order)
        shown = one_picture(order, width * fit_two.picture) if not fit.picture and fit_two.picture else []
        above, foot = [*left, *shown, *_page_two(order, width, fit_two, watched)], _foot(order, boxes, width)
        spare = height - EDGE - height_of([*above, space(1.0), *foot], width)
        if spare >= 0.0:
            break
    return [together(first), new_page(), together([*above, space(max(spare, 1.0)), *foot])]


# ---- page one: what was found ----------------------------------------------------------------------------------------


def _page_one(order: Order, width: float, fit: Tightness) -> list[Flowable]:
    case = order.check.case
    return [
        *head_part(order, width, min(LONGEST_FACT, fit.longest // 2)),
        *_complaint(case, fit),
        *_finding(order, width),
        *_seen_before(order),
        *_duties_apart(order),
        *(one_picture(order, width * fit.picture, few=fit.picture <= FEW_FROM) if fit.picture else []),
    ]


def _complaint(case: Case, fit: Tightness) -> list[Flowable]:
    words, told = (case.job.complaint or "").strip(), told_in_a_line(case)
    quoted = _typed(f"“{words}”", fit, "quote") if words else []
    said = [*quoted, *([para(told)] if told else [])]
    return [heading(TOLD), *said] if said else []


def _typed(words: str, fit: Tightness, name: str = "body") -> list[Flowable]:
    """What a person typed, cut short where there is no room for all of it."""
    if len(words) <= fit.longest and words.count("\n") <= fit.longest // 100:
        return [para(words, name)]
    return [para(cut(words, fit.longest), name), para(CUT, "small")]


def _finding(order: Order, width: float) -> list[Flowable]:
    """What was found and why, with how sure.

    A danger or a fault that was found is told by itself: odds stand in the annex.
    """
    check = order.check
    found = conclude(check)
    causes = [] if found.outranks else customer_part(order)
    sure = "" if causes else beside_lead(check) or how_sure(check)
    # where a danger heads the page, its grounds stand there already
    grounds = "" if found.danger is not Danger.NONE else " ".join(_grounds(order))
    words = (first_sentences(grounds), read_beside(check, order.system), why_hot(check, order.system), sure)
    said = [para(plain(check).lead, "lead"), *causes, *(para(text) for text in words if text)]
    return [heading(FOUND), boxed(said, width, ink_of(check))]


def _grounds(order: Order) -> tuple[str, ...]:
    """What carries it, without the sentence that the lead or the causes say already."""
    told = carrying(order.check, order.system)[:GROUNDS_TOLD]
    lead = conclude(order.check).lead
    causes_say_it = lead.odds is not None and order.diagnosis is not None
    return told[1:] if causes_say_it or lead.code is GroundCode.WARM_ENGINE else told


def _seen_before(order: Order) -> list[Flowable]:
    """Of a vehicle that is repaired and healthy, what was seen before."""
    before = order.check.case.evidence.before
    if before is None or not _is_mended(order):
        return []
    seen = [SEEN_FACTS[fact] if is_so else NOT_SEEN.get(fact, "") for fact, is_so in before.seen.items()]
    told = "; ".join(said for said in seen if said)
    return [para(SEEN_BEFORE.format(seen=told))] if told else []


def _is_mended(order: Order) -> bool:
    found = conclude(order.check)
    return found.repaired and found.state is VehicleState.HEALTHY


def _duties_apart(order: Order) -> list[Flowable]:
    """That a healthy vehicle would not hold one of its duties: under its own name, for it is another question."""
    found = conclude(order.check)
    if found.state is not VehicleState.HEALTHY or not capacity_stands_beside(found):
        return []
    if found.capacity in (None, Verdict.HOLDS):
        return []
    said = capacity_sentence(order.check, order.system).removeprefix(CAPACITY_QUESTION).strip()
    return [together([subheading(CAPACITY_QUESTION), para(said)])] if said else []


def _if_left(order: Order) -> list[Flowable]:
    if _is_mended(order) and conclude(order.check).lead.code is not GroundCode.READ_ONCE:
        return []
    return [heading(IF_LEFT), para(plain(order.check).if_left)]


# ---- page two: what to do, what was done -----------------------------------------------------------------------------


def _page_two(order: Order, width: float, fit: Tightness, watched: Sequence[Flowable]) -> list[Flowable]:
    """``watched``: what the driver watches for, where page one had no room for it."""
    return [
        *_work_done(order.check.case, fit),
        *_changed(order, width),
        *_recommended(order),
        *(_what_follows(order, fit.checks) if fit.follows else []),
        *(watched if fit.watched else []),
        *(photo(order, width, fit.picture) if fit.picture else []),
    ]


def _foot(order: Order, boxes: SignatureBoxes, width: float) -> list[Flowable]:
    """The foot of page two: room for the price, and the signature."""
    return [heading(PRICE), blanks(PRICE_BLANKS, width), *signed_block(of_order(order), boxes, width)]


def _recommended(order: Order) -> list[Flowable]:
    """The next check with its cautions. What a danger asks for stands in the box on page one, said once."""
    box = conclude(order.check).danger is not Danger.NONE
    said = [*dict.fromkeys((*_next_lines(order, box=box), *too_hot_cautions(order.check.case)))]
    first = [para(FIRST_THE_BOX, "strong")] if box else []
    then = [para(said[0]), *bullets(said[1:])] if said else []
    return [heading(RECOMMENDED), *first, *then] if first or then else []


def _what_follows(order: Order, many: int) -> list[Flowable]:
    """After the next step: so many checks in full, what proves the repair, and what to mind besides."""
    check = order.check
    if speaks_for_the_class(conclude(check)):
        return []
    checks = _further_checks(order)
    told = [made_sentence(one, check.case) for one in checks[:many]]
    if left := "; ".join(lowered(check_title(one)) for one in checks[many:]):
        told.append(page_texts.THEN_THESE.format(checks=left) if told else f"{capital(left)}.")
    proof = proof_after(check, order.system)
    return [
        *([subheading(page_texts.AFTER_THE_NEXT_STEP)] if told else []),
        *(para(text) for text in told),
        *([together([subheading(page_texts.PROOF_AFTER_THE_REPAIR), para(proof)])] if proof else []),
        *bullets(_minded_besides(order, checks[:many])),
    ]


def _watched_for(order: Order) -> list[Flowable]:
    """What the driver watches for meanwhile, or from now on."""
    if speaks_for_the_class(conclude(order.check)):
        return []
    title, signs = watched_for(order.check)
    return [together([subheading(title), *bullets(signs)])] if signs else []


def _further_checks(order: Order) -> tuple[HandCheck, ...]:
    """The checks after the next step; none where no cause is looked for."""
    found, case, odds = conclude(order.check), order.check.case, order.diagnosis
    if not found.looked_for:
        return ()
    speaks = odds is not None and speaks_of(order.check, odds.record)
    checks = checks_after(found, case, odds if speaks else None)
    if odds is not None and _odds_ask(order, odds):
        asked = next_by_odds(odds)
        checks = tuple(one for one in checks if asked is None or one.key != asked.key)
    return checks[:FURTHER_CHECKS]


def _minded_besides(order: Order, checks: Sequence[HandCheck]) -> list[str]:
    """Cautions of the proof and of these checks that do not stand with the next step."""
    case = order.check.case
    step = next_step_of(conclude(order.check))
    in_the_box = () if step is None else step.caution_texts
    said = {
        *in_the_box,
        *too_hot_cautions(case),
        *_next_lines(order, box=conclude(order.check).danger is not Danger.NONE),
    }
    of_checks = (text for one in checks for text in check_cautions(one.key, case))
    return [text for text in dict.fromkeys((*proof_cautions(order.check), *of_checks)) if text not in said]


def _next_lines(order: Order, *, box: bool) -> Iterator[str]:
    """What to do next, then what to mind. Where there are odds, they name it; ``box``: the first heads page one."""
    found = conclude(order.check)
    odds = order.diagnosis
    if odds is not None and _odds_ask(order, odds):
        yield from _next_by_odds(odds)
        return
    if box:
        return
    step = next_step_of(found)
    if step is None or speaks_for_the_class(found):
        return
    yield step.text
    yield from step.caution_texts


def _odds_ask(order: Order, odds: Diagnosis) -> bool:
    """Whether the odds name the next step: no danger, no fault that was found and no settled cause does."""
    outranked = conclude(order.check).outranks or comes_before_odds(order.check, odds.record) is not None
    return speaks_of(order.check, odds.record) and not outranked


def _next_by_odds(diagnosis: Diagnosis) -> Iterator[str]:
    check = next_by_odds(diagnosis)
    if check is not None:
        yield NEXT_CHECK.format(check=made_sentence(CHECKS[check.key], diagnosis.case))
        if start := own_history_start(diagnosis):
            yield start
        yield from check_cautions(check.key, diagnosis.case)


def _work_done(case: Case, fit: Tightness) -> list[Flowable]:
    words = (case.job.work_done or "").strip()
    return [heading(DONE), *_typed(words, fit)] if words else []


def _changed(order: Order, width: float) -> list[Flowable]:
    """What changed: one sentence where there are two courses in time, and what was read before and after."""
    case = order.check.case
    both = None if order.records is None else order.records.both
    rows = _readings_of_both(case, order.system)
    said: list[Flowable] = [] if both is None else [para(proof_sentence(both, order.system), "strong")]
    if rows:
        said.append(grid(HeadedTable(("Measured", "Before", "After"), rows, shares=(0.4, 0.3, 0.3)), width))
    return [heading(BEFORE_AND_AFTER), *said] if said else []


def _readings_of_both(case: Case, system: UnitSystem) -> list[tuple[str, str, str]]:
    before, after = case.evidence.before, case.evidence.after
    if before is None or after is None:
        return []
    rows = [
        (label, _reading(case, "before", before, what, system), _reading(case, "after", after, what, system))
        for what, label in CHANGES
    ]
    looked_at = [
        (capital(SEEN_FACTS[fact]), YES_NO[so], YES_NO[after.seen[fact]])
        for fact, so in before.seen.items()
        if after.seen.get(fact, so) is not so
    ]
    return [*(row for row in rows if row[1] and row[2]), *looked_at]


def _reading(case: Case, record_name: str, record: Record, what: str, system: UnitSystem) -> str:
    """The latest reading of this in a record, as it was read, with its time."""
    found = [(i, spot) for i, spot in enumerate(record.spots) if spot.what == what]
    if not found:
        return ""
    index, spot = max(found, key=lambda pair: _minutes(pair[1]))
    path = f"evidence.{record_name}.spots[{index}]"
    said = as_given(case, f"{path}.value", system)
    return f"{said} after {pretty(case.given[f'{path}.at'].text)}" if spot.at is not None else said


def _minutes(spot: Spot) -> float:
    return -1.0 if spot.at is None else float(spot.at[0])
