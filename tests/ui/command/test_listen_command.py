"""``heatdocket listen``: a log replayed, a vehicle read, and every argument that cannot be meant."""

from __future__ import annotations

import json

import pytest
from live_courses import TOWN, course
from simulated_adapter import Adapter, OnTerminal

from engcalc.diagnosis.diagnosis import diagnose
from engcalc.logs.channels import Channel
from engcalc.logs.log import read_log
from ui.command.main import main
from ui.live.watch import Watch


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    path = tmp_path_factory.mktemp("replay") / "open.csv"
    path.write_bytes(course("lift=0.4", TOWN, 5.0).log(until=480.0))
    return path


def test_a_replay_ends_with_the_answer_that_the_log_gives(log, capsys, tmp_path):
    out = tmp_path / "again.csv"
    assert main(["listen", "--json", "--replay", str(log), "--speed", "400", "--every", "0.3", "-o", str(out)]) == 0
    told = capsys.readouterr()
    found = json.loads(told.out)
    assert found["gaps"] == 0
    assert found["samples"] == sum(trace.time.size for trace in read_log(log).traces.values())
    assert found["course"]
    logs = {"before": read_log(out)}
    whole = diagnose(Watch(None, "before").case_of(None), logs, record="before")
    assert [(c["fault"], c["probability"]) for c in found["causes"]] == [(c.fault, c.probability) for c in whole.causes]
    assert read_log(out).last(Channel.COOLANT) == read_log(log).last(Channel.COOLANT)
    assert "coolant" in told.err
    assert "Reading ended: the log is over." in told.err


def test_a_vehicle_is_read_on_a_serial_port(capsys, tmp_path):
    ran, path = course("lift=0.4", TOWN, 5.0), tmp_path / "log.csv"
    with OnTerminal(Adapter(lambda: ran.answers(600.0))) as served:
        arguments = ["listen", "--port", served.port, "--minutes", "0.02", "-o", str(path), "--every", "0.5"]
        assert main(arguments) == 0
    told = capsys.readouterr()
    assert "The driver drives" in told.err
    assert "exhaust gas kills" in told.err
    assert "Bench adapter v0.9" in told.err
    assert f"They stand in {path}." in told.out
    assert read_log(path).has(Channel.COOLANT)


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
    ],
)
def test_arguments_that_cannot_be_meant_are_named(arguments, path, capsys):
    assert main(["listen", "--json", *arguments]) == 2
    faults = json.loads(capsys.readouterr().out)["faults"]
    assert [fault["path"] for fault in faults] == [path]
    assert "would do" in faults[0]["wanted"]


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
