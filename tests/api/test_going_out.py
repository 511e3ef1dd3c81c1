"""What goes out says public names for the pieces of the rack, and the sizes of the drawing."""

from __future__ import annotations

import io
import json
import re
from html import unescape

import pypdfium2 as pdfium
import pytest

from brief.services.sharing import printed_pictures
from tests.api.once import fixture_once
from tests.figures import says

SHOP = "no. 7"  # of the shop alone: in the label of each piece
CEDAR, WALNUT, SHELL = "Western red cedar", "Feathered walnut", "Silver shell"


@pytest.fixture(autouse=True)
def small_front(monkeypatch):
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)


@fixture_once
def pieces(make):
    """One named by its species, one by its label, one by the name that was given for others."""
    return {
        CEDAR: make(
            "materials", label=f"Top, {SHOP}", species="Thuja plicata", reading="Lab 60 14 26"
        ),
        WALNUT: make("materials", label=f"Feathered walnut, {SHOP}", reading="Lab 38 9 15"),
        SHELL: make(
            "materials",
            label=f"Offcut {SHOP}",
            stuff="shell",
            species="Pinctada maxima",
            public_name=SHELL,
            reading="Lab 88 0 3",
        ),
    }


@fixture_once
def built(client, make, brief, pieces):
    """The brief with parts of these pieces, a pairing, a question and a comment on a piece."""
    here = {"brief_id": brief["id"]}
    parts = client.get("/api/parts", params={**here, "limit": 50}).json()["items"]
    for role, name in (("top", CEDAR), ("back", WALNUT), ("rosette", SHELL)):
        part = next(one for one in parts if one["role"] == role)
        said = {"material_id": pieces[name]["id"], "sizes": "3 mm thick" if role == "top" else ""}
        client.patch(f"/api/parts/{part['id']}", json=said, headers={"If-Match": "*"})
    ids = {name: piece["id"] for name, piece in pieces.items()}
    make("pairings", **here, ground_id=ids[CEDAR], inlay_id=ids[SHELL])
    question = make("questions", **here, text="Which one?", choices=[ids[CEDAR], ids[WALNUT]])
    make("questions", **here, text="Which brief?", choices=[brief["id"], ids[SHELL]])
    costs = {"hour_rate": "61.73", "overhead": "161.73", "asking_price": "6173.61"}
    client.patch(f"/api/briefs/{brief['id']}", json=costs, headers={"If-Match": "*"})
    client.patch(f"/api/materials/{ids[CEDAR]}", json={"price": "61.73"}, headers={"If-Match": "*"})
    make("bought-parts", **here, name="Tuners for the maker alone", price="61.73")
    make("pieces-used", **here, material_id=ids[CEDAR], cost="61.73")
    make("stages", **here, name="Close the box", quick_h=2, likely_h=3, slow_h=5)
    on_piece = {"about_kind": "material", "about_id": ids[CEDAR]}
    make("comments", **here, **on_piece, author="Ines", text="Dents.")
    return {"brief": brief, "question": question}


def words(pdf):
    assert pdf.status_code == 200, pdf.text
    with pdfium.PdfDocument(pdf.content) as document:
        return " ".join(
            " ".join(page.get_textpage().get_text_bounded().split()) for page in document
        )


def without_picture_data(page):
    """The words of a page, and of the titles in its drawings."""
    return unescape(re.sub(r"data:[^\"')]+", "", page))


def names_in(glb):
    """What a GLB says in words (glTF 2.0, 4.4.3), without the places of its points."""
    said = json.loads(glb[20 : 20 + int.from_bytes(glb[12:16], "little")])
    told = ("asset", "scenes", "nodes", "meshes", "materials", "images", "textures", "samplers")
    return json.dumps({key: said[key] for key in told if key in said}, ensure_ascii=False)


@fixture_once
def out(client, make, built):
    """Everything that goes out, as text, by its name."""
    at, here = f"/api/briefs/{built['brief']['id']}", {"brief_id": built["brief"]["id"]}
    link = make("shares", **here, name="Ines", sheets=["theme", "spec", "pairings", "questions"])
    return {
        "booklet": words(client.get(f"{at}/booklet.pdf", params={"comments": True})),
        "card": words(client.get(f"{at}/card.pdf")),
        "link": without_picture_data(client.get(link["address"]).text),
        "mailed file": without_picture_data(
            client.get(
                f"{at}/for-comment.html", params={"sheets": ["spec", "pairings", "questions"]}
            ).text
        ),
        "picture": client.get(f"{at}/picture.svg").text,
        "body to turn": names_in(client.get(f"{at}/instrument.glb").content),
        "file of comments": json.dumps(client.get(f"{at}/comment-file").json()),
    }


def test_nothing_that_goes_out_has_a_label_of_the_shop(out):
    assert out
    for name, text in out.items():
        assert SHOP not in text, name
        assert CEDAR in text, name


def test_nothing_that_goes_out_says_what_it_costs(client, built, out):
    at = f"/api/briefs/{built['brief']['id']}"
    sheets = {one: f"{at}/{one}.pdf" for one in ("passport", "strands", "caption")}
    printed = {name: words(client.get(address)) for name, address in sheets.items()}
    calendar = {"calendar": client.get(f"{at}/run-up.ics").text}
    for name, text in (out | printed | calendar).items():
        for private in ("Tuners for the maker", "/cost"):
            assert private not in text, name
        assert not says(text, "61.73", "61,73", "6173", "6,173"), name
    # They are there to be found.
    assert says(client.get(f"/briefs/{built['brief']['id']}/cost").text, "6,173")
    assert client.get(f"{at}/cost").json()["asking_price"] == 6173.61


