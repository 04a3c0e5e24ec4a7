"""The studies: which duty, which study, and the study itself."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QStackedWidget, QWidget

from engcalc.case.bench_rules import has_duty_to_study
from engcalc.studies.sweeps import duty_name
from engcalc.words.answer.reasons import deciding
from engcalc.words.texts import view_texts
from ui.window.accessible import tie
from ui.window.plain import plain_label
from ui.window.rhythm import Edges, Gap, sideways
from ui.window.still_combo import LETTERS, StillCombo, StillTabs
from ui.window.views.studies.candidates import CandidatesPage
from ui.window.views.studies.curve import SweepPage
from ui.window.views.studies.duties import DutiesPage
from ui.window.views.studies.grid import MapPage
from ui.window.views.studies.least import LeastCorePage
from ui.window.views.studies.limits import LimitsPage
from ui.window.views.studies.page import StudyPage
from ui.window.views.studies.ranking import SensitivityPage
from ui.window.views.studies.spread import SpreadPage
from ui.window.views.view import Context, View, column

STUDIES: dict[str, Callable[[Context], View]] = {
    "What limits": LimitsPage,
    "Least core": LeastCorePage,
    "Candidates": CandidatesPage,
    "All duties": DutiesPage,
    "Sweep": SweepPage,
    "Map": MapPage,
    "Sensitivity": SensitivityPage,
    "Uncertainty": SpreadPage,
}
"""The studies by the name on their tab."""
AUTOMATIC = "the hardest"


class StudiesView(View):
    """One study at a time; each is built when it is first chosen and worked out only while it is in sight."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.duty = StillCombo(LETTERS)
        self.tabs = StillTabs("Study")
        for name in STUDIES:
            self.tabs.addTab(name)
        self._stack = QStackedWidget()
        self._built: dict[str, View] = {}
        self._duty_row = self._row()
        column(self, self.tabs, self._duty_row, self._stack, stretch=self._stack)
        self.duty.activated.connect(lambda _index: self.refresh())
        self.tabs.currentChanged.connect(self._chosen)

    def _row(self) -> QWidget:
        row = QWidget()
        layout = sideways(row, around=Edges(top=Gap.HALF, bottom=Gap.HALF))
        label = plain_label("Duty")
        tie(label, self.duty, view_texts.DUTY_OF_THE_STUDY)
        layout.addWidget(label)
        layout.addWidget(self.duty, 1)
        return row

    @property
    def page(self) -> View:
        """The study in sight."""
        name = tuple(STUDIES)[self.tabs.currentIndex()]
        if name not in self._built:
            self._built[name] = STUDIES[name](self.context)
            self._stack.addWidget(self._built[name])
        return self._built[name]

    def _chosen(self) -> None:
        for page in self._built.values():
            page.leave()
        self.refresh()

    def refresh(self) -> None:
        """Show the study in sight for the chosen duty."""
        self._fill_duties()
        case = self.context.case
        self.tabs.setVisible(case is None or has_duty_to_study(case))  # else each tab would say the same one line
        page = self.page
        self._stack.setCurrentWidget(page)
        self._duty_row.setVisible(isinstance(page, StudyPage) and page.of_one_duty and self.duty.count() > 2)
        if isinstance(page, StudyPage):
            chosen = self.duty.currentData()
            page.duty_index = self._hardest() if chosen is None and not isinstance(page, LimitsPage) else chosen
        page.refresh()

    def _hardest(self) -> int:
        """The duty that decides the verdict."""
        check = self.context.check
        duty = None if check is None else deciding(check)
        return 0 if duty is None else duty.index

    def _fill_duties(self) -> None:
        case = self.context.case
        names = [] if case is None else [duty_name(case, i) for i in range(len(case.duties))]
        if names == [self.duty.itemText(i) for i in range(1, self.duty.count())]:
            return
        chosen = self.duty.currentIndex()
        self.duty.clear()
        self.duty.addItem(AUTOMATIC, None)
        for i, name in enumerate(names):
            self.duty.addItem(name, i)
        self.duty.setCurrentIndex(chosen if 0 < chosen < self.duty.count() else 0)

    def leave(self) -> None:
        """Out of sight: nobody waits for an answer."""
        for page in self._built.values():
            page.leave()

    def close_view(self) -> None:
        """End the work of every study."""
        for page in self._built.values():
            page.close_view()

    def copy_table(self) -> bool:
        """Copy the table of the study in sight."""
        return self.page.copy_table()

    def copy_picture(self) -> bool:
        """Copy the picture of the study in sight."""
        return self.page.copy_picture()
