"""Laying a photograph on a part, as a caller sees it."""

import pytest

BOOK = {"centre": 62.5, "match": "book-left", "turn": 90}


def change(client, part, laying):
    return client.patch(
        f"/api/parts/{part['id']}", json={"laying": laying}, headers={"If-Match": part["etag"]}
    )


def test_a_part_is_laid_and_laid_as_usual_again(client, one_of):
    part = one_of("parts")
    assert part["laying"] is None
    laid = change(client, part, BOOK).json()
    assert laid["laying"] == BOOK
    assert client.get(f"/api/parts/{part['id']}").json()["laying"] == BOOK
    assert change(client, laid, None).json()["laying"] is None


@pytest.mark.parametrize(
    ("laying", "pointer"),
    [
        ({"centre": 120}, "/laying/centre"),
        ({"centre": True}, "/laying/centre"),
        ({"centre": 98, "match": "slip"}, "/laying/centre"),
        ({"match": "butterfly"}, "/laying/match"),
        ({"turn": 45}, "/laying/turn"),
        ({"angle": 3}, "/laying/angle"),
        ("left", "/laying"),
    ],
)
def test_what_cannot_be_laid_is_refused_and_changes_nothing(
    client, one_of, refused, on_disk, laying, pointer
):
    part = one_of("parts")
    before = on_disk()
    code = "bad_input"
    refused(change(client, part, laying), 422, code, pointer=pointer)
    assert on_disk() == before


def test_the_spec_offers_to_lay_what_has_a_photograph(client, brief, send, picture):
    (piece,) = send(("cedar.png", picture()), to="materials").json()
    part = next(
        one
        for one in client.get(f"/api/parts?brief_id={brief['id']}").json()["items"]
        if one["role"] == "top"
    )
    shown = f"lay-form-{part['id']}"
    row = f"/briefs/{brief['id']}/parts/{part['id']}"
    assert shown not in client.get(row).text
    client.patch(
        f"/api/parts/{part['id']}",
        json={"material_id": piece["id"]},
        headers={"If-Match": part["etag"]},
    )
    page = client.get(row).text
    assert shown in page
    assert "the photograph has no scale" in page
