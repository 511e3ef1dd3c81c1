"""Our own SVG as pixels, with the photographs that it holds or points at."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable
from functools import cache
from io import BytesIO
from xml.etree import ElementTree as ET

SVG = "http://www.w3.org/2000/svg"
HAIR_PX = 2.0  # to a pixel of a screen: files are looked at larger, and printed


def as_png(
    svg: str,
    *,
    width_px: int | None = None,
    height_px: int | None = None,
    picture: Callable[[str], bytes] | None = None,
) -> bytes:
    """A drawing of this package as PNG on white, of that width or that height.

    Parameters
    ----------
    svg : str
    width_px, height_px : int, optional
        Pixels.
    picture : callable, optional
        Gives the JPEG of an address that an `<image>` has, each asked for once; without it the
        drawing has to hold its photographs.

    Returns
    -------
    bytes
    """
    from resvg_py import svg_to_bytes  # some megabytes, wanted only here

    root = ET.fromstring(svg)
    ET.register_namespace("", SVG)
    if picture is not None:
        fetched = cache(
            lambda address: "data:image/jpeg;base64," + b64encode(picture(address)).decode()
        )
        for image in root.iter(f"{{{SVG}}}image"):
            image.set("href", fetched(image.get("href", "")))
    _, _, width_mm, height_mm = (float(side) for side in root.get("viewBox", "").split())
    _widen_hairlines(root, width_mm / width_px if width_px else height_mm / (height_px or 1))
    size = {"width": width_px} if width_px else {"height": height_px}
    return bytes(
        svg_to_bytes(
            svg_string=ET.tostring(root, encoding="unicode"),
            **size,
            background="white",
            skip_system_fonts=True,
            # What is composed into it is as fine as it is shown.
            image_rendering="optimize_quality" if picture else "optimize_speed",
        )
    )


def _widen_hairlines(root: ET.Element, px_mm: float) -> None:
    """Give lines that keep their width on a screen a width in the drawing.

    The renderer knows nothing of `vector-effect`.
    """
    for line in root.iter():
        if line.attrib.pop("vector-effect", None):
            for name in ("stroke-width", "stroke-dasharray"):
                if name in line.attrib:
                    lengths = (float(one) * HAIR_PX * px_mm for one in line.attrib[name].split())
                    line.set(name, " ".join(f"{length:.3f}" for length in lengths))


def as_jpeg(svg: str, *, width_px: int, picture: Callable[[str], bytes] | None = None) -> bytes:
    """The same as JPEG, which is far smaller where there is timber in it."""
    from PIL import Image

    target = BytesIO()
    drawn = Image.open(BytesIO(as_png(svg, width_px=width_px, picture=picture))).convert("RGB")
    drawn.save(target, "JPEG", quality=90, subsampling="4:4:4", optimize=True)
    return target.getvalue()
