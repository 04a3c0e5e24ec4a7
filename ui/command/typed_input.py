"""Lines that a person types at the terminal, or that come by a pipe, while something else runs."""

from __future__ import annotations

import os
import select
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

OFTEN = 0.2  # s; between two looks whether to end
STDIN = 0
WAITS = os.name != "nt"  # whether one can wait for a terminal; elsewhere a read blocks until a line is typed


def at_terminal(number: int = STDIN) -> bool:
    """Whether a person can type here: a terminal, and this program is the one before it. One that reads from behind
    would be stopped by its shell."""
    try:
        return os.isatty(number) and (os.name == "nt" or os.tcgetpgrp(number) == os.getpgrp())
    except OSError:
        return False


def lines_until(over: Callable[[], bool], number: int = STDIN) -> Iterator[str]:
    """Lines of an open file as they come, until it ends or ``over`` says so. Nothing is read that is not there yet, so
    that no end of the program waits for a person."""
    rest, terminal = b"", os.isatty(number)
    while not over():
        if WAITS and not select.select([number], [], [], OFTEN)[0]:
            continue
        if terminal and not at_terminal(number):  # sent behind meanwhile
            return
        data = os.read(number, 4096)
        if not data:
            break
        *lines, rest = (rest + data).split(b"\n")
        yield from (line.decode("utf-8", "replace").strip() for line in lines)
    if rest.strip():
        yield rest.decode("utf-8", "replace").strip()


@contextmanager
def typed_lines(take: Callable[[str], None]) -> Iterator[None]:
    """Hand each line that is typed to ``take``, on a thread of its own, as long as this lasts."""
    over = threading.Event()

    def read() -> None:
        for line in lines_until(over.is_set):
            if line:
                take(line)

    thread = threading.Thread(target=read, name="typed lines", daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        if WAITS:
            thread.join()
