"""Tagged content: which marks on a page are a heading, a paragraph, a cell, a picture, and which are ornament.

The page library draws but does not tag. This adds the structure tree of ISO 32000-2 clause 14.7: each flowable opens a
structure element and wraps what it draws in marked content; running lines, rules and the DRAFT mark are artifacts, so
that a screen reader passes over them. It also writes the XMP metadata that PDF 2.0 asks for (clause 14.3), dated by
the time handed in. The file says that it is PDF/UA-2 (ISO 14289-2), so headings of the outline lead to elements and
the elements are those of PDF 2.0. Signature fields come in later, beneath the captions (:mod:`reports.tagged_fields`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.utils import TimeStamp
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph, Table
from reportlab.platypus.flowables import Flowable

from engcalc.words.texts import report_texts

PDF_VERSION = (2, 0)  # ISO 32000-2
PDF_UA = ("2", "2024")  # part and year of ISO 14289
ELEMENTS_OF_PDF_2 = "http://iso.org/pdf2/ssn"  # ISO 32000-2 clause 14.8.6: whose names the roles are
HEADINGS = frozenset({"H1", "H2", "H3"})


@dataclass(eq=False)
class _Node:
    """A structure element: its role, what it holds (elements, or page and mark numbers), and words in its place."""

    role: str
    number: int
    parent: _Node | None
    kids: list[_Node | tuple[int, int]] = field(default_factory=list)
    alternative: str = ""
    heads: str = ""  # of a head of a table: Column or Row, whichever it stands for (ISO 32000-2 table 384)
    title: str = ""  # of an element that is to be found again


class TaggedCanvas(Canvas):  # type: ignore[misc]  # the page library carries no types
    """A canvas that writes PDF 2.0 with a structure tree; ``creation`` is year to second, UTC."""

    def __init__(self, creation: tuple[int, ...], filename: Any, **options: Any) -> None:
        options["pdfVersion"] = PDF_VERSION
        super().__init__(filename, **options)
        self._doc._timeStamp = _stamp(creation)
        self._creation = creation
        self._nodes: list[_Node] = []
        self._marks: list[list[_Node]] = [[]]  # of each page, the element of each mark
        self.before_saving: Callable[[TaggedCanvas, int], None] | None = None
        self._in_artifact = False
        self._open = [self._node("Document", None)]
        self._doc.outline = self._doc.Outlines = self._doc.Catalog.Outlines = _Outlines(self._led_to)
        self._headings: dict[str, _Node] = {}

    def _node(self, role: str, parent: _Node | None) -> _Node:
        node = _Node(role, len(self._nodes), parent)
        self._nodes.append(node)
        if parent is not None:
            parent.kids.append(node)
        return node

    @contextmanager
    def element(self, role: str, alternative: str = "", heads: str = "", title: str = "") -> Iterator[None]:
        """What is drawn meanwhile belongs to an element of this role; ``alternative`` says a picture in words,
        ``heads`` whether a head of a table stands for its Column or its Row, ``title`` by what it is found again."""
        if self._in_artifact:
            yield
            return
        node = self._node(role, self._open[-1])
        node.alternative, node.heads, node.title = alternative, heads, title
        self._open.append(node)
        try:
            yield
        finally:
            self._open.pop()

    @contextmanager
    def content(self) -> Iterator[None]:
        """What is drawn meanwhile is content of the element that is open."""
        if self._in_artifact:
            yield
            return
        page, node = len(self._marks) - 1, self._open[-1]
        mark = len(self._marks[page])
        self._marks[page].append(node)
        node.kids.append((page, mark))
        self._code.append(f"/{node.role} <</MCID {mark}>> BDC")
        try:
            yield
        finally:
            self._code.append("EMC")

    @contextmanager
    def artifact(self) -> Iterator[None]:
        """What is drawn meanwhile is ornament."""
        if self._in_artifact:
            yield
            return
        self._in_artifact = True
        self._code.append("/Artifact BMC")
        try:
            yield
        finally:
            self._code.append("EMC")
            self._in_artifact = False

    def outline_heading(self, text: str, level: int, top: float) -> None:
        """A line of the outline that leads to the heading drawn last, ``top`` [pt] at the top of the window."""
        heading = next(node for node in reversed(self._nodes) if node.role in HEADINGS)
        key = _name(heading)
        self._headings[key] = heading
        self.bookmarkPage(key, fit="XYZ", left=0, top=top)
        self.addOutlineEntry(text, key, level)

    def _led_to(self, place: Any) -> Any:
        """The structure destination beside a place on a page (ISO 32000-2 clause 12.3.2.3)."""
        heading = self._headings[place.name]
        form = place.fmt
        return pdfdoc.PDFArray([_reference(heading), pdfdoc.PDFName("XYZ"), form.left, form.top, form.zoom])

    def showPage(self) -> None:  # the page library's name
        """Finish the page and note where its marks belong."""
        super().showPage()
        page = self._doc.Pages.pages[-1]
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents = len(self._marks) - 1
        page.Tabs = pdfdoc.PDFName("S")
        self._marks.append([])

    def save(self) -> None:
        """Write the file, its structure tree and its metadata."""
        if len(self._code):
            self.showPage()
        if self.before_saving is not None:
            self.before_saving(self, len(self._doc.Pages.pages))
        self._write_tree()
        self._doc.Catalog.Metadata = pdfdoc.XMP(creator=lambda doc: _xmp(doc.info, self._creation))
        super().save()

    def _write_tree(self) -> None:
        document = self._doc
        pages = document.Pages.pages
        names = pdfdoc.PDFDictionary({"Type": pdfdoc.PDFName("Namespace"), "NS": pdfdoc.PDFString(ELEMENTS_OF_PDF_2)})
        namespace = document.Reference(names, "structure namespace")
        for node in self._nodes:
            document.Reference(_element(node, pages, document, namespace), _name(node))
        tree = pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("StructTreeRoot"),
                "K": _reference(self._nodes[0]),
                "Namespaces": pdfdoc.PDFArray([namespace]),
                "ParentTree": document.Reference(pdfdoc.PDFDictionary({"Nums": self._owners()}), "owners of marks"),
                "ParentTreeNextKey": len(pages),
            }
        )
        document.Reference(tree, "structure tree")
        document.Catalog.StructTreeRoot = tree
        document.Catalog.MarkInfo = pdfdoc.PDFDictionary({"Marked": "true"})

    def _owners(self) -> Any:
        """Page by page the elements to which its marks belong; each page's list stands alone, so that what adds to
        the table later need not write them all again."""
        numbers = pdfdoc.PDFArray([])
        for page, marks in enumerate(self._marks[: len(self._doc.Pages.pages)]):
            owners = pdfdoc.PDFArray([_reference(node) for node in marks])
            numbers.sequence += [
                page,
                self._doc.Reference(owners, report_texts.OWNERS_OF_MARKS_ON_PAGE.format(page=page)),
            ]
        return numbers


class _Outlines(pdfdoc.PDFOutlines):  # type: ignore[misc]  # the page library carries no types
    """The library's outline, whose lines lead to elements of the tree, and to places for programs that know no tree."""

    def __init__(self, element_at: Callable[[Any], Any]) -> None:
        super().__init__()
        self._element_at = element_at

    def prepare(self, document: Any, canvas: Any) -> None:  # the page library's name
        """Make the lines."""
        super().prepare(document, canvas)
        objects = document.idToObject
        for name, line in objects.items():
            if isinstance(line, pdfdoc.OutlineEntryObject):
                objects[name] = _OutlineLine(line, self._element_at(line.Dest))


