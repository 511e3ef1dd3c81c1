"""Whatever way a file keeps its colours, they come out as the sRGB they mean."""

import struct
import warnings
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from brief.errors import ImageError
from brief.photo import extract_palette, open_photo
from brief.photo.files.intake import open_pixels

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
    import colour as colour_science


def one_colour(mode: str, value, size=(16, 16)) -> Image.Image:
    return Image.new(mode, size, value)


def only_colour(image: Image.Image) -> tuple[int, int, int]:
    ((_, value),) = image.getcolors()
    return value


@pytest.mark.parametrize(
    "display_p3",
    [(200, 120, 60), (90, 140, 100), (128, 128, 128), (250, 245, 230), (30, 20, 60), (0, 255, 0)],
)
@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
def test_display_p3_becomes_the_srgb_of_colour_science(
    display_p3, kind, encoded, display_p3_profile
):
    """colour-science, `RGB_to_RGB` between its own Display P3 and sRGB definitions."""
    options = {"lossless": True} if kind == "WEBP" else {}
    data = encoded(one_colour("RGB", display_p3), kind, icc_profile=display_p3_profile, **options)
    expected = colour_science.RGB_to_RGB(
        np.array(display_p3) / 255,
        "Display P3",
        "sRGB",
        apply_cctf_decoding=True,
        apply_cctf_encoding=True,
    )
    expected_8_bit = np.rint(np.clip(expected, 0, 1) * 255)
    assert np.abs(np.subtract(only_colour(open_photo(data)), expected_8_bit)).max() <= 1


@pytest.mark.parametrize("kind", ["JPEG", "HEIC"])
def test_display_p3_from_a_telephone(kind, encoded, display_p3_profile):
    data = encoded(one_colour("RGB", (200, 120, 60)), kind, icc_profile=display_p3_profile)
    expected = (212, 117, 47)  # colour-science 0.4.7, RGB_to_RGB as above
    assert np.abs(np.asarray(open_photo(data), dtype=int) - expected).max() <= 4


def test_srgb_profile_changes_nothing(encoded, quarters):
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    opened = open_photo(encoded(quarters, icc_profile=srgb))
    assert np.abs(np.asarray(opened, dtype=int) - np.asarray(quarters)).max() <= 1


@pytest.mark.parametrize("cut", [0, 3, 100, 200, 3000])
def test_broken_profile_is_taken_for_srgb(cut, encoded, quarters, display_p3_profile):
    broken = display_p3_profile[:cut] or b"not a profile"
    opened = open_photo(encoded(quarters, "TIFF", icc_profile=broken))
    assert np.abs(np.asarray(opened, dtype=int) - np.asarray(quarters)).max() <= 1


def test_profile_of_another_colour_model_is_ignored(encoded, quarters, press_profile):
    data = encoded(quarters, "TIFF", icc_profile=press_profile(np.zeros((16, 3))))
    assert np.array_equal(np.asarray(open_photo(data)), np.asarray(quarters))


# Lab (D50, relative to the paper) of an invented press with dull inks: paper, K, Y, YK, M ... CMYK.
PRESS = np.array(
    [
        *([100, 0, 0], [20, 0, 0], [85, 0, 50], [18, 0, 8]),
        *([50, 45, 10], [15, 9, 2], [48, 40, 35], [14, 8, 6]),
        *([55, -20, -25], [15, -4, -5], [50, -30, 15], [14, -5, 3]),
        *([35, 10, -20], [12, 2, -4], [30, 2, 2], [0, 0, 0]),
    ],
    dtype=float,
)


@pytest.mark.parametrize(
    ("inks", "corner"),
    [
        ((0, 0, 0, 0), 0),
        ((0, 0, 0, 255), 1),
        ((0, 0, 255, 0), 2),
        ((0, 255, 0, 0), 4),
        ((255, 0, 0, 0), 8),
        ((255, 255, 0, 0), 12),
    ],
)
@pytest.mark.parametrize("kind", ["TIFF", "JPEG"])
def test_cmyk_by_its_profile(inks, corner, kind, encoded, press_profile):
    """Against colour-science, `Lab_to_XYZ` and `XYZ_to_sRGB` from D50."""
    options = {"quality": 100} if kind == "JPEG" else {}
    data = encoded(one_colour("CMYK", inks), kind, icc_profile=press_profile(PRESS), **options)
    white = colour_science.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    xyz = colour_science.Lab_to_XYZ(PRESS[corner], white)
    expected = np.rint(255 * np.clip(colour_science.XYZ_to_sRGB(xyz, white), 0, 1))
    assert np.abs(np.asarray(open_photo(data), dtype=int)[8, 8] - expected).max() <= 2


