"""Refill and bleed on paper: the entries, the answers of the engine, the maker's data first, cautions at the steps."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from engcalc.units import UnitSystem
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.workshop.refill_words import MAKERS_FIRST, refill_parts, refill_steps
from reports.build import Options, build
from reports.kinds import Annex, ReportKind

TREE = {
    "format": "heatdocket-case/1",
    "vehicle": {"class": "small car"},
    "duties": [{"vehicle_speed": "60 km/h", "fan": "on"}],  # one that is soon sized
    "coolant": {"volume": "10 L"},
    "refill": {"drained": "4 L", "filled": "3.5 L", "target": "45 %", "fill": "vacuum"},
}


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("kind", list(ReportKind))
def test_what_was_entered_and_all_that_is_said_stands_on_paper(
    kind: ReportKind, subject_from: Any, moment: datetime, page_texts: Any
) -> None:
    one = subject_from(TREE)
    text = squeezed(" ".join(page_texts(build(one.check, one.text, kind, moment, Options(annex=Annex.FULL)).pdf)))
    begins = text.index(squeezed("Refill and bleed " + MAKERS_FIRST))
    told = text[begins : text.index(squeezed("Inputs and where they come from"), begins)]
    for said in ("Already drained or lost 4 L", "Filled in so far 3.5 L", "Filled by vacuum"):
        assert squeezed(said) in told
    for sentences in refill_parts(one.check.refill, UnitSystem.SI).values():
        for sentence in sentences:
            assert squeezed(sentence) in told
    for number, step in enumerate(refill_steps(one.check.refill), 1):
        at = told.index(squeezed(f"{number}. {step.text}"))
        for key in step.cautions:
            assert squeezed(CAUTION_TEXTS[key]) in told[at:]


def test_a_case_without_a_refill_has_no_such_part(subject_from: Any, moment: datetime, page_texts: Any) -> None:
    one = subject_from({k: v for k, v in TREE.items() if k != "refill"})
    text = " ".join(page_texts(build(one.check, one.text, ReportKind.CUSTOMER, moment).pdf))
    assert "Refill and bleed" not in text
