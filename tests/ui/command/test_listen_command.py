"""``heatdocket listen``: a log replayed, a vehicle read, and every argument that cannot be meant."""

from __future__ import annotations

import json
import os
import threading
import time

import pytest
from live_courses import TOWN, course
from simulated_adapter import Adapter, OnTcp, OnTerminal

from engcalc.diagnosis.danger_now import Alarm, AlarmCode
from engcalc.diagnosis.drive.planned_drive import PlannedDrive, PlannedLeg
from engcalc.diagnosis.enough import OddsPassed, SettledCauses
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from engcalc.units import UnitSystem
from engcalc.words.texts.shared_texts import LAST_ANSWER_IS_WORKED_OUT
from engcalc.words.workshop.drive_words import LEGS_OVER
from engcalc.words.workshop.live_words import clock, freeze_frame_line
from ui.command.listening import _Teller, news_json
from ui.command.main import main
from ui.command.typed_input import lines_until
from ui.live.events import Connected
from ui.live.link import VehicleTold
from ui.live.planning import LegNow, Planned
from ui.live.watch import Judged, Watch


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    path = tmp_path_factory.mktemp("replay") / "open.csv"
    path.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=480.0))
    return path


def test_a_replay_ends_with_the_answer_that_the_log_gives(log, capsys, tmp_path):
    out = tmp_path / "again.csv"
    assert main(["listen", "--json", "--replay", str(log), "--speed", "400", "--every", "0.3", "-o", str(out)]) == 0
    told = capsys.readouterr()
    *news, found = [json.loads(line) for line in told.out.splitlines()]
    assert found["event"] == "end"
    assert sum(x["event"] == "value" for x in news) == found["samples"]
    answers = [x for x in news if x["event"] == "answer"]
    assert [{"event": "answer", **x} for x in found["course"]] == answers
    coolant = [x for x in news if x["event"] == "value" and x["unit"] == "degC" and x["name"].startswith("Coolant")]
    assert coolant[0]["value"] == pytest.approx(read_log(log).first(Channel.COOLANT) - 273.15, abs=0.01)
    assert found["gaps"] == 0
    assert found["samples"] == sum(trace.time.size for trace in read_log(log).traces.values())
    assert found["course"]
    logs = {"before": read_log(out)}
    whole = diagnose(Watch(None, "before").case_of(None), logs, record="before")
    assert [(c["fault"], c["probability"]) for c in found["causes"]] == [(c.fault, c.probability) for c in whole.causes]
    assert read_log(out).last(Channel.COOLANT) == read_log(log).last(Channel.COOLANT)
    assert found["record_over_s"] == read_log(out).end
    assert found["odds_passed"] == answers[-1]["odds_passed"]  # nobody said what it was brought for: none are past it
    assert "coolant" in told.err
    ended = "Reading ended: the log is over. The answer to all of it is being worked out, some seconds more."
    assert ended in told.err  # it seemed to hang
    assert told.err.count(LAST_ANSWER_IS_WORKED_OUT) == 1


def test_what_is_typed_counts_and_is_kept_with_the_reading(capsys, tmp_path, monkeypatch):
    """A healthy warm-up of whose hoses one stays cold: the same odds as the kept case gives with the readings in it."""
    out, kept = tmp_path / "log.csv", tmp_path / "car.heatcase.json"
    played = tmp_path / "played.csv"
    played.write_bytes(course("", TOWN, 5.0).log(until=600.0, every=4))
    lines = ["heater inlet 70", "heater outlet 30", "uper hose 60", "vent 12", "back", "level good"]
    ours, theirs = os.pipe()
    monkeypatch.setattr("ui.command.typed_input.lines_until", lambda over: lines_until(over, ours))

    def type_them() -> None:
        while not out.exists() or out.stat().st_size < 4000:  # some 70 s of the record
            time.sleep(0.02)
        os.write(theirs, "".join(f"{line}\n" for line in lines).encode())

    threading.Thread(target=type_them).start()
    arguments = ["listen", "--json", "--replay", str(played), "--speed", "200", "--every", "60", "--typed"]
    assert main([*arguments, "-o", str(out), "--keep", str(kept)]) == 0
    os.close(ours)
    os.close(theirs)
    told = capsys.readouterr()
    *news, found = [json.loads(line) for line in told.out.splitlines()]
    inlet, outlet, level = found["typed"]
    assert [x["value"] for x in (inlet, outlet)] == ["70 degC", "30 degC"]
    assert level == {"seen": {"level_low": False}}
    assert 30.0 < float(inlet["at"].removesuffix(" s")) < 580.0
    marks = [x["text"] for x in news if x["event"] == "mark" and x["what"] == "By hand"]
    assert len(marks) == 5
    assert marks[3] == "the last line is taken back"
    assert marks[0] in out.read_text(encoding="utf-8")
    assert "Not taken: uper hose 60; a place and a number" in told.err
    record = json.loads(kept.read_text(encoding="utf-8"))["evidence"]["before"]
    assert record["spots"] == [inlet, outlet]
    assert (record["seen"], record["log"]) == ({"level_low": False}, {"file": "log.csv"})
    assert main(["diagnose", str(kept), "--json"]) == 0
    causes = json.loads(capsys.readouterr().out)["causes"]
    assert [(c["fault"], c["probability"]) for c in causes] == [
        (c["fault"], pytest.approx(c["probability"])) for c in found["causes"]
    ]


