"""Draws the pictures of the calibration study: ``python tests/calibration/pictures.py rows.csv``, run by hand.

``reliability.png``: claims against how often they were right; ``entropy.png``: how much is left to know, by evidence.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pypdfium2
from reportlab.pdfgen.canvas import Canvas

sys.path.insert(0, str(Path(__file__).parent))

from scores import Row, equal_bins, numbers, right_first
from study import rows_in

from reports.figures import Figure
from reports.plots.describe import Axis, Chart, Line, Marker, Plot, Rows, Series, Span, Tone, Words
from reports.plots.describe import Row as Bar

HERE = Path(__file__).parent
WIDTH, SCALE = 420.0, 2.0  # pt; pixels for a point
PER_CENT = (0.0, 20.0, 40.0, 60.0, 80.0, 100.0)


def reliability(rows: Sequence[Row]) -> Chart:
    """Claimed odds of the likeliest cause against the share that was right, in bins of equal count."""
    p, right = numbers(rows, "p_top"), right_first(rows)
    bins = equal_bins(p)
    x = 100.0 * np.array([p[i].mean() for i in bins])
    y = 100.0 * np.array([right[i].mean() for i in bins])
    by_chance = 100.0 * np.array([np.sqrt((p[i] * (1.0 - p[i])).sum()) / len(i) for i in bins])
    diagonal = np.array([0.0, 100.0])
    told = "; ".join(f"claimed {a:.0f} %, right {b:.0f} %" for a, b in zip(x, y, strict=True))
    words = Words(
        "Claims and how often they were right",
        f"{len(rows)} simulated vehicles in {len(bins)} bins. "
        "Whiskers: one standard deviation of chance for a judge whose odds mean what they say.",
        told,
    )
    return Chart(
        words,
        _per_cent("claimed odds of the likeliest cause"),
        _per_cent("of these right"),
        (
            Series("odds that mean what they say", diagonal, diagonal, Tone.MUTED, Line.DASHED),
            Series("the diagnosis", x, y, Tone.FIRST, Line.NONE, Marker.DISC, y_error=by_chance),
        ),
    )


def _per_cent(label: str) -> Axis:
    return Axis(label, "fraction", "%", (0.0, 100.0), PER_CENT)


def entropy(rows: Sequence[Row]) -> Rows:
    """Bits that are left of the uniform entropy after each kind of evidence."""
    twice = [r for r in rows if np.isfinite(float(r["four_entropy"]))]
    bars = [
        ("nothing known", rows, "uniform"),
        ("base rates", rows, "entropy_prior"),
        ("all evidence", rows, "entropy"),
    ]
    bars += [("log alone", twice, "alone_entropy"), ("log and four readings", twice, "four_entropy")] if twice else []
    found = {name: float(numbers(part, key).mean()) for name, part, key in bars}
    drawn = tuple(Bar(name, (Span(0.0, bits, Tone.FIRST, high_words=f"{bits:.1f}"),)) for name, bits in found.items())
    words = Words(
        "What is left to know",
        "Mean entropy of the odds of the causes; 1 bit is one even question.",
        "; ".join(f"{name}: {bits:.1f} bits" for name, bits in found.items()),
    )
    return Rows(words, Axis("left to know, bits", "number", "", (0.0, 6.0), (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0)), drawn)


def save(plot: Plot, path: Path) -> None:
    """A picture as PNG."""
    figure, page = Figure(plot), io.BytesIO()
    size = figure.wrap(WIDTH, 0.0)
    canvas = Canvas(page, pagesize=size)
    figure.drawOn(canvas, 0.0, 0.0)
    canvas.save()
    pypdfium2.PdfDocument(page.getvalue())[0].render(scale=SCALE).to_pil().quantize(32).save(path, optimize=True)


def main() -> None:
    """Draw both."""
    rows = rows_in(Path(sys.argv[1]))
    save(reliability(rows), HERE / "reliability.png")
    save(entropy(rows), HERE / "entropy.png")


if __name__ == "__main__":
    main()
