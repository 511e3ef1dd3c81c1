"""A board of known colour on the bench, with a colour chart or a card beside it, as shot.

Wood, card, light and camera as in `rendered_chart`; what the wood's colour truly is follows from
its spectrum alone.
"""

from __future__ import annotations

from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.colour import linear_to_srgb, xyz_to_lab

from .measured_cameras import CURVES, exposed, toned
from .rendered_chart import (
    NOISE,
    Shot,
    chart_reflectances,
    draw_chart,
    surface_reflectances,
    true_xyz,
    wood_like,
)

Floats = NDArray[np.float64]

LAMP = Shot("Nikon 5100 (NPL)", "LED-B3", balanced=False)  # the camera is set for daylight
SIZE = (600, 400)
CHART = ((50, 8), (92, 8), (92, 50), (50, 50))  # its corners, percent
CARD = "xywh=percent:60,10,30,30"
SECOND_CARD = "xywh=percent:60,55,30,30"
WOOD = "xywh=percent:5,10,40,80"  # beside them
_WHITE = 0.85  # of the picture's light; it comes out as without a tone curve
_CARD_PX, _SECOND_PX = (360, 40, 540, 160), (360, 220, 540, 340)


def true_lab(wood: Floats) -> Floats:
    """CIELAB, D65, 2°, of spectra, shape (..., 31)."""
    return xyz_to_lab(true_xyz(wood))


def woods() -> Floats:
    """Spectra of the surfaces whose colours are those of wood, shape (n, 31)."""
    surfaces = surface_reflectances()
    return surfaces[wood_like(true_lab(surfaces))]


def board_by_chart(wood: Floats, shot: Shot = LAMP) -> Image.Image:
    """The board, spectrum of shape (31,), with a chart lying on it."""
    patches = np.clip(shot.linear(chart_reflectances()), 0, 1)
    red, green, blue = np.clip(shot.linear(wood[None]), 0, 1)[0].tolist()
    return draw_chart(patches, size=SIZE, corners=CHART, bench=(red, green, blue))


def board_by_card(
    wood: Floats,
    reflectance: float,
    shot: Shot = LAMP,
    *,
    second: float | None = None,
    camera: str = "Canon EOS 6D",
) -> Image.Image:
    """The board with a card, of that reflectance at all wavelengths, lying on it; or with two.

    The camera has a tone curve of `CURVES`, as nearly all have.
    """
    scene = np.tile(shot.linear(wood[None])[0], (SIZE[1], SIZE[0], 1))
    for (left, top, right, bottom), given in ((_CARD_PX, reflectance), (_SECOND_PX, second)):
        if given is not None:
            scene[top:bottom, left:right] = shot.linear(np.full((1, len(wood)), given))
    curve = CURVES[camera]
    scene = toned(scene / _WHITE * exposed(curve, _WHITE), curve)
    levels = linear_to_srgb(scene) * 255
    levels += NOISE * np.random.default_rng(0).normal(size=levels.shape)
    return Image.fromarray(np.clip(np.rint(levels), 0, 255).astype(np.uint8))


def as_file(image: Image.Image) -> bytes:
    target = BytesIO()
    image.save(target, "PNG")
    return target.getvalue()
