"""The Trip sheet: empty, begun, full; the stand's papers; and that nobody else sees any of it."""

import json
import re
import zipfile
from io import BytesIO

import pypdf
import pytest

from brief.services import nouns
from brief.services.trip.trip import trip_glance

SECRET = "Heron at the lock"
PRICE = "3 210 groats"


@pytest.fixture
def page(client, brief):
    def shown():
        answer = client.get(f"/briefs/{brief['id']}/trip")
        assert answer.status_code == 200
        return answer.text

    return shown


@pytest.fixture
def full(brief, make, change, send, picture):
    """A trip with the same words in all of it."""
    of = {"brief_id": brief["id"]}
    home = make("stops", **of, name=SECRET, role="home", zone="Europe/Berlin", address=SECRET)
    hall = make("stops", **of, name=SECRET, role="hall", zone="Europe/London", address=SECRET)
    ends = {"from_id": home["id"], "to_id": hall["id"]}
    make("legs", **of, **ends, by=SECRET, leaves_on="2040-05-12", booking=SECRET)
    make("stays", **of, stop_id=hall["id"], from_on="2040-05-12", booking=SECRET)
    make("contacts", **of, name=SECRET, reach=SECRET)
    make("things-to-pack", **of, name=SECRET, why=SECRET)
    send((f"{SECRET}.png", picture()), to="attachments", **of)
    return change(brief, "briefs", caption=SECRET, stand_price=PRICE, stand_list=f"{SECRET}: 1")


def _plain(html):
    return " ".join(re.sub("<[^>]+>", " ", html).split())


def test_an_empty_one_offers_to_begin_and_keeps_the_list_and_the_stand(page):
    text = page()
    assert "Begin the trip" in text
    assert "Use the usual list" in text
    assert "trip-picture" not in text
    assert "Documents stay on this computer" in text


def test_begun_it_shows_the_days_and_what_is_open(full, page):
    text = page()
    assert text.count('<svg class="trip-picture"') == 2
    said = _plain(text)
    assert said.index("Not booked") < said.index("Day by day") < said.index("Packing list")
    assert "0 of 1 packed" in said


def test_words_of_the_maker_are_escaped(make, brief, page):
    of = {"brief_id": brief["id"]}
    odd = '<b>"loft"</b> {0} & rub'
    ends = [make("stops", **of, name=odd, zone="UTC", address=odd)["id"] for _ in range(2)]
    make("legs", **of, from_id=ends[0], to_id=ends[1], by=odd, leaves_on="2040-05-12", booking=odd)
    make("things-to-pack", **of, name=odd, why=odd)
    text = page().split('id="sheet"')[1]
    assert '<b>"loft' not in text
    assert text.count("&lt;b&gt;") > 6


def test_nobody_else_sees_any_of_it(client, brief, full, make):
    """Over a link, live and frozen; in the file by mail; on paper that is not of the stand."""
    every = ["theme", "references", "pairings", "spec", "questions", "drawing", "comments"]
    of = {"brief_id": brief["id"]}
    frozen = make("revisions", **of, note="as shown")
    links = [
        make("shares", **of, name="Ines", sheets=every),
        make("shares", **of, name="Tom", sheets=every, revision_id=frozen["id"]),
    ]
    at = f"/api/briefs/{brief['id']}"
    outside = [client.get(one["address"]).text for one in links]
    outside.append(client.get(f"{at}/for-comment.html", params={"sheets": every}).text)
    outside.append(client.get(f"{at}/comment-file").text)
    for name in ("booklet", "card", "strands", "passport"):
        read = pypdf.PdfReader(BytesIO(client.get(f"{at}/{name}.pdf").content))
        outside.append("Saltmarsh" + " ".join(one.extract_text() for one in read.pages))
    for text in outside:
        assert "Saltmarsh" in text
        assert SECRET not in text
        assert "groats" not in text
        assert "Trip" not in text
    (made,) = client.get("/api/attachments", params=of).json()["items"]
    (token,) = {one["address"].split("/")[2] for one in links[:1]}
    for path in (
        f"/s/{token}/seen/briefs/{brief['id']}/trip",
        f"/s/{token}{made['file']}",
        f"/s/{token}/seen{made['file']}",
    ):
        assert client.get(path).status_code == 404


