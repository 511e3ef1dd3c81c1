"""Picture files before their pixels: reading, recognising, limits, and what the header says."""

from __future__ import annotations

import math
import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from itertools import takewhile
from pathlib import Path
from typing import BinaryIO

from PIL import ExifTags, Image, ImageCms, ImageFile, TiffImagePlugin

from brief.english import article
from brief.errors import BriefError, ImageError, TooLarge
from brief.photo.correction.light import NOT_KNOWN, PhotoLight
from brief.photo.files.formats import READABLE, Format, recognise
from brief.photo.files.memory import EIGHTH, MOST_ROOM, room
from brief.quiet import quiet

Source = Path | str | bytes | BinaryIO

MAX_BYTES = 64 * 2**20
MAX_PIXELS = 200_000_000
UNNAMED = "the picture"
LONGEST_NAME = 80  # characters of it that a message repeats
LEAST_READABLE = 4  # characters; fewer turn up in a row by chance
_GREY_16 = {"I;16", "I;16L", "I;16B", "I;16N"}
MODES = {"1", "L", "LA", "P", "PA", "RGB", "RGBA", "RGBX", "CMYK", "YCbCr"} | _GREY_16

# EXIF 2.3 (CIPA DC-008), LightSource, from memory. A flash is neither: a camera's is near daylight,
# a phone's is an LED.
_DAYLIGHT = (1, 9, 10, 11, 20, 21, 22, 23)  # daylight, fine, cloudy, shade, D55, D65, D75, D50
_LAMPS = (2, 3, 12, 13, 14, 15, 16, 17, 24)  # fluorescent and kinds of it, tungsten, A, studio
_LIGHT_SOURCES: dict[int, PhotoLight] = {
    **dict.fromkeys(_DAYLIGHT, "daylight"),
    **dict.fromkeys(_LAMPS, "lamp"),
}

# CIPA DC-008, FocalLengthIn35mmFilm, from memory: of a sensor whose diagonal is that of 24 × 36 mm.
FILM_DIAGONAL_MM = math.hypot(24, 36)
LEAST_FILM_MM, MOST_FILM_MM = 8, 400
SHAPES, SAME_SHAPE = (4 / 3, 3 / 2), 0.01  # of whole pictures; others are cut by the camera

# What Pillow and the codecs below it raise on bytes that are not what the header promises.
DAMAGE = (
    ArithmeticError,
    AttributeError,
    EOFError,
    LookupError,
    MemoryError,
    OSError,
    RuntimeError,
    SyntaxError,
    TypeError,
    ValueError,
    struct.error,
    zlib.error,
)


@dataclass(frozen=True)
class PhotoFacts:
    """The facts in the header of a picture file.

    Attributes
    ----------
    width, height : int
        Pixels of the upright picture.
    format : str
        One of FORMATS by name, such as "JPEG"; media_type is its registered name.
    profile_name : str or None
        The embedded colour profile's own description; None without a readable one.
    taken : str or None
        When the shutter fell (EXIF DateTimeOriginal), ISO 8601, with the offset from UTC if the
        camera wrote one; None if it wrote no such time.
    light : one of LIGHTS
        What it was taken by (EXIF LightSource, which few cameras write unless a white balance was
        chosen).
    focal : float or None
        Focal length of the lens, of the picture's longer side (EXIF FocalLengthIn35mmFilm); None
        where it was not written, or the picture is not as large as the camera made it.
    """

    width: int
    height: int
    format: str
    media_type: str
    profile_name: str | None
    taken: str | None
    light: PhotoLight
    focal: float | None


@dataclass(frozen=True)
class OpenedFile:
    """A recognised file within the limits, its pixels not yet decoded."""

    image: ImageFile.ImageFile
    data: bytes
    kind: Format
    label: str

    def room(self, shrunk: int = 1) -> int:
        """Bytes in memory while it is decoded; of a JPEG, `shrunk` times smaller (1, 2, 4 or 8)."""
        with decoding(self.label, self.kind.name):
            return room(self.image, self.kind.name, self.data, shrunk)


