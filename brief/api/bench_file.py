"""The fret table as one HTML file, to keep on the phone: at the bench the computer may be off."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from brief.api.desks import ReadingDesk
from brief.api.html_file import as_download, file_name, inlined, script_text
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.templates import Pages, pages_of
from brief.services import nouns
from brief.services.drawing import in_numbers
from brief.store.desk import Desk
from brief.store.records import Brief

router = Router(prefix="/api/briefs/{brief_id}", tags=["briefs"])
STYLES = ("css/paper.css", "css/sheet.css")


def bench_file(pages: Pages, desk: Desk, brief: Brief) -> bytes:
    """The frets in big digits, to be ticked off; what is ticked stays in the browser."""
    # Wired by the page's own module, which imports nothing: a file from the disk may not.
    script = f"{script_text('instrument/bench.js')}\nwireBench();\n"
    return pages.text(
        "bench_file.html",
        *in_numbers.bench(desk, brief),
        brief=brief,
        inlined=inlined(STYLES, script),
    ).encode()


@router.get(
    "/frets.html",
    summary="The fret table as one HTML file that opens without a network, for the bench",
    response_class=Response,
    responses={200: {"content": {"text/html": {}}}, **responses(404)},
)
def frets(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """The fret table as one HTML file."""
    brief = nouns.briefs.get(desk, brief_id)
    return as_download(bench_file(pages_of(request), desk, brief), file_name(brief, "frets.html"))
