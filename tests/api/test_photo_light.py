"""Of a photograph can be said whether it was taken by daylight or by a lamp.

How far colours are off in each light, and that the doubt holds, is in `tests/photo/test_doubt.py`.
"""

from __future__ import annotations

import io
import json
import zipfile

import pytest
from PIL import ExifTags, Image

from brief.photo import LIGHTS, Correction
from tests.photo.rendered_bench import CARD, LAMP, WOOD, as_file, board_by_card, woods

BY_CARD = {"correct_by": "card", "card": "grey card 18 %", "card_region": CARD}


@pytest.fixture(scope="module")
def shot() -> bytes:
    return as_file(board_by_card(woods()[25], 0.18, LAMP))


def told(light_source: int) -> bytes:
    """A file that says by which light it was taken."""
    tags = Image.Exif()
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.LightSource] = light_source
    target = io.BytesIO()
    Image.new("RGB", (60, 40), (150, 110, 70)).save(target, "JPEG", exif=tags)
    return target.getvalue()


@pytest.mark.parametrize(
    ("light", "sentence"),
    [
        ("not known", "Not corrected: nothing in the shot says what the light was."),
        ("daylight", "Not corrected: no chart or card is used. It was taken by daylight."),
        ("lamp", "Not corrected: no chart or card is used. It was taken by a lamp."),
    ],
)
def test_the_doubt_is_that_of_the_light(add_shot, change, picture, light, sentence) -> None:
    photograph = add_shot(picture((150, 110, 70)))
    assert photograph["correction"]["light"] == "not known"
    now = change(photograph, light=light).json()
    assert now["correction"]["sentence"] == sentence
    assert now["colour"]["uncertainty"] == LIGHTS[light].nothing.within
    assert now["colour"]["lab"] == photograph["colour"]["lab"]


def test_by_a_card_the_colour_follows_the_light_too(add_shot, change, shot) -> None:
    photograph = change(add_shot(shot), **BY_CARD, selections=[WOOD]).json()
    by = {light: change(photograph, light=light).json() for light in LIGHTS}
    assert by["not known"]["colour"] == photograph["colour"]
    doubts = [by[light]["colour"]["uncertainty"] for light in ("daylight", "not known", "lamp")]
    assert doubts == sorted(set(doubts))
    assert len({tuple(one["colour"]["lab"]) for one in by.values()}) == 3
    assert by["lamp"]["correction"]["sentence"] == (
        "Corrected by the grey card 18 % in the shot. It was taken by a lamp."
    )


def test_an_unknown_light_is_refused_and_changes_nothing(client, add_shot, change, refused, shot):
    photograph = add_shot(shot)
    refused(change(photograph, light="candle"), 422, "bad_input", pointer="/light")
    assert client.get(f"/api/photographs/{photograph['id']}").json() == photograph


@pytest.mark.parametrize(
    ("light_source", "light"), [(10, "daylight"), (3, "lamp"), (4, "not known"), (0, "not known")]
)
def test_what_the_file_says_of_the_light_counts_until_it_is_changed(
    add_shot, change, light_source, light
) -> None:
    """Cloudy, tungsten, flash, unknown."""
    photograph = add_shot(told(light_source))
    assert photograph["correction"]["light"] == light
    assert photograph["colour"]["uncertainty"] == LIGHTS[light].nothing.within
    note = f"The light was read in the file: {light}. Change it if that is wrong."
    assert (note in photograph["notes"]) == (light != "not known")
    changed = change(photograph, light="not known").json()
    assert changed["notes"] == []
    assert changed["colour"]["uncertainty"] == LIGHTS["not known"].nothing.within


def test_a_shift_between_two_lights_is_no_surer_for_being_one_camera(
    client, make, send, change, picture
) -> None:
    piece = make("materials", label="board")
    files = [
        (f"{name}.png", picture(colour))
        for name, colour in (("a", (150, 110, 70)), ("b", (130, 90, 50)))
    ]
    before, after = send(*files, to="photographs", material_id=piece["id"]).json()
    shots = {"before_id": before["id"], "after_id": after["id"]}
    test = make("finish-tests", material_id=piece["id"], **shots, name="oil")
    change(after, light="lamp")
    apart = client.get(f"/api/finish-tests/{test['id']}").json()["shift"]["uncertainty"]
    change(before, light="lamp")
    alike = client.get(f"/api/finish-tests/{test['id']}").json()["shift"]["uncertainty"]
    assert test["shift"]["uncertainty"] < alike < 0.7 * apart


def test_a_reference_has_a_light_and_its_palette_the_doubt(send, make, change, picture) -> None:
    reference = send(("reeds.png", picture())).json()[0]
    change(reference, "references", light="daylight")
    palette = make("palettes", reference_id=reference["id"], colours=2)
    assert palette["colours"][0]["colour"]["uncertainty"] == LIGHTS["daylight"].nothing.within


def test_the_light_goes_along_in_the_zip_and_older_zips_have_none(
    client, add_shot, change, make, brief, shot
) -> None:
    photograph = change(add_shot(shot), **BY_CARD, light="lamp").json()
    make("parts", brief_id=brief["id"], role="top", material_id=photograph["material_id"])
    parcel = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    with zipfile.ZipFile(io.BytesIO(parcel)) as packed:
        members = {name: packed.read(name) for name in packed.namelist()}
    document = json.loads(members["brief.json"])
    (row,) = document["records"]["photographs"]
    assert row["light"] == "lamp"
    correction = row["correction"]
    for said, status in ((None, 201), ("candle", 422)):
        row |= {"light": said}
        if said is None:
            del row["light"]
        target = io.BytesIO()
        with zipfile.ZipFile(target, "w") as packed:
            for name, data in (members | {"brief.json": json.dumps(document)}).items():
                packed.writestr(name, data)
        answer = client.post("/api/parcels", files={"file": ("a.zip", target.getvalue())})
        assert answer.status_code == status, answer.text
    rack = client.get("/api/photographs").json()["items"]
    (came,) = (one["correction"] for one in rack if one["id"] != photograph["id"])
    assert came["light"] == "not known"
    assert came["uncertainty"] == Correction.from_dict(correction).uncertainty
