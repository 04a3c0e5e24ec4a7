"""How far long work is, on a terminal."""

from __future__ import annotations

import sys


def tell_progress(fraction: float, words: str) -> None:
    """One line that is written over, on standard error; nothing where that is no terminal."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{100.0 * fraction:3.0f} % {words:<50}" + ("\n" if fraction >= 1.0 else ""))