@pytest.mark.parametrize("name", ["booklet", "link", "mailed file"])
def test_all_is_called_by_its_public_name(out, name):
    for public in (CEDAR, WALNUT, SHELL):
        assert public in out[name]
    assert f"{SHELL} on {CEDAR}" in out[name]


def test_the_card_names_each_material_once(client, make, built, pieces):
    """Two pieces of one public name are one material to whoever reads the card."""
    here = {"brief_id": built["brief"]["id"]}
    other = make(
        "materials", label="Cedar, no. 9", species="thuja  plicata", reading="Lab 59 14 26"
    )
    make("parts", **here, role="bracing", name="Bracing", material_id=other["id"])
    card = words(client.get(f"/api/briefs/{built['brief']['id']}/card.pdf"))
    assert card.count(CEDAR) == 1
    assert f"Top and bracing: {CEDAR}" in card


def test_a_question_between_two_of_one_name_tells_them_apart(client, make, built, pieces):
    here = {"brief_id": built["brief"]["id"]}
    other = make("materials", label="Cedar, no. 9", species="Thuja plicata", reading="Lab 59 14 26")
    make("questions", **here, text="Which top?", choices=[pieces[CEDAR]["id"], other["id"]])
    link = make("shares", **here, name="Ines", sheets=["questions"])
    page = client.get(link["address"]).text
    assert f"Top, {SHOP}" in page
    assert "Cedar, no. 9" in page


def test_who_answers_is_told_the_public_name(client, make, built):
    here = {"brief_id": built["brief"]["id"]}
    link = make("shares", **here, name="Ines", sheets=["questions"])
    given = {"question_id": built["question"]["id"], "choice": 0, "author": "Ines"}
    answer = client.post(f"{link['address']}/answers", json=given)
    assert answer.json()["said"] == f"You chose the left, {CEDAR}."


def test_the_maker_keeps_the_labels(client, built, pieces):
    for sheet in ("timber", "spec", "pairings"):
        assert f"Top, {SHOP}" in client.get(f"/briefs/{built['brief']['id']}/{sheet}").text
    piece = client.get(f"/briefs/{built['brief']['id']}/timber/{pieces[CEDAR]['id']}").text
    assert f"What others read. If empty: {CEDAR}" in piece
    assert pieces[CEDAR]["in_public"] == CEDAR
    assert pieces[SHELL] | {"public_name": SHELL, "in_public": SHELL} == pieces[SHELL]


def test_a_comment_by_mail_is_not_said_to_be_about_something_renamed(client, make, built, pieces):
    """The copy says the public name, and the rack the label; neither has changed."""
    at = f"/api/briefs/{built['brief']['id']}"
    mailed = client.get(f"{at}/for-comment.html", params={"sheets": ["pairings"]}).text
    head = json.loads(mailed.split('id="file-head">')[1].split("</script>")[0])
    pairing = next(one for one in head["dcterms:references"] if " on " in one["label"])
    head["dcterms:references"] = [pairing | {"modified": "2020-01-01T00:00:00Z"}]
    item = {
        "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a02",
        "type": "Annotation",
        "motivation": "commenting",
        "creator": {"type": "Person", "name": "Ines"},
        "created": "2027-03-01T09:00:00Z",
        "body": {"type": "TextualBody", "value": "Half tide.", "format": "text/plain"},
        "target": pairing["id"],
    }
    page = {
        "@context": "http://www.w3.org/ns/anno.jsonld",
        "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a01",
        "type": "AnnotationPage",
        **head,
        "items": [item],
    }
    sent = {"file": ("said.jsonld", io.BytesIO(json.dumps(page).encode()), "application/ld+json")}
    taken = client.post(f"{at}/comment-file", files=sent).json()
    (comment,) = taken["comments"]
    assert "has been changed since" in comment["since"]
    assert "was called" not in comment["since"]


def test_the_sizes_of_the_drawing_go_out_with_the_note_beside(client, built, out):
    """Of the usual instrument of a new brief, and of one that the maker has changed."""
    asked = {"brief_id": built["brief"]["id"], "limit": 50}
    parts = {part["role"]: part for part in client.get("/api/parts", params=asked).json()["items"]}
    drawn = parts["top"]["drawn"]
    assert re.fullmatch(r"[\d.]+ mm long, [\d.]+ mm wide", drawn)
    row = f"/briefs/{built['brief']['id']}/parts"
    spec = client.get(f"{row}/{parts['top']['id']}").text
    for text in (out["booklet"], out["link"], out["mailed file"], spec):
        assert drawn in text
        assert "Note: 3 mm thick" in text
    at = f"/api/briefs/{built['brief']['id']}/numbers"
    changed = client.patch(at, json={"bridge_width_mm": 171}, headers={"If-Match": "*"})
    assert changed.status_code == 200, changed.text
    assert "171 mm wide," in client.get(f"{row}/{parts['bridge']['id']}").text
