"""The rail along the left edge: the steps of the job in order, each with how far it is; any can be opened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QWidget

from engcalc.words.texts import job_texts
from ui.window.jobs.steps import Step
from ui.window.plain import plain_label, tip
from ui.window.rhythm import Edges, Gap, em, sideways, upright
from ui.window.theme import show_tone

MOVES = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_End)  # keys that go from step to step
AROUND_A_STEP = Edges(Gap.ONE, Gap.HALF, Gap.ONE, Gap.HALF)
WIDTH_EMS = 11  # of the rail, in heights of a line


class StepMark(Enum):
    """How a step stands: a form of its own, its word, the colour that goes with it."""

    DONE = ("✓", "done", "good")
    NEXT = ("▶", "helps most now", "accent")
    OPEN = ("○", "open", "muted")
    WRONG = ("■", "to mend", "error")
    ALWAYS = ("…", "", "muted")  # neither done nor open: the whole form

    @property
    def shape(self) -> str:
        """The form."""
        return self.value[0]

    @property
    def word(self) -> str:
        """The word."""
        return self.value[1]

    @property
    def tone(self) -> str:
        """The colour, by its name in the theme."""
        return self.value[2]


@dataclass(frozen=True)
class RailLine:
    """One step as the rail shows it."""

    step: Step
    mark: StepMark
    line: str


class StepButton(QPushButton):
    """A step: its form and name, beneath them in small print how it stands and what is in it."""

    pointed = Signal()  # it was opened by mouse: the hand that points goes on to the entries

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number
        self.setCheckable(True)
        self.setProperty("tone", "step")
        self._shape, self._name, self._line = plain_label(), plain_label(), plain_label()
        self._shape.setFixedWidth(em())
        self._line.setWordWrap(True)
        for label in (self._shape, self._name, self._line):
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._name.setProperty("tone", "step name")
        self._line.setProperty("tone", "small")
        words = upright(between=Gap.NONE)
        words.addWidget(self._name)
        words.addWidget(self._line)
        self._row = row = sideways(self, between=Gap.HALF, around=AROUND_A_STEP)
        row.addWidget(self._shape, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(words, 1)
        self._shown: RailLine | None = None

    def show_line(self, shown: RailLine) -> None:
        """Show a step."""
        if shown == self._shown:
            return
        self._shown = shown
        said = " · ".join(part for part in (shown.mark.word, shown.line) if part)
        self._shape.setText(shown.mark.shape)
        for label in (self._shape, self._line):
            show_tone(label, shown.mark.tone if label is self._shape or shown.mark is StepMark.WRONG else "small")
        self._name.setText(shown.step.title)
        self._line.setText(said)
        self.setAccessibleName(f"Step {self.number}, {shown.step.title}")
        self.setAccessibleDescription(f"{said}. {shown.step.tip}.")
        self.setToolTip(tip(f"{shown.step.tip}\nCtrl+{self.number}"))
        self.updateGeometry()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's hook: the rail moves among its steps."""
        if event.key() in MOVES:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Qt's hook."""
        super().mouseReleaseEvent(event)
        if event.button() is Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.pointed.emit()

    @property
    def said(self) -> str:
        """How the step stands, in words."""
        return self._line.text()

    def sizeHint(self) -> QSize:
        """As its words need at the rail's width."""
        return self._wanted()

    def minimumSizeHint(self) -> QSize:
        """As its words need at the rail's width."""
        return self._wanted()

    def _wanted(self) -> QSize:
        width = self.width() if self.width() > em() else WIDTH_EMS * em()
        return QSize(4 * em(), max(self._row.heightForWidth(width), 0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width wraps otherwise."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()


class Rail(QScrollArea):
    """Every step of the job; ``chosen`` tells which one a person wants to open, ``pointed`` that a mouse did it."""

    chosen = Signal(str)
    pointed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(job_texts.STEPS_OF_THE_JOB)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.buttons: list[StepButton] = []
        page = QWidget()
        page.setProperty("tone", "rail")
        self._column = upright(page, between=Gap.NONE)
        self._column.addStretch(1)
        self.setWidget(page)
        self._keys: list[str] = []
        self._fit()

    def show_lines(self, lines: Sequence[RailLine], current: str) -> None:
        """Show the steps; ``current`` is the key of the one that is open."""
        while len(self.buttons) < len(lines):
            self._add()
        self._keys = [line.step.key for line in lines]
        for at, button in enumerate(self.buttons):
            button.setVisible(at < len(lines))
            if at < len(lines):
                button.show_line(lines[at])
                button.setChecked(lines[at].step.key == current)

    def _add(self) -> None:
        number = len(self.buttons)
        button = StepButton(number + 1)
        button.clicked.connect(lambda: self.chosen.emit(self._keys[number]))
        button.pointed.connect(self.pointed)
        self._column.insertWidget(number, button)
        self.buttons.append(button)

    def go_to_rail(self) -> None:
        """Give the keyboard to the step that is open."""
        button = next((button for button in self.buttons if button.isChecked()), self.buttons[0])
        button.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The arrow keys go from step to step; Home and End to the first and the last."""
        shown = [button for button in self.buttons if not button.isHidden()]
        at = next((i for i, button in enumerate(shown) if button.hasFocus()), None)
        if at is None or event.key() not in MOVES:
            super().keyPressEvent(event)
            return
        last = len(shown) - 1
        places = dict(zip(MOVES, (max(at - 1, 0), min(at + 1, last), 0, last), strict=True))
        target = shown[places[Qt.Key(event.key())]]
        target.setFocus()
        self.ensureWidgetVisible(target, 0, 0)

    def restyle(self) -> None:
        """Take sizes from the theme in use."""
        self._fit()

    def _fit(self) -> None:
        self.setFixedWidth(WIDTH_EMS * em())
