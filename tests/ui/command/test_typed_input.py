"""Lines from a terminal and from a pipe, as they come; and that nobody behind another program reads them."""

from __future__ import annotations

import os
import threading
import time

import pytest

from ui.command.typed_input import OFTEN, at_terminal, lines_until, typed_lines


def test_lines_come_as_they_are_typed_and_end_with_the_pipe():
    ours, theirs = os.pipe()
    os.write(theirs, b"upper hose 60\nvent ")
    os.write(theirs, b"35\nfan runs")
    os.close(theirs)
    assert list(lines_until(lambda: False, ours)) == ["upper hose 60", "vent 35", "fan runs"]
    os.close(ours)


def test_it_ends_while_nobody_types():
    ours, theirs = os.pipe()
    over = threading.Event()
    found: list[list[str]] = []
    thread = threading.Thread(target=lambda: found.append(list(lines_until(over.is_set, ours))))
    thread.start()
    time.sleep(0.05)
    over.set()
    thread.join(10.0 * OFTEN)
    assert found == [[]]
    os.close(ours)
    os.close(theirs)


def test_a_pipe_and_a_terminal_of_others_are_no_person():
    ours, theirs = os.pipe()
    assert not at_terminal(ours)
    os.close(ours)
    os.close(theirs)
    keeper, terminal = os.openpty()  # a terminal, but not the one that this program stands before
    assert os.isatty(terminal)
    assert not at_terminal(terminal)
    assert list(lines_until(lambda: os.write(keeper, b"x\n") == 0, terminal)) == []
    os.close(keeper)
    os.close(terminal)


def test_no_thread_is_left(monkeypatch: pytest.MonkeyPatch):
    ours, theirs = os.pipe()
    monkeypatch.setattr("ui.command.typed_input.lines_until", lambda over: lines_until(over, ours))
    taken: list[str] = []
    with typed_lines(taken.append):
        os.write(theirs, b"fan runs\n\n")
        end = time.monotonic() + 5.0
        while not taken and time.monotonic() < end:
            time.sleep(0.01)
    assert taken == ["fan runs"]
    assert "typed lines" not in {thread.name for thread in threading.enumerate()}
    os.close(ours)
    os.close(theirs)
