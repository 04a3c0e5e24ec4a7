"""The causes view with the real diagnosis, given little effort: what is shown is the engine's answer in words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from less_effort import FEW
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox, QDialogButtonBox, QLineEdit, QPushButton
from widgets import by_name

import worked_examples
from engcalc.case.file import SUFFIX, read_case
from engcalc.case.records import INSTRUMENTS, SEEN_FACTS, SPOT_PLACES
from engcalc.case.sections.job import NAMES
from engcalc.diagnosis.checks.circuit_places import CircuitPlace, places_of_check
from engcalc.diagnosis.checks.hand_checks import CHECKS
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.diagnosis.odds.diagnosis import Diagnosis, Stage, diagnose
from engcalc.units import UnitSystem
from engcalc.vehicle.own_prior import OwnHistory, OwnPrior, Place
from engcalc.words.diagnosis.causes import check_title
from engcalc.words.diagnosis.causes_told import OfferedCheck, cause_line, named_causes
from engcalc.words.page.cautions import ALL
from engcalc.words.texts import view_texts
from reports.plots.describe import CircuitPlot, MarkKind
from ui.book.own_history import HistoryNotUsed, NoHistory
from ui.document import Document
from ui.window.settings import Settings
from ui.window.views.causes.check_card import CheckCard
from ui.window.views.causes.rates import RatesDialog
from ui.window.views.causes.results import asked_of
from ui.window.views.causes.view import CausesView
from ui.window.views.view import Context


@pytest.fixture(scope="session")
def diagnosed() -> tuple[Document, Diagnosis]:
    """The van and its diagnosis, worked out once; no test edits this document."""
    path = worked_examples.folder() / f"van-no-heat{SUFFIX}"
    document = Document(read_case(path), beside=path.parent)
    return document, diagnose(document.good, {}, effort=FEW)


def answer_at_once(view: CausesView, found: Diagnosis) -> None:
    """Let the view ask, and give it this answer in place of the long work."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(view.background, "run_long", lambda _work, done, _failed: done(found))
        view.refresh()


@pytest.fixture
def view(show, diagnosed, tmp_path) -> CausesView:
    """The view with its answer already there."""
    document, found = diagnosed
    made = CausesView(Context(document, Settings(tmp_path / "window.ini")), FEW)
    answer_at_once(made, found)
    return show(made)


def circuit_of(view: CausesView) -> CircuitPlot:
    drawn = [card.view.plot for card in view.pictures.cards if isinstance(card.view.plot, CircuitPlot)]
    assert len(drawn) == 1
    return drawn[0]


def lit(view: CausesView) -> set[str]:
    """The places that are marked for a check."""
    places = circuit_of(view).places
    return {place.key for place in places if any(mark.kind is MarkKind.CHECK for mark in place.marks)}


def test_the_check_that_is_looked_at_lights_its_places_on_the_circuit(view, qtbot):
    offered = [view.check.choice.itemData(i) for i in range(view.check.choice.count())]
    assert lit(view) == set(places_of_check(offered[0], view.context.case))
    case = view.context.case
    first = places_of_check(offered[0], case)
    other = next(i for i, key in enumerate(offered) if places_of_check(key, case) != first)
    view.check.choice.setFocus()
    for _ in range(other):
        qtbot.keyClick(view.check.choice, Qt.Key.Key_Down)
    assert view.check.key == offered[other]
    assert lit(view) == set(places_of_check(offered[other], view.context.case))


def test_the_circuit_shows_the_likeliest_cause_beside_a_healthy_vehicle(view):
    """Numbers of the members that the odds keep, the flag where the cause sits."""
    plot, found = circuit_of(view), view.answer
    end = found.course.at(found.course.time[-1])
    assert found.best.fault == "thermostat_stuck_open"
    assert next(mark.kind for mark in plot.at(CircuitPlace.THERMOSTAT).marks) is MarkKind.FLAG
    assert plot.opening == end.opening > found.healthy_course.at(found.course.time[-1]).opening
    assert abs(end.sensor - float(found.curves[0].median[-1])) < 0.5  # K; the curve's median, between two members
    healthy = found.healthy_course.at(found.course.time[-1]).upper_hose - 273.15
    assert any(f"healthy {healthy:.0f} °C" in words for words in plot.at(CircuitPlace.UPPER_HOSE).healthy)
    assert "if the thermostat is stuck open" in plot.words.title


def press(qtbot, root, name: str) -> None:
    qtbot.mouseClick(by_name(root, name, QPushButton), Qt.MouseButton.LeftButton)