@contextmanager
def decoding(label: str, kind: str) -> Iterator[None]:
    """Turn whatever Pillow raises on a bad file into an error of ours that names the file.

    Raises
    ------
    TooLarge
        If the picture has too many pixels.
    ImageError
        If the file is damaged or cut short.
    """
    with quiet:
        try:
            yield
        except BriefError:
            raise
        except Image.DecompressionBombError as exc:
            raise _too_many_pixels(label, str(exc)) from exc
        except DAMAGE as exc:
            raise ImageError(
                f"{label} is {article(kind)} file, but it is damaged or cut short and cannot be "
                "read to its end; copy it again from the camera or phone"
            ) from exc


def open_file(source: Source, *, name: str = UNNAMED) -> OpenedFile:
    """Recognise a picture by its first bytes and open it, without decoding a pixel.

    Raises
    ------
    TooLarge
        Above MAX_BYTES or MAX_PIXELS, or where it would need more than MOST_ROOM in memory.
    ImageError
        If it cannot be read, is empty, of none of FORMATS or packed in a way that is not read here,
        or if its header is damaged.
    """
    if name == UNNAMED and isinstance(source, Path | str):
        name = Path(source).name
    name = called(name)
    data = _read(source, name)
    kind = _recognise(data, name)
    with decoding(name, kind.name):
        image = kind.reader()(BytesIO(data))
    width, height = image.size
    if width * height > MAX_PIXELS:
        raise _too_many_pixels(name, f"{width} by {height} pixels")
    opened = OpenedFile(image, data, kind, name)
    check_readable(image, name)
    least = opened.room(EIGHTH)
    if least > MOST_ROOM:
        way_out = "without “progressive”" if kind.name == "JPEG" else "as a JPEG"
        raise TooLarge(
            f"{name} would need {least / 1e6:,.0f} MB of memory to open, and at most "
            f"{MOST_ROOM / 1e6:,.0f} MB are used; save it {way_out}, or half as large"
        )
    return opened


def describe_photo(source: Source, *, name: str = UNNAMED) -> PhotoFacts:
    """The facts in the header: size, format, colour profile, when it was taken.

    No pixel is decoded, so that damage further into the file goes unnoticed: see `check_photo`.
    Errors as `open_file`.
    """
    return facts_of(open_file(source, name=name))


def facts_of(opened: OpenedFile) -> PhotoFacts:
    """What the header of an opened file says."""
    with decoding(opened.label, opened.kind.name):
        width, height = upright_size(opened.image)
        return PhotoFacts(
            width=width,
            height=height,
            format=opened.kind.name,
            media_type=opened.kind.media_type,
            profile_name=_profile_name(opened.image.info.get("icc_profile")),
            taken=_taken(opened.image),
            light=_light(opened.image),
            focal=_focal(opened.image),
        )


def orientation(image: Image.Image) -> int:
    """EXIF orientation still to be applied, 1 to 8; 1 (upright) where there is none or nonsense."""
    try:
        value = image.getexif().get(ExifTags.Base.Orientation, 1)
    except DAMAGE:  # metadata alone is broken: the picture is still worth having
        return 1
    return value if value in range(1, 9) else 1


def upright_size(image: Image.Image) -> tuple[int, int]:
    """Width and height once turned upright."""
    # Pillow gives a TIFF's size turned already, though its tag is dropped only by loading.
    if orientation(image) >= 5 and not isinstance(image, TiffImagePlugin.TiffImageFile):
        return image.height, image.width
    return image.size


def check_readable(image: Image.Image, label: str) -> None:
    """Refuse a way of keeping pixels that is not read here, before any is decoded.

    Raises
    ------
    ImageError
        With the way of keeping and two that are read.
    """
    codecs = {tile.codec_name for tile in getattr(image, "tile", ())}
    if image.mode in MODES and "bmp_rle" not in codecs:
        return
    how = image.mode if image.mode not in MODES else "run lengths"
    raise ImageError(
        f"{label} keeps its pixels in a way that is not read here ({how}); "
        "save it as a JPEG, or as a PNG with 8 or 16 bits for each colour"
    )


def called(name: str) -> str:
    """A picture's name as messages say it, in quotes and on one line."""
    if name == UNNAMED:
        return name
    line = "".join(c if c.isprintable() else " " for c in name)
    return f"“{line if len(line) <= LONGEST_NAME else line[: LONGEST_NAME - 1] + '…'}”"


