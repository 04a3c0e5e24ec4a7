"""The warm-up view: real records, real logs on the disk, and what a person says of their columns."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication
from PySide6.QtWidgets import QComboBox, QPushButton
from widgets import by_name

from engcalc.case.file import OwnFolder
from engcalc.units import UnitSystem
from ui.window.dialogs.columns import ColumnsDialog
from ui.window.main_window import example_files
from ui.window.views.logs import entry_for, look
from ui.window.views.warmup.view import WarmupView

MINUTES = 8
TAU = 150.0  # s
RISE = 70.0  # K


def coolant(t: np.ndarray) -> np.ndarray:
    """An invented warm-up from 20 degC."""
    return 20.0 + RISE * (1.0 - np.exp(-t / TAU))


def write_log(path: Path, heads: tuple[str, str, str]) -> Path:
    t = np.arange(0.0, MINUTES * 60.0 + 1.0, 5.0)
    rows = [f"{a:.0f};{b:.1f};{1500 + 10 * (i % 7)}" for i, (a, b) in enumerate(zip(t, coolant(t), strict=True))]
    path.write_text("\n".join([";".join(heads), *rows]) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def plain_log(tmp_path) -> Path:
    return write_log(tmp_path / "plain.csv", ("Time (s)", "Coolant temperature [°C]", "Engine speed [rpm]"))


@pytest.fixture
def odd_log(tmp_path) -> Path:
    return write_log(tmp_path / "odd.csv", ("Uhr", "Wert A", "Wert B"))


@pytest.fixture
def view(show, context_of, answered) -> WarmupView:
    context = context_of("track-day-car")
    made = show(WarmupView(context))
    answered(made)
    return made


@pytest.fixture
def imported(qtbot, answered):
    """Import a log and wait until it was read and studied."""

    def take(view: WarmupView, path: Path) -> None:
        view.import_log(path)
        qtbot.waitUntil(lambda: not view.importer.background.busy, timeout=60_000)
        answered(view)

    return take


def press(qtbot, root, name: str) -> None:
    qtbot.mouseClick(by_name(root, name, QPushButton), Qt.MouseButton.LeftButton)


# ---- without and with a record --------------------------------------------------------------------------------------


def test_without_a_record_the_vehicle_as_described_is_shown_and_said_to_be(view):
    assert view.empty.isVisible()
    assert view.head.text().startswith("Nothing was read over time, so this is computed")
    assert view.empty.text().startswith("Import a log")
    assert view.curves.cards[0].isVisible()
    assert not view.further.cards[0].isVisible()
    assert not by_name(view, "Columns of the log", QPushButton).isEnabled()
    names = [series.name for series in view.curves.cards[0].view.plot.series]
    assert names == ["a healthy vehicle", "this vehicle as described"]
    assert [row[1] for row in view.table.rows.text.rows] == ["–"] * 3


def test_a_bench_does_not_warm_up(show, context_of):
    view = show(WarmupView(context_of("bench-exchanger")))
    assert view.line.text.startswith("A bench has no engine")
    assert not view.curves.cards[0].isVisible()


def test_after_the_repair_nothing_is_known_yet(view, qtbot, answered):
    press(qtbot, view, "Record: After the repair")
    answered(view)
    assert view.line.text.startswith("After the repair nothing is known yet")
    assert not view.curves.cards[0].isVisible()


def test_a_log_is_imported_and_stands_over_the_band(view, imported, plain_log):
    imported(view, plain_log)
    assert view.context.document.text.get("evidence.before.log") == {"file": str(plain_log)}
    assert "plain.csv: 97 rows with coolant temperature, engine speed" in view.told.text()
    measured = next(s for s in view.curves.cards[0].view.plot.series if s.name == "measured")
    assert measured.x[-1] == pytest.approx(MINUTES)
    assert measured.y[-1] == pytest.approx(coolant(MINUTES * 60.0), abs=0.1)
    assert view.further.cards[0].isVisible()
    assert not view.empty.isVisible()
    # the curve's own closed form: 20 + 70 (1 - exp(-t/tau)) = T, within one sample of 5 s
    for row, T in zip(view.table.rows.text.rows, (60.0, 70.0, 80.0), strict=True):
        expected = -TAU * np.log(1.0 - (T - 20.0) / RISE) / 60.0
        assert float(row[1].split()[0]) == pytest.approx(expected, abs=5.0 / 60.0 + 0.05)


def test_taking_the_log_back_is_one_step(view, imported, plain_log, answered):
    imported(view, plain_log)
    assert view.context.document.undo_name == "Import a log"
    view.context.document.undo()
    view.refresh()
    answered(view)
    assert view.empty.isVisible()


def test_the_times_are_copied_and_other_units_compute_nothing(view, imported, plain_log, qtbot):
    imported(view, plain_log)
    found = view.answer
    view.context.system = UnitSystem.US
    view.refresh()
    assert view.answer is found
    assert view.table.rows.text.rows[0][0] == "140 °F"
    press(qtbot, view, "Copy table of times")
    assert QGuiApplication.clipboard().text().splitlines()[1].startswith("140 °F\t")
    assert view.copy_picture()


def test_the_log_lies_beside_the_case_by_its_name(tmp_path, plain_log):
    assert entry_for(plain_log, tmp_path, {}) == {"file": "plain.csv"}
    other = tmp_path / "other"
    other.mkdir()
    assert entry_for(plain_log, other, {"coolant": "A"}) == {"file": "plain.csv", "columns": {"coolant": "A"}}
    assert (other / "plain.csv").read_bytes() == plain_log.read_bytes()  # copied beside the case
    for unsaved in (None, OwnFolder(other / "example")):
        assert entry_for(plain_log, unsaved, {}) == {"file": str(plain_log)}


def test_a_log_that_is_gone_is_said_with_its_name(view, qtbot, answered):
    view.context.document.put("evidence.before.log", {"file": "gone.csv"})
    view.refresh()
    answered(view)
    assert "gone.csv" in view.line.text
    assert not view.curves.cards[0].isVisible()


# ---- columns that are not recognised --------------------------------------------------------------------------------


def set_columns(choose, dialog: ColumnsDialog, **holds: str) -> None:
    for name, what in holds.items():
        choose(by_name(dialog, f"{name.replace('_', ' ')} holds", QComboBox), what)


def use_these(qtbot, dialog: ColumnsDialog) -> None:
    button = next(b for b in dialog.findChildren(QPushButton) if b.text() == "Use these")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


@pytest.fixture
def dialog(qtbot, odd_log) -> ColumnsDialog:
    made = ColumnsDialog(look(odd_log, {}))
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def test_the_dialog_shows_what_each_column_begins_with(dialog):
    assert [column.samples[0] for column in dialog.found.columns] == ["0", "20.0", "1500"]
    assert dialog._trouble.isVisible()


def test_the_dialog_says_what_is_still_missing(dialog, qtbot, choose):
    use_these(qtbot, dialog)
    assert dialog.isVisible()
    set_columns(choose, dialog, Wert_B="Coolant temperature", Wert_A="Coolant temperature")
    use_these(qtbot, dialog)
    assert dialog._trouble.text() == "Two columns cannot both be: Coolant temperature."
    set_columns(choose, dialog, Wert_A="not used", Wert_B="Engine speed")
    use_these(qtbot, dialog)
    assert dialog._trouble.text() == "No column holds the coolant temperature yet."


def answering(qtbot, choose, **holds: str):
    """Answers the dialog through its lists; counts how often it was asked."""
    asked = []

    def ask(found, parent):
        dialog = ColumnsDialog(found, parent)
        asked.append(dialog.found.path.name)
        dialog.open()
        set_columns(choose, dialog, **holds)
        use_these(qtbot, dialog)
        assert not dialog.isVisible(), dialog._trouble.text()
        return dialog.mapping

    return ask, asked


SAID = {"time": "Uhr", "coolant": "Wert A", "engine_speed": "Wert B"}


def test_what_was_said_is_taken_and_remembered_for_the_same_header(
    show, context_of, qtbot, imported, odd_log, choose, tmp_path
):
    context = context_of("track-day-car")
    ask, asked = answering(qtbot, choose, Uhr="Time", Wert_A="Coolant temperature", Wert_B="Engine speed")
    view = show(WarmupView(context, ask_which=ask))
    imported(view, odd_log)
    assert context.document.text.get("evidence.before.log") == {"file": str(odd_log), "columns": SAID}
    assert view.further.cards[0].isVisible()
    again = write_log(tmp_path / "again.csv", ("Uhr", "Wert A", "Wert B"))
    imported(view, again)
    assert asked == ["odd.csv"], "a header that is known is not asked about again"
    assert context.document.text.get("evidence.before.log") == {"file": str(again), "columns": SAID}
    press(qtbot, view, "Columns of the log")
    qtbot.waitUntil(lambda: asked == ["odd.csv", "again.csv"])


def test_without_an_answer_the_log_is_not_taken(show, context_of, imported, odd_log):
    context = context_of("track-day-car")
    view = show(WarmupView(context, ask_which=lambda _found, _parent: None))
    imported(view, odd_log)
    assert view.told.text() == "The log was not taken."
    assert context.document.text.get("evidence.before.log") is None


def test_a_file_that_is_no_table_is_refused_in_words(show, context_of, imported, tmp_path):
    path = tmp_path / "picture.csv"
    path.write_bytes(bytes(range(256)) * 20)
    view = show(WarmupView(context_of("track-day-car")))
    imported(view, path)
    assert "would do" in view.told.text()
    assert view.told.property("tone") == "error"


# ---- dropped on the window ------------------------------------------------------------------------------------------


def dropped(window, path: Path) -> bool:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path))])
    buttons, keys = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enter = QDragEnterEvent(QPoint(5, 5), Qt.DropAction.CopyAction, mime, buttons, keys)
    window.dragEnterEvent(enter)
    if enter.isAccepted():
        window.dropEvent(QDropEvent(QPointF(5, 5), Qt.DropAction.CopyAction, mime, buttons, keys))
    return enter.isAccepted()


def test_a_log_dropped_on_the_window_goes_into_the_open_case(window, qtbot, plain_log):
    assert not dropped(window, plain_log), "there is no case yet that it could go into"
    window.open_example(next(path for path in example_files() if path.name.startswith("track-day")))
    assert dropped(window, plain_log)
    view = window.workspace.side.view
    assert isinstance(view, WarmupView)
    qtbot.waitUntil(lambda: window.document.text.get("evidence.before.log") is not None)
    qtbot.waitUntil(lambda: not view.background.busy and not window.workspace.side._pause.isActive(), timeout=60_000)
    assert view.further.cards[0].isVisible()
