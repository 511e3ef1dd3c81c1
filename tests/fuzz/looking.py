"""Looking for marks in whatever an answer holds: in words, and packed into files of every kind."""

from __future__ import annotations

import base64
import functools
import gzip
import json
import re
import zipfile
from collections.abc import Iterator
from html import unescape
from io import BytesIO

import numpy as np
import pypdfium2 as pdfium
from PIL import Image

from tests.fuzz.marks import WORD, Marks
from tests.fuzz.whole_brief import WRITTEN_IN_FILE

# A colour that only pictures have that nobody outside may see.
HIDDEN_COLOUR = (255, 0, 255)
HIDDEN_PICTURE, IN_FILE = "the colour of a hidden picture", "what the file of a photograph says"
DATA_URI = re.compile(rb"data:[\w/+.-]+;base64,([A-Za-z0-9+/=]+)")
# Numbers of a drawing are no sums of money.
DRAWN = re.compile(
    r' (?:d|points|transform|viewBox|[xyr]|[xy][12]|c[xy]|r[xy]|width|height|offset|values)="[^"]*"'
)
SUM = re.compile(r"(?<![\w.,])(7\d)(?:[,\u202f\u2009\u00a0 ]?(\d\d7)(?!\w)|\.(\d\d7)31(?!\w))")
DAY = re.compile(r"(?<=[a-z] )(2\d\d\d)(?!\w)|(?<!\w)(2\d\d\d)(?=-?[01]\d-?[0-3]\d(?!\w))")


def pieces(data: bytes) -> Iterator[bytes]:
    """The bytes, and what is within them: zip, gzip, PDF, pictures, GLB, data in an address."""
    yield data
    if data[:2] == b"\x1f\x8b":
        yield from pieces(gzip.decompress(data))
    elif data[:4] == b"PK\x03\x04":
        with zipfile.ZipFile(BytesIO(data)) as packed:
            yield packed.comment
            for name in packed.namelist():
                yield name.encode()
                yield from pieces(packed.read(name))
    elif data[:5] == b"%PDF-":
        with pdfium.PdfDocument(data) as document:
            yield json.dumps(document.get_metadata_dict(), ensure_ascii=False).encode()
            for page in document:
                yield page.get_textpage().get_text_bounded().encode()
    elif data[:4] == b"glTF":
        yield from _in_glb(data)
    for found in DATA_URI.findall(data):
        yield from pieces(base64.b64decode(found))


def _in_glb(data: bytes) -> Iterator[bytes]:
    """The pictures of a body (glTF 2.0, 4.4.3: a chunk of JSON, then one of bytes)."""
    length = int.from_bytes(data[12:16], "little")
    said, packed = json.loads(data[20 : 20 + length]), data[28 + length :]
    for picture in said.get("images", ()):
        view = said["bufferViews"][picture["bufferView"]]
        start = view.get("byteOffset", 0)
        yield from pieces(packed[start : start + view["byteLength"]])


@functools.lru_cache(maxsize=512)  # refusals are word for word the same
def found_in(data: bytes, marks: Marks) -> frozenset[str | bytes]:
    """What of the marks stands anywhere in it: words as they are, other finds in words."""
    seen: set[str | bytes] = set()
    for piece in pieces(data):
        seen |= {one.lower() for one in WORD.findall(piece)} & marks.words.keys()
        if WRITTEN_IN_FILE.encode() in piece:
            seen.add(IN_FILE)
        if _is_hidden(piece):
            seen.add(HIDDEN_PICTURE)
        if b"\0" not in piece[:4096]:
            seen |= _numbers(piece.decode("utf-8", "replace"), marks)
    return frozenset(seen)


def _numbers(text: str, marks: Marks) -> set[str]:
    plain = unescape(DRAWN.sub("", DATA_URI.sub(b"", text.encode()).decode()))
    sums = {int("".join(one)) for one in SUM.findall(plain)}
    years = {int(one or other) for one, other in DAY.findall(plain)}
    return {marks.numbers[one] for one in sums & marks.numbers.keys()} | {
        marks.years[one] for one in years & marks.years.keys()
    }


def _is_hidden(data: bytes) -> bool:
    """Whether any of that colour is in it, if it is a picture."""
    if data[:3] != b"\xff\xd8\xff" and data[:8] != b"\x89PNG\r\n\x1a\n" and data[8:12] != b"WEBP":
        return False
    red, green, blue = np.moveaxis(np.asarray(Image.open(BytesIO(data)).convert("RGB")), 2, 0)
    return bool(((red > 200) & (green < 60) & (blue > 200)).any())
