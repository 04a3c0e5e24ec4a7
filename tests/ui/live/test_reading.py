"""A reading from end to end, against a simulated vehicle: every protocol, slow, garbled, unplugged, without power."""

from __future__ import annotations

import random
import time
from itertools import islice

import pytest
from killed_listener import killed_listener, losses
from live_courses import KEY_ON
from simulated_adapter import Adapter, OnTcp, OnTerminal

from engcalc.logs.channels import TEMPERATURES, Channel, scale
from engcalc.logs.log import read_log
from engcalc.logs.pids import PIDS
from ui.live.adapter import WireLostError
from ui.live.events import Connected, ReadingMark, ReadingMarkKind, Sample
from ui.live.link import AdapterLink
from ui.live.ports import opener
from ui.live.reading import Clock, ReadingSetting, read_vehicle
from ui.live.recording import Recording, recorded
from ui.live.replay import replayed
from ui.live.schedule import REST, Schedule


@pytest.mark.parametrize("protocol", ["2", "3", "5", "6", "7"])
@pytest.mark.parametrize("kind", [OnTerminal, OnTcp])
def test_every_protocol_tells_the_same(healthy, kind, protocol):
    adapter = Adapter(
        lambda: healthy.answers(700.0),
        protocol=protocol,
        codes=(b"\x01\x28", b"\x01\x18", b"\x01\x17", b"\x02\x17"),
        pending=(b"\x01\x28",),
        frozen={0x02: b"\x01\x28", 0x05: b"\x50"},
        gearbox={0x05: b"\xa0", 0x0D: b"\x00"},
    )
    with kind(adapter) as served:
        link = AdapterLink(opener(served.port)())
        told = link.told()
        values, trouble = link.read(0x05, told.asked_of[0x05])
        link.close()
    assert trouble is None
    assert values == {Channel.COOLANT: pytest.approx(round(healthy.coolant[700]) + 273.15)}
    assert told.codes == ("P0128", "P0118", "P0117", "P0217")
    assert told.pending == ("P0128",)
    assert told.vin == "1HD0CKET0XX123456"
    assert told.frozen == {Channel.COOLANT: pytest.approx(313.15)}
    assert told.frozen_by == "P0128"
    assert set(told.asked_of) == healthy.answers(700.0).keys()
    assert len(told.units) == 2
    assert len(set(told.asked_of.values())) == 1  # of two that support it, the first: the engine's


@pytest.fixture(scope="module")
def whole(healthy):
    """A warm-up read from key-on at 600 times its speed, the plug pulled in between."""
    scale("degC", "temperature")
    begun = time.monotonic()

    def now() -> float:
        return (time.monotonic() - begun) * 600.0

    recording, events, pulled = Recording(None), [], False
    with OnTcp(Adapter(lambda: healthy.answers(now()), garbled=0.02)) as served:
        setting = ReadingSetting(
            opener(served.port), lambda: now() > 1200.0, clock=Clock(now, lambda s: time.sleep(min(s, 60.0) / 600.0))
        )
        for event in recorded(read_vehicle(setting), recording):
            events.append(event)
            if not pulled and event.at > 600.0:
                pulled = True
                served.unplug()
    return recording, events


def test_a_recording_reads_back_as_the_vehicle_was(healthy, whole):
    recording, _ = whole
    log = read_log(recording.so_far())
    t, T = log.observed(Channel.COOLANT)
    start = KEY_ON  # the course's own time of the engine's start
    there = [healthy.coolant[min(int(at + start), healthy.seconds - 1)] for at in t]
    off = sorted(abs(a - 273.15 - b) for a, b in zip(T, there, strict=True))
    assert len(t) > 100
    assert off[int(0.9 * len(off))] < 2.5  # degC, of which 0.5 rounding; the rest the jitter of a clock so fast
    assert set(log.traces) == {c for pid in healthy.answers(700.0) for c in PIDS[pid].channels}
    assert log.start_known


