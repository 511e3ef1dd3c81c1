"""What cannot be read is refused in words that name it, and nothing of Pillow's gets out."""

import re
import struct
import zlib
from io import BytesIO, StringIO

import numpy as np
import pytest
from PIL import Image

from brief.errors import ImageError, TooLarge
from brief.photo import (
    MAX_BYTES,
    check_photo,
    describe_photo,
    extract_palette,
    measure_patch,
    open_photo,
    rendition,
)

FORMATS = ["JPEG", "PNG", "WEBP", "TIFF", "HEIC", "AVIF", "BMP"]


@pytest.fixture(scope="module")
def small_files(encoded, photographs):
    with Image.open(photographs["coffee"]) as coffee:
        image = coffee.crop((200, 100, 360, 220))
    files = {kind: encoded(image, kind) for kind in FORMATS}
    files["progressive JPEG"] = encoded(image, "JPEG", progressive=True)
    files["compressed TIFF"] = encoded(image, "TIFF", compression="tiff_lzw")
    return files


EVERY_WAY_IN = [
    open_photo,
    check_photo,
    describe_photo,
    extract_palette,
    measure_patch,
    lambda data, name: rendition(data, within=100, name=name),
]


@pytest.mark.parametrize("way_in", EVERY_WAY_IN)
@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", r"is empty \(0 bytes\); choose a JPEG, PNG, WebP, TIFF, HEIC, AVIF or BMP picture$"),
        (b"Dear maker, ", r"“walnut\.jpg” is not a picture .*\(JPEG, PNG, .*with “Dear maker,”$"),
        (
            b"GIF89a\x01\0\x01\0",
            r"“walnut\.jpg” is a GIF, .* 256 colours.* as PNG or JPEG$",
        ),
        (b"%PDF-1.7\n", r"“walnut\.jpg” is not a picture .* with “%PDF-1\.7”$"),
        (b"\0\0\0\x1cftypcrx \0\0\0\0", r"not a picture .* begins with no readable text$"),
        (b"BM is all that it says", r"not a picture .* begins with “BM is all that it says”$"),
        (b"\xff\xd8\xff\xe0", r"“walnut\.jpg” is a JPEG file, but it is damaged or cut short"),
        (b"\x89PNG\r\n\x1a\n", r"“walnut\.jpg” is a PNG file, but it is damaged or cut short"),
        (b"RIFF\x0c\0\0\0WEBPVP8 ", r"is a WebP file, but it is damaged or cut short"),
        (b"II*\0\x08\0\0\0", r"is a TIFF file, but it is damaged or cut short"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", r"is a HEIC file, but it is damaged or cut short"),
        (b"\0\0\0\x18ftypavif\0\0\0\0", r"is an AVIF file, but it is damaged or cut short"),
        (b"BM" + bytes(12) + b"\x28\0\0\0", r"is a BMP file, but it is damaged or cut short"),
    ],
)
def test_not_a_picture(way_in, data, words):
    with pytest.raises(ImageError, match=words):
        way_in(data, name="walnut.jpg")


def test_a_real_gif_is_refused(encoded, quarters):
    with pytest.raises(ImageError, match="the picture is a GIF"):
        open_photo(encoded(quarters, "GIF"))


def test_a_path_goes_by_its_file_name(tmp_path):
    letter = tmp_path / "letter.jpg"
    letter.write_bytes(b"Dear maker")
    for source in (letter, str(letter)):
        with pytest.raises(ImageError, match=r"^“letter\.jpg” is not a picture"):
            open_photo(source)


@pytest.mark.parametrize(
    ("data", "beginning"),
    [
        (b"\xef\xbb\xbf\r\n  Dear\0maker", "“Dear”"),
        ("Grüße aus dem Moor".encode(), "“Grüße aus dem Moor”"),
        ("\u202egpj.exe".encode(), "no readable text"),
        (b"D\0e\0a\0r\0", "no readable text"),
        (b"MZ\x90\0", "no readable text"),
        (b"<!doctype html><html lang=en><title>", "“<!doctype html><html lan”"),
    ],
)
def test_what_a_person_can_read_of_a_file_is_repeated(data, beginning):
    with pytest.raises(ImageError, match=rf"it begins with {re.escape(beginning)}$"):
        open_photo(data)


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("moor\n.jpg", "“moor .jpg”"),
        ("\u202egpj.exe", "“ gpj.exe”"),
        ("x" * 200, "“" + "x" * 79 + "…”"),
    ],
)
def test_a_name_in_a_message_is_one_short_line(name, label):
    with pytest.raises(ImageError, match=rf"^{re.escape(label)} is empty"):
        open_photo(b"", name=name)


