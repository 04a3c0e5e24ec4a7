"""Before and after, with the invented van that was repaired."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLabel, QPushButton
from widgets import by_name

from engcalc.units import UnitSystem
from engcalc.words.diagnosis.proof_words import proof_sentence, proof_sentences
from engcalc.words.texts import view_texts
from ui.window.views.warmup.proof import ProofView


@pytest.mark.parametrize("taken", [None, "evidence.after"])
def test_without_two_records_it_says_what_is_wanted(show, context_of, taken):
    context = context_of("track-day-car" if taken is None else "van-repaired")
    if taken is not None:
        context.document.put(taken, None)
    view = show(ProofView(context))
    assert view.line.text == view_texts.TWO_WANTED
    assert view.line.findChildren(QLabel)[0].property("tone") == "muted", "one record may well be healthy: no warning"
    assert not view.pictures.cards[0].isVisible()


def test_records_without_a_course_in_time_are_no_proof(show, context_of, answered):
    context = context_of("van-repaired")
    for record in ("before", "after"):
        context.document.put(f"evidence.{record}.log", None)
    view = show(ProofView(context))
    answered(view)
    assert view.line.text == view_texts.TWO_WANTED
    assert not view.copy_table()


def test_two_curves_and_one_sentence(show, context_of, answered, qtbot):
    context = context_of("van-repaired")
    view = show(ProofView(context))
    found = answered(view)
    assert view.sentence.text() == proof_sentence(found, UnitSystem.SI)
    assert view.rest.texts == proof_sentences(found, UnitSystem.SI)[1:]
    assert [s.name for s in view.pictures.cards[0].view.plot.series][-2:] == ["before", "after"]
    context.system = UnitSystem.US
    view.refresh()
    assert view.answer is found
    assert view.sentence.text() == proof_sentence(found, UnitSystem.US)
    qtbot.mouseClick(by_name(view, "Copy the words of before and after", QPushButton), Qt.MouseButton.LeftButton)
    assert QGuiApplication.clipboard().text().splitlines()[0] == view.sentence.text()
    assert view.copy_picture()
    assert not QGuiApplication.clipboard().image().isNull()
