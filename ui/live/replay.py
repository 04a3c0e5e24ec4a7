"""A log played as if its vehicle were read now, at any speed: the same events as of a live reading."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from engcalc.logs.record import LogRecord
from engcalc.words.texts import live_texts
from ui.live.events import Event, ReadingMark, ReadingMarkKind, Sample
from ui.live.reading import Clock

LONGEST_PAUSE = 0.1  # s; so that a stop is heeded at once


def replayed(log: LogRecord, speed: float, stop: Callable[[], bool], clock: Clock | None = None) -> Iterator[Event]:
    """The samples of a log in the order of their times, ``speed`` times as fast as they were made.

    What the reader of logs took for repeated or for a sensor's own fault stands in them too: the file is judged anew.
    """
    clock = clock or Clock()
    samples = _in_order(log)
    first, begun = samples[0].at if samples else 0.0, clock.now()
    gaps = sorted(log.gaps)
    for sample in samples:
        while gaps and gaps[0][1] <= sample.at:
            start, end = gaps.pop(0)
            yield ReadingMark(start - first, ReadingMarkKind.GAP_BEGINS, live_texts.GAP_OF_THE_LOG)
            yield ReadingMark(end - first, ReadingMarkKind.GAP_ENDS, live_texts.GAP_OF_THE_LOG)
        while (wait := (sample.at - first) / speed - (clock.now() - begun)) > 0.0:
            if stop():
                return
            clock.sleep(min(wait, LONGEST_PAUSE))
        if stop():
            return
        yield Sample(sample.at - first, sample.channel, sample.value, sample.unit)
    yield ReadingMark(samples[-1].at - first if samples else 0.0, ReadingMarkKind.ENDED, live_texts.LOG_IS_OVER)


def _in_order(log: LogRecord) -> list[Sample]:
    times = [trace.time[trace.is_new] for trace in log.traces.values()]
    found = [
        Sample(t, channel, x)
        for (channel, trace), own in zip(log.traces.items(), times, strict=True)
        for t, x in zip(own.tolist(), trace.value[trace.is_new].tolist(), strict=True)
    ]
    order = np.argsort([sample.at for sample in found], kind="stable")
    return [found[i] for i in order.tolist()]
