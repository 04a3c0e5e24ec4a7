"""The one type family of a report: DejaVu Sans, regular and bold, as matplotlib carries it.

It holds the degree sign, the Greek letters, exponents and Cyrillic, and is embedded as a subset, so a report
looks alike on every machine.
"""

from __future__ import annotations

from importlib.util import find_spec
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
    """The folder of the type files; found without importing matplotlib, which takes a third of a second."""
    package = find_spec("matplotlib")
    if package is None or package.origin is None:
        raise ModuleNotFoundError("matplotlib, which carries the type files, is not installed")
    return Path(package.origin).parent / "mpl-data" / "fonts" / "ttf"
