"""A monkey at the window: buttons, keys, menus and dialogs by chance, with the engine at work behind it.

    PYTHONPATH=.:tests/trust QT_QPA_PLATFORM=offscreen python tests/trust/window_monkey.py 20000       prints JSON

It works on copies of the examples in a home of its own. Whatever is raised in a slot is a defect; so are a thread that
is left when the window has closed, and memory that grows on and on. Linux: memory is read from /proc.
"""

from __future__ import annotations

import gc
import json
import os
import random
import shutil
import sys
import tempfile
import threading
import time
import traceback
from collections import deque
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from pathlib import Path

from fuzzed_inputs import SEED
from PySide6.QtCore import QEvent, QPointF, Qt, QTimer
from PySide6.QtGui import QAction, QDesktopServices, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QDialog,
    QFileDialog,
    QLineEdit,
    QPlainTextEdit,
    QTabBar,
    QWidget,
)

import worked_examples
from engcalc.case.file import SUFFIX
from engcalc.diagnosis.odds.sampler import Effort
from ui.recovery import default_folder
from ui.window import theme
from ui.window.main_window import MainWindow
from ui.window.memory import give_back, keep_arrays_apart
from ui.window.menus import Menus
from ui.window.prompts import Unsaved
from ui.window.settings import Settings, default_file
from ui.window.views import side
from ui.window.views.causes.view import CausesView

KEYS = (
    *(Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_Space, Qt.Key.Key_Delete),
    *(Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Home, Qt.Key.Key_End),
    *(Qt.Key.Key_PageDown, Qt.Key.Key_F6, Qt.Key.Key_F5, Qt.Key.Key_Backspace),
)
WORDS = (
    "90 °C",
    "35 degC",
    "-40",
    "1e9 kW",
    "",
    "?",
    "2.5 mm",
    "50 %",
    "van",
    "<b>x</b>",
    "P0128",
    "12",
    "0",
    "x" * 300,
)
NOT_TRIGGERED = ("Quit",)  # the monkey works to its end
SELDOM = ("%", "Larger text", "Smaller text", "Light", "Dark", "As the system")  # they lay everything out anew
OUT_OF_A_DIALOG = 0.08  # chance of each step inside one that it is left
MEASURED_EVERY = 500  # steps
AT_REST_EVERY = 1000  # steps; then the case is left, so that what its fields take is not taken for growth
IDLE_THREADS_END = 60.0  # s; Qt's pools let a thread go that had nothing to do for 30 s
FEW = 1000  # steps; after fewer nobody waits for that
FEW_DRAWS = Effort(prior=24, steps=1, first=16, round=150, rounds=1)  # odds are not what is looked at


@dataclass
class Seen:
    """What a run saw: steps, memory [MB], that with no case open, and widgets at every so many of them; threads before
    and after."""

    steps: int = 0
    dialogs: int = 0
    memory: list[int] = field(default_factory=list)
    at_rest: list[int] = field(default_factory=list)  # the same with no case open
    widgets: list[int] = field(default_factory=list)
    threads_before: int = 0
    threads_after: int = 0
    longest: float = 0.0  # s of one step, in which the window did not answer
    slowest: list[str] = field(default_factory=list)
    defects: list[str] = field(default_factory=list)


