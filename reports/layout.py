"""The page and the things that stand on it: styles, the running header and footer, tables that wrap and never clip.

Pages (reports/pages) are made of the few flowables built here; all text that comes from a person or from the engine
goes through ``texts.markup`` on its way. The file is PDF 2.0 (ISO 32000-2): title, language and outline set, fonts
embedded, content tagged (see :mod:`reports.tagging`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, partial
from io import BytesIO
from threading import Lock
from typing import Any

from reportlab import rl_config
from reportlab.lib.colors import Color, HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Frame, KeepTogether, PageBreak, PageTemplate, Spacer
from reportlab.platypus.flowables import Flowable, _listWrapOn

from engcalc.units import UnitSystem
from reports import fonts
from reports.tagging import TaggedCanvas, TaggedParagraph, tagged_table
from reports.texts import markup, plain, shortened

PAGE_SIZES = {UnitSystem.SI: A4, UnitSystem.US: letter}
MARGIN = 54.0  # pt
ABOVE_HEADING = 20.0  # pt; how far above a heading the outline leads
HEADER, FOOTER = 30.0, 26.0  # pt, kept free for the running lines within the margins
INK, ACCENT, RULE, WASH = HexColor("#1b1f23"), HexColor("#1d4e6b"), HexColor("#9fb2bf"), HexColor("#eef3f6")
MUTED = HexColor("#52606b")
DRAFT_INK = Color(0.55, 0.6, 0.65, alpha=0.22)
PAGE_OF = "Page{page}Of"  # drawn on its page before the count is known, defined on the last
FONT = ("FONTNAME", (0, 0), (-1, -1), fonts.REGULAR)  # else each table names a font that nothing embeds
GUTTER, SHORT_LABELS = 14.0, 84.0  # pt, between two lists of facts, and for their labels
LONGEST_FACT, MOST_LINES = 400, 8  # characters and line ends of what may stand beside its label
BLANK_ROOM = 22.0  # pt above a ruled line, for writing by hand
HEADING_ROOM = 84.0  # pt that a heading wants for itself and the first lines beneath it
LONGEST_TITLE = 200  # characters of the document's title and of a line of the outline


def _style(name: str, size: float, leading: float, **more: Any) -> ParagraphStyle:
    more.setdefault("textColor", INK)
    more.setdefault("fontName", fonts.REGULAR)
    more.setdefault("bulletFontName", fonts.REGULAR)
    return ParagraphStyle(name, fontSize=size, leading=leading, splitLongWords=1, **more)


@cache
def style(name: str) -> ParagraphStyle:
    """The paragraph style of this name."""
    fonts.register()
    return {
        s.name: s
        for s in (
            _style("title", 18, 22, fontName=fonts.BOLD, textColor=ACCENT, spaceAfter=4),
            _style("heading", 12.5, 16, fontName=fonts.BOLD, textColor=ACCENT, spaceBefore=12, spaceAfter=4),
            _style("subheading", 10, 13, fontName=fonts.BOLD, spaceBefore=8, spaceAfter=2),
            _style("body", 9.5, 13.2, spaceAfter=4),
            _style("lead", 12.5, 17, fontName=fonts.BOLD, spaceAfter=4),
            _style("strong", 9.5, 13.2, fontName=fonts.BOLD, spaceAfter=4),
            _style("shop", 13, 16, fontName=fonts.BOLD),
            _style("contact", 8.5, 11.5, textColor=MUTED, alignment=TA_RIGHT),
            _style("quote", 10.5, 15, leftIndent=10, spaceAfter=4, borderPadding=(0, 0, 0, 8)),
            _style("bullet", 9.5, 13.2, leftIndent=12, bulletIndent=2, spaceAfter=2),
            _style("small bullet", 8, 10.8, leftIndent=12, bulletIndent=2, spaceAfter=1.5, textColor=MUTED),
            _style("small", 7.8, 10.4, textColor=MUTED, spaceAfter=2),
            _style("formula", 9, 13, spaceAfter=5, spaceBefore=2),
            _style("step", 8, 10.5, textColor=MUTED, spaceAfter=3, spaceBefore=4),
            _style("cell", 8.5, 11),
            _style("number", 8.5, 11, alignment=TA_RIGHT),
            _style("head", 8.5, 11, fontName=fonts.BOLD, textColor=ACCENT),
            _style("number head", 8.5, 11, fontName=fonts.BOLD, textColor=ACCENT, alignment=TA_RIGHT),
            _style("small cell", 7, 8.8),
            _style("small number", 7, 8.8, alignment=TA_RIGHT),
            _style("small head", 7, 8.8, fontName=fonts.BOLD, textColor=ACCENT),
            _style("small number head", 7, 8.8, fontName=fonts.BOLD, textColor=ACCENT, alignment=TA_RIGHT),
            _style("label", 8.5, 11.5, textColor=MUTED),
            _style("fact", 9.5, 12.5),
        )
    }[name]


# ---- flowables -------------------------------------------------------------------------------------------------------


def para(text: str, name: str = "body") -> Flowable:
    """A paragraph of plain text."""
    return TaggedParagraph(markup(text), style(name))


def rich(marked: str, name: str = "body") -> Flowable:
    """A paragraph of text that is marked up already (and escaped by whoever did)."""
    return TaggedParagraph(marked, style(name))


def title(text: str) -> Flowable:
    """The title of the report; the first line of the outline."""
    return TaggedParagraph(markup(text), style("title"), role="H1", outline=(plain(text), 0))


def heading(text: str) -> Flowable:
    """A heading that stands in the outline."""
    return TaggedParagraph(markup(text), style("heading"), role="H2", outline=(plain(text), 0))


def subheading(text: str) -> Flowable:
    """A lesser heading, one step down in the outline."""
    return TaggedParagraph(markup(text), style("subheading"), role="H3", outline=(plain(text), 1))


def bullets(texts: Sequence[str], name: str = "bullet") -> list[Flowable]:
    """One bulleted paragraph for each text."""
    return [TaggedParagraph(markup(text), style(name), bulletText="•") for text in texts]


def space(height: float) -> Flowable:
    """Vertical room [pt]."""
    return Spacer(1, height)


def new_page() -> Flowable:
    """What follows starts on a page of its own."""
    return PageBreak()


def together(flowables: Sequence[Flowable]) -> Flowable:
    """Flowables that stay on one page where they fit on one."""
    return KeepTogether(list(flowables))


def room(height: float) -> Flowable:
    """A new page unless this height [pt] is left."""
    return CondPageBreak(height)


def boxed(flowables: Sequence[Flowable], width: float, ink: Color = ACCENT) -> Flowable:
    """Flowables behind a coloured bar, on a wash."""
    rows = [[one] for one in flowables]
    look = [
        FONT,
        ("LINEBEFORE", (0, 0), (0, -1), 4, ink),
        ("BACKGROUND", (0, 0), (-1, -1), WASH),
        ("LEFTPADDING", (0, 0), (-1, -1), 12),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    ]
    return tagged_table(rows, layout=True, colWidths=[width], style=look, splitInRow=1, spaceAfter=10, spaceBefore=8)


def facts(rows: Sequence[tuple[str, str | None]], width: float, label_width: float = 104.0) -> list[Flowable]:
    """Labels with what they say, one to a line; a row that says nothing is left out, a long one stands beneath."""
    said = [(label, text.strip()) for label, text in rows if text and text.strip()]
    short = [(label, text) for label, text in said if len(text) <= LONGEST_FACT and text.count("\n") < MOST_LINES]
    rest = [(label, text) for label, text in said if (label, text) not in short]
    beneath = [part for label, text in rest for part in (para(label, "label"), para(text))]
    if not short:
        return beneath
    cells = [[para(label, "label"), para(text, "fact")] for label, text in short]
    look = [
        FONT,
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (0, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ]
    return [
        tagged_table(cells, colWidths=[label_width, width - label_width], style=look, splitInRow=1, spaceAfter=4),
        *beneath,
    ]


def facts_abreast(
    left: Sequence[tuple[str, str | None]], right: Sequence[tuple[str, str | None]], width: float
) -> list[Flowable]:
    """Two lists of facts side by side where every text is short, else one beneath the other."""
    half = (width - GUTTER) / 2
    texts = [text or "" for _, text in (*left, *right)]
    if any(stringWidth(plain(text), fonts.REGULAR, 9.5) > half - SHORT_LABELS - 8 for text in texts):
        return facts([*left, *right], width)
    columns = [facts(some, half, SHORT_LABELS) for some in (left, right)]
    if not all(columns):
        return facts([*left, *right], width)
    return [abreast(columns[0], columns[1], width)]


def abreast(left: Sequence[Flowable], right: Sequence[Flowable], width: float) -> Flowable:
    """Two columns side by side on one page, each ``half_width`` wide."""
    half = half_width(width)
    look = [
        FONT,
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ]
    row = [list(left), "", list(right)]
    return tagged_table([row], layout=True, colWidths=[half, GUTTER, half], style=look, spaceAfter=4)


def half_width(width: float) -> float:
    """Width [pt] of one of two columns with a gutter between them."""
    return (width - GUTTER) / 2.0


def blanks(labels: Sequence[str], width: float) -> Flowable:
    """Ruled lines side by side to be filled in by hand, each over its label."""
    count = len(labels)
    line = (width - GUTTER * (count - 1)) / count
    columns = [w for i in range(count) for w in ((line, GUTTER) if i + 1 < count else (line,))]
    words = [para(text, "label") for text in labels]
    row = [cell for i, one in enumerate(words) for cell in ((one, "") if i + 1 < count else (one,))]
    look = [
        FONT,
        *(("LINEABOVE", (2 * i, 0), (2 * i, 0), 0.7, INK) for i in range(count)),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ]
    return tagged_table([row], layout=True, colWidths=columns, style=look, spaceBefore=BLANK_ROOM, spaceAfter=6)


@dataclass(frozen=True)
class Marked:
    """A cell whose text is marked up already; ``plain`` is the same without marks, for its width."""

    markup: str
    plain: str


@dataclass(frozen=True)
class HeadedTable:
    """A table with a head: texts, or texts marked up already.

    ``numeric`` columns stand to the right; ``small`` sets it in small type.
    """

    head: Sequence[str]
    rows: Sequence[Sequence[str | Marked]]
    numeric: frozenset[int] = frozenset()
    small: bool = False
    shares: Sequence[float] = ()  # of the width, one for each column; else from the texts


def grid(table: HeadedTable, width: float) -> Flowable:
    """A table as wide as the page that repeats its head on each page and wraps every text."""
    prefix = "small " if table.small else ""
    head = [
        para(t, f"{prefix}number head" if i in table.numeric else f"{prefix}head") for i, t in enumerate(table.head)
    ]
    body = [
        [_cell(t, f"{prefix}{'number' if i in table.numeric else 'cell'}") for i, t in enumerate(row)]
        for row in table.rows
    ]
    shares = table.shares or _shares(table, style(f"{prefix}cell").fontSize, width)
    pad = 1.2 if table.small else 2.4
    look = [
        FONT,
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, ACCENT),
        ("LINEBELOW", (0, 1), (-1, -1), 0.25, RULE),
        ("TOPPADDING", (0, 0), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
    ]
    look += [
        ("RIGHTPADDING", (i, 0), (i, -1), 12)
        for i in table.numeric
        if i + 1 < len(table.head) and i + 1 not in table.numeric
    ]
    look += _no_row_alone(table)
    return tagged_table(
        [head, *body],
        hAlign="LEFT",
        colWidths=[width * s for s in shares],
        style=look,
        repeatRows=1,
        splitInRow=1,
        spaceAfter=8,
        spaceBefore=2,
    )


_FEW_ROWS = 4  # a table of no more may break anywhere
_SHORT_CELL = 200  # letters of a cell up to which its row is surely far lower than a page


def _no_row_alone(table: HeadedTable) -> list[Any]:
    """At the foot of a page stand two rows beneath a head at least, and two go over to the next."""
    longest = max((len(_letters(t)) for row in table.rows for t in row), default=0)
    if len(table.rows) <= _FEW_ROWS or longest > _SHORT_CELL:
        return []
    return [("NOSPLIT", (0, 0), (-1, 2)), ("NOSPLIT", (0, -2), (-1, -1))]


def _cell(text: str | Marked, name: str) -> Flowable:
    return rich(text.markup, name) if isinstance(text, Marked) else para(text, name)


def _letters(text: str | Marked) -> str:
    return plain(text.plain if isinstance(text, Marked) else text)


def _shares(table: HeadedTable, size: float, width: float) -> list[float]:
    """A share of the width for each column: what its longest text asks for, but no column starves the others."""
    wanted = []
    for column in zip(table.head, *table.rows, strict=True):
        texts = [_letters(t) for t in column]
        longest = max(stringWidth(t.replace("\n", " "), fonts.BOLD, size) for t in texts) + 7.0
        word = max(stringWidth(w, fonts.BOLD, size) for t in texts for w in (t.split() or [""])) + 7.0
        least = min(word, width / len(table.head))
        wanted.append((least, max(min(longest, 0.55 * width), least)))
    spare = width - sum(least for least, _ in wanted)
    asked = sum(want - least for least, want in wanted) or 1.0
    widths = [least + (want - least) * spare / asked for least, want in wanted]
    return [w / sum(widths) for w in widths]


# ---- the document ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class RunningLines:
    """What stands on each page, and what the file says of itself."""

    title: str
    left: str  # header, left
    right: str  # header, right
    footer: str
    draft: bool
    page_size: tuple[float, float]
    subject: str = ""
    author: str = ""
    creation: tuple[int, ...] = field(default=(2000, 1, 1, 0, 0, 0))  # year to second, UTC


def frame_width(page_size: tuple[float, float]) -> float:
    """Width [pt] between the margins."""
    return page_size[0] - 2 * MARGIN


def frame_height(page_size: tuple[float, float]) -> float:
    """Height [pt] between the running lines."""
    return page_size[1] - 2 * MARGIN - HEADER - FOOTER


def height_of(flowables: Sequence[Flowable], width: float) -> float:
    """Height [pt] that flowables take one beneath the other, the room between them included."""
    return float(_listWrapOn(list(_loose(flowables)), width, None)[1])


def _loose(flowables: Iterable[Flowable]) -> Iterator[Flowable]:
    """What is kept together, one by one: as a whole the library says it is higher than any page."""
    for one in flowables:
        if isinstance(one, KeepTogether):
            yield from _loose(one._content)
        else:
            yield one


def compose(story: Sequence[Flowable], running: RunningLines) -> bytes:
    """The pages as a PDF; the same story and the same running lines give the same bytes."""
    fonts.register()
    rl_config.useA85 = 0  # streams stay binary: a fifth smaller
    buffer = BytesIO()
    document = _Document(buffer, running)
    with _DRAWN_BY_ONE:
        document.build(_bound(story), canvasmaker=partial(TaggedCanvas, running.creation))
    return buffer.getvalue()


_DRAWN_BY_ONE = Lock()  # formulas are kept between reports, and the library marks their shapes while it draws them


def _bound(story: Sequence[Flowable]) -> list[Flowable]:
    """The story with each heading tied to what follows it.

    The library would move a heading with a whole table to the next page. Here a heading wants some room beneath it,
    or, before flowables that stay together, stays with those.
    """
    bound: list[Flowable] = []
    for one in story:
        tied: list[Flowable] = []
        if isinstance(one, KeepTogether):
            while bound and getattr(bound[-1], "outline", None) is not None:
                tied.insert(0, bound.pop())
        if getattr(one, "outline", None) is not None and not (bound and getattr(bound[-1], "outline", None)):
            bound.append(CondPageBreak(HEADING_ROOM))
        bound.append(KeepTogether([*tied, *one._content]) if tied else one)
    return bound


class _Document(BaseDocTemplate):  # type: ignore[misc]  # the page library carries no types
    """One frame to a page, running lines around it, and the outline."""

    def __init__(self, buffer: BytesIO, running: RunningLines) -> None:
        width, height = running.page_size
        self.running = running
        self._outline_level = -1
        inner = Frame(MARGIN, MARGIN + FOOTER, width - 2 * MARGIN, height - 2 * MARGIN - HEADER - FOOTER, 0, 0, 0, 0)
        super().__init__(
            buffer,
            pagesize=running.page_size,
            title=plain(running.title)[:LONGEST_TITLE],
            author=plain(running.author)[:LONGEST_TITLE],
            subject=plain(running.subject)[:LONGEST_TITLE],
            creator="Heatdocket",
            lang="en",
            invariant=1,
            pageCompression=1,
            displayDocTitle=True,
        )
        self.addPageTemplates(PageTemplate("page", [inner], onPage=self._running_lines))

    def afterFlowable(self, flowable: Flowable) -> None:  # the page library's name
        """Put a heading into the outline."""
        outline = getattr(flowable, "outline", None)
        if outline is None:
            return
        text, level = outline
        level = min(level, self._outline_level + 1)
        self._outline_level = level
        top = min(self.frame._y + flowable.height + ABOVE_HEADING, self.canv._pagesize[1])
        self.canv.outline_heading(" ".join(text.split())[:LONGEST_TITLE], level, top)

    def handle_documentBegin(self) -> None:  # the page library's name
        """Open with the outline shown."""
        super().handle_documentBegin()
        self.canv.showOutline()
        self.canv.before_saving = _define_pages_of

    def _running_lines(self, canvas: TaggedCanvas, _document: BaseDocTemplate) -> None:
        with canvas.artifact():
            canvas.saveState()
            if self.running.draft:
                _draft(canvas, self.running.page_size)
            _lines(canvas, self.running)
            canvas.restoreState()


def _draft(canvas: TaggedCanvas, page_size: tuple[float, float]) -> None:
    width, height = page_size
    canvas.saveState()
    canvas.setFillColor(DRAFT_INK)
    canvas.setFont(fonts.BOLD, 130)
    canvas.translate(width / 2, height / 2)
    canvas.rotate(52)
    canvas.drawCentredString(0, -45, "DRAFT")
    canvas.restoreState()


def _lines(canvas: TaggedCanvas, running: RunningLines) -> None:
    width, height = running.page_size
    inner = width - 2 * MARGIN
    top, bottom = height - MARGIN - 8, MARGIN
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.5)
    canvas.line(MARGIN, top - 6, width - MARGIN, top - 6)
    canvas.line(MARGIN, bottom + 12, width - MARGIN, bottom + 12)
    canvas.setFillColor(MUTED)
    canvas.setFont(fonts.REGULAR, 8)
    canvas.drawString(MARGIN, top, shortened(running.left, fonts.REGULAR, 8, inner * 0.58))
    canvas.drawRightString(width - MARGIN, top, shortened(running.right, fonts.REGULAR, 8, inner * 0.4))
    draft = "DRAFT, not signed.  " if running.draft else ""
    canvas.drawString(MARGIN, bottom, shortened(draft + running.footer, fonts.REGULAR, 8, inner * 0.75))
    canvas.saveState()
    canvas.translate(width - MARGIN, bottom)
    canvas.doForm(PAGE_OF.format(page=canvas.getPageNumber()))
    canvas.restoreState()


def _define_pages_of(canvas: TaggedCanvas, pages: int) -> None:
    """What each page says of its number, now that their count is known."""
    for page in range(1, pages + 1):
        canvas.beginForm(PAGE_OF.format(page=page), -120, -4, 0, 12)
        canvas.setFillColor(MUTED)
        canvas.setFont(fonts.REGULAR, 8)
        canvas.drawRightString(0, 0, f"page {page} of {pages}")
        canvas.endForm()
