"""Finish tests: what a finish does to the colour of a piece, before and after."""

from __future__ import annotations

import numpy as np
import pytest

from brief.colour import delta_e_2000
from brief.services.common.formatting import shift_words
from tests.api.once import fixture_once

BARE, OILED, LACQUERED = (150, 111, 74), (120, 80, 48), (160, 118, 70)
CARD = {
    "correct_by": "card",
    "card": "grey card 18 %",
    "card_region": "xywh=percent:10,10,30,30",
}


@fixture_once
def shots(send, make, picture):
    """A piece, and its photographs before and after."""
    material = make("materials", label="offcut")
    files = [("bare.png", picture(BARE)), ("oiled.png", picture(OILED))]
    before, after = send(*files, to="photographs", material_id=material["id"]).json()
    return {"material_id": material["id"], "before_id": before["id"], "after_id": after["id"]}


@pytest.fixture
def lab_of(client):
    return lambda id_: client.get(f"/api/photographs/{id_}").json()["colour"]["lab"]


def test_the_shift_is_after_less_before(make, shots, lab_of) -> None:
    """Independent errors add as the root of the sum of squares: JCGM 100:2008 (GUM), 5.1.2."""
    test = make("finish-tests", **shots, name="  tung oil, two coats ")
    before, after = lab_of(shots["before_id"]), lab_of(shots["after_id"])
    assert test["name"] == "tung oil, two coats"
    assert test["shift"]["d_lab"] == pytest.approx(np.subtract(after, before).tolist())
    assert test["shift"]["delta_e"] == pytest.approx(float(delta_e_2000(before, after)))
    # Both as shot, so that four fifths of each one’s 16 are common to both and cancel.
    assert test["shift"]["uncertainty"] == pytest.approx(9.6 * 2**0.5)
    assert [test["before"]["lab"], test["after"]["lab"]] == [before, after]
    turned = shots | {"before_id": shots["after_id"], "after_id": shots["before_id"]}
    back = make("finish-tests", **turned, name="stripped")["shift"]
    assert back["d_lab"] == pytest.approx([-part for part in test["shift"]["d_lab"]])
    assert back["delta_e"] == pytest.approx(test["shift"]["delta_e"])


def test_it_follows_a_photograph_that_is_measured_anew(
    client, make, shots, lab_of, picture
) -> None:
    test = make("finish-tests", **shots, name="oil")
    at = f"/api/photographs/{shots['after_id']}"
    after = client.patch(at, json=CARD, headers={"If-Match": "*"}).json()
    now = client.get(f"/api/finish-tests/{test['id']}").json()
    moved = np.subtract(after["colour"]["lab"], lab_of(shots["before_id"]))
    assert now["shift"]["d_lab"] == pytest.approx(moved.tolist())
    assert now["shift"]["d_lab"] != pytest.approx(test["shift"]["d_lab"])
    uncertainties = (16, after["colour"]["uncertainty"])
    assert now["shift"]["uncertainty"] == pytest.approx(float(np.hypot(*uncertainties)))
    assert now["etag"] != test["etag"]


def test_corrected_alike_by_a_card_it_is_surer_than_by_different_means(client, make, shots) -> None:
    doubts = []
    for shot in ("before_id", "after_id"):
        at = f"/api/photographs/{shots[shot]}"
        doubts.append(client.patch(at, json=CARD, headers={"If-Match": "*"}).json())
    doubt = float(np.hypot(*(one["colour"]["uncertainty"] for one in doubts)))
    shift = make("finish-tests", **shots, name="oil")["shift"]
    assert shift["uncertainty"] == pytest.approx(0.6 * doubt)


def test_it_may_be_turned_to_another_photograph(client, send, make, shots, lab_of, picture) -> None:
    test = make("finish-tests", **shots, name="oil")
    third = send(
        ("lacquer.png", picture(LACQUERED)), to="photographs", material_id=shots["material_id"]
    )
    change = {"after_id": third.json()[0]["id"], "name": "lacquer"}
    at = f"/api/finish-tests/{test['id']}"
    now = client.patch(at, json=change, headers={"If-Match": test["etag"]}).json()
    wanted = np.subtract(third.json()[0]["colour"]["lab"], lab_of(shots["before_id"]))
    assert now["shift"]["d_lab"] == pytest.approx(wanted.tolist())
    assert (now["name"], now["after_id"]) == ("lacquer", change["after_id"])


