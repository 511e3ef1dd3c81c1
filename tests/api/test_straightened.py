"""Moulds photographed at a tilt: by a sheet of A4 on them, by what was measured, or by neither.

The photographs are rendered from a preset, with the end at the neck seen narrower.
"""

import re
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageDraw
from shapely import LineString, Point

from brief.instrument import preset
from brief.instrument.outline.fair import closed_outline
from brief.instrument.outline.outlines import body_outline, sampled
from brief.services import nouns

pytestmark = pytest.mark.computed

ANY = {"If-Match": "*"}
CLASSICAL = preset("classical")
WIDTHS = [280.0, 236.8, 368.4]
SIZE, FINER = (900, 1125), 4
A4 = np.array([[-103.0, 168], [107, 168], [107, 465], [-103, 465]])
EGG = [[0, 0], [80, 120], [300, 180], [470, 90], [489, 0]]
GROUND, WOOD, PAPER = (52, 72, 120), (196, 160, 112), (238, 236, 230)


def shot(narrower, *sheets, size=SIZE):
    """A photograph as PNG of the mould with sheets on its face; GROUND on every side."""
    long = CLASSICAL.body_mm
    scale, slope = size[1] / (long * 1.22), narrower / (1 - narrower / 2) / long

    def seen(flat):
        x, y = np.array(flat).T[0], np.array(flat).T[1] - long / 2
        far = 1 - slope * y
        places = np.column_stack([x / far, y / far]) * scale + np.array(size) / 2
        # Pillow draws every pixel that a corner is in: half of one further.
        return [tuple(place) for place in places * FINER - 0.5]

    drawn = Image.new("RGB", (size[0] * FINER, size[1] * FINER), GROUND)
    pen = ImageDraw.Draw(drawn)
    pen.polygon(seen(body_outline(CLASSICAL)), fill=WOOD)
    for sheet in sheets:
        pen.polygon(seen(sheet), fill=PAPER)
    target = BytesIO()
    drawn.resize(size, Image.Resampling.BOX).save(target, "PNG")
    return target.getvalue()


@pytest.fixture
def traced(send, brief):
    def sent(data: bytes):
        answer = send(("mould.png", data), to="tracings", brief_id=brief["id"])
        assert answer.status_code == 201, answer.text
        return answer.json()[0]

    return sent


@pytest.fixture
def change(client):
    def changed(one, **fields):
        return client.patch(f"/api/tracings/{one['id']}", json=fields, headers=ANY)

    return changed


def worst(one):
    """The most that a traced outline is off the true one, mm, by shapely."""
    true = LineString(body_outline(CLASSICAL))
    run = sampled(closed_outline(tuple(map(tuple, one["stations"]))))
    return max(true.distance(Point(point)) for point in run)


@pytest.mark.slow
@pytest.mark.parametrize(("narrower", "most_mm"), [(0.05, 0.6), (0.1, 0.8), (0.2, 1.2)])
def test_a_sheet_on_the_mould_brings_it_flat_by_itself(traced, narrower, most_mm) -> None:
    one = traced(shot(narrower, A4))
    assert (one["sheet"], one["straightened"], one["problem"]) == ("A4", "sheet", "")
    assert worst(one) <= most_mm
    for bout, width in zip(one["bouts"], WIDTHS, strict=True):
        assert abs(bout["width_mm"] - width) <= bout["doubt_mm"] < 2
    assert abs(one["length_mm"] - 489) <= one["length_error_mm"]


@pytest.mark.slow
@pytest.mark.parametrize("narrower", [0.05, 0.1, 0.2])
def test_without_a_sheet_the_doubt_is_said_and_holds_the_true_widths(
    traced, change, narrower
) -> None:
    one = change(traced(shot(narrower)), body_mm=489).json()
    assert (one["sheet"], one["straightened"], one["checked"]) == ("none", "", False)
    for bout, width in zip(one["bouts"], WIDTHS, strict=True):
        assert abs(bout["width_mm"] - width) <= bout["doubt_mm"]
    told = change(one, check_at="upper", check_mm=280).json()
    assert told["straightened"] == "width"
    assert told["bouts"][0]["width_mm"] == pytest.approx(280, abs=2.5)
    assert told["bouts"][0]["doubt_mm"] < one["bouts"][0]["doubt_mm"] / 5