def test_a_name_or_another_view_restarts_no_odds(show, context_of, diagnosed):
    """What names vehicle, people and work moves no odds; what was read does."""
    view = CausesView(context_of("van-no-heat"), FEW)
    answer_at_once(view, diagnosed[1])
    show(view)
    started = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(view.background, "run_long", lambda work, _done, _failed: started.append(work))
        for path in NAMES:
            view.context.document.put(path, "Ann Example", "Type a name")
            view.refresh()
        view.hide()
        view.show()
        view.refresh()
        assert started == []
        view.context.document.put("evidence.before.seen.vent_cold", True, "Put in what was seen")
        view.refresh()
        assert len(started) == 1


def test_a_case_that_is_saved_keeps_its_odds(show, diagnosed, tmp_path):
    """Saved for the first time it lies in a folder, and nothing else has changed: the odds still count for the job."""
    found = diagnosed[1]
    document = Document(diagnosed[0].text)
    document.put("evidence.before.log", None, "Take the log out")
    view = CausesView(Context(document, Settings(tmp_path / "window.ini")), FEW)
    answer_at_once(view, found)
    show(view)
    assert document.folder is None
    assert view.current() is found
    document.save(tmp_path / f"job{SUFFIX}")
    assert document.folder == tmp_path
    assert view.current() is found


# ---- the answer -----------------------------------------------------------------------------------------------------


def test_the_odds_are_said_in_words_and_sum_up(view):
    found = view.answer
    named = named_causes(found)
    texts = view.odds.texts
    assert list(texts[: len(named)]) == [cause_line(c, found, UnitSystem.SI) for c in named]
    assert texts[0].startswith("The thermostat is stuck open")
    assert f"The {len(found.causes) - len(named)} other causes" in texts[-1]
    assert view.rates.text().startswith("Before any reading, by the reason for the visit (no heat;")


def test_the_evidence_stands_in_a_table_with_what_each_cause_would_show(view, qtbot):
    table = view.table.rows.text
    assert len(table.rows) == len(view.answer.evidence)
    coolant = next(row for row in table.rows if row[1] == "36 °C")
    assert coolant[0].lower().startswith("coolant")
    assert {row[4] for row in table.rows} <= {
        "hardly either way",
        "only with the others",
        *(f"{strength}{way} it" for strength in ("", "a little ", "strongly ") for way in ("for", "against")),
    }
    press(qtbot, view, "Copy table of evidence")
    assert len(QGuiApplication.clipboard().text().splitlines()) == 1 + len(table.rows)


def test_the_leading_causes_are_drawn_over_what_was_read(view):
    plot = view.pictures.cards[0].view.plot
    assert [s.name for s in plot.series][-1] == "measured"
    named = {cause.fault for cause in named_causes(view.answer)}
    assert len(plot.series) == 1 + sum(curve.fault in named for curve in view.answer.curves)
    assert (plot.series[-1].x[0], plot.series[-1].y[0]) == (pytest.approx(35.0), pytest.approx(36.0))
    assert view.copy_picture()


@pytest.mark.fresh
def test_first_odds_are_shown_alone_until_the_final_ones_come(show, diagnosed, tmp_path, qtbot):
    document, _found = diagnosed
    view = show(CausesView(Context(document, Settings(tmp_path / "early.ini")), FEW))
    seen = []
    view.background.came_early.connect(
        lambda odds: seen.append(
            (odds.stage, view.early.isVisible(), view.odds.texts, view.table.isVisible(), view.rates.isVisible())
        )
    )
    qtbot.waitUntil(lambda: view.answer is not None, timeout=60_000)
    stage, early, texts, table, rates = seen[0]
    assert (stage, early, table, rates) == (Stage.FIRST, True, False, False)
    assert texts[0].startswith("The thermostat is stuck open: ")
    assert not view.early.isVisible()
    assert view.table.isVisible()


def test_other_units_compute_nothing(view):
    found = view.answer
    view.context.system = UnitSystem.US
    view.refresh()
    assert view.answer is found
    assert any("97 °F" in cell for row in view.table.rows.text.rows for cell in row)


def test_without_readings_it_says_what_is_needed(view, qtbot):
    assert view.table.isVisible()
    press(qtbot, view, "Record: After the repair")
    assert view.line.text.startswith("Readings are needed")
    assert not view.table.isVisible()


def test_a_bench_has_no_causes(show, context_of):
    assert show(CausesView(context_of("bench-exchanger"), FEW)).line.text.startswith("A bench has no engine")


# ---- base rates of one's own ----------------------------------------------------------------------------------------


