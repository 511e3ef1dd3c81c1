"""Pictures and colour profiles made on the spot."""

import struct
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import skimage
import sklearn
from PIL import Image


def _tag(signature: bytes, body: bytes) -> bytes:
    return signature + bytes(4) + body


def _fixed(values) -> bytes:
    """s15Fixed16 numbers, ICC.1:2022, 4.6."""
    return b"".join(struct.pack(">i", round(value * 65536)) for value in values)


def _text(name: str) -> bytes:
    """A textDescriptionType, ICC.1:2001-04, 6.5.17."""
    ascii_name = name.encode() + b"\0"
    return _tag(b"desc", struct.pack(">I", len(ascii_name)) + ascii_name + bytes(78))


def _profile(kind: bytes, space: bytes, connection: bytes, tags: dict[bytes, bytes]) -> bytes:
    """An ICC profile: 128-byte header, tag table, tags. ICC.1:2001-04, chapter 6."""
    table, body = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for signature, data in tags.items():
        table += signature + struct.pack(">II", start + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    header = (
        struct.pack(">I4sI", start + len(body), b"none", 0x02400000)
        + kind
        + space
        + connection
        + struct.pack(">6H", 2026, 1, 1, 0, 0, 0)
        + b"acsp"
        + bytes(28)
        + _fixed([0.9642, 1.0, 0.8249])  # D50, the white of the connection space
    )
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def _bradford_to_d50(matrix, white):
    """Columns of an RGB to XYZ matrix adapted to D50; the cone matrix from ICC.1:2022, annex E."""
    cones = np.array(
        [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
    )
    scale = (cones @ [0.9642, 1.0, 0.8249]) / (cones @ white)
    return np.linalg.inv(cones) @ np.diag(scale) @ cones @ matrix


@pytest.fixture(scope="session")
def display_p3_profile() -> bytes:
    """Display P3: the primaries of SMPTE EG 432-1, D65, the curve of IEC 61966-2-1."""
    chromaticities = {"red": (0.680, 0.320), "green": (0.265, 0.690), "blue": (0.150, 0.060)}
    columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in chromaticities.values()]).T
    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    matrix = _bradford_to_d50(columns * np.linalg.solve(columns, white), white)
    steps = np.arange(1024) / 1023
    curve = np.where(steps <= 0.04045, steps / 12.92, ((steps + 0.055) / 1.055) ** 2.4)
    encoded = np.rint(curve * 65535).astype(">u2").tobytes()
    transfer = _tag(b"curv", struct.pack(">I", 1024) + encoded)
    tags = {b"desc": _text("Display P3"), b"wtpt": _tag(b"XYZ ", _fixed([0.9642, 1, 0.8249]))}
    for letter, column in zip((b"r", b"g", b"b"), matrix.T, strict=True):
        tags[letter + b"XYZ"] = _tag(b"XYZ ", _fixed(column))
        tags[letter + b"TRC"] = transfer
    return _profile(b"mntr", b"RGB ", b"XYZ ", tags)


@pytest.fixture(scope="session")
def press_profile():
    """Build a CMYK profile from the Lab (D50) of its 16 solid overprints, C changing slowest."""

    def build(corners_lab) -> bytes:
        lab = np.asarray(corners_lab, dtype=float)
        # Lab as the 16-bit table type of version 2 profiles has it: ICC.1:2001-04, 6.5.9, table 12.
        encoded = np.stack(
            [lab[:, 0] * 65280 / 100, (lab[:, 1] + 128) * 256, (lab[:, 2] + 128) * 256], axis=-1
        )
        straight = struct.pack(">HH", 0, 65535)
        table = (
            struct.pack(">BBBB", 4, 3, 2, 0)
            + _fixed(np.eye(3).ravel())
            + struct.pack(">HH", 2, 2)
            + straight * 4
            + np.rint(encoded).astype(">u2").tobytes()
            + straight * 3
        )
        tags = {
            b"desc": _text("A press that does not exist"),
            b"wtpt": _tag(b"XYZ ", _fixed([0.9642, 1, 0.8249])),
            b"A2B0": _tag(b"mft2", table),
        }
        return _profile(b"prtr", b"CMYK", b"Lab ", tags)

    return build


@pytest.fixture(scope="session")
def encoded():
    """The bytes of a picture in a format of Pillow's."""

    def encode(image: Image.Image, kind: str = "PNG", **options) -> bytes:
        target = BytesIO()
        if kind == "HEIC":
            from pillow_heif import encode as encode_heif

            if "exif" in options:
                options["exif"] = options["exif"].tobytes()
            encode_heif(image.mode, image.size, image.tobytes(), target, **options)
        else:
            image.save(target, kind, **options)
        return target.getvalue()

    return encode


@pytest.fixture(scope="session")
def quarters() -> Image.Image:
    """120 × 80, its quarters red and green above, blue and yellow below; no two corners alike."""
    pixels = np.zeros((80, 120, 3), dtype=np.uint8)
    pixels[:40, :60] = [200, 40, 40]
    pixels[:40, 60:] = [40, 160, 60]
    pixels[40:, :60] = [40, 60, 180]
    pixels[40:, 60:] = [220, 200, 60]
    return Image.fromarray(pixels)


@pytest.fixture(scope="session")
def photographs() -> dict[str, Path]:
    """Photographs that come with scikit-learn and scikit-image."""
    learn = Path(sklearn.__file__).parent / "datasets" / "images"
    image = Path(skimage.__file__).parent / "data"
    return {
        "china": learn / "china.jpg",
        "flower": learn / "flower.jpg",
        "coffee": image / "coffee.png",
        "astronaut": image / "astronaut.png",
        "chelsea": image / "chelsea.png",
        "rocket": image / "rocket.jpg",
    }
