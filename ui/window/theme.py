"""How the window looks: one type family, a light and a dark palette, and the size of the text.

Sizes of type and gaps come from :mod:`ui.window.rhythm`, so that 200 % keeps its proportions.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from functools import cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from ui.window.rhythm import Gap, Type, space_anew, text_font

FAMILY = "DejaVu Sans"
_SHEET, _DRESSED = "sheet", "dressed"  # properties: of the application its sheet, of a window that it wears it
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


def show_tone(widget: QWidget, tone: str) -> None:
    """Give a widget another of the sheet's tones, and its looks."""
    show_property(widget, "tone", tone)


def show_property(widget: QWidget, name: str, value: str) -> None:
    """Give a property that the sheet reads another value, and the widget its looks."""
    if widget.property(name) != value:
        widget.setProperty(name, value)
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
    font = text_font(register_font(), percent)
    if application.style().objectName() != "fusion":
        application.setStyle("Fusion")
    application.setFont(font)
    dark = look is Look.DARK or (look is Look.SYSTEM and application.styleHints().colorScheme() is Qt.ColorScheme.Dark)
    chosen = DARK if dark else LIGHT
    application.setPalette(_palette(chosen))
    for boxes in ("QCheckBox", "QListWidget", "QTableWidget"):
        application.setPalette(_box_palette(chosen), boxes)  # type: ignore[arg-type]  # types ask for bytes: refused
    application.setProperty(_SHEET, _sheet(chosen))
    for window in application.topLevelWidgets():
        space_anew(window)
        if window.property(_DRESSED):
            dress(window)


def dress(window: QWidget) -> None:
    """Give a window the sheet in use, now and whenever it changes; what is in it and opened from it wears it too.

    The application itself has none: under its sheet Qt would style all that is inside a widget anew at every move
    into a parent, and a form is put together from the inside out. So it is styled once, when it enters a window.
    """
    window.setProperty(_DRESSED, True)
    window.setStyleSheet(sheet_in_use())


