"""The panel of results, with real checks of the examples: what is read from it is what the engine said."""

from __future__ import annotations

import math

import pytest
from laid_out import lettering
from PySide6.QtCore import QEvent, QPoint, QRect, Qt
from PySide6.QtGui import QFocusEvent, QGuiApplication
from PySide6.QtWidgets import QApplication, QLabel, QPushButton, QWidget
from told_cases import example_answered
from widgets import by_name

from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.classroom.symbols import in_letters
from engcalc.studies.check import check
from engcalc.units import UnitSystem, raised, to_unit, unit_for
from engcalc.words.answer.results import RESULTS, result_name
from engcalc.words.diagnosis.conclusion_words import CAPACITY_QUESTION
from engcalc.words.lesson.class_symbols import writes_for
from reports.texts import printable
from ui.window import theme
from ui.window.results.content import NOT_ON_A_BENCH
from ui.window.results.drawing import PictureView
from ui.window.results.panel import ResultsPanel
from ui.window.results.table import TableView
from ui.window.results.verdict_bar import Sign, VerdictBar


@pytest.fixture
def panel(qtbot, look) -> ResultsPanel:
    made = ResultsPanel()
    qtbot.addWidget(made)
    made.resize(900, 700)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.hide()


def table_of(panel) -> TableView:
    return by_name(panel, "Results", TableView)


def press_next_duty(qtbot, panel) -> None:
    panel.duties.setFocus()
    qtbot.keyClick(panel.duties, Qt.Key.Key_Right)


# ---- the verdict -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "shape", "word"),
    [
        ("van-no-heat", "▼", "Runs cold"),
        ("track-day-car", "◇", "Not explained yet"),
        ("tow-and-track", "▲", "Undersized"),
        ("bench-exchanger", "●", "Agrees"),
    ],
)
def test_the_verdict_has_a_word_a_shape_and_a_reason(panel, examples, name, shape, word):
    panel.show_check(examples[name])
    texts = [label.text() for label in panel.verdict.findChildren(QLabel)]
    assert shape in texts
    assert word in texts
    assert panel.verdict.sentence
    assert not panel.verdict.sentence.startswith(word)
    assert panel.verdict.accessibleDescription() == f"{word}. {panel.verdict.sentence}"


def test_the_sentence_stands_under_the_word_where_there_is_little_room(look, qtbot):
    """On a bar of its own: in the panel a late layout gives the bar the panel's width again."""
    bar = VerdictBar()
    qtbot.addWidget(bar)
    bar.show_verdict(Sign("▼", "Runs cold", "cold"), "The coolant is colder than a healthy vehicle's.")
    word = next(label for label in bar.findChildren(QLabel) if label.accessibleName().startswith("Verdict: "))
    sentence = next(label for label in bar.findChildren(QLabel) if label.accessibleName().startswith("Reason: "))
    for width, beside in ((900, True), (430, False), (900, True)):
        bar.resize(width, 120)
        bar.show()
        qtbot.waitUntil(lambda beside=beside: (sentence.x() > word.geometry().right()) is beside)


def test_the_verdict_stays_in_sight_however_far_one_scrolls(panel, examples, qtbot):
    panel.show_check(examples["van-no-heat"])
    area = panel._page.parentWidget().parentWidget()
    qtbot.waitUntil(lambda: area.verticalScrollBar().maximum() > 0)
    area.verticalScrollBar().setValue(area.verticalScrollBar().maximum())
    assert panel.verdict.isVisible()
    assert not panel.verdict.visibleRegion().isEmpty()


def test_before_any_answer_the_panel_says_so(panel):
    assert panel.verdict.accessibleDescription().startswith("Not checked yet")
    assert panel.check is None
    panel.show_stale("The entries have one thing to mend; there is no answer yet.")
    assert "no answer yet" in panel.verdict.findChild(QLabel, "stale").text()


def test_a_stale_answer_stays_and_says_so(panel, examples):
    panel.show_check(examples["van-no-heat"])
    before = panel.verdict.sentence
    panel.show_stale("The entries have one thing to mend; this is the last good answer.")
    stale = panel.verdict.findChild(QLabel, "stale")
    assert stale.isVisible()
    assert panel.verdict.sentence == before
    panel.show_check(examples["van-no-heat"])
    assert not stale.isVisible()
    panel.show_check(examples["van-no-heat"], stale=True)
    assert stale.isVisible()


# ---- duties ----------------------------------------------------------------------------------------------------------


def test_the_pictures_begin_with_the_duty_that_decides(panel, examples):
    check = examples["track-day-car"]
    panel.show_check(check)
    chosen = check.duties[panel.duties.currentIndex()]
    assert chosen.verdict is check.verdict
    assert chosen.margin == min(duty.margin for duty in check.duties)
    assert chosen.name in by_name(panel, "Temperatures", PictureView).plot.words.title


