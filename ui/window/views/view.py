"""What every view beside the verdict does: it shows the document when it is in sight, and nothing when it is not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from engcalc.case.case import Case
from engcalc.causes.base_rates import OtherRates
from engcalc.units import UnitSystem
from engcalc.words.texts import view_texts
from ui.document import Document
from ui.window.dialogs.background import Background, LongWork, in_words
from ui.window.results.card import PictureCard
from ui.window.results.table import TableView
from ui.window.rhythm import BESIDE_A_BAR, upright
from ui.window.scrolled import Page, scrolled
from ui.window.settings import Settings
from ui.window.views.tables import copy_text
from ui.window.views.waiting import WaitingLine

if TYPE_CHECKING:
    from engcalc.diagnosis.odds.diagnosis import Diagnosis
    from engcalc.studies.checked import Check
    from engcalc.vehicle.warmup_study import WarmupStudy
    from ui.book.own_history import EarlierRecord, HistoryNotUsed

A = TypeVar("A")
WorkedOut = tuple["WarmupStudy | None", "Diagnosis | None"]


@dataclass(eq=False)
class Context:
    """What the views of one open case share: ``worked_out`` gives what other views have found of what stands typed,
    ``export`` opens the way to a report, ``ended`` that to how the job ended. ``own_rates`` gives the workshop's own
    base rates where they are to count; it raises FileFault where they cannot be read. ``own_history`` gives the record
    that is expected of the vehicle, or why there is none; None without a job book, or where it is switched off.
    ``weighed`` is told final odds of what stands typed: the one conclusion counts them. ``stands_apart`` is told
    why what the view in sight shows is no part of the case, empty where it is."""

    document: Document
    settings: Settings
    system: UnitSystem = UnitSystem.SI
    check: Check | None = None
    worked_out: Callable[[], WorkedOut] = lambda: (None, None)
    export: Callable[[], object] = lambda: None
    ended: Callable[[], object] = lambda: None
    own_rates: Callable[[Case], OtherRates | None] = lambda _case: None
    own_history: Callable[[], EarlierRecord | HistoryNotUsed | None] = lambda: None
    weighed: Callable[[Diagnosis], object] = lambda _odds: None
    stands_apart: Callable[[str], object] = lambda _why: None

    @property
    def case(self) -> Case | None:
        """The last case without faults."""
        return self.document.good

    @property
    def behind(self) -> str:
        """Why an answer is older than what stands typed; empty when it is not."""
        count = len(self.document.faults)
        if not count:
            return ""
        mend = "one thing" if count == 1 else f"{count} things"
        return view_texts.ENTRIES_HAVE_TO_MEND.format(mend=mend)


class View(QWidget):
    """One view. ``refresh`` is called when it comes into sight and, while it is, after each change."""

    def __init__(self, context: Context) -> None:
        super().__init__()
        self.context = context

    def refresh(self) -> None:
        """Show what stands in the document, in the system of units in use."""
        raise NotImplementedError  # each kind its own; Qt's metaclass leaves no room for an abstract class

    def text_to_copy(self) -> str:
        """What is copied as the view's table: the chosen rows of its first table, or all. Empty where it has none."""
        table = self.findChild(TableView)
        return "" if table is None else table.copied_text()

    def copy_table(self) -> bool:
        """Put the view's table on the clipboard; False when it has none."""
        text = self.text_to_copy()
        if not text.strip():
            return False
        copy_text(text)
        return True

    def copy_picture(self) -> bool:
        """Put the view's first picture on the clipboard; False when none is drawn."""
        drawn = (card for card in self.findChildren(PictureCard) if card.view.plot is not None)
        card = next(drawn, None)
        if card is None:
            return False
        card.view.copy()
        return True

    def leave_out_entry(self, left_out: bool) -> None:
        """Hide what can be entered here beside the form, or show it again. Most views have nothing of the kind."""

    def leave(self) -> None:
        """Out of sight: nobody waits for an answer."""

    def close_view(self) -> None:
        """The case is closed: end all work."""


@dataclass(frozen=True, eq=False)
class Question(Generic[A]):
    """What is to be worked out. Equal keys mean equal answers, so that nothing is worked out twice."""

    key: tuple[object, ...]
    work: LongWork[A]


@dataclass(frozen=True, eq=False)
class AnsweredQuestion(Generic[A]):
    """The key of a question with the final answer to it."""

    key: tuple[object, ...] | None
    answer: A