def test_a_brief_begun_from_another_has_none_of_its_trip(client, brief, full):
    sent = {"brief_id": brief["id"], "title": "Last light"}
    begun = client.post("/api/briefs/beginnings", json=sent).json()
    assert (begun["caption"], begun["stand_price"], begun["stand_list"]) == ("", "", "")
    for noun in ("stops", "legs", "stays", "contacts", "things-to-pack", "attachments"):
        assert client.get(f"/api/{noun}", params={"brief_id": begun["id"]}).json()["items"] == []


@pytest.fixture
def spec(client, brief, make, change):
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    by_role = {one["role"]: one for one in parts}
    for role, fields in {
        "top": {"label": "Cedar top, no. 7", "species": "Thuja plicata"},
        "back": {"label": "Walnut", "species": "Juglans nigra"},
        "sides": {"label": "Walnut", "species": "Juglans nigra"},
        "nut": {"label": "Grey bone", "stuff": "bone"},
    }.items():
        change(by_role[role], "parts", material_id=make("materials", **fields)["id"])


@pytest.mark.parametrize("paper", ["A5", "A6", "A4", "Letter"])
def test_the_caption_names_each_material_twice_and_a_price_only_if_one_is_given(
    client, brief, change, spec, paper
):
    at = f"/api/briefs/{brief['id']}/caption.pdf"

    def words():
        answer = client.get(at, params={"paper": paper})
        assert answer.status_code == 200
        (sheet,) = pypdf.PdfReader(BytesIO(answer.content)).pages  # one page, whatever is on it
        return " ".join(sheet.extract_text().split())

    plain = words()
    assert "Saltmarsh" in plain
    assert "Western red cedar, Thuja plicata" in plain
    assert "Back and sides: Black walnut, Juglans nigra" in plain
    assert "no. 7" not in plain  # the shop's own name
    assert "Nut: Grey bone, species not known" in plain
    assert PRICE not in plain
    change(brief, "briefs", caption="Straw and slate.", stand_price=PRICE)
    told = words()
    assert "Straw and slate." in told
    assert PRICE in told


def test_a_caption_of_many_words_is_set_smaller_on_its_one_page(client, brief, change):
    change(brief, "briefs", caption="Straw and slate. " * 300)
    answer = client.get(f"/api/briefs/{brief['id']}/caption.pdf", params={"paper": "A6"})
    assert len(pypdf.PdfReader(BytesIO(answer.content)).pages) == 1


def test_the_price_list_has_what_was_given_and_nothing_else(client, brief, change, refused):
    at = f"/api/briefs/{brief['id']}/price-list.pdf"
    refused(client.get(at), 422, "bad_input", "price list is empty")
    change(brief, "briefs", stand_list="Strap, tooled: 120\n\nRepairs\nTuner: set: 40")
    (sheet,) = pypdf.PdfReader(BytesIO(client.get(at).content)).pages
    words = " ".join(sheet.extract_text().split())
    assert words == "Price list Strap, tooled 120 Repairs please ask Tuner: set 40"
    change(brief, "briefs", stand_price=PRICE)
    (sheet,) = pypdf.PdfReader(BytesIO(client.get(at).content)).pages
    assert f"Saltmarsh {PRICE}" in " ".join(sheet.extract_text().split())
    assert "Strap, tooled" in client.get(f"/briefs/{brief['id']}/trip/stand").text


def test_the_glance_has_the_next_leg_what_is_not_packed_and_the_days(store, brief, full):
    with store.desk() as desk:
        glance = trip_glance(desk, nouns.briefs.get(desk, brief["id"]))
    assert glance.next_leg is not None
    assert glance.next_leg.by == SECRET
    assert glance.unpacked == (SECRET,)
    assert glance.days_to_leaving > 1000


