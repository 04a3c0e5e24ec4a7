"""The one type family of a report: DejaVu Sans, regular and bold, from the files beside this module.

It holds the degree sign, the Greek letters, exponents and Cyrillic, and is embedded as a subset, so a report
looks alike on every machine; the window shows the same. Its licence stands beside the files.
"""

from __future__ import annotations

from pathlib import Path

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "DejaVuSans"
BOLD = "DejaVuSans-Bold"


def register() -> None:
    """Make REGULAR and BOLD known to reportlab and its default, so that no page lists a font it does not embed."""
    if REGULAR in pdfmetrics.getRegisteredFontNames():
        return
    for name in (BOLD, REGULAR):
        pdfmetrics.registerFont(TTFont(name, str(font_folder() / f"{name}.ttf")))
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR, boldItalic=BOLD)
    rl_config.canvas_basefontname = REGULAR
    rl_config.defaultGraphicsFontName = REGULAR


def font_folder() -> Path:
    """The folder of the type files."""
    return Path(__file__).parent / "fonts_data"
