"""Text that people type: the page shows every character, within the frame, and nothing of it is markup."""

from __future__ import annotations

import doctest
import unicodedata
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pypdfium2
import pytest
from hypothesis import example as also
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfbase.pdfmetrics import stringWidth

from engcalc.units import unbroken
from reports import fonts, formulas, texts
from reports.build import build
from reports.kinds import ReportKind
from reports.layout import MARGIN
from reports.pages import values
from reports.texts import MOST_LINE_ENDS, markup, plain, printable, shortened

ANYTHING = st.text(st.characters(exclude_categories=()), max_size=300)


def test_the_examples_in_the_docstrings_hold() -> None:
    for module in (texts, values, formulas):
        assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("Käse, naïve, Ø 5 µm, 88 °C, ½, x²", "Käse, naïve, Ø 5 µm, 88 °C, ½, x²"),
        ("Машина не греет", "Машина не греет"),
        ("a\u0301 composed", "á composed"),
        ("水温", "[U+6C34 U+6E29]"),
        ("مرحبا", "[U+0645 U+0631 U+062D U+0628 U+0627]"),
        ("שלום", "[U+05E9 U+05DC U+05D5 U+05DD]"),
        ("hot \U0001f525", "hot [fire]"),
        ("9 ㎏", "9 kg"),
        ("bell \x07, escape \x1b[31m", "bell [U+0007], escape [U+001B][31m"),
        ("one\r\ntwo\rthree\ttab\u2028four", "one\ntwo\nthree    tab\nfour"),
        ("half \ud800 pair", "half [U+D800] pair"),
        ("private \ue000", "private [U+E000]"),
        ("soft\u00adhyphen, zero\u200bwidth, turned \u202etxet\u202c", "softhyphen, zerowidth, turned txet"),
    ],
)
def test_each_kind_of_character(typed: str, printed: str) -> None:
    assert plain(typed) == printed


@given(ANYTHING)
def test_every_character_left_has_a_glyph(text: str) -> None:
    assert all(c == "\n" or ord(c) in printable() for c in plain(text))


@given(ANYTHING)
def test_nothing_visible_is_dropped_in_silence(text: str) -> None:
    """Each letter, mark, number or sign leaves itself, its plainer form, its name or its number."""
    shown = plain(text)
    for c in unicodedata.normalize("NFC", text):
        if unicodedata.category(c)[0] not in "LNPS" or c in "\r\n":
            continue
        traces = (c, unicodedata.normalize("NFKD", c), f"U+{ord(c):04X}", unicodedata.name(c, "?").lower())
        assert any(trace in shown for trace in traces)


@given(ANYTHING)
@also("<b>bold</b> & <img src='file:///etc/passwd'/> <a href='x'> &lt; <font size=99> <br/> <para>")
def test_markup_is_what_was_typed_and_no_more(text: str) -> None:
    import html

    made = markup(text)
    assert made.count("<br/>") <= MOST_LINE_ENDS
    assert html.unescape(made.replace("<br/>", "\n")) == unbroken(plain(text))
    assert "<" not in made.replace("<br/>", "")


def test_line_ends_without_end_become_blanks() -> None:
    assert markup("a\n" * 3) == "a<br/>" * 3
    assert markup("a\n" * 4_000) == "a " * 4_000


@given(ANYTHING, st.floats(20.0, 400.0))
def test_a_shortened_text_fits(text: str, width: float) -> None:
    made = shortened(text, fonts.REGULAR, 8, width)
    assert stringWidth(made, fonts.REGULAR, 8) <= width
    assert "\n" not in made


