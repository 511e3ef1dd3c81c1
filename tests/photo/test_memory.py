"""No picture within the limits takes a gigabyte to be read: in a process of its own, measured."""

from __future__ import annotations

import struct
import subprocess
import sys
import time
import zlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path
from threading import Barrier, Lock

import numpy as np
import pytest
from PIL import Image, TiffImagePlugin

from brief.errors import ImageError, TooLarge
from brief.photo import Region, check_photo, open_photo
from brief.photo.files.intake import open_pixels
from brief.photo.files.memory import MOST_ROOM, taking

resource = pytest.importorskip("resource", reason="this system does not say what a process took")

MOST_MIB = 1024
SIDE = 14_000  # 196 million pixels
# What is done to every photograph that comes in: it is checked, measured, and shown.
READ = r"""
import re, resource, sys
from pathlib import Path
from brief.errors import TooLarge
from brief.photo import Region, check_photo, open_photo, rendition
path = Path(sys.argv[1])
try:
    check_photo(path)
    rendition(path, within=1600)
    open_photo(path, within=2400)
    rendition(path, within=900, region=Region(40, 40, 10, 10))
    outcome = "read"
except TooLarge as exc:
    outcome = str(exc)
status = Path("/proc/self/status")
if status.exists():  # there ru_maxrss begins with what the process that started this one had
    took = int(re.search(r"VmHWM:\s*(\d+)", status.read_text())[1]) // 2**10
else:
    took = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 2**20
print(took, outcome)
"""