def photographed(narrower, film_mm=26, made=(900, 1200), zoom=1.0):
    """The same as a camera writes it: JPEG, with the focal length on 35 mm film in its EXIF."""
    with Image.open(BytesIO(shot(narrower, size=(900, 1200)))) as drawn:
        exif = Image.Exif()
        exif.get_ifd(0x8769).update({0xA405: film_mm, 0xA002: made[0], 0xA003: made[1],
                                     0xA404: zoom})  # fmt: skip
        target = BytesIO()
        drawn.convert("RGB").save(target, "JPEG", quality=95, exif=exif)
    return target.getvalue()


@pytest.mark.slow
def test_the_lens_that_the_file_tells_makes_the_doubt_smaller(traced, change) -> None:
    """The true widths are within it; a cropped, a zoomed or a silent file changes nothing."""
    told = change(traced(photographed(0.05)), body_mm=489).json()
    for bout, width in zip(told["bouts"], WIDTHS, strict=True):
        assert abs(bout["width_mm"] - width) <= bout["doubt_mm"]
    assert any("tells the camera’s lens" in note for note in told["notes"])
    for data in (photographed(0.05, made=(1800, 2400)), photographed(0.05, zoom=2.0),
                 photographed(0.05, film_mm=0)):  # fmt: skip
        silent = change(traced(data), body_mm=489).json()
        assert not any("lens" in note for note in silent["notes"])
        assert told["doubt_mm"] < 0.6 * silent["doubt_mm"]


def test_its_doubt_is_beside_every_width_on_paper_and_unknown_where_nobody_said(
    client, brief, change
) -> None:
    at = f"/api/briefs/{brief['id']}"
    own = {"outline": [[0, 0], [60, 110], [95, 140], [190, 118], [370, 184], [470, 90], [489, 0]]}

    def words(sheet):
        return client.get(f"{at}/drawings/{sheet}.svg").text

    client.patch(at, json=own | {"outline_doubt_mm": 3.02}, headers=ANY)
    assert words("body").count("± 3.1<") == 3
    assert words("back").count("± 3.1<") == 3
    assert words("half-body").count("± 1.6<") == 3
    assert "upper bout 280 ± 3.1" in words("overview")
    client.patch(at, json=own | {"outline_doubt_mm": 0}, headers=ANY)
    assert "±" not in words("body")
    assert "not known" not in client.get(f"/briefs/{brief['id']}/drawing").text
    client.patch(at, json=own, headers=ANY)
    assert "doubt not known: measure first" in words("body")
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "What your own outline may be off by is not known" in page


def test_who_knew_an_earlier_outline_reads_once_that_it_has_moved(client, brief) -> None:
    page, at = f"/briefs/{brief['id']}/drawing", f"/api/briefs/{brief['id']}"
    assert client.get(at).json()["outline_edition"] == 2
    assert "outline-moved" not in client.get(page).text
    client.patch(at, json={"outline_edition": 1}, headers=ANY)
    assert "3 to 8 mm beside the former one" in client.get(page).text
    client.patch(at, json={"outline": EGG}, headers=ANY)
    assert "outline-moved" not in client.get(page).text
    client.patch(at, json={"outline": None, "outline_edition": 2}, headers=ANY)
    assert "outline-moved" not in client.get(page).text


@pytest.mark.slow
def test_a_sheet_that_hangs_over_the_edge_is_said(traced, change) -> None:
    one = traced(shot(0.1, np.add(A4, [60, -40])))
    assert one["sheet"] == "A4"
    assert "hangs over the mould’s edge" in one["problem"]
    half = change(one, halves="left").json()
    assert half["problem"] == ""
    assert worst(half) < 1
    assert any("hangs over" in note for note in half["notes"])