NASTY = {
    "long words": "Donaudampfschifffahrtsgesellschaft" * 400,
    "no blanks": "x" * 20_000,
    "many lines": "line\n" * 4_000,
    "markup": "<b>bold</b> & <img src='x.png'/> <a href='http://example.org'>a</a> &#x41; </para><para>" * 20,
    "scripts": "水温が上がらない 🔥 مرحبا שלום Машина نه " * 60,
    "controls": "".join(map(chr, range(1, 160))) * 20,
    "marks": "a" + "\u0301" * 2_000,
    "blanks": " \t\u00a0\u2003" * 3_000,
    "braces": "%s {0} {{x}} \\n \\u0041 $x$" * 300,
}
FIELDS = (
    "title",
    "work_order",
    "shop",
    "shop_contact",
    "customer",
    "vehicle",
    "registration",
    "vin",
    "odometer",
    "complaint",
    "prepared_by",
    "credential",
    "work_done",
)


def _outside(pdf: bytes) -> list[str]:
    """Letters that pdfium finds outside the margins, or without a Unicode value."""
    found = []
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        width, height = page.get_size()
        text = page.get_textpage()
        everything = text.get_text_range()
        found += ["replacement character"] * everything.count("\ufffd")
        for i in range(text.count_chars()):
            left, bottom, right, top = text.get_charbox(i)
            across = left >= MARGIN - 2 and right <= width - MARGIN + 2
            if right > left and not (across and bottom >= MARGIN - 4 and top <= height - MARGIN + 4):
                found.append(f"{text.get_text_range(i, 1)!r} at {left:.0f}, {bottom:.0f} to {right:.0f}, {top:.0f}")
    document.close()
    return found


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        *((name, ReportKind.CUSTOMER) for name in NASTY),
        *((name, ReportKind.SIZING) for name in ("long words", "scripts", "markup")),
    ],
)
def test_nasty_text_in_every_field(
    name: str, kind: ReportKind, subject_from: Callable[..., Any], moment: datetime
) -> None:
    """In each field of the job, the names of duties and parts, notes and codes: no crash, nothing outside, no box."""
    text = NASTY[name]
    tree = {
        "format": "heatdocket-case/1",
        "job": dict.fromkeys(FIELDS, text[:20_000]),
        "duties": [{"name": text[:3_000]}, {"name": text[:40]}],
        "circuit": {"extra": [{"name": text[:500], "heat": "1 kW"}]},
        "evidence": {
            "before": {
                "driving": "idling",
                "heater_setting": "off",
                "codes": [text[:300], "P0128"],
                "spots": [{"what": "coolant", "at": "20 min", "value": "60 degC", "note": text[:2_000]}],
            }
        },
    }
    if kind is ReportKind.SIZING:
        tree["job"] = {"complaint": text[:2_000], "work_order": text[:200]}
    one = subject_from(tree)
    pdf = build(one.check, one.text, kind, moment, final=True).pdf
    assert _outside(pdf) == []


@settings(max_examples=12)
@given(words=st.lists(ANYTHING, min_size=4, max_size=4))
def test_any_text_makes_a_page(words: list[str], subject_from: Callable[..., Any], moment: datetime) -> None:
    complaint, customer, vehicle, duty = words
    tree = {
        "format": "heatdocket-case/1",
        "duties": [{"name": duty}],
        "job": {"complaint": complaint, "customer": customer, "vehicle": vehicle, "work_order": vehicle},
    }
    one = subject_from(tree, members=0)  # no number hangs on the text
    assert _outside(build(one.check, one.text, ReportKind.CUSTOMER, moment, final=True).pdf) == []


def test_typed_markup_stands_on_the_page_as_typed(
    subject_from: Callable[..., Any], moment: datetime, page_texts: Callable[[bytes], list[str]]
) -> None:
    typed = "<b>hot</b> & <a href='http://example.org'>click</a> &amp; <super>2</super>"
    one = subject_from({"format": "heatdocket-case/1", "job": {"complaint": typed}})
    pdf = build(one.check, one.text, ReportKind.CUSTOMER, moment).pdf
    assert typed in page_texts(pdf)[0]
    assert b"example.org" not in pdf, "no link was made of it"