def test_no_such_file(tmp_path):
    with pytest.raises(ImageError, match=r"“missing\.jpg” cannot be opened: "):
        open_photo(tmp_path / "missing.jpg")
    with pytest.raises(ImageError, match="cannot be opened: "):
        open_photo(tmp_path)


def test_a_file_opened_as_text():
    with pytest.raises(ImageError, match="the picture must be opened in binary mode"):
        open_photo(StringIO("Dear maker"))


@pytest.mark.parametrize("as_stream", [False, True])
def test_too_many_bytes(as_stream):
    data = b"\xff\xd8\xff" + bytes(MAX_BYTES)
    with pytest.raises(TooLarge, match=r"“tome\.jpg” is larger than 64 MB, the most") as caught:
        open_photo(BytesIO(data) if as_stream else data, name="tome.jpg")
    assert caught.value.status == 413


def png_header(width: int, height: int) -> bytes:
    body = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    header = struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
    return b"\x89PNG\r\n\x1a\n" + header + struct.pack(">I", 0) + b"IDAT" + bytes(4)


def jpeg_of(width: int, height: int, encoded) -> bytes:
    data = encoded(Image.new("RGB", (16, 16)), "JPEG")
    frame = data.index(b"\xff\xc0") + 5
    return data[:frame] + struct.pack(">HH", height, width) + data[frame + 4 :]


def test_too_many_pixels_is_said_before_decoding(encoded):
    for data in (png_header(20_000, 10_001), jpeg_of(20_000, 10_001, encoded)):
        words = r"too many pixels \(20000 by 10001 pixels\); at most 200 million"
        with pytest.raises(TooLarge, match=words):
            open_photo(data, within=100)
        with pytest.raises(TooLarge, match=words):
            describe_photo(data)
    assert describe_photo(png_header(20_000, 10_000)).width == 20_000


def test_tiff_and_webp_bombs(encoded):
    """Their readers judge some sizes themselves; it comes to the same."""
    tiff = encoded(Image.new("L", (16, 16)), "TIFF")
    width = tiff.index(struct.pack("<HHI", 256, 4, 1))
    bomb = tiff[: width + 8] + struct.pack("<I", 60_000_000) + tiff[width + 12 :]
    with pytest.raises(TooLarge, match="too many pixels"):
        open_photo(bomb)
    header = b"VP8X" + struct.pack("<II", 10, 0) + (16_383).to_bytes(3, "little") * 2
    webp = b"RIFF" + struct.pack("<I", len(header) + 4) + b"WEBP" + header
    with pytest.raises(TooLarge, match="too many pixels"):
        open_photo(webp)


@pytest.mark.parametrize("left", [0.3, 0.6, 0.9, 0.97])
@pytest.mark.parametrize("kind", [*FORMATS, "progressive JPEG", "compressed TIFF"])
def test_cut_short(kind, left, small_files):
    cut = small_files[kind][: int(len(small_files[kind]) * left)]
    for way_in in (open_photo, check_photo, extract_palette, measure_patch):
        with pytest.raises(
            ImageError, match=r"“oak” is an? \w+ file, but it is damaged or cut short"
        ):
            way_in(cut, name="oak")


def test_cut_short_is_noticed_at_an_eighth_too(encoded, photographs):
    with Image.open(photographs["china"]) as china:
        data = encoded(china, "JPEG")
    with pytest.raises(ImageError, match="damaged or cut short"):
        open_photo(data[: len(data) * 9 // 10], within=50)


def test_a_wrong_byte_in_a_png_is_found_before_it_is_kept(small_files):
    data = bytearray(small_files["PNG"])
    data[-40] ^= 0x10
    with pytest.raises(ImageError, match="the picture is a PNG file, but it is damaged"):
        check_photo(bytes(data))


@pytest.mark.parametrize("kind", [*FORMATS, "progressive JPEG", "compressed TIFF"])
def test_random_damage_gives_a_picture_or_an_image_error(kind, small_files):
    rng = np.random.default_rng(len(kind))
    refused = 0
    for _ in range(60):
        data = bytearray(small_files[kind])
        # Half of the time in the first 300 bytes, where the structure is.
        reach = len(data) if rng.random() < 0.5 else 300
        for position in rng.integers(4, reach, rng.integers(1, 8)):
            data[position] = rng.integers(256)
        try:
            check_photo(bytes(data))
            assert open_photo(bytes(data), within=40).mode == "RGB"
        except (ImageError, TooLarge):
            refused += 1
    assert refused > 0
