"""How the window looks: one type family, a light and a dark palette, and the size of the text.

Everything is measured in the height of a line of text (:func:`em`), so that 200 % keeps its proportions.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from functools import cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetrics, QPalette
from PySide6.QtWidgets import QApplication, QWidget

FAMILY = "DejaVu Sans"
POINTS = 10.0  # size of the text at 100 %
SMALL, HEADING, LEAD, TITLE = 0.9, 1.15, 1.5, 2.0  # the other sizes of type, as shares of the text's
TEXT_SIZES = (100, 125, 150, 175, 200)  # per cent


class Look(Enum):
    """Which palette is wanted."""

    SYSTEM = "as the system"
    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True)
class Tones:
    """The colours of one palette, by what they say; each text colour has a contrast of 4.5 or more on its ground."""

    window: str
    base: str
    panel: str
    text: str
    muted: str
    line: str  # rules and frames, that only divide
    edge: str  # the outline of what is pressed or typed into: a contrast of 3 or more on each ground
    accent: str
    on_accent: str
    error: str
    warn: str
    good: str
    cold: str


LIGHT = Tones(
    window="#f4f2ee",
    base="#ffffff",
    panel="#ebe8e1",
    text="#1d2126",
    muted="#5a6068",
    line="#c5c0b5",
    edge="#7d776d",
    accent="#1f5673",
    on_accent="#ffffff",
    error="#a8201a",
    warn="#7a5200",
    good="#22683c",
    cold="#1d5f8a",
)
DARK = Tones(
    window="#1e2125",
    base="#15181b",
    panel="#282c31",
    text="#eceae5",
    muted="#a9aeb5",
    line="#484e56",
    edge="#7d8692",
    accent="#7db9d8",
    on_accent="#10212b",
    error="#ff9a8f",
    warn="#e8bd62",
    good="#8ed3a2",
    cold="#86c2ee",
)


def is_dark() -> bool:
    """Whether the palette in use is the dark one."""
    return QApplication.palette().color(QPalette.ColorRole.Window).lightness() < 128


def tones() -> Tones:
    """The colours in use."""
    return DARK if is_dark() else LIGHT


def em() -> int:
    """The height of a line of text in pixels: the measure of gaps and widths."""
    return QFontMetrics(QApplication.font()).height()


def show_tone(widget: QWidget, tone: str) -> None:
    """Give a widget another of the sheet's tones, and its looks."""
    if widget.property("tone") != tone:
        widget.setProperty("tone", tone)
        widget.style().unpolish(widget)
        widget.style().polish(widget)


@cache
def register_font() -> str:
    """Make the program's type family known to Qt; the same files serve the PDF. Returns the family's name."""
    from reports.fonts import BOLD, REGULAR, font_folder

    for name in (REGULAR, BOLD):
        QFontDatabase.addApplicationFont(str(font_folder() / f"{name}.ttf"))
    return FAMILY


def apply(application: QApplication, look: Look = Look.SYSTEM, percent: int = 100) -> None:
    """Set style, type, size and palette of the whole program."""
    font = QFont(register_font())
    font.setPointSizeF(POINTS * percent / 100.0)
    if application.style().objectName() != "fusion":
        application.setStyle("Fusion")
    application.setFont(font)
    dark = look is Look.DARK or (look is Look.SYSTEM and application.styleHints().colorScheme() is Qt.ColorScheme.Dark)
    chosen = DARK if dark else LIGHT
    application.setPalette(_palette(chosen))
    boxes = "QCheckBox"
    application.setPalette(_box_palette(chosen), boxes)  # type: ignore[arg-type]  # types ask for bytes, Qt refuses them
    application.setStyleSheet(_sheet(chosen))


def watch_system(application: QApplication, changed: Callable[[], None]) -> None:
    """Call ``changed`` when the system goes from light to dark or back."""
    application.styleHints().colorSchemeChanged.connect(lambda _scheme: changed())


