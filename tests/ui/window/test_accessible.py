"""What assistive technology meets, asked through Qt's accessibility interface: each step, view and dialog.

Every control that takes the keyboard has a name and a role, and Tab comes to it. In a row of choices it comes to one of
them, in a table to its cells: the arrow keys go on from there. Pictures say in words what they show.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from less_effort import FEW
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QAccessible, QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QTabBar, QWidget

from engcalc.diagnosis.odds.honesty import honesty
from engcalc.studies.check import check
from engcalc.units import UnitSystem
from reports.letterhead import ShopProfile
from ui.window.dialogs.background import Background
from ui.window.dialogs.columns import ColumnsDialog
from ui.window.dialogs.countersign import Countersigning
from ui.window.dialogs.export import ExportDialog
from ui.window.dialogs.identity import IdentityDialog
from ui.window.dialogs.known import KnowingSigner, KnownDialog
from ui.window.dialogs.letterhead import LetterheadDialog
from ui.window.dialogs.plain_text import PlainTextDialog
from ui.window.dialogs.verify import VerifyDialog
from ui.window.dialogs.worksheet import WorksheetDialog
from ui.window.errands import ReadingDialog
from ui.window.form.tables import PairTable
from ui.window.job_book.book_dialog import BookDialog
from ui.window.job_book.find_dialog import FindDialog
from ui.window.job_book.history_dialog import HistoryDialog
from ui.window.job_book.honesty_dialog import HonestyDialog
from ui.window.job_book.outcome_dialog import OutcomeDialog
from ui.window.job_book.screening_dialog import ScreeningDialog
from ui.window.jobs.steps import COMPLAINT, DETAIL, LESSON, SIZING, VIEW_TIPS
from ui.window.main_window import example_files
from ui.window.results.drawing import PictureView
from ui.window.start_page import WayIn
from ui.window.views import side
from ui.window.views.causes.rates import RatesDialog
from ui.window.views.causes.view import CausesView
from ui.window.views.logs import look
from ui.window.views.reading_dialog import PlaceReadingDialog

UI = Path(__file__).resolve().parents[3] / "ui" / "window"
MOST_TABS = 400  # presses after which Tab has been everywhere, or is caught
PATIENCE_MS = 60_000
JOBS = {"van-repaired": COMPLAINT, "track-day-car": SIZING, "bench-exchanger": LESSON}


def controls(root: QWidget) -> list[QWidget]:
    """Everything under ``root`` that takes the keyboard now."""
    return [
        widget
        for widget in root.findChildren(QWidget)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.isVisible()
        and widget.isEnabled()
        and widget.focusProxy() is None
        and widget.window() is root.window()
    ]


def name_of(widget: QWidget) -> str:
    return QAccessible.queryAccessibleInterface(widget).text(QAccessible.Text.Name).strip()


def nameless(root: QWidget) -> list[str]:
    """Controls without a name or a role, pictures without words."""
    found = []
    for widget in controls(root):
        interface = QAccessible.queryAccessibleInterface(widget)
        if not interface.text(QAccessible.Text.Name).strip():
            found.append(f"{type(widget).__name__} has no name")
        if interface.role() is QAccessible.Role.NoRole:
            found.append(f"{name_of(widget)} has no role")
        if isinstance(widget, PictureView) and not interface.text(QAccessible.Text.Description).strip():
            found.append(f"the picture {name_of(widget)} says nothing")
    return found


def tabbed(root: QWidget) -> Iterator[QWidget]:
    """Where Tab comes to, from the first control on, until it comes round."""
    start = root.window().focusWidget() or controls(root)[0]
    start.setFocus()
    seen: set[QWidget] = set()
    for _ in range(MOST_TABS):
        here = QApplication.focusWidget()
        if here is None or here in seen:
            return
        seen.add(here)
        yield here
        press = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Tab, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(here, press)
    raise AssertionError("Tab does not come round")


def row_of(widget: QWidget) -> object:
    """What is reached together: the buttons of a group of which one is chosen; else the widget alone."""
    group = widget.group() if isinstance(widget, QAbstractButton) else None
    return widget if group is None or not group.exclusive() else group


def unreached(root: QWidget) -> list[str]:
    """Controls that Tab never comes to."""
    wanted = controls(root)
    met = list(tabbed(root))
    tables = [one for one in wanted if isinstance(one, PairTable) and any(one.isAncestorOf(cell) for cell in met)]
    reached = {row_of(widget) for widget in (*met, *tables)}
    return [f"{type(one).__name__} {name_of(one)}" for one in wanted if row_of(one) not in reached]


def faults(root: QWidget) -> list[str]:
    QApplication.processEvents()
    assert controls(root)
    return nameless(root) + unreached(root)


def example(name: str):
    return next(path for path in example_files() if path.name.startswith(f"{name}."))


@pytest.fixture
def active(window, qtbot):
    window.activateWindow()
    with qtbot.waitActive(window):
        pass
    return window


def test_the_start_page(active):
    assert faults(active) == []


@pytest.mark.parametrize("job", list(JOBS))
def test_every_step_of_the_three_jobs(active, executor, job):
    active.open_example(example(job))
    executor.run()
    met = {}
    for step in JOBS[job]:
        if step is not DETAIL:
            active.workspace.open_step(step.key)
            met[step.key] = faults(active)
    assert {key: found for key, found in met.items() if found} == {}
    assert len(met) >= 3


def test_every_detail(active, executor):
    active.open_example(example("van-repaired"))
    executor.run()
    active.workspace.open_step(DETAIL.key)
    assert faults(active.workspace.form) == []


@pytest.mark.parametrize("view", VIEW_TIPS)
def test_every_view_with_its_answer(active, executor, qtbot, monkeypatch, view):
    monkeypatch.setattr(side, "VIEWS", {**side.VIEWS, "Causes": lambda context: CausesView(context, FEW)})
    active.open_example(example("van-repaired" if view == "Before/after" else "van-no-heat"))
    executor.run()
    active.workspace.open_step("answer")
    active.workspace.stage.show_view(view)
    qtbot.waitUntil(
        lambda: not any(work.busy for work in active.findChildren(Background)),
        timeout=PATIENCE_MS,
    )
    assert faults(active) == []


def test_tab_leaves_a_table_of_readings_and_its_cells_have_names(active, executor):
    active.open_example(example("van-repaired"))
    executor.run()
    active.workspace.open_step("proof")
    table = next(one for one in active.findChildren(PairTable) if one.isVisible())
    met = list(tabbed(active))
    cells = [one for one in met if one is not table and table.isAncestorOf(one)]
    assert met[-1] is not table
    assert all(name_of(cell) for cell in cells)


def dialogs(document, parent):
    """Every dialog of the program, by its name, made when asked for."""
    case = document.resolve()
    log = next(path for path in example_files()[0].parent.glob("van-before.csv"))
    return {
        "export": lambda: ExportDialog(document, check(case, members=20), UnitSystem.SI, parent),
        "identity": lambda: IdentityDialog(parent),
        "letterhead": lambda: LetterheadDialog(ShopProfile("", "", None), parent),
        "verify": lambda: VerifyDialog(parent),
        "known": lambda: KnownDialog(parent),
        "reading": lambda: PlaceReadingDialog(document, "before", "coolant", UnitSystem.SI, parent=parent),
        "rates": lambda: RatesDialog("no heat", {}, parent),
        "columns": lambda: ColumnsDialog(look(log, {}), parent),
        "plain text": lambda: PlainTextDialog(parent, "Report of crashes", "text", "words"),
        "help": lambda: ReadingDialog(parent, "Help", [("Head", "Words")]),
        "job book": lambda: BookDialog(parent.settings, parent),
        "outcome": lambda: OutcomeDialog(1, ["healthy"], [], lambda _outcome: "", parent=parent),
        "honesty": lambda: HonestyDialog(honesty([]), (0, 0), parent.settings, parent),
        "vehicle before": lambda: HistoryDialog(lambda _stopped: (), UnitSystem.SI, parent),
        "find a job": lambda: FindDialog(lambda _words: (), parent),
        "problem sheets": lambda: WorksheetDialog(UnitSystem.SI, log.parent, parent),
        "screening": lambda: ScreeningDialog(None, parent),
        "verify, all of it": lambda: with_all_in_sight(VerifyDialog(parent)),
    }


def with_all_in_sight(dialog: VerifyDialog) -> VerifyDialog:
    """As for an intact report by a signer whom nobody knows, before a reviewer: everything that may be asked for."""
    for hidden in (*dialog.findChildren(Countersigning), *dialog.findChildren(KnowingSigner)):
        hidden.show()
    return dialog


NAMES = (
    "export",
    "identity",
    "letterhead",
    "verify",
    "known",
    "reading",
    "rates",
    "columns",
    "plain text",
    "help",
    "job book",
    "outcome",
    "find a job",
    "honesty",
    "vehicle before",
    "problem sheets",
    "screening",
    "verify, all of it",
)
KINDS_OF_DIALOG = {"WorkingDialog", "_InPlace"}  # what dialogs are made from, and one that stands in a view


def test_no_dialog_is_left_out(window):
    """By the classes in the source: whoever adds a dialog adds it above."""
    window.start(WayIn.COMPLAINT)
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in UI.rglob("*.py")]
    classes = [node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.ClassDef)]
    bases = {"QDialog", *KINDS_OF_DIALOG}
    written = {node.name for node in classes if {base.id for base in node.bases if isinstance(base, ast.Name)} & bases}
    made = {type(make()).__name__ for make in dialogs(window.document, window).values()}
    assert set(dialogs(window.document, window)) == set(NAMES)
    assert written - KINDS_OF_DIALOG == made


@pytest.mark.parametrize("name", NAMES)
def test_every_dialog(active, executor, qtbot, name):
    active.open_example(example("van-no-heat"))
    dialog = dialogs(active.document, active)[name]()
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.activateWindow()
    with qtbot.waitActive(dialog):
        pass
    assert dialog.windowTitle()
    tabs = dialog.findChild(QTabBar)
    for at in range(tabs.count() if tabs is not None else 1):
        if tabs is not None:
            tabs.setCurrentIndex(at)
        assert faults(dialog) == []
    dialog.close()
