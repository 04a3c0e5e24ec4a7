"""Disks that are full, read-only, gone, or fail in the midst: told in words, and what stood there stays whole.

    PYTHONPATH=.:tests/trust unshare --mount python tests/trust/bad_disks.py 100       as root, for disks of its own
    ... bad_disks.py share       the same with Debian's bindfs: a share whose server is killed, at every call
    ... bad_disks.py network     the same over SFTP and TCP, with Debian's sshfs and openssh-sftp-server

Five things write: save, autosave, an exported report, an identity, the job book's keep. Each is tried on each disk.
"""

from __future__ import annotations

import errno
import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from unittest import mock

from fuzzed_inputs import Run
from killed_writers import CASE, MOMENT, case_of, is_whole

from engcalc.case.file import parse_case, write_case
from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault
from reports.identity import Identity, make_identity
from reports.signing import write_signed
from reports.trust_store import change_store, read_store
from ui.book.jobs import add_case_text, record_outcome, show_job
from ui.book.store import Book
from ui.document import Document
from ui.recovery import Recovery

OLD, NEW = 1, 2  # numbers of the case that stands there, and of the one that is to replace it
DISK = 4 << 20  # bytes of a disk that is small
REPORT = b"%PDF-2.0 " + b"x" * 300_000
LOG_BYTES = 300_000
TROUBLES = (errno.ENOSPC, errno.EIO, errno.EROFS, errno.EACCES, errno.ESTALE, errno.ETIMEDOUT, errno.ENOTCONN)
"""A full disk, a broken one, a read-only one, no right, and three of a network share that is gone."""
CALLS = ("mkstemp", "fsync", "replace", "open")
"""What a write asks of the system, in the order in which it may fail."""


Act = Callable[[], object]


@dataclass(frozen=True)
class Writing:
    """Something that writes: how it begins on a good disk, which gives what it does then; and what is broken after."""

    name: str
    begin: Callable[[Path], Act]
    broken: Callable[[Path], list[str]]


def _save(folder: Path) -> Act:
    write_case(case_of(OLD), folder / CASE)
    document = Document.read(folder / CASE)
    document.take_text(case_of(NEW), "another")
    return document.save


def _broken_case(folder: Path) -> list[str]:
    cases = [path for path in folder.glob(f"{CASE}*") if not is_whole(parse_case(path.read_bytes()))]
    return [path.name for path in cases] + ([] if (folder / CASE).exists() else ["the case is gone"])


def _autosave(folder: Path) -> Act:
    Recovery(folder / "kept").keep(case_of(OLD), None, MOMENT)
    return lambda: Recovery(folder / "kept").keep(
        case_of(NEW), None, MOMENT
    )  # another window's, the first having ended


def _broken_kept(folder: Path) -> list[str]:
    kept = list((folder / "kept").glob("*.json"))
    whole = [is_whole(parse_case(json.loads(path.read_bytes())["case"].encode())) for path in kept]
    return [] if whole and all(whole) else ["unsaved work"]


def _export(folder: Path) -> Act:
    write_signed(folder / "a.pdf", REPORT + b"old")
    return lambda: write_signed(folder / "a.pdf", REPORT + b"new")


def _broken_export(folder: Path) -> list[str]:
    return [] if (folder / "a.pdf").read_bytes() in {REPORT + b"old", REPORT + b"new"} else ["a.pdf"]


@cache
def _identity() -> Identity:
    """One for all: its password takes a second to stretch."""
    with tempfile.TemporaryDirectory() as place:
        return make_identity(Path(place) / "a.p12", "A. Author", "invented", "a password", MOMENT)


def _know(folder: Path) -> Act:
    identity = _identity()
    change_store(folder / "trust", lambda store: store.with_own(folder / "a.p12", identity))
    new = lambda store: store.with_person("B. Builder", identity.certificate, MOMENT.date())  # noqa: E731
    return lambda: change_store(folder / "trust", new)


def _broken_store(folder: Path) -> list[str]:
    return [] if read_store(folder / "trust").own else ["whom one knows"]


def _keep(folder: Path) -> Act:
    _into_book(folder, OLD, make=True)
    return lambda: _into_book(folder, NEW)


def _into_book(folder: Path, number: int, *, make: bool = False) -> None:
    log = os.urandom(LOG_BYTES)
    with Book.open(folder / "a.jobbook", make=make) as book:
        added = add_case_text(book, f"{number}.heatcase.json", case_of(number), [("log", "l.csv", log)])
        record_outcome(book, added.job, Outcome("low_coolant", "seen", "hose", "yes"))


