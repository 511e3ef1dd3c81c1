"""The code that a phone's camera reads to open the brief."""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

from fastapi import Request
from fastapi.responses import Response

from brief.api.routing import Router
from brief.errors import NotFound

if TYPE_CHECKING:
    from segno import QRCode

router = Router(include_in_schema=False)


def qr_of(address: str) -> QRCode:
    """A QR code (ISO/IEC 18004), error correction M: 15 in 100 of it may be soiled or glare."""
    import segno

    return segno.make_qr(address, error="m")


@router.get("/on-the-phone.svg")
def code(request: Request) -> Response:
    """The QR code of this program's address, an SVG."""
    addresses = request.app.state.settings.addresses
    if not addresses:
        raise NotFound("This program answers only the computer it runs on.")
    drawn = BytesIO()
    qr_of(addresses[0]).save(
        drawn, kind="svg", light="#fff", omitsize=True, svgclass=None, lineclass=None
    )
    return Response(drawn.getvalue(), media_type="image/svg+xml")
