"""A picture of an instrument as a file that stands alone: under its light, and as PDF.

A page leaves light and eyes to a filter of its own; a file has to carry it.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from xml.etree import ElementTree as ET

from brief.instrument.rendering.raster import SVG
from brief.letters import embedded, printable

# Of the PDF, an upright A4 (ISO 216); points of 1/72 inch (ISO 32000).
POINT_MM = 25.4 / 72
PAGE_MM, EDGE_MM, LINE_MM, TEXT_MM = (210.0, 297.0), 15.0, 5.0, 3.2
JPEG_QUALITY = 93


def seen_by(svg: str, matrix: str) -> str:
    """The drawing under a light and to eyes.

    `matrix` is the values of an feColorMatrix on linear sRGB.
    """
    root = _read(svg)
    left, top, width, height = root.get("viewBox", "").split()
    box = {"x": left, "y": top, "width": width, "height": height}
    ident = {"id": "seen-as", "filterUnits": "userSpaceOnUse"}
    linear = {"color-interpolation-filters": "linearRGB"}
    drawn = list(root)
    group = ET.SubElement(root, f"{{{SVG}}}g", {"filter": "url(#seen-as)"})
    for one in drawn:
        root.remove(one)
        group.append(one)
    seen = ET.SubElement(root, f"{{{SVG}}}filter", ident | box | linear)
    ET.SubElement(seen, f"{{{SVG}}}feColorMatrix", {"type": "matrix", "values": matrix})
    return ET.tostring(root, encoding="unicode")


def _read(svg: str) -> ET.Element:
    ET.register_namespace("", SVG)
    return ET.fromstring(svg)


def as_picture_pdf(png: bytes, title: str, lines: Sequence[str]) -> bytes:
    """A picture on an upright A4, with a title and some lines below it."""
    from PIL import Image
    from reportlab.lib.utils import ImageReader

    from brief.instrument.plans.files.pdf import FONT
    from brief.printed import PrintedCanvas

    embedded(FONT)
    said = [printable(line, FONT) for line in (title, *lines)]
    jpeg = io.BytesIO()
    with Image.open(io.BytesIO(png)) as picture:
        picture.convert("RGB").save(jpeg, "JPEG", quality=JPEG_QUALITY, subsampling=0)
    jpeg.seek(0)
    width, height = PAGE_MM
    file = io.BytesIO()
    size = (width / POINT_MM, height / POINT_MM)
    canvas = PrintedCanvas(file, title=said[0], pagesize=size)
    canvas.scale(1 / POINT_MM, 1 / POINT_MM)
    foot = EDGE_MM + LINE_MM * len(said)
    with canvas.tagged("Figure", said[0]):
        canvas.drawImage(
            ImageReader(jpeg),
            EDGE_MM,
            foot + LINE_MM,
            width - 2 * EDGE_MM,
            height - foot - LINE_MM - EDGE_MM,
            preserveAspectRatio=True,
            anchor="c",
        )
    for place, line in enumerate(said):
        canvas.setFont(FONT, TEXT_MM if place else 1.3 * TEXT_MM)
        with canvas.tagged("P" if place else "H1"):
            canvas.drawString(EDGE_MM, foot - LINE_MM * (place + 0.5), line)
    canvas.save()
    return file.getvalue()