class _OutlineLine(pdfdoc.PDFObject):  # type: ignore[misc]  # the page library carries no types
    """A line of the outline with an action in place of the library's bare destination."""

    def __init__(self, line: Any, element: Any) -> None:
        self._line, self._element = line, element

    def format(self, document: Any) -> Any:
        """As it stands in the file."""
        line = self._line
        action = {"S": pdfdoc.PDFName("GoTo"), "D": line.Dest, "SD": self._element}
        said = {"Title": pdfdoc.PDFString(line.Title), "Parent": line.Parent, "A": pdfdoc.PDFDictionary(action)}
        for key in ("Prev", "Next", "First", "Last", "Count"):
            if getattr(line, key) is not None:
                said[key] = getattr(line, key)
        return pdfdoc.PDFDictionary(said).format(document)


def _name(node: _Node) -> str:
    return f"structure element {node.number}"


def _reference(node: _Node) -> Any:
    return pdfdoc.PDFObjectReference(_name(node))


def _element(node: _Node, pages: list[Any], document: Any, namespace: Any) -> Any:
    parent = pdfdoc.PDFObjectReference("structure tree") if node.parent is None else _reference(node.parent)
    said: dict[str, Any] = {
        "Type": pdfdoc.PDFName("StructElem"),
        "S": pdfdoc.PDFName(node.role),
        "P": parent,
        "NS": namespace,
        "K": pdfdoc.PDFArray([_kid(kid, pages, document) for kid in node.kids]),
    }
    if node.alternative:
        said["Alt"] = pdfdoc.PDFString(node.alternative)
    if node.heads:
        scope = {"O": pdfdoc.PDFName("Table"), "Scope": pdfdoc.PDFName(node.heads)}
        said["A"] = pdfdoc.PDFDictionary(scope)
    if node.title:
        said["T"] = pdfdoc.PDFString(node.title)
    return pdfdoc.PDFDictionary(said)


