"""Uneven light on a board: said of every photograph, and evened out by white around the board.

What the colour truly is follows from the wood's spectrum alone: see `tests.photo.rendered_bench`.
"""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, linear_to_srgb, srgb_to_lab, srgb_to_linear
from tests.photo.measured_cameras import CURVES, exposed, toned
from tests.photo.rendered_bench import (
    Shot,
    as_file,
    board_by_chart,
    true_lab,
    woods,
)
from tests.photo.rendered_chart import NOISE

OAK = woods()[3]
SHOT = Shot("Nikon 5100 (NPL)", "D50", exposure=0.8)
BOARD, SHEET, PAPER = (
    "xywh=percent:25,30,50,40",
    "xywh=percent:10,10,80,80",
    "xywh=percent:12,35,9,30",
)


def on_paper(fall: float, paper: float = 0.85, curve: str = "") -> bytes:
    """The board on white paper, whose light falls off towards the right by that much; with the tone
    curve of that camera.
    """
    scene = np.full((300, 400, 3), 0.05)
    scene[30:270, 40:360] = SHOT.linear(np.full((1, 31), paper))
    scene[90:210, 100:300] = SHOT.linear(OAK[None])
    scene *= np.exp(-fall * np.linspace(0, 1, 400) ** 1.5)[None, :, None]
    if curve:
        scene = toned(scene / paper * exposed(CURVES[curve], paper), CURVES[curve])
    return photographed(scene)


def photographed(scene: np.ndarray) -> bytes:
    levels = linear_to_srgb(np.clip(scene, 0, 1)) * 255
    levels += NOISE * np.random.default_rng(0).normal(size=levels.shape)
    return as_file(Image.fromarray(np.clip(np.rint(levels), 0, 255).astype(np.uint8)))


@pytest.fixture
def change(client):
    def changed(photograph, **fields: object):
        at = f"/api/photographs/{photograph['id']}"
        return client.patch(at, json=fields, headers={"If-Match": "*"})

    return changed


def off(view) -> float:
    return float(delta_e_2000(view["colour"]["lab"], true_lab(OAK)))


def test_light_that_falls_off_is_evened_out_by_the_white_around(add_shot, change) -> None:
    """With a tone curve, as nearly all cameras have. It is not known when the light is evened out,
    so that not quite all of the fall goes.
    """
    by_paper = {"correct_by": "card", "card": "white paper", "card_region": PAPER}
    even, photograph = (add_shot(on_paper(fall, curve="Canon EOS 6D")) for fall in (0.0, 1.4))
    even = change(even, selections=[BOARD], **by_paper).json()
    as_lit = change(photograph, selections=[BOARD], **by_paper).json()
    assert as_lit["evenness"]["basis"] == "board"
    # The paper lies in more light than the wood.
    fallen = delta_e_2000(as_lit["colour"]["lab"], even["colour"]["lab"])
    assert fallen > 5
    flat = change(photograph, surround_region=SHEET).json()
    assert flat["surround_region"] == SHEET
    assert flat["evenness"]["basis"] == "white surround"
    assert "is evened out by the white around it" in flat["evenness"]["sentence"]
    assert delta_e_2000(flat["colour"]["lab"], even["colour"]["lab"]) < 0.4 * fallen
    # Of what the fall adds to the error, at least half goes; the rest is the camera's.
    assert off(flat) - off(even) < (off(as_lit) - off(even)) / 2
    assert off(flat) < flat["colour"]["uncertainty"]
    # The noise of its dim end is made brighter with it.
    assert even["spread"] <= flat["spread"] < as_lit["spread"] - 1
    again = change(photograph, surround_region=None).json()
    assert again["colour"]["lab"] == pytest.approx(as_lit["colour"]["lab"])


def test_how_far_the_light_falls_off_is_told_by_the_white_around(add_shot, change) -> None:
    flat = change(add_shot(on_paper(1.4)), selections=[BOARD], surround_region=SHEET).json()
    ends = SHOT.linear(OAK[None])[0] * np.exp(-1.4 * np.array([[0.25], [0.75]]) ** 1.5)
    truth = delta_e_2000(*srgb_to_lab(linear_to_srgb(ends)))
    assert flat["evenness"]["end_to_end"] == pytest.approx(truth, abs=1)


def test_without_white_what_is_known_is_said(add_shot, change) -> None:
    photograph = add_shot(on_paper(0.5))
    (said,) = (change(photograph, selections=[BOARD]).json()["evenness"],)
    assert (said["basis"], said["sentence"][:10]) == ("board", "The board ")
    assert "nobody can tell" in said["sentence"]


def test_across_a_chart_the_light_is_known(add_shot) -> None:
    image = board_by_chart(OAK, SHOT)
    levels = np.asarray(image) / 255
    falling = srgb_to_linear(levels) * np.linspace(1.0, 0.6, image.width)[None, :, None]
    said = [
        add_shot(photographed(scene))["evenness"] for scene in (srgb_to_linear(levels), falling)
    ]
    assert [one["basis"] for one in said] == ["chart", "chart"]
    assert said[0]["end_to_end"] < 1.5 < 4 < said[1]["end_to_end"]
    assert said[1]["sentence"].endswith("across the colour chart.")


def test_a_chart_is_read_on_the_picture_that_was_evened_out(add_shot, change) -> None:
    """White on two sides of the board, the chart beyond it."""
    image = board_by_chart(OAK, SHOT)
    scene = srgb_to_linear(np.asarray(image) / 255)
    scene[:, : int(0.04 * 600)] = scene[:, int(0.46 * 600) : int(0.49 * 600)] = 0.7
    scene *= np.linspace(1.0, 0.7, 600)[None, :, None]
    photograph = add_shot(photographed(scene))
    wood = change(photograph, selections=["xywh=percent:6,10,38,80"]).json()
    flat = change(photograph, surround_region="xywh=percent:0.5,10,48,80").json()
    assert flat["correction"]["correct_by"] == "chart"
    assert flat["evenness"]["basis"] == "white surround"
    assert off(flat) < min(off(wood), flat["colour"]["uncertainty"])


REFUSED = {
    "white on one side": (
        {"surround_region": "xywh=percent:10,30,65,40"},
        "White must show on two opposite sides of the board.* got 15.0 at the left, 0.0 at",
    ),
    "the bench with it": (
        {"surround_region": "xywh=percent:0,0,100,100"},
        "not one white sheet: only",
    ),
    "beyond the picture": (
        {"surround_region": "xywh=percent:10,10,95,80"},
        "must lie inside the picture",
    ),
    "in words": ({"surround_region": "all round"}, "four numbers of percent"),
}


@pytest.mark.parametrize(("fields", "said"), REFUSED.values(), ids=REFUSED.keys())
def test_white_that_cannot_be_used_is_refused_at_its_field(
    add_shot, change, client, refused, fields, said: str
) -> None:
    photograph = change(add_shot(on_paper(0.3)), selections=[BOARD]).json()
    answer = change(photograph, **fields)
    code = answer.json()["type"].rsplit("-", 1)[1]
    refused(answer, 422, code, said, pointer="/surround_region")
    assert client.get(f"/api/photographs/{photograph['id']}").json() == photograph


def test_paper_that_is_blown_out_is_refused(add_shot, change, refused) -> None:
    photograph = change(add_shot(on_paper(0.3, paper=1.4)), selections=[BOARD]).json()
    answer = change(photograph, surround_region=SHEET)
    refused(answer, 422, "bad_image", "blown out", pointer="/surround_region")