def test_a_case_is_kept_beside_its_log_only(log, tmp_path, capsys):
    elsewhere = tmp_path / "other"
    elsewhere.mkdir()
    arguments = ["listen", "--json", "--replay", str(log), "--keep", str(elsewhere / "car.heatcase.json")]
    assert main(arguments) == 2
    [fault] = json.loads(capsys.readouterr().out)["faults"]
    assert fault["path"] == "--keep"


def test_a_vehicle_is_read_on_a_serial_port(capsys, tmp_path):
    ran, path = course("lift=0.4", TOWN, 5.0), tmp_path / "log.csv"
    with OnTerminal(Adapter(lambda: ran.answers(600.0))) as served:
        arguments = ["listen", "--port", served.port, "--minutes", "0.04", "-o", str(path), "--no-test-drive"]
        assert main(arguments) == 0
    told = capsys.readouterr()
    assert "The driver drives" in told.err
    assert "exhaust gas kills" in told.err
    assert "Bench adapter v0.9" in told.err
    assert f"They stand in {path}." in told.out
    assert read_log(path).has(Channel.COOLANT)
    over = clock(read_log(path).end)
    assert f"The record was over at {over}." in told.out


def test_a_pulled_plug_is_a_gap_and_the_reading_goes_on(capsys, tmp_path):
    ran, path = course("lift=0.4", TOWN, 5.0), tmp_path / "log.csv"
    with OnTcp(Adapter(lambda: ran.answers(600.0))) as served:

        def pull() -> None:
            while not path.exists() or path.stat().st_size < 300:  # until some values are read
                time.sleep(0.02)
            served.unplug()

        pulling = threading.Thread(target=pull)
        pulling.start()
        assert main(["listen", "--port", served.port, "--minutes", "0.1", "-o", str(path), "--no-test-drive"]) == 0
        pulling.join()
    told = capsys.readouterr()
    assert told.err.count("Bench adapter v0.9") == 2
    assert "Gap begins: the adapter closed the connection." in told.err
    assert "Gap ends: the vehicle answers again." in told.err
    assert told.err.index("Gap begins") < told.err.index("Gap ends") < told.err.index("Reading ended")
    log = path.read_text(encoding="utf-8")
    assert "Coolant temperature" in log[: log.index("Gap begins")]
    assert "Coolant temperature" in log[log.index("Gap ends") :]


@pytest.mark.parametrize(
    ("arguments", "path"),
    [
        ([], "--port"),
        (["--port", "tcp:a:1"], "--output"),
        (["--port", "tcp:a:1", "--replay", "x.csv", "-o", "y.csv"], "--port"),
        (["--replay", "x.csv", "--speed", "0"], "--speed"),
        (["--replay", "x.csv", "--speed", "nan"], "--speed"),
        (["--replay", "x.csv", "--speed", "1001"], "--speed"),
        (["--replay", "x.csv", "--minutes", "0"], "--minutes"),
        (["--replay", "x.csv", "--every", "0"], "--every"),
        (["--plan", "cold", "--replay", "x.csv"], "--plan"),
        (["--plan", "cold", "--before", "x.csv"], "--before"),
        (["--replay", "x.csv", "--before", "y.csv", "--record", "before"], "--record"),
    ],
)
def test_arguments_that_cannot_be_meant_are_named(arguments, path, capsys):
    assert main(["listen", "--json", *arguments]) == 2
    faults = json.loads(capsys.readouterr().out)["faults"]
    assert [fault["path"] for fault in faults] == [path]
    assert "would do" in faults[0]["wanted"]


