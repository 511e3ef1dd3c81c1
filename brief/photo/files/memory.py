"""How much memory a picture takes to be read, and that never more is taken than there should be.

A few hundred kilobytes can unpack to gigabytes of pixels, and what a codec needs besides differs
by a factor of five. So the sum is worked out from the header alone, before anything is decoded.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Condition

from PIL import ExifTags, ImageFile, JpegImagePlugin, TiffImagePlugin

MOST_ROOM = 805_000_000
"""Bytes in memory while pictures are read, however many at once: with the program, below 1 GiB."""
EIGHTH = 8  # a JPEG can be decoded at 1/1, 1/2, 1/4 and 1/8 of its size

# Bytes that Pillow keeps of each pixel; of RGB four, too.
_BYTES_OF_MODE = {"1": 1, "L": 1, "P": 1}
_BYTES = 4
# What these codecs hold of a pixel at once, their copies and Pillow's together: measured with
# libwebp 1.6, libheif 1.23 (8 bits, and above) and libavif 1.4 at full chroma, and some more.
_WEBP, _HEIC, _HEIC_DEEP, _AVIF = 17, 13, 18, 16

_taken: list[int] = []  # bytes, by each picture that is being read
_freed = Condition()


def room(image: ImageFile.ImageFile, kind: str, data: bytes, shrunk: int = 1) -> int:
    """Bytes in memory at once while an opened picture is decoded.

    May raise what Pillow does on a damaged header.

    Parameters
    ----------
    image : ImageFile
    kind : str
        Its format.
    data : bytes
        Its file.
    shrunk : 1, 2, 4 or 8
        By how much a JPEG is decoded smaller.

    Returns
    -------
    int
    """
    pixels = image.width * image.height
    deep = 2 if image.mode.startswith("I;16") else _BYTES_OF_MODE.get(image.mode, _BYTES)
    match kind:
        case "WebP":
            return _WEBP * pixels + 3 * len(data)
        case "HEIC":
            a_pixel = _HEIC if image.info.get("bit_depth", 8) <= 8 else _HEIC_DEEP
            return a_pixel * pixels + 2 * len(data)
        case "AVIF":
            return _AVIF * pixels + 2 * len(data)
        case "JPEG" if isinstance(image, JpegImagePlugin.JpegImageFile):
            return deep * pixels // shrunk**2 + _coefficients(image, data) + len(data)
        case "TIFF" if isinstance(image, TiffImagePlugin.TiffImageFile):
            if image.tag_v2.get(ExifTags.Base.Orientation, 1) != 1:
                deep *= 2  # Pillow turns it into a second one
            return deep * pixels + _block(image) + len(data)
    return deep * pixels + len(data)


@contextmanager
def taking(size_bytes: int) -> Iterator[None]:
    """Wait until there is room for a picture beside those that are being read."""
    with _freed:
        _freed.wait_for(lambda: not _taken or sum(_taken) + size_bytes <= MOST_ROOM)
        _taken.append(size_bytes)
    try:
        yield
    finally:
        with _freed:
            _taken.remove(size_bytes)
            _freed.notify_all()


def _coefficients(image: JpegImagePlugin.JpegImageFile, data: bytes) -> int:
    """Bytes that libjpeg keeps of a JPEG in several scans.

    That is all of it, at full size, two bytes a sample. Of one that comes in a single scan it
    keeps some rows.
    """
    assert image.fp is not None
    # Pillow has read the head of the first scan, and no further. ITU-T T.81, B.2.3: behind its
    # marker and its length stands how many components are in it.
    start = data.rindex(b"\xff\xda", 0, image.fp.tell())
    if data[start + 4] == image.layers and not image.info.get("progressive"):
        return 0
    across = max(layer[1] for layer in image.layer)
    down = max(layer[2] for layer in image.layer)
    share = sum(layer[1] * layer[2] for layer in image.layer) / (across * down)
    return math.ceil(2 * share * image.width * image.height)


def _block(image: TiffImagePlugin.TiffImageFile) -> int:
    """Bytes that libtiff unpacks at once: one strip or tile, which may be larger than the picture.

    A file that is not packed is read row by row.
    """
    tags = image.tag_v2
    if tags.get(TiffImagePlugin.COMPRESSION, 1) == 1:
        return 0
    if TiffImagePlugin.TILEWIDTH in tags:
        pixels = tags[TiffImagePlugin.TILEWIDTH] * tags[TiffImagePlugin.TILELENGTH]
    else:
        rows = min(tags.get(TiffImagePlugin.ROWSPERSTRIP, image.height), image.height)
        pixels = image.width * rows
    bits = sum(tags.get(TiffImagePlugin.BITSPERSAMPLE, (1,)))
    in_ycbcr = tags.get(TiffImagePlugin.PHOTOMETRIC_INTERPRETATION) == 6  # unpacked as RGBA
    return int(pixels) * (_BYTES if in_ycbcr else max(1, math.ceil(bits / 8)))
