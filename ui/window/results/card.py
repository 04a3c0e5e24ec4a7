"""A picture in its frame, with its caption and a button that copies it; and a titled part of the page."""

from __future__ import annotations

from typing import Generic

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QPushButton, QSizePolicy, QWidget

from engcalc.units import UnitSystem
from engcalc.words.page.circuit_words import TAP_HINT
from engcalc.words.page.picture_words import PICK_HINT
from reports.plots.describe import Chart, CircuitPlot, Plot
from reports.plots.registry import PicturePlace, S, pictures_at
from ui.window.plain import plain_label
from ui.window.results.drawing import PictureView
from ui.window.rhythm import AROUND_A_CARD, sideways, upright


class PictureCard(QFrame):
    """One picture, what to see in it, and a way to take it along."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("tone", "card")
        self.view = PictureView(name, self)
        self._caption = plain_label(parent=self)
        self._caption.setProperty("tone", "muted")
        self._caption.setWordWrap(True)
        self._caption.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self.copy_button = QPushButton("Copy", self)
        self.copy_button.setAccessibleName(f"Copy picture: {name}")
        self.copy_button.setToolTip("Copy this picture")
        self.copy_button.clicked.connect(self.view.copy)
        foot = sideways()
        foot.addWidget(self._caption, 1, Qt.AlignmentFlag.AlignTop)
        foot.addWidget(self.copy_button, 0, Qt.AlignmentFlag.AlignBottom)
        layout = upright(self, around=AROUND_A_CARD)
        layout.addWidget(self.view)
        layout.addLayout(foot)
        layout.addStretch(1)

    def show_plot(self, plot: Plot | None, instead: str = "") -> None:
        """Show a picture; without one the words ``instead``, and without these nothing at all."""
        self.setVisible(plot is not None or bool(instead))
        self.view.show_plot(plot, instead)
        self._caption.setText(_caption_of(plot))
        self.copy_button.setEnabled(plot is not None)


def _caption_of(plot: Plot | None) -> str:
    """The caption, and what a click does where one is answered."""
    if plot is None:
        return ""
    hint = ""
    if isinstance(plot, CircuitPlot) and plot.taps:
        hint = TAP_HINT
    elif isinstance(plot, Chart) and plot.picks:
        hint = PICK_HINT
    return f"{plot.words.caption} {hint}".strip()


class PlaceCards(Generic[S]):
    """The pictures of one place of the registry, each in a card of its own. ``number`` tells such places apart where
    there are several."""

    def __init__(self, place: PicturePlace[S], parent: QWidget | None = None, number: int | None = None) -> None:
        behind = "" if number is None else f" {number}"
        self._entries = pictures_at(place)
        self.cards = tuple(PictureCard(entry.title + behind, parent) for entry in self._entries)

    def show_pictures(self, subject: S, system: UnitSystem, *, in_sight_only: bool = False) -> None:
        """Draw what is to be drawn of ``subject``; a picture that has nothing to show takes no room.

        ``in_sight_only`` leaves those that are scrolled out of sight as they are, while a hand moves something.
        """
        for entry, card in zip(self._entries, self.cards, strict=True):
            if in_sight_only and card.visibleRegion().isEmpty():
                continue
            plot = entry.build(subject, system) if entry.screen_if(subject) else None
            card.show_plot(plot, entry.instead(subject))

    def show_none(self) -> None:
        """Take the pictures away."""
        for card in self.cards:
            card.show_plot(None)


class CardSection(QWidget):
    """A heading, whatever stands beside it, and a body; hidden as a whole when there is nothing to show."""

    def __init__(self, title: str, body: QWidget, *beside: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._heading = plain_label(parent=self, tone="heading")
        self.set_title(title)
        head = sideways()
        head.addWidget(self._heading)
        head.addStretch(1)
        for widget in beside:
            head.addWidget(widget)
        self._layout = upright(self)
        self._layout.addLayout(head)
        self._layout.addWidget(body)

    def put_below_heading(self, widget: QWidget) -> None:
        """Put something between heading and body; nothing happens where it is there already."""
        if self._layout.indexOf(widget) < 0:
            self._layout.insertWidget(1, widget)

    def set_title(self, title: str) -> None:
        """Put another heading over the body."""
        self._heading.setText(title)
        self._heading.setAccessibleName(title)