def png(colour: int, depth: int, side: int = SIDE, *, interlaced: bool = False) -> bytes:
    """A PNG of one colour, row by row: W3C PNG, 11.2.2 (colour types) and 8.2 (Adam7)."""
    channels = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[colour]
    # Of each pass: its first column and row, and its steps.
    passes = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2))
    packed, rows = zlib.compressobj(1), []
    for x, y, across, down in (*passes, (0, 1, 1, 2)) if interlaced else ((0, 0, 1, 1),):
        row = b"\0" + b"\x78" * (-(-(side - x) // across) * channels * depth // 8)
        rows += [packed.compress(row) for _ in range(y, side, down)]
    palette = _chunk(b"PLTE", bytes(range(256)) * 3) + _chunk(b"tRNS", b"\x80" * 256)
    header = struct.pack(">IIBBBBB", side, side, depth, colour, 0, 0, interlaced)
    return (
        b"\x89PNG\r\n\x1a\n"
        + _chunk(b"IHDR", header)
        + (palette if colour == 3 else b"")
        + _chunk(b"IDAT", b"".join(rows) + packed.flush())
        + _chunk(b"IEND", b"")
    )


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def saved(mode: str, size: tuple[int, int], kind: str, **options: object) -> bytes:
    target = BytesIO()
    image = Image.new(mode, size, (120, 80, 60, 200)[: len(Image.new(mode, (1, 1)).getbands())])
    image.save(target, kind, **options)
    return target.getvalue()


ONE_STRIP = {"compression": "tiff_adobe_deflate", "tiffinfo": {278: SIDE}}
LONG = [pytest.mark.long]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("make", "outcome"),
    [
        pytest.param(lambda: png(6, 8), "read", id="PNG with alpha"),
        pytest.param(lambda: png(0, 16), "read", id="PNG, 16 bit grey"),
        pytest.param(lambda: png(2, 8), "read", id="PNG", marks=LONG),
        pytest.param(lambda: png(2, 16), "read", id="PNG, 16 bit", marks=LONG),
        pytest.param(lambda: png(6, 16), "read", id="PNG with alpha, 16 bit", marks=LONG),
        pytest.param(lambda: png(4, 16), "read", id="PNG, grey with alpha", marks=LONG),
        pytest.param(lambda: png(3, 8), "read", id="PNG with a palette", marks=LONG),
        pytest.param(lambda: png(6, 8, interlaced=True), "read", id="PNG, Adam7", marks=LONG),
        pytest.param(
            lambda: saved("RGB", (12_000, 9_000), "JPEG"), "read", id="JPEG, 108 MP", marks=LONG
        ),
        pytest.param(
            lambda: saved("RGB", (16_320, 12_240), "JPEG"), "read", id="JPEG, 200 MP", marks=LONG
        ),
        pytest.param(
            lambda: saved("RGB", (12_000, 9_000), "JPEG", progressive=True, subsampling=0),
            "read",
            id="progressive JPEG, 108 MP",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("RGB", (SIDE, SIDE), "JPEG", progressive=True, subsampling=0),
            "without “progressive”",
            id="progressive JPEG",
            marks=LONG,
        ),
        pytest.param(lambda: saved("CMYK", (SIDE, SIDE), "JPEG"), "read", id="CMYK", marks=LONG),
        pytest.param(
            lambda: saved("RGB", (13_000, 13_000), "TIFF", compression="tiff_lzw"),
            "read",
            id="TIFF",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("RGB", (10_000, 10_000), "TIFF", **ONE_STRIP),
            "read",
            id="TIFF in one strip",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("CMYK", (13_000, 13_000), "TIFF", **ONE_STRIP),
            "as a JPEG",
            id="TIFF in one strip, CMYK",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("RGBA", (6_800, 6_800), "WEBP", lossless=True, method=0, quality=0),
            "read",
            id="WebP",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("RGBA", (13_000, 13_000), "WEBP", lossless=True, method=0, quality=0),
            "as a JPEG",
            id="large WebP",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("RGB", (7_000, 7_000), "AVIF", quality=20, speed=10),
            "read",
            id="AVIF",
            marks=LONG,
        ),
        pytest.param(
            lambda: saved("1", (SIDE, SIDE), "BMP"),
            "read",
            id="BMP",
            marks=LONG,
        ),
    ],
)
def test_a_picture_is_read_within_a_gigabyte_or_refused_in_words(
    tmp_path: Path, make: Callable[[], bytes], outcome: str
) -> None:
    path = tmp_path / "large"
    path.write_bytes(make())
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", READ, path],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    took, _, said = done.stdout.strip().partition(" ")
    print(f"{took} MiB, {said}")
    assert said == outcome if outcome == "read" else outcome in said
    assert int(took) < MOST_MIB


@pytest.mark.long
def test_a_large_heic_too(tmp_path: Path) -> None:
    from pillow_heif import register_heif_opener

    register_heif_opener()
    data = saved("RGB", (7_000, 7_000), "HEIF", quality=20)
    test_a_picture_is_read_within_a_gigabyte_or_refused_in_words(tmp_path, lambda: data, "read")


def test_a_tile_larger_than_its_picture_is_counted() -> None:
    """TIFF 6.0, section 15: a tile is unpacked whole, though the picture ends within it."""
    target = BytesIO()
    Image.new("RGB", (64, 64)).save(target, "TIFF", compression="tiff_adobe_deflate")
    with TiffImagePlugin.TiffImageFile(BytesIO(target.getvalue())) as small:
        tags = dict(small.tag_v2)
    del tags[TiffImagePlugin.ROWSPERSTRIP]
    tags |= {TiffImagePlugin.TILEWIDTH: 2**16, TiffImagePlugin.TILELENGTH: 2**16}
    tiled = BytesIO()
    info = TiffImagePlugin.ImageFileDirectory_v2()
    for tag, value in tags.items():
        info[tag] = value
    tiled.write(b"II*\0\x08\0\0\0")
    tiled.write(info.tobytes(8))
    with pytest.raises(TooLarge, match="would need 12,885 MB of memory to open"):
        check_photo(tiled.getvalue())


def test_what_is_run_length_coded_is_refused_before_it_is_decoded() -> None:
    """Pillow decodes it pixel by pixel in Python, which may take minutes."""
    data = bytearray(saved("P", (64, 64), "BMP"))
    data[30:34] = struct.pack("<I", 1)  # BI_RLE8
    with pytest.raises(ImageError, match="in a way that is not read here"):
        check_photo(bytes(data))


@pytest.mark.parametrize("mode", ["L", "RGB", "LA", "RGBA", "I;16"])
@pytest.mark.parametrize("region", [None, Region(13, 7, 60, 71.5)])
def test_strips_join_without_a_seam(monkeypatch, mode: str, region: Region | None) -> None:
    """The same to the last bit, whether a picture is looked at in one piece or in many."""
    levels = np.random.default_rng(5).integers(0, 2**16, (311, 457, 4), dtype=np.uint16)
    if mode == "I;16":
        image = Image.fromarray(levels[..., 0])
    else:
        bands = len(Image.new(mode, (1, 1)).getbands())
        pixels = np.ascontiguousarray((levels[..., :bands] >> 8).astype(np.uint8))
        image = Image.frombytes(mode, (457, 311), pixels.tobytes())
    target = BytesIO()
    image.save(target, "PNG")
    for within in (None, 200, 31):
        whole = open_pixels(target.getvalue(), within=within, region=region)
        with monkeypatch.context() as patched:
            patched.setattr("brief.photo.files.crop._STRIP", 457 * 5)
            strips = open_pixels(target.getvalue(), within=within, region=region)
        assert np.array_equal(np.asarray(whole.rgb), np.asarray(strips.rgb))
        assert (whole.alpha is None) == (strips.alpha is None)
        if whole.alpha is not None and strips.alpha is not None:
            assert np.array_equal(np.asarray(whole.alpha), np.asarray(strips.alpha))


def test_a_very_large_picture_is_the_small_one_averaged(monkeypatch) -> None:
    """Where the gap between whole pixels and the wanted size is closed, colours stay."""
    waves = np.sin(np.arange(900) / 40)[:, None] * np.cos(np.arange(1200) / 55)[None]
    pixels = np.stack([127 + 100 * waves, 127 - 100 * waves, 90 + 40 * waves], axis=-1)
    target = BytesIO()
    Image.fromarray(pixels.astype(np.uint8)).save(target, "PNG")
    usual = np.asarray(open_photo(target.getvalue(), within=500), dtype=float)
    monkeypatch.setattr("brief.photo.files.crop._LARGE", 1000)
    monkeypatch.setattr("brief.photo.files.crop._MOST_LEFT", 1000)
    closed = np.asarray(open_photo(target.getvalue(), within=500), dtype=float)
    assert np.abs(usual - closed).max() < 3


def test_pictures_that_are_read_at_once_share_the_room() -> None:
    size, held, most = MOST_ROOM // 3, 0, 0
    counted, go = Lock(), Barrier(9)

    def read(size_bytes: int) -> None:
        nonlocal held, most
        go.wait()
        with taking(size_bytes):
            with counted:
                held += size_bytes
                most = max(most, held)
            time.sleep(0.01)
            with counted:
                held -= size_bytes

    with ThreadPoolExecutor(9) as threads:
        list(threads.map(read, [size] * 8 + [MOST_ROOM]))
    assert held == 0
    assert 2 * size <= most <= MOST_ROOM


def test_a_picture_that_fails_gives_its_room_back() -> None:
    for _ in range(2):
        with pytest.raises(ZeroDivisionError), taking(MOST_ROOM):
            raise ZeroDivisionError