@pytest.fixture
def rates(qtbot, looked) -> RatesDialog:
    made = RatesDialog("no heat", {"low_coolant": 30.0})
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def ok(qtbot, dialog: RatesDialog) -> None:
    button = dialog.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Ok)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_own_rates_are_typed_over_those_of_common_practice(rates, qtbot):
    assert rates.lines["thermostat_stuck_open"].line.placeholderText() == "26 %"
    assert rates.lines["low_coolant"].text == "30 %"
    line = by_name(rates, "Base rate: The heater core is clogged", QLineEdit)
    qtbot.keyClicks(line, "often")
    ok(qtbot, rates)
    assert rates.isVisible()
    assert rates.lines["heater_core_restricted"].wrong.isVisible()
    line.selectAll()
    qtbot.keyClicks(line, "250 %")
    ok(qtbot, rates)
    assert rates.lines["heater_core_restricted"].wrong.text() == "0 % to 100 % would do"
    line.selectAll()
    qtbot.keyClicks(line, "40 %")
    ok(qtbot, rates)
    assert not rates.isVisible()
    assert rates.own == {"low_coolant": 30.0, "heater_core_restricted": 40.0}


def test_other_rates_are_another_question_and_belong_to_the_case(show, context_of, diagnosed, qtbot):
    asked = []

    def ask(reason, own, _parent):
        asked.append((reason, dict(own)))
        return {"thermostat_stuck_open": 0.0}

    context = context_of("van-no-heat")
    view = CausesView(context, FEW, ask)
    answer_at_once(view, diagnosed[1])
    show(view)
    press(qtbot, view, "Base rates of the causes")
    assert asked == [("no heat", {})]
    assert view.background.busy
    assert context.document.text.get("base_rates") == {"thermostat_stuck_open": "0 %"}
    assert context.document.undo_name == "Change base rates"
    view.stop()
    assert view.line.text.startswith("Stopped. What is shown is the answer to what stood typed before")


# ---- the next check -------------------------------------------------------------------------------------------------


def test_one_click_puts_a_result_in_and_the_odds_move(show, context_of, diagnosed, qtbot, answered, choose):
    view = CausesView(context_of("van-no-heat"), FEW)
    answer_at_once(view, diagnosed[1])
    show(view)
    before = view.answer.probability("thermostat_missing")
    choose(view.check.choice, f"{CHECKS['valve_out_and_looked_at_cold'].title} (about 35 min)")
    press(qtbot, view, f"Yes: {SEEN_FACTS['thermostat_missing']}")
    assert view.context.document.text.get("evidence.before.seen.thermostat_missing") is True
    assert view.context.document.undo_name == "Put in what was seen"
    assert view.background.busy
    answered(view)
    after = view.answer.probability("thermostat_missing")
    assert after > 3.0 * before, (before, after)
    asked_anew = diagnose(view.context.document.good, {}, effort=FEW)  # as the command line and the pages ask
    assert [c.fault for c in view.answer.causes] == [c.fault for c in asked_anew.causes]
    # the window works on two processes, which sum in another order: fits of draws far out magnify that for causes under
    # one in ten thousand
    there, here = ([c.probability for c in d.causes] for d in (view.answer, asked_anew))
    assert there == pytest.approx(here, rel=1e-6, abs=1e-6)
    assert [e.weight for e in view.answer.evidence] == pytest.approx([e.weight for e in asked_anew.evidence], rel=1e-4)
    assert any(text.startswith("Found: there is no thermostat in the housing") for text in view.odds.texts)


@pytest.fixture
def card(qtbot, document_of, looked) -> CheckCard:
    made = CheckCard(document_of("van-no-heat"))
    qtbot.addWidget(made)
    made.resize(700, 500)
    made.show()
    qtbot.waitExposed(made)
    return made


def value(key: str) -> OfferedCheck:
    return OfferedCheck(key, f"why {key}")


@pytest.mark.parametrize("key", list(EVERY_CHECK))
def test_every_check_says_how_with_its_cautions_and_takes_a_result(card, key):
    card.show_checks((value(key),), "before", UnitSystem.SI)
    made = EVERY_CHECK[key]
    assert card.why.text() == f"why {key}"
    assert card.tools.text().lower() == f"tools: {made.tools}".lower()
    assert (card.how.text(), card.tells.text()) == (made.how, made.tells)
    assert set(card.cautions.texts) == {c.text for c in ALL if c.key in made.cautions}
    asked = asked_of(key)
    buttons = [b.accessibleName() for b in card.findChildren(QPushButton)]
    for fact in asked.facts:
        assert f"Yes: {SEEN_FACTS[fact]}" in buttons
    assert sum(name.startswith("Put in: ") for name in buttons) == len(asked.places)
    assert asked.facts or asked.places


