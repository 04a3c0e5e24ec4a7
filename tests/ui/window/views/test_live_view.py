"""The live view: a log replayed, a vehicle read into the case, a danger across the page, and a view that is closed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from live_courses import TOWN, course
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication
from simulated_adapter import Adapter, OnTcp

from engcalc.case.text import FORMAT, CaseText
from engcalc.diagnosis.danger_now import Alarm, AlarmCode
from engcalc.diagnosis.drive.planned_drive import PlannedDrive, PlannedLeg
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.proof_words import proof_sentences, so_far_sentence
from engcalc.words.texts.view_texts import LOG_PLAYED, VEHICLE_IS_READ
from engcalc.words.workshop.drive_words import drive_cautions, drive_lines, leg_now_line
from engcalc.words.workshop.live_words import DRIVER_DRIVES, passed_line
from ui.document import Document
from ui.live.planning import LegNow, Planned
from ui.live.watch import Watch, with_reading
from ui.window.results.lines import Sentences
from ui.window.settings import Settings
from ui.window.views.live.view import LiveView
from ui.window.views.view import Context

PATIENCE_MS = 60_000
STOP = Alarm(AlarmCode.OVER_LIMIT, 900.0, 391.15, 388.15)
CASE = CaseText({"format": FORMAT, "vehicle": {"class": "family car"}, "job": {"reason": "no heat"}})


@pytest.fixture
def live(show, tmp_path):
    """A view on a saved case; ``replays`` is the log that its dialog would choose."""
    document = Document(CASE)
    document.save(tmp_path / "car.heatcase.json")
    document.resolve()
    chosen = tmp_path / "chosen.csv"
    view = LiveView(Context(document, Settings(tmp_path / "window.ini")), lambda *_: str(chosen), every=0.2)
    view.speed.addItem("at once", 1e6)
    view.speed.setCurrentIndex(view.speed.count() - 1)
    return show(view), chosen


def ended(qtbot, view: LiveView) -> None:
    qtbot.waitUntil(lambda: not view.work.busy, timeout=PATIENCE_MS)
    QApplication.processEvents()


def test_a_replayed_log_ends_with_curve_conclusion_and_odds(live, qtbot, monkeypatch):
    view, chosen = live
    beeps: list[tuple[str, ...]] = []
    monkeypatch.setattr(QApplication, "beep", lambda: beeps.append(view._heard))
    chosen.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=480.0))
    before = view.context.document.text
    qtbot.mouseClick(view.replay, Qt.MouseButton.LeftButton)
    assert not view.start.isEnabled()
    working = "Reading ended: the log is over. The answer to all of it is being worked out, some seconds more."
    qtbot.waitUntil(lambda: view.state.text() == working, timeout=PATIENCE_MS)  # its last answer takes a while
    ended(qtbot, view)
    assert view.state.text() == "The log was played; this is the answer to all that was played."
    said = " ".join(view.said.texts)
    assert said.startswith("Runs cold.")
    assert "thermostat is stuck open" in said
    assert "Before the start the sensors agree" in said
    judged = view.work.listening.judged[-1]
    assert passed_line(judged.passed, judged.at) in view.said.texts
    assert "The record was over at 7:48." in said
    assert view.curves.cards[0].view.plot is not None
    last = round(course("lift=0.4", TOWN, 5.0).coolant[478])  # the last row of the log
    assert view.now.text() == f"7:48 after the start  {last} °C"
    settled = view.work.listening.judged[-1].settles
    assert set(settled) == {"thermostat_stuck_open", "thermostat_missing"}
    assert beeps[-1] == settled  # who drives hears it, once
    assert len(beeps) == len(set(beeps))
    assert view.start.isEnabled()
    assert view.context.document.text == before  # a replay is no reading of this vehicle
    assert DRIVER_DRIVES in [text for s in view.findChildren(Sentences) for text in s.texts]


def test_the_banner_is_told_while_a_log_is_shown_that_is_no_part_of_the_case(live, qtbot):
    """A replay stood under "Nothing judged yet", which a class took for its answer."""
    view, chosen = live
    told: list[str] = []
    view.context.stands_apart = told.append
    chosen.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=120.0))
    view.leave()
    assert told == []
    qtbot.mouseClick(view.replay, Qt.MouseButton.LeftButton)
    ended(qtbot, view)
    assert told == [LOG_PLAYED]
    view.leave()
    view.refresh()
    assert told == [LOG_PLAYED, "", LOG_PLAYED]


def test_a_vehicle_that_is_read_becomes_the_record_of_the_case(live, qtbot, tmp_path, monkeypatch):
    view, _ = live
    monkeypatch.setattr(Watch, "plan_first", lambda _watch, _cancelled: Planned(0.0, None))  # takes seconds
    ran = course("lift=0.4", TOWN, 5.0)
    told: list[str] = []
    view.context.stands_apart = told.append
    with OnTcp(Adapter(lambda: ran.answers(600.0), codes=(b"\x01\x28",))) as served:
        view.port.setEditText(served.port)
        qtbot.mouseClick(view.start, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(lambda: bool(view.now.text()), timeout=PATIENCE_MS)
        assert "Bench adapter" in view.state.text()
        view.leave()  # another view in sight: the reading goes on
        assert view.work.busy
        tree = view.context.document.text.tree
        looked = CaseText({**tree, "evidence": {"before": {"seen": {"level_low": False}}}})
        view.context.document.take_text(looked, "A look at a stop")
        watch = view.work.listening.watch
        qtbot.waitUntil(lambda: watch.text == looked, timeout=PATIENCE_MS)  # it counts with the next answer
        qtbot.mouseClick(view.stop, Qt.MouseButton.LeftButton)
        ended(qtbot, view)
    assert told == [VEHICLE_IS_READ, "", ""]  # "nothing was read" stood over a vehicle that was being read
    record = view.context.document.text.tree["evidence"]["before"]
    assert record["codes"] == ["P0128"]
    assert record["seen"] == {"level_low": False}
    assert not view.by_hand.isVisible()
    assert read_log(tmp_path / record["log"]["file"]).has(Channel.COOLANT)
    assert view.context.document.undo_name == "Live reading"


def test_what_is_read_by_hand_at_a_stop_is_typed_beside_the_curve(live, qtbot, monkeypatch, tmp_path):
    view, _ = live
    monkeypatch.setattr(Watch, "plan_first", lambda _watch, _cancelled: Planned(0.0, None))  # takes seconds
    ran = course("lift=0.4", TOWN, 5.0)
    assert not view.by_hand.isVisible()
    with OnTcp(Adapter(lambda: ran.answers(600.0))) as served:
        view.port.setEditText(served.port)
        qtbot.mouseClick(view.start, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(lambda: bool(view.now.text()), timeout=PATIENCE_MS)
        assert view.by_hand.isVisible()
        line = view.by_hand.line
        for typed in ("upper hose 60", "heater high", "uper hose 61"):
            line.setText(typed)
            qtbot.keyClick(line, Qt.Key.Key_Return)
        assert "upper hose" in view.state.text()
        assert line.text() == "uper hose 61"  # nothing typed is lost
        line.setText("back")
        qtbot.keyClick(line, Qt.Key.Key_Return)
        assert line.text() == ""
        qtbot.mouseClick(view.stop, Qt.MouseButton.LeftButton)
        ended(qtbot, view)
    record = view.context.document.text.tree["evidence"]["before"]
    [spot] = record["spots"]
    assert (spot["what"], spot["value"], spot["instrument"]) == ("upper_hose", "60 degC", "clamp")
    assert "heater_changes" not in record
    assert "upper radiator hose 60 degC" in (tmp_path / record["log"]["file"]).read_text(encoding="utf-8")


def test_a_danger_stands_across_the_page_and_sounds(live, qtbot, monkeypatch):
    view, chosen = live
    beeps = []
    monkeypatch.setattr(QApplication, "beep", lambda: beeps.append(1))
    chosen.write_bytes(course("most_lift=0.0", TOWN, 25.0).log(until=960.0))
    qtbot.mouseClick(view.replay, Qt.MouseButton.LeftButton)
    ended(qtbot, view)
    assert view.danger.isVisible()
    assert view.danger.text().startswith("STOP: the coolant is at ")
    assert view.danger.width() > 0.95 * view.width()
    assert beeps


def test_a_danger_tells_the_coolant_as_it_is_now(live, qtbot):
    """At 122 degC it still said that the coolant was at 115."""
    view, chosen = live
    chosen.write_bytes(course("most_lift=0.0", TOWN, 25.0).log(until=960.0))
    qtbot.mouseClick(view.replay, Qt.MouseButton.LeftButton)
    ended(qtbot, view)
    last = view.now.text().rpartition("  ")[2]
    assert view.danger.text().startswith(f"STOP: the coolant is at {last}")


def test_a_lesser_danger_does_not_take_the_place_of_a_graver_one(live):
    view, _ = live
    view._show_danger(STOP)
    view._renew_danger(replace(STOP, T=STOP.T + 3.0))
    assert view.danger.text().startswith("STOP: the coolant is at 121 °C")
    view._renew_danger(replace(STOP, code=AlarmCode.NEAR_LIMIT, T=STOP.T - 8.0))
    assert view.danger.text().startswith("STOP: the coolant is at 121 °C")
    view._renew_danger(None)
    assert not view.danger.isVisible()


def test_a_view_that_is_closed_keeps_its_log_and_leaves_no_thread(live, qtbot, tmp_path):
    view, _ = live
    ran = course()
    with OnTcp(Adapter(lambda: ran.answers(600.0))) as served:
        view.port.setEditText(served.port)
        qtbot.mouseClick(view.start, Qt.MouseButton.LeftButton)
        qtbot.waitUntil(lambda: bool(view.now.text()), timeout=PATIENCE_MS)
        view.close_view()
    assert not view.work.busy
    [log] = tmp_path.glob("live-before-*.csv")
    assert read_log(log).has(Channel.COOLANT)


@pytest.mark.parametrize("port", ["", "tcp:nowhere"])
def test_a_port_that_cannot_be_meant_is_said_and_nothing_begins(live, qtbot, port):
    view, _ = live
    view.port.setEditText(port)
    qtbot.mouseClick(view.start, Qt.MouseButton.LeftButton)
    assert "would do" in view.state.text()
    assert not view.work.busy


def test_the_curve_is_in_sight_while_it_grows_and_what_is_read_before_comes_beneath_it(live, qtbot):
    """In what 1366 x 768 leave of the window, about 1180 x 570; the driver may not touch anything."""
    view, chosen = live
    view.resize(1180, 570)
    chosen.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=120.0))
    qtbot.mouseClick(view.replay, Qt.MouseButton.LeftButton)
    assert not view.records.isVisible()
    assert not view.replay.isVisible()
    assert view.stop.isVisible()
    ended(qtbot, view)
    assert view.records.isVisible()
    view.records.hide()
    view.without_vehicle.hide()  # as while it grows
    QApplication.processEvents()
    curve = view.curves.cards[0].view
    bottom = curve.mapTo(view, QPoint(0, curve.height())).y()
    assert bottom <= view.height()
    drive = PlannedDrive((PlannedLeg("steady_road", 10.0), PlannedLeg("stop", 4.0)), True, "high", 3.0, 2.0, 0.6, ())
    view._show_plan(Planned(0.0, drive))
    QApplication.processEvents()
    assert view.drive_card.mapTo(view, QPoint()).y() > curve.mapTo(view, QPoint()).y()
    assert view.drive.texts == drive_lines(drive)
    cautions = drive_cautions(drive)
    assert cautions
    assert set(cautions) <= set(view.cautions.texts)
    assert not set(cautions) & set(view.drive.texts)
    assert len(set(view.cautions.texts)) == len(view.cautions.texts)
    assert sum("The driver drives and looks at the road" in text for text in view.cautions.texts) == 1
    assert not view.leg.isVisible()
    view._tell(LegNow(drive, 1))
    QApplication.processEvents()
    assert view.leg.isVisible()
    assert view.leg.text() == leg_now_line(drive, 1)
    assert view.leg.mapTo(view, QPoint()).y() < curve.mapTo(view, QPoint()).y()  # in sight while it is driven
    view._ended(None)
    assert not view.leg.isVisible()


def test_a_run_after_the_repair_is_laid_over_the_run_before(live, qtbot, tmp_path):
    view, chosen = live
    view.records.choose("after")
    view.records.chosen.emit()
    assert "no run before the repair" in view.state.text()
    (tmp_path / "before.csv").write_bytes(course("lift=0.4", TOWN, 5.0).log(until=150.0, every=5))
    chosen.write_bytes(course("", TOWN, 5.0).log(until=150.0, every=5))
    text = with_reading(view.context.document.text, "before", "before.csv", ())
    view.context.document.take_text(text, "a run before")
    view.context.document.resolve()
    view.records.chosen.emit()
    assert "no run before the repair" not in view.state.text()
    assert not view.proof_card.isVisible()
    qtbot.mouseClick(view.replay, Qt.MouseButton.LeftButton)
    ended(qtbot, view)
    proof = view.work.listening.judged[-1].proof
    assert view.proof.texts == (so_far_sentence(proof, UnitSystem.SI), *proof_sentences(proof, UnitSystem.SI)[1:])
    assert view.proof.texts[0].startswith("Not proven yet.")
    assert view.proof_card.isVisible()
    assert [line.name for line in view.pair.cards[0].view.plot.series][-2:] == ["before, at the same heat", "after"]


def test_a_bench_has_nothing_to_play_a_log_on(live, qtbot):
    """It said "A defect of Heatdocket ended this"."""
    view, chosen = live
    chosen.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=60.0))
    water = {"fluid": "water"}
    tree = {"format": FORMAT, "vehicle": {"class": "bench rig"}, "exchanger": {"arrangement": "counterflow"}}
    view.context.document.take_text(CaseText({**tree, "hot_stream": water, "cold_stream": water}), "A bench")
    view.context.document.resolve()
    for button in (view.replay, view.plan):
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        ended(qtbot, view)
        assert view.state.text().endswith("A bench has no engine that warms up.")
        assert view.start.isEnabled()