def height_of(panel, widget) -> int:
    return widget.mapTo(panel, QPoint(0, 0)).y()


def heading(panel, words) -> QWidget:
    return next(label for label in panel.findChildren(QLabel) if label.accessibleName() == words)


def keys_in_order(panel) -> list[QWidget]:
    """What takes keys, in the order of the Tab key."""
    found, following = [], panel.nextInFocusChain()
    while following is not panel and len(found) < 500:
        if panel.isAncestorOf(following) and following.isVisible():
            found.append(following)
        following = following.nextInFocusChain()
    return found


def test_a_complaint_is_answered_before_its_duties_are(panel, examples, qtbot):
    """The answer, what to mind in the next step, why; the capacity of the duties apart, under its own name."""
    panel.show_check(examples["track-day-car"])
    apart = heading(panel, CAPACITY_QUESTION)
    qtbot.waitUntil(lambda: height_of(panel, panel.duties) > height_of(panel, apart))
    assert height_of(panel, heading(panel, "Take care")) < height_of(panel, apart)
    panel.show_check(examples["van-no-heat"])
    care, why, apart = (heading(panel, words) for words in ("Take care", "Why", CAPACITY_QUESTION))
    qtbot.waitUntil(lambda: height_of(panel, care) < height_of(panel, why) < height_of(panel, apart))
    assert height_of(panel, heading(panel, "Also noted")) < height_of(panel, apart)
    order = keys_in_order(panel)
    pictures = [by_name(panel, name, PictureView) for name in ("Readings against what is expected", "Heat balance")]
    assert order.index(pictures[0]) < order.index(panel.duties) < order.index(pictures[1])


def test_where_duties_are_what_is_asked_their_tabs_stand_above(panel, examples, qtbot):
    for name in ("track-day-car", "tow-and-track"):  # a complaint before it leaves nothing out of place
        panel.show_check(examples[name])
    qtbot.waitUntil(lambda: height_of(panel, panel.duties) < height_of(panel, heading(panel, "Why")))
    assert height_of(panel, heading(panel, "Why")) < height_of(panel, heading(panel, "Take care"))
    order = keys_in_order(panel)
    assert order.index(panel.duties) < order.index(by_name(panel, "Heat balance", PictureView))


@pytest.mark.parametrize("name", ["van-no-heat", "track-day-car", "tow-and-track"])
def test_what_is_said_of_the_duties_is_said_once(panel, examples, name):
    panel.show_check(examples[name])
    told = panel._page.of_duties.texts
    assert not [text for text in told for other in told if text is not other and text in other]


def test_a_duty_chosen_by_hand_stays_chosen(panel, examples, qtbot):
    panel.show_check(examples["track-day-car"])
    panel.duties.setCurrentIndex(0)
    panel.show_check(examples["track-day-car"])
    assert panel.duties.currentIndex() == 0
    panel.clear()
    panel.show_check(examples["track-day-car"])
    assert panel.duties.currentIndex() != 0


def test_the_pictures_follow_the_duty_that_keys_choose(panel, examples, qtbot):
    check = examples["track-day-car"]
    panel.show_check(check)
    panel.duties.setCurrentIndex(0)
    assert [panel.duties.tabText(i)[2:] for i in range(panel.duties.count())] == [d.name for d in check.duties]
    with qtbot.waitSignal(panel.duty_chosen) as told:
        press_next_duty(qtbot, panel)
    assert told.args == [1]
    heat = by_name(panel, "Heat balance", PictureView).plot
    assert check.duties[1].name in heat.words.title
    fuel = heat.columns[0][0].amount
    assert fuel == pytest.approx(check.duties[1].point.fuel_power[0] / 1000.0)


def test_a_check_with_fewer_duties_takes_the_place_of_one_with_more(panel, examples, qtbot):
    panel.show_check(examples["van-no-heat"])
    panel.duties.setCurrentIndex(panel.duties.count() - 1)
    panel.show_check(examples["bench-exchanger"])
    assert panel.duties.count() == len(examples["bench-exchanger"].duties)
    assert table_of(panel).rows.columnCount() == 3 + panel.duties.count()
    panel.clear()
    assert panel.check is None


