"""Memory of a case that was left, given back to the system.

The C library keeps what was freed, in pieces between what is still held: after cases of some thousand fields that was
200 MB and more. Of the C libraries that Python runs on, glibc gives whole pages back when it is asked, and can be told
to keep arrays out of the heap in which widgets lie.
"""

from __future__ import annotations

import ctypes
from functools import cache
from typing import Any

LEFT_FOR_MS = 1500  # after a case was left, in which Qt deletes its widgets and the next one is laid out
ALL_BUT = 0  # bytes that are kept at the end of the heap
ARRAY = 512 * 1024  # bytes, from which what is asked for lies in pages of its own: arrays of a run, no widget
HEAPS = 2  # of all threads together: one thread of Python runs at a time
_PAGES_OF_ITS_OWN_FROM, _MOST_HEAPS = -3, -8  # M_MMAP_THRESHOLD and M_ARENA_MAX of glibc's malloc.h


@cache
def _library() -> Any:
    """The C library of this process where it can be asked, else None."""
    try:
        library = ctypes.CDLL(None)
    except (OSError, TypeError):  # no such name on Windows
        return None
    return library if hasattr(library, "malloc_trim") else None


def keep_arrays_apart() -> None:
    """Have large arrays lie in pages of their own, which go back as soon as they are freed. Before any work starts.

    Left alone the C library puts ever larger ones among the small things, until the pieces between are of no use.
    """
    library = _library()
    if library is not None:
        library.mallopt(_PAGES_OF_ITS_OWN_FROM, ARRAY)
        library.mallopt(_MOST_HEAPS, HEAPS)


def give_back() -> bool:
    """Give free memory back; whether there was any. Takes some 20 ms for some 100 MB."""
    library = _library()
    return library is not None and bool(library.malloc_trim(ALL_BUT))