def _kid(kid: _Node | tuple[int, int], pages: list[Any], document: Any) -> Any:
    if isinstance(kid, _Node):
        return _reference(kid)
    page, mark = kid
    return pdfdoc.PDFDictionary({"Type": pdfdoc.PDFName("MCR"), "Pg": document.Reference(pages[page]), "MCID": mark})


def _stamp(creation: tuple[int, ...]) -> Any:
    """The page library's own time stamp, with our time in it: it can only read the clock or the environment."""
    stamp = TimeStamp(invariant=1)
    stamp.YMDhms = creation
    stamp.lt = (*creation, 0, 0, 0)
    return stamp


def _xmp(info: Any, creation: tuple[int, ...]) -> bytes:
    """The metadata stream; it says what the information dictionary says."""
    year, month, day, hour, minute, second = creation
    date = f"{year:04d}-{month:02d}-{day:02d}T{hour:02d}:{minute:02d}:{second:02d}Z"
    title, author, subject = (escape(str(text)) for text in (info.title, info.author, info.subject))
    part, revision = PDF_UA
    return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<pdfuaid:part>{part}</pdfuaid:part>
<pdfuaid:rev>{revision}</pdfuaid:rev>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:creator><rdf:Seq><rdf:li>{author}</rdf:li></rdf:Seq></dc:creator>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{subject}</rdf:li></rdf:Alt></dc:description>
<dc:language><rdf:Bag><rdf:li>en</rdf:li></rdf:Bag></dc:language>
<xmp:CreatorTool>Heatdocket</xmp:CreatorTool>
<xmp:CreateDate>{date}</xmp:CreateDate>
<xmp:ModifyDate>{date}</xmp:ModifyDate>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>""".encode()


# ---- flowables that tag themselves -----------------------------------------------------------------------------------


class TaggedParagraph(Paragraph):  # type: ignore[misc]  # the page library carries no types
    """A paragraph that is an element of the tree; ``outline`` is text and level of its line in the outline."""

    role = "P"
    outline: tuple[str, int] | None = None

    def __init__(
        self,
        text: str | None,
        style: Any = None,
        *,
        role: str = "P",
        outline: tuple[str, int] | None = None,
        **options: Any,
    ) -> None:
        self.role, self.outline = role, outline
        super().__init__(text, style, **options)

    def breakLines(self, width: Any) -> Any:  # the page library's name
        """Its lines, none of them lower for a sign that is set larger: the dot over a capital is."""
        found = super().breakLines(width)
        for line in found.lines:
            if getattr(line, "fontSize", 0.0) > self.style.fontSize:
                line.fontSize = self.style.fontSize
        return found

    def draw(self) -> None:
        """Draw within an element of the role."""
        with self.canv.element(self.role), self.canv.content():
            super().draw()


class Tagged(Flowable):  # type: ignore[misc]  # the page library carries no types
    """Another flowable, such as a picture, as an element of its own with words in its place.

    One that is higher than ``highest`` [pt] is drawn smaller.
    """

    def __init__(self, inner: Any, role: str, alternative: str, highest: float = 560.0) -> None:
        super().__init__()
        self.inner, self.role, self.alternative, self.highest = inner, role, alternative, highest
        self.scale = 1.0
        self.hAlign = getattr(inner, "hAlign", "LEFT")

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """The size of what is inside."""
        inner_width, inner_height = self.inner.wrapOn(self.canv, width, height)
        self.scale = min(1.0, self.highest / max(inner_height, 1.0))
        self.width, self.height = inner_width * self.scale, inner_height * self.scale
        return self.width, self.height

    def getSpaceBefore(self) -> float:  # the page library's name
        """Room above, as the inner flowable wants it."""
        return float(self.inner.getSpaceBefore())

    def getSpaceAfter(self) -> float:  # the page library's name
        """Room below, as the inner flowable wants it."""
        return float(self.inner.getSpaceAfter())

    def draw(self) -> None:
        """Draw what is inside within an element of the role."""
        with self.canv.element(self.role, self.alternative), self.canv.content():
            self.canv.scale(self.scale, self.scale)
            self.inner.drawOn(self.canv, 0, 0)


def tagged_table(rows: Any, *, layout: bool = False, **options: Any) -> Any:
    """A table whose rows and cells are elements; ``layout`` says that it only arranges what stands in it."""
    return Table(rows, renderCB=_layout_tags if layout else _table_tags, **options)


def _table_tags(table: Any, moment: str, *where: Any) -> None:
    """Open and close elements at the moments that the page library's table announces."""
    opened, heads_of = {"startTable": "Table", "startRow": "TR"}.get(moment), ""
    if moment == "startCell":
        row, column = where[0], where[1]
        heads = table.repeatRows if isinstance(table.repeatRows, int) else len(table.repeatRows)
        heads_of = "Column" if row < heads else "Row" if heads == 0 and column == 0 else ""
        opened = "TH" if heads_of else "TD"
    _open_or_close(table, moment, opened, heads_of)


def _layout_tags(table: Any, moment: str, *_where: Any) -> None:
    _open_or_close(table, moment, "Div" if moment == "startTable" else None)


def _open_or_close(table: Any, moment: str, role: str | None, heads: str = "") -> None:
    stack = table.__dict__.setdefault("_tags", [])
    if role is not None:
        _enter(stack, table.canv.element(role, heads=heads))
    elif moment in ("startBG", "startLines"):
        _enter(stack, table.canv.artifact())
    elif moment in ("endBG", "endLines") or (moment.startswith("end") and _closes(table, moment)):
        stack.pop().__exit__(None, None, None)


def _closes(table: Any, moment: str) -> bool:
    """Whether the moment closes an element that its start opened; a layout opens none but the outermost."""
    return moment == "endTable" or table._renderCB is _table_tags


def _enter(stack: list[Any], context: Any) -> None:
    context.__enter__()
    stack.append(context)
