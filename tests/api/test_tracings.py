"""Outlines traced from a mould, from the file that is sent to the brief that is drawn with it.

The moulds are rendered from presets, whose widths and lengths are known.
"""

from io import BytesIO

import pytest
from PIL import Image, ImageDraw

from brief.instrument import preset
from brief.instrument.curve import mirrored, path_data, smooth
from brief.instrument.outline.outlines import body_outline

ANY = {"If-Match": "*"}
CLASSICAL = preset("classical")
PX_PER_MM = 1.6


def svg(inner: str, size: str = 'width="400mm" height="500mm" viewBox="-200 -5 400 500"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{inner}</svg>'.encode()


@pytest.fixture(scope="module")
def drawing() -> bytes:
    around = mirrored([(half, at) for at, half in CLASSICAL.outline])
    return svg(f'<path d="{path_data(smooth(around, closed=True))}Z"/>')


@pytest.fixture(scope="module")
def photograph() -> bytes:
    """A pale mould on dark paper, and a black rule of 100 mm beside it."""
    shot = Image.new("RGB", (int(480 * PX_PER_MM), int(560 * PX_PER_MM)), (52, 58, 74))
    drawn = ImageDraw.Draw(shot)
    run = [((x + 240) * PX_PER_MM, (y + 30) * PX_PER_MM) for x, y in body_outline(CLASSICAL)]
    drawn.polygon(run, fill=(214, 190, 140))
    target = BytesIO()
    shot.save(target, "PNG")
    return target.getvalue()


@pytest.fixture
def traced(send, brief, client):
    def sent(name: str, data: bytes):
        answer = send((name, data), to="tracings", brief_id=brief["id"])
        assert answer.status_code == 201, answer.text
        (one,) = answer.json()
        return one

    return sent


@pytest.fixture
def change(client):
    def changed(one, **fields):
        return client.patch(f"/api/tracings/{one['id']}", json=fields, headers=ANY)

    return changed


def test_a_drawing_is_traced_and_drawn(client, brief, traced, drawing) -> None:
    one = traced("mould.svg", drawing)
    assert one["problem"] == ""
    assert one["length_mm"] == pytest.approx(489, abs=0.1)
    widths = {bout["name"]: bout["width_mm"] for bout in one["bouts"]}
    assert widths == pytest.approx({"upper": 280.0, "waist": 236.8, "lower": 368.4}, abs=0.2)
    assert one["off_mm"] < 0.15
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "Use this outline" in page
    kept = client.patch(
        f"/api/briefs/{brief['id']}", json={"outline": one["stations"]}, headers=ANY
    )
    assert kept.json()["outline"] == one["stations"]
    numbers = client.get(f"/api/briefs/{brief['id']}/numbers").json()["numbers"]
    now = {number["name"]: number for number in numbers}
    assert now["body_mm"]["value"] == now["body_mm"]["usual"] == pytest.approx(489, abs=0.1)
    assert not now["lower_mm"]["changed"]
    back = client.patch(f"/api/briefs/{brief['id']}", json={"outline": None}, headers=ANY)
    assert back.json()["outline"] is None


def test_a_photograph_waits_for_its_size(client, traced, change, photograph, refused) -> None:
    one = traced("mould.png", photograph)
    assert one["stations"] is None
    assert "how long the body is" in one["problem"]
    # By the body's length, and by two taps on a known length.
    sure = change(one, body_mm=489).json()
    assert sure["length_mm"] == pytest.approx(489, abs=0.05)
    ends = "10,90 60,90"  # half the picture's width of 480 mm
    tapped = change(one, body_mm=None, scale_points=ends, scale_mm=240).json()
    assert tapped["length_mm"] == pytest.approx(489, abs=0.5)
    assert 1 < tapped["length_error_mm"] < 10
    for answer in (sure, tapped):
        widths = [bout["width_mm"] for bout in answer["bouts"]]
        assert widths == pytest.approx([280.0, 236.8, 368.4], abs=1)
    # What cannot be is refused, and the last outline stays.
    late = change(one, scale_points=None)
    refused(late, 422, "bad_input", "two points and the length", pointer="/scale_points")
    late = change(one, scale_mm=5)
    refused(late, 422, "bad_input", "can be drawn", pointer="/scale_mm")
    late = change(one, inside="2,2")
    refused(late, 422, "bad_input", "lies on the background", pointer="/inside")
    assert client.get(f"/api/tracings/{one['id']}").json() == tapped


def test_a_picture_without_a_mould_is_kept_with_what_it_lacks(traced) -> None:
    target = BytesIO()
    Image.new("RGB", (300, 400), (120, 110, 100)).save(target, "PNG")
    assert "too little contrast" in traced("bench.png", target.getvalue())["problem"]


@pytest.mark.parametrize(
    ("inner", "said"),
    [
        ("<script>alert(1)</script>", "script"),
        ('<image href="https://elsewhere.example/x.png"/>', "outside the drawing|pixels"),
        ('<path onclick="x()" d="M0 0L1 1"/>', "event attribute"),
        ("", "no outline"),
        ('<path d="M0 0L1"/>', "cannot be read"),
    ],
)
def test_an_unsafe_or_empty_drawing_is_refused(send, brief, on_disk, refused, inner, said) -> None:
    before = on_disk()
    answer = send(("mould.svg", svg(inner)), to="tracings", brief_id=brief["id"])
    refused(answer, 422, "bad_input", said, pointer="/files/0")
    assert on_disk() == before


def test_a_drawing_of_another_format_is_told_the_way_out(send, brief, refused) -> None:
    answer = send(("mould.dxf", b"0\nSECTION\n2\nHEADER"), to="tracings", brief_id=brief["id"])
    refused(answer, 422, "bad_image", "has to be an SVG", pointer="/files/0")


def test_entities_are_refused(send, brief, refused) -> None:
    bomb = b'<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg"/>'
    refused(
        send(("mould.svg", bomb), to="tracings", brief_id=brief["id"]), 422, "bad_input", "DOCTYPE"
    )


@pytest.mark.parametrize(
    ("outline", "said"),
    [
        ([[0, 0], [100, 80], [200, 60], [300, 0]], "5 to 200 stations"),
        ([[0, 5], [80, 120], [200, 100], [370, 160], [480, 0]], "begins with"),
        ([[0, 0], [80, 120], [60, 100], [370, 160], [480, 0]], "from the neck joint to the tail"),
        ([[0, 0], [80, 120], [200, 120], [370, 160], [480, 0]], "stays as wide"),
        ([[0, 0], [80, 40], [130, 30], [200, 45], [300, 0]], "soundhole|bridge"),
        ([[0, 0], [30, 12], [40, 10], [60, 20], [90, 0]], "100 to 1200 mm"),
    ],
)
def test_an_outline_that_cannot_be_built_is_refused(client, brief, refused, outline, said) -> None:
    answer = client.patch(f"/api/briefs/{brief['id']}", json={"outline": outline}, headers=ANY)
    refused(answer, 422, "bad_input", said, pointer="/outline")
    assert client.get(f"/api/briefs/{brief['id']}").json()["outline"] is None


def test_numbers_of_the_old_outline_go_and_others_stay(client, brief, traced, drawing) -> None:
    at = f"/api/briefs/{brief['id']}"
    client.patch(f"{at}/numbers", json={"scale_mm": 640, "waist_mm": 214}, headers=ANY)
    stations = traced("mould.svg", drawing)["stations"]
    kept = client.patch(at, json={"outline": stations}, headers=ANY).json()
    assert kept["numbers"] == {"scale_mm": 640}
    kind = client.post("/api/kinds", json={"name": "Wide", "brief_id": brief["id"]}).json()
    assert kind["numbers"]["lower_mm"] == pytest.approx(368.4, abs=0.2)
    # Another kind comes with its own outline.
    client.patch(at, json={"kind": "tenor-ukulele"}, headers=ANY)
    assert client.get(at).json()["outline"] is None