def _palette(t: Tones) -> QPalette:
    role = QPalette.ColorRole
    palette = QPalette(QColor(t.window))
    for which, colour in {
        role.Window: t.window,
        role.WindowText: t.text,
        role.Base: t.base,
        role.AlternateBase: t.panel,
        role.Text: t.text,
        role.Button: t.panel,
        role.ButtonText: t.text,
        role.BrightText: t.error,
        role.ToolTipBase: t.panel,
        role.ToolTipText: t.text,
        role.PlaceholderText: t.muted,
        role.Highlight: t.accent,
        role.HighlightedText: t.on_accent,
        role.Link: t.accent,
        role.LinkVisited: t.accent,
        role.Mid: t.line,
        role.Dark: t.line,
        role.Light: t.base,
        role.Accent: t.accent,
    }.items():
        palette.setColor(which, QColor(colour))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, QColor(t.muted))
    return palette


def _box_palette(t: Tones) -> QPalette:
    """For boxes to tick: the style derives their outline from the window's colour, which on a dark window is unseen."""
    palette = _palette(t)
    palette.setColor(QPalette.ColorRole.Window, QColor(t.muted))
    return palette


def _sheet(t: Tones) -> str:
    """The few things a palette cannot say. ``tone`` is a property that a widget sets on itself."""
    points = QApplication.font().pointSizeF()
    return f"""
    QLabel[tone="small"] {{ color: {t.muted}; font-size: {SMALL * points:.1f}pt; }}
    QLabel[tone="accent"] {{ color: {t.accent}; }}
    QLabel[tone="step name"], QLabel[tone="heading"] {{ font-weight: bold; }}
    QLabel[tone="step title"] {{ font-size: {HEADING * points:.1f}pt; font-weight: bold; }}
    QPushButton[tone="step"] {{ border: none; border-left: 3px solid transparent; background: transparent;
        text-align: left; outline: none; }}
    QPushButton[tone="step"]:hover {{ background: {t.panel}; }}
    QPushButton[tone="step"]:checked {{ background: {t.base}; border-left: 3px solid {t.accent}; }}
    QPushButton[tone="step"]:focus {{ border: 1px solid {t.accent}; border-left: 3px solid {t.accent};
        background: transparent; }}
    QPushButton[tone="step"]:checked:focus {{ background: {t.base}; }}
    QLabel[tone="muted"] {{ color: {t.muted}; }}
    QLabel[tone="error"] {{ color: {t.error}; }}
    QLabel[tone="warn"] {{ color: {t.warn}; }}
    QLabel[tone="good"] {{ color: {t.good}; }}
    QFrame[tone="card"] {{ background: {t.base}; border: 1px solid {t.line}; border-radius: 4px; }}
    QFrame[tone="rule"] {{ color: {t.line}; }}
    QLineEdit, QPlainTextEdit, QAbstractSpinBox {{ background: {t.base}; border: 1px solid {t.edge};
        border-radius: 3px; padding: 2px 4px; selection-background-color: {t.accent};
        selection-color: {t.on_accent}; }}
    QLineEdit:focus, QPlainTextEdit:focus {{ border: 1px solid {t.accent}; }}
    QLineEdit[wrong="true"], QPlainTextEdit[wrong="true"] {{ border: 1px solid {t.error}; }}
    QPushButton[tone="choice"] {{ padding: 3px 8px; border: 1px solid {t.edge}; background: {t.panel}; }}
    QPushButton[tone="sign"] {{ padding: 2px 5px; border: 1px solid {t.edge}; background: {t.panel}; }}
    QPushButton[tone="sign"]:checked {{ background: {t.accent}; color: {t.on_accent}; }}
    QPushButton[tone="sign"]:focus {{ border: 1px solid {t.text}; }}
    QPushButton[tone="choice"]:checked {{ background: {t.accent}; color: {t.on_accent}; }}
    QPushButton[tone="choice"]:focus {{ border: 1px solid {t.text}; }}
    QPushButton[tone="link"] {{ border: none; text-align: left; padding: 3px; color: {t.accent};
        text-decoration: underline; }}
    QPushButton[tone="link"]:focus {{ border: 1px solid {t.accent}; }}
    QToolButton[tone="heading"] {{ font-weight: bold; padding: 3px; text-align: left; border: none;
        border-bottom: 1px solid {t.line}; }}
    QToolButton[tone="heading"]:hover {{ background: {t.panel}; }}
    QToolButton[tone="heading"]:focus {{ border: 1px solid {t.accent}; }}
    QToolTip {{ color: {t.text}; background: {t.panel}; border: 1px solid {t.line}; padding: 3px; }}
    """
