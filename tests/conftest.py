"""A machine of its own for the tests: folders, platform, and nothing left behind.

The environment is set while pytest collects, before anything imports Qt or numpy, so that subprocesses inherit it.
"""

from __future__ import annotations

import gc
import os
import shutil
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from kept_answers import FRESH, keep_answers

from ui.command.startup import StartupError, check_qt

_HOME = Path(tempfile.mkdtemp(prefix="heatdocket-tests-"))
_FOLDERS = {
    "HOME": "home",
    "XDG_CONFIG_HOME": "config",
    "XDG_DATA_HOME": "data",
    "XDG_CACHE_HOME": "cache",
    "XDG_STATE_HOME": "state",
    "XDG_RUNTIME_DIR": "runtime",
}

settings.register_profile("heatdocket", derandomize=True, max_examples=60, deadline=None, print_blob=False)
settings.load_profile("heatdocket")


def _own_environment() -> None:
    for variable, name in _FOLDERS.items():
        (_HOME / name).mkdir(mode=0o700)
        os.environ[variable] = str(_HOME / name)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # more threads on two cores only wait
    os.environ.pop("HEATDOCKET_PASSWORD", None)


_own_environment()
gc.disable()  # to look for garbage while pytest collects takes a third of that time, and there is next to none
keep_answers()


@pytest.hookimpl(tryfirst=True)
def pytest_configure() -> None:
    """Say which system library Qt lacks, instead of an import error from deep inside."""
    try:
        check_qt()
    except StartupError as error:
        raise pytest.UsageError(str(error)) from None


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Before its fixtures: whether this test may be handed an answer that was found before (``kept_answers``)."""
    FRESH["now"] = item.get_closest_marker("fresh") is not None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests of the told cases come first, together: what they share is then computed by one worker.

    They stand in several folders, and neighbours go to the same worker.
    """
    items.sort(key=lambda item: not _looks_at_told_cases(item))


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop() -> None:
    """From here on garbage is looked for, but not among modules and tests, which stay to the end.

    Asked of the process that hands out the tests too, which collects none.
    """
    gc.freeze()
    gc.set_threshold(7_000, 10, 10)  # ten times the usual: it took a tenth of the time of reports
    gc.enable()


def _looks_at_told_cases(item: pytest.Item) -> bool:
    module = getattr(item, "module", None)
    imported = {"answered", "first_page", "customer_pages"} & set(dir(module))
    return bool(imported) or "examples" in getattr(item, "fixturenames", ())


def pytest_unconfigure() -> None:
    shutil.rmtree(_HOME, ignore_errors=True)


def _kinds(of: type) -> set[type]:
    """A class and all that were made from it."""
    return {of}.union(*(_kinds(made) for made in type.__subclasses__(of)))


def _live_qt_objects() -> list[str]:
    """Visible windows, running timers and running threads that Python can see."""
    from PySide6.QtCore import QThread, QThreadPool, QTimer
    from PySide6.QtWidgets import QApplication
    from shiboken6 import isValid

    found = [f"window {w!r}" for w in QApplication.topLevelWidgets() if w.isVisible()]
    timers, threads = _kinds(QTimer), _kinds(QThread)
    watched = timers | threads  # looked up by its class: there are many objects and few classes
    objects = [o for o in gc.get_objects() if type(o) in watched and isValid(o)]
    found += [f"timer {o!r}" for o in objects if type(o) in timers and o.isActive()]
    found += [f"thread {o!r}" for o in objects if type(o) in threads and o.isRunning()]
    if not QThreadPool.globalInstance().waitForDone(1000):
        found.append("work in the global thread pool")
    return found


@pytest.fixture(autouse=True)
def nothing_left_behind(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail a Qt test that leaves a visible window, a running timer or a thread behind; other tests pay nothing.

    What was there before the test is set aside while it runs: to look through a million objects twice takes longer
    than most of these tests.
    """
    if not {"qtbot", "qapp"} & set(request.fixturenames):
        yield
        return
    request.getfixturevalue("qapp")
    gc.freeze()
    before = set(_live_qt_objects())
    threads = set(threading.enumerate())
    yield
    from PySide6.QtCore import QCoreApplication, QEvent

    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    left = [words for words in _live_qt_objects() if words not in before]
    left += [f"thread {t.name}" for t in threading.enumerate() if t not in threads and t.is_alive() and not t.daemon]
    gc.unfreeze()
    assert not left, "left behind: " + "; ".join(left)