def test_a_run_is_laid_over_the_one_before_the_repair(tmp_path, capsys):
    """The last answer so far, the answer at the end and ``warmup`` on both records say the same."""
    before, after = tmp_path / "before.csv", tmp_path / "after.csv"
    before.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=150.0, every=5))
    after.write_bytes(course("", TOWN, 5.0).log(until=150.0, every=5))
    arguments = ["listen", "--json", "--before", str(before), "--replay", str(after), "--speed", "1000"]
    assert main([*arguments, "--every", "60"]) == 0
    told = capsys.readouterr()
    found = json.loads(told.out.splitlines()[-1])
    so_far, last = found["course"][-1]["proof"], found["before_after"]
    assert (so_far["proof"], so_far["stands"]) == ("not proven yet", False)
    assert so_far["before_at_same_heat_degC"] == last["same_heat"]["before_degC"][-1]
    assert f"Not proven yet. {last['sentences'][0]}" in told.err
    pair = {"before": {"log": {"file": "before.csv"}}, "after": {"log": {"file": "after.csv"}}}
    case = tmp_path / "pair.heatcase.json"
    case.write_text(json.dumps({"format": "heatdocket-case/1", "evidence": pair}), encoding="utf-8")
    assert main(["warmup", str(case), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["before_after"] == last


def test_a_danger_and_a_plan_are_lines_of_their_own():
    alarm = Alarm(AlarmCode.OVER_LIMIT, 600.0, 388.15, 388.15, 0.1)
    told = {"event": "danger", "at_s": 600.0, "what": "over_limit", "danger": "stop"}
    assert news_json(alarm) == {**told, "coolant_degC": pytest.approx(115.0), "limit_degC": pytest.approx(115.0)}
    drive = PlannedDrive((PlannedLeg("idle", 10.0, "high"),), True, "high", 2.0, 1.0, 0.5, ("hill",))
    plan = news_json(Planned(0.0, drive))
    assert plan["looks"] == []
    legs = [{"leg": "idle", "minutes": 10.0, "heater": "high"}]
    assert (plan["event"], plan["legs"], plan["minutes"], plan["next_check"]) == ("test_drive", legs, 10.0, None)
    assert "Set the heater before the start and leave it so. Enter it: heater high." in plan["text"]
    now, over = (news_json(LegNow(drive, number)) for number in (0, 1))
    assert (now["event"], now["number"]) == ("leg", 1)
    assert now["text"] == "Now leg 1 of 1, 10 minutes: let it idle, heater on full."
    assert over == {"event": "leg", "number": 2, "text": LEGS_OVER}
    assert "exhaust gas kills" in " ".join(plan["text"])
    assert news_json(Planned(30.0, None))["danger_first"]


def test_who_drives_hears_what_is_settled_once(capsys):
    teller = _Teller(UnitSystem.SI)
    for settled in ((), ("pump_weak",), ("pump_weak",), ()):
        teller.tell(Judged(60.0, None, None, enough=SettledCauses(settled, ("healthy", "pump_weak"))))
    assert capsys.readouterr().err.count("\a") == 1


def test_odds_that_fall_below_again_are_said(capsys):
    teller, passed = _Teller(UnitSystem.SI), OddsPassed(("pump_weak",), 60.0)
    for news in (None, passed, passed, None):
        teller.tell(Judged(90.0, None, None, passed=news))
    told = capsys.readouterr().err
    assert told.count("By 1:00 the odds had passed 9 in 10") == told.count("The odds fell below 9 in 10 again.") == 1


def test_how_the_engine_ran_as_a_code_was_set_is_told():
    frozen = {Channel.ENGINE_SPEED: 13.0, Channel.COOLANT: 313.15, Channel.VOLTAGE: 14.0}
    told = VehicleTold(
        "an adapter", "a bus", ("7E8",), {0x05: "7E8"}, codes=("P0128",), frozen=frozen, frozen_by="P0128"
    )
    found = news_json(Connected(0.0, told))["freeze_frame"]
    assert found["code"] == "P0128"
    assert [(x["value"], x["unit"]) for x in found["values"]] == [(780.0, "rpm"), (40.0, "degC"), (14.0, "V")]
    assert freeze_frame_line("P0128", frozen) == "As P0128 was set: coolant temperature 40.0 °C, engine speed 780 rpm."
    assert news_json(Connected(0.0, VehicleTold("", "", (), {})))["freeze_frame"] is None


def test_a_plan_alone_reads_nothing(capsys):
    assert main(["listen", "--json", "--plan", "on"]) == 2
    assert [f["path"] for f in json.loads(capsys.readouterr().out)["faults"]] == ["evidence.before.log"]


def test_a_log_that_exists_is_not_written_over(log, tmp_path, capsys):
    before = log.read_bytes()
    assert main(["listen", "--replay", str(log), "-o", str(log), "--force"]) == 2
    there = tmp_path / "there.csv"
    there.write_text("mine", encoding="utf-8")
    assert main(["listen", "--replay", str(log), "-o", str(there)]) == 2
    assert (there.read_text(encoding="utf-8"), log.read_bytes()) == ("mine", before)


def test_an_adapter_that_is_not_there_is_said(tmp_path, capsys):
    assert main(["listen", "--port", "tcp:127.0.0.1:1", "-o", str(tmp_path / "log.csv")]) == 2
    assert "does not answer" in capsys.readouterr().err
