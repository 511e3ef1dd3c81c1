"""Where a piece is seen, and pairings judged and shown for there."""

from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.api.once import fixture_once

DARK, LIGHT = (92, 60, 44), (214, 190, 150)
HALL = {"name": "the hall", "distance_m": 2.0, "light": "LED-B3", "lux": 300}


@fixture_once
def piece(make, send, picture):
    """A walnut board, photographed; its picture is 100 mm wide."""
    walnut = make("materials", label="walnut", species="Juglans nigra")
    (shot,) = send(("walnut.png", picture(DARK)), to="photographs", material_id=walnut["id"]).json()
    return walnut, shot


@fixture_once
def scaled(client, piece):
    walnut, shot = piece
    scale = {"scale_points": "0,50 100,50", "scale_mm": 100}
    etag = {"If-Match": shot["etag"]}
    assert client.patch(f"/api/photographs/{shot['id']}", json=scale, headers=etag).is_success
    return walnut


@fixture_once
def shell(make):
    return make("materials", label="shell", stuff="shell", reading="Lab 84 4 20")


@pytest.fixture
def ask(make, brief, shell):
    def asked(ground, **more):
        return make(
            "pairings", brief_id=brief["id"], ground_id=ground["id"], inlay_id=shell["id"], **more
        )

    return asked


def now(client, pairing):
    return client.get(f"/api/pairings/{pairing['id']}").json()["verdict"]


def test_a_place_is_kept_and_put_in_words(make, brief):
    hall = make("viewings", brief_id=brief["id"], **HALL)
    assert hall["words"] == "in the hall, from 2 m"
    assert hall["light_words"] == "white LED, 4102 K, Ra 85"
    assert 1 < hall["light_uncertainty"] < 5
    assert hall["caution"] == ""


def test_a_lamp_is_known_by_its_kelvin_and_ra(make, brief):
    loft = make(
        "viewings",
        brief_id=brief["id"],
        name="loft",
        light="lamp",
        kelvin=2900,
        rendering=83,
        lux=20,
    )
    assert loft["light_words"] == "a lamp of 2900 K and Ra 83"
    assert "At 20 lx eyes begin to lose colour" in loft["caution"]


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"light": "candle"}, "light", "“candle” is not a light known here; known are A,"),
        ({"kelvin": 2700}, "kelvin", "counts only for a lamp known by its kelvin and Ra"),
        ({"rendering": 300}, "rendering", "counts only for a lamp"),
        ({"light": "lamp"}, "kelvin", "Say the lamp’s colour temperature"),
        ({"light": "lamp", "kelvin": 3000}, "rendering", "Say the lamp’s Ra"),
        ({"light": "lamp", "kelvin": 900, "rendering": 80}, "kelvin", "must be 2000 to 7000"),
        ({"light": "lamp", "kelvin": 3000, "rendering": 20}, "rendering", "must be 50 to 100"),
        ({"distance_m": 0}, "distance_m", "0.2"),
        ({"distance_m": 500}, "distance_m", "20"),
        ({"distance_m": True}, "distance_m", "must be a number"),
        ({"lux": -3}, "lux", "0"),
        ({"name": " "}, "name", ""),
    ],
)
def test_bad_places_are_refused_at_their_field(client, brief, on_disk, wrong, field, said):
    before = on_disk()
    answer = client.post("/api/viewings", json={"brief_id": brief["id"]} | HALL | wrong)
    assert answer.status_code == 422
    assert [(fault["pointer"], said in fault["detail"]) for fault in answer.json()["errors"]] == [
        (f"/{field}", True)
    ]
    assert on_disk() == before


def test_a_pairing_is_judged_for_every_place(client, make, brief, piece, ask):
    pairing = ask(piece[0], line_mm=0.5)
    keys = [one["key"] for one in pairing["verdict"]["seen"]]
    assert keys == ["bench", "bench-protan", "bench-deutan", "bench-tritan"]
    hall = make("viewings", brief_id=brief["id"], **HALL)
    verdict = now(client, pairing)
    seen = {one["key"]: one for one in verdict["seen"]}
    assert list(seen) == ["bench", hall["id"], *(f"{hall['id']}-{eyes}" for eyes in EYES)]
    assert seen[hall["id"]]["seen"] < seen["bench"]["seen"]
    assert seen[hall["id"]]["light"] == "LED-B3"
    assert verdict["worst"] in seen
    assert client.delete(f"/api/viewings/{hall['id']}", headers={"If-Match": "*"}).is_success
    assert [one["key"] for one in now(client, pairing)["seen"]] == keys


EYES = ("protan", "deutan", "tritan")


def test_what_is_not_known_is_said(client, piece, ask):
    missing = " ".join(ask(piece[0])["verdict"]["missing"])
    assert "No finish test, judged bare: walnut; shell." in missing
    assert "Usually walnut bleaches, toward yellow (common practice, no source)." in missing
    assert "No width is given" in missing
    assert "The photograph of walnut has no scale" in missing


