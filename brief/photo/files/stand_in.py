"""What is shown in place of a photograph whose file is lost."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from PIL import Image, ImageDraw

from brief.colour.notation.notation import hex_of

PAPER, LINE = "#ece7de", "#a79e91"


def stand_in(width: int, height: int, lab: Sequence[float] | None = None) -> bytes:
    """A JPEG in place of a lost photograph.

    Parameters
    ----------
    width, height : int
        Pixels.
    lab : three floats, optional
        CIELAB, D65 / 2°; the picture is of that one colour. Without it, an empty frame with its
        corners joined, as layouts mark a picture that is missing (common practice, no source).

    Returns
    -------
    bytes
    """
    if lab is not None:
        picture = Image.new("RGB", (width, height), hex_of(lab))
    else:
        picture = Image.new("RGB", (width, height), PAPER)
        pen, right, foot = ImageDraw.Draw(picture), width - 1, height - 1
        thick = max(1, max(width, height) // 300)
        pen.line((0, 0, right, foot), LINE, thick)
        pen.line((0, foot, right, 0), LINE, thick)
        pen.rectangle((0, 0, right, foot), outline=LINE, width=thick)
    target = BytesIO()
    picture.save(target, "JPEG", quality=90, subsampling="4:4:4")
    return target.getvalue()
