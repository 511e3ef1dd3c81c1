"""One missing or damaged picture stops nothing: whatever leaves the house goes without, and says
so."""

from __future__ import annotations

import io
import json
import re
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from PIL import Image

from brief.services.sharing import printed_pictures
from brief.services.sheets import SHEETS
from brief.store.desk import Store
from tests.api.once import fixture_once

ANY = {"If-Match": "*"}
ZERO = "https://creativecommons.org/publicdomain/zero/1.0/"
WALNUT, SKY = (92, 60, 44), (40, 160, 210)
FILES = [
    ("parcel.zip", {}),
    ("booklet.pdf", {}),
    ("card.pdf", {}),
    ("for-comment.html", {}),
    ("picture.png", {"height": 300}),
    ("picture.svg", {"height": 300}),
    ("picture.pdf", {}),
    ("instrument.glb", {}),
]


@pytest.fixture(autouse=True)
def small_front(monkeypatch) -> None:
    """The instrument as a thumbnail: drawing it large takes most of the time."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)


@fixture_once
def full(client, brief, make, send, picture) -> dict:
    """A brief with a picture that may be printed, and a top of a board whose photograph has a
    scale."""
    (sky,) = send(("sky.png", picture(SKY))).json()
    client.patch(f"/api/references/{sky['id']}", json={"rights": ZERO}, headers=ANY)
    make("palettes", reference_id=sky["id"], colours=2)
    walnut = make("materials", label="walnut")
    (shot,) = send(
        ("plank.png", picture(WALNUT)), to="photographs", material_id=walnut["id"]
    ).json()
    scale = {"scale_points": "0,50 100,50", "scale_mm": 100}
    assert client.patch(f"/api/photographs/{shot['id']}", json=scale, headers=ANY).is_success
    make("parts", brief_id=brief["id"], role="top", material_id=walnut["id"])
    shell = make("materials", label="shell", reading="Lab 84 4 20")
    make("pairings", brief_id=brief["id"], ground_id=walnut["id"], inlay_id=shell["id"])
    return {"reference": sky, "material": walnut, "shot": shot}


def _missing(place: Path) -> None:
    place.unlink()


def _damaged(place: Path) -> None:
    data = place.read_bytes()
    place.write_bytes(bytes(8) + data[8:])


def _cut_short(place: Path) -> None:
    place.write_bytes(place.read_bytes()[:60])


WAYS = pytest.mark.parametrize("way", [_missing, _damaged, _cut_short])


@pytest.fixture
def lose(store: Store, home: Path, full, spoil) -> Callable[[Callable[[Path], None]], None]:
    """Lose both pictures in one way, and all that was made of them."""

    def lost(way: Callable[[Path], None]) -> None:
        shutil.rmtree(home / "images" / "renditions", ignore_errors=True)
        for one in (full["reference"], full["shot"]):
            spoil(store, one["picture"]["sha256"], way)

    return lost


@pytest.mark.slow
@WAYS
@pytest.mark.parametrize(("name", "asked"), FILES)
def test_every_file_is_made(client, brief, lose, name, asked, way) -> None:
    lose(way)
    answer = client.get(f"/api/briefs/{brief['id']}/{name}", params=asked)
    assert answer.status_code == 200, answer.text


@pytest.mark.slow
@pytest.mark.parametrize(("name", "asked"), FILES[1:])
def test_a_file_that_was_made_without_leads_to_what_it_lacks(
    client, brief, lose, name, asked
) -> None:
    """By a Link of RFC 8288; the relation is in IANA's registry (W3C POWDER)."""
    at = f"/api/briefs/{brief['id']}"
    assert "link" not in client.get(f"{at}/{name}", params=asked).headers
    lose(_missing)
    lacking = client.get(f"{at}/{name}", params=asked).links["describedby"]["url"]
    assert lacking == f"{at}/missing-pictures"
    named = [one["name"] for one in client.get(lacking).json()["items"]]
    assert "plank.png" in named
    path = "/api/briefs/{brief_id}/" + re.sub("picture[.].*", "picture.{form}", name)
    described = client.app.openapi()["paths"][path]["get"]["responses"]["200"]
    assert "Link" in described["headers"]


@pytest.mark.slow
@WAYS
def test_every_page_is_shown(client, brief, full, lose, way) -> None:
    lose(way)
    pages = ["/", *(f"/briefs/{brief['id']}/{one.key}" for one in SHEETS)]
    pages += [f"/briefs/{brief['id']}/{one}" for one in ("beside", "revisions", "panel")]
    for at in [*pages, f"/briefs/{brief['id']}/timber/{full['material']['id']}"]:
        assert client.get(at).status_code == 200, at