LEVEL_LOW, BUBBLES = SEEN_FACTS["level_low"], SEEN_FACTS["bubbles_when_running"]


def test_a_check_that_is_begun_stays_until_all_of_it_is_answered(card, qtbot):
    """The level is looked at cold, the bubbles minutes later: the odds ask for another check by then."""
    card._document.put("evidence.before.seen", None)
    card.show_checks((value("level_and_bubbles"), value("fan_commanded")), "before", UnitSystem.SI)
    press(qtbot, card, f"No: {LEVEL_LOW}")
    card.show_checks((value("fan_commanded"), value("heater_hose_pair")), "before", UnitSystem.SI)
    assert (card.key, card.why.text()) == ("level_and_bubbles", view_texts.CHECK_IS_BEGUN)
    assert by_name(card, f"No: {LEVEL_LOW}", QPushButton).isChecked()
    press(qtbot, card, f"Yes: {BUBBLES}")
    card.show_checks((value("fan_commanded"),), "before", UnitSystem.SI)
    assert card.key == "fan_commanded"
    assert card._document.text.get("evidence.before.seen") == {"level_low": False, "bubbles_when_running": True}


def test_what_is_not_checked_is_no_answer_and_ends_the_check(card, qtbot):
    card._document.put("evidence.before.seen", None)
    card.show_checks((value("level_and_bubbles"),), "before", UnitSystem.SI)
    press(qtbot, card, f"Yes: {LEVEL_LOW}")
    press(qtbot, card, f"Not checked: {BUBBLES}")
    card.show_checks((value("fan_commanded"),), "before", UnitSystem.SI)
    assert card.key == "fan_commanded"
    assert card._document.text.get("evidence.before.seen") == {"level_low": True}
    card.show_checks((value("level_and_bubbles"),), "before", UnitSystem.SI)
    press(qtbot, card, f"Not checked: {LEVEL_LOW}")
    assert card._document.text.get("evidence.before.seen") is None, "an answer is taken back"


def test_another_check_may_be_chosen_while_one_is_begun(card, qtbot, choose):
    card._document.put("evidence.before.seen", None)
    card.show_checks((value("level_and_bubbles"), value("fan_commanded")), "before", UnitSystem.SI)
    press(qtbot, card, f"No: {LEVEL_LOW}")
    choose(card.choice, check_title(EVERY_CHECK["fan_commanded"]))
    card.show_checks((value("fan_commanded"),), "before", UnitSystem.SI)
    assert card.key == "fan_commanded"


def test_a_temperature_goes_in_with_instrument_surface_and_time(card, qtbot, choose):
    card.show_checks((value("heater_hose_pair"),), "before", UnitSystem.SI)
    count = len(card._document.text.get("evidence.before.spots"))
    reading = by_name(card, "Reading: heater hose, outlet", QLineEdit)
    assert reading.placeholderText() == "°C"
    qtbot.keyClicks(reading, "warm")
    press(qtbot, card, "Put in: heater hose, outlet")
    assert len(card._document.text.get("evidence.before.spots")) == count, "what does not read is not put in"
    reading.selectAll()
    qtbot.keyClicks(reading, "35")
    qtbot.keyClicks(by_name(card, "Time of the reading: heater hose, outlet", QLineEdit), "30 min")
    choose(by_name(card, "Instrument: heater hose, outlet", QComboBox), "infrared thermometer")
    with qtbot.waitSignal(card.done):
        press(qtbot, card, "Put in: heater hose, outlet")
    assert card._document.text.get("evidence.before.spots")[-1] == {
        "what": "heater_outlet_hose",
        "at": "30 min",
        "value": "35 °C",
        "instrument": "infrared",
        "surface": "rubber",
    }
    assert not card._document.faults


@pytest.mark.parametrize(
    ("key", "what", "typed", "put"),
    [
        ("refractometer", "freezing_point", "-24 °C", {"instrument": "ethylene_scale"}),
        ("refractometer", "concentration", "35 %", {"instrument": "ethylene_scale"}),
        ("cap_test", "cap_opens", "0.4 bar", {"instrument": "pressure_gauge"}),
        ("valve_in_a_pot_of_water", "valve_starts", "71 °C", {"instrument": "immersed"}),
    ],
)
def test_a_number_read_of_a_part_goes_in_without_a_time(card, qtbot, key, what, typed, put):
    name = SPOT_PLACES[what]
    card.show_checks((value(key),), "before", UnitSystem.SI)
    qtbot.keyClicks(by_name(card, f"Reading: {name}", QLineEdit), typed)
    assert f"Time of the reading: {name}" not in [e.accessibleName() for e in card.findChildren(QLineEdit)]
    with qtbot.waitSignal(card.done):
        press(qtbot, card, f"Put in: {name}")
    assert card._document.text.get("evidence.before.spots")[-1] == {"what": what, "value": typed, **put}
    assert not card._document.faults