def too_many_bytes(label: str) -> TooLarge:
    """The error about a file beyond MAX_BYTES."""
    return TooLarge(
        f"{label} is larger than {MAX_BYTES // 2**20} MB, the most that is taken; "
        "save a smaller copy and use that"
    )


def _read(source: Source, name: str) -> bytes:
    try:
        if isinstance(source, bytes):
            data = source
        elif isinstance(source, Path | str):
            with Path(source).open("rb") as file:
                data = file.read(MAX_BYTES + 1)
        else:
            data = source.read(MAX_BYTES + 1)
    except OSError as exc:
        raise ImageError(f"{name} cannot be opened: {exc.strerror or exc}") from exc
    if not isinstance(data, bytes):
        raise ImageError(f"{name} must be opened in binary mode; reading it gave text")
    if len(data) > MAX_BYTES:
        raise too_many_bytes(name)
    return data


def _recognise(data: bytes, name: str) -> Format:
    if found := recognise(data):
        return found
    if not data:
        raise ImageError(f"{name} is empty (0 bytes); choose a {READABLE} picture")
    if data.startswith((b"GIF87a", b"GIF89a")):
        raise ImageError(
            f"{name} is a GIF, which has at most 256 colours, too few to measure; open it and "
            "save it as PNG or JPEG"
        )
    raise ImageError(
        f"{name} is not a picture that can be read here ({READABLE}); it begins with "
        f"{_beginning(data)}"
    )


def _beginning(data: bytes) -> str:
    """What a person could read at the beginning of a file."""
    text = data[:100].decode("utf-8", errors="replace").lstrip("\ufeff \t\r\n")
    readable = "".join(takewhile(lambda c: c.isprintable() and c != "\ufffd", text))[:24].strip()
    return f"“{readable}”" if len(readable) >= LEAST_READABLE else "no readable text"


def _too_many_pixels(name: str, found: str) -> TooLarge:
    return TooLarge(
        f"{name} has too many pixels ({found}); at most {MAX_PIXELS // 10**6} million are taken: "
        "save a smaller copy and use that"
    )


def _profile_name(icc: bytes | None) -> str | None:
    if not icc:
        return None
    try:
        described = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(BytesIO(icc)))
    except (ImageCms.PyCMSError, *DAMAGE):
        return None
    return described.strip("\0 \r\n") or None


def _light(image: Image.Image) -> PhotoLight:
    try:
        written = image.getexif().get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.LightSource]
        return _LIGHT_SOURCES[written]
    except DAMAGE:
        return NOT_KNOWN


def _focal(image: Image.Image) -> float | None:
    """By its equivalent on 35 mm film, which is told for the diagonal of a whole picture."""
    try:
        tags = image.getexif().get_ifd(ExifTags.IFD.Exif)
        film_mm = float(tags[ExifTags.Base.FocalLengthIn35mmFilm])
        made = {int(tags[ExifTags.Base.ExifImageWidth]), int(tags[ExifTags.Base.ExifImageHeight])}
        zoom = float(tags.get(ExifTags.Base.DigitalZoomRatio, 1))
    except DAMAGE:
        return None
    long, short = max(image.size), min(image.size)
    whole = made == {long, short} and min(abs(long / short - one) for one in SHAPES) < SAME_SHAPE
    if not whole or not LEAST_FILM_MM <= film_mm <= MOST_FILM_MM or zoom not in (0, 1):
        return None
    return film_mm / FILM_DIAGONAL_MM * math.hypot(long, short) / long


def _taken(image: Image.Image) -> str | None:
    try:
        tags = image.getexif().get_ifd(ExifTags.IFD.Exif)
        written = str(tags[ExifTags.Base.DateTimeOriginal]).strip("\0 ")
        offset = str(tags.get(ExifTags.Base.OffsetTimeOriginal, "")).strip("\0 ")
        moment = datetime.strptime(written, "%Y:%m:%d %H:%M:%S")
    except DAMAGE:
        return None
    try:
        return datetime.fromisoformat(moment.isoformat() + offset).isoformat()
    except ValueError:  # an offset nobody can read; the local time still stands
        return moment.isoformat()