class LongView(View, Generic[A]):
    """A view whose answer comes from a worker; an answer that is overtaken is dropped."""

    asks_in = "warn"  # the tone in which it says what it still wants

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.background = Background(self)
        self.line = WaitingLine()
        self.line.stop_wanted.connect(self.stop)
        self.line.go_wanted.connect(self.go_on)
        self.background.progressed.connect(self.line.show_progress)
        self.background.came_early.connect(self._take_early)
        self._asked: tuple[object, ...] | None = None
        self._answered: AnsweredQuestion[A] | None = None
        self._declined: tuple[object, ...] | None = None  # the question that was stopped
        self._is_early = False  # what is shown came before the final answer

    # ---- what a view of this kind says ------------------------------------------------------------------------------

    def question(self) -> Question[A] | str:
        """What is to be worked out, or in words why there is nothing to be."""
        raise NotImplementedError  # each kind its own; Qt's metaclass leaves no room for an abstract class

    def show_answer(self, answer: A) -> None:
        """Show an answer in the system of units in use."""
        raise NotImplementedError  # each kind its own; Qt's metaclass leaves no room for an abstract class

    def show_early(self, answer: Any) -> None:
        """Show what is there before the final answer: whatever the view's own work tells. A view whose work tells of
        none never gets here."""

    def show_nothing(self) -> None:
        """Take away what an answer showed."""
        raise NotImplementedError  # each kind its own; Qt's metaclass leaves no room for an abstract class

    # ---- asking and answering ---------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Ask anew where something changed; else show the answer there is."""
        question = self.question()
        if isinstance(question, str):
            self._forget()
            self.show_nothing()
            self.line.say(question, self.asks_in)
        elif self._answered is not None and question.key == self._answered.key:
            self.background.cancel()
            self._asked = None
            self._show(self._answered.answer)
        elif question.key != self._declined and not (self.background.busy and question.key == self._asked):
            self._asked = question.key
            self.line.wait()
            self.background.run_long(question.work, self._take, self._failed)

    def _take_early(self, answer: Any) -> None:
        self._is_early = True
        self.show_early(answer)

    def _take(self, answer: A) -> None:
        self._answered, self._asked = AnsweredQuestion(self._asked, answer), None
        self._show(answer)

    def _show(self, answer: A) -> None:
        self._is_early = False
        self.line.say(self.context.behind)
        self.show_answer(answer)

    def _failed(self, error: Exception) -> None:
        self._forget()
        self.show_nothing()
        self.line.say(in_words(error), "error")

    def _forget(self) -> None:
        self.background.cancel()
        self._asked = self._answered = None
        self._is_early = False

    def stop(self) -> None:
        """Give up what is being worked out until something changes or it is wanted after all; what is shown stays."""
        self.background.cancel()
        self._declined, self._asked = self._asked, None
        self.line.stopped(
            view_texts.STOPPED_EARLY
            if self._is_early
            else view_texts.STOPPED_THERE_IS_NO_ANSWER_TO_WHAT
            if self.answer is None
            else view_texts.STOPPED_OLDER
        )

    def go_on(self) -> None:
        """Work out what was stopped, after all."""
        self._declined = None
        self.refresh()

    def leave_out_entry(self, left_out: bool) -> None:
        """Hide what can be entered here beside the form, or show it again. Most views have nothing of the kind."""

    def leave(self) -> None:
        """Out of sight: nobody waits for an answer."""
        self.background.cancel()
        self._asked = None

    def text_to_copy(self) -> str:
        """The table of the answer; empty while there is no answer."""
        return "" if self.answer is None else super().text_to_copy()

    def close_view(self) -> None:
        """End all work."""
        self.background.close()
        self.line.close_line()

    def current(self) -> A | None:
        """The answer to exactly what stands typed now; None where there is none."""
        question = self.question()
        if isinstance(question, str) or self._answered is None or self.context.behind:
            return None
        return self._answered.answer if question.key == self._answered.key else None

    @property
    def answer(self) -> A | None:
        """The answer that is shown, if any."""
        return None if self._answered is None else self._answered.answer


class PartsView(LongView[A]):
    """A long view that shows its answer in parts under one another, all hidden without an answer."""

    parts: tuple[QWidget, ...] = ()

    def page_of(self, *parts: QWidget) -> QScrollArea:
        """The parts under one another on a page that scrolls."""
        self.parts = parts
        page = Page()
        body = upright(page, around=BESIDE_A_BAR)
        for part in parts:
            body.addWidget(part)
        body.addStretch(1)
        return scrolled(page, view_texts.WHAT_WAS_WORKED_OUT)

    def show_parts(self) -> None:
        """Bring every part into sight."""
        for part in self.parts:
            part.show()

    def show_nothing(self) -> None:
        """Take everything away."""
        for part in self.parts:
            part.hide()


def column(widget: QWidget, *parts: QWidget, stretch: QWidget | None = None) -> QVBoxLayout:
    """Lay parts under one another without margins; ``stretch`` takes what height is left."""
    layout = upright(widget)
    for part in parts:
        layout.addWidget(part, int(part is stretch))
    return layout
