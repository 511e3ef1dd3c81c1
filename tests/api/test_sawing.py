"""Where to saw a piece of the rack, by its photograph or its size: as JSON, page and PDF."""

import io

import pypdf
import pytest

pytestmark = pytest.mark.computed

ANY = {"If-Match": "*"}
BOARD = "xywh=percent:10,10,80,80"  # of 750 × 300 mm: 600 × 240 mm


@pytest.fixture
def sawn(client, brief, make, send, picture):
    """Give parts a piece, photographed at a scale if it is asked for: `sawn("back", shows=750)`."""

    def given(*roles, shows=None, state="bare", **fields):
        piece = make("materials", label="Walnut 7", stuff="timber", **fields)
        if shows:
            shot = ("w.png", picture((150, 111, 74), size=(750, 300)))
            send(shot, to="photographs", material_id=piece["id"], state=state)
            (shot,) = client.get("/api/photographs", params={"material_id": piece["id"]}).json()[
                "items"
            ]
            scale = {"scale_points": "0,50 100,50", "scale_mm": shows, "selections": [BOARD]}
            answer = client.patch(f"/api/photographs/{shot['id']}", json=scale, headers=ANY)
            assert answer.status_code == 200, answer.text
        for part in client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]:
            if part["role"] in roles:
                client.patch(f"/api/parts/{part['id']}", json={"material_id": piece["id"]},
                             headers=ANY)  # fmt: skip
        return piece

    return given


def boards(client, brief, **asked):
    at = f"/api/briefs/{brief['id']}/drawings/cut-list/boards"
    return client.get(at, params=asked).json()["items"]


def test_a_thick_board_is_sawn_through_and_a_thin_one_side_by_side(client, brief, sawn):
    """By hand: (12 + 1) / (3.6 + 1) is 2 leaves, (4 + 1) / (3.6 + 1) is 1."""
    piece = sawn("back", length_mm=600, width_mm=420, thickness_mm=12)
    (board,) = boards(client, brief)
    (back,) = board["lines"]
    assert (back["pieces"], back["blanks"], back["leaves"], back["laid"]) == (2, 1, 2, 1)
    assert back["blank_mm"][2] == 3.6
    assert "opened like a book" in back["sentence"]
    for thick, leaves, laid in ((4, 1, 2), (3, 0, 0)):
        client.patch(f"/api/materials/{piece['id']}", json={"thickness_mm": thick}, headers=ANY)
        (board,) = boards(client, brief)
        assert (board["lines"][0]["leaves"], board["lines"][0]["laid"]) == (leaves, laid)
    assert board["lines"][0]["sentence"] == "The board is too thin: 3.6 mm are needed, it has 3 mm."
    assert board["sentence"] == "It yields too little for the back."


def test_halves_in_one_piece_are_one_blank_of_twice_the_width(client, brief, sawn):
    sawn("back", length_mm=600, width_mm=420, thickness_mm=4)
    (part,) = [
        one
        for one in client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
        if one["role"] == "back"
    ]
    (board,) = boards(client, brief)
    halves = board["lines"][0]
    client.patch(f"/api/parts/{part['id']}", headers=ANY,
                 json={"laying": {"centre": 50, "match": "one", "turn": None}})  # fmt: skip
    (board,) = boards(client, brief)
    whole = board["lines"][0]
    assert (whole["pieces"], whole["blanks"]) == (1, 1)
    assert whole["blank_mm"][1] == 2 * halves["blank_mm"][1]


def test_it_is_laid_out_on_the_photograph_that_shows_the_board_at_scale(client, brief, sawn):
    piece = sawn("headplate", "bridge", shows=750, length_mm=600, width_mm=240, thickness_mm=12)
    (board,) = boards(client, brief)
    assert board["material_id"] == piece["id"]
    assert board["shows_mm"] == pytest.approx([750, 300])
    assert board["outlines"] == [[[75, 30], [675, 30], [675, 270], [75, 270]]]
    assert board["sentence"] == "It yields all that is to be cut from it."
    for one in board["sawn"]:
        for x, y in one["corners"]:
            assert 74 <= x <= 676
            assert 29 <= y <= 271
    assert board["offcuts"][0]["length_mm"] > 300
    # Two taps, each 0.3 % of the picture's longer side off: 0.42 % of a length across all of it.
    long = max(one["length_mm"] for one in board["sawn"])
    assert board["doubt_mm"] == pytest.approx(long * 2**0.5 * 0.003, rel=0.01)
    assert f"{long:g} mm may be off by {board['doubt_mm']:.1f} mm" in board["notes"][0]


