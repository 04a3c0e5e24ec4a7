"""The right side of the window: what carries the verdict, and further views, one in sight at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from engcalc.diagnosis.checks.circuit_places import READ_AT, CircuitPlace
from engcalc.studies.checked import Check
from engcalc.units import UnitSystem
from engcalc.vehicle.run import AFTER
from ui.window.results.panel import ResultsPanel
from ui.window.rhythm import upright
from ui.window.views.view import Context, View

if TYPE_CHECKING:
    from engcalc.diagnosis.odds.diagnosis import Diagnosis
    from engcalc.vehicle.warmup_study import WarmupStudy

PAUSE_MS = 250  # in typing, before a view is worked out anew
VERDICT = "Verdict"


def _studies(context: Context) -> View:
    from ui.window.views.studies.view import StudiesView

    return StudiesView(context)


def _warmup(context: Context) -> View:
    from ui.window.views.warmup.view import WarmupView

    return WarmupView(context)


def _causes(context: Context) -> View:
    from ui.window.views.causes.view import CausesView

    return CausesView(context)


def _proof(context: Context) -> View:
    from ui.window.views.warmup.proof import ProofView

    return ProofView(context)


def _refill(context: Context) -> View:
    from ui.window.views.refill.view import RefillView

    return RefillView(context)


def _paper(context: Context) -> View:
    from ui.window.views.paper.view import PaperView

    return PaperView(context)


def _working(context: Context) -> View:
    from ui.window.views.paper.view import WorkingView

    return WorkingView(context)


def _bench(context: Context) -> View:
    from ui.window.views.bench.view import BenchView

    return BenchView(context)


def _charts(context: Context) -> View:
    from ui.window.views.charts.view import ChartsView

    return ChartsView(context)


def _live(context: Context) -> View:
    from ui.window.views.live.view import LiveView

    return LiveView(context)


def _sheets(context: Context) -> View:
    from ui.window.views.bench.sheets import SheetsView

    return SheetsView(context)


VIEWS: dict[str, Callable[[Context], View]] = {
    "Causes": _causes,
    "Warm-up": _warmup,
    "Live": _live,
    "Studies": _studies,
    "Refill": _refill,
    "Before/after": _proof,
    "Bench": _bench,
    "Charts": _charts,
    "Sheets": _sheets,
    "Working": _working,
    "Paper": _paper,
}
"""The views beside the verdict, by their name in the menu."""


class ResultsSide(QWidget):
    """The results panel and the other views. A view is built when it is first shown."""

    chosen = Signal(str)  # the view that came into sight

    def __init__(self, results: ResultsPanel, context: Context) -> None:
        super().__init__()
        self.results, self.context = results, context
        context.worked_out = lambda: (self.current_warmup(), self.current_causes())
        self._name = VERDICT
        self._stack = QStackedWidget()
        self._stack.addWidget(results)
        self._built: dict[str, View] = {}
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self._refresh)
        layout = upright(self)
        layout.addWidget(self._stack, 1)
        results.place_tapped.connect(self._take_reading)

    @property
    def name(self) -> str:
        """The name of the view in sight."""
        return self._name

    @property
    def view(self) -> View | None:
        """The view in sight; None for the verdict."""
        return self._built.get(self.name)

    def current_warmup(self) -> WarmupStudy | None:
        """The warm-up of exactly what stands typed now; None where its view has none."""
        from ui.window.views.warmup.view import WarmupView

        view = self._built.get("Warm-up")
        return view.current() if isinstance(view, WarmupView) else None

    def current_causes(self) -> Diagnosis | None:
        """The diagnosis of exactly what stands typed now; None where its view has none."""
        from ui.window.views.causes.view import CausesView

        view = self._built.get("Causes")
        return view.current() if isinstance(view, CausesView) else None

    def show_view(self, name: str) -> View | None:
        """Bring a view into sight."""
        if name != self._name:
            self._name = name
            self._change()
        return self.view

    def leave_out_entry(self, left_out: bool) -> None:
        """Whether the view in sight is there to be looked at, without what can be entered in it."""
        if self.view is not None:
            self.view.leave_out_entry(left_out)

    def _change(self) -> None:
        for view in self._built.values():
            view.leave()
        if self.name == VERDICT:
            self._stack.setCurrentWidget(self.results)
        else:
            if self.name not in self._built:
                self._built[self.name] = VIEWS[self.name](self.context)
                self._stack.addWidget(self._built[self.name])
            self._stack.setCurrentWidget(self._built[self.name])
            self._refresh()
        self.chosen.emit(self.name)

    def _take_reading(self, place: str) -> None:
        """A place of the circuit was clicked: its reading goes into the latest record."""
        from ui.window.views.reading_dialog import take_reading

        take_reading(self.context.document, READ_AT[CircuitPlace(place)], self.context.system, self)

    def _refresh(self) -> None:
        self._pause.stop()
        if self.view is not None:
            self.view.refresh()

    # ---- what the workspace tells -----------------------------------------------------------------------------------

    def document_changed(self) -> None:
        """Something was typed: the view in sight follows after a pause."""
        if self.view is not None:
            self._pause.start()

    def show_check(self, check: Check) -> None:
        """A check has come."""
        self.context.check = check
        if self.view is not None and not self._pause.isActive():
            self.view.refresh()

    def set_system(self, system: UnitSystem) -> None:
        """Show all numbers in another system; nothing is computed anew."""
        self.context.system = system
        self.results.set_system(system)
        self._refresh()

    def copy_table(self) -> bool:
        """Copy the table of the view in sight; False when it has none."""
        if self.view is not None:
            return self.view.copy_table()
        self.results.copy_table()
        return True

    def copy_picture(self) -> bool:
        """Copy the picture of the view in sight; False when it has none."""
        if self.view is not None:
            return self.view.copy_picture()
        self.results.copy_picture()
        return True

    def import_log(self, path: Path, *, after: bool = False) -> None:
        """Take a log into the record that the warm-up view shows, or into that of after a repair."""
        from ui.window.views.warmup.view import WarmupView

        view = self.show_view("Warm-up")
        assert isinstance(view, WarmupView)  # by its name
        if after:
            view.records.choose(AFTER)
        view.import_log(path)

    def close_side(self) -> None:
        """The case is closed: end all work."""
        self._pause.stop()
        for view in self._built.values():
            view.close_view()
