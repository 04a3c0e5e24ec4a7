"""What a command may write over: nothing that exists unless that is asked for, and never what it reads."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from engcalc.errors import FileFault


def may_replace(output: Path, inputs: Iterable[Path | None], *, force: bool) -> None:
    """Raise FileFault where ``output`` is one of ``inputs``, or exists already and ``force`` was not given."""
    if not os.path.lexists(output):
        return
    if any(given is not None and _same(output, given) for given in inputs):
        raise FileFault(str(output), "this file is read here and would be written over; choose another name")
    if not force:
        raise FileFault(str(output), "a file of this name exists already; choose another name, or add --force")


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return os.path.realpath(one) == os.path.realpath(other)
