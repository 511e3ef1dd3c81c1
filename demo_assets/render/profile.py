"""A Display P3 colour profile, built by hand so that a phone's kind of file can be made.

ICC.1:2022 gives the layout (header, tag table, XYZ, para, sf32, mluc); the primaries and white
are those of SMPTE EG 432-1 with the D65 white and the sRGB curve of IEC 61966-2-1.
"""

from __future__ import annotations

import struct

import numpy as np

from demo_assets.render.noise import Array

PRIMARIES = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))
D65 = (0.3127, 0.3290)
D50_XYZ = np.array([0.9642, 1.0, 0.8249])  # the profile connection space, ICC.1 7.2.16
BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)


def _xyz(x: float, y: float) -> Array:
    return np.array([x / y, 1.0, (1 - x - y) / y])


def rgb_to_xyz() -> Array:
    """Linear Display P3 to XYZ under its own D65 white."""
    corners = np.stack([_xyz(*p) for p in PRIMARIES], axis=1)
    return corners * np.linalg.solve(corners, _xyz(*D65))


def adaptation() -> Array:
    """Bradford, D65 to D50."""
    cones = (BRADFORD @ D50_XYZ) / (BRADFORD @ _xyz(*D65))
    return np.linalg.inv(BRADFORD) @ np.diag(cones) @ BRADFORD


def _s15(*values: float) -> bytes:
    """Numbers as s15Fixed16."""
    return b"".join(struct.pack(">i", round(v * 65536)) for v in values)


def _text(text: str) -> bytes:
    words = text.encode("utf-16-be")
    return struct.pack(">4sIII2s2sII", b"mluc", 0, 1, 12, b"en", b"GB", len(words), 28) + words


def display_p3() -> bytes:
    """The profile's bytes, version 4."""
    columns = adaptation() @ rgb_to_xyz()
    curve = (
        b"para"
        + struct.pack(">IHH", 0, 3, 0)
        + _s15(2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    )
    tags = {
        b"desc": _text("Display P3"),
        b"cprt": _text("CC0 1.0"),
        b"wtpt": b"XYZ \0\0\0\0" + _s15(*D50_XYZ),
        b"chad": b"sf32\0\0\0\0" + _s15(*adaptation().ravel()),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns.T, strict=True):
        tags[name] = b"XYZ \0\0\0\0" + _s15(*column)
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, data in tags.items():
        table += struct.pack(">4sII", name, start + len(body), len(data))
        body += data + b"\0" * (-len(data) % 4)
    head = struct.pack(">I4xI4s4s4s", start + len(body), 0x04400000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H4s28x", 2026, 1, 1, 0, 0, 0, b"acsp") + _s15(*D50_XYZ)
    return head.ljust(128, b"\0") + table + body