def test_cmyk_without_a_profile_is_the_complement(encoded):
    data = encoded(one_colour("CMYK", (255, 0, 0, 0)), "TIFF")
    assert only_colour(open_photo(data)) == (0, 255, 255)


@pytest.mark.parametrize(
    ("image", "expected"),
    [
        (one_colour("L", 100), (100, 100, 100)),
        (one_colour("1", 1), (255, 255, 255)),
        (one_colour("LA", (100, 255)), (100, 100, 100)),
        (one_colour("RGBA", (10, 20, 30, 255)), (10, 20, 30)),
        (one_colour("RGB", (10, 20, 30)).quantize(2), (10, 20, 30)),
        (Image.fromarray(np.full((16, 16), 100 * 257, np.uint16)), (100, 100, 100)),
        (Image.fromarray(np.full((16, 16), 100 * 257 + 100, np.uint16)), (100, 100, 100)),
        (Image.fromarray(np.full((16, 16), 65535, np.uint16)), (255, 255, 255)),
    ],
    ids=["grey", "1-bit", "grey-alpha", "rgba", "palette", "16-bit", "16-bit-rounded", "white-16"],
)
@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_modes(kind, image, expected, encoded):
    if kind == "TIFF" and image.mode == "LA":
        image = image.convert("RGBA")
    assert only_colour(open_photo(encoded(image, kind))) == expected
    assert only_colour(open_photo(encoded(image, kind), within=4)) == expected


def test_big_endian_16_bit_tiff(encoded):
    levels = Image.frombytes("I;16B", (4, 4), np.full((4, 4), 200 * 257, ">u2").tobytes())
    assert only_colour(open_photo(levels)) == (200, 200, 200)


def test_16_bits_for_each_colour():
    """A PNG of 1 × 1 pixel, 16-bit RGB, put together by hand: PNG (W3C, third edition), 5 and 11.

    Pillow keeps the upper 8 bits of each channel.
    """

    def chunk(kind: bytes, body: bytes) -> bytes:
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    pixel = b"\0" + struct.pack(">3H", 200 * 257, 100 * 257, 50 * 257)
    data = (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 16, 2, 0, 0, 0))
        + chunk(b"IDAT", zlib.compress(pixel))
        + chunk(b"IEND", b"")
    )
    assert only_colour(open_photo(data)) == (200, 100, 50)


@pytest.mark.parametrize("transparency", [0, bytes([0, 255])])
def test_palette_with_transparency(transparency, encoded):
    image = Image.new("P", (20, 10), 1)
    image.putpalette([0, 255, 0, 180, 90, 30])
    image.paste(0, (0, 0, 10, 10))
    data = encoded(image, transparency=transparency)
    assert open_photo(data).getpixel((2, 2)) == (255, 255, 255)
    pixels = open_pixels(data)
    assert pixels.alpha is not None
    assert (pixels.alpha.getpixel((2, 2)), pixels.alpha.getpixel((15, 5))) == (0, 255)
    (only,) = extract_palette(data).colours
    assert only.srgb == pytest.approx((180 / 255, 90 / 255, 30 / 255), abs=1e-4)
    assert extract_palette(data).left_out == 0.5


def test_one_colour_declared_transparent(encoded):
    image = Image.new("RGB", (20, 10), (255, 0, 255))
    image.paste((10, 120, 60), (10, 0, 20, 10))
    data = encoded(image, transparency=(255, 0, 255))
    assert open_photo(data).getpixel((2, 2)) == (255, 255, 255)
    assert open_photo(data).getpixel((15, 5)) == (10, 120, 60)


@pytest.mark.parametrize("mode", ["F", "I", "LAB", "HSV"])
def test_other_pixel_kinds_are_refused_and_say_what_to_do(mode):
    words = rf"kept\.tif keeps its pixels in a way that is not read here \({mode}\); save it as"
    with pytest.raises(ImageError, match=words):
        open_photo(Image.new(mode, (4, 4)), name="kept.tif")
