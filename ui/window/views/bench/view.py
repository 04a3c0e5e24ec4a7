"""The bench: a class's table in and out, sliders of a problem's numbers, pictures and tables; live with each move."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QPlainTextEdit, QPushButton, QWidget

from engcalc.case.bench_rules import on_a_bench
from engcalc.case.case import Case
from engcalc.case.file import read_whole, write_whole
from engcalc.case.rig_table import LARGEST, points_of_table, sides_by_fluid, table_of_points
from engcalc.errors import HeatdocketError
from engcalc.studies.bench.points import BenchPoint
from engcalc.studies.checked import Check, check_of_bench, with_problems_of
from engcalc.units import plain_number
from engcalc.words.lesson.bench_words import bench_tables, point_name
from engcalc.words.texts import shared_texts, view_texts
from reports.plots.registry import ChosenDuty, Screen
from ui.window.dialogs.background import in_words
from ui.window.dialogs.parts import words
from ui.window.places import place_to_write
from ui.window.plain import tip
from ui.window.results.card import CardSection, PlaceCards
from ui.window.results.titled_table import TitledTable, show_tables
from ui.window.rhythm import BESIDE_A_BAR, em, sideways, upright
from ui.window.scrolled import Page, scrolled
from ui.window.views.sliders import CaseSliders, numbers_of_problem
from ui.window.views.view import Context, View, column

MOST_TABLES = 8  # that a bench has: readings, heats, sizes, uncertainty, groups, Wilson plot, problems, approximations


class BenchView(View):
    """What is typed here goes into the case as steps that undo takes back."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.line = words("", "muted")
        self.table = QPlainTextEdit()
        self.table.setAccessibleName(view_texts.MEASURED_POINTS_AS_A_TABLE)
        self.table.setTabChangesFocus(True)
        self.table.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.table.setFixedHeight(8 * em())
        self.wrong = words("", "error")
        self.sliders = CaseSliders(context.document, "Problem 1")
        self.sliders.moved.connect(self.refresh)
        self.sliders.rested.connect(self.refresh)
        self.pictures = PlaceCards(Screen.EXCHANGER, self)
        self._results = [TitledTable(f"Bench, table {i + 1}", self) for i in range(MOST_TABLES)]
        self._filled_with = ""
        self._points_refused = False  # or not yet known to stand
        self._kept: tuple[tuple[str, ...], Check] | None = None
        self._set_up()

    def _set_up(self) -> None:
        page = Page()
        body = upright(page, around=BESIDE_A_BAR)
        body.addWidget(self.line)
        self._entered = CardSection(view_texts.MEASURED_POINTS_AS_A_TABLE, self._entry(), parent=self)
        body.addWidget(self._entered)
        self.from_point = QPushButton(view_texts.SLIDE_FROM_A_POINT, self)
        self.from_point.setToolTip(tip(view_texts.SLIDE_FROM_A_POINT_TIP))
        self.from_point.clicked.connect(lambda _checked=False: self.slide_from_point())
        self._slid = CardSection("What if", self._what_if(), parent=self)
        body.addWidget(self._slid)
        for card in self.pictures.cards:
            body.addWidget(card)
        for result in self._results:
            body.addWidget(result.section)
        body.addStretch(1)
        column(self, scrolled(page, "The bench"))

    def _what_if(self) -> QWidget:
        """The sliders of a problem, or the way to one from a measured point."""
        box, beside = QWidget(self), sideways()
        rows = upright(box)
        beside.addWidget(self.from_point)
        beside.addStretch(1)
        rows.addWidget(self.sliders)
        rows.addLayout(beside)
        return box

    def _entry(self) -> QWidget:
        box = QWidget(self)
        rows = upright(box)
        rows.addWidget(words(view_texts.ONE_ROW_FOR_EACH_POINT, "muted"))
        rows.addWidget(self.table)
        rows.addWidget(self.wrong)
        self.wrong.hide()
        buttons = sideways()
        for text, act in (
            ("Take these points", self.take),
            ("Open a table...", self.open_table),
            (view_texts.SAVE_AS_A_TABLE, self.save_table),
        ):
            button = QPushButton(text, self)
            button.clicked.connect(lambda _checked=False, act=act: act())
            buttons.addWidget(button)
        buttons.addStretch(1)
        rows.addLayout(buttons)
        return box

    # ---- the table --------------------------------------------------------------------------------------------------

    def take(self) -> None:
        """Put the points of the table in place of the case's own, as one step."""
        try:
            sides = sides_by_fluid(self.context.document.text)
            points = points_of_table(self.table.toPlainText(), sides)
        except HeatdocketError as error:
            self._say(in_words(error))
            return
        self.context.document.put_items("rig", points, view_texts.TAKE_POINTS_FROM_A_TABLE)
        self._points_refused = True
        self.refresh()

    def _against_points(self) -> str:
        """What speaks against the points of the case, the first in full; empty where nothing does."""
        faults = [fault for fault in self.context.document.faults if fault.path.startswith("rig[")]
        if not faults:
            return ""
        point = int(faults[0].path[4:].partition("]")[0]) + 1
        return view_texts.POINTS_TO_MEND.format(count=len(faults), point=point, wanted=faults[0].wanted)

    def open_table(self) -> None:
        """Read a table from a file into the box; the points are taken when asked."""
        name, _ = QFileDialog.getOpenFileName(
            self, view_texts.OPEN_A_TABLE_OF_MEASURED_POINTS, "", view_texts.TABLES_CSV_TSV_TXT_ALL_FILES
        )
        if name:
            self.read_table(Path(name))

    def read_table(self, path: Path) -> None:
        """Put what a file holds into the box."""
        try:
            data = read_whole(path, shared_texts.TABLE_OF_MEASURED_POINTS, 4 * LARGEST)
        except HeatdocketError as error:
            self._say(in_words(error))
            return
        self.table.setPlainText(data.decode("utf-8-sig", errors="replace"))

    def save_table(self) -> None:
        """Write the case's points as CSV."""
        place = place_to_write(self.context.document) / "points.csv"
        name, _ = QFileDialog.getSaveFileName(
            self, view_texts.SAVE_THE_MEASURED_POINTS, str(place), view_texts.TABLES_CSV_TSV_TXT_ALL_FILES
        )
        if not name:
            return
        try:
            write_whole(Path(name), table_of_points(self.context.document.text).encode())
        except HeatdocketError as error:
            self._say(in_words(error))

    def _say(self, text: str) -> None:
        self.wrong.setText(text)
        self.wrong.setVisible(bool(text))

    def _point_to_slide(self) -> BenchPoint | None:
        """The first point that nothing speaks against, else the first that some exchanger explains."""
        bench = None if self._kept is None else self._kept[1].bench
        points = [] if bench is None else [point for point in bench.points if point.possible]
        return next((point for point in points if point.agrees), points[0] if points else None)

    def slide_from_point(self) -> None:
        """Pose the problem that a measured point is: its flows, inlets and conductance, which sliders then move."""
        point, text = self._point_to_slide(), self.context.document.text
        if point is None:
            return
        given = {name: text.typed(f"{point.path}.{name}") for name in ("hot_flow", "hot_in", "cold_flow", "cold_in")}
        name = view_texts.AS_POINT.format(number=point_name(point).partition(",")[0])
        problem = {"name": name, **given, "conductance": f"{plain_number(point.UA.value, 4)} W/K"}
        self.context.document.put_items("problems", [problem], view_texts.WHAT_IF_AS_POINT.format(name=name))
        self.refresh()

    def leave_out_entry(self, left_out: bool) -> None:
        """Under Charts the pictures come first; the table of points stands where points are entered."""
        self._entered.setVisible(not left_out)

    # ---- showing ----------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show the bench of what stands in the document."""
        self._fill_table()
        if self._points_refused:  # until what speaks against them is mended
            against = self._against_points()
            self._points_refused = bool(against)
            self._say(against)
        case = self.context.case
        if case is None or not on_a_bench(case):
            self.line.setText(view_texts.THERE_IS_NO_CASE_WITHOUT_FAULTS_YET if case is None else view_texts.NO_BENCH)
            self._show_nothing()
            return
        self.line.setText(self.context.behind)
        self.sliders.show_numbers(numbers_of_problem(case), self.context.system)
        self._show(case)
        self.from_point.setVisible(not self.sliders.rows and self._point_to_slide() is not None)
        self._slid.setVisible(bool(self.sliders.rows) or self.from_point.isVisibleTo(self._slid))

    def _fill_table(self) -> None:
        """The case's points as text, unless something else is being typed there."""
        stands = table_of_points(self.context.document.text) if self.context.document.text.get("rig") else ""
        if self.table.toPlainText() in ("", self._filled_with) and stands != self.table.toPlainText():
            self.table.setPlainText(stands)
        self._filled_with = stands

    def _show(self, case: Case) -> None:
        check = self._checked(case)
        moving = self.sliders.is_moving
        self.pictures.show_pictures(ChosenDuty(check, None), self.context.system, in_sight_only=moving)
        if moving:
            return  # the tables follow when the hand lets go
        tables = () if check.bench is None else bench_tables(check.bench, self.context.system)
        show_tables(self._results, tables)

    def _checked(self, case: Case) -> Check:
        """The check of the bench; its points are worked anew only when something else than a problem changed."""
        text = self.context.document.text
        of_points = tuple(repr(text.get(part)) for part in ("rig", "hot_stream", "cold_stream", "exchanger"))
        if self._kept is not None and self._kept[0] == of_points:
            check = with_problems_of(self._kept[1], case)
        else:
            check = check_of_bench(case)
        self._kept = of_points, check
        return check

    def _show_nothing(self) -> None:
        self._slid.hide()
        self.pictures.show_none()
        show_tables(self._results, ())