@pytest.mark.slow
def test_the_photograph_is_shown_flat_under_its_outline(client, brief, traced, refused) -> None:
    """The wood ends where the outline is, at one scale: by counting pixels of its colour."""
    one = traced(shot(0.2, A4))
    address = f"/api/tracings/{one['id']}/straightened"
    picture = Image.open(BytesIO(client.get(address).content)).convert("RGB")
    mm = (489 + 24) / picture.height
    pixels = np.asarray(picture).astype(int)
    ground = np.abs(pixels - GROUND).sum(axis=2) < 60
    for at, width in ((89.2, 280.0), (194.1, 236.8), (374.0, 368.4)):
        wood = ~ground[round((at + 12) / mm)]
        assert wood.sum() * mm == pytest.approx(width, abs=1.5)
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert f"{address}?of=" in page
    bare = traced(shot(0.1))
    refused(client.get(f"/api/tracings/{bare['id']}/straightened"), 404, "not_found", "no photogr")


@pytest.mark.slow
def test_a_measured_width_agrees_with_the_sheet_or_is_asked_about(traced, change) -> None:
    one = traced(shot(0.1, A4))
    good = change(one, check_mm=368).json()
    assert good["checked"]
    assert any("They agree" in note for note in good["notes"])
    bad = change(one, check_mm=355).json()
    assert not bad["checked"]
    assert any("apart. Measure again" in note for note in bad["notes"])


@pytest.mark.slow
def test_corners_that_were_marked_count_and_can_be_left_again(traced, change, refused) -> None:
    two = [A4 * 0.45 + [-30, 170], A4 * 0.45 + [80, 190]]
    one = traced(shot(0.1, *two))
    assert one["sheet"] == "none"
    assert any("two or more sheets" in note for note in one["notes"])
    # Nothing is lost by a wrong answer.
    refused(
        change(one, sheet="A4"), 422, "bad_input", "two or more sheets", pointer="/sheet_corners"
    )
    corners = "10,10 20,20 20,10 10,20"
    answer = change(one, sheet="A4", sheet_corners=corners)
    refused(answer, 422, "bad_input", "cross over", pointer="/sheet_corners")
    answer = change(one, sheet="other", sheet_corners="40,40 60,40 60,60 40,60")
    refused(answer, 422, "bad_input", "Give both sides", pointer="/sheet_width_mm")
    assert change(one, sheet="none", body_mm=489).json()["straightened"] == ""


@pytest.mark.slow
def test_another_rectangle_is_measured_by_its_own_sides(traced, change) -> None:
    mat = np.array([[-100.0, 230], [100, 230], [100, 430], [-100, 430]])
    one = traced(shot(0.1, mat))
    made = change(one, sheet="other", sheet_width_mm=200, sheet_height_mm=200).json()
    assert worst(made) < 0.8
    larger = change(made, sheet_width_mm=220, sheet_height_mm=220).json()
    assert larger["length_mm"] == pytest.approx(1.1 * made["length_mm"], rel=1e-3)
    higher = change(larger, above_mm=10).json()  # nearer to the camera, so it is smaller
    assert larger["length_mm"] - higher["length_mm"] == pytest.approx(12, abs=5)
    assert higher["doubt_mm"] > larger["doubt_mm"]


