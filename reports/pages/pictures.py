"""Pictures on a page: title, the picture itself with its words for those who cannot see it, caption."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus.flowables import Flowable

from engcalc.units import UnitSystem
from reports.figures import Figure
from reports.layout import abreast, half_width, para, subheading, together
from reports.plots.describe import Chart, Plot
from reports.plots.registry import PicturePlace, S, drawn_at
from reports.tagging import Tagged
from reports.texts import plain


def figures(place: PicturePlace[S], subject: S, system: UnitSystem, width: float) -> list[Flowable]:
    """Every picture of a place under its title, with its caption; nothing where there is nothing to draw."""
    return [figure(plot, width) for plot in drawn_at(place, subject, system)]


def figures_beside(place: PicturePlace[S], subject: S, system: UnitSystem, width: float) -> list[Flowable]:
    """The same as what stands in a column beside something else, which keeps it together anyway."""
    return unbound(drawn_at(place, subject, system), width)


def unbound(plots: Sequence[Plot], width: float) -> list[Flowable]:
    """Pictures with titles and captions as what stands in a column beside something else."""
    return [part for plot in plots for part in _parts(plot, width)]


def figures_in_half(plots: Sequence[Plot], width: float) -> list[Flowable]:
    """Pictures of half the width, their captions beside them."""
    return [together(_with_caption_beside(plot, width)) for plot in plots]


def _with_caption_beside(plot: Plot, width: float) -> list[Flowable]:
    title, picture, caption = _parts(plot, half_width(width))
    return [title, abreast([picture], [caption], width)]


def figures_abreast(plots: Sequence[Plot], width: float, *, last_in_half: bool = False) -> list[Flowable]:
    """Pictures with their titles and captions: charts two abreast, what is wider than high over the whole width.

    A chart that is left over takes the whole width, or with ``last_in_half`` half of it, its caption beside it."""
    charts = [plot for plot in plots if isinstance(plot, Chart)]
    pairs = [
        together([abreast(_parts(left, half_width(width)), _parts(right, half_width(width)), width)])
        for left, right in zip(charts[::2], charts[1::2], strict=False)
    ]
    last = charts[-1:] if len(charts) % 2 else []
    alone = figures_in_half(last, width) if last_in_half else [figure(plot, width) for plot in last]
    rest = [plot for plot in plots if not isinstance(plot, Chart)]
    return [*pairs, *alone, *(figure(plot, width) for plot in rest)]


def figure(plot: Plot, width: float) -> Flowable:
    """One picture under its title, with its caption, kept together."""
    return together(_parts(plot, width))


def _parts(plot: Plot, width: float) -> list[Flowable]:
    picture = Tagged(Figure(plot, width), "Figure", plain(plot.words.alternative))
    return [subheading(plot.words.title), picture, para(plot.words.caption, "small")]
