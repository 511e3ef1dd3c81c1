"""Accents are kept with their palette, shown beside it, named as swatches, and go out with it."""

import io
import json
import re
import zipfile
from xml.etree import ElementTree as ET

import pypdfium2 as pdfium
import pytest
from PIL import Image, ImageDraw

from brief.colour.notation.cgats import read_cgats
from brief.services.sharing import printed_pictures
from brief.store.desk import Store
from tests.api.once import fixture_once

SAND, WATER, SPARK = (200, 180, 140), (120, 140, 150), (40, 90, 200)
SPARK_AT = (30, 40)  # percent of width and height
ANY = {"If-Match": "*"}
SVG = "{http://www.w3.org/2000/svg}"


def shore() -> bytes:
    """Sand and water, with a kingfisher on the sand that has 0.4 % of the picture."""
    image = Image.new("RGB", (400, 300), SAND)
    draw = ImageDraw.Draw(image)
    draw.rectangle((200, 0, 400, 300), fill=WATER)
    draw.circle((120, 120), 12, fill=SPARK)
    target = io.BytesIO()
    image.save(target, "PNG")
    return target.getvalue()


@fixture_once
def picture_of_shore(send, client):
    added = send(("shore.png", shore())).json()[0]
    facts = {"credit": "the maker", "source": "the shore", "rights": "mine"}
    assert (
        client.patch(f"/api/references/{added['id']}", json=facts, headers=ANY).status_code == 200
    )
    return added


@fixture_once
def palette(make, picture_of_shore):
    return make("palettes", reference_id=picture_of_shore["id"], colours=2, name="low water")


@fixture_once
def spark(make, brief, palette):
    """The swatch named from the accent."""
    taken = {"palette_id": palette["id"], "palette_index": 2}
    return make("swatches", brief_id=brief["id"], name="kingfisher", **taken)


def test_a_palette_keeps_the_accents_of_its_picture(client, palette) -> None:
    assert len(palette["colours"]) == 2
    (accent,) = palette["accents"]
    assert accent["colour"]["hex"] == "#285ac8"  # SPARK
    assert accent["share"] == pytest.approx(0.0041, rel=0.03)
    assert accent["spot"] == pytest.approx(SPARK_AT, abs=3)
    assert accent["colour"]["uncertainty"] == palette["colours"][0]["colour"]["uncertainty"]
    assert [one["palette_index"] for one in palette["colours"]] == [0, 1]
    assert accent["palette_index"] == 2
    assert client.get(f"/api/palettes/{palette['id']}").json() == palette


def test_an_accent_is_named_as_a_swatch(client, palette, spark) -> None:
    (accent,) = palette["accents"]
    assert spark["colour"]["lab"] == accent["colour"]["lab"]
    assert spark["colour"]["uncertainty"] == accent["colour"]["uncertainty"]
    shown = client.get(f"/api/palettes/{palette['id']}").json()
    assert [one["swatch_ids"] for one in shown["colours"] + shown["accents"]] == [
        [],
        [],
        [spark["id"]],
    ]


def test_beyond_the_accents_there_is_none(client, brief, palette, refused) -> None:
    taken = {"brief_id": brief["id"], "palette_id": palette["id"], "palette_index": 3}
    said = "The palette has 2 colours and 1 accent, counted from 0"
    answer = client.post("/api/swatches", json=taken)
    refused(answer, 422, "bad_input", said, pointer="/palette_index")


def test_a_theme_weighs_a_named_accent_by_its_share(client, make, brief, palette, spark) -> None:
    make("swatches", brief_id=brief["id"], palette_id=palette["id"], palette_index=0)
    piece = make("materials", label="walnut", reading="Lab 30 9 15")
    for role in ("top", "back"):
        make("parts", brief_id=brief["id"], role=role, material_id=piece["id"])
    theme = client.get(f"/api/briefs/{brief['id']}/scheme").json()["theme"]
    share = {one["name"]: one["share"] for one in theme}["kingfisher"]
    of_both = palette["accents"][0]["share"] + palette["colours"][0]["share"]
    assert share == pytest.approx(palette["accents"][0]["share"] / of_both, rel=1e-3)


