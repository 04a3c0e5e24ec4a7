"""Memory of a case that was left, given back to the system.

The C library keeps what was freed, in pieces between what is still held: after cases of some thousand fields that was
200 MB and more. Of the C libraries that Python runs on, glibc gives whole pages back when it is asked.
"""

from __future__ import annotations

import ctypes
from functools import cache
from typing import Any

LEFT_FOR_MS = 1500  # after a case was left, in which Qt deletes its widgets and the next one is laid out
ALL_BUT = 0  # bytes that are kept at the end of the heap


@cache
def _library() -> Any:
    """The C library of this process where it can be asked, else None."""
    try:
        library = ctypes.CDLL(None)
    except (OSError, TypeError):  # no such name on Windows
        return None
    return library if hasattr(library, "malloc_trim") else None


def give_back() -> bool:
    """Give free memory back; whether there was any. Takes some 20 ms for some 100 MB."""
    library = _library()
    return library is not None and bool(library.malloc_trim(ALL_BUT))