def test_a_photograph_of_a_part_of_it_is_not_the_board(client, brief, sawn):
    sawn("headplate", shows=200, length_mm=600, width_mm=240, thickness_mm=12)
    (board,) = boards(client, brief)
    assert (board["photograph_id"], board["picture"]) == (None, None)
    assert board["shows_mm"] == [600, 240]
    assert board["notes"] == [
        "Drawn by the size you wrote: what the photograph shows is of another size."
    ]


def test_sizes_that_disagree_are_said(client, brief, sawn):
    sawn("headplate", shows=750, length_mm=600, width_mm=230, thickness_mm=12)
    (board,) = boards(client, brief)
    said = "By the photograph it is 600 × 240 mm; you wrote 600 × 230. Measure it again."
    assert said in board["notes"]


def test_without_a_size_it_says_what_to_do_and_shows_no_end_grain(client, brief, sawn, refused):
    piece = sawn("headplate", shows=750, state="end grain")
    (board,) = boards(client, brief)
    assert board["shows_mm"] is None
    assert board["sentence"].startswith("Write down its size, or mark a known length")
    page = client.get(f"/briefs/{brief['id']}/timber/{piece['id']}").text
    assert "Write down its size" in page
    at = f"/api/briefs/{brief['id']}/drawings/cut-list/boards/{piece['id']}.pdf"
    refused(client.get(at), 404, "not_found", "Write down its size")


def test_a_neck_is_built_by_the_first_way_that_the_board_is_thick_enough_for(client, brief, sawn):
    piece = sawn("neck", length_mm=1200, width_mm=120, thickness_mm=70)
    (board,) = boards(client, brief)
    assert board["lines"][0]["name"] == "Neck, stacked heel"
    assert not any("scarfed" in one["name"] for one in board["lines"])
    client.patch(f"/api/materials/{piece['id']}", json={"thickness_mm": 24}, headers=ANY)
    (board,) = boards(client, brief)
    assert board["lines"][0]["name"] == "Neck, scarfed head"


def test_the_kerf_counts_and_a_wrong_one_is_refused(client, brief, sawn, refused):
    sawn("headplate", "bridge", length_mm=600, width_mm=240, thickness_mm=12)
    (thin,), (thick,) = boards(client, brief), boards(client, brief, kerf_mm="1/8 in")
    assert thin["kerf_mm"] == 1
    assert thick["kerf_mm"] == pytest.approx(3.175)
    at = f"/api/briefs/{brief['id']}/drawings/cut-list/boards"
    refused(client.get(at, params={"kerf_mm": "30"}), 422, "bad_input", "0 to 10",
            pointer="/kerf_mm")  # fmt: skip
    page = client.get(f"/briefs/{brief['id']}/drawing", params={"kerf_mm": "wide"}).text
    assert 'id="saw-kerf_mm-fault"' in page
    assert 'value="wide"' in page


def test_the_sheet_says_where_each_blank_is(client, brief, sawn):
    piece = sawn("headplate", "bridge", shows=750, length_mm=600, width_mm=240, thickness_mm=12)
    (board,) = boards(client, brief)
    for paper in ("A4", "Letter"):
        at = f"/api/briefs/{brief['id']}/drawings/cut-list/boards/{piece['id']}.pdf"
        answer = client.get(at, params={"paper": paper})
        assert answer.status_code == 200, answer.text
        said = "\n".join(
            page.extract_text() for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages
        )
        assert "Walnut 7: where to saw" in said
        assert "Drawn 1 : " in said
        assert "a board that rocks binds the blade" in " ".join(said.split())
        assert "Measure on the board before you saw." in said
        for one in board["sawn"]:
            assert f"{one['length_mm']:g} × {one['width_mm']:g}" in said


def test_a_piece_that_nothing_is_cut_from_has_no_sheet(client, brief, make):
    piece = make("materials", label="Brass", stuff="metal", length_mm=100, width_mm=50)
    assert boards(client, brief) == []
    at = f"/api/briefs/{brief['id']}/drawings/cut-list/boards/{piece['id']}.pdf"
    assert client.get(at).status_code == 404
    assert 'id="sawing"' not in client.get(f"/briefs/{brief['id']}/timber/{piece['id']}").text