@pytest.mark.slow
@WAYS
def test_a_link_shows_the_brief_without(client, brief, make, lose, way) -> None:
    sheets = ["theme", "references", "spec", "pairings", "drawing"]
    address = make("shares", brief_id=brief["id"], name="the bird counter", sheets=sheets)[
        "address"
    ]
    lose(way)
    page = client.get(address)
    assert page.status_code == 200
    pictures = re.findall(r'(?:src|href)="(/s/[^"]+/seen/[^"]*)"', page.text)
    assert pictures
    for at in pictures:
        assert client.get(at.replace("&amp;", "&")).status_code == 200, at


@pytest.mark.slow
@pytest.mark.parametrize(
    ("way", "why"), [(_missing, "missing"), (_cut_short, "damaged"), (_damaged, "damaged")]
)
def test_which_they_are_is_said_on_every_sheet_and_in_the_api(
    client, brief, full, lose, send, picture, way, why
) -> None:
    at = f"/api/briefs/{brief['id']}/missing-pictures"
    assert client.get(at).json() == {"items": []}
    lose(way)
    for one in ("reference", "shot"):  # as the pages do
        assert client.get(full[one]["picture"]["thumb"]).status_code in (404, 422)
    assert [(one["name"], one["of"], one["why"]) for one in client.get(at).json()["items"]] == [
        ("sky.png", "reference “sky”", why),
        ("plank.png", "photograph of walnut", why),
    ]
    for sheet in SHEETS:
        page = client.get(f"/briefs/{brief['id']}/{sheet.key}").text
        assert "“sky.png”, reference “sky”" in page
        assert "brief check --repair --from BACKUP" in page
    send(("sky.png", picture(SKY)), ("plank.png", picture(WALNUT)))
    assert client.get(at).json() == {"items": []}


@pytest.mark.slow
def test_where_nothing_is_missing_nothing_is_said(client, brief, full) -> None:
    assert 'id="lost"' not in client.get(f"/briefs/{brief['id']}/references").text


@pytest.mark.slow
def test_a_picture_of_no_brief_that_there_is(client, refused) -> None:
    refused(client.get("/api/briefs/nowhere/missing-pictures"), 404, "not_found")


@pytest.mark.slow
def test_the_file_itself_is_a_problem_that_says_what_to_do(client, full, lose, refused) -> None:
    lose(_missing)
    sha256 = full["reference"]["picture"]["sha256"]
    for size in ("original", "page"):
        refused(client.get(f"/images/{sha256}/{size}"), 404, "not_found", "Add the same file again")


# The zip.


@pytest.mark.slow
@WAYS
def test_the_zip_names_what_it_lacks_and_still_comes_in_elsewhere(
    app, client, brief, full, lose, tmp_path, way
) -> None:
    hashes = {full[one]["picture"]["sha256"] for one in ("reference", "shot")}
    lose(way)
    data = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    packed = zipfile.ZipFile(io.BytesIO(data))
    assert not [name for name in packed.namelist() if name.startswith("images/")]
    assert {*json.loads(packed.read("brief.json"))["missing"]} == hashes
    assert "  sky.png\n" in packed.read("read-me.txt").decode()
    elsewhere = app.state.store = Store(tmp_path / "elsewhere")
    try:
        answer = client.post("/api/parcels", files={"file": ("a.zip", data)})
        assert answer.status_code == 201, answer.text
        assert {*answer.json()["missing"]} == {"sky.png", "plank.png"}
        assert re.search(
            r" The files of “\w+\.png” and “\w+\.png” are missing\.", answer.json()["said"]
        )
        for sheet in SHEETS:
            page = client.get(f"/briefs/{brief['id']}/{sheet.key}")
            assert page.status_code == 200
            assert "“sky.png”, reference" in page.text
        again = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
        assert again == data
    finally:
        elsewhere.close()


@pytest.mark.slow
def test_a_whole_zip_is_written_as_it_always_was(client, brief, full) -> None:
    data = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    assert "missing" not in json.loads(zipfile.ZipFile(io.BytesIO(data)).read("brief.json"))


@pytest.mark.slow
@WAYS
def test_bringing_a_whole_zip_in_again_puts_the_files_back(
    client, store, brief, full, lose, way
) -> None:
    data = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    lose(way)
    answer = client.post("/api/parcels", files={"file": ("a.zip", data)})
    assert (answer.status_code, answer.json()["outcome"]) == (200, "here")
    assert answer.json()["missing"] == []
    for one in ("reference", "shot"):
        assert store.images.sound_bytes(full[one]["picture"]["sha256"]) is not None