# ---- numbers ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("name", ["van-no-heat", "track-day-car", "bench-exchanger"])
def test_every_number_on_the_screen_is_the_engine_s(panel, examples, name, system):
    """To the three digits (temperatures: the tenth) that are shown."""
    check = examples[name]
    panel.show_check(check)
    panel.set_system(system)
    text = table_of(panel).rows.text
    shown = {row[0]: row for row in text.rows}
    for result in RESULTS:
        values = [result.getter(duty) for duty in check.duties]
        if all(value is None for value in values) or (name == "bench-exchanger" and result.key in NOT_ON_A_BENCH):
            assert result.label not in shown
            continue
        cells = shown[result_name(result, bench=name == "bench-exchanger")]
        unit = unit_for(result.kind, system)
        symbol = writes_for(check.case)(result.symbol, unit_for(result.kind, UnitSystem.SI))
        assert cells[1:3] == (in_letters(symbol), raised(unit))
        for value, cell in zip(values, cells[3:], strict=True):
            if value is None:
                assert cell == "–"
                continue
            exact = to_unit(value, unit, result.kind)
            places = 0.06 if "temperature" in result.kind else 0.0
            assert math.isclose(float(cell), exact, rel_tol=6e-3, abs_tol=max(places, 1e-4))


def test_switching_units_changes_words_and_no_number_s_meaning(panel, examples):
    panel.show_check(examples["track-day-car"])
    degrees = table_of(panel).rows.text.rows[0]
    panel.set_system(UnitSystem.US)
    fahrenheit = table_of(panel).rows.text.rows[0]
    assert (degrees[2], fahrenheit[2]) == ("°C", "°F")
    for c, f in zip(degrees[3:], fahrenheit[3:], strict=True):
        assert float(f) == pytest.approx(1.8 * float(c) + 32.0, abs=0.15)
    assert any("°F" in text for text in by_name(panel, "Duties").texts)
    assert "°C" not in panel.verdict.sentence


def test_the_table_is_copied_as_tab_separated_text(panel, examples, qtbot):
    check = examples["track-day-car"]
    panel.show_check(check)
    panel.copy_table()
    lines = QGuiApplication.clipboard().text().splitlines()
    assert lines[0].split("\t")[:3] == ["Result", "Symbol", "Unit"]
    assert len({line.count("\t") for line in lines}) == 1
    assert len(lines) == 1 + table_of(panel).rows.rowCount()
    table = table_of(panel)
    table.setFocus()
    table.selectRow(2)
    qtbot.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert len(QGuiApplication.clipboard().text().splitlines()) == 2


def test_where_columns_do_not_fit_the_chosen_duty_s_stays(panel, examples, qtbot):
    panel.show_check(examples["van-no-heat"])
    table = table_of(panel)
    for chosen in (0, 2):
        panel.duties.setCurrentIndex(chosen)
        panel.resize(430, 700)
        qtbot.waitUntil(lambda: table.isColumnHidden(1))
        numbers = range(3, table.rows.columnCount())
        assert [c for c in numbers if not table.isColumnHidden(c)] == [3 + chosen]
    panel.resize(2400, 700)
    qtbot.waitUntil(lambda: not any(table.isColumnHidden(c) for c in range(table.rows.columnCount())))


# ---- words and pictures ----------------------------------------------------------------------------------------------


def test_more_power_than_the_engine_gives_is_read_in_the_window(panel):
    duty = {"name": "Pass", "brake_power": "600 hp", "vehicle_speed": "80 km/h"}
    engine = {"rated_power": "271 kW", "aspiration": "turbo"}
    tree = {"format": FORMAT, "vehicle": {"class": "heavy truck"}, "engine": engine, "duties": [duty]}
    case = resolve(CaseText(tree))
    panel.show_check(check(case, members=0))
    texts = " ".join(label.text() for label in panel.findChildren(QLabel))
    assert "447 kW is asked of the engine, and 271 kW is the most that it gives in this air (rated 271 kW)" in texts


def test_reasons_and_cautions_stand_where_one_acts(panel, examples):
    panel.show_check(examples["track-day-car"])
    cautions = by_name(panel, "Cautions").texts
    assert any("Never open the cap" in text for text in cautions)
    assert any("Stop the engine" in text for text in cautions)
    assert by_name(panel, "Duties").texts, "a complaint stands: what the class would do is told apart"
    panel.show_check(examples["bench-exchanger"])
    assert by_name(panel, "Cautions").texts == ()
    assert by_name(panel, "Reasons").texts


def test_readings_stand_against_what_is_expected(panel, examples):
    panel.show_check(examples["van-no-heat"])
    view = by_name(panel, "Readings against what is expected", PictureView)
    assert view.isVisible()
    (coolant,) = (row.label for row in view.plot.rows)  # its hose tells nothing while the valve's side is not known
    assert coolant.startswith("Before, at 35 min")
    (hose,) = examples["van-no-heat"].elsewhere
    assert not hose.tells
    panel.show_check(examples["track-day-car"])
    assert not view.isVisible()


def test_every_picture_tells_itself_to_a_screen_reader(panel, examples):
    panel.show_check(examples["van-no-heat"])
    views = [view for view in panel.findChildren(PictureView) if view.isVisibleTo(panel)]
    assert len(views) >= 4
    for view in views:
        assert view.accessibleName()
        assert len(view.accessibleDescription()) > 30
        assert view.focusPolicy() & Qt.FocusPolicy.TabFocus


