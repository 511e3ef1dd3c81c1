"""From a file to pixels: upright, sRGB, no larger than wanted, and sound to the last byte."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageCms, JpegImagePlugin

from brief.errors import InputError, quoted
from brief.photo.files.crop import cut
from brief.photo.files.header import (
    DAMAGE,
    UNNAMED,
    OpenedFile,
    PhotoFacts,
    Source,
    check_readable,
    decoding,
    facts_of,
    open_file,
    orientation,
    upright_size,
)
from brief.photo.files.memory import EIGHTH, MOST_ROOM, taking
from brief.photo.outline.region import Region
from brief.photo.wood.recolour import recolour

WHOLE = Region(0, 0, 100, 100)
RENDITION_QUALITY = 85

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_SIDEWAYS = (5, 6, 7, 8)
_PROFILE_MODES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK"}


@dataclass(frozen=True)
class Pixels:
    """An upright sRGB picture and how opaque it is.

    Attributes
    ----------
    rgb : Image
        Mode RGB. Where the picture is transparent, whatever colour the file keeps there.
    alpha : Image or None
        Mode L, same size, 255 = opaque; None if the picture is opaque all over.
    label : str
        The picture's name in a message.
    """

    rgb: Image.Image
    alpha: Image.Image | None
    label: str

    def flattened(self) -> Image.Image:
        """The picture as it looks on white paper."""
        if self.alpha is None:
            return self.rgb
        paper = Image.new("RGB", self.rgb.size, "white")
        paper.paste(self.rgb, mask=self.alpha)
        return paper


Picture = Source | Image.Image | Pixels


def open_photo(source: Picture, *, name: str = UNNAMED, within: int | None = None) -> Image.Image:
    """The picture upright, in sRGB, mode RGB, the transparent parts on white.

    Parameters
    ----------
    source : path, str, bytes, binary file, Image or Pixels
        A path, the file's bytes, a binary file (read from where it is), a picture that Pillow has
        already opened, or the result of `open_pixels`: opened once, it serves several steps. One
        of FORMATS; of several frames the first.
    name : str
        The picture's name in messages; a path goes by its own file name.
    within : int, 1 or more, optional
        Longest side wanted, pixels; a smaller picture is not enlarged. Far cheaper than decoding
        in full and shrinking: a JPEG is decoded at 1/2, 1/4 or 1/8.

    Returns
    -------
    Image
        Without metadata.

    Raises
    ------
    TooLarge
        Before decoding, above 64 MiB, 200 million pixels, or the share of memory that a picture may
        have (`memory`).
    ImageError
        If the file is none of these formats or is damaged.
    InputError
        If `within` is below 1.

    Notes
    -----
    Turned by EXIF orientation; an embedded ICC profile is converted to sRGB (relative
    colorimetric, black point compensated), a broken one counts as sRGB; CMYK without a profile is
    converted by the plain complement.
    """
    return open_pixels(source, name=name, within=within).flattened()


def rendition(
    source: Picture,
    *,
    within: int,
    region: Region | None = None,
    mean: Sequence[float] | None = None,
    of: Sequence[float] | None = None,
    name: str = UNNAMED,
) -> bytes:
    """A JPEG of the picture, or of a region of it, to be shown: sRGB and without metadata.

    Parameters
    ----------
    source, name : as for `open_photo`
    within : int, 1 or more
        Longest side of the result, pixels; never enlarged.
    region : Region, optional
    mean, of : three floats, optional
        The colour `mean` that the colour `of` is brought to, as `recolour`; as it was shot without
        `mean`.

    Returns
    -------
    bytes
        Where and when the photograph was taken stays behind.

    Raises
    ------
    TooLarge, ImageError, InputError
        As `open_photo`.
    """
    shown = open_pixels(source, name=name, within=within, region=region).flattened()
    if mean is not None:
        shown = recolour(shown, mean, of)
    target = BytesIO()
    # Full chroma resolution: in this trade the colour is what the picture is looked at for.
    shown.save(target, "JPEG", quality=RENDITION_QUALITY, subsampling="4:4:4", optimize=True)
    return target.getvalue()


def check_photo(source: Source, *, name: str = UNNAMED) -> PhotoFacts:
    """Decode the picture once and give its facts; for files about to be kept.

    Raises
    ------
    TooLarge, ImageError
        As `open_photo`: a file with a sound header and damaged pixels is refused too.
    """
    opened = open_file(source, name=name)
    facts = facts_of(opened)
    with taking(opened.room(EIGHTH)), decoding(opened.label, opened.kind.name):
        opened.kind.reader()(BytesIO(opened.data)).verify()  # the checksums of a PNG
        _draft(opened.image, EIGHTH)
        opened.image.load()
        opened.image.close()
    return facts


def open_pixels(
    source: Picture,
    *,
    name: str = UNNAMED,
    within: int | None = None,
    region: Region | None = None,
) -> Pixels:
    """As `open_photo`, but with transparency kept apart, and cropped to a region if one is given.

    `within` is the longest side of the part that is left after cropping.

    Raises
    ------
    TooLarge, ImageError, InputError
        As `open_photo`.
    """
    if within is not None and within < 1:
        raise InputError.at(
            "within", f"the longest side must be at least 1 pixel; got {quoted(within)}"
        )
    if isinstance(source, Pixels):
        box, size = size_within(source.rgb.size, region, within)
        return Pixels(*_cut_both(source.rgb, source.alpha, box, size), source.label)
    if isinstance(source, Image.Image):
        check_readable(source, name)
        with decoding(name, source.format or "picture"):
            return _upright(source, name, region, within)
    opened = open_file(source, name=name)
    with decoding(opened.label, opened.kind.name):
        box, size = size_within(upright_size(opened.image), region, within)
        shrunk = _halvings(opened, max(size) / max(box[2] - box[0], box[3] - box[1]))
    with taking(opened.room(shrunk)), decoding(opened.label, opened.kind.name):
        pixels = _upright(opened.image, opened.label, region, within, shrunk)
        opened.image.close()
    return pixels


def _upright(
    image: Image.Image, label: str, region: Region | None, within: int | None, shrunk: int = 1
) -> Pixels:
    width, height = upright_size(image)
    box, size = size_within((width, height), region, within)
    reduction = _draft(image, shrunk)
    image.load()
    turn = orientation(image)  # asked after loading, which turns a TIFF
    stored = _box_as_stored(box, (width, height), turn)
    stored_size = size[::-1] if turn in _SIDEWAYS else size
    colours, alpha = cut(image, [edge / reduction for edge in stored], stored_size)
    if turn != 1:
        colours = colours.transpose(_TURNS[turn])
        alpha = alpha and alpha.transpose(_TURNS[turn])
    rgb = _to_srgb(colours, image.info.get("icc_profile"))
    rgb.info = {}
    return Pixels(rgb, alpha, label)


def size_within(
    upright: tuple[int, int], region: Region | None, within: int | None
) -> tuple[tuple[int, int, int, int], tuple[int, int]]:
    """Where in the upright picture to look, in its pixels, and the size that is made of that.

    Parameters
    ----------
    upright : (int, int)
        Width and height of the upright picture, pixels.
    region : Region or None
        None for all of it.
    within : int or None
        The longest side that is wanted; None for no limit.

    Returns
    -------
    box : (left, top, right, bottom)
    size : (width, height)
    """
    box = left, top, right, bottom = (region or WHOLE).box(*upright)
    scale = 1.0 if within is None else min(1.0, within / max(right - left, bottom - top))
    size = max(1, round((right - left) * scale)), max(1, round((bottom - top) * scale))
    return box, size


def _halvings(opened: OpenedFile, scale: float) -> int:
    """How many times smaller a JPEG is to be decoded: 1, 2, 4 or 8; 1 of any other.

    So many that it is still `scale` and that there is room for it.
    """
    shrunk = 1
    if isinstance(opened.image, JpegImagePlugin.JpegImageFile):
        while shrunk < EIGHTH and (2 * shrunk * scale <= 1 or opened.room(shrunk) > MOST_ROOM):
            shrunk *= 2
    return shrunk


def _draft(image: Image.Image, shrunk: int) -> float:
    """Have a JPEG decoded so many times smaller; by how much its columns really are."""
    # A HEIC's "draft" is an embedded thumbnail, which need not have the photograph's colours.
    if not isinstance(image, JpegImagePlugin.JpegImageFile) or shrunk == 1:
        return 1.0
    width = image.width
    drafted = image.draft(None, (max(1, width // shrunk), max(1, image.height // shrunk)))
    # Not the ratio of the sizes: those are whole blocks, beyond which the last may reach.
    return width / drafted[1][2] if drafted else 1.0


def _box_as_stored(
    box: tuple[int, int, int, int], upright: tuple[int, int], turn: int
) -> tuple[int, int, int, int]:
    """A box of the upright picture where it lies in the rows and columns as the file has them."""
    (left, top, right, bottom), (width, height) = box, upright
    if turn in _SIDEWAYS:
        left, top, right, bottom = top, left, bottom, right
        width, height = height, width
    if turn in (2, 3, 7, 8):
        left, right = width - right, width - left
    if turn in (3, 4, 6, 7):
        top, bottom = height - bottom, height - top
    return left, top, right, bottom


def _cut_both(
    colours: Image.Image,
    alpha: Image.Image | None,
    box: tuple[int, int, int, int],
    size: tuple[int, int],
) -> tuple[Image.Image, Image.Image | None]:
    """The same of what was opened before, which nothing here changes."""
    if size == colours.size == (box[2], box[3]):
        return colours, alpha
    if alpha is not None:
        colours = Image.merge("RGBA", (*colours.split(), alpha))
    return cut(colours, box, size)


def _to_srgb(colours: Image.Image, profile: bytes | None) -> Image.Image:
    """L, RGB or CMYK to sRGB by the embedded profile, or plainly if it cannot be used."""
    if profile:
        try:
            embedded = ImageCms.ImageCmsProfile(BytesIO(profile))
            mode = _PROFILE_MODES.get(embedded.profile.xcolor_space.strip())
            if mode and (mode == colours.mode or (mode, colours.mode) == ("RGB", "L")):
                transform = ImageCms.buildTransform(
                    embedded,
                    ImageCms.createProfile("sRGB"),
                    mode,
                    "RGB",
                    ImageCms.Intent.RELATIVE_COLORIMETRIC,
                    ImageCms.Flags.BLACKPOINTCOMPENSATION,
                )
                converted = ImageCms.applyTransform(colours.convert(mode), transform)
                return converted or colours.convert("RGB")
        except (ImageCms.PyCMSError, *DAMAGE):
            pass  # a profile that makes no sense is as good as none
    return colours.convert("RGB")