@pytest.mark.slow
@WAYS
def test_adding_the_same_picture_again_puts_its_file_back(
    client, store, full, lose, send, picture, way
) -> None:
    lose(way)
    sha256 = full["reference"]["picture"]["sha256"]
    (again,) = send(("sky again.png", picture(SKY))).json()
    assert again["picture"]["sha256"] == sha256
    assert store.images.sound_bytes(sha256) is not None
    assert client.get(f"/images/{sha256}/page").status_code == 200


@pytest.mark.slow
def test_what_was_only_said_of_a_picture_is_put_right_when_it_comes(
    app, client, brief, full, lose, send, picture, tmp_path
) -> None:
    lose(_missing)
    packed = zipfile.ZipFile(
        io.BytesIO(client.get(f"/api/briefs/{brief['id']}/parcel.zip").content)
    )
    members = {name: packed.read(name) for name in packed.namelist()}
    document = json.loads(members["brief.json"])
    for row in document["images"]:
        row["width_px"] = 3
    members["brief.json"] = json.dumps(document).encode()
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as out:
        for name, data in members.items():
            out.writestr(name, data)
    elsewhere = app.state.store = Store(tmp_path / "elsewhere")
    try:
        files = {"file": ("a.zip", target.getvalue())}
        assert client.post("/api/parcels", files=files).status_code == 201
        (again,) = send(("sky.png", picture(SKY))).json()
        assert again["picture"]["width_px"] == 48
    finally:
        elsewhere.close()


@pytest.mark.slow
@pytest.mark.parametrize(
    "change",
    [
        lambda d: d.update(missing=["0" * 64]),
        lambda d: d.update(missing=["../../etc/passwd"]),
        lambda d: d.update(missing="all"),
        lambda d: d["images"][0].update(width_px=0),
        lambda d: d["images"][0].update(width_px=10**6, height_px=10**6),
        lambda d: d["images"][0].update(name=""),
    ],
)
def test_a_lack_that_cannot_be_is_refused(
    client, brief, full, lose, refused, on_disk, change
) -> None:
    lose(_missing)
    packed = zipfile.ZipFile(
        io.BytesIO(client.get(f"/api/briefs/{brief['id']}/parcel.zip").content)
    )
    document = json.loads(packed.read("brief.json"))
    change(document)
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as out:
        out.writestr("brief.json", json.dumps(document))
    before = on_disk()
    answer = client.post("/api/parcels", files={"file": ("a.zip", target.getvalue())})
    refused(answer, 422, "bad_parcel", pointer="/file")
    assert on_disk() == before


# What is drawn in their place.


def test_a_frame_is_drawn_in_place_of_a_picture_and_its_colour_in_place_of_a_board(
    client, brief, full, lose
) -> None:
    """And neither stays once the file is back."""
    at = f"/api/briefs/{brief['id']}/picture.png"
    whole = Image.open(io.BytesIO(client.get(at, params={"height": 300}).content)).convert("RGB")
    lose(_missing)
    without = Image.open(io.BytesIO(client.get(at, params={"height": 300}).content)).convert("RGB")
    middle = (without.width // 2, without.height * 3 // 4)
    for one, other in zip(whole.getpixel(middle), without.getpixel(middle), strict=True):
        assert abs(one - other) <= 3  # JPEG; the picture is of one colour
    with pdfium.PdfDocument(
        client.get(f"/api/briefs/{brief['id']}/booklet.pdf").content
    ) as document:
        words = " ".join(page.get_textpage().get_text_bounded() for page in document)
    said = " ".join(words.split())
    assert "The file of this picture, “sky.png”, is missing or damaged." in said
    assert "Picture files that are missing or damaged: “plank.png” and “sky.png”." in said


@pytest.mark.slow
def test_what_was_drawn_without_a_picture_is_drawn_again_with_it(
    client, home, brief, full, lose, send, picture
) -> None:
    at = f"/api/briefs/{brief['id']}/card.pdf"
    asked = {"picture": full["reference"]["id"]}
    for name in (asked, {}):
        client.get(at, params=name)
    whole = [client.get(at, params=name).content for name in (asked, {})]
    lose(_missing)
    lost = [client.get(at, params=name).content for name in (asked, {})]
    assert lost[0] != whole[0]
    assert not [*(home / "images" / "renditions").rglob("drawn-*")]
    send(("sky.png", picture(SKY)))
    send(("plank.png", picture(WALNUT)))
    assert [client.get(at, params=name).content for name in (asked, {})] == whole
