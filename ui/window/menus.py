"""The menus: each action once, with its key, and when it can be used."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu

from engcalc.case.file import SUFFIX
from engcalc.units import UnitSystem
from engcalc.words.texts import window_texts
from ui.window import errands
from ui.window.job_book.actions import JobBookActions
from ui.window.jobs.steps import VIEW_TIPS
from ui.window.main_window import MainWindow, example_files
from ui.window.plain import tip
from ui.window.start_page import title_of
from ui.window.theme import TEXT_SIZES, Look

V = TypeVar("V")
Keys = QKeySequence.StandardKey | str | None
MOST_STEPS = 9  # of a job; each has a digit for its key
LOOKS = ((Look.SYSTEM, "As the &system"), (Look.LIGHT, "&Light"), (Look.DARK, "&Dark"))


class Menus(QObject):
    """Builds the menu bar of a window and keeps it in step with the open case; it lives as long as its window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window
        self._needs_case: list[QAction] = []
        self._file()
        self._edit()
        self._jobs()
        self._view()
        self._report()
        self._help()
        window.state_changed.connect(self.refresh)
        window.export_wanted.connect(lambda: errands.export_report(window))
        self.refresh()

    def _action(
        self, menu: QMenu, text: str, act: Callable[[], object], keys: Keys = None, needs_case: bool = False
    ) -> QAction:
        action = menu.addAction(text)
        action.triggered.connect(lambda _checked=False: act())
        if keys is not None:
            action.setShortcut(QKeySequence(keys))
        if needs_case:
            self._needs_case.append(action)
        return action

    def _choices(self, menu: QMenu, choices: Iterable[tuple[V, str]], act: Callable[[V], object]) -> dict[V, QAction]:
        group = QActionGroup(menu)
        made = {}
        for value, text in choices:
            action = self._action(menu, text, partial(act, value))
            action.setCheckable(True)
            group.addAction(action)
            made[value] = action
        return made

    def _file(self) -> None:
        window, menu = self._window, self._window.menuBar().addMenu("&File")
        standard = QKeySequence.StandardKey
        self._action(menu, "&New", window.new_case, standard.New)
        self._action(menu, "&Open...", window.choose_and_open, standard.Open)
        self._recent = menu.addMenu("Open &recent")
        self._recent.setToolTipsVisible(True)
        examples = menu.addMenu("Open e&xample")
        examples.aboutToShow.connect(lambda: self._fill_examples(examples))
        menu.addSeparator()
        self._action(menu, "&Save", window.save, standard.Save, needs_case=True)
        self._action(menu, "Save &as...", window.save_as, "Ctrl+Shift+S", needs_case=True)
        menu.addSeparator()
        self._action(menu, "&Export report...", lambda: errands.export_report(window), "Ctrl+E", needs_case=True)
        menu.addSeparator()
        self._action(menu, "&Quit", window.close, "Ctrl+Q")

    def _edit(self) -> None:
        window, menu = self._window, self._window.menuBar().addMenu("&Edit")
        standard = QKeySequence.StandardKey
        self._undo = self._action(menu, "&Undo", self._undo_step, standard.Undo)
        self._redo = self._action(menu, "&Redo", self._redo_step, standard.Redo)
        menu.addSeparator()
        self._action(
            menu,
            window_texts.COPY_TABLE_OF_RESULTS_WITH_KEY,
            lambda: errands.copy_table(window),
            "Ctrl+Shift+T",
            needs_case=True,
        )
        self._action(menu, "Copy &picture", lambda: errands.copy_picture(window), "Ctrl+Shift+P", needs_case=True)
        menu.addSeparator()
        self._action(menu, "&Work out again", window.check_again, "F5", needs_case=True)

    def _undo_step(self) -> None:
        if self._window.document is not None:
            self._window.document.undo()

    def _redo_step(self) -> None:
        if self._window.document is not None:
            self._window.document.redo()

    def _jobs(self) -> None:
        menu, jobs = self._window.menuBar().addMenu("&Jobs"), JobBookActions(self._window)
        self._action(menu, "&Find a job...", jobs.find_job, QKeySequence.StandardKey.Find)
        self._action(menu, window_texts.KEEP_THIS_CASE_IN_THE_JOB_BOOK_WITH_KEY, jobs.keep, "Ctrl+K", needs_case=True)
        self._action(menu, window_texts.HOW_THIS_JOB_ENDED_WITH_KEY, jobs.how_it_ended, "Ctrl+Shift+K", needs_case=True)
        self._action(menu, window_texts.ALL_THAT_IS_KEPT_OF_THIS_JOB_WITH_KEY, jobs.all_kept, needs_case=True)
        self._action(menu, "This &vehicle before...", jobs.vehicle_before, needs_case=True)
        menu.addSeparator()
        self._action(menu, "&Screen many logs...", jobs.screening)
        self._action(menu, window_texts.HOW_HONEST_THE_ODDS_WERE_WITH_KEY, jobs.honesty)
        self._action(menu, "&Job book...", jobs.job_book)

    def _view(self) -> None:
        window, menu = self._window, self._window.menuBar().addMenu("&View")
        self._steps = [
            self._action(menu, f"&{n}", partial(errands.open_step, window, n), f"Ctrl+{n}", needs_case=True)
            for n in range(1, MOST_STEPS + 1)
        ]
        self._action(menu, "&Next region", lambda: errands.next_region(window), "F6", needs_case=True)
        views = menu.addMenu(window_texts.VIEW_BESIDE_THE_STEP_WITH_KEY)
        views.setToolTipsVisible(True)
        for name, says in VIEW_TIPS.items():
            action = self._action(views, f"&{name}", partial(errands.show_view, window, name), needs_case=True)
            action.setToolTip(tip(says))
        menu.addSeparator()
        self._systems = self._choices(menu.addMenu("&Units"), [(s, s.value) for s in UnitSystem], window.set_system)
        self._action(menu, "S&witch units", self._switch_system, "Ctrl+U")
        self._looks = self._choices(menu.addMenu("&Palette"), LOOKS, window.set_look)
        self._sizes = self._choices(
            menu.addMenu("&Text size"), [(p, f"{p} %") for p in TEXT_SIZES], window.set_text_size
        )
        self._action(menu, "&Larger text", lambda: self._step_size(1), QKeySequence.StandardKey.ZoomIn)
        self._action(menu, "&Smaller text", lambda: self._step_size(-1), QKeySequence.StandardKey.ZoomOut)

    def _switch_system(self) -> None:
        self._window.set_system(UnitSystem.US if self._window.settings.system is UnitSystem.SI else UnitSystem.SI)

    def _step_size(self, step: int) -> None:
        at = TEXT_SIZES.index(self._window.settings.text_size) + step
        self._window.set_text_size(TEXT_SIZES[max(0, min(at, len(TEXT_SIZES) - 1))])

    def _report(self) -> None:
        window, menu = self._window, self._window.menuBar().addMenu("&Report")
        self._action(menu, "Signing &identity...", lambda: errands.signing_identity(window))
        self._action(menu, "&Letterhead...", lambda: errands.letterhead(window))
        self._action(menu, "&Export...", lambda: errands.export_report(window), needs_case=True)
        self._action(menu, "&Problem sheets...", lambda: errands.problem_sheets(window))
        self._action(menu, window_texts.CHECK_A_SIGNED_REPORT_WITH_KEY, lambda: errands.check_report(window))
        self._action(menu, window_texts.PEOPLE_AND_AUTHORITIES_YOU_KNOW_WITH_KEY, lambda: errands.whom_you_know(window))

    def _help(self) -> None:
        window, menu = self._window, self._window.menuBar().addMenu("&Help")
        self._action(menu, "&Help", lambda: errands.show_help(window), "F1")
        self._action(menu, "&Cautions", lambda: errands.show_cautions(window), "Shift+F1")
        self._action(menu, "&Glossary", lambda: errands.show_glossary(window))
        self._action(menu, "&Report of crashes", lambda: errands.show_crashes(window))
        self._action(menu, "&About Heatdocket", lambda: errands.show_about(window))

    # -- in step with the window --------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show what can be done now."""
        window = self._window
        document = window.document
        for action in self._needs_case:
            action.setEnabled(document is not None)
        undo = document.undo_name if document is not None else None
        redo = document.redo_name if document is not None else None
        self._undo.setText(f"&Undo: {undo}" if undo else "&Undo")
        self._undo.setEnabled(undo is not None)
        self._redo.setText(f"&Redo: {redo}" if redo else "&Redo")
        self._redo.setEnabled(redo is not None)
        self._systems[window.settings.system].setChecked(True)
        self._looks[window.settings.look].setChecked(True)
        self._sizes[window.settings.text_size].setChecked(True)
        self._name_steps()
        self._fill_recent()

    def _name_steps(self) -> None:
        workspace = self._window.workspace
        steps = () if workspace is None else workspace.job.steps
        for number, action in enumerate(self._steps, 1):
            there = number <= len(steps)
            action.setVisible(there)
            action.setEnabled(there)
            action.setText(f"&{number} {steps[number - 1].title}" if there else f"&{number}")

    def _fill_recent(self) -> None:
        recent = self._window.settings.recent
        shown = [action.data() for action in self._recent.actions()]
        if shown == [str(path) for path in recent]:
            return
        self._recent.clear()
        self._recent.setEnabled(bool(recent))
        names = [path.name.removesuffix(SUFFIX) for path in recent]
        for path, name in zip(recent, names, strict=True):
            told = name if names.count(name) == 1 else f"{name}, in {path.parent}"
            self._path_action(self._recent, told, path, self._window.open_path)

    def _fill_examples(self, menu: QMenu) -> None:
        menu.clear()
        for path in example_files():
            self._path_action(menu, title_of(path), path, self._window.open_example)

    def _path_action(self, menu: QMenu, text: str, path: Path, act: Callable[[Path], object]) -> None:
        action = self._action(menu, text.replace("&", "&&"), lambda: act(path))
        action.setToolTip(tip(str(path)))
        action.setData(str(path))
