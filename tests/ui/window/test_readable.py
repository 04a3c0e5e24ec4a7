"""What a person sees at 100 % and at 200 %: every text fits its place, every character has a glyph."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit, QScrollArea, QWidget
from widgets import open_sections

from engcalc.case.declare import DetailLevel
from engcalc.case.sections import SECTION_LABELS
from engcalc.diagnosis.danger_now import Alarm, AlarmCode
from engcalc.quantity_kinds import KINDS
from ui.window import theme
from ui.window.form.fields import FaultLine, Hint, Wrapped
from ui.window.main_window import MainWindow, example_files
from ui.window.start_page import WayIn

SCREEN = (1366, 768)  # a small notebook, in pixels


def shown(root: QWidget) -> Iterator[QWidget]:
    return (w for w in root.findChildren(QWidget) if w.isVisible() and w.width() > 1)


def clipped(root: QWidget) -> list[str]:
    """Every label and button whose text needs more room than it has."""
    found = []
    for widget in shown(root):
        if isinstance(widget, Hint | FaultLine):
            short = widget.height() < QLabel.heightForWidth(widget, widget.width())
        elif isinstance(widget, Wrapped):
            short = widget.height() != QLabel.heightForWidth(widget, widget.width())
        elif isinstance(widget, QLabel | QAbstractButton):
            wanted = widget.minimumSizeHint()
            short = widget.width() < wanted.width() or widget.height() < wanted.height()
        elif isinstance(widget, QLineEdit | QComboBox):
            short = widget.height() < widget.minimumSizeHint().height()
        else:
            continue
        if short:
            found.append(f"{type(widget).__name__} {_text(widget)!r}: {widget.size()} of {widget.minimumSizeHint()}")
    return found


def _text(widget: QWidget) -> str:
    if isinstance(widget, QComboBox):
        return " ".join(widget.itemText(i) for i in range(widget.count()))
    if isinstance(widget, QLineEdit):
        return widget.text() + widget.placeholderText()
    return widget.text() if isinstance(widget, QLabel | QAbstractButton) else ""


def settled(qtbot, root: QWidget) -> None:
    qtbot.waitUntil(lambda: not clipped(root), timeout=5000)


def everything(window: MainWindow) -> None:
    window.start(WayIn.COMPLAINT)
    window.workspace.open_step("detail")
    form = window.workspace.form
    form.set_depth(DetailLevel.DETAIL)
    for path in ("duties", "airflow.upstream", "circuit.extra", "evidence.before.spots", "rig"):
        window.document.insert_item(path, 0, {})
    window.document.edit("radiator.core_height", "a wrong text")
    window.document.edit("engine.fuel", "plutonium")
    window.document.put("evidence.before.seen.upper_hose_warms_early", True)
    open_sections(form, [section.plan.path for section in form.sections])


@pytest.mark.parametrize("percent", [100, 200])
def test_every_text_of_the_form_and_the_start_page_fits(window, qtbot, percent):
    window.resize(*SCREEN)
    window.set_text_size(percent)
    settled(qtbot, window.start_page)
    everything(window)
    form = window.workspace.form
    settled(qtbot, form)
    assert form.area.widget().width() <= form.area.viewport().width(), "the form scrolls sideways"
    assert window.width() == SCREEN[0]


def test_every_character_has_a_glyph(window, qtbot, executor):
    everything(window)
    window.document.undo()
    metrics = QFontMetrics(QApplication.font())
    texts = {_text(w) for w in window.findChildren(QWidget)} | {w.toolTip() for w in window.findChildren(QWidget)}
    texts |= {spelling for kind in KINDS.values() for spelling in kind.spellings} | set(SECTION_LABELS.values())
    missing = {c for text in texts for c in text if c > " " and not metrics.inFontUcs4(ord(c))}
    assert missing == set()
    assert QApplication.font().family() == theme.FAMILY
    assert len(texts) > 300


def test_a_text_that_wraps_takes_the_height_it_needs(qtbot, looked):
    label = Wrapped("one two three four five six seven eight nine ten " * 5, "muted")
    qtbot.addWidget(label)
    label.resize(400, 10)
    label.show()
    wide = label.height()
    label.resize(150, 10)
    assert label.height() > wide
    label.resize(400, 10)
    assert label.height() == wide


@pytest.mark.parametrize("percent", [100, 200])
def test_nothing_scrolls_sideways_on_a_small_screen(window, executor, qtbot, percent):
    window.resize(1280, 720)
    window.set_text_size(percent)
    settled(qtbot, window.start_page)
    assert window.start_page.horizontalScrollBar().maximum() == 0
    window.open_example(next(p for p in example_files() if "van" in p.name))
    executor.run()
    areas = [area for area in window.findChildren(QScrollArea) if area.isVisible()]
    assert len(areas) >= 2
    qtbot.waitUntil(lambda: all(area.horizontalScrollBar().maximum() == 0 for area in areas), timeout=5000)
    assert window.width() == 1280


@pytest.mark.parametrize("percent", [100, 200])
def test_no_step_of_a_complaint_is_wider_than_a_small_screen(window, executor, qtbot, percent):
    window.resize(*SCREEN)
    window.set_text_size(percent)
    window.start(WayIn.COMPLAINT)
    window.document.edit("refill.drained", "4 L")
    executor.run()
    for step in ("complaint", "readings", "repair", "proof", "paper"):
        window.workspace.open_step(step)
        executor.run()
        areas = [area for area in window.findChildren(QScrollArea) if area.isVisible()]
        wide = [area for area in areas if area.horizontalScrollBar().maximum() > 0]
        assert not wide, (step, [(a.accessibleName(), a.horizontalScrollBar().maximum()) for a in wide])
        assert (step, window.width()) == (step, SCREEN[0])


@pytest.mark.parametrize("code", AlarmCode)
def test_a_danger_in_large_letters_leaves_the_window_its_height(window, executor, qtbot, code):
    """At 200 % the live view pushed the window to 874 pixels, past the foot of a small screen."""
    window.resize(*SCREEN)
    window.set_text_size(200)
    window.start(WayIn.COMPLAINT)
    executor.run()
    window.workspace.open_step("readings")
    window.workspace.stage.show_view("Live")
    live = window.workspace.side.view
    live._show_danger(Alarm(code, 900.0, 388.15, 388.15, 0.02))
    qtbot.wait(100)
    assert live.danger.isVisible()
    assert live.danger.height() >= live.danger.heightForWidth(live.danger.width())
    assert window.size().toTuple() == SCREEN