def test_a_finish_test_is_seen(client, make, send, change_shot, piece, picture, ask):
    walnut, bare = piece
    pairing = ask(walnut)
    polished = change_shot(
        send(("p.png", picture((70, 42, 28))), to="photographs", material_id=walnut["id"]).json()[
            0
        ],
        state="finished",
    )
    test = make(
        "finish-tests", material_id=walnut["id"], name="polish",
        before_id=bare["id"], after_id=polished["id"],
    )  # fmt: skip
    seen = {one["key"]: one for one in now(client, pairing)["seen"]}
    assert seen["finished"]["state"] == "finished"
    assert seen["finished"]["difference"]["total"] > seen["bench"]["difference"]["total"]
    # What comes after it counts from it.
    aged = change_shot(
        send(("a.png", picture((110, 80, 52))), to="photographs", material_id=walnut["id"]).json()[
            0
        ],
        state="aged",
    )
    make(
        "finish-tests", material_id=walnut["id"], name="years",
        before_id=polished["id"], after_id=aged["id"],
    )  # fmt: skip
    seen = {one["key"]: one for one in now(client, pairing)["seen"]}
    far = seen["aged"]["difference"]["total"]
    assert far < seen["finished"]["difference"]["total"]
    client.delete(f"/api/finish-tests/{test['id']}", headers={"If-Match": "*"})
    assert "finished" not in {one["key"] for one in now(client, pairing)["seen"]}


@pytest.fixture
def change_shot(client):
    def change(shot, **fields):
        etag = {"If-Match": shot["etag"]}
        answer = client.patch(f"/api/photographs/{shot['id']}", json=fields, headers=etag)
        assert answer.is_success, answer.text
        return answer.json()

    return change


def levels(answer):
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "image/jpeg"
    return np.asarray(Image.open(BytesIO(answer.content)).convert("RGB")).astype(float)


def test_a_pairing_is_shown_to_scale(client, scaled, ask):
    pairing = ask(scaled, line_mm=2.0)
    at = f"/api/pairings/{pairing['id']}/picture"
    shown = levels(client.get(at))
    assert shown.shape == (480, 720, 3)
    bright = shown.mean(axis=(1, 2)) > 150
    assert bright.sum() == pytest.approx(24, abs=1)  # 2 mm at 12 pixels for each
    far = levels(client.get(f"{at}?distance_m=4"))
    assert far.max() < shown.max() - 20
    warm = levels(client.get(f"{at}?light=A&eyes=deutan"))
    assert np.abs(warm - shown).mean() > 1


def test_a_pairing_without_a_scale_cannot_be_shown_to_scale(client, piece, ask, refused):
    pairing = ask(piece[0])
    answer = client.get(f"/api/pairings/{pairing['id']}/picture")
    refused(answer, 422, "bad_input", "the photograph of walnut needs a scale")


def test_a_picture_asked_for_wrongly(client, scaled, ask):
    at = f"/api/pairings/{ask(scaled)['id']}/picture"
    for wrong in ("distance_m=0", "eyes=cat", "state=wet", "colour=red"):
        assert client.get(f"{at}?{wrong}").status_code == 422


def test_the_figure_fades_with_the_distance_once_there_is_a_scale(client, make, send, brief, ask):
    streaks = np.repeat(np.random.default_rng(5).normal(0, 14, (300, 1)), 400, axis=1)
    levels = np.clip(np.array(DARK) + streaks[..., None], 0, 255).astype(np.uint8)
    target = BytesIO()
    Image.fromarray(levels).save(target, "PNG")
    walnut = make("materials", label="walnut")
    (shot,) = send(
        ("walnut.png", target.getvalue()), to="photographs", material_id=walnut["id"]
    ).json()
    scale = {"scale_points": "0,50 100,50", "scale_mm": 100}
    etag = {"If-Match": shot["etag"]}
    assert client.patch(f"/api/photographs/{shot['id']}", json=scale, headers=etag).is_success
    make("viewings", brief_id=brief["id"], **HALL | {"light": "D65"})
    pairing = ask(walnut, line_mm=1.0)
    assert not any("no scale" in line for line in pairing["verdict"]["missing"])
    bench, hall = pairing["verdict"]["seen"][:2]
    assert 0 < hall["grain"] < bench["grain"]


def test_pages_show_timber_as_the_switches_stand(client, make, brief, piece, ask):
    hall = make("viewings", brief_id=brief["id"], **HALL)
    ask(piece[0])
    page = f"/briefs/{brief['id']}/pairings"
    plain = client.get(page).text
    assert "data-on" not in plain
    client.cookies.set("seen", f"light={hall['id']}&eyes=deutan&state=finished")
    switched = client.get(page).text
    assert 'id="seen-as"' in switched
    assert "data-on" in switched
    assert "seen-otherwise" in switched
    client.cookies.set("seen", "light=gone&eyes=%00&state=<b>")
    assert client.get(page).text.count("data-on") == 0