def test_the_picture_in_use_is_copied(panel, examples, qtbot):
    panel.show_check(examples["van-no-heat"])
    panel.copy_picture()
    first = QGuiApplication.clipboard().image()
    assert not first.isNull()
    view = by_name(panel, "Temperatures", PictureView)
    QApplication.sendEvent(view, QFocusEvent(QEvent.Type.FocusIn))
    panel.copy_picture()
    assert QGuiApplication.clipboard().image() == view.image()
    assert QGuiApplication.clipboard().image() != first
    heat = by_name(panel, "Copy picture: Heat balance", QPushButton)
    qtbot.mouseClick(heat, Qt.MouseButton.LeftButton)
    assert QGuiApplication.clipboard().image() == first


def test_a_picture_is_painted_in_the_palette_in_use(panel, examples, look):
    panel.show_check(examples["van-no-heat"])
    view = by_name(panel, "Heat balance", PictureView)
    corner = QPoint(view.width() - 2, view.height() - 2)
    assert view.image().pixelColor(corner * 2).name() == theme.LIGHT.base
    look(theme.Look.DARK, 100)
    assert view.image().pixelColor(corner * 2).name() == theme.DARK.base


# ---- readable --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("percent", [100, 200])
@pytest.mark.parametrize("name", ["van-no-heat", "bench-exchanger"])
def test_no_label_is_clipped(panel, examples, look, qtbot, name, percent):
    look(theme.Look.LIGHT, percent)
    panel.resize(9 * percent, 7 * percent)
    panel.show_check(examples[name])
    qtbot.waitUntil(lambda: panel._page.height() >= panel._page.heightForWidth(panel._page.width()))
    qtbot.waitUntil(lambda: [*clipped(panel), *cramped(panel)] == [])


def clipped(panel: ResultsPanel) -> list[str]:
    """The texts that have less room than they need."""
    found = []
    for label in panel.findChildren(QLabel):
        if label.isVisibleTo(panel) and label.text():
            needed = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
            wide_enough = label.wordWrap() or label.width() >= label.sizeHint().width()
            if label.height() < needed or not wide_enough:
                found.append(label.text())
    return found


def cramped(panel: ResultsPanel) -> list[str]:
    """The pictures that have less room than they need, or reach beyond the page."""
    views = [view for view in panel.findChildren(PictureView) if view.isVisibleTo(panel)]
    small = [view for view in views if view.height() < view.heightForWidth(view.width())]
    return [view.accessibleName() for view in views if view in small or not within(view, panel._page)]


def within(widget: QWidget, page: QWidget) -> bool:
    place = QRect(widget.mapTo(page, QPoint(0, 0)), widget.size())
    return page.rect().contains(place)


def test_every_letter_has_a_glyph(panel, examples):
    """In the one type family that screen and paper use; a missing one would be an empty box."""
    glyphs = printable()
    for name, found in examples.items():
        panel.show_check(found)
        texts = [label.text() for label in panel.findChildren(QLabel)]
        texts += [cell for row in table_of(panel).rows.text.rows for cell in row]
        texts += [panel.duties.tabText(i) for i in range(panel.duties.count())]
        for view in panel.findChildren(PictureView):
            picture = view.picture(600.0)
            texts += [one.words for one in lettering(picture)] if picture is not None else []
        missing = {letter for text in texts for letter in text if ord(letter) not in glyphs and letter != "\n"}
        assert missing == set(), name


def test_refresh_is_cheap(panel, examples, benchmark):
    """A new answer into the panel and onto the screen: aim 30 ms of the 100 from key to paint (run to measure)."""
    check = examples["van-no-heat"]

    def refresh():
        panel.show_check(check)
        panel.repaint()

    benchmark(refresh)
    assert panel.check is check


def test_a_bench_shows_what_it_comes_to_and_says_where_the_rest_stands(panel):
    """The verdict of a bench whose points agree was an empty page."""
    panel.show_check(example_answered("double-pipe").check)
    titles = [table.section._heading.text() for table in panel._page.bench_tables if table.section.isVisible()]
    assert titles == ["Group by group", "Problems"]
    rows = [line.split("\t") for line in panel._page.bench_tables[1].table.copied_text().splitlines()]
    assert ["Heat passed q", "→ 9.996 kW", "→ 4.797 kW"] in rows
    assert "under Bench" in panel._page.bench_stands.text()
    assert panel._page.bench_stands.isVisible()


def test_a_vehicle_shows_no_table_of_a_bench(panel, examples):
    panel.show_check(examples["van-no-heat"])
    assert not any(table.section.isVisible() for table in panel._page.bench_tables)
    assert not panel._page.bench_stands.isVisible()
