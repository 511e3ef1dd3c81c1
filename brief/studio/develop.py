"""From film to picture: the eye gets used to the lamp, and bright light rolls off."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from brief.colour.spaces import D65_WHITE, XYZ_TO_SRGB, Array
from brief.photo.lightness import levels_of

# CAT16 (Li et al. 2017, doi:10.1002/col.22131).
CAT16 = np.array(
    [
        (0.401288, 0.650173, -0.051461),
        (-0.250268, 1.204414, 0.045854),
        (-0.002079, 0.048952, 0.953127),
    ]
)
WHITE_AT = 0.92  # of the screen's white: where a white card before the instrument comes out
SPECKLE_PX, ROOM_PX = 1.6, 5.0
BARELY = 0.01
SHOULDER = 0.80  # from here on bright light rolls off instead of being cut off


def adapted(xyz: Array, white: Array) -> Array:
    """XYZ under a white as an eye used to it has them in daylight, so that it becomes Y = 1.

    Parameters
    ----------
    xyz : ndarray, shape (..., 3)
    white : ndarray, shape (3,)
        XYZ of a white card there.

    References
    ----------
    CAT16, complete adaptation (Li et al. 2017).
    """
    gains = (CAT16 @ D65_WHITE) / (CAT16 @ white)
    matrix = np.linalg.inv(CAT16) @ np.diag(gains) @ CAT16
    seen: Array = xyz @ matrix.T
    return seen


def without_speckle(xyz: Array) -> Array:
    """A film with its colour evened out over a pixel or two, its lightness as it was.

    Few rays leave specks of colour, since each has a few wavelengths; the figure of a wood is in
    its lightness. Means stay.
    """
    from scipy.ndimage import gaussian_filter

    even = gaussian_filter(xyz, (SPECKLE_PX, SPECKLE_PX, 0), mode="nearest")
    calm: Array = even * (xyz[..., 1:2] / np.maximum(even[..., 1:2], 1e-9))
    return calm


def even_room(xyz: Array, covered: Array) -> Array:
    """A film with the grain taken out of the room, and the instrument left as it is.

    covered : shape (height, width), how much of each pixel the instrument and its stand cover, 0
    to 1. Walls have no figure: what differs there from one pixel to the next is too few rays.
    """
    from scipy.ndimage import gaussian_filter

    room = covered < BARELY
    weight = room[..., np.newaxis].astype(float)
    size = (ROOM_PX, ROOM_PX, 0)
    smooth = gaussian_filter(xyz * weight, size) / np.maximum(gaussian_filter(weight, size), 1e-6)
    even: Array = np.where(room[..., np.newaxis], smooth, xyz)
    return even


def rolled_off(linear: Array) -> Array:
    """Linear sRGB, with what is brighter than SHOULDER bent towards white."""
    room = 1 - SHOULDER
    bent: Array = SHOULDER + room * (1 - np.exp(-np.maximum(linear - SHOULDER, 0) / room))
    return np.where(linear > SHOULDER, bent, np.maximum(linear, 0))


def developed(xyz: Array, white: Array) -> Image.Image:
    """A film of XYZ, shape (height, width, 3), as a picture for the screen.

    white : XYZ of a white card in that light, which is told by a grey one, as a photographer does.
    """
    linear = adapted(xyz, white) @ XYZ_TO_SRGB.T * WHITE_AT
    return Image.fromarray(levels_of(rolled_off(linear)))


def as_png(picture: Image.Image) -> bytes:
    """The picture as PNG, said to be sRGB."""
    target = io.BytesIO()
    picture.save(target, "PNG", optimize=False)
    return target.getvalue()
