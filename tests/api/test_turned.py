"""The instrument as a body to turn: GLB by the API, and what tells one from another."""

from __future__ import annotations

import base64
import gzip
import json
import re
import struct
from typing import Any

import pytest

from brief.api import mailed
from brief.services.drawing import body_files
from tests.api.once import fixture_once

ANY = {"If-Match": "*"}
WALNUT, CEDAR = (92, 60, 44), (176, 120, 80)


def said_by(data: bytes) -> dict[str, Any]:
    """The JSON chunk (glTF 2.0, 4.4.3)."""
    assert data[:4] == b"glTF"
    (length,) = struct.unpack_from("<I", data, 12)
    said: dict[str, Any] = json.loads(data[20 : 20 + length])
    return said


@fixture_once
def dressed(client, brief, make, send, picture) -> dict[str, Any]:
    """A top with a photograph, finished in French polish, and a nut of a metal."""
    walnut = make("materials", label="Bay 3, walnut", public_name="walnut")
    send(("plank.png", picture(WALNUT)), to="photographs", material_id=walnut["id"])
    brass = make("materials", label="brass", stuff="metal", reading="Lab 70 5 40")
    parts = client.get(f"/api/parts?brief_id={brief['id']}").json()["items"]
    by_role = {one["role"]: one for one in parts}
    for role, change in (
        ("top", {"material_id": walnut["id"], "finish": "French polish"}),
        ("nut", {"material_id": brass["id"]}),
    ):
        at = f"/api/parts/{by_role[role]['id']}"
        assert client.patch(at, json=change, headers=ANY).status_code == 200
    return {"at": f"/api/briefs/{brief['id']}/instrument.glb", "parts": by_role, "walnut": walnut}


def materials(data: bytes) -> dict[str, dict[str, Any]]:
    """By the role of a solid, which is its name in an instrument with one of them."""
    said = said_by(data)
    looks = said["materials"]
    return {
        one["name"]: looks[one["primitives"][0]["material"]]
        for one in said["meshes"]
        if one["name"] in ("top", "nut", "back", "fret 1")
    }


def test_it_says_that_it_is_computed_and_what_of_it_is_measured(client, dressed) -> None:
    answer = client.get(dressed["at"])
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "model/gltf-binary"  # IANA, media types
    assert "attachment" in answer.headers["content-disposition"]
    asset = said_by(answer.content)["asset"]
    assert asset["version"] == "2.0"
    assert asset["copyright"].startswith("Computed, not photographed.")
    assert {"measured", "guessed"} < set(asset["extras"])


def test_each_part_has_its_own_material(client, dressed) -> None:
    of = materials(client.get(dressed["at"]).content)
    assert "baseColorTexture" in of["top"]["pbrMetallicRoughness"]
    assert of["nut"]["pbrMetallicRoughness"]["metallicFactor"] == 1
    assert of["fret 1"]["pbrMetallicRoughness"]["metallicFactor"] == 1
    assert of["back"]["name"] == "Back: still open"
    assert of["top"]["name"] == "walnut"  # as others read it, not by its place in the shop
    assert b"Bay 3" not in client.get(dressed["at"]).content


def test_a_finish_shines_once_it_is_on(client, dressed) -> None:
    bare, finished = (
        materials(client.get(dressed["at"], params={"state": state}).content)["top"]
        for state in ("bare", "finished")
    )
    assert "extensions" not in bare
    assert finished["extensions"]["KHR_materials_clearcoat"]["clearcoatFactor"] == 1


def test_it_is_sent_once(client, dressed) -> None:
    """RFC 9110, 13.1.2."""
    first = client.get(dressed["at"])
    again = client.get(dressed["at"], headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    other = client.get(dressed["at"], params={"state": "finished"})
    assert other.headers["etag"] != first.headers["etag"]


def test_other_wood_is_another_body(client, dressed, make) -> None:
    before = client.get(dressed["at"])
    maple = make("materials", label="maple", reading="Lab 80 5 20")
    nut = f"/api/parts/{dressed['parts']['nut']['id']}"
    was = client.get(nut).json()["material"]["id"]
    client.patch(nut, json={"material_id": maple["id"]}, headers=ANY)
    after = client.get(dressed["at"])
    client.patch(nut, json={"material_id": was}, headers=ANY)
    back = client.get(dressed["at"])
    assert before.headers["etag"] != after.headers["etag"]
    assert before.content == back.content != after.content


def test_what_was_made_is_kept(client, dressed, monkeypatch) -> None:
    before = client.get(dressed["at"]).content
    monkeypatch.setattr(body_files, "solids", lambda *_: pytest.fail("made again"))
    assert client.get(dressed["at"]).content == before


def test_of_woods_that_were_tried_on_the_last_few_are_kept(client, dressed, make) -> None:
    def kept() -> int:
        return len(list(client.app.state.store.images.renditions.rglob("body-*.glb")))

    client.get(dressed["at"])
    nut = f"/api/parts/{dressed['parts']['nut']['id']}"
    for tone in range(body_files.KEPT + 1):
        tried = make("materials", label=f"Maple {tone}", reading=f"Lab {60 + tone} 5 20")
        client.patch(nut, json={"material_id": tried["id"]}, headers=ANY)
        assert client.get(dressed["at"]).status_code == 200
    assert kept() == body_files.KEPT


def test_of_no_brief_and_no_such_state(client, dressed, refused) -> None:
    refused(client.get("/api/briefs/nowhere/instrument.glb"), 404, "not_found")
    assert client.get(dressed["at"], params={"state": "burnt"}).status_code == 422


def test_a_file_by_mail_holds_it_where_there_is_room(client, dressed, monkeypatch) -> None:
    at = dressed["at"].replace("instrument.glb", "for-comment.html?sheets=spec")
    text = client.get(at).text
    (held,) = re.findall('data-turned="data:application/gzip;base64,([^"]+)"', text)
    assert said_by(gzip.decompress(base64.b64decode(held)))["asset"]["version"] == "2.0"
    assert 'href="data:application/gzip' not in text  # it is in it once
    monkeypatch.setattr(mailed, "MAX_BYTES", len(held))
    less = client.get(at)
    assert less.status_code == 200
    assert "data-turned=" not in less.text.partition("<script>")[0]
