"""What the customer tells and what a hand felt, on paper: evidence with its answers, and the caution where it burns."""

from __future__ import annotations

from functools import cache

import pypdfium2
from told_cases import NOON

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.words.diagnosis.told_by_customer import TOO_HOT_CAUTION, told_in_a_line, told_rows
from reports.build import Options, build
from reports.kinds import Annex, ReportKind

HELD = {"what": "heater_inlet_hose", "at": "20 min", "value": "too hot to hold", "instrument": "hand"}
TREE = {
    "format": FORMAT,
    "job": {
        "reason": "no heat",
        "told": {"heater_cold_gauge_normal": True, "steam": False},
        "onset": "sudden",
        "after_work": "coolant",
        "coolant_lost_at": "nowhere seen",
    },
    "evidence": {"before": {"ambient": "0 degC", "spots": [HELD]}},
}


def case_of(job: dict) -> Case:
    case = resolve(CaseText({**TREE, "job": job}))
    assert isinstance(case, Case), case
    return case


@cache
def pages() -> tuple[str, ...]:
    text = CaseText(TREE)
    case = resolve(text)
    assert isinstance(case, Case), case
    check = check_with_records(case, {}, members=0).check
    document = pypdfium2.PdfDocument(build(check, text, ReportKind.CUSTOMER, NOON, Options(annex=Annex.SHORT)).pdf)
    try:
        return tuple(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)
    finally:
        document.close()


def test_page_one_says_what_the_customer_told() -> None:
    told = (
        "The heater is cold while the gauge is normal; it came from one day to the next; it began after the coolant "
        "was changed; coolant goes, and nobody has seen where."
    )
    assert f"What you told us {told}" in pages()[0]


def test_the_annex_lists_what_was_asked_with_its_answers() -> None:
    annex = " ".join(pages()[2:])
    told = annex[annex.index("What the customer tells") :]
    assert "The heater is cold while the gauge is normal yes" in told
    assert "Steam was seen no" in told
    assert "How it came on from one day to the next" in told


def test_what_burns_has_its_caution_where_a_person_acts_and_where_it_stands() -> None:
    assert TOO_HOT_CAUTION in pages()[1]
    assert TOO_HOT_CAUTION in " ".join(pages()[2:])


def test_what_nobody_asked_is_told_nowhere() -> None:
    case = case_of({"reason": "no heat", "after_work": "none"})
    assert told_in_a_line(case) == ""
    assert told_rows(case) == [("After which work", "no work before it")]
    both = case_of({"told": {"heater_cold_gauge_low": True}})
    assert told_in_a_line(both) == "The heater blows cold or lukewarm air and the gauge stays low."
    lost = case_of({"coolant_lost_at": "hose"})
    assert told_in_a_line(lost) == "Coolant is lost at a hose."