def sheet_in_use() -> str:
    """The style sheet of the palette and the size of text that were last applied."""
    application = QApplication.instance()
    return "" if application is None else str(application.property(_SHEET) or "")


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
    """The few things a palette cannot say. ``tone`` and ``type`` are properties that a widget sets on itself."""
    hair, half, one, two, four = (f"{gap.px}px" for gap in (Gap.HAIR, Gap.HALF, Gap.ONE, Gap.TWO, Gap.FOUR))
    wide = f"{2 * Gap.FOUR.px}px"  # a button of one short word, at every size of the text
    box = bar = f"{Gap.ONE.px + Gap.HALF.px + Gap.HAIR.px}px"  # 14 at 100 %: they grow with the text beside them
    small, heading, lead, title = (f"{size.points:.1f}pt" for size in (Type.SMALL, Type.HEADING, Type.LEAD, Type.TITLE))
    return f"""
    QLabel[tone="small"] {{ color: {t.muted}; font-size: {small}; }}
    QLabel[tone="accent"] {{ color: {t.accent}; }}
    QLabel[tone="step name"], QLabel[tone="heading"] {{ font-weight: bold; }}
    QLabel[tone="step title"] {{ font-size: {heading}; font-weight: bold; }}
    QLabel[type="lead"] {{ font-size: {lead}; font-weight: bold; }}
    QLabel[type="title"] {{ font-size: {title}; }}
    QPushButton[tone="step"] {{ border: none; border-left: 3px solid transparent; background: transparent;
        text-align: left; outline: none; }}
    QPushButton[tone="step"]:hover {{ background: {t.panel}; }}
    QPushButton[tone="step"]:checked {{ background: {t.base}; border-left: 3px solid {t.accent}; }}
    QPushButton[tone="step"]:focus {{ border: 1px solid {t.accent}; border-left: 3px solid {t.accent};
        background: transparent; }}
    QPushButton[tone="step"]:checked:focus {{ background: {t.base}; }}
    QLabel[tone="muted"] {{ color: {t.muted}; }}
    QLabel[tone="error"] {{ color: {t.error}; }}
    QLabel[tone="danger"] {{ background: {t.error}; color: {t.base}; font-size: {lead}; font-weight: bold;
        padding: {one}; }}
    QLabel[tone="warn"] {{ color: {t.warn}; }}
    QLabel[tone="good"] {{ color: {t.good}; }}
    QLabel[tone="cold"] {{ color: {t.cold}; }}
    QLabel[type="lead"]:disabled {{ color: {t.muted}; }}
    QFrame[tone="card"] {{ background: {t.base}; border: 1px solid {t.line}; border-radius: 4px; }}
    QFrame[tone="rule"] {{ color: {t.line}; }}
    QLineEdit, QPlainTextEdit, QAbstractSpinBox {{ background: {t.base}; border: 1px solid {t.edge};
        border-radius: 3px; padding: {hair} {half}; selection-background-color: {t.accent};
        selection-color: {t.on_accent}; }}
    QAbstractSpinBox::up-button, QAbstractSpinBox::down-button {{ border: none; background: transparent;
        width: {two}; }}
    QCheckBox::indicator, QAbstractItemView::indicator {{ width: {box}; height: {box}; }}
    QSlider::groove:horizontal {{ height: {half}; background: {t.edge}; border-radius: {hair}; }}
    QSlider::sub-page:horizontal {{ background: {t.accent}; border-radius: {hair}; }}
    QSlider::handle:horizontal {{ width: {box}; margin: -{half} 0px; background: {t.base};
        border: {hair} solid {t.accent}; border-radius: {half}; }}
    QSlider::handle:horizontal:focus {{ border: {hair} solid {t.text}; }}
    QScrollBar {{ background: {t.panel}; }}
    QScrollBar:vertical {{ width: {bar}; }}
    QScrollBar:horizontal {{ height: {bar}; }}
    QScrollBar::handle {{ background: {t.edge}; border: {hair} solid {t.panel}; border-radius: {half}; }}
    QScrollBar::handle:hover, QScrollBar::handle:pressed {{ background: {t.accent}; }}
    QScrollBar::handle:vertical {{ min-height: {four}; }}
    QScrollBar::handle:horizontal {{ min-width: {four}; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0px; height: 0px; }}
    QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
    QLineEdit:focus, QPlainTextEdit:focus {{ border: 1px solid {t.accent}; }}
    QLineEdit[wrong="true"], QPlainTextEdit[wrong="true"] {{ border: 1px solid {t.error}; }}
    QDialogButtonBox QPushButton {{ min-width: {wide}; }}
    QPushButton[tone="main"] {{ padding: {half} {one}; border: 1px solid {t.accent}; border-radius: 3px;
        background: {t.accent}; color: {t.on_accent}; font-weight: bold; }}
    QPushButton[tone="main"]:focus {{ border: 1px solid {t.text}; }}
    QPushButton[tone="main"]:disabled {{ border: 1px solid {t.edge}; background: {t.panel}; color: {t.muted}; }}
    QPushButton[tone="choice"] {{ padding: {hair} {one}; border: 1px solid {t.edge};
        border-bottom: {hair} solid {t.edge}; background: {t.panel}; }}
    QPushButton[tone="choice"]:checked {{ background: {t.base}; color: {t.accent};
        border-bottom: {hair} solid {t.accent}; }}
    QPushButton[tone="choice"]:focus {{ border: 1px solid {t.text}; border-bottom: {hair} solid {t.text}; }}
    QPushButton[tone="choice"]:checked:focus {{ border-bottom: {hair} solid {t.accent}; }}
    QPushButton[tone="sign"] {{ padding: {hair} {half}; border: 1px solid {t.edge}; background: {t.panel}; }}
    QPushButton[tone="sign"]:checked {{ background: {t.accent}; color: {t.on_accent}; }}
    QPushButton[tone="sign"][told="no"]:checked {{ background: {t.base}; color: {t.text};
        border: 1px dashed {t.text}; }}
    QPushButton[tone="sign"]:focus {{ border: 1px solid {t.text}; }}
    QPushButton[tone="link"] {{ border: 1px solid transparent; text-align: left; padding: {half} 0px; color: {t.accent};
        text-decoration: underline; }}
    QPushButton[tone="link"]:focus {{ border: 1px solid {t.accent}; }}
    QToolButton[tone="heading"] {{ font-weight: bold; padding: {half}; text-align: left;
        border: 1px solid transparent; }}
    QToolButton[tone="heading"]:hover {{ background: {t.panel}; }}
    QToolButton[tone="heading"]:focus {{ border: 1px solid {t.accent}; }}
    QFrame[tone="section head"] {{ border: none; border-bottom: 1px solid {t.line}; }}
    QToolTip {{ color: {t.text}; background: {t.panel}; border: 1px solid {t.line}; padding: {half}; }}
    """
