"""From a description to strokes, areas, points and lettering at their places: one layout for the screen and the PDF."""

from reports.plots.layout.picture import lay_out

__all__ = ["lay_out"]
