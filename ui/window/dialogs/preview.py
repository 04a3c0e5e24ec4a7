"""The pages of a report, drawn by a PDF engine of its own: what is seen here is what the file holds."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Lock

import pypdfium2
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QImage, QPixmap, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QWidget

from engcalc.words.texts import dialog_texts
from ui.window.plain import plain_label
from ui.window.rhythm import AROUND_A_CARD, em, upright

RENDERED_WIDTH = 1240  # pixels of a page, enough for 150 dots per inch on A4
ENGINE = Lock()  # the PDF engine ends the program when two threads are in it at once; whoever calls it holds this


def render(pdf: bytes, width: int = RENDERED_WIDTH) -> list[QImage]:
    """Every page as an image of this width in pixels. May run on any thread, and on several."""
    with ENGINE:
        document = pypdfium2.PdfDocument(pdf)
        try:
            return [_page(page, width) for page in document]
        finally:
            document.close()


def _page(page: pypdfium2.PdfPage, width: int) -> QImage:
    bitmap = page.render(scale=width / page.get_width(), rev_byteorder=True)  # red first, as QImage has it
    pixels = bitmap.to_numpy()
    form = QImage.Format.Format_RGB888 if pixels.shape[2] == 3 else QImage.Format.Format_RGBA8888
    return QImage(pixels.tobytes(), pixels.shape[1], pixels.shape[0], pixels.strides[0], form).copy()


class Preview(QScrollArea):
    """Pages under one another, as wide as there is room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(dialog_texts.PREVIEW_OF_THE_REPORT)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)  # its coming would change the width
        self._pages: list[QLabel] = []
        self._images: list[QImage] = []
        self._shown_width = 0
        body = QWidget()
        self._layout = upright(body, around=AROUND_A_CARD)
        self._words = plain_label()
        self._words.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._words.setWordWrap(True)
        self._layout.addWidget(self._words)
        self._layout.addStretch(1)
        self.setWidget(body)
        self.setMinimumWidth(16 * em())

    def show_words(self, text: str) -> None:
        """Words in place of pages."""
        self.show_pages(())
        self._words.setText(text)
        self._words.show()

    def show_pages(self, images: Sequence[QImage]) -> None:
        """Show these pages."""
        self._images = list(images)
        self._words.hide()
        while len(self._pages) < len(images):
            self._pages.append(self._new_page())
        for i, page in enumerate(self._pages):
            page.setVisible(i < len(images))
            page.setAccessibleName(f"Page {i + 1} of {len(images)}")
        self._shown_width = 0
        self._fit()

    @property
    def page_count(self) -> int:
        """How many pages are shown."""
        return len(self._images)

    def _new_page(self) -> QLabel:
        page = QLabel()
        page.setFrameShape(QFrame.Shape.Box)
        self._layout.insertWidget(self._layout.count() - 1, page, 0, Qt.AlignmentFlag.AlignHCenter)
        return page

    def _fit(self) -> None:
        """Scale the pages to the room there is."""
        margins = self._layout.contentsMargins()
        width = self.viewport().width() - margins.left() - margins.right() - 4
        if width <= 0 or width == self._shown_width:
            return
        self._shown_width = width
        ratio = self.devicePixelRatioF()
        for page, image in zip(self._pages, self._images, strict=False):
            wanted = QSize(round(width * ratio), round(width * ratio * image.height() / image.width()))
            scaled = image.scaled(
                wanted, Qt.AspectRatioMode.IgnoreAspectRatio, Qt.TransformationMode.SmoothTransformation
            )
            scaled.setDevicePixelRatio(ratio)
            page.setPixmap(QPixmap.fromImage(scaled))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the pages as wide as the room."""
        super().resizeEvent(event)
        self._fit()
