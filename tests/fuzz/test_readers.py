"""What reads files that somebody else made: each gives a value or an error in words, soon.

Files of ours and of the trade are broken in some places; what comes of that is not known
beforehand. Short by default; the long form looks at some thousands of each.
"""

from __future__ import annotations

import io
import json
import time
import zipfile
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from brief.colour.notation.cgats import read_cgats
from brief.errors import BriefError
from brief.instrument.inlay.design import read_design, shape_of
from brief.instrument.inlay.measures import measure
from brief.instrument.tracing.traced_svg import outline_of_svg
from brief.photo import check_photo, open_photo
from brief.services.feedback.annotation_model import read_page
from brief.services.transfer.zip_files import opened_parcel

MOST_CPU_S = 5.0
PUBLISHED = Path(__file__).parents[1] / "published"
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "HEIF", "AVIF", "BMP")
SVGS = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 80 40">'
    b'<style>.a{fill:#000}</style><g transform="rotate(10 4 4) scale(2)"><path class="a" '
    b'd="M1 1C9 0 9 9 20 9L20 15A5 5 0 0 1 9 9Z"/><circle cx="6" cy="6" r="2" fill="white"/></g>'
    b'<rect x="30" y="4" width="9" height="5" rx="2"/></svg>',
    b'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">'
    b'<path d="M150 0C230 0 300 180 300 250C300 333 233 400 150 400" fill="none" stroke="red"/>'
    b'<polyline points="150,400 60,390 0,250 150,0"/></svg>',
    b"M0 0C8 -3 16 1 24 0L24 2C16 3 8 1 0 4Z",
)
CGATS = (
    b'CGATS.17\nORIGINATOR "made up"\nILLUMINATION_NAME "D65"\nNUMBER_OF_FIELDS 5\n'
    b"BEGIN_DATA_FORMAT\nSAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
    b'NUMBER_OF_SETS 2\nBEGIN_DATA\n1 "bog oak" 22.1 1.9 3.4\n2 reed 61.0 1.2 24.5\nEND_DATA\n',
    b"CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_ID XYZ_X XYZ_Y XYZ_Z\n"
    b"END_DATA_FORMAT\nNUMBER_OF_SETS 1\nBEGIN_DATA\n1 12.5 14.0 9.9\nEND_DATA\n",
)
COMMENT = {
    "@context": "http://www.w3.org/ns/anno.jsonld",
    "type": "AnnotationPage",
    "items": [
        {
            "id": "urn:uuid:0193f5a4-5cb1-7c4e-9a55-b7c5ce1f4c3e",
            "type": "Annotation",
            "motivation": "commenting",
            "created": "2027-05-14T10:00:00Z",
            "creator": {"type": "Person", "name": "Ines"},
            "body": {"type": "TextualBody", "value": "too dark", "format": "text/plain"},
            "target": {
                "source": "urn:uuid:0193f5a4-5cb1-7c4e-9a55-b7c5ce1f4c3f",
                "selector": {"type": "TextQuoteSelector", "exact": "mud", "prefix": "the "},
            },
        }
    ],
}


@pytest.fixture(scope="module")
def photographs() -> list[bytes]:
    from pillow_heif import register_heif_opener

    register_heif_opener()
    pixels = np.random.default_rng(3).integers(0, 256, (24, 40, 3), dtype=np.uint8)
    found = []
    for kind in FORMATS:
        target = io.BytesIO()
        Image.fromarray(pixels).save(target, kind)
        found.append(target.getvalue())
    for mode, kind, options in (
        ("RGB", "JPEG", {"progressive": True}),
        ("RGB", "TIFF", {"compression": "tiff_lzw"}),
        ("P", "PNG", {}),
        ("RGBA", "WEBP", {"lossless": True}),
        ("CMYK", "TIFF", {"compression": "tiff_adobe_deflate"}),
    ):
        target = io.BytesIO()
        Image.fromarray(pixels).convert(mode).save(target, kind, **options)
        found.append(target.getvalue())
    return found


