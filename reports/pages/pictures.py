"""Pictures on a page: title, the picture itself with its words for those who cannot see it, caption."""

from __future__ import annotations

from reportlab.platypus.flowables import Flowable

from engcalc.units import UnitSystem
from reports.figures import Figure
from reports.layout import para, subheading, together
from reports.plots.describe import Plot
from reports.plots.registry import PicturePlace, S, drawn_at
from reports.tagging import Tagged
from reports.texts import plain


def figures(place: PicturePlace[S], subject: S, system: UnitSystem, width: float) -> list[Flowable]:
    """Every picture of a place under its title, with its caption; nothing where there is nothing to draw."""
    return [figure(plot, width) for plot in drawn_at(place, subject, system)]


def figure(plot: Plot, width: float) -> Flowable:
    """One picture under its title, with its caption, kept together."""
    picture = Tagged(Figure(plot, width), "Figure", plain(plot.words.alternative))
    return together([subheading(plot.words.title), picture, para(plot.words.caption, "small")])
