"""Contrast of two colours as WCAG 2.2 defines it, and what it asks for."""

from __future__ import annotations

WORDS, MARKS = 4.5, 3.0  # 1.4.3, and 1.4.11 for marks and outlines


def luminance(colour: str) -> float:
    """Relative luminance of sRGB, as WCAG 2.2 defines it."""
    shares = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)
