"""The customer's two pages: always two, danger first, no heading alone at a foot, the shop above, the price blank."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from told_cases import CASES, NOON, ToldCase, answered, customer_pages

from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import Danger
from engcalc.errors import InputError
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.conclusion_words import STEPS, next_step_of
from engcalc.words.page.paper_words import FIRST_THE_BOX
from reports.build import Options, build
from reports.kinds import Annex, ReportKind
from reports.letterhead import Letterhead, ShopProfile, letterhead_of, read_letterhead
from reports.raster import Raster
from reports.verifying import VerifyAnswer, verify_report

Texts = Callable[[bytes], list[str]]
COMPLAINTS = (
    "hot at idle, fan still",
    "bubbles, low level, hot, gas",
    "heater cold, gauge normal",
    "repaired and seen",
)


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("told", CASES, ids=[case.name for case in CASES])
def test_a_customer_gets_two_pages(told: ToldCase) -> None:
    first, second = customer_pages(told.name)
    assert "Signature" in second
    for blank in ("Estimate", "Agreed", "customer's signature"):
        assert blank in second
        assert blank not in first


@pytest.mark.parametrize("told", [c for c in CASES if c.danger != "none"], ids=lambda told: told.name)
def test_the_blocks_stand_in_order_with_the_danger_ahead(told: ToldCase) -> None:
    first = customer_pages(told.name)[0]
    blocks = ["Do not drive on" if told.danger == "stop" else "Drive with care", "Date 2026", "What we found"]
    if told.sections["job"].get("complaint"):
        blocks.insert(2, "What you told us")
    places = [first.index(block) for block in blocks]
    assert places == sorted(places)


ENTRIES = (NextStep.ENTER, NextStep.ENTER_DUTIES, NextStep.ENTER_RIG)
TO_BE_ENTERED = tuple(STEPS[step] for step in ENTRIES)  # nobody gets hurt by typing


def test_every_step_at_a_vehicle_has_cautions() -> None:
    assert [step for step in STEPS.values() if not step.cautions] == list(TO_BE_ENTERED)


@pytest.mark.parametrize("told", CASES, ids=[case.name for case in CASES])
def test_wherever_a_person_is_told_to_act_the_cautions_stand_too(told: ToldCase) -> None:
    """On each page by itself: it may be the only one that is read."""
    step = next_step_of(conclude(answered(told.name)[1].check))
    if step is None or step in TO_BE_ENTERED:
        return
    first, second = map(squeezed, customer_pages(told.name))
    danger = conclude(answered(told.name)[1].check).danger is not Danger.NONE
    assert squeezed(step.text) in (first if danger else second), "the box or page two says what is recommended"
    assert (squeezed(FIRST_THE_BOX) in second) is danger
    assert (first + second).count(squeezed(step.text)) == 1, "and it is said once"
    for page in (first, second):
        if squeezed(step.text) in page:
            assert [text for text in step.caution_texts if squeezed(text) not in page] == []


@pytest.mark.parametrize("name", COMPLAINTS)
def test_what_only_the_class_would_do_stands_on_neither_page(name: str) -> None:
    text = " ".join(customer_pages(name))
    for words in ("Would the system hold its duties", "holds in any air", "chance of holding", "settles at"):
        assert words not in text


def test_a_hot_engine_is_explained_and_not_only_called_hot() -> None:
    """Common practice, no source: at a standstill only the fan moves air, combustion gas displaces coolant."""
    assert "only the fan draws air through the radiator" in customer_pages("hot at idle, fan still")[0]
    assert "Gas pockets carry no heat" in customer_pages("bubbles, low level, hot, gas")[0]


TOLD_IN_FULL = {
    "reason": "hot at speed",
    "complaint": "Needle in the red on the motorway. I keep topping it up.",
    "told": {"hot_at_speed": True},
    "coolant_lost_at": "nowhere seen",
}


def test_page_one_has_the_reason_for_the_visit_and_the_customers_own_words(
    subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    one = subject_from({"format": "heatdocket-case/1", "job": TOLD_IN_FULL})
    built = build(one.check, one.text, ReportKind.CUSTOMER, moment, Options(UnitSystem.SI, annex=Annex.NONE))
    first = " ".join(page_texts(built.pdf)[0].split())
    assert "Reason Runs hot under way" in first
    assert TOLD_IN_FULL["complaint"] in first
    assert "It runs hot at speed; coolant goes, and nobody has seen where." in first


def test_a_page_without_a_reason_has_no_blank_for_it() -> None:
    assert "Reason " not in customer_pages("normal, no complaint")[0]


def test_a_repaired_vehicles_page_says_what_was_wrong() -> None:
    assert (
        "Seen before the repair: the radiator fan did not run with the engine hot."
        in customer_pages("repaired and seen")[0]
    )


LONG = "It runs hot on the hill and then the heater blows cold. " * 60
FULL_JOB = dict.fromkeys(
    ("title", "shop", "shop_contact", "customer", "vehicle", "registration", "vin", "odometer", "prepared_by"), LONG
)


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("lines", [1, 6])
def test_however_much_was_typed_it_stays_two_pages(
    subject_from: Any, moment: datetime, page_texts: Texts, system: UnitSystem, lines: int
) -> None:
    words = "\n".join([LONG[:3000]] * lines)
    tree = {
        "format": "heatdocket-case/1",
        "job": {**FULL_JOB, "complaint": words, "work_done": words, "reason": "hot at speed"},
        "evidence": {
            "before": {
                "ambient": "20 degC",
                "spots": [{"what": "coolant", "at": "30 min", "value": "118 degC"}],
                "seen": {"bubbles_when_running": True, "level_low": True, "combustion_gas_found": True},
            }
        },
    }
    one = subject_from(tree)
    pdf = build(one.check, one.text, ReportKind.CUSTOMER, moment, Options(system, annex=Annex.NONE)).pdf
    pages = page_texts(pdf)
    assert len(pages) == 2
    assert "is complete in the case" in pages[0]


def test_a_vehicle_that_is_undersized_gets_the_numbers_and_what_would_help(
    subject_from: Any, moment: datetime, page_texts: Texts
) -> None:
    duty = {"name": "Hill", "vehicle_speed": "90 km/h", "grade": "8 %", "ambient": "38 degC"}
    one = subject_from({"format": "heatdocket-case/1", "duties": [duty], "radiator": {"blocked_face": "70 %"}})
    first = page_texts(build(one.check, one.text, ReportKind.CUSTOMER, moment).pdf)[0]
    told = re.search(r"The radiator gets about (\d+) kW. At the limit it gives off about (\d+) kW", first)
    assert told is not None
    assert int(told[2]) < int(told[1])


# ---- the annex -------------------------------------------------------------------------------------------------------


@cache
def with_annex(name: str, annex: Annex) -> tuple[str, ...]:
    text, whole = answered(name)
    pdf = build(whole.check, text, ReportKind.CUSTOMER, NOON, Options(annex=annex)).pdf
    document = pypdfium2.PdfDocument(pdf)
    return tuple(" ".join(page.get_textpage().get_text_bounded().split()) for page in document)


SHORT_HEADS = ("Why we say so", "What we measured and saw", "Heat and flow", "Inputs and where", "Sources", "Cautions")
FULL_HEADS = ("Operating points", "Working", "Assumptions", "For odds and spreads", "Filled in, not typed")


def test_the_annex_is_none_short_or_full() -> None:
    name = "hot at idle, fan still"
    none, short, full = (with_annex(name, annex) for annex in Annex)
    assert len(none) == 2 < len(short) < len(full)
    assert none == tuple(page.replace(f"of {len(short)}", "of 2") for page in short[:2])
    assert all(head in " ".join(short[2:]) for head in SHORT_HEADS)
    assert all(head in " ".join(full[2:]) for head in (*SHORT_HEADS, *FULL_HEADS))
    assert not any(head in " ".join(short) for head in FULL_HEADS)
    assert "Would the system hold its duties?" in " ".join(short[2:])


HEART = (
    "Heat to the coolant",
    "Heat given off by the heater",
    "Rise across the engine",
    "Coolant through the engine",
    "Coolant through the radiator",
    "Effectiveness",
    "Number of transfer units",
    "Conductance of the radiator",
    "What limits it",
)


@pytest.mark.parametrize("kind", ReportKind)
@pytest.mark.parametrize("annex", [Annex.SHORT, Annex.FULL])
def test_every_kind_shows_the_heart_of_the_work(
    kind: ReportKind, annex: Annex, report: Callable[..., bytes], page_texts: Texts
) -> None:
    text = " ".join(page_texts(report("van-no-heat", kind, UnitSystem.SI, False, annex)))
    heart = text[text.index("Heat and flow") :]
    assert all(words in heart for words in HEART)


def test_a_lesson_shows_each_point_with_its_uncertainty_and_its_working(
    report: Callable[..., bytes], page_texts: Texts, example: Any
) -> None:
    text = " ".join(page_texts(report("bench-exchanger", ReportKind.LESSON)))
    assert "The cooling system holds" not in text
    assert "Nothing is lost" not in text
    assert "What was measured and what the dimensions give agree." in text
    heart = text[text.index("Measured points") :]
    for point in example("bench-exchanger").check.rig:
        assert f"{point.UA.measured:.3g} W/K ± {point.UA.uncertainty:.2g} W/K" in heart
        assert f"{100.0 * point.balance:.2g}" in heart
    assert "Working of measured point 1" in text
    assert "The other points are worked in the same way: 2, 3, 4." in text  # they agree
    assert "does not come out" not in text


# ---- how it ran, what was looked at ----------------------------------------------------------------------------------


def test_the_evidence_tells_how_it_ran_and_what_was_looked_at() -> None:
    text = " ".join(with_annex("hot at idle, fan still", Annex.SHORT))
    assert "How it ran standing still, engine running" in text
    assert "The radiator fan runs when the engine is hot no" in text
    assert "Not so:" not in text
    assert "As found" in text


@pytest.mark.parametrize("name", ["van-no-heat", "repaired", "tow-and-track", "bench-exchanger"])
@pytest.mark.parametrize("kind", ReportKind)
def test_no_page_ends_with_a_heading(name: str, kind: ReportKind, report: Callable[..., bytes]) -> None:
    """By the outline: beneath the place to which each entry leads there is text before the running foot."""
    pdf = report(name, kind)
    document = pypdfium2.PdfDocument(pdf)
    headings = {entry.get_title() for entry in document.get_toc()}
    for page in document:
        height = page.get_height()
        body = page.get_textpage().get_text_bounded(bottom=80.0, top=height - 80.0)
        lines = [line.strip() for line in body.splitlines() if line.strip()]
        assert not lines or lines[-1] not in headings, lines[-1]
    document.close()


# ---- letterhead ------------------------------------------------------------------------------------------------------


def logo_file(path: Path, size: tuple[int, int] = (600, 200), **options: Any) -> Path:
    from PIL import Image

    Image.new("RGBA", size, (20, 80, 120, 255)).convert(options.pop("mode", "RGBA")).save(path, **options)
    return path


def test_a_letterhead_from_a_file_heads_the_page_with_its_logo(
    tmp_path: Path, example: Any, moment: datetime, page_texts: Texts
) -> None:
    logo_file(tmp_path / "logo.png")
    shop = tmp_path / "shop.json"
    shop.write_text(json.dumps({"name": "Example Works", "contact": "1 Lane\n555 0100", "logo": "logo.png"}))
    one = example("van-no-heat")
    options = Options(letterhead=read_letterhead(shop))
    pdf = build(one.check, one.text, ReportKind.CUSTOMER, moment, options).pdf
    first = page_texts(pdf)[0]
    assert first.index("Example Works") < first.index("Delivery van, no heat in frost")
    assert "555 0100" in first
    assert "Example Garage" not in first, "the case's own shop stands back"
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        shown = [x for x in opened.pages[0].resources.XObject.values() if x.Subtype == "/Image"]
        assert [(int(x.Width), int(x.Height)) for x in shown] == [(600, 200)]


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda p: logo_file(p, (8, 8), format="PNG"), "at least 16 each way"),
        (lambda p: logo_file(p, (15, 300), format="PNG"), "at least 16 each way"),
        (lambda p: logo_file(p, (330, 32), format="PNG"), "more than 10 times"),
        (lambda p: logo_file(p, (5001, 5000), format="PNG"), "too many pixels"),
        (lambda p: logo_file(p, (100, 100), format="GIF", mode="P"), "cannot be read as a JPEG or PNG"),
        (lambda p: p.write_text("<svg/>"), "cannot be read as a JPEG or PNG"),
        (lambda p: p.write_bytes(bytes((5 << 20) + 1)), "larger than 5 MB"),
        (lambda _: None, "there is no such file"),
    ],
)
def test_a_logo_out_of_bounds_is_refused_in_words(tmp_path: Path, make: Callable[[Path], Any], said: str) -> None:
    make(tmp_path / "logo.png")
    with pytest.raises(InputError, match=said) as refused:
        letterhead_of(ShopProfile("Example Works", "", tmp_path / "logo.png"))
    assert refused.value.faults[0].path == "letterhead.logo"
    assert "PNG or JPEG file of at most 5 MB" in refused.value.faults[0].wanted


def test_logos_at_the_bounds_are_taken_and_made_small(tmp_path: Path) -> None:
    for size, kept in (((16, 16), (16, 16)), ((320, 32), (320, 32)), ((1800, 600), (900, 300))):
        found = letterhead_of(ShopProfile("Example Works", "", logo_file(tmp_path / "logo.png", size)))
        assert isinstance(found, Letterhead)
        assert isinstance(found.logo, Raster)
        assert (found.logo.width, found.logo.height) == kept


@pytest.mark.parametrize(
    ("content", "paths"),
    [
        ("[]", ["letterhead"]),
        ("{", ["letterhead"]),
        ('{"name": "A", "colour": "red", "contact": 5}', ["letterhead.colour", "letterhead.contact"]),
        ('{"contact": "1 Lane"}', ["letterhead.name"]),
        (json.dumps({"name": "A" * 81, "contact": "x\n" * 5}), ["letterhead.name", "letterhead.contact"]),
        (json.dumps({"name": "A", "contact": "x" * 241}), ["letterhead.contact"]),
    ],
)
def test_every_fault_of_a_letterhead_is_named(tmp_path: Path, content: str, paths: list[str]) -> None:
    file = tmp_path / "shop.json"
    file.write_text(content)
    with pytest.raises(InputError) as refused:
        read_letterhead(file)
    assert [fault.path for fault in refused.value.faults] == paths


def test_an_anonymised_report_has_no_letterhead(example: Any, moment: datetime, page_texts: Texts) -> None:
    one = example("van-no-heat")
    options = Options(anonymised=True, letterhead=Letterhead("Example Works"))
    assert "Example Works" not in " ".join(
        page_texts(build(one.check, one.text, ReportKind.CUSTOMER, moment, options).pdf)
    )


def test_the_signature_on_page_two_verifies(example: Any, author: Any, moment: datetime, tmp_path: Path) -> None:
    from poppler import pdfsig

    from reports.build import export_report

    one, path = example("repaired"), tmp_path / "report.pdf"
    options = Options(
        annex=Annex.NONE, letterhead=letterhead_of(ShopProfile("Works", "", logo_file(tmp_path / "l.png")))
    )
    export_report(one.check, one.text, ReportKind.CUSTOMER, path, now=moment, identity=author, options=options)
    assert verify_report(path.read_bytes()).outcome is VerifyAnswer.PASSED
    assert "Signature is Valid" in pdfsig(path)


def test_a_rig_has_a_heater_and_no_engine(report: Callable[..., bytes], page_texts: Texts) -> None:
    text = " ".join(page_texts(report("bench-exchanger", ReportKind.LESSON)))
    tables = text[: text.index("Working of measured point 1")]
    assert "Rise across the rig's heater" in tables
    for words in ("Coolant out of the engine", "through the engine", "Heat from the fuel"):
        assert words not in tables
    for words in ("Heat from the fuel", "Engine: fuel", "Engine: displacement", "Cabin volume", "stamped rating"):
        assert words not in text
