"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from engcalc.errors import FileFault


def write_whole(path: Path, data: bytes, *, private: bool = False, fresh: bool = False) -> None:
    """Write ``data`` to ``path`` by way of a file beside it, so that ``path`` is never seen half written.

    ``private`` leaves the file readable and writable by its owner only. ``fresh`` refuses a path that exists
    already: the name is claimed with an empty file first, which two writers cannot both succeed in.
    Raises FileFault when the place cannot be written to or, with ``fresh``, is taken.
    """
    try:
        if fresh:
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        raise FileFault(str(path), "a file of this name exists already; choose another name") from None
    except OSError as fault:
        raise _cannot_write(path, fault) from fault
    try:
        _write_beside(path, data, private)
    except OSError as fault:
        if fresh:
            path.unlink(missing_ok=True)
        raise _cannot_write(path, fault) from fault


def _write_beside(path: Path, data: bytes, private: bool) -> None:
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)  # mode 0600
    try:
        with os.fdopen(handle, "wb") as beside:
            beside.write(data)
            beside.flush()
            os.fsync(beside.fileno())
        if not private:
            Path(name).chmod(_usual_mode(path))
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise


def _usual_mode(path: Path) -> int:
    """The mode the file has already, or what an ordinary new file gets here."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0o077)  # the mask can only be read by setting it; put back at once
    os.umask(mask)
    return 0o666 & ~mask


def _cannot_write(path: Path, fault: OSError) -> FileFault:
    return FileFault(str(path), f"this place cannot be written to ({fault.strerror}); choose a folder you may write in")