def test_a_pulled_plug_is_a_gap_and_no_end(whole):
    recording, events = whole
    kinds = [event.kind for event in events if isinstance(event, ReadingMark)]
    assert kinds.count(ReadingMarkKind.GAP_BEGINS) == kinds.count(ReadingMarkKind.GAP_ENDS) == 1
    assert sum(isinstance(event, Connected) for event in events) == 2
    assert recording.gaps == 1
    begins, ends = (
        e.at
        for e in events
        if isinstance(e, ReadingMark) and e.kind in (ReadingMarkKind.GAP_BEGINS, ReadingMarkKind.GAP_ENDS)
    )
    assert [e for e in events if isinstance(e, Sample) and begins < e.at < ends] == []
    assert any(isinstance(e, Sample) and e.at > ends for e in events)
    assert b"Gap begins" in recording.so_far()


def test_every_sample_that_came_is_in_the_log_once(whole):
    recording, events = whole
    samples = [event for event in events if isinstance(event, Sample)]
    lines = [
        line for line in recording.so_far().decode().splitlines()[1:] if line.split(",")[1] not in ("Mark", "Note")
    ]
    assert len(lines) == len(samples) == sum(recording.samples.values())


def test_coolant_and_heat_come_often_and_the_air_outside_seldom(whole):
    count = whole[0].samples
    assert count[Channel.COOLANT] > 4 * count[Channel.AMBIENT]
    assert abs(count[Channel.COOLANT] - count[Channel.ENGINE_SPEED]) <= 0.1 * count[Channel.COOLANT]


def test_the_protocol_adapter_and_rates_are_noted(whole):
    text = whole[0].so_far().decode()
    for words in (
        "Adapter: Bench adapter",
        "Protocol: ISO 15765-4",
        "Control units: 7E8",
        "Rates: Coolant temperature",
    ):
        assert words in text


def test_the_file_holds_the_same(tmp_path, healthy):
    path = tmp_path / "log.csv"
    recording = Recording(path)
    for event in recorded(islice(replayed(read_log(healthy.log()), 1e9, lambda: False), 500), recording):
        assert path.read_bytes().endswith(b"\n"), event
    assert path.read_bytes() == recording.so_far()
    recording.close()


def test_a_replayed_log_reads_back_as_it_was(healthy):
    log = read_log(healthy.log())
    recording = Recording(None)
    for _ in recorded(replayed(log, 1e9, lambda: False), recording):
        pass
    again = read_log(recording.so_far())
    assert set(again.traces) == set(log.traces)
    for channel in log.traces:
        (t0, x0), (t1, x1) = log.observed(channel), again.observed(channel)
        assert t1 == pytest.approx(t0, abs=2e-3), channel
        assert x1 == pytest.approx(x0, rel=1e-5), channel


def test_a_replay_keeps_its_pace(healthy, fast):
    clock = fast(1.0)
    log = read_log(healthy.log(until=40.0))
    events = list(replayed(log, 200.0, lambda: False, clock.clock()))
    assert clock.now() == pytest.approx(38.0 / 200.0, abs=0.1)
    assert events[-1] == ReadingMark(38.0, ReadingMarkKind.ENDED, "the log is over")
    assert list(replayed(log, 1.0, lambda: True)) == []


def test_every_channel_that_an_identifier_has_reads_back():
    """A name that the reader of logs took for another channel's would turn one sensor into another."""
    recording = Recording(None)
    wanted = {channel for pid in PIDS.values() for channel in pid.channels}
    usual = {**dict.fromkeys(TEMPERATURES, 350.0), Channel.FUEL_RATE: 1e-6, Channel.FUEL_MASS_RATE: 1e-3}
    for second in range(5):
        for channel in sorted(wanted):
            recording.take(Sample(float(second), channel, usual.get(channel, 0.5) * (1.0 + 0.01 * second), "7E8"))
    log = read_log(recording.so_far())
    assert set(log.traces) == wanted


def test_an_adapter_that_loses_its_power_is_set_up_again(healthy, fast):
    clock = fast(60.0)
    adapter = Adapter(lambda: healthy.answers(200.0 + clock.now()))
    events = []
    with OnTcp(adapter) as served:
        setting = ReadingSetting(opener(served.port), lambda: clock.now() > 60.0, clock=clock.clock())
        for event in read_vehicle(setting):
            events.append(event)
            if len(events) == 30:
                adapter.power_lost()
    kinds = [event.kind for event in events if isinstance(event, ReadingMark)]
    assert ReadingMarkKind.GAP_BEGINS in kinds
    assert isinstance(events[-3], Sample)
    late = [e.value for e in events[-20:] if isinstance(e, Sample) and e.channel is Channel.AMBIENT]
    assert all(x == pytest.approx(278.15) for x in late)


