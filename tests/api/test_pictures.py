"""Bad picture files: each refused in words, and nothing of it kept."""

from __future__ import annotations

import errno
import os
import re
import struct
import zlib
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from brief.api import guards


def _chunk(kind: bytes, body: bytes) -> bytes:
    checksum = zlib.crc32(kind + body)
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", checksum)


def _png_of(width: int, height: int) -> bytes:
    """A PNG whose header promises that size; W3C PNG (Third Edition), 11.2.1."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = _chunk(b"IDAT", zlib.compress(bytes(100)))
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", header) + body + _chunk(b"IEND", b"")


def _animated_gif() -> bytes:
    frames = [Image.new("RGB", (16, 16), colour) for colour in ("red", "blue")]
    target = BytesIO()
    frames[0].save(target, "GIF", save_all=True, append_images=frames[1:])
    return target.getvalue()


def _truncated_jpeg(picture) -> bytes:
    whole = picture((92, 64, 44), (142, 138, 106), kind="JPEG", size=(400, 300))
    return whole[: len(whole) // 2]


BAD_FILES = {
    "empty": (lambda _: b"", 422, "bad_image", r"is empty \(0 bytes\); choose a JPEG, PNG"),
    "text": (
        lambda _: b"a shopping list",
        422,
        "bad_image",
        "is not a picture that .* with “a shopping list”",
    ),
    "markup": (lambda _: b"<svg onload=alert(1)>", 422, "bad_image", "is not a picture"),
    "truncated": (_truncated_jpeg, 422, "bad_image", "is damaged or cut short"),
    "bomb": (
        lambda _: _png_of(20_000, 15_000),
        413,
        "too_large",
        r"too many pixels \(20000 by 15000 pixels\); at most 200 million",
    ),
    "damaged": (lambda _: _png_of(16, 16), 422, "bad_image", "is damaged or cut short"),
    "gif": (lambda _: _animated_gif(), 422, "bad_image", "is a GIF.* save it as PNG or JPEG"),
}


@pytest.fixture
def where(make):
    """What goes along with files sent to each of the places that take them."""

    def fields(to: str) -> dict[str, str]:
        return {"material_id": make("materials", label="walnut")["id"]} if to == PIECE else {}

    return fields


PIECE = "photographs"
PLACES = pytest.mark.parametrize("to", ["references", "materials", PIECE])


@PLACES
@pytest.mark.parametrize("bad", BAD_FILES)
def test_a_bad_file_is_refused_in_words(
    send, picture, where, on_disk, refused, bad: str, to: str
) -> None:
    made, status, code, detail = BAD_FILES[bad]
    fields, before = where(to), on_disk()
    response = send(("holiday.jpg", made(picture)), to=to, **fields)
    refused(response, status, code, f"“holiday.jpg” .*{detail}", pointer="/files/0")
    assert on_disk() == before


@PLACES
def test_of_many_files_with_one_bad_none_is_kept(
    send, picture, where, on_disk, refused, to: str
) -> None:
    good = [
        (f"{name}.png", picture(colour)) for name, colour in (("a", (9, 9, 9)), ("b", (80,) * 3))
    ]
    fields, before = where(to), on_disk()
    response = send(*good, ("c.jpg", b"a shopping list"), ("d.png", picture()), to=to, **fields)
    body = refused(response, 422, "bad_image", "“c.jpg” is not a picture", pointer="/files/2")
    assert len(body["errors"]) == 1
    assert on_disk() == before


def test_pictures_that_were_there_before_outlive_a_bad_upload(send, picture, on_disk) -> None:
    data = picture()
    kept = send(("a.png", data)).json()[0]
    before = on_disk()
    assert send(("a.png", data), ("b.jpg", b"no")).status_code == 422
    assert on_disk() == before
    assert len(before["files"]) == 1
    assert kept["picture"]["sha256"] in before["files"][0]


def test_a_file_beyond_the_limit_is_refused(client, brief, on_disk, refused) -> None:
    """100 MB, sent in pieces; at most 64 are taken."""
    before = on_disk()
    response = client.post(
        "/api/references/pictures",
        content=_form(brief["id"], 100 * 2**20),
        headers={"Content-Type": "multipart/form-data; boundary=frontier"},
    )
    refused(response, 413, "too_large", "“film.jpg” is larger than 64 MB", pointer="/files/0")
    assert on_disk() == before


def _form(brief_id: str, size: int) -> Iterator[bytes]:
    """A form with one file of that size, piece by piece; RFC 7578."""
    yield (
        f'--frontier\r\nContent-Disposition: form-data; name="brief_id"\r\n\r\n{brief_id}\r\n'
        '--frontier\r\nContent-Disposition: form-data; name="files"; filename="film.jpg"\r\n'
        "Content-Type: image/jpeg\r\n\r\n"
    ).encode()
    yield b"\xff\xd8\xff"
    piece = bytes(2**20)
    for _ in range(size // len(piece)):
        yield piece
    yield b"\r\n--frontier--\r\n"


def test_a_body_that_says_it_is_too_large_is_not_even_read(client, on_disk, refused) -> None:
    response = client.post(
        "/api/references/pictures",
        content=b"x",
        headers={
            "Content-Type": "multipart/form-data; boundary=frontier",
            "Content-Length": str(guards.MAX_BODY_BYTES + 1),
        },
    )
    refused(response, 413, "too_large", "more than 256 MB at once; send fewer or smaller files")


@pytest.mark.parametrize("content_type", ["multipart/form-data; boundary=x", "application/json"])
def test_a_body_that_grows_too_large_is_cut_off(
    client, brief, on_disk, refused, monkeypatch, content_type: str
) -> None:
    monkeypatch.setattr(guards, "MAX_BODY_BYTES", 2**20)
    at = "references/pictures" if "multipart" in content_type else "motifs"
    before = on_disk()
    response = client.post(
        f"/api/{at}", content=iter([bytes(2**19)] * 3), headers={"Content-Type": content_type}
    )
    refused(response, 413, "too_large", "more than 1 MB at once")
    assert on_disk() == before


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_while_an_image_is_written(
    send, picture, on_disk, refused, brief, monkeypatch, step: str
) -> None:
    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    before = on_disk()
    monkeypatch.setattr(os, step, full)
    response = send(("a.png", picture()))
    refused(response, 507, "store", "The disk is full, so nothing was saved. Free some space")
    assert on_disk() == before
    monkeypatch.undo()
    assert send(("a.png", picture())).status_code == 201


def test_a_disk_that_fills_between_two_images_keeps_neither(
    send, picture, on_disk, refused, brief, monkeypatch
) -> None:
    written, replace = [], os.replace

    def full_at_the_second(*places: Any) -> None:
        written.append(places)
        if len(written) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        replace(*places)

    before = on_disk()
    monkeypatch.setattr(os, "replace", full_at_the_second)
    response = send(("a.png", picture((9, 9, 9))), ("b.png", picture((80, 80, 80))))
    refused(response, 507, "store", "disk is full")
    assert len(written) == 2
    assert on_disk() == before


def test_a_full_disk_hides_no_picture(client, send, picture, on_disk, monkeypatch) -> None:
    shown = send(("a.png", picture())).json()[0]["picture"]

    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    before = on_disk()
    made = [client.get(shown["thumb"]) for _ in range(2)]
    assert {answer.status_code for answer in made} == {200}
    assert Image.open(BytesIO(made[0].content)).size == (48, 32)
    assert on_disk() == before
    monkeypatch.undo()
    assert client.get(shown["thumb"]).content == made[0].content == made[1].content
    assert on_disk() != before


# Pictures that are unusual, but good


def test_a_picture_of_one_colour_has_a_palette_of_one(send, make, picture, brief) -> None:
    reference = send(("wall.png", picture((92, 64, 44)))).json()[0]
    palette = make("palettes", reference_id=reference["id"], colours=6)
    assert [round(one["share"], 6) for one in palette["colours"]] == [1.0]
    assert palette["colours"][0]["colour"]["hex"] == "#5c402c"
    assert palette["asked"] == "6"


def test_a_picture_that_is_all_transparent_has_no_colours(
    client, send, picture, brief, on_disk, refused
) -> None:
    data = picture((0, 0, 0, 0))
    reference = send(("glass.png", data)).json()[0]  # as a reference it may be kept
    before = on_disk()
    response = client.post("/api/palettes", json={"reference_id": reference["id"]})
    refused(response, 422, "bad_image", "nothing to see in “glass.png”: it is transparent")
    response = send(("glass.png", data), to="materials")
    body = refused(response, 422, "bad_image", "transparent all over", pointer="/files/0")
    assert len(body["errors"]) == 1
    assert on_disk() == before


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "TIFF"])
def test_each_kind_of_picture_is_taken_whatever_its_name(send, picture, brief, kind: str) -> None:
    answer = send(("photo.xyz", picture(kind=kind))).json()[0]
    assert answer["picture"]["media_type"] == f"image/{kind.lower()}"
    assert (answer["picture"]["width_px"], answer["picture"]["height_px"]) == (48, 32)
    assert answer["title"] == "photo"


@pytest.mark.parametrize(
    ("region", "detail"),
    [
        ("xywh=percent:60,0,50,100", "must lie inside the picture, 0 to 100 percent"),
        ("xywh=percent:0,0,0,100", "wider and higher than 0"),
        ("xywh=percent:nan,0,50,50", "A part of the picture is four numbers of percent"),
        ("xywh=percent:0,0,1e9,1", "A part of the picture is four numbers"),
        ("xywh=pixel:0,0,10,10", "A part of the picture is four numbers"),
        ("left half", "A part of the picture is four numbers"),
    ],
)
def test_a_region_is_a_part_of_the_picture(
    client, make, one_of, on_disk, refused, region: str, detail: str
) -> None:
    """Regions are W3C Media Fragments 1.0, 4.2.2, in percent."""
    brief, reference, photograph = map(one_of, ("briefs", "references", "photographs"))
    comment = {
        "brief_id": brief["id"],
        "about_kind": "reference",
        "about_id": reference["id"],
        "text": "this spot",
    }
    before = on_disk()
    palette = {"reference_id": reference["id"], "region": region}
    at, anew = f"/api/photographs/{photograph['id']}", {"If-Match": "*"}
    in_picture = f"/api/references/{reference['id']}"
    card = {"correct_by": "card", "card_region": region}
    for response, pointer in (
        (client.post("/api/palettes", json=palette), "/region"),
        (client.post("/api/comments", json={**comment, "region": region}), "/region"),
        (client.patch(at, json={"selections": [region]}, headers=anew), "/selections"),
        (client.patch(at, json=card, headers=anew), "/card_region"),
        (client.patch(in_picture, json=card, headers=anew), "/card_region"),
    ):
        body = refused(response, 422, "bad_input", detail, pointer=pointer)
        assert len(body["errors"]) == 1
        assert re.search(detail, body["errors"][0]["detail"])
    assert on_disk() == before


@pytest.mark.parametrize("colours", [0, 13, "many", 2.5, None, [], True, 1e300, "Auto"])
def test_a_palette_has_1_to_12_colours_or_as_many_as_are_worth_it(
    client, one_of, on_disk, refused, colours: object
) -> None:
    reference = one_of("references")
    before = on_disk()
    response = client.post(
        "/api/palettes", json={"reference_id": reference["id"], "colours": colours}
    )
    detail = "(?i)the number of colours must be between 1 and 12, or auto; got"
    body = refused(response, 422, "bad_input", detail, pointer="/colours")
    assert len(body["errors"]) == 1
    assert on_disk() == before


@pytest.mark.parametrize("colours", ["NaN", "Infinity", "-Infinity"])
def test_a_number_of_colours_that_is_none(client, one_of, on_disk, refused, colours: str) -> None:
    reference, before = one_of("references"), on_disk()
    response = client.post(
        "/api/palettes",
        content=f'{{"reference_id": "{reference["id"]}", "colours": {colours}}}',
        headers={"Content-Type": "application/json"},
    )
    detail = "between 1 and 12, or auto; got"
    refused(response, 422, "bad_input", detail, pointer="/colours")
    assert on_disk() == before


@pytest.mark.parametrize("kind", ["AVIF", "BMP"])
@pytest.mark.parametrize("to", ["references", "materials"])
def test_pictures_of_every_kind_are_kept_shown_and_pulled_from(
    client, send, make, picture, kind: str, to: str
) -> None:
    """Those that phones and scanners save besides JPEG: as a reference, and onto the rack."""
    answer = send((f"reeds.{kind.lower()}", picture(kind=kind)), to=to)
    assert answer.status_code == 201, answer.text
    added = answer.json()[0]
    shown = client.get(added["picture"]["page"])
    assert shown.status_code == 200
    with Image.open(BytesIO(shown.content)) as image:
        assert image.size == (48, 32)
    if to == "references":
        colours = make("palettes", reference_id=added["id"], colours=2)["colours"]
        found = sorted(one["colour"]["lab"][0] for one in colours)
        # WALNUT and REED, by colour-science; AVIF is lossy.
        assert found == pytest.approx([29.7, 57.0], abs=0.7)
    else:
        assert added["colour"]["lab"]
