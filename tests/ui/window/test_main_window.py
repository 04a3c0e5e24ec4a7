"""The window: files, unsaved work, recovery, menus, stale answers, what the start page leads to."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl, Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QLabel, QLineEdit, QWidget
from widgets import by_name

import worked_examples
from engcalc.case.file import read_case, write_case
from engcalc.case.text import FORMAT, CaseText
from engcalc.units import UnitSystem
from engcalc.words.texts import view_texts
from ui.document import Document
from ui.recovery import Recovery
from ui.window import rhythm, theme
from ui.window.main_window import MainWindow, example_files
from ui.window.prompts import SavedElsewhere, Unsaved
from ui.window.results.verdict_bar import VerdictBar
from ui.window.settings import Settings
from ui.window.start_page import WayIn
from ui.window.theme import Look

NOON = datetime(2031, 5, 6, 12, 0, 0)
TYPED = CaseText({"format": FORMAT, "job": {"title": "Blue van"}, "vehicle": {"class": "delivery van"}})


@pytest.fixture
def file(tmp_path) -> Path:
    path = tmp_path / "blue.heatcase.json"
    write_case(TYPED, path)
    return path


def action(window: MainWindow, *names: str) -> QAction:
    """The action behind these menu texts."""
    menu = window.menuBar()
    for name in names:
        found = next(a for a in menu.actions() if a.text().replace("&", "").startswith(name))
        menu = found.menu()
    return found


# -- the start page -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("button", "step", "typed"),
    [
        ("Start with a complaint", "complaint", {}),
        ("Start with a radiator", "vehicle", {"job": {"reason": "sizing"}}),
        ("Start with a lesson", "rig", {"job": {"reason": "lesson"}, "vehicle": {"class": "bench rig"}}),
    ],
)
def test_three_ways_in(window, qtbot, button, step, typed):
    qtbot.mouseClick(by_name(window, button), Qt.MouseButton.LeftButton)
    assert window.workspace.step.key == step
    assert {k: v for k, v in window.document.text.tree.items() if k != "format"} == typed
    assert not window.document.dirty
    assert not window.document.faults


def test_an_example_opens_as_a_new_case_and_stays_as_it_was(window, prompts, tmp_path):
    path = example_files()[0]
    before = path.read_bytes()
    window.open_example(path)
    assert window.document.text == read_case(path)
    assert window.document.path is None
    assert window.document.folder == path.parent
    prompts.saves = tmp_path / "mine.heatcase.json"
    window.document.edit("job.notes", "mine")
    assert window.save()
    assert path.read_bytes() == before
    assert read_case(prompts.saves).typed("job.notes") == "mine"


def test_the_examples_come_with_the_program():
    assert all(path.is_relative_to(worked_examples.folder()) for path in example_files())
    assert len(example_files()) >= 3


def test_recent_cases_stand_on_the_start_page(window, file, qtbot):
    window.open_path(file)
    window.new_case()
    qtbot.mouseClick(by_name(window, "Open blue"), Qt.MouseButton.LeftButton)
    assert window.document.path == file
    assert [a.text() for a in action(window, "File", "Open recent").menu().actions()] == ["blue"]


def test_two_recent_cases_of_one_name_are_told_apart_by_their_folders(window, file, tmp_path):
    other = tmp_path / "another" / file.name
    other.parent.mkdir()
    other.write_bytes(file.read_bytes())
    window.open_path(file)
    window.open_path(other)
    window.new_case()
    shown = [a.text() for a in action(window, "File", "Open recent").menu().actions()]
    assert shown == [f"blue, in {other.parent}", f"blue, in {file.parent}"]


# -- files --------------------------------------------------------------------------------------------------------


def test_open_edit_save_and_the_dirty_mark(window, file, prompts):
    prompts.opens = file
    action(window, "File", "Open...").trigger()
    assert (window.windowTitle(), window.isWindowModified()) == ("blue[*] \u2013 Heatdocket", False)
    window.document.edit("vehicle.mass", "2700 kg")
    assert window.isWindowModified()
    action(window, "File", "Save").trigger()
    assert not window.isWindowModified()
    assert read_case(file).typed("vehicle.mass") == "2700 kg"
    window.document.undo()
    assert window.isWindowModified()


def test_save_as_asks_where_and_cancel_saves_nothing(case, prompts, tmp_path):
    case.document.edit("vehicle.mass", "2700 kg")
    assert not case.save()
    assert case.document.path is None
    prompts.saves = tmp_path / "new.heatcase.json"
    assert case.save()
    assert case.settings.recent == [prompts.saves]


def test_what_cannot_be_saved_is_said_and_stays_dirty(case, prompts, tmp_path):
    case.document.edit("vehicle.mass", "2700 kg")
    prompts.saves = tmp_path / "no folder" / "new.heatcase.json"
    assert not case.save()
    assert "cannot be written" in prompts.told[0]
    assert case.isWindowModified()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "cannot be read"),
        (b"{", "not JSON"),
        (b"\xff\xfe", "not UTF-8"),
        (b"[]", "one JSON object"),
        (b'{"format": "heatdocket-case/99"}', "newer program"),
        (b'{"format": "heatdocket-case/1", "a": 1, "a": 2}', "twice"),
    ],
)
def test_a_file_that_is_no_case_is_refused_in_words(case, prompts, tmp_path, content, said):
    path = tmp_path / "bad.heatcase.json"
    if content is not None:
        path.write_bytes(content)
    before = case.document
    assert not case.open_path(path)
    assert said in prompts.told[0]
    assert case.document is before


def test_a_case_at_fault_opens_with_its_faults_named(window, tmp_path):
    path = tmp_path / "faulty.heatcase.json"
    path.write_text(json.dumps({"format": FORMAT, "engine": {"fuel": "coal"}, "radiator": {"core_height": "wide"}}))
    assert window.open_path(path)
    said = "Out of date: The entries have 2 things to mend; there is no answer yet."
    assert by_name(window, said).isVisible()
    assert "Engine: Fuel" in by_name(window, "What is to mend", QLabel).text()


@pytest.mark.parametrize(
    ("answer", "saved", "left"),
    [(Unsaved.SAVE, True, True), (Unsaved.DISCARD, False, True), (Unsaved.CANCEL, False, False)],
)
def test_leaving_unsaved_work_asks(window, file, prompts, answer, saved, left):
    window.open_path(file)
    window.document.edit("job.title", "Red van")
    prompts.answer = answer
    window.new_case()
    assert prompts.asked == ["blue"]
    assert (read_case(file).typed("job.title") == "Red van") is saved
    assert (window.document is None) is left


def test_close_can_be_called_off(case, prompts):
    case.document.edit("job.title", "Red van")
    prompts.answer = Unsaved.CANCEL
    assert not case.close()
    assert case.isVisible()
    prompts.answer = Unsaved.DISCARD
    assert case.close()


def test_a_case_is_dragged_in(case, file, qapp):
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(file))])
    line = by_name(case, "Before the repair: Outside temperature", QLineEdit)
    enter = QDragEnterEvent(
        QPoint(5, 5), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    qapp.sendEvent(line, enter)
    assert enter.isAccepted()
    assert enter.position() != QPointF(5, 5), "the field itself took the file"
    drop = QDropEvent(
        QPointF(5, 5), Qt.DropAction.CopyAction, mime, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    case.dropEvent(drop)
    assert case.document.path == file


# -- unsaved work -------------------------------------------------------------------------------------------------


def test_unsaved_work_is_kept_and_taken_away_again(case, tmp_path, prompts):
    case.document.edit("radiator.core_height", "wrong text")
    assert case._keep.isActive()
    case.keep_unsaved()
    (kept,) = (tmp_path / "unsaved").glob("*.json")
    assert "wrong text" in kept.read_text(encoding="utf-8")
    prompts.saves = tmp_path / "new.heatcase.json"
    case.save()
    assert list((tmp_path / "unsaved").iterdir()) == []


def test_work_lost_in_a_crash_is_offered_and_restored(make_window, tmp_path, file, qtbot):
    crashed = Recovery(tmp_path / "unsaved")
    crashed.keep(TYPED.with_typed("vehicle.mass", "half"), file, NOON)
    crashed._lock.release()  # as the system does when a process ends
    window = make_window()
    qtbot.mouseClick(by_name(window, "Restore: Blue van"), Qt.MouseButton.LeftButton)
    assert window.document.text.typed("vehicle.mass") == "half"
    assert window.document.path == file
    assert window.document.dirty
    assert len(list((tmp_path / "unsaved").glob("*.json"))) == 1  # the window's own copy now


def test_work_found_can_be_thrown_away(make_window, tmp_path, qtbot):
    crashed = Recovery(tmp_path / "unsaved")
    crashed.keep(TYPED, None, NOON)
    crashed._lock.release()
    window = make_window()
    qtbot.mouseClick(by_name(window, "Throw away: Blue van"), Qt.MouseButton.LeftButton)
    assert list((tmp_path / "unsaved").iterdir()) == []
    assert not [w for w in window.findChildren(QWidget) if w.accessibleName() == "Restore: Blue van"]


# -- answers ------------------------------------------------------------------------------------------------------


class Shown(QWidget):
    """A results side that keeps what it was shown."""

    place_tapped = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.verdict = VerdictBar()
        self.checks: list[object] = []
        self.stale = ""
        self.systems: list[UnitSystem] = []

    def show_check(self, check: object, **_: object) -> None:
        self.checks.append(check)
        self.stale = ""

    def show_stale(self, reason: str) -> None:
        self.stale = reason

    def show_no_answer(self, reason: str) -> None:
        self.stale = reason

    def set_system(self, system: UnitSystem) -> None:
        self.systems.append(system)


def test_the_last_good_answer_stays_and_says_that_it_is_stale(make_window, executor):
    window = make_window(results=Shown)
    window.start(WayIn.COMPLAINT)
    results = window.workspace.results
    window.document.edit("radiator.core_height", "390 mm")
    executor.run()
    (good,) = results.checks
    assert window.workspace.current_check() is good
    window.document.edit("radiator.core_height", "wide")
    assert results.stale == "The entries have one thing to mend; this is the last good answer."
    assert results.checks == [good]
    assert window.workspace.current_check() is None
    window.document.edit("radiator.core_height", "400 mm")
    executor.run()
    assert results.stale == ""
    assert results.checks[-1].case.radiator.core_height[0] == pytest.approx(0.4)


@pytest.mark.parametrize("way", [WayIn.COMPLAINT, WayIn.LESSON])
def test_where_nothing_was_entered_before_a_fault_there_is_no_answer_to_keep(make_window, executor, way):
    """ "Nothing is entered yet" stood above entries that had something to mend."""
    window = make_window()
    window.start(way)
    executor.run()
    bar = window.workspace.results.verdict
    assert bar.accessibleDescription().startswith("Nothing judged yet")
    window.document.edit("hot_stream.fluid", "water")
    assert bar.accessibleDescription().startswith("Not checked yet")
    assert bar.findChild(QLabel, "stale").text() == "The entries have 2 things to mend; there is no answer yet."
    window.set_system(UnitSystem.US)
    assert bar.accessibleDescription().startswith("Not checked yet")
    window.document.undo()
    executor.run()
    assert bar.accessibleDescription().startswith("Nothing judged yet")


def test_answers_delivered_out_of_order_show_only_the_newest(make_window, executor):
    window = make_window(results=Shown)
    window.start(WayIn.COMPLAINT)
    for height in ("300 mm", "400 mm", "500 mm"):
        window.document.edit("radiator.core_height", height)
    for answer, deliver in reversed(executor.answers()):
        deliver(answer)
    (shown,) = window.workspace.results.checks
    assert shown.case.radiator.core_height[0] == pytest.approx(0.5)


def test_a_name_starts_no_check_and_stands_in_the_answer(make_window, executor, qtbot):
    """What names people and vehicle is worth no check, but the paper made from the answer needs it."""
    window = make_window(results=Shown)
    window.start(WayIn.COMPLAINT)
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))  # the whole answer after the first one
    executor.run()
    before = window.workspace.check
    window.document.edit("job.customer", "Ann Example")
    assert executor.held == []
    assert window.workspace.check.case.job.customer == "Ann Example"
    assert window.workspace.current_check() is window.workspace.check
    assert window.workspace.check.duties is before.duties
    window.document.edit("radiator.core_height", "300 mm")
    assert len(executor.held) == 1
    window.document.edit("job.customer", "Ben Example")
    assert len(executor.held) >= 1, "what is under way is asked anew with the name"


def test_a_whole_other_text_is_checked_and_so_is_its_undoing(make_window, executor, qtbot):
    """A lap from a file and an adopted core come as a whole text; the answer shown must be of what stands typed."""
    window = make_window(results=Shown)
    window.start(WayIn.RADIATOR)
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))  # the whole answer after the first one
    executor.run()
    document = window.document
    document.take_text(document.text.with_typed("radiator.core_height", "300 mm"), "Put a core into the case")
    executor.run()
    assert window.workspace.current_check().case.radiator.core_height[0] == pytest.approx(0.3)
    document.undo()
    assert window.workspace.current_check() is None
    executor.run()
    assert window.workspace.current_check() is window.workspace.check


def test_saving_starts_no_check(make_window, executor, qtbot, tmp_path):
    window = make_window(results=Shown)
    window.start(WayIn.RADIATOR)
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))  # the whole answer after the first one
    executor.run()
    window.document.save(tmp_path / "saved.heatcase.json")
    assert executor.held == []


def test_a_check_without_an_answer_says_why(make_window, executor):
    def check(case, **options):
        raise ValueError("a bug")

    window = make_window(results=Shown, check=check)
    window.start(WayIn.COMPLAINT)
    executor.run()
    assert window.workspace.results.stale.startswith("A defect of Heatdocket kept the check from ending: ValueError")


def test_the_other_units_compute_nothing(make_window, executor):
    window = make_window(results=Shown)
    window.start(WayIn.COMPLAINT)
    executor.run()
    action(window, "View", "Switch units").trigger()
    assert window.workspace.results.systems[-1] is UnitSystem.US
    assert executor.held == []
    assert window.workspace.results.checks[0] is window.workspace.check


def test_the_real_check_reaches_the_screen(window, executor, qtbot):
    window.open_example(next(p for p in example_files() if "van" in p.name))
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))  # the readings come with the second answer
    executor.run()
    assert by_name(window, "Verdict: Runs cold").isVisible()


# -- menus and display --------------------------------------------------------------------------------------------


def test_undo_and_redo_say_what_they_do(case):
    undo, redo = action(case, "Edit", "Undo"), action(case, "Edit", "Redo")
    assert not undo.isEnabled()
    case.document.edit("radiator.core_height", "400 mm")
    assert undo.text() == "&Undo: Change Core height"
    undo.trigger()
    assert redo.text() == "&Redo: Change Core height"
    redo.trigger()
    assert case.document.text.typed("radiator.core_height") == "400 mm"


def test_what_needs_a_case_is_off_without_one(window):
    wanted = (
        ("File", "Save"),
        ("File", "Export report"),
        ("Report", "Export"),
        ("Edit", "Copy table"),
        ("Edit", "Copy picture"),
    )
    assert not any(action(window, *names).isEnabled() for names in wanted)
    window.start(WayIn.COMPLAINT)
    assert all(action(window, *names).isEnabled() for names in wanted)


def test_every_shortcut_is_there_once(window):
    keys = [a.shortcut().toString() for a in window.findChildren(QAction) if not a.shortcut().isEmpty()]
    assert len(keys) == len(set(keys))
    assert {"Ctrl+N", "Ctrl+O", "Ctrl+S", "Ctrl+Z", "Ctrl+Q"} <= set(keys)


def test_table_and_picture_are_copied(window, executor, qapp):
    window.open_example(example_files()[0])
    window.workspace.open_step("detail")
    executor.run()
    action(window, "Edit", "Copy table").trigger()
    assert "\t" in qapp.clipboard().text()
    action(window, "Edit", "Copy picture").trigger()
    assert not qapp.clipboard().image().isNull()


def test_a_report_needs_an_answer(case, prompts):
    action(case, "Report", "Export").trigger()
    assert "needs an answer" in prompts.told[0]


def test_settings_last_and_damaged_ones_are_ignored(tmp_path, qapp):
    file = tmp_path / "window.ini"
    settings = Settings(file)
    settings.system, settings.look, settings.text_size = UnitSystem.US, Look.DARK, 150
    settings.write()
    again = Settings(file)
    assert (again.system, again.look, again.text_size) == (UnitSystem.US, Look.DARK, 150)
    damaged = "[General]\nlook=PINK\ntext_size=9000\nsystem=@Invalid()\nrecent=/nowhere/a.json\n"
    file.write_text(damaged, encoding="utf-8")
    again = Settings(file)
    assert (again.system, again.look, again.text_size, again.recent) == (UnitSystem.SI, Look.SYSTEM, 100, [])


def test_light_and_dark_and_size_are_chosen_by_menu(window):
    action(window, "View", "Palette", "Dark").trigger()
    assert theme.is_dark()
    action(window, "View", "Text size", "200").trigger()
    assert window.font().pointSizeF() == pytest.approx(2 * rhythm.POINTS)
    action(window, "View", "Smaller").trigger()
    assert window.settings.text_size == 175
    action(window, "View", "Palette", "Light").trigger()
    assert not theme.is_dark()


@pytest.mark.parametrize("tones", [theme.LIGHT, theme.DARK])
def test_every_text_colour_stands_out_from_its_ground(tones):
    """WCAG 2.2, success criterion 1.4.3: a contrast of 4.5 for text."""
    for ground in (tones.window, tones.base, tones.panel):
        for colour in (tones.text, tones.muted, tones.accent, tones.error, tones.warn, tones.good, tones.cold):
            assert contrast(colour, ground) >= 4.5, (colour, ground)
    assert contrast(tones.on_accent, tones.accent) >= 4.5


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, definition of contrast ratio and relative luminance."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_the_form_keeps_the_keyboard_when_a_case_opens(window, file):
    window.open_path(file)
    assert window.focusWidget().accessibleName() == "The job: Why the vehicle is here"
    window.workspace.open_step("readings")
    assert by_name(window, "Before the repair: Outside temperature", QLineEdit).isVisible()


def test_a_case_that_another_window_saved_is_asked_about_and_both_are_kept(case, prompts, tmp_path):
    path = tmp_path / "a.heatcase.json"
    prompts.saves = path
    case.document.put("job.title", "Mine")
    assert case.save()
    theirs = Document.read(path)
    theirs.put("job.title", "Theirs")
    theirs.save()
    case.document.put("job.title", "Mine again")
    assert not case.save()
    assert read_case(path).typed("job.title") == "Theirs"
    prompts.outside = SavedElsewhere.KEEP_BOTH
    assert case.save()
    assert read_case(path).typed("job.title") == "Theirs"
    assert read_case(tmp_path / "a (2).heatcase.json").typed("job.title") == "Mine again"


def test_the_window_starts_with_a_dangling_link_among_the_kept_work_and_says_so(make_window, tmp_path):
    folder = tmp_path / "unsaved"
    folder.mkdir()
    (folder / "gone.json").symlink_to(tmp_path / "nowhere")
    window = make_window()
    assert "gone.json" in window.statusBar().currentMessage()


def test_the_banner_speaks_of_something_else_while_a_played_log_is_shown(case, executor):
    executor.run()
    case.workspace.side.context.stands_apart(view_texts.LOG_PLAYED)
    assert case.workspace.results.verdict._stale.text() == view_texts.LOG_PLAYED
    case.workspace.ask()  # something was typed meanwhile, such as a hose read by hand
    executor.run()
    assert case.workspace.results.verdict._stale.text() == view_texts.LOG_PLAYED
    case.workspace.side.context.stands_apart("")
    assert case.workspace.results.verdict._stale.text() == ""


def test_the_charts_of_a_lesson_begin_with_charts_and_not_with_a_table_to_fill(window, executor):
    """The step Charts opened at a box to paste points into; the first picture lay under it, out of sight."""
    window.open_example(next(path for path in example_files() if path.name.startswith("double-pipe")))
    executor.run()
    workspace = window.workspace
    workspace.open_step("charts")
    view = workspace.side.view
    assert workspace.side.name == "Bench"
    assert not view.table.isVisible()
    drawn = [card for card in view.pictures.cards if card.view.plot is not None]
    assert drawn
    workspace.open_step(workspace.job.steps[0].key)
    workspace.stage.show_view("Bench")
    assert view is workspace.side.view
    assert view.table.isVisibleTo(view)
