"""The passport of an instrument: what it is made of, and the papers to ask about."""

import io

import pypdfium2 as pdfium
import pytest


@pytest.fixture
def passport(client, brief):
    def asked():
        answer = client.get(f"/api/briefs/{brief['id']}/passport")
        assert answer.status_code == 200, answer.text
        return answer.json()

    return asked


@pytest.fixture
def made_of(client, make, brief, change):
    """Make a part of a new piece of the rack; returns the piece."""
    parts = {
        one["role"]: one
        for one in client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    }

    def made(role: str, finish: str = "", **fields):
        piece = make("materials", **fields)
        change(parts[role], "parts", material_id=piece["id"], finish=finish)
        return piece

    return made


def test_an_instrument_without_pieces_has_nothing_to_tell(passport) -> None:
    found = passport()
    assert (found["entries"], found["documents"], found["days"]) == ([], [], 0)
    assert "Choose pieces" in found["lead"]
    assert "Top" in found["undecided"]


def test_what_is_listed_comes_first_and_nothing_is_called_free(passport, made_of) -> None:
    made_of("top", label="Spruce", species="Picea abies", provenance="Ines, 2019", density=420)
    made_of("back", label="Rosewood", species="Dalbergia latifolia", density=830)
    made_of("nut", label="Bone", stuff="bone", species="Bos taurus")
    found = passport()
    assert [one["listing"]["standing"] for one in found["entries"]] == [
        "listed",
        "not known",
        "not on the list",
    ]
    rosewood, bone, spruce = found["entries"]
    assert rosewood["keep"] == "Write down its origin."
    assert bone["weight"] == "not known"
    assert "weight" in bone["keep"]
    assert spruce["source"] == "Ines, 2019"
    assert spruce["keep"] == ""
    assert found["days"] == 90
    assert "decides" in found["decides"]
    assert found["listed_g"] is None
    assert found["listed_weight"].endswith("Bone, not known")
    told = str(found).casefold()
    assert " free" not in told
    assert "no papers" not in told


def test_the_weight_is_that_of_the_cut_list_with_its_doubt(passport, made_of, client, brief):
    made_of("back", label="Rosewood", species="Dalbergia latifolia", density=830)
    (one,) = passport()["entries"]
    # Between a thin and a thick guitar's back of that density: common practice, no source.
    assert 150 < one["weight_g"] < 500
    assert f"{one['weight_g']:.2g}".startswith(one["weight"].removeprefix("about ")[0])
    assert "(" in one["weight"]
    assert passport()["listed_g"] == one["weight_g"]


def test_one_piece_for_several_parts_is_one_entry(passport, made_of, change, client, brief) -> None:
    walnut = made_of("back", label="Walnut", species="Juglans nigra", density=640)
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    alone = passport()["entries"][0]["weight_g"]
    sides = next(one for one in parts if one["role"] == "sides")
    change(sides, "parts", material_id=walnut["id"])
    (one,) = passport()["entries"]
    assert one["parts"] == ["Back", "Sides"]
    assert one["weight_g"] > alone


def test_a_misspelt_species_is_offered_and_can_be_taken(passport, made_of, change, client, brief):
    piece = made_of("top", label="Cedar", species="Thuja plicta")
    assert passport()["entries"][0]["offered"] == "Thuja plicata"
    page = client.get(f"/briefs/{brief['id']}/papers").text
    assert "Did you mean <i>Thuja plicata</i>?" in page
    change(piece, "materials", species="Thuja plicata")
    assert passport()["entries"][0]["offered"] == ""
    assert "Did you mean" not in client.get(f"/briefs/{brief['id']}/papers").text


def test_a_finish_is_not_known_and_says_what_can_hurt(passport, made_of) -> None:
    made_of("top", finish="Danish oil", label="Spruce", species="Picea abies")
    (one,) = passport()["finishes"]
    assert one["listing"] == "not known"
    assert any("rags" in care for care in one["care"])


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_pdf_names_all_materials(client, brief, made_of, paper: str) -> None:
    made_of("top", label="Spruce, no. 4", species="Picea abies", provenance="Ines, 2019")
    made_of("back", label="<b>Rosewood</b>", species="Dalbergia latifolia")
    answer = client.get(f"/api/briefs/{brief['id']}/passport.pdf", params={"paper": paper})
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["cache-control"] == "no-store"
    document = pdfium.PdfDocument(io.BytesIO(answer.content))
    text = " ".join(page.get_textpage().get_text_range() for page in document)
    text = " ".join(text.split())
    for said in ("Picea abies", "Dalbergia latifolia", "Ines, 2019", "The permit authority"):
        assert said in text
    assert "no. 4" not in text  # the shop's own number


def test_another_paper_is_refused(client, brief, refused) -> None:
    refused(
        client.get(f"/api/briefs/{brief['id']}/passport.pdf", params={"paper": "A9"}),
        422,
        "bad_input",
    )
    refused(client.get("/api/briefs/nowhere/passport"), 404, "not_found")


def test_no_guest_sees_it(client, make, brief, made_of) -> None:
    made_of("top", label="Spruce", species="Picea abies", provenance="a swap with Ines")
    share = make("shares", brief_id=brief["id"], name="Tom", sheets=["theme", "spec"])
    page = client.get(share["address"])
    mailed = client.get(f"/api/briefs/{brief['id']}/for-comment.html")
    assert page.status_code == mailed.status_code == 200
    for text in (page.text, mailed.text):
        assert "a swap with Ines" not in text
        assert "passport" not in text.casefold()


def test_the_page_escapes_what_was_typed(client, brief, made_of) -> None:
    made_of("top", label="<i>x</i>", species="<b>Picea</b>", provenance="<script>1</script>")
    page = client.get(f"/briefs/{brief['id']}/papers").text
    for raw in ("<i>x</i>", "<b>Picea</b>", "<script>1"):
        assert raw not in page