def test_it_goes_along_with_a_photograph_and_comes_back_with_it(client, make, shots) -> None:
    test = make("finish-tests", **shots, name="oil")
    other = make("finish-tests", **shots, name="more oil")
    for field in ("before_id", "after_id"):
        at = f"/api/photographs/{shots[field]}"
        assert client.get(f"{at}/along").json()["along"] == ["2 finish tests"]
        removed = client.delete(at, headers={"If-Match": "*"}).json()
        assert removed["along"] == ["2 finish tests"]
        assert client.get(f"/api/finish-tests/{test['id']}").status_code == 404
        client.post(removed["take_back"])
        back = client.get(f"/api/finish-tests/{test['id']}").json()
        assert back["shift"] == test["shift"]
    listed = client.get(f"/api/finish-tests?material_id={shots['material_id']}").json()["items"]
    assert [one["id"] for one in listed] == [test["id"], other["id"]]
    piece = f"/api/materials/{shots['material_id']}"
    assert client.get(f"{piece}/along").json()["along"] == ["2 photographs", "2 finish tests"]


def test_one_taken_back_knows_what_was_measured_meanwhile(client, make, shots, lab_of) -> None:
    test = make("finish-tests", **shots, name="oil")
    removed = client.delete(f"/api/finish-tests/{test['id']}", headers={"If-Match": "*"}).json()
    at = f"/api/photographs/{shots['before_id']}"
    assert client.patch(at, json=CARD, headers={"If-Match": "*"}).status_code == 200
    back = client.post(removed["take_back"]).json()
    moved = np.subtract(lab_of(shots["after_id"]), lab_of(shots["before_id"]))
    assert back["shift"]["d_lab"] == pytest.approx(moved.tolist())


def test_both_photographs_are_of_the_piece_and_are_two(
    client, make, send, shots, refused, on_disk, picture
) -> None:
    other = make("materials", label="walnut")
    foreign = send(("w.png", picture(OILED)), to="photographs", material_id=other["id"]).json()[0]
    gone = send(("g.png", picture(OILED)), to="photographs", material_id=shots["material_id"])
    gone = gone.json()[0]["id"]
    client.delete(f"/api/photographs/{gone}", headers={"If-Match": "*"})
    test = make("finish-tests", **shots, name="oil")
    before = on_disk()
    for change, detail, pointer in (
        ({"before_id": foreign["id"]}, "is of another piece", "/before_id"),
        ({"after_id": foreign["id"]}, "is of another piece", "/after_id"),
        ({"after_id": shots["before_id"]}, "Before and after are two photographs", "/after_id"),
        ({"after_id": gone}, "in the offcuts bin", "/after_id"),
        ({"before_id": "nowhere"}, "no photograph “nowhere”", "/before_id"),
        ({"name": " "}, "Fill this in", "/name"),
    ):
        made = client.post("/api/finish-tests", json={"name": "oil", **shots, **change})
        refused(made, 422, "bad_input", detail, pointer=pointer)
        at = f"/api/finish-tests/{test['id']}"
        changed = client.patch(at, json=change, headers={"If-Match": "*"})
        refused(changed, 422, "bad_input", detail, pointer=pointer)
    nowhere = client.post("/api/finish-tests", json={**shots, "name": "oil", "material_id": "x"})
    refused(nowhere, 422, "bad_input", "no material “x”", pointer="/material_id")
    assert on_disk() == before


class _Shift:
    def __init__(self, *d_lab: float) -> None:
        self.d_lab = d_lab


@pytest.mark.parametrize(
    ("d_lab", "said"),
    [
        ((-8, 3, 5), "darker, redder and yellower"),
        ((4, 0.4, -2), "lighter and bluer"),
        ((0.2, -1.5, 0), "greener"),
        ((0.9, -0.9, 0.9), "hardly any way"),
    ],
)
def test_what_it_does_is_said_in_words(d_lab, said: str) -> None:
    """CIELAB: a to the red, b to the yellow: CIE 15:2004, 8.2.1."""
    assert shift_words(_Shift(*d_lab)) == said