def memory() -> int:
    """What this process holds in memory, MB."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") // 1_000_000


def threads() -> int:
    """How many threads this process has, those of libraries too."""
    return len(list(Path("/proc/self/task").iterdir()))


class Monkey:
    """Does one thing after the other until it has done ``count``; then it closes the window and ends the loop."""

    def __init__(self, window: MainWindow, folder: Path, count: int, seed: int) -> None:
        self.window, self.folder, self.count = window, folder, count
        self.draw, self.seen = random.Random(seed), Seen()
        self._last: deque[str] = deque(maxlen=12)
        self._rests_at = AT_REST_EVERY
        self._actions: tuple[Callable[[QWidget], None], ...] = (
            *[self._press_button] * 4,
            *[self._type_words] * 3,
            *[self._press_key] * 3,
            *[self._choose] * 2,
            self._trigger,
            self._click_anywhere,
        )

    def raised(self, kind: type[BaseException], fault: BaseException, trace: object) -> None:
        """Note what was raised in a slot, with what was done before."""
        where = "".join(traceback.format_exception(kind, fault, trace)[-3:])
        self.seen.defects.append(f"{where} after {list(self._last)}"[:1500])

    def step(self) -> None:
        """One thing. The next is asked for first: what is done may open a dialog that runs on until it is left."""
        if self.seen.steps >= self.count:
            self._end()
            return
        QTimer.singleShot(0, self.step)
        self.seen.steps += 1
        if self.seen.steps % MEASURED_EVERY == 1:
            gc.collect()
            self.seen.memory.append(memory())
            self.seen.widgets.append(len(QApplication.allWidgets()))
            sys.stderr.write(f"{self.seen.steps} steps, {memory()} MB, {self.seen.widgets[-1]} widgets\n")
        root = QApplication.activePopupWidget() or QApplication.activeModalWidget() or self.window
        if root is self.window and self.seen.steps >= self._rests_at:
            self._rests_at += AT_REST_EVERY
            self._rest()
            return
        if root is not self.window and self.draw.random() < OUT_OF_A_DIALOG:
            self.seen.dialogs += 1
            root.close()
            return
        before, number = time.perf_counter(), self.seen.steps
        act = self.draw.choice(self._actions)
        self._last.append(f"{act.__name__} in {type(root).__name__}")
        act(root)
        took = time.perf_counter() - before
        if number == self.seen.steps and took > self.seen.longest:  # no dialog ran meanwhile
            self.seen.longest, self.seen.slowest = took, list(self._last)[-2:]

    def _rest(self) -> None:
        """Leave the case, and see what is held with none open."""
        asks = self.window.prompts.unsaved
        self.window.prompts.unsaved = lambda *_: Unsaved.DISCARD
        self.window.show_start()
        self.window.prompts.unsaved = asks
        for _ in range(3):
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
            gc.collect()
        give_back()
        self.seen.at_rest.append(memory())
        sys.stderr.write(f"at rest {memory()} MB, {len(QApplication.allWidgets())} widgets\n")

    def _end(self) -> None:
        for widget in QApplication.topLevelWidgets():
            if isinstance(widget, QDialog) and widget.isVisible():
                widget.reject()
        if QApplication.activeModalWidget() is not None:
            QTimer.singleShot(20, self._end)
            return
        self.window.prompts.unsaved = lambda *_: Unsaved.DISCARD
        self.window.close()
        QApplication.quit()

    # ---- what it does -----------------------------------------------------------------------------------------------

    def _some(self, root: QWidget, kind: type[QWidget]) -> QWidget | None:
        there = [one for one in root.findChildren(kind) if one.isVisible() and one.isEnabled()]
        return self.draw.choice(there) if there else None

    def _press_button(self, root: QWidget) -> None:
        button = self._some(root, QAbstractButton)
        if isinstance(button, QAbstractButton):
            self._last.append(button.text())
            button.click()

    def _type_words(self, root: QWidget) -> None:
        line = self._some(root, QLineEdit) or self._some(root, QPlainTextEdit)
        words = self.draw.choice(WORDS)
        if isinstance(line, QLineEdit) and not line.isReadOnly():
            line.setFocus()
            line.selectAll()
            line.insert(words)
            line.textEdited.emit(line.text())
            line.editingFinished.emit()
        elif isinstance(line, QPlainTextEdit) and not line.isReadOnly():
            line.setPlainText(words)

    def _press_key(self, root: QWidget) -> None:
        target = QApplication.focusWidget() or root
        key = self.draw.choice(KEYS)
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            QApplication.postEvent(target, QKeyEvent(kind, key, Qt.KeyboardModifier.NoModifier))

    def _choose(self, root: QWidget) -> None:
        chosen = self._some(root, self.draw.choice((QComboBox, QTabBar, QAbstractItemView)))
        if isinstance(chosen, QComboBox | QTabBar) and chosen.count():
            chosen.setCurrentIndex(self.draw.randrange(chosen.count()))
        elif isinstance(chosen, QAbstractItemView) and chosen.model() is not None and chosen.model().rowCount():
            chosen.setCurrentIndex(chosen.model().index(self.draw.randrange(chosen.model().rowCount()), 0))

    def _trigger(self, root: QWidget) -> None:
        actions = [one for one in root.findChildren(QAction) if one.isEnabled() and one.text() and one.menu() is None]
        actions = [one for one in actions if one.text().replace("&", "") not in NOT_TRIGGERED]
        if self.draw.random() < 0.9:
            actions = [one for one in actions if not one.text().replace("&", "").endswith(SELDOM)]
        if actions:
            action = self.draw.choice(actions)
            self._last.append(action.text())
            action.trigger()

    def _click_anywhere(self, root: QWidget) -> None:
        at = QPointF(self.draw.randrange(max(1, root.width())), self.draw.randrange(max(1, root.height())))
        target = root.childAt(at.toPoint()) or root
        place = target.mapFrom(root, at) if target is not root else at
        left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        for kind, held in ((QEvent.Type.MouseButtonPress, left), (QEvent.Type.MouseButtonRelease, Qt.MouseButton(0))):
            QApplication.postEvent(target, QMouseEvent(kind, place, target.mapToGlobal(place), left, held, none))

    # ---- what it is asked -------------------------------------------------------------------------------------------

    def file_to_open(self, *_: object, **__: object) -> tuple[str, str]:
        """A file of any kind from its folder, or none."""
        files = sorted(path for path in self.folder.rglob("*") if path.is_file())
        return (str(self.draw.choice(files)) if files and self.draw.random() < 0.8 else "", "")

    def file_to_save(self, *_: object, **__: object) -> tuple[str, str]:
        """A place to save to, new or taken, or none."""
        names = ("", f"saved{self.draw.randrange(5)}{SUFFIX}", f"report{self.draw.randrange(3)}.pdf", "gone/x.pdf")
        name = self.draw.choice(names)
        return (str(self.folder / name) if name else "", "")


def home_of_its_own(place: Path) -> Path:
    """An empty home with copies of the examples in it; from now on this process has it."""
    os.environ["HOME"] = str(place)
    for name in ("CONFIG", "STATE", "DATA", "CACHE"):
        os.environ[f"XDG_{name}_HOME"] = str(place / name.lower())
    folder = place / "cases"
    folder.mkdir()
    for path in worked_examples.folder().rglob("*"):
        if path.suffix in {".json", ".csv"}:
            shutil.copy(path, folder)
    return folder


def let_loose(count: int, seed: int = SEED) -> Seen:
    """The monkey at a window of its own; needs a process of its own."""
    with tempfile.TemporaryDirectory() as place:
        folder = home_of_its_own(Path(place))
        os.chdir(folder)  # what it types where a file is wanted is a name there
        keep_arrays_apart()  # as the program does
        application = QApplication([])
        side.VIEWS["Causes"] = lambda context: CausesView(context, FEW_DRAWS)
        settings = Settings(default_file())
        theme.apply(application, settings.look, settings.text_size)
        window = MainWindow(settings, default_folder())
        Menus(window)
        monkey = Monkey(window, folder, count, seed)
        sys.excepthook = monkey.raised
        threading.excepthook = lambda given: monkey.raised(given.exc_type, given.exc_value, given.exc_traceback)
        QFileDialog.getOpenFileName = monkey.file_to_open
        QFileDialog.getSaveFileName = monkey.file_to_save
        QFileDialog.getExistingDirectory = lambda *_, **__: str(folder)
        QDesktopServices.openUrl = lambda *_: True
        monkey.seen.threads_before = threads()
        window.show()
        QTimer.singleShot(0, monkey.step)
        application.exec()
        window.deleteLater()
        until = time.monotonic() + (IDLE_THREADS_END if count >= FEW else 0.0)
        while threads() > monkey.seen.threads_before and time.monotonic() < until:
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
            QApplication.processEvents()
            time.sleep(0.1)
        monkey.seen.threads_after = threads()
        monkey.seen.memory.append(memory())
        return monkey.seen


if __name__ == "__main__":
    sys.stdout.write(json.dumps(asdict(let_loose(int(sys.argv[1]))), indent=1) + "\n")