def test_the_page_marks_accents_by_shape_and_words(client, brief, palette, spark) -> None:
    at = f"/briefs/{brief['id']}/references/{palette['reference_id']}"
    page = client.get(at).text
    section = page[page.index(f'id="palette-{palette["id"]}"') :]
    accents = section[section.index("<b>Accents</b>") :].split("</ol>")[0]
    assert "0.4\u00a0%" in accents
    assert "kingfisher" in accents
    assert 'rx=".5"' in accents  # a round chip
    assert f'data-spot="{palette["accents"][0]["spot"][0]},' in accents
    assert "<circle" in section.split("</ol>")[0]  # and a disc behind the bar


def test_accents_go_out_with_their_palette(client, palette, spark) -> None:
    at = f"/api/exchange/palettes/{palette['id']}"
    assert re.search(
        r"--kingfisher: #285ac8;  /\* kingfisher, accent, 0\.4\s% \*/",
        client.get(f"{at}.css").text,
    )
    drawn = ET.fromstring(client.get(f"{at}.svg").text)
    assert [one.get("fill") for one in drawn.iter(f"{SVG}circle")] == ["#285ac8"]
    assert len(list(drawn.iter(f"{SVG}rect"))) == 2
    *_, last = read_cgats(client.get(f"{at}.txt").content)
    assert last.name.endswith("accent, 0.4%")
    assert last.lab == pytest.approx(palette["accents"][0]["colour"]["lab"], abs=5e-5)


def test_accents_are_in_the_booklet(client, brief, spark, monkeypatch) -> None:
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)
    answer = client.get(f"/api/briefs/{brief['id']}/booklet.pdf")
    assert answer.status_code == 200, answer.text
    with pdfium.PdfDocument(answer.content) as document:
        words = " ".join(page.get_textpage().get_text_bounded() for page in document)
    assert re.search(r"kingfisher\s+accent, 0\.4\s%", words)


def test_accents_are_in_a_zip_and_in_a_frozen_revision(
    client, app, brief, palette, spark, tmp_path
) -> None:
    frozen = client.post("/api/revisions", json={"brief_id": brief["id"]})
    assert frozen.status_code == 201
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    schema = client.get("/api/parcels/schema.json").text
    assert "accents" in schema
    client.delete(f"/api/palettes/{palette['id']}", headers=ANY)
    share = {"brief_id": brief["id"], "name": "the bird counter", "sheets": ["references"]}
    link = client.post("/api/shares", json=share | {"revision_id": frozen.json()["id"]})
    assert link.status_code == 201, link.text
    page = client.get(link.json()["address"]).text
    assert f"accents: {palette['accents'][0]['colour']['words']}" in page

    app.state.store = Store(tmp_path / "elsewhere")
    assert client.post("/api/parcels", files={"file": ("a.zip", packed)}).status_code == 201
    there = client.get(f"/api/palettes/{palette['id']}").json()
    assert there["accents"][0] == palette["accents"][0] | {"swatch_ids": [spark["id"]]}


def _without_accents(packed: bytes) -> bytes:
    """The zip as it was before palettes kept accents."""
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(packed)) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "brief.json":
                document = json.loads(data)
                for row in document["records"]["palettes"]:
                    del row["accents"]
                data = json.dumps(document).encode()
            new.writestr(name, data)
    return target.getvalue()


def test_a_palette_of_before_has_none(client, app, brief, palette, tmp_path) -> None:
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    app.state.store = Store(tmp_path / "elsewhere")
    brought = client.post("/api/parcels", files={"file": ("a.zip", _without_accents(packed))})
    assert brought.status_code == 201, brought.text
    assert client.get(f"/api/palettes/{palette['id']}").json()["accents"] == []
    assert "Accents" not in client.get(f"/briefs/{brief['id']}/references").text


def test_a_swatch_of_an_accent_that_a_zip_has_not_is_refused(
    client, app, brief, spark, tmp_path, refused
) -> None:
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    app.state.store = Store(tmp_path / "elsewhere")
    brought = client.post("/api/parcels", files={"file": ("a.zip", _without_accents(packed))})
    refused(brought, 422, "bad_parcel", "palette has 2 colours, counted from 0")
