"""A live reading that is killed at any moment: every line that it had read is to be in its file, whole.

By hand: ``python tests/oracles/killed_listener.py 100`` kills a hundred of them. The suite kills ten.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
LONGEST = 0.25  # s; from the first sample to the end, at most


def listen_without_end(port: str, path: Path) -> None:
    """The listener: one line of output for each sample, after it was written."""
    from ui.live.events import Sample
    from ui.live.ports import opener
    from ui.live.reading import ReadingSetting, read_vehicle
    from ui.live.recording import Recording, recorded

    for event in recorded(read_vehicle(ReadingSetting(opener(port), lambda: False)), Recording(path)):
        if isinstance(event, Sample):
            sys.stdout.write(f"{event.at:.3f}\n")
            sys.stdout.flush()


def killed_listener(port: str, path: Path, rng: random.Random) -> list[str]:
    """Start a listener, kill it after a random while, and give the times of the samples that it said were read."""
    listener = subprocess.Popen(
        [sys.executable, __file__, "listen", port, str(path)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
    )
    assert listener.stdout is not None
    first = listener.stdout.readline()
    time.sleep(rng.uniform(0.0, LONGEST))
    listener.send_signal(signal.SIGKILL)
    said, _ = listener.communicate()
    return [line.strip() for line in [first, *said.splitlines(keepends=True)] if line.endswith("\n")]


def losses(path: Path, said: list[str]) -> list[str]:
    """Samples that were read and are not in the file, and lines of the file that are not whole; in words."""
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    there = {line.split(",", 1)[0] for line in lines}
    torn = [f"torn: {line!r}" for line in lines if not line.endswith("\n") or line.count(",") < 4]
    return [f"lost: {at}" for at in said if at not in there] + torn


def main(times: int) -> None:
    """Kill so many listeners; prints how many lines they had read, and what was lost."""
    from live_courses import course
    from simulated_adapter import Adapter, OnTcp

    warm_up, rng, read, lost = course(), random.Random(18), 0, list[str]()
    with tempfile.TemporaryDirectory() as folder, OnTcp(Adapter(lambda: warm_up.answers(600.0))) as served:
        for i in range(times):
            path = Path(folder) / f"{i}.csv"
            said = killed_listener(served.port, path, rng)
            read, lost = read + len(said), lost + losses(path, said)
    sys.stdout.write(f"{times} killed, {read} lines had been read, {len(lost)} lost or torn\n")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    if sys.argv[1] == "listen":
        listen_without_end(sys.argv[2], Path(sys.argv[3]))
    else:
        main(int(sys.argv[1]))
