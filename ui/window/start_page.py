"""The page the program opens with: three ways in, unsaved work that was found, recent cases, examples."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from engcalc.case.file import SUFFIX, read_case
from engcalc.case.text import FORMAT, CaseText
from engcalc.errors import InputError
from engcalc.words.texts import window_texts
from ui.recovery import Recovered
from ui.window.form.fields import words
from ui.window.plain import plain_label, tip
from ui.window.rhythm import AROUND_A_DIALOG, Edges, Gap, em, sideways, turning, upright

if TYPE_CHECKING:
    from ui.window.job_book.job_list import Find

LONGEST_NAME = 60  # letters of what unsaved work is called
SIDE_BY_SIDE = 60  # heights of a line; from this width on the cases stand beside the ways in


@dataclass(frozen=True)
class StartingPoint:
    """One way in: what it is for, what stands in the case from the beginning."""

    title: str
    says: str
    button: str
    text: CaseText


class WayIn(Enum):
    """The three ways in."""

    COMPLAINT = StartingPoint(
        "A complaint",
        window_texts.HEATER_STAYS_COLD,
        window_texts.START_WITH_A_COMPLAINT,
        CaseText(),
    )
    RADIATOR = StartingPoint(
        window_texts.RADIATOR_TO_SIZE,
        window_texts.POWER_CORE_FAN_AND_PUMP_AGAINST,
        window_texts.START_WITH_A_RADIATOR,
        CaseText({"format": FORMAT, "job": {"reason": "sizing"}}),
    )
    LESSON = StartingPoint(
        "A lesson",
        window_texts.BENCH_EXCHANGER_WITH_TWO_FLOWS,
        window_texts.START_WITH_A_LESSON,
        CaseText({"format": FORMAT, "job": {"reason": "lesson"}, "vehicle": {"class": "bench rig"}}),
    )


class StartPage(QScrollArea):
    """Three ways in, recent cases, examples."""

    started = Signal(object)  # a WayIn
    chosen = Signal(object)  # the path of a case
    example_chosen = Signal(object)  # the path of an example
    restored = Signal(object)  # a Recovered
    forgotten = Signal(object)  # a Recovered
    job_chosen = Signal(int)  # a job of the book
    book_asked = Signal()  # the job book itself is to be chosen or made

    def __init__(self) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Start page")
        self._both: QBoxLayout | None = None

    def show_cases(
        self, recent: list[Path], examples: list[Path], unsaved: list[Recovered], find: Find | None = None
    ) -> None:
        """Build the page. ``find`` gives jobs of the book that is in use."""
        page = QWidget()
        column = upright(page, between=Gap.TWO, around=Edges(Gap.FOUR, Gap.FOUR, Gap.FOUR, Gap.TWO))
        name = plain_label("Heatdocket")
        name.setProperty("type", "title")
        column.addWidget(name)
        column.addWidget(
            words(
                window_texts.DOES_THE_COOLING_HOLD,
                "muted",
            )
        )
        if unsaved:
            column.addWidget(self._unsaved(unsaved))
        self._both = turning(self._direction(), between=Gap.FOUR)
        self._both.addLayout(self._ways(), 3)
        self._both.addLayout(self._cases(recent, examples, find), 2)
        column.addLayout(self._both)
        column.addStretch(1)
        self.setWidget(page)

    def _direction(self) -> QBoxLayout.Direction:
        """Cases beside the three ways in, or beneath them where the width does not hold both."""
        wide = self.viewport().width() >= SIDE_BY_SIDE * em()
        return QBoxLayout.Direction.LeftToRight if wide else QBoxLayout.Direction.TopToBottom

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's hook."""
        super().resizeEvent(event)
        if self._both is not None:
            self._both.setDirection(self._direction())

    def _ways(self) -> QVBoxLayout:
        column = upright()
        column.addWidget(_heading(window_texts.WHAT_IS_ON_THE_BENCH))
        for way in WayIn:
            column.addWidget(self._way(way))
        column.addStretch(1)
        return column

    def _way(self, way: WayIn) -> QFrame:
        """One way in: what it is for, and the button that begins it."""
        frame = QFrame()
        frame.setProperty("tone", "card")
        column = upright(frame, around=AROUND_A_DIALOG)
        column.addWidget(plain_label(way.value.title, tone="heading"))
        column.addWidget(words(way.value.says, ""))
        button = QPushButton(way.value.button)
        button.setProperty("tone", "main")
        button.setAccessibleName(way.value.button)
        button.clicked.connect(lambda _checked=False, way=way: self.started.emit(way))
        column.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        return frame

    def _cases(self, recent: list[Path], examples: list[Path], find: Find | None) -> QVBoxLayout:
        column = upright(between=Gap.HALF)
        column.addWidget(_heading("Recent cases"))
        if not recent:
            column.addWidget(words(window_texts.NONE_YET_A_CASE_CAN_ALSO_BE_DRAGGED, "muted"))
        for path in recent:
            column.addWidget(self._case_button(path.name.removesuffix(SUFFIX), str(path.parent), path, self.chosen))
        below = upright(between=Gap.HALF)
        below.addWidget(_heading("Examples"))
        for path in examples:
            below.addWidget(self._case_button(title_of(path), "", path, self.example_chosen))
        both = upright(between=Gap.TWO)
        both.addWidget(self._no_book() if find is None else self._jobs(find))
        both.addLayout(column)
        both.addLayout(below)
        both.addStretch(1)
        return both

    def _jobs(self, find: Find) -> QWidget:
        """Open jobs, and any job by its words; imported where there is a book, to keep the start short."""
        from engcalc.words.workshop.book_words import OPEN_JOBS
        from ui.window.job_book.job_list import JobList

        jobs = JobList(find, OPEN_JOBS, lines=3)
        jobs.chosen.connect(self.job_chosen)
        return jobs

    def _no_book(self) -> QWidget:
        """Says what a job book is, and leads to one."""
        frame = QWidget()
        column = upright(frame, between=Gap.HALF)
        column.addWidget(_heading("Jobs"))
        column.addWidget(words(window_texts.NO_JOB_BOOK_IS_IN_USE_YET, "muted"))
        button = QPushButton(window_texts.CHOOSE_OR_MAKE_A_JOB_BOOK)
        button.setProperty("tone", "link")
        button.setAccessibleName(window_texts.TITLE_OF_CHOOSING_A_JOB_BOOK)
        button.clicked.connect(self.book_asked)
        column.addWidget(button)
        return frame

    def _case_button(self, name: str, where: str, path: Path, signal: SignalInstance) -> QWidget:
        button = QPushButton(name)
        button.setProperty("tone", "link")
        button.setToolTip(tip(str(path)))
        button.setAccessibleName(f"Open {name}")
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda: signal.emit(path))
        if not where:
            return button
        both = QWidget()
        column = upright(both, between=Gap.NONE)
        column.addWidget(button)
        column.addWidget(words(where, "muted"))
        return both

    def _unsaved(self, unsaved: list[Recovered]) -> QFrame:
        frame = QFrame()
        frame.setProperty("tone", "card")
        column = upright(frame, around=AROUND_A_DIALOG)
        column.addWidget(_heading(window_texts.UNSAVED_WORK_WAS_FOUND))
        for work in unsaved:
            name = _name_of(work)
            column.addWidget(words(f"{name}, kept {work.when.replace('T', ' at ')}", ""))
            row = sideways()
            for word, signal in (("Restore", self.restored), ("Throw away", self.forgotten)):
                button = QPushButton(word)
                button.setAccessibleName(f"{word}: {name}")
                button.clicked.connect(lambda _checked=False, signal=signal, work=work: signal.emit(work))
                row.addWidget(button)
            row.addStretch(1)
            column.addLayout(row)
        return frame


def _name_of(work: Recovered) -> str:
    """What the person would know the work by: its title, its file, the complaint, the class of vehicle."""
    typed = (work.text.typed(path).strip() for path in ("job.title", "job.complaint", "vehicle.class"))
    names = [next(typed), work.case_path.name if work.case_path else "", *typed, window_texts.CASE_WITHOUT_A_FILE]
    name = next(name for name in names if name)
    return name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}…"


def _heading(text: str) -> QLabel:
    return plain_label(text, tone="step title")


def title_of(path: Path) -> str:
    """The title that a case file gives itself, or its name."""
    try:
        return read_case(path).typed("job.title") or path.name.removesuffix(SUFFIX)
    except InputError:
        return path.name.removesuffix(SUFFIX)
