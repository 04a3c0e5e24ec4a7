"""The panel of results: everything that carries the verdict. The window sets its verdict bar on top of every view."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QPushButton, QWidget

from engcalc.studies.checked import Check, DutyCheck
from engcalc.units import UnitSystem
from engcalc.words.answer.answer import class_heading
from engcalc.words.answer.reasons import deciding, is_empty_lesson
from engcalc.words.diagnosis.conclusion_words import CAPACITY_QUESTION
from engcalc.words.lesson.bench_words import answer_tables
from engcalc.words.texts import window_texts
from reports.plots.registry import ChosenDuty, Screen
from ui.window.paragraph import paragraph
from ui.window.results import content
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.drawing import PictureView
from ui.window.results.index_below import IndexBelow
from ui.window.results.lines import Sentence, Sentences
from ui.window.results.table import SYMBOLS, TableView
from ui.window.results.titled_table import TitledTable, show_tables
from ui.window.results.verdict_bar import SIGNS, WAITING, VerdictBar, sign_of
from ui.window.rhythm import BESIDE_A_BAR, Gap, em, gridded, upright
from ui.window.scrolled import Page, scrolled
from ui.window.still_combo import StillTabs

SIDE_BY_SIDE = 62  # lines of text; from this width on two pictures stand beside one another


class ResultsPanel(QWidget):
    """Shows a check. Gets whole checks handed in and computes nothing; numbers appear in the system set."""

    duty_chosen = Signal(int)
    place_tapped = Signal(str)  # a place of the circuit at which a reading is to be taken

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Results")
        self._check: Check | None = None
        self._answers = True  # unless what the check was made of is nothing
        self._system = UnitSystem.SI
        self._chosen_by_hand = False  # until then the pictures follow the duty that decides
        self._last_picture: PictureView | None = None
        self.verdict = VerdictBar(self)
        self.duties = StillTabs("Duty")
        self._page = _Page(self)
        self._set_up()
        self._connect()

    # ---- what the window calls --------------------------------------------------------------------------------------

    def show_check(self, check: Check, stale: bool = False) -> None:
        """Show a check in place of the one before; ``stale`` says that it is older than what is typed."""
        self._check, self._answers = check, True
        self._fill_duties(check)
        self._refresh()
        self.show_stale(window_texts.THIS_IS_THE_ANSWER_TO_WHAT_WAS_TYPED_BEFORE if stale else "")

    def show_stale(self, reason: str) -> None:
        """Keep the last answer and say why it is out of date; an empty reason takes that back."""
        self.verdict.show_stale(reason)

    def show_no_answer(self, reason: str) -> None:
        """Say why there is no answer to what stands typed, where the last one answered nothing that was typed."""
        self._answers = False
        self.verdict.show_verdict(WAITING, "")
        self.verdict.show_stale(reason)

    def set_system(self, system: UnitSystem) -> None:
        """Show all numbers in another system; nothing is computed anew."""
        if system is not self._system:
            self._system = system
            self._refresh()

    def clear(self) -> None:
        """Back to before any answer."""
        self._check, self._chosen_by_hand = None, False
        self.verdict.show_verdict(WAITING, "")
        self.verdict.show_stale("")
        self.duties.hide()
        self._page.hide()

    def copy_table(self) -> None:
        """Put the table of results (its selected rows, or all) on the clipboard, tab-separated."""
        self._page.table.copy()

    def copy_picture(self) -> None:
        """Put the picture that was last used on the clipboard; the first of the chosen duty when none was."""
        (self._last_picture or self._page.duty.cards[0].view).copy()

    @property
    def check(self) -> Check | None:
        """The check that is shown."""
        return self._check

    # ---- filling ----------------------------------------------------------------------------------------------------

    def _fill_duties(self, check: Check) -> None:
        self.duties.blockSignals(True)
        while self.duties.count() > len(check.duties):
            self.duties.removeTab(self.duties.count() - 1)
        while self.duties.count() < len(check.duties):
            self.duties.addTab("")
        for i, duty in enumerate(check.duties):
            sign = SIGNS[duty.verdict]
            self.duties.setTabText(i, f"{sign.shape} {duty.name}".replace("&", "&&"))
            self.duties.setTabToolTip(i, f"{duty.name}: {sign.word.lower()}")
        hardest = deciding(check)
        if hardest is not None and not self._chosen_by_hand:
            self.duties.setCurrentIndex(hardest.index)
        self.duties.blockSignals(False)
        self._place_duties(check)
        self._page.setVisible(not is_empty_lesson(check))

    def _place_duties(self, check: Check) -> None:
        """The tabs of the duties: above everything where these are what is asked, else with what is said of them."""
        judged = bool(class_heading(check))
        self._page.put_in_order(judged=judged)
        if judged:
            self._page.take_duties(self.duties)
        elif self._layout.indexOf(self.duties) < 0:
            self._layout.insertWidget(1, self.duties)
        QWidget.setTabOrder(self._page.keys_before_duties if judged else self.verdict, self.duties)
        self.duties.setVisible(len(check.duties) > 1)

    def _refresh(self) -> None:
        """Show everything of the check for the chosen duty."""
        if self._check is None:
            return
        if self._answers:
            self.verdict.show_verdict(
                sign_of(self._check), content.headline_of(self._check, self._system), content.next_of(self._check)
            )
        self._page.show_check(self._check, max(self.duties.currentIndex(), 0), self._system)

    def _chosen(self, index: int) -> None:
        self._chosen_by_hand = True
        self._refresh()
        self.duty_chosen.emit(index)

    # ---- putting together -------------------------------------------------------------------------------------------

    def _set_up(self) -> None:
        self._layout = upright(self)
        self._layout.addWidget(self.verdict)
        self._layout.addWidget(self.duties)
        self._layout.addWidget(scrolled(self._page, "Results, page"), 1)
        self.clear()

    def _connect(self) -> None:
        self.duties.currentChanged.connect(self._chosen)
        for card in self._page.cards:
            card.view.focused.connect(lambda view=card.view: self._used(view))
            card.view.tapped.connect(self.place_tapped)

    def _used(self, view: PictureView) -> None:
        self._last_picture = view

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self.verdict.restyle()
            self._page.restyle()


class _Page(Page):
    """Everything under the verdict, in the order in which it is read.

    Of a vehicle that was judged: what to mind in the next step, why, what else was noted, and only then the duties.
    Of a class: why its duties are held or not, then what to mind.
    """

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.duty_sentence = paragraph()
        self.reasons = Sentences("Reasons", self)
        self.notes = Sentences("Notes", self)
        self.of_duties = Sentences("Duties", self)
        self.cautions = Sentences("Cautions", self)
        self.readings = PlaceCards(Screen.READINGS, self)
        self.bench = PlaceCards(Screen.BENCH, self)
        named = window_texts.TABLE_OF_THE_BENCH_S_ANSWER
        self.bench_tables = [TitledTable(named.format(number=number), self) for number in (1, 2)]
        self.bench_stands = paragraph(
            window_texts.NAME_OF_WHERE_THE_BENCH_STANDS, "muted", window_texts.WHERE_THE_BENCH_STANDS
        )
        self.circuit = PlaceCards(Screen.CIRCUIT, self)
        self.circuit.show_none()  # a bench has none: room for it would be kept until the first layout
        self.duty = PlaceCards(Screen.DUTY, self)
        self.more = PlaceCards(Screen.MORE, self)
        self.places = (self.readings, self.bench, self.duty, self.circuit, self.more)
        self.cards = tuple(card for place in self.places for card in place.cards)
        self.table = TableView("Results", self)
        self.table.setItemDelegateForColumn(SYMBOLS, IndexBelow(self.table))
        self._wide: bool | None = None
        self._judged: bool | None = None
        self._set_up()

    def _set_up(self) -> None:
        copy = QPushButton("Copy table", self)
        copy.clicked.connect(self.table.copy)
        self._why = CardSection("Why", self.reasons, parent=self)
        self._also = CardSection("Also noted", self.notes, parent=self)
        self._duties = CardSection(CAPACITY_QUESTION, self.of_duties, parent=self)
        self._care = CardSection("Take care", self.cautions, parent=self)
        self._results = CardSection("Results", self.table, copy, parent=self)
        self._grids = {place: gridded(down=Gap.ONE) for place in (self.bench, self.duty, self.circuit, self.more)}
        self._above, self._below = upright(), upright()
        layout = upright(self, around=BESIDE_A_BAR)
        layout.addWidget(self.duty_sentence)
        layout.addLayout(self._above)
        layout.addWidget(self._duties)
        for table in self.bench_tables:
            layout.addWidget(table.section)
        layout.addWidget(self.bench_stands)
        layout.addLayout(self._grids[self.bench])
        layout.addLayout(self._grids[self.duty])
        layout.addLayout(self._grids[self.circuit])
        layout.addLayout(self._below)
        layout.addWidget(self._results)
        layout.addLayout(self._grids[self.more])
        layout.addStretch(1)
        self.put_in_order(judged=False)
        self._arrange()

    def put_in_order(self, *, judged: bool) -> None:
        """Set the order of reading: that of a vehicle that was ``judged``, or that of a class."""
        if judged is self._judged:
            return
        self._judged = judged
        first = (self._care, self._why) if judged else (self._why, self._care)
        for widget in (*first, *self.readings.cards):
            self._above.addWidget(widget)
        (self._above if judged else self._below).addWidget(self._also)

    @property
    def keys_before_duties(self) -> QWidget:
        """The last that takes keys above the duties."""
        return self.readings.cards[-1].copy_button

    def take_duties(self, tabs: QWidget) -> None:
        """Put the tabs of the duties under the heading of what is said of them."""
        self._duties.put_below_heading(tabs)

    def show_check(self, check: Check, index: int, system: UnitSystem) -> None:
        """Show a check, its duty ``index`` in the pictures."""
        duty = check.duties[index] if check.duties else None
        self._show_words(check, duty, system)
        for place in self.places:
            place.show_pictures(ChosenDuty(check, duty), system)
        self.table.put(content.table_of(check, index, system))
        self.table.show_column(self.table.rows.columnCount() - len(check.duties) + index)
        self._results.setVisible(bool(check.duties))
        tables = () if check.bench is None else answer_tables(check.bench, system)
        show_tables(self.bench_tables, tables)
        self.bench_stands.setVisible(bool(tables))

    def _show_words(self, check: Check, duty: DutyCheck | None, system: UnitSystem) -> None:
        self.duty_sentence.setText(content.duty_words(duty, system) if duty is not None else "")
        self._show_duties(*content.duties_of(check, duty, system), several=len(check.duties) > 1)
        weighty, notes = content.reasons_of(check, duty, system)
        repeated = self.duty_sentence.text() in (reason.text for reason in weighty)
        self.duty_sentence.setVisible(len(check.duties) > 1 and not self.of_duties.texts and not repeated)
        for part, body, sentences in (
            (self._why, self.reasons, weighty),
            (self._also, self.notes, notes),
            (self._care, self.cautions, content.cautions_of(check)),
        ):
            body.show_sentences(sentences)
            part.setVisible(bool(sentences))

    def _show_duties(self, head: str, sentences: list[Sentence], *, several: bool) -> None:
        """What a vehicle of the class would do, apart from what is said of this one."""
        self._duties.set_title(head)
        self.of_duties.show_sentences(sentences)
        self._duties.setVisible(bool(sentences) or (several and bool(head)))

    def restyle(self) -> None:
        """Take sizes from the theme in use."""
        self.table.fit()
        self._arrange()
        for card in self.cards:
            card.view.updateGeometry()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        """Two pictures side by side where there is room, else one under the other."""
        wide = self.width() >= SIDE_BY_SIDE * em()
        if wide is self._wide:
            return
        self._wide = wide
        for place, grid in self._grids.items():
            for i, card in enumerate(place.cards):
                grid.removeWidget(card)
                grid.addWidget(card, i // 2 if wide else i, i % 2 if wide else 0)
            grid.setColumnStretch(0, 1)
            grid.setColumnStretch(1, int(wide and len(place.cards) > 1))
