"""Pictures on a page: title, the picture itself with its words for those who cannot see it, caption."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from reports.figures import Figure
from reports.layout import para, subheading, together
from reports.plots.describe import Plot
from reports.tagging import Tagged
from reports.texts import plain


def figure(plot: Plot | None, width: float) -> list[Flowable]:
    """A described picture under its title, and its caption; nothing where there is none."""
    if plot is None:
        return []
    picture = Tagged(Figure(plot, width), "Figure", plain(plot.words.alternative))
    return [together([subheading(plot.words.title), picture, para(plot.words.caption, "small")])]