WEAVES = {
    "checked": lambda x, y: (x // 45 + y // 45) % 2,
    "striped": lambda x, y: (x + y) // 30 % 2,
    "gingham": lambda x, y: (x // 25 % 2 + y // 25 % 2) / 2,
}


@pytest.mark.slow
@pytest.mark.parametrize("weave", WEAVES)
def test_on_a_patterned_cloth_it_is_right_within_its_doubt_or_says_what_to_do(traced, weave):
    with Image.open(BytesIO(shot(0.05, A4))) as picture:
        seen = np.asarray(picture.convert("RGB")).astype(float)
    y, x = np.mgrid[: seen.shape[0], : seen.shape[1]]
    light = WEAVES[weave](x, y)[..., None]
    cloth = np.array(GROUND) * (1 - light) + np.array([215.0, 210, 205]) * light
    ground = np.abs(seen - GROUND).sum(axis=2) < 40
    seen[ground] = cloth[ground]
    seen += np.random.default_rng(0).normal(0, 3, seen.shape)
    target = BytesIO()
    Image.fromarray(seen.clip(0, 255).astype(np.uint8)).save(target, "PNG")
    one = traced(target.getvalue())
    if one["stations"]:
        assert one["problem"] == ""
        assert worst(one) <= one["doubt_mm"]
    else:
        assert re.search("another colour|plain ground", one["problem"])


@pytest.mark.slow
def test_a_label_of_other_proportions_is_not_taken_for_a_sheet(traced, change) -> None:
    label = np.array([[-60.0, 300], [60, 300], [60, 420], [-60, 420]])
    one = traced(shot(0.1, label))
    assert one["sheet"] == "none"
    assert "how long the body is" in one["problem"]
    assert change(one, body_mm=489).json()["problem"] == ""


def test_the_mould_on_a_white_board_is_not_taken_for_a_sheet(traced) -> None:
    board = Image.new("RGB", (900, 1125), GROUND)
    pen = ImageDraw.Draw(board)
    pen.rectangle((150, 120, 750, 1000), fill=PAPER)
    pen.ellipse((300, 250, 600, 850), fill=(60, 40, 30))
    target = BytesIO()
    board.save(target, "PNG")
    assert traced(target.getvalue())["sheet"] == "none"


@pytest.mark.slow
def test_the_doubt_goes_to_the_title_block_of_the_sheets(client, brief, traced, change) -> None:
    one = change(traced(shot(0.1)), body_mm=489).json()
    address = f"/api/briefs/{brief['id']}"
    sent = {"outline": one["stations"], "outline_doubt_mm": one["doubt_mm"]}
    kept = client.patch(address, json=sent, headers=ANY).json()
    assert kept["outline_doubt_mm"] == one["doubt_mm"]
    drawn = client.get(f"{address}/drawings/body.svg").text
    assert "Own outline, widths" in drawn
    assert re.search(r"± \d+(\.\d)? mm: measure first", drawn)
    # Of an outline that is sent without one nobody knows it; that of the model has none.
    kept = client.patch(address, json={"outline": one["stations"]}, headers=ANY).json()
    assert kept["outline_doubt_mm"] is None
    assert "doubt not known" in client.get(f"{address}/drawings/body.svg").text
    client.patch(address, json={"outline": None}, headers=ANY)
    assert "Own outline" not in client.get(f"{address}/drawings/body.svg").text


@pytest.mark.slow
def test_of_what_an_earlier_version_traced_the_doubt_is_not_known(
    client, store, brief, traced, change
) -> None:
    one = change(traced(shot(0.1)), body_mm=489).json()
    with store.desk(writing=True) as desk:
        record = nouns.tracings.get(desk, one["id"])
        later = ("doubts", "straightened", "checked", "hairs", "sheet")
        kept = {name: made for name, made in record.findings.items() if name not in later}
        record.findings = kept | {"curve": kept["curve"][::-1]}
    then = client.get(f"/api/tracings/{one['id']}").json()
    assert then["doubt_mm"] is None
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "An earlier version traced this" in page
    assert "off by 0" not in page
    assert "/straightened" not in page
    assert client.get(f"/api/tracings/{one['id']}/straightened").status_code == 404
    again = change(one, body_mm=489).json()
    assert again["doubt_mm"] == one["doubt_mm"] > 0
    assert client.get(f"/api/tracings/{one['id']}/straightened").status_code == 200
