"""A photograph as it lies on a part, composed into one picture for a file that stands alone.

Boards lie square to the part, so that each column and each row of the picture comes from one of the
photograph.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from brief.instrument.rendering.placement import Laid, shares

if TYPE_CHECKING:
    from numpy import floating, intp
    from numpy.typing import NDArray

JPEG_QUALITY = 93
MOST_PX = 4000
"""Of a board's longer side; a finer picture would only blur what the photograph has."""


def composed(
    jpeg: bytes,
    laid: Laid,
    part_mm: float,
    window: tuple[float, float, float, float],
    px_per_mm: float,
) -> bytes:
    """A window of a part, as a JPEG.

    Parameters
    ----------
    jpeg : bytes
        The photograph.
    laid : Laid
    part_mm : float
        The part's width.
    window : (x, y, width, height)
        Within the part's box, mm.
    px_per_mm : float, above 0
    """
    import numpy as np
    from PIL import Image

    left, top, width, height = window
    fine = min(px_per_mm, MOST_PX / max(laid.width, laid.height))
    size = max(1, round(laid.width * fine)), max(1, round(laid.height * fine))
    with Image.open(io.BytesIO(jpeg)) as photograph:
        turned = photograph.convert("RGB").rotate(-laid.turn, expand=True)
    board = np.asarray(turned.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0))
    x = left + (np.arange(max(1, round(width * px_per_mm)), dtype=float) + 0.5) / px_per_mm
    y = top + (np.arange(max(1, round(height * px_per_mm)), dtype=float) + 0.5) / px_per_mm
    across, down = shares(laid, part_mm, x, y)
    columns = _there_and_back(across, size[0])
    rows = _there_and_back(down, size[1])
    target = io.BytesIO()
    picture = Image.fromarray(board[rows][:, columns])
    picture.save(target, "JPEG", quality=JPEG_QUALITY, subsampling="4:4:4")
    return target.getvalue()


def _there_and_back(place: NDArray[floating[Any]], count: int) -> NDArray[intp]:
    """Which of `count` pixels lies at a share of the board, mirrored again and again beyond it."""
    import numpy as np

    folded = 1 - np.abs(np.mod(place, 2.0) - 1)
    pixels: NDArray[intp] = np.minimum((folded * count).astype(np.intp), count - 1)
    return pixels
