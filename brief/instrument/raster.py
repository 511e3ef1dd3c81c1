"""Our own SVG as pixels, with the photographs it points at."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from functools import cache
from io import BytesIO
from xml.etree import ElementTree as ET

SVG = "http://www.w3.org/2000/svg"


def as_png(svg: str, *, width_px: int, picture: Callable[[str], bytes]) -> bytes:
    """A drawing of this package as PNG on white, as wide as `width_px`.

    picture : gives the JPEG of an address that an `<image>` has; each is asked for once.
    """
    from resvg_py import svg_to_bytes

    root = ET.fromstring(svg)
    fetched = cache(
        lambda address: "data:image/jpeg;base64," + b64encode(picture(address)).decode()
    )
    for image in root.iter(f"{{{SVG}}}image"):
        image.set("href", fetched(image.get("href", "")))
    ET.register_namespace("", SVG)
    return svg_to_bytes(
        svg_string=ET.tostring(root, encoding="unicode"),
        width=width_px,
        background="white",
        skip_system_fonts=True,
    )


def as_jpeg(svg: str, *, width_px: int, picture: Callable[[str], bytes]) -> bytes:
    """The same as JPEG, which is far smaller where there is timber in it."""
    from PIL import Image

    target = BytesIO()
    drawn = Image.open(BytesIO(as_png(svg, width_px=width_px, picture=picture))).convert("RGB")
    drawn.save(target, "JPEG", quality=90, subsampling="4:4:4", optimize=True)
    return target.getvalue()