def _broken_book(folder: Path) -> list[str]:
    with Book.open(folder / "a.jobbook") as book:
        check = [row[0] for row in book.connection.execute("PRAGMA integrity_check")]
        return ([] if check == ["ok"] else check) + ([] if show_job(book, 1).files else ["the job's log is gone"])


WRITINGS = (
    Writing("save", _save, _broken_case),
    Writing("autosave", _autosave, _broken_kept),
    Writing("export", _export, _broken_export),
    Writing("whom one knows", _know, _broken_store),
    Writing("keep in the job book", _keep, _broken_book),
)


def attempt(found: Run, writing: Writing, folder: Path, act: Act, bad: AbstractContextManager[object]) -> None:
    """Write once on a disk that is bad while ``bad`` lasts; note whether it was told and whether all is whole after."""
    found.tried += 1
    try:
        with bad:
            act()
        found.answered += 1
    except FileFault:
        found.refused += 1
    except Exception as fault:  # anything else is what is looked for
        found.defects.append(f"{writing.name}: {type(fault).__name__}: {fault}"[:300])
    found.defects += [f"{writing.name}: {name} is not whole" for name in writing.broken(folder)]


# ---- the disks ------------------------------------------------------------------------------------------------------


@contextmanager
def small_files(limit: int) -> Iterator[None]:
    """No file may grow beyond ``limit`` bytes: what a full disk is to a writer."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    old = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, old)


@contextmanager
def failing_call(number: int, trouble: int, made: list[str]) -> Iterator[None]:
    """The call to the system of this number fails with ``trouble``; ``made`` takes the calls."""

    def failing(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*arguments: object, **more: object) -> object:
            made.append(name)
            if len(made) == number:
                raise OSError(trouble, os.strerror(trouble))
            return real(*arguments, **more)

        return call

    with ExitStack() as stack:
        for name in CALLS:
            where = tempfile if name == "mkstemp" else os
            stack.enter_context(mock.patch.object(where, name, failing(name, getattr(where, name))))
        yield


def full(tries: int) -> list[Run]:
    """Each writer with files that may grow to less than it needs."""
    runs = []
    for writing in WRITINGS:
        found = Run(f"disk full, {writing.name}")
        for number in range(tries):
            with tempfile.TemporaryDirectory() as place:
                act = writing.begin(Path(place))
                attempt(found, writing, Path(place), act, small_files(1000 * number))
        runs.append(found)
    return runs


def failing() -> list[Run]:
    """Each writer with each of its calls failing in each way. The book asks the system in its own way: it is not among
    these."""
    runs = []
    for writing in WRITINGS[:-1]:
        found = Run(f"calls that fail, {writing.name}")
        for trouble in TROUBLES:
            number = 1
            while _fails_at(number, trouble, writing, found):
                number += 1
        runs.append(found)
    return runs


def _fails_at(number: int, trouble: int, writing: Writing, found: Run) -> bool:
    """Try with the call of this number failing; whether there was such a call."""
    with tempfile.TemporaryDirectory() as place:
        act, made = writing.begin(Path(place)), []
        attempt(found, writing, Path(place), act, failing_call(number, trouble, made))
        return len(made) >= number


def mounted(tries: int) -> list[Run]:
    """Disks of this process: small ones that are full, made read-only, taken away. As root, in a mount namespace."""
    return [run for writing in WRITINGS for run in _on_disks(writing, tries)]


def _on_disks(writing: Writing, tries: int) -> list[Run]:
    kinds: dict[str, Callable[[Path], AbstractContextManager[object]]] = {
        "small disk full": _filled,
        "read-only": _read_only,
        "share gone": _moved_away,
    }
    runs = []
    for kind, bad in kinds.items():
        found = Run(f"{kind}, {writing.name}")
        for _ in range(tries):
            with tempfile.TemporaryDirectory() as place, _disk(Path(place)):
                act = writing.begin(Path(place))
                attempt(found, writing, Path(place), act, bad(Path(place)))
        runs.append(found)
    return runs


@contextmanager
def _disk(place: Path) -> Iterator[None]:
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={DISK}", "tmpfs", str(place)], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True)


@contextmanager
def _filled(place: Path) -> Iterator[None]:
    with open(place / "full", "wb", buffering=0) as filler, suppress(OSError):
        while filler.write(bytes(4096)):
            pass
    try:
        yield
    finally:
        (place / "full").unlink()


@contextmanager
def _read_only(place: Path) -> Iterator[None]:
    subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)
    try:
        yield
    finally:
        subprocess.run(["mount", "-o", "remount,rw", str(place)], check=True)


@contextmanager
def _moved_away(place: Path) -> Iterator[None]:
    """The share is mounted elsewhere meanwhile, so that its place is empty, as after a lost connection."""
    elsewhere = tempfile.mkdtemp()
    subprocess.run(["mount", "--move", str(place), elsewhere], check=True)
    try:
        yield
    finally:
        subprocess.run(["mount", "--move", elsewhere, str(place)], check=True)
        os.rmdir(elsewhere)


class Share:
    """A folder that a process serves, as a network share is served: killed, every call there fails (ENOTCONN)."""

    def __init__(self, behind: Path, place: Path) -> None:
        self._behind, self._place = behind, place
        self.serve()

    def serve(self) -> None:
        """Serve what lies ``behind`` at ``place``, and wait until it is there."""
        self._server = subprocess.Popen(["bindfs", "-f", str(self._behind), str(self._place)])
        while not self._place.is_mount():
            time.sleep(0.01)

    def lose(self) -> None:
        """The server is gone, without a word; what it was sent stays behind."""
        self._server.kill()
        self._server.wait()

    def leave(self) -> None:
        """Take the place of the share away."""
        self.lose()
        subprocess.run(["umount", "-l", str(self._place)], check=True)


SERVER = """
import os, socket, sys
listens = socket.create_server(("127.0.0.1", 0))
print(listens.getsockname()[1], flush=True)
meets, _ = listens.accept()
for number in (0, 1):
    os.dup2(meets.fileno(), number)
