"""What every PDF of this program has: its fonts in it, its language and title, what colours mean.

A `PrintedCanvas` carries no font that is not embedded, says what its numbers of colour mean (sRGB,
as an output intent) and what it is (XMP), and can be read aloud: what is drawn within `tagged` is a
structure element, all else an artifact (ISO 32000, 14.3, 14.8, 14.11.5). ReportLab writes none of
that by itself, so that it is added to its document before it is saved. No standard for archives or
printers is claimed, since nothing here could check one.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal
from xml.sax.saxutils import escape

from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFName,
    PDFStream,
    PDFString,
)
from reportlab.pdfgen.canvas import Canvas

from brief.english import LANGUAGE
from brief.letters import Font, embedded, one_line

MADE_BY = "The Luthier's Brief"
FIRST: Font = "Sans"  # of every page, before another is asked for
Kind = Literal["H1", "H2", "P", "Figure", "TH", "TD"]
GroupKind = Literal["Table", "TR", "TH", "TD", "L", "LI", "LBody"]
Scope = Literal["Column", "Row"]
"""Of which cells a head of a table is one."""
CONDITION = "sRGB IEC61966-2.1"


@dataclass(eq=False)
class _Element:
    """A structure element, of content in its `place` on a page or of other elements.

    alt : what stands for a picture that is not seen.
    """

    kind: str
    alt: str = ""
    scope: Scope | None = None
    page: int = 0
    place: int | None = None
    within: list[_Element] = field(default_factory=list)


class PrintedCanvas(Canvas):  # type: ignore[misc]
    """A canvas for what is printed; `title` and `subject` are any text, the rest ReportLab's."""

    def __init__(self, file: Any, *, title: str = "", subject: str = "", **given: Any) -> None:
        embedded(FIRST)
        self._open = [_Element("Document")]  # elements that are being drawn, each in the one before
        self._on_page = 0  # marks of the page that is being drawn
        self._within = False
        standing = {"invariant": 1, "pageCompression": 1, "lang": LANGUAGE}
        asked = {name: value for name, value in given.items() if value is not None}
        super().__init__(file, **(standing | asked | {"initialFontName": FIRST}))
        self.setCreator(MADE_BY)
        self.setAuthor("")
        self.setSubject(one_line(subject))
        if title:
            self.setTitle(one_line(title))
        self.setViewerPreference("DisplayDocTitle", "true")

    @contextmanager
    def tagged(self, kind: Kind, alt: str = "", scope: Scope | None = None) -> Iterator[None]:
        """What is drawn within is one heading, paragraph, cell or figure.

        Within another one it is part of that. alt : what a figure shows. scope : of a head.
        """
        if self._within:
            yield
            return
        self._within = True
        self._code.append(f"/{kind} <</MCID {self._on_page}>> BDC")
        yield
        self._code.append("EMC")
        self._open[-1].within.append(
            _Element(kind, one_line(alt), scope, self._pageNumber, self._on_page)
        )
        self._on_page += 1
        self._within = False

    @contextmanager
    def grouped(self, kind: GroupKind, scope: Scope | None = None) -> Iterator[None]:
        """What is tagged within belongs together: a table, its row, a cell with its paragraphs."""
        self.begin(kind, scope)
        yield
        self.end()

    def begin(self, kind: GroupKind, scope: Scope | None = None) -> None:
        """Begin such a group, where it ends elsewhere in the code."""
        group = _Element(kind, scope=scope)
        self._open[-1].within.append(group)
        self._open.append(group)

    def end(self) -> None:
        """End the group that was begun last."""
        self._open.pop()

    @contextmanager
    def item(self) -> Iterator[None]:
        """What is tagged within is one item of a list; items one after the other are one list."""
        beside = self._open[-1].within
        if not beside or beside[-1].kind != "L":
            beside.append(_Element("L"))
        self._open.append(beside[-1])
        with ExitStack() as both:
            both.enter_context(self.grouped("LI"))
            both.enter_context(self.grouped("LBody"))
            yield
        self.end()

    def showPage(self) -> None:  # noqa: N802 (as ReportLab calls it)
        """End the page; what was drawn outside of all elements is an artifact."""
        self._code[:] = _artifacts(self._code)
        super().showPage()
        self._on_page = 0

    def save(self) -> None:
        """End the last page and write the file."""
        if len(self._code):
            self.showPage()
        document = self._doc
        catalog = document.Catalog
        catalog.Metadata = _metadata(document.info.title, document.info.subject)
        catalog.__Defaults__ = {
            **catalog.__Defaults__,
            "OutputIntents": PDFArray([document.Reference(_intent(document))]),
        }
        whole = self._open[0]
        if whole.within:
            catalog.MarkInfo = PDFDictionary({"Marked": "true"})
            catalog.StructTreeRoot = _structure(document, whole)
        super().save()


