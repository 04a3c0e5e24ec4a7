"""What a laid-out picture says."""

from __future__ import annotations

from reports.plots.layout.sheet import Lettering, Picture


def lettering(picture: Picture) -> tuple[Lettering, ...]:
    """All words of the picture."""
    return tuple(mark for mark in picture.marks if isinstance(mark, Lettering))