def test_who_does_not_wait_for_a_first_answer_waits_after_a_pulled_plug(healthy, fast):
    """As the command line reads: nobody at the port is said at once, an adapter that was there is found again."""
    clock, events = fast(60.0), []
    with OnTcp(Adapter(lambda: healthy.answers(200.0 + clock.now()))) as served:
        setting = ReadingSetting(opener(served.port), lambda: clock.now() > 60.0, patient=False, clock=clock.clock())
        for event in read_vehicle(setting):
            events.append(event)
            if len(events) == 30:
                served.unplug()
    kinds = [event.kind for event in events if isinstance(event, ReadingMark)]
    assert ReadingMarkKind.GAP_BEGINS in kinds
    assert ReadingMarkKind.GAP_ENDS in kinds
    assert sum(isinstance(event, Connected) for event in events) == 2


def test_garbled_answers_are_never_taken_for_values(healthy):
    """One bit of a header or a length off: the line is dropped. (A wrong data byte on CAN is the bus's own check's.)"""
    adapter = Adapter(lambda: healthy.answers(700.0), protocol="3", garbled=0.0)
    with OnTcp(adapter) as served:
        link = AdapterLink(opener(served.port)())
        told = link.told()
        adapter.garbled = 0.5
        found = [link.read(0x05, told.asked_of[0x05]) for _ in range(300)]
        link.close()
    values = [values[Channel.COOLANT] for values, trouble in found if trouble is None]
    assert 100 < len(values) < 250
    assert set(values) == {round(healthy.coolant[700]) + 273.15}


def test_the_ignition_may_still_be_off(healthy):
    calls = []

    def answers():
        calls.append(1)
        return {} if len(calls) < 2 else healthy.answers(1.0)

    with OnTcp(Adapter(answers)) as served:
        link = AdapterLink(opener(served.port)())
        assert 0x05 in link.told().asked_of
        link.close()


def test_nobody_at_the_port_is_said_at_once_or_waited_for(healthy):
    gone = opener("tcp:127.0.0.1:1")
    with pytest.raises(WireLostError, match="does not answer"):
        next(read_vehicle(ReadingSetting(gone, lambda: False, patient=False)))
    begun = time.monotonic()
    events = list(read_vehicle(ReadingSetting(gone, lambda: time.monotonic() > begun + 0.3)))
    assert [event.kind for event in events] == [ReadingMarkKind.GAP_BEGINS, ReadingMarkKind.ENDED]
    with pytest.raises(WireLostError, match="cannot be opened"):
        opener("/dev/no-such-port")()


def test_an_identifier_that_falls_silent_rests_and_starves_no_other():
    schedule, asked, now = Schedule([0x05, 0x0F, 0x46], 0.0), [], 0.0
    while now < 200.0:
        pid, wait = schedule.next(now)
        if pid is None:
            now += max(wait, 0.01)
            continue
        now += 0.3  # a slow bus
        schedule.asked(pid, now, answered=pid != 0x0F)
        asked.append((pid, now))
    silent = [at for pid, at in asked if pid == 0x0F]
    assert silent[3] - silent[2] >= REST
    assert sum(pid == 0x05 for pid, _ in asked) > 100
    assert schedule.rates(200.0)["Outside air temperature"] == pytest.approx(1 / 20, rel=0.2)


def test_a_slow_bus_keeps_the_coolant_first():
    schedule, now, count = Schedule([0x04, 0x05, 0x0C, 0x0D, 0x0F, 0x10, 0x1F, 0x46], 0.0), 0.0, dict[int, int]()
    while now < 300.0:
        pid, _ = schedule.next(now)
        assert pid is not None  # a bus of one answer a second is never idle
        now += 1.0
        schedule.asked(pid, now, answered=True)
        count[pid] = count.get(pid, 0) + 1
    assert count[0x05] > 1.5 * count[0x0F] > 1.5 * count[0x46] > 0


def test_a_listener_killed_at_any_moment_leaves_every_line(tmp_path, healthy):
    rng = random.Random(5)
    with OnTcp(Adapter(lambda: healthy.answers(600.0))) as served:
        for i in range(10):
            path = tmp_path / f"{i}.csv"
            said = killed_listener(served.port, path, rng)
            assert said
            assert losses(path, said) == []