def _artifacts(code: list[str]) -> list[str]:
    """Content with what is outside of marked elements marked as an artifact."""
    marked: list[str] = []
    outside: list[str] = []

    def end() -> None:
        if outside:
            marked.extend(["/Artifact BMC", *outside, "EMC"])
            outside.clear()

    inside = False
    for line in code:
        if line.endswith(" BDC"):
            end()
            inside = True
        (marked if inside else outside).append(line)
        if inside and line == "EMC":
            inside = False
    end()
    return marked


def _metadata(title: str, subject: str) -> PDFStream:
    """XMP (ISO 16684-1): what it is called, in which language."""

    def said(name: str, text: str) -> str:
        item = f'<rdf:li xml:lang="x-default">{escape(text)}</rdf:li>'
        return f"<dc:{name}><rdf:Alt>{item}</rdf:Alt></dc:{name}>" if text else ""

    xmp = (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/">'
        '<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">'
        f"<dc:format>application/pdf</dc:format>{said('title', title)}"
        f"{said('description', subject)}"
        f"<dc:language><rdf:Bag><rdf:li>{LANGUAGE}</rdf:li></rdf:Bag></dc:language>"
        '</rdf:Description></rdf:RDF></x:xmpmeta><?xpacket end="r"?>'
    )
    kinds = PDFDictionary({"Type": PDFName("Metadata"), "Subtype": PDFName("XML")})
    return PDFStream(kinds, xmp.encode(), filters=[])


def _intent(document: Any) -> PDFDictionary:
    """That colours are sRGB, with the profile itself."""
    profile = PDFStream(PDFDictionary({"N": 3}), _srgb())
    return PDFDictionary(
        {
            "Type": PDFName("OutputIntent"),
            "S": PDFName("GTS_PDFA1"),
            "OutputConditionIdentifier": PDFString(CONDITION),
            "Info": PDFString(CONDITION),
            "DestOutputProfile": document.Reference(profile),
        }
    )


@cache
def _srgb() -> bytes:
    """The ICC profile of sRGB, which Little CMS makes, without the hour that it was made at."""
    from PIL import ImageCms

    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    made[24:36] = bytes((7, 208, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0))  # 1 January 2000 (ICC.1, 7.2.8)
    return bytes(made)


def _structure(document: Any, whole: _Element) -> PDFDictionary:
    """The tree of elements under the document, and the way back from each page."""
    pages = document.Pages.pages
    of_page: dict[int, dict[int, Any]] = {}

    def made(one: _Element, parent: PDFDictionary) -> Any:
        entries = {
            "Type": PDFName("StructElem"),
            "S": PDFName(one.kind),
            "P": document.Reference(parent),
        }
        if one.alt:
            entries["Alt"] = PDFString(one.alt)
        if one.scope:
            scope = {"O": PDFName("Table"), "Scope": PDFName(one.scope)}
            entries["A"] = PDFDictionary(scope)
        element = PDFDictionary(entries)
        itself = document.Reference(element)
        if one.place is not None:
            element.dict["Pg"] = document.Reference(pages[one.page - 1])
            element.dict["K"] = one.place
            of_page.setdefault(one.page - 1, {})[one.place] = itself
        elif one.within:
            element.dict["K"] = PDFArray([made(other, element) for other in one.within])
        return itself

    root = PDFDictionary({"Type": PDFName("StructTreeRoot")})
    root.dict["K"] = PDFArray([made(whole, root)])
    numbers: list[Any] = []
    for place, those in sorted(of_page.items()):
        page = pages[place]
        page.__Defaults__ = {**page.__Defaults__, "StructParents": place, "Tabs": PDFName("S")}
        numbers += [place, PDFArray([those[i] for i in sorted(those)])]
    root.dict["ParentTree"] = document.Reference(PDFDictionary({"Nums": PDFArray(numbers)}))
    return root
