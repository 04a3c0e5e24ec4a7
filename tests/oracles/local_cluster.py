"""A cluster on this machine for the tests: a scheduler and so many workers, each a process, until it is ended.

``python tests/oracles/local_cluster.py 2`` prints the scheduler's address and waits for the end of its input.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]


@dataclass
class Started:
    """A cluster by its scheduler's address."""

    address: str
    process: subprocess.Popen[str]

    def kill(self) -> None:
        """End it all at once, as a power cut would."""
        os.killpg(self.process.pid, signal.SIGKILL)


@contextmanager
def started(workers: int) -> Iterator[Started]:
    """Such a cluster, for as long as it is used."""
    process = subprocess.Popen(
        [sys.executable, __file__, str(workers)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
        env={**os.environ, "PYTHONPATH": f"{PROJECT}{os.pathsep}{PROJECT / 'tests' / 'oracles'}"},
    )
    assert process.stdin is not None
    assert process.stdout is not None
    try:
        yield Started(process.stdout.readline().strip(), process)
    finally:
        process.stdin.close()
        process.wait(timeout=60)
        process.stdout.close()


def main() -> None:
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=int(sys.argv[1]), threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None
    ) as made:
        sys.stdout.write(f"{made.scheduler_address}\n")
        sys.stdout.flush()
        sys.stdin.read()


if __name__ == "__main__":
    main()