@pytest.mark.parametrize("revised", [False, True])
def test_a_brief_can_be_saved_without_its_trip_and_opened_again(
    client, brief, full, make, send, revised
):
    """Also within its revisions. The words for the stand belong to the instrument and stay."""
    if revised:
        make("revisions", brief_id=brief["id"], note="as shown")
    at = f"/api/briefs/{brief['id']}/parcel.zip"
    for trip, kept in (("with", True), ("without", False)):
        answer = client.get(at, params={"trip": trip})
        with zipfile.ZipFile(BytesIO(answer.content)) as opened:
            document = json.loads(opened.read("brief.json"))
            leaflet = opened.read("read-me.txt").decode()
        frozen = [one["document"] for one in document["records"].get("revisions", ())]
        assert len(frozen) == revised
        for one in (document, *frozen):
            assert ("legs" in one["records"]) == ("stops" in one["records"]) == kept
            assert "attachments" not in one["records"]
        assert ("trip is in it" in leaflet) == kept
    back = client.post("/api/parcels", files={"file": ("a.zip", answer.content)})
    assert back.status_code == 201, back.text
    of = {"brief_id": back.json()["brief_id"]}
    assert client.get("/api/legs", params=of).json()["items"] == []
    assert client.get(f"/api/briefs/{of['brief_id']}").json()["stand_price"] == PRICE


def test_whether_the_trip_goes_along_is_with_or_without(client, brief, refused):
    answer = client.get(f"/api/briefs/{brief['id']}/parcel.zip", params={"trip": "maybe"})
    refused(answer, 422, "bad_input", "with")


@pytest.mark.parametrize(
    ("noun", "fields", "said"),
    [
        ("stops", {"zone": "Europe/Atlantis"}, r"stop in it .*\(zone\)"),
        ("stops", {"zone": "../../etc/passwd"}, r"\(zone\)"),
        ("stops", {"zone": "europe/berlin"}, r"\(zone\)"),
        ("stops", {"role": "moon"}, r"\(role\)"),
        ("legs", {"leaves_at": "99:99"}, r"\(leaves_at\)"),
        ("legs", {"arrives_on": "2039-01-01"}, r"\(arrives_on\).*before it begins"),
        ("legs", {"from_id": "01JD8Q5Z7M3K2V9X4T6R8W0Y1A"}, "points at what is not in it"),
        ("stays", {"purpose": "dream"}, r"\(purpose\)"),
        ("stays", {"until_on": "2039-01-01"}, "before it begins"),
        ("things-to-pack", {"heap": "pile"}, r"\(heap\)"),
        ("contacts", {"name": ""}, "name"),
    ],
)
def test_a_trip_that_could_not_have_been_made_here_is_not_brought_in(
    client, brief, full, refused, on_disk, noun, fields, said
):
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    with zipfile.ZipFile(BytesIO(packed)) as opened:
        members = {name: opened.read(name) for name in opened.namelist()}
    document = json.loads(members["brief.json"])
    document["records"][noun][0] |= fields
    file = BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        for name, data in members.items():
            made.writestr(name, json.dumps(document) if name == "brief.json" else data)
    before = on_disk()
    answer = client.post("/api/parcels", files={"file": ("a.zip", file.getvalue())})
    body = refused(answer, 422, "bad_parcel")
    assert re.search(said, body["detail"]), body["detail"]
    assert on_disk() == before


def test_an_attachment_in_a_parcel_is_none_that_this_program_wrote(client, brief, full, refused):
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    with zipfile.ZipFile(BytesIO(packed)) as opened:
        members = {name: opened.read(name) for name in opened.namelist()}
    document = json.loads(members["brief.json"])
    document["records"]["attachments"] = [{"id": "01JD8Q5Z7M3K2V9X4T6R8W0Y1A"}]
    file = BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        for name, data in members.items():
            made.writestr(name, json.dumps(document) if name == "brief.json" else data)
    answer = client.post("/api/parcels", files={"file": ("a.zip", file.getvalue())})
    refused(answer, 422, "bad_parcel", "attachments")