@st.composite
def damaged(draw: st.DrawFn, seeds: Sequence[bytes]) -> bytes:
    """One of the files with some of it other, missing, or there twice."""
    data = bytearray(draw(st.sampled_from(list(seeds))))
    # Half of the places near the beginning, where the structure is.
    near = st.integers(0, min(300, len(data) - 1))
    place = st.one_of(near, st.integers(0, len(data) - 1))
    for _ in range(draw(st.integers(1, 6))):
        at, more = draw(place), draw(st.integers(1, 40))
        match draw(st.sampled_from(["byte", "bytes", "less", "twice", "end"])):
            case "byte":
                data[at : at + 1] = bytes([draw(st.integers(0, 255))])
            case "bytes":
                data[at : at + more] = draw(st.binary(min_size=1, max_size=12))
            case "less":
                del data[at : at + more]
            case "twice":
                data[at:at] = data[at : at + more]
            case "end":
                del data[max(at, 8) :]
        place = st.integers(0, max(0, len(data) - 1))
    return bytes(data)


@st.composite
def changed_json(draw: st.DrawFn, value: object) -> object:
    """The same with some values in it other, at any depth."""
    if draw(st.integers(0, 11)) == 0:
        return draw(
            st.one_of(
                st.none(),
                st.booleans(),
                st.integers(),
                st.floats(allow_nan=False, allow_infinity=False),
                st.text(max_size=40),
                st.just([]),
                st.just({}),
                st.sampled_from(
                    ["urn:uuid:x", "Choice", "oa:Choice", "2027-05-14", "xywh=percent:"]
                ),
            )
        )
    if isinstance(value, dict):
        return {key: draw(changed_json(one)) for key, one in value.items()}
    if isinstance(value, list):
        return [draw(changed_json(one)) for one in value] * draw(st.integers(1, 2))
    return value


def soon(read: Callable[[], object]) -> None:
    """It gives a value, or one of our own errors, and takes no long time to."""
    begun = time.process_time()
    with suppress(BriefError):
        read()
    assert time.process_time() - begun < MOST_CPU_S


def runs(short: int, long: int) -> pytest.MarkDecorator:
    """The short form by itself, the same each time; the long one where it is asked for."""
    return pytest.mark.parametrize(
        "asked",
        [
            pytest.param((short, True), id="short"),
            pytest.param((long, False), id="long", marks=pytest.mark.long),
        ],
    )


def look(asked: tuple[int, bool], files: st.SearchStrategy, read: Callable) -> None:
    examples, the_same = asked

    @settings(
        max_examples=examples,
        derandomize=the_same,
        deadline=None,  # of the wall; CPU time is bounded above
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(files)
    def one(file: object) -> None:
        soon(lambda: read(file))

    one()


@runs(60, 2500)
def test_photographs(asked, photographs) -> None:
    def read(data: bytes) -> None:
        check_photo(data)
        assert open_photo(data, within=40).mode == "RGB"

    look(asked, damaged(photographs), read)


@runs(60, 1500)
def test_drawings_of_inlays(asked) -> None:
    def read(data: bytes) -> None:
        made = read_design(data.decode("utf-8", "replace"))
        measure(shape_of(made.path, 20.0))

    look(asked, damaged(SVGS), read)


@runs(40, 800)
def test_drawings_of_moulds(asked) -> None:
    look(asked, damaged(SVGS), lambda data: outline_of_svg(data.decode("utf-8", "replace")))


@runs(60, 1500)
def test_tables_of_readings(asked) -> None:
    look(asked, damaged(CGATS), read_cgats)


@runs(60, 1500)
def test_files_of_comments(asked) -> None:
    seeds = [(PUBLISHED / "anno.jsonld").read_bytes(), json.dumps(COMMENT).encode()]
    changed = changed_json(COMMENT).map(lambda value: json.dumps(value).encode())
    look(asked, st.one_of(damaged(seeds), changed), read_page)


@runs(40, 900)
def test_zips(asked) -> None:
    """Zips as such; what is in the document of one is changed in test_mutated_parcels.py."""
    form = (Path(__file__).parents[1] / "api" / "form_1.json").read_bytes()
    seeds = []
    for how in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        target = io.BytesIO()
        with zipfile.ZipFile(target, "w", how) as packed:
            packed.writestr("read-me.txt", b"A whole brief")
            packed.writestr("brief.json", form)
        seeds.append(target.getvalue())

    def read(data: bytes) -> None:
        with opened_parcel(io.BytesIO(data)) as packed:
            assert packed.parcel.title

    look(asked, damaged(seeds), read)
