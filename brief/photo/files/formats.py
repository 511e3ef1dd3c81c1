"""The kinds of picture file that are read: how each begins, is called and is opened."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PIL import (
    BmpImagePlugin,
    ImageFile,
    JpegImagePlugin,
    PngImagePlugin,
    TiffImagePlugin,
    WebPImagePlugin,
    features,
)

Reader = type[ImageFile.ImageFile]


@dataclass(frozen=True)
class Format:
    """One kind of file.

    Attributes
    ----------
    media_type : str
        Its registered name.
    suffixes : tuple of str
        Of a file's name, ours first.
    begins : callable
        Whether these first bytes are those of one.
    reader : callable
        Gives the class of Pillow's that opens it, called by itself: Image.open would try others,
        turn a phone's JPEG with an embedded preview into a multi-picture file, and warn about
        sizes that are judged here anyway.
    """

    name: str
    media_type: str
    suffixes: tuple[str, ...]
    begins: Callable[[bytes], bool]
    reader: Callable[[], Reader]


# ISO/IEC 23008-12, annex B, and AVIF 1.1, 6.2: the brands of ISOBMFF that say what is inside.
_HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_AVIF_BRANDS = {b"avif", b"avis"}
_BMP_HEADERS = {12, 40, 52, 56, 64, 108, 124}  # bytes; two letters alone begin many a text


def _is_avif(data: bytes) -> bool:
    """By any of its brands: the first may be the general one of both."""
    brands = data[8 : min(int.from_bytes(data[:4], "big"), 256)]
    several = {brands[at : at + 4] for at in range(0, len(brands), 4)}
    return data[4:8] == b"ftyp" and bool(several & _AVIF_BRANDS)


def _is_heic(data: bytes) -> bool:
    return data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS and not _is_avif(data)


def _is_bmp(data: bytes) -> bool:
    return data.startswith(b"BM") and int.from_bytes(data[14:18], "little") in _BMP_HEADERS


def _heif() -> Reader:
    from pillow_heif import HeifImageFile  # several MB of codec, wanted by few files

    reader: Reader = HeifImageFile
    return reader


def _avif() -> Reader:
    from PIL import AvifImagePlugin

    return AvifImagePlugin.AvifImageFile


def _begins(*starts: bytes) -> Callable[[bytes], bool]:
    return lambda data: data.startswith(starts)


def _known() -> tuple[Format, ...]:
    found = [
        Format(
            "JPEG",
            "image/jpeg",
            ("jpg", "jpeg"),
            _begins(b"\xff\xd8\xff"),
            lambda: JpegImagePlugin.JpegImageFile,
        ),
        Format(
            "PNG",
            "image/png",
            ("png",),
            _begins(b"\x89PNG\r\n\x1a\n"),
            lambda: PngImagePlugin.PngImageFile,
        ),
        Format(
            "WebP",
            "image/webp",
            ("webp",),
            lambda data: data.startswith(b"RIFF") and data[8:12] == b"WEBP",
            lambda: WebPImagePlugin.WebPImageFile,
        ),
        Format(
            "TIFF",
            "image/tiff",
            ("tif", "tiff"),
            _begins(b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"),
            lambda: TiffImagePlugin.TiffImageFile,
        ),
        Format("HEIC", "image/heic", ("heic", "heif"), _is_heic, _heif),
        Format("BMP", "image/bmp", ("bmp",), _is_bmp, lambda: BmpImagePlugin.BmpImageFile),
    ]
    if features.check("avif"):  # not every build of Pillow brings the codec
        found.insert(-1, Format("AVIF", "image/avif", ("avif",), _is_avif, _avif))
    return tuple(found)


FORMATS = _known()
# What a field for files asks for: the suffixes for systems that do not know each kind as a picture.
ACCEPTED = ",".join(["image/*", *(f".{suffix}" for one in FORMATS for suffix in one.suffixes)])
READABLE = ", ".join(one.name for one in FORMATS[:-1]) + f" or {FORMATS[-1].name}"


def recognise(data: bytes) -> Format | None:
    """The format that these first bytes are of; None where it is not one that is read."""
    return next((one for one in FORMATS if one.begins(data)), None)
