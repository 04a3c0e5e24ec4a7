"""Pages folded by their headings: each part of a PDF as pictures under a heading that opens and closes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPixmap, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QScrollArea, QToolButton, QWidget

from reports.layout import ABOVE_HEADING, FOOTER, HEADER, MARGIN, style
from ui.window.dialogs.parts import right
from ui.window.dialogs.preview import ENGINE, RENDERED_WIDTH
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_CARD, Edges, Gap, em, upright
from ui.window.views.view import column

HEADING_STYLES = ("heading", "subheading")  # by the level of the outline
OPEN_AT_FIRST = 2  # the first title, and its first step
WHITE = 250  # of 255; lighter rows of a page are blank
BESIDE = 8.0  # pt; white beside what is printed, over it and under it
LEAST_ROWS = 6  # px; less is the rest of a heading

Pixels = NDArray[np.uint8]


@dataclass(frozen=True)
class Fold:
    """What stands under one heading: its title, how deep it lies, and pictures of it, one for each page it is on."""

    title: str
    level: int
    pictures: tuple[QImage, ...]


@dataclass(frozen=True)
class _Mark:
    """A heading of the outline: its page and how far down its page it stands [pt from the top]."""

    title: str
    level: int
    page: int
    top: float

    @property
    def end(self) -> float:
        """Where the heading itself ends [pt], of one line."""
        return self.top + float(style(HEADING_STYLES[min(self.level, 1)]).leading)


def folds_of(pdf: bytes, width: int = RENDERED_WIDTH) -> tuple[Fold, ...]:
    """Every part of a PDF of ours by its outline. May run on any thread."""
    with ENGINE:
        document = pypdfium2.PdfDocument(pdf)
        try:
            pages = [_Rendered.of(page, width) for page in document]
            marks = list(_marks(document, [page.height for page in pages]))
        finally:
            document.close()
    ends = [(mark.page, mark.top) for mark in marks[1:]] + [(len(pages) - 1, pages[-1].height)]
    return tuple(
        Fold(mark.title, mark.level, tuple(_pictures(pages, mark, end))) for mark, end in zip(marks, ends, strict=True)
    )


@dataclass(frozen=True, eq=False)
class _Rendered:
    """A page as pixels, and its height [pt]."""

    pixels: Pixels
    height: float

    @classmethod
    def of(cls, page: pypdfium2.PdfPage, width: int) -> _Rendered:
        """The page at so many pixels of width."""
        bitmap = page.render(scale=width / page.get_width(), rev_byteorder=True)
        return cls(bitmap.to_numpy()[:, :, :3].copy(), float(page.get_height()))

    def between(self, top: float, bottom: float) -> Pixels:
        """The rows from one height to another [pt from the top], without blank ones at either end."""
        scale = self.pixels.shape[0] / self.height
        side = round((MARGIN - BESIDE) * scale)
        printed = self.pixels[:, side:-side]
        is_inked = printed.min(axis=(1, 2)) < WHITE
        first = whole_line(is_inked, round(top * scale))
        inked = first + np.flatnonzero(is_inked[first : round(bottom * scale)])
        return printed[inked[0] : inked[-1] + 1] if inked.size else printed[:0]


def whole_line(is_inked: NDArray[np.bool_], row: int) -> int:
    """The row at which to cut, so that no line of print is cut through: before the line where most of it lies below
    ``row``, behind it where most lies above.

    >>> page = np.array([0, 1, 1, 1, 1, 0, 1, 0], bool)
    >>> [whole_line(page, row) for row in (0, 2, 4, 5, 6)]
    [0, 1, 5, 5, 6]
    """
    blank = np.flatnonzero(~is_inked)
    if row >= is_inked.size or not is_inked[row]:
        return row
    before = blank[blank < row].max(initial=-1) + 1
    behind = blank[blank > row].min(initial=is_inked.size)
    return int(before if row - before < behind - row else behind)


def _marks(document: pypdfium2.PdfDocument, heights: Sequence[float]) -> Iterator[_Mark]:
    for entry in document.get_toc():
        place = entry.get_dest()
        page = int(place.get_index())
        (_, top, _) = place.get_view()[1]
        yield _Mark(str(entry.get_title()), int(entry.level), page, heights[page] - float(top) + ABOVE_HEADING)


def _pictures(pages: Sequence[_Rendered], mark: _Mark, end: tuple[int, float]) -> Iterator[QImage]:
    last, bottom = end
    for number in range(mark.page, last + 1):
        page = pages[number]
        first = mark.end if number == mark.page else MARGIN + HEADER
        rows = page.between(first, min(bottom if number == last else page.height, page.height - MARGIN - FOOTER))
        if rows.shape[0] >= LEAST_ROWS:
            white = round(BESIDE * page.pixels.shape[0] / page.height)
            rows = np.pad(rows, ((white, white), (0, 0), (0, 0)), constant_values=255)
            yield QImage(
                np.ascontiguousarray(rows).tobytes(),
                rows.shape[1],
                rows.shape[0],
                3 * rows.shape[1],
                QImage.Format.Format_RGB888,
            ).copy()


class FoldedPart(QWidget):
    """One heading, and beneath it what it folds away."""

    def __init__(self, fold: Fold) -> None:
        super().__init__()
        self.fold = fold
        layout = upright(self, between=Gap.HALF, around=Edges(left=Gap.ONE if fold.level else Gap.NONE))
        self.heading = QToolButton()
        self.heading.setText(fold.title.replace("&", "&&"))
        self.heading.setCheckable(True)
        self.heading.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.heading.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.heading.setProperty("tone", "heading")
        self.heading.setAccessibleName(f"Step: {fold.title}")
        self.heading.toggled.connect(self._toggled)
        layout.addWidget(self.heading)
        self._pictures = [self._picture(number) for number in range(len(fold.pictures))]
        for label in self._pictures:
            layout.addWidget(label)
        self._width = 0
        self._toggled(False)

    def _picture(self, number: int) -> QLabel:
        label = plain_label()
        label.setAccessibleName(f"{self.fold.title}, part {number + 1} of {len(self.fold.pictures)}")
        return label

    def _toggled(self, is_open: bool) -> None:
        self.heading.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        for label in self._pictures:
            label.setVisible(is_open)
        if is_open:
            self.fit(self._width)

    def fit(self, width: int) -> None:
        """Draw what is open as wide as there is room [px]."""
        self._width = width
        if width <= 0 or not self.heading.isChecked():
            return
        ratio = self.devicePixelRatioF()
        for label, picture in zip(self._pictures, self.fold.pictures, strict=True):
            scaled = picture.scaledToWidth(round(width * ratio), Qt.TransformationMode.SmoothTransformation)
            scaled.setDevicePixelRatio(ratio)
            label.setPixmap(QPixmap.fromImage(scaled))
            label.setFixedHeight(round(scaled.height() / ratio))


class FoldedPages(QWidget):
    """The parts under one another; the first step of all stands open."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.parts: list[FoldedPart] = []
        self._said = plain_label(tone="muted")
        self._said.setWordWrap(True)
        self.all_button = QPushButton()
        self.all_button.clicked.connect(self._toggle_all)
        self._page = QWidget()
        self._layout = upright(self._page, around=AROUND_A_CARD)
        self._layout.addWidget(self._said)
        self._layout.addStretch(1)
        self._area = QScrollArea()
        self._area.setAccessibleName(name)
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # its coming would change the width
        self._area.setWidget(self._page)
        column(self, right(self.all_button), self._area, stretch=self._area)
        self.setMinimumWidth(16 * em())
        self.show_folds(())

    def show_folds(self, folds: Sequence[Fold], instead: str = "") -> None:
        """Show these parts; the same ones stay open that were. Without any, the words ``instead``."""
        same = [part.fold.title for part in self.parts] == [fold.title for fold in folds]
        was_open = {i for i, part in enumerate(self.parts) if same and part.heading.isChecked()}
        for part in self.parts:
            self._layout.removeWidget(part)
            part.hide()
            part.deleteLater()
        self.parts = [FoldedPart(fold) for fold in folds]
        for number, part in enumerate(self.parts):
            self._layout.insertWidget(1 + number, part)
            part.heading.setChecked(number in was_open if was_open else number < OPEN_AT_FIRST)
            part.heading.toggled.connect(lambda _open: self._follow())
        self._said.setText("" if folds else instead)
        self._said.setVisible(not folds and bool(instead))
        self.all_button.setVisible(bool(folds))
        self._follow()
        self._fit()

    def _all_open(self) -> bool:
        return all(part.heading.isChecked() for part in self.parts)

    def _follow(self) -> None:
        """Hide the steps of a working that is closed; say what the button does."""
        is_open = True
        for part in self.parts:
            if part.fold.level == 0:
                is_open = part.heading.isChecked()
            else:
                part.setVisible(is_open)
        self.all_button.setText("Close all steps" if self._all_open() else "Open all steps")

    def _toggle_all(self) -> None:
        to_open = not self._all_open()
        for part in self.parts:
            part.heading.setChecked(to_open)

    def _fit(self) -> None:
        margins = self._layout.contentsMargins()
        width = self._area.viewport().width() - margins.left() - margins.right() - 2 * em()
        for part in self.parts:
            part.fit(width)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the pictures as wide as the room."""
        super().resizeEvent(event)
        self._fit()
