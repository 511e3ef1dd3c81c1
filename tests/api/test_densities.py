"""What a piece weighs, and what the parts that are cut from it weigh on the Drawing sheet."""

import re

import pytest

from brief.store.records import Material

ANY = {"If-Match": "*"}
OFFCUT = {"length_mm": 100, "width_mm": 50, "thickness_mm": 20}  # 100 cm³


def test_weight_and_sizes_give_the_density(make) -> None:
    """Density is mass over volume: 65 g in 100 cm³ is 650 kg/m³."""
    piece = make("materials", label="walnut", weight_g=65, **OFFCUT)
    assert piece["dense"] == pytest.approx(650)
    assert piece["density"] is None


def test_a_typed_density_counts_first(client, make) -> None:
    piece = make("materials", label="walnut", weight_g=65, density=610, **OFFCUT)
    assert piece["dense"] == 610
    later = client.patch(f"/api/materials/{piece['id']}", json={"density": None}, headers=ANY)
    assert later.json()["dense"] == pytest.approx(650)


def test_without_all_sizes_it_is_unknown(make) -> None:
    assert make("materials", label="walnut", weight_g=65, length_mm=100)["dense"] is None


@pytest.mark.parametrize(
    ("fields", "pointer", "said"),
    [
        ({"weight_g": 0.065, **OFFCUT}, "/weight_g", "would be 1 kg/m³, which nothing is"),
        ({"weight_g": 65_000, **OFFCUT}, "/weight_g", "650,000 kg/m³"),
        ({"weight_g": 0}, "/weight_g", "must be 0.001 to 1000000 g; got 0"),
        ({"density": 0.65}, "/density", "must be 20 to 22600 kg/m³; got 0.65"),
        ({"density": "heavy"}, "/density", "“heavy” is no number. Write 620 kg/m³"),
    ],
)
def test_what_nothing_weighs_is_refused(client, on_disk, refused, fields, pointer, said) -> None:
    before = on_disk()
    answer = client.post("/api/materials", json={"label": "walnut", **fields})
    refused(answer, 422, "bad_input", said, pointer=pointer)
    assert on_disk() == before


def test_sizes_changed_afterwards_are_checked_against_the_weight(client, make, refused) -> None:
    piece = make("materials", label="walnut", weight_g=65, **OFFCUT)
    late = client.patch(f"/api/materials/{piece['id']}", json={"length_mm": 9000}, headers=ANY)
    refused(late, 422, "bad_input", "which nothing is", pointer="/weight_g")


def test_the_cut_list_weighs_what_is_known(client, brief, make) -> None:
    at = f"/briefs/{brief['id']}/drawing"
    row = re.compile(r'<th scope="row">Back</th>(?:<td>[^<]*</td>){3}<td>([^<]*)</td><td>([^<]*)<')
    assert row.search(client.get(at).text).groups() == ("unknown", "unknown")
    walnut = make("materials", label="walnut", density=650)
    brass = make("materials", label="brass", stuff="metal", density=8500)
    for part in client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]:
        piece = {"back": walnut, "neck": walnut, "nut": brass}.get(part["role"])
        if piece:
            chosen = {"material_id": piece["id"]}
            client.patch(f"/api/parts/{part['id']}", json=chosen, headers=ANY)
    page = client.get(at).text
    # Two blanks of 495 × 174.9 × 3.6 mm at 650 kg/m³.
    blank, finished = row.search(page).groups()
    assert float(blank) == pytest.approx(2 * 495 * 174.9 * 3.6 * 650e-6, abs=1)
    assert 150 < float(finished) < float(blank)
    assert "The finished weight of the neck depends on how you shape it." in page
    assert "No weight for top, sides" in page


def test_an_older_record_that_weighs_what_nothing_does_still_opens(client, make, brief, store):
    """It was let in up to 25 000 kg/m³; osmium has 22 590 (from memory)."""
    piece = make("materials", label="gold?", stuff="metal", density=20_000)
    with store.desk(writing=True) as desk:
        desk.session.get_one(Material, piece["id"]).density = 24_000
    assert client.get(f"/api/materials/{piece['id']}").json()["dense"] is None
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    of_it = {"material_id": piece["id"]}
    client.patch(f"/api/parts/{parts[0]['id']}", json=of_it, headers={"If-Match": "*"})
    assert client.get(f"/briefs/{brief['id']}/drawing").status_code == 200
