"""A vehicle read until somebody stops it: asked in turn, and found again after its plug was pulled."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from engcalc.words.texts import live_texts
from ui.live.adapter import Wire, WireLostError
from ui.live.answers import Trouble
from ui.live.can_bus import CanBus
from ui.live.can_link import CanLink
from ui.live.events import Connected, Event, ReadingMark, ReadingMarkKind, Sample
from ui.live.link import AdapterLink, VehicleLink, VehicleTold
from ui.live.schedule import Schedule

AGAIN = (0.5, 1.0, 2.0, 4.0)  # s between tries to find the adapter again, the last of them from then on
LOST_AFTER = 8  # requests in a row without a value, after which the adapter is set up anew
RATES_EVERY = 60.0  # s


@dataclass(frozen=True)
class Clock:
    """Seconds that only go on, and a pause; tests have their own."""

    now: Callable[[], float] = time.monotonic
    sleep: Callable[[float], None] = time.sleep


@dataclass(frozen=True)
class ReadingSetting:
    """How to read: what opens wire or bus, when to stop, whether to wait for an adapter that is not there yet. One that
    was there and is gone is always waited for."""

    opens: Callable[[], Wire | CanBus]
    stop: Callable[[], bool]
    patient: bool = True
    clock: Clock = Clock()


def read_vehicle(setting: ReadingSetting) -> Iterator[Event]:
    """Everything that the vehicle tells, as it comes. A wire that is lost is a gap, not the end.

    Raises WireLostError when the first try fails and nobody wants to wait.
    """
    begun = setting.clock.now()
    lost, was_there, tries, reason = False, False, 0, ""
    while not setting.stop():
        link = None
        try:
            link = _linked(setting.opens(), setting.stop)
            told = link.told()
            now = setting.clock.now() - begun
            if lost:
                yield ReadingMark(now, ReadingMarkKind.GAP_ENDS, live_texts.VEHICLE_ANSWERS_AGAIN)
            yield Connected(now, told)
            lost, was_there, tries = False, True, 0
            yield from _asked_in_turn(link, told, setting, begun)
        except WireLostError as error:
            if setting.stop():
                break
            reason = str(error)
        finally:
            if link is not None:
                link.close()
        if setting.stop():
            break
        if tries == 0 and not lost:
            if not (setting.patient or was_there):
                raise WireLostError(reason)
            lost = True
            yield ReadingMark(setting.clock.now() - begun, ReadingMarkKind.GAP_BEGINS, reason)
        setting.clock.sleep(AGAIN[min(tries, len(AGAIN) - 1)])
        tries += 1
    yield ReadingMark(setting.clock.now() - begun, ReadingMarkKind.ENDED, live_texts.STOPPED_BY_THE_PERSON)


def _linked(wire: Wire | CanBus, stop: Callable[[], bool]) -> VehicleLink:
    return CanLink(wire, stop) if isinstance(wire, CanBus) else AdapterLink(wire, stop)


def _asked_in_turn(link: VehicleLink, told: VehicleTold, setting: ReadingSetting, begun: float) -> Iterator[Event]:
    """Values in turn, until stopped. Raises WireLostError."""
    clock = setting.clock
    schedule = Schedule(told.asked_of, clock.now())
    silent, next_rates = 0, clock.now() + RATES_EVERY
    try:
        while not setting.stop():
            pid, wait = schedule.next(clock.now())
            if pid is None:
                clock.sleep(min(wait, 0.1))
                continue
            found, trouble = link.read(pid, told.asked_of[pid])
            now = clock.now()
            schedule.asked(pid, now, bool(found) or trouble is None)
            silent = 0 if trouble is None else silent + 1
            if trouble is Trouble.LOW_VOLTAGE or silent >= LOST_AFTER:
                raise WireLostError(trouble.value if trouble is not None else "")
            for channel, value in found.items():
                yield Sample(now - begun, channel, value, told.asked_of[pid])
            if now >= next_rates:
                next_rates = now + RATES_EVERY
                yield _rates(schedule, now, begun)
    finally:
        link.close()
    yield _rates(schedule, clock.now(), begun)


def _rates(schedule: Schedule, now: float, begun: float) -> ReadingMark:
    told = [f"{title} {rate:.2f}/s" for title, rate in schedule.rates(now).items()]
    return ReadingMark(now - begun, ReadingMarkKind.RATES, "; ".join(told))