os.execv("/usr/lib/openssh/sftp-server", ["sftp-server"])
"""


class NetworkShare(Share):
    """The same over a network protocol: the server of SFTP at the other end of a TCP connection is killed."""

    def serve(self) -> None:
        """As Share's."""
        self._server = subprocess.Popen([sys.executable, "-c", SERVER], stdout=subprocess.PIPE, text=True)
        assert self._server.stdout is not None
        port = self._server.stdout.readline().strip()
        client = ["sshfs", "-o", f"reconnect,directport={port}", f"127.0.0.1:{self._behind}", str(self._place)]
        subprocess.run(
            client, check=True
        )  # ends once it is there; a process of its own goes on, and stays without a server


def share_lost(kind: type[Share]) -> list[Run]:
    """Each writer on a share that is lost before it begins, and after each of its calls to the system. As root.

    The book asks the system in its own way: there the share is lost after some thousandths of a second.
    """
    runs = []
    for writing in WRITINGS:
        found, calls = Run(f"server of the share killed, {writing.name}"), 0
        while _lost(kind, writing, found, lambda share, made, after=calls: _losing(share, after, made)) >= calls:
            calls += 1
        runs.append(found)
    for wait in range(60):
        _lost(kind, WRITINGS[-1], runs[-1], lambda share, _, after=wait / 1000.0: _losing_in(share, after))
    return runs


def _lost(
    kind: type[Share],
    writing: Writing,
    found: Run,
    bad: Callable[[Share, list[str]], AbstractContextManager[object]],
) -> int:
    """Try once with a share that is lost in the midst; how many calls to the system were seen."""
    with tempfile.TemporaryDirectory() as behind, tempfile.TemporaryDirectory() as place:
        share = kind(Path(behind), Path(place))
        act, made = writing.begin(Path(place)), []
        attempt(found, writing, Path(place), act, bad(share, made))
        share.leave()
        return len(made)


@contextmanager
def _losing_in(share: Share, wait: float) -> Iterator[None]:
    """The share is lost after so many seconds, and served anew in the end."""
    timer = threading.Timer(wait, share.lose)
    timer.start()
    try:
        yield
    finally:
        timer.join()
        share.leave()
        share.serve()


@contextmanager
def _losing(share: Share, number: int, made: list[str]) -> Iterator[None]:
    """The share is lost after so many calls to the system, and served anew in the end; ``made`` takes the calls."""

    def losing(name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*arguments: object, **more: object) -> object:
            found = real(*arguments, **more)
            made.append(name)
            if len(made) == number:
                share.lose()
            return found

        return call

    if number == 0:
        share.lose()
    try:
        with ExitStack() as stack:
            for name in CALLS:
                where = tempfile if name == "mkstemp" else os
                stack.enter_context(mock.patch.object(where, name, losing(name, getattr(where, name))))
            yield
    finally:
        share.leave()
        share.serve()


SHARES = {"share": Share, "network": NetworkShare}

if __name__ == "__main__":
    subprocess.run(["mount", "--make-rprivate", "/"], check=True)
    if sys.argv[1] in SHARES:
        every = share_lost(SHARES[sys.argv[1]])
    else:
        every = [*full(int(sys.argv[1])), *failing(), *mounted(max(1, int(sys.argv[1]) // 10))]
    sys.stdout.write(json.dumps([asdict(run) for run in every], indent=1) + "\n")
