"""Prints the demo's documents: `python -m demo_assets.render.documents`.

All that they say is invented.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from reportlab.lib.units import mm
from reportlab.platypus import KeepInFrame, Spacer

from brief.paper.page import Rule, text, type_of
from brief.printed import PrintedCanvas

DOCUMENTS = Path(__file__).resolve().parent.parent / "documents"
LINES = {
    "stand-booking": (
        "Sallowhithe Makers’ Fair",
        "Stand 12, the old net loft, by the north window",
        "Building up from 13:00 on the eve. Open 10:00 to 18:00, on the second day to 17:00.",
        "One table, one chair, one socket. Paid.",
        "This fair, its hall and this booking are invented.",
    ),
}


def document(lines: tuple[str, ...]) -> bytes:
    """One page of A5: a title, and lines below it."""
    file = BytesIO()
    wide, high = 148 * mm, 210 * mm
    canvas = PrintedCanvas(file, title=lines[0], pagesize=(wide, high))
    told = [Rule(accent=True), Spacer(0, 5 * mm), text(lines[0], type_of(20, spaceAfter=10))]
    told += [text(one, type_of(11, spaceAfter=6)) for one in lines[1:]]
    frame = KeepInFrame(wide - 36 * mm, high - 40 * mm, told)
    _, used = frame.wrapOn(canvas, wide - 36 * mm, high - 40 * mm)
    frame.drawOn(canvas, 18 * mm, high - 22 * mm - used)
    canvas.showPage()
    canvas.save()
    return file.getvalue()


if __name__ == "__main__":
    DOCUMENTS.mkdir(exist_ok=True)
    for name, lines in LINES.items():
        (DOCUMENTS / f"{name}.pdf").write_bytes(document(lines))
