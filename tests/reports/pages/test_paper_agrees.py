"""The paper says what the one conclusion says: invented cases, one of every state and danger that comes up among them,
each as a whole PDF with its short annex, read by pdfium.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import pypdfium2
import pytest
from invented_cases import invented
from told_cases import NOON

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.conclusion import Conclusion, conclude
from engcalc.diagnosis.grounds import Danger, GroundCode
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.words.answer.plainly import NOTHING_LOST, PLAIN, plain
from engcalc.words.answer.reasons import of_the_class, reasons
from engcalc.words.diagnosis.conclusion_words import (
    CAN_FREEZE,
    CAPACITY_QUESTION,
    DANGER_HEADS,
    LEADS,
    STEPS,
    next_step_of,
)
from reports.build import Options, build
from reports.kinds import Annex, ReportKind

WALKED = 40  # of the invented cases, looked through for one of every kind
KINDS = 6  # of state and danger together, that come up among them
HEADS = (*DANGER_HEADS.values(), CAN_FREEZE)


@dataclass(frozen=True, eq=False)
class Paper:
    """A report as it is read: the customer's two pages, and its annex."""

    check: Check
    first: str
    second: str
    annex: str

    @property
    def found(self) -> Conclusion:
        """What is said of the vehicle."""
        return conclude(self.check)


def _kinds() -> Iterator[tuple[int, CaseText]]:
    """The first invented case of every state and danger. No readings are held against healthy vehicles: that is what
    takes the time, and what is said of them has a walk of its own."""
    met: set[tuple[str, str]] = set()
    for told in invented():
        if told.number >= WALKED:
            return
        text = CaseText(told.tree)
        found = conclude(_check(text))
        kind = (found.state.value, found.danger.value)
        if kind not in met:
            met.add(kind)
            yield told.number, text


def _check(text: CaseText) -> Check:
    case = resolve(text)
    assert isinstance(case, Case), case
    return check_with_records(case, {}, members=0).check


@cache
def papers() -> dict[int, Paper]:
    """One report of every kind, built and read once."""
    return {number: _paper(text) for number, text in _kinds()}


def _paper(text: CaseText) -> Paper:
    check = _check(text)
    pdf = build(check, text, ReportKind.CUSTOMER, NOON, Options(annex=Annex.SHORT)).pdf
    document = pypdfium2.PdfDocument(pdf)
    try:
        first, second, *annex = (squeezed(page.get_textpage().get_text_bounded()) for page in document)
    finally:
        document.close()
    return Paper(check, first, second, "".join(annex))


def squeezed(text: str) -> str:
    """Without blanks and line ends: where a line breaks is no matter here."""
    return "".join(text.replace("\ufffe", "-").split())


@pytest.fixture(params=range(KINDS))
def paper(request: pytest.FixtureRequest) -> Paper:
    return list(papers().values())[request.param]


def test_the_walk_meets_every_danger_and_most_states() -> None:
    found = [one.found for one in papers().values()]
    assert len(found) == KINDS
    assert {one.danger for one in found} == set(Danger)
    assert len({one.state for one in found}) >= 4


def test_page_one_has_the_one_lead_and_no_other(paper: Paper) -> None:
    mine = plain(paper.check).lead
    assert squeezed(mine) in paper.first
    others = {lead for lead, _ in LEADS.values()} | {one.lead for one in PLAIN.values()}
    told = [lead for lead in others if lead not in mine and squeezed(lead) in paper.first]
    grounds = " ".join(said for said in (plain(paper.check).if_left,))
    assert [lead for lead in told if lead not in grounds and not _is_a_ground(paper, lead)] == []


def _is_a_ground(paper: Paper, lead: str) -> bool:
    """Whether a lead is the sentence of something else that the conclusion rests on."""
    return any(LEADS[ground.code][0] == lead for ground in paper.found.because if ground.code in LEADS)


def test_the_danger_heads_page_one_or_nothing_does(paper: Paper) -> None:
    wanted = DANGER_HEADS.get(paper.found.danger)
    if paper.found.lead.code is GroundCode.FREEZES:
        wanted = CAN_FREEZE
    before_the_finding = paper.first.split(squeezed("What we found"))[0]
    heads = [head for head in HEADS if squeezed(head) in before_the_finding]
    assert heads == ([] if wanted is None else [wanted])


def test_one_next_step_stands_on_the_two_pages(paper: Paper) -> None:
    step = next_step_of(paper.found)
    both = paper.first + paper.second
    told = {key for key, words in STEPS.items() if squeezed(words.text) in both}
    assert {STEPS[key].text for key in told} == (set() if step is None else {step.text})


def test_nothing_is_lost_only_where_the_answer_is_green(paper: Paper) -> None:
    assert (squeezed(NOTHING_LOST) in paper.first + paper.second) is paper.found.green
    assert "ndersized" not in paper.first + paper.second


def test_what_the_class_would_do_stands_in_the_annex_under_its_own_heading(paper: Paper) -> None:
    of_class = [squeezed(r.text) for r in reasons(paper.check, UnitSystem.SI) if of_the_class(r, paper.check)]
    head = squeezed(CAPACITY_QUESTION)
    why = paper.annex.split(head)[0] if head in paper.annex else paper.annex
    assert not [text for text in of_class if text in paper.first + paper.second]
    if paper.found.of_this_vehicle:
        assert not [text for text in of_class if text in why.split(squeezed("Heat and flow"))[0]]