def test_the_other_glycols_scale_can_be_named(card, qtbot, choose):
    card.show_checks((value("refractometer"),), "before", UnitSystem.SI)
    name = SPOT_PLACES["concentration"]
    qtbot.keyClicks(by_name(card, f"Reading: {name}", QLineEdit), "130 %")
    press(qtbot, card, f"Put in: {name}")
    assert "0 % to 100 % would do" in [e.text() for e in card.findChildren(type(card.how))]
    choose(by_name(card, f"Instrument: {name}", QComboBox), INSTRUMENTS["propylene_scale"])
    line = by_name(card, f"Reading: {name}", QLineEdit)
    line.selectAll()
    qtbot.keyClicks(line, "40 %")
    with qtbot.waitSignal(card.done):
        press(qtbot, card, f"Put in: {name}")
    assert card._document.text.get("evidence.before.spots")[-1]["instrument"] == "propylene_scale"


def test_what_a_probe_cannot_read_is_refused(card, qtbot):
    card.show_checks((value("vent_at_full_hot"),), "before", UnitSystem.SI)
    qtbot.keyClicks(by_name(card, "Reading: air from the centre vent", QLineEdit), "900")
    press(qtbot, card, "Put in: air from the centre vent")
    assert "-60 degC to 200 degC would do" in [e.text() for e in card.findChildren(type(card.how))]


def test_the_reason_for_a_check_is_that_of_the_one_shown(card):
    card.show_checks(
        (value("level_and_bubbles"), value("vent_at_full_hot"), value("cap_test")), "before", UnitSystem.SI
    )
    assert card.why.text() == "why level_and_bubbles"
    card.choice.setCurrentIndex(2)
    card.choice.activated.emit(2)
    assert card.why.text() == "why cap_test"


# ---- the vehicle's own history --------------------------------------------------------------------------------------


@pytest.fixture
def with_book(show, diagnosed, tmp_path) -> tuple[CausesView, list]:
    """A view beside a job book; what the book has of the vehicle stands in the list."""
    document, _ = diagnosed
    settings = Settings(tmp_path / "window.ini")
    settings.book = tmp_path / "shop.jobbook"
    has = [HistoryNotUsed(NoHistory.UNCONFIRMED, 4, "2025-03-04")]
    context = Context(document, settings, own_history=lambda: has[0] if settings.own_history else None)
    view = CausesView(context)
    answer_at_once(view, diagnosed[1])
    return show(view), has


def test_why_a_vehicles_own_history_does_not_count_is_said(with_book):
    view, has = with_book
    assert view.history.isVisible()
    assert view.history.isChecked()
    assert "nobody has entered that the visit of 2025-03-04 (job 4) ended with nothing at fault" in view.rates.text()
    has[0] = HistoryNotUsed(NoHistory.NO_VISIT)
    view.refresh()
    assert not view.history.isVisible()


def test_one_click_switches_a_vehicles_own_history_off(with_book, diagnosed, qtbot, monkeypatch):
    view, _ = with_book
    before = view.question().key
    monkeypatch.setattr(view.background, "run_long", lambda _work, done, _failed: done(diagnosed[1]))
    qtbot.mouseClick(view.history, Qt.MouseButton.LeftButton)
    assert not view.context.settings.own_history
    assert view.question().key != before
    assert "own history" not in view.rates.text()
    assert view.history.isVisible()  # to be switched on again


def test_a_history_that_counts_is_said_with_its_visit(with_book, diagnosed):
    view, _ = with_book
    found = diagnosed[1]
    own = [u for u in found.kept.problem.unknowns if not u.of_record]
    place = Place(np.zeros(len(own)), 0.25 * np.eye(len(own)))
    prior = OwnPrior(tuple(u.key for u in own), tuple(u.spread for u in own), {"outlet": place}, 0.2)
    view.show_answer(replace(found, own=OwnHistory(4, "2025-03-04", "before", 0.94, prior)))
    assert "starts from its own record at the visit of 2025-03-04 (job 4), as found" in view.rates.text()
    assert "to 63 % of the spread within its class" in view.rates.text()  # the root of 1 - 0.8 * 0.75, which is 0.4
