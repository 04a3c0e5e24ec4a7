"""The step that is open: its name, its entries at the left, its view at the right; one at a time where both do not
fit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QPushButton,
    QSizePolicy,
    QSplitter,
    QWidget,
)

from engcalc.words.texts import job_texts
from ui.window.form.panel import FormPanel
from ui.window.jobs.steps import VIEW_TIPS, Step
from ui.window.plain import plain_label, tip
from ui.window.rhythm import Edges, Gap, em, sideways, upright
from ui.window.still_combo import StillCombo

if TYPE_CHECKING:
    from ui.window.views.side import ResultsSide

BOTH_EMS = 42  # widths from which on entries and view stand beside one another
SHARES = [420, 580]  # of the width, for entries and view
SHARES_OF_ONE = [1, 999]  # beside one entry alone: it has its least width, and the view all that is left
LEAST_EMS = 24  # the width that entries or a view need alone
ENTRIES = "Entries"


class StepStage(QWidget):
    """Shows one step. ``form`` and ``side`` are made elsewhere and belong to the whole case."""

    shown = Signal()

    def __init__(self, form: FormPanel, side: ResultsSide) -> None:
        super().__init__()
        self.form, self.side = form, side
        self.step: Step | None = None
        self._narrow = False
        self._entries_wanted = True  # of the two, while only one fits
        self.title = plain_label()
        self.title.setProperty("tone", "step title")
        self.title.setMinimumHeight(2 * em())  # as high as the choice of views, so that nothing moves with it
        self.tip = plain_label()
        self.tip.setProperty("tone", "muted")
        self.tip.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._choices: list[QPushButton] = []
        self._offered = 0  # of them, those of this step
        self.list = StillCombo()  # in their place where they would be cut
        self.list.setAccessibleName("View")
        self.list.hide()
        self.list.textActivated.connect(self._choose)
        self._group = QButtonGroup(self)
        named = sideways(between=Gap.TWO)
        named.addWidget(self.title)
        named.addWidget(self.tip, 1)
        self._head = sideways(between=Gap.NONE)
        self._head.addLayout(named, 1)
        self._head.addWidget(self.list)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.addWidget(form)
        self.splitter.addWidget(side)
        self.splitter.setStretchFactor(0, 2)
        self.splitter.setStretchFactor(1, 3)
        self.splitter.setSizes(SHARES)
        self._before_one = SHARES  # the shares that stood before a step of one entry
        column = upright(self, around=Edges(Gap.ONE, Gap.HALF, Gap.ONE))
        column.addLayout(self._head)
        column.addWidget(self.splitter, 1)
        side.chosen.connect(lambda _name: self._arrange())

    def show_step(self, step: Step, view: str) -> None:
        """Show a step with this view of it."""
        of_one, was_of_one = _has_one_entry(step), _has_one_entry(self.step)
        if of_one and not was_of_one and all(self.splitter.sizes()):
            self._before_one = self.splitter.sizes()
        self.step = step
        self.title.setText(step.title)
        self._say_tip()
        self._entries_wanted = self._has_entries
        self.form.show_part(None if step.whole_form else step.form)
        self.side.show_view(view)
        self._arrange()
        if of_one is not was_of_one:
            self.splitter.setSizes(SHARES_OF_ONE if of_one else self._before_one)

    @property
    def _has_entries(self) -> bool:
        return self.step is not None and (self.step.whole_form or self.step.form is not None)

    def _arrange(self) -> None:
        """Entries, view or both, by what the step has and the width holds."""
        if self.step is None:
            return
        alone = self._narrow or not self._has_entries
        entries = self._has_entries and (not alone or self._entries_wanted)
        self.side.leave_out_entry(not self._has_entries and self.side.name in self.step.views)
        self.form.setVisible(entries)
        self.side.setVisible(not alone or not entries)
        self._offer(self._has_entries and alone, entries and alone)

    def _offer(self, with_entries: bool, entries_chosen: bool) -> None:
        """A choice among what can stand here, where there is any."""
        assert self.step is not None
        names = [ENTRIES] if with_entries else []
        names += self.step.views
        if self.side.name not in names:
            names.append(self.side.name)  # chosen by the menu
        while len(self._choices) < len(names):
            self._add_choice()
        chosen = ENTRIES if entries_chosen else self.side.name
        for button, name in zip(self._choices, names, strict=False):
            button.setText(name)
            button.setProperty("view", name)
            button.setAccessibleName(f"View: {name}")
            button.setToolTip(tip(VIEW_TIPS.get(name, job_texts.ENTRIES_TIP)))
            button.setChecked(name == chosen)
        self._offered = len(names) if len(names) > 1 else 0
        self.list.clear()
        self.list.addItems(names)
        self.list.setCurrentText(chosen)
        self._fit()

    def _fit(self) -> None:
        """The choice as buttons, or as a list where these would be cut."""
        wide = sum(button.sizeHint().width() for button in self._choices[: self._offered])
        cut = wide + self.title.sizeHint().width() + 4 * Gap.ONE.px > self.width()
        for at, button in enumerate(self._choices):
            button.setVisible(at < self._offered and not cut)
        self.list.setVisible(self._offered > 0 and cut)

    def _add_choice(self) -> None:
        button = QPushButton()
        button.setCheckable(True)
        button.setProperty("tone", "choice")
        button.clicked.connect(lambda: self._choose(str(button.property("view"))))
        self._group.addButton(button)
        self._head.addWidget(button)
        self._choices.append(button)

    def _choose(self, name: str) -> None:
        self._entries_wanted = name == ENTRIES
        if name != ENTRIES:
            self.side.show_view(name)
        self._arrange()

    def show_view(self, name: str) -> None:
        """Bring a view into sight beside the step's entries, or in their place where both do not fit."""
        self._choose(name)

    def minimumSizeHint(self) -> QSize:
        """Room for one of the two: where both do not fit, only one is shown."""
        return QSize(LEAST_EMS * em(), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """One or both, by the width there is."""
        super().resizeEvent(event)
        self._measure()

    def changeEvent(self, event: QEvent) -> None:
        """Another size of text needs another width."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._measure()

    def _measure(self) -> None:
        narrow = self.width() < BOTH_EMS * em()
        if narrow is not self._narrow:
            self._narrow = narrow
            self._say_tip()
            self._arrange()
        else:
            self._fit()

    def _say_tip(self) -> None:
        self.tip.setText("" if self._narrow or self.step is None else self.step.tip)


def _has_one_entry(step: Step | None) -> bool:
    """Whether one entry is all that a step asks for beside its view."""
    form = None if step is None or step.whole_form else step.form
    return form is not None and form.is_short and all(len(keys) == 1 for keys in form.sections.values())
