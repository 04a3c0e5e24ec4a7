"""Everything that is read, on disk as it comes: a plain CSV, one value to a line, that the reader of logs reads back.

Each line is handed to the system whole and at once, so that a killed program leaves every line that it had read; once a
second the system is told to write them down, so that a power cut costs a second. Marks stand between the values.
"""

from __future__ import annotations

import csv
import io
import os
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from engcalc.errors import FileFault
from engcalc.logs.channels import SPELLINGS, Channel, scale
from engcalc.words.texts import live_texts, shared_texts
from ui.live.events import Event, ReadingMark, Sample
from ui.live.link import VehicleTold

HEADER = ("Time [s]", "Name", "Value", "Unit", "Control unit")
SYNC_EVERY = 1.0  # s
# Names by which the reader of logs knows a channel again, where its label is no such name
_NAMES = {
    Channel.COOLANT_2: live_texts.COOLANT_TEMPERATURE_SENSOR_2,
    Channel.EQUIVALENCE_RATIO: "Commanded equivalence ratio",
}
MARK, NOTE = "Mark", "Note"  # names of lines that are no values


class Recording:
    """A log that grows; with a path on disk too."""

    def __init__(self, path: Path | None, *, force: bool = False, now: Callable[[], float] = time.monotonic) -> None:
        """Raises FileFault when the file is there already (and ``force`` is not given) or cannot be written."""
        self.path, self._now, self._synced = path, now, now()
        self._lines: list[bytes] = []
        self._one_at_a_time = threading.Lock()  # what is typed comes on a thread of its own
        self._file: int | None = None
        self.samples: dict[Channel, int] = {}
        self.gaps = 0
        if path is not None:
            mode = os.O_TRUNC if force else os.O_EXCL
            try:
                self._file = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | mode, 0o644)
            except FileExistsError:
                wanted = shared_texts.FILE_OF_THIS_NAME_EXISTS_ALREADY_CHOOSE
                raise FileFault(str(path), wanted) from None
            except OSError as error:
                raise FileFault(
                    str(path), live_texts.PLACE_THAT_CAN_BE_WRITTEN_WOULD_DO.format(strerror=error.strerror)
                ) from None
        self._put(HEADER)

    def take(self, event: Event) -> None:
        """Write one event. Raises FileFault when the disk takes no more."""
        if isinstance(event, Sample):
            self.samples[event.channel] = self.samples.get(event.channel, 0) + 1
            self._put(sample_cells(event))
        elif isinstance(event, ReadingMark):
            self.gaps += event.kind.name == "GAP_BEGINS"
            self._put((_time(event.at), MARK, "", "", f"{event.kind.value}: {event.words}"))
        else:
            for words in _told_lines(event.told):
                self._put((_time(event.at), NOTE, "", "", words))
        if self._now() - self._synced >= SYNC_EVERY:
            self._sync()

    def so_far(self) -> bytes:
        """The log as it is now, as the file holds it."""
        return b"".join(list(self._lines))

    def close(self) -> None:
        """Write down what is left and let go of the file."""
        if self._file is not None:
            self._sync()
            os.close(self._file)
            self._file = None

    def _put(self, cells: tuple[str, ...]) -> None:
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerow([cell.replace("\n", " ").replace("\r", " ") for cell in cells])
        line = text.getvalue().encode("utf-8")
        with self._one_at_a_time:
            self._lines.append(line)
            if self._file is not None:
                try:
                    os.write(self._file, line)
                except OSError as error:
                    raise FileFault(
                        str(self.path), live_texts.LOG_CANNOT_BE_WRITTEN_ON.format(strerror=error.strerror)
                    ) from None

    def _sync(self) -> None:
        self._synced = self._now()
        if self._file is not None:
            os.fsync(self._file)


def recorded(events: Iterator[Event], recording: Recording) -> Iterator[Event]:
    """The same events, each written down before it is passed on."""
    for event in events:
        recording.take(event)
        yield event


def _time(at: float) -> str:
    return f"{at:.3f}"


def sample_cells(sample: Sample) -> tuple[str, ...]:
    """A value as it is written down: time [s], name, value, unit, control unit."""
    spelling = SPELLINGS[sample.channel]
    used = scale(spelling.usual_unit, spelling.kind)
    assert used is not None, f"the usual unit of {sample.channel} is no unit"
    shown = (sample.value - used.intercept) / used.slope
    name = _NAMES.get(sample.channel, spelling.label)
    return _time(sample.at), name, f"{shown:.6g}", spelling.usual_unit, sample.unit


def _told_lines(told: VehicleTold) -> Iterator[str]:
    yield f"Adapter: {told.adapter}"
    yield f"Protocol: {told.protocol}"
    yield f"Control units: {' '.join(told.units) or 'none'}"
    if told.vin:
        yield f"Identification number: {told.vin}"
    yield f"Trouble codes: {' '.join(told.codes) or 'none'}"
    yield f"Pending codes: {' '.join(told.pending) or 'none'}"
    if told.frozen:
        yield live_texts.FREEZE_FRAME_OF.format(frozen_by=told.frozen_by) + "; ".join(
            f"{SPELLINGS[c].label} {_value_and_unit(c, x)}" for c, x in told.frozen.items()
        )


def _value_and_unit(channel: Channel, value: float) -> str:
    cells = sample_cells(Sample(0.0, channel, value))
    return f"{cells[2]} {cells[3]}".strip()
