"""A page that scrolls: exactly as high as its wrapped words and pictures need at the width there is."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget


class Page(QWidget):
    """What stands in a scroll area. Qt would keep it as high as its words need at their narrowest; this does not."""

    def minimumSizeHint(self) -> QSize:
        """Wide enough for the widest word; as high as its width makes it."""
        return QSize(super().minimumSizeHint().width(), 0)


class _AsWideAsItsPage(QScrollArea):
    """Asks for the width of its page, so that nothing of it is cut off beside other widgets."""

    def minimumSizeHint(self) -> QSize:
        """The page's width and its bar's."""
        least, page = super().minimumSizeHint(), self.widget()
        page_width = 0 if page is None else page.minimumSizeHint().width()
        wide = page_width + self.verticalScrollBar().sizeHint().width()
        return QSize(max(least.width(), wide), least.height())


def scrolled(page: Page, name: str, *, whole_width: bool = False) -> QScrollArea:
    """A frameless scroll area around a page, under an accessible name: the keys scroll it.

    One of ``whole_width`` is never narrower than its page.
    """
    area = _AsWideAsItsPage() if whole_width else QScrollArea()
    area.setAccessibleName(name)
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setWidget(page)
    return area
