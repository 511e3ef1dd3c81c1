"""Photographs of a piece: corrected by what lies in the shot, looked at where it was said.

What a colour truly is follows from its spectrum alone: see `tests.photo.rendered_bench`.
"""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000
from tests.api.once import fixture_once
from tests.photo.rendered_bench import (
    CARD,
    CHART,
    LAMP,
    WOOD,
    Shot,
    as_file,
    board_by_card,
    board_by_chart,
    true_lab,
    woods,
)
from tests.photo.rendered_wood import Board

OAK, MAPLE = woods()[3], woods()[5]
DARK, LIGHT, RED = (92, 64, 44), (150, 111, 74), (120, 60, 50)


@pytest.fixture(scope="module")
def by_chart() -> bytes:
    return as_file(board_by_chart(OAK))


@pytest.fixture(scope="module")
def by_card() -> bytes:
    return as_file(board_by_card(OAK, 0.9))


@fixture_once
def piece(make):
    return make("materials", label="bog oak")


@pytest.fixture
def add(send, piece):
    """Bare photographs of the piece; `add(data, data)`."""

    def added(*files: bytes, **said: str) -> list:
        named = [(f"shot {number}.png", data) for number, data in enumerate(files)]
        said = said or {"state": "bare"}
        response = send(*named, to="photographs", material_id=piece["id"], **said)
        assert response.status_code == 201, response.text
        return response.json()

    return added


@pytest.fixture
def change(client):
    """PATCH one photograph as it is now; the answer, whatever it is."""

    def changed(photograph, **fields: object):
        at = f"/api/photographs/{photograph['id']}"
        return client.patch(at, json=fields, headers={"If-Match": client.get(at).json()["etag"]})

    return changed


@pytest.fixture
def now(client, piece):
    """The piece as it is now."""
    return lambda: client.get(f"/api/materials/{piece['id']}").json()


def _off(view, wood) -> float:
    """CIEDE2000 of a colour that was measured from what the wood truly has."""
    return float(delta_e_2000(view["colour"]["lab"], true_lab(wood)))


# Adding


def test_several_at_once_are_all_of_the_one_piece(client, add, now, picture, piece, make) -> None:
    other = make("materials", label="walnut")
    first, second = add(picture(DARK), picture(LIGHT))
    listed = client.get(f"/api/photographs?material_id={piece['id']}").json()["items"]
    assert [one["id"] for one in listed] == [first["id"], second["id"]]
    assert client.get(f"/api/photographs?material_id={other['id']}").json()["items"] == []
    assert {(one["material_id"], one["state"]) for one in listed} == {(piece["id"], "bare")}
    assert now()["measured"] == "from 2 photographs as shot"
    assert now()["picture"]["sha256"] == first["picture"]["sha256"]
    assert client.get(f"/api/materials/{piece['id']}/along").json()["along"] == ["2 photographs"]


def test_they_are_of_a_piece_that_is_there(client, send, picture, refused, on_disk, piece) -> None:
    client.delete(f"/api/materials/{piece['id']}", headers={"If-Match": "*"})
    before = on_disk()
    for material_id, detail in (("nowhere", "no material “nowhere”"), (piece["id"], "offcuts bin")):
        answer = send(("a.png", picture()), to="photographs", material_id=material_id)
        body = refused(answer, 422, "bad_input", detail, pointer="/material_id")
        assert len(body["errors"]) == 1
    answer = send(("a.png", picture()), to="photographs")
    refused(answer, 422, "bad_input", "Fill this in", pointer="/material_id")
    answer = client.post("/api/photographs/pictures", data={"material_id": piece["id"]})
    refused(answer, 422, "bad_input", "Fill this in", pointer="/files")
    assert on_disk() == before


# What corrects them


def test_a_chart_is_found_by_itself_and_brings_the_colour_near(add, now, change, by_chart) -> None:
    (photograph,) = add(by_chart)
    correction = photograph["correction"]
    assert correction["correct_by"] == "chart"
    corners = [tuple(map(float, at.split(","))) for at in correction["chart_corners"].split()]
    np.testing.assert_allclose(corners, CHART, atol=0.5)
    assert photograph["colour"]["uncertainty"] == correction["uncertainty"] < 8
    assert f"misses by {correction['residual']:.1f} on average" in correction["sentence"]
    # Before: all of it was measured, the chart with it. Now without being told it is the wood.
    assert photograph["notes"] == []
    assert photograph["where"]["by"] == "whole"
    assert photograph["where"]["sentence"].endswith("The chart or card is left out.")
    answer = change(photograph, selections=[WOOD]).json()
    assert answer["where"]["by"] == "drawn"
    assert delta_e_2000(photograph["colour"]["lab"], answer["colour"]["lab"]) < 0.5
    assert _off(answer, OAK) < answer["colour"]["uncertainty"]
    assert now()["measured"] == "from 1 corrected photograph"
    assert now()["colour"]["uncertainty"] == pytest.approx(correction["uncertainty"])
    assert now()["colour"]["lab"] == pytest.approx(answer["colour"]["lab"])

    as_shot = change(photograph, correct_by="none").json()
    assert as_shot["correction"]["sentence"].startswith("Not corrected")
    assert as_shot["colour"]["uncertainty"] == 16
    assert now()["colour"]["uncertainty"] == pytest.approx(16)
    assert _off(as_shot, OAK) > _off(answer, OAK) + 3
    again = change(photograph, correct_by="chart").json()
    assert again["colour"]["lab"] == pytest.approx(answer["colour"]["lab"], abs=0.01)


def test_a_chart_is_found_when_the_piece_itself_comes_by_photograph(client, send, by_chart) -> None:
    material = send(("bog-oak.png", by_chart), to="materials").json()[0]
    assert material["measured"] == "from 1 corrected photograph"
    (photograph,) = client.get(f"/api/photographs?material_id={material['id']}").json()["items"]
    assert photograph["correction"]["correct_by"] == "chart"


def test_the_corners_of_a_chart_may_be_given_and_are_put_right(add, change, by_chart) -> None:
    (photograph,) = add(by_chart)
    found = photograph["correction"]["chart_corners"]
    rough = " ".join(f"{x + 1},{y - 1.5}" for x, y in CHART)
    given = change(photograph, correct_by="chart", chart_corners=rough).json()["correction"]
    np.testing.assert_allclose(
        *(_numbers(text) for text in (given["chart_corners"], found)), atol=1
    )
    assert given["chart_corners"] != rough
    older = change(photograph, chart_age="before-2014").json()
    assert older["correction"]["chart_age"] == "before-2014"
    assert older["colour"]["lab"] != photograph["colour"]["lab"]


def _numbers(points: str) -> list[float]:
    return [float(number) for pair in points.split() for number in pair.split(",")]


def test_a_chart_that_cannot_be_used_is_said_and_left_out_and_the_photograph_kept(
    add, change
) -> None:
    mirrored = board_by_chart(OAK).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    (photograph,) = add(as_file(mirrored))
    assert photograph["correction"]["correct_by"] == "none"
    assert photograph["colour"]["uncertainty"] == 16
    (note,) = photograph["notes"]
    assert note.startswith("There is a colour chart in the shot, but it cannot be used: ")
    assert "is mirrored, left for right" in note
    # It is no wood: what cannot correct is left out of what is measured all the same.
    (chart,) = photograph["where"]["without"]
    assert photograph["where"]["sentence"].endswith("The chart or card is left out.")
    again = change(photograph, scale_points="10,10 90,10", scale_mm="300").json()
    assert again["where"]["without"] == [chart]


@pytest.mark.parametrize(
    ("card", "reflectance", "doubt"),
    [("white card 90 %", 0.9, 8.0), ("grey card 18 %", 0.18, 8.5), ("white paper", 0.85, 8.9)],
)
def test_a_card_or_paper_brings_it_nearer_and_says_how_near(
    add, now, change, card: str, reflectance: float, doubt: float
) -> None:
    (photograph,) = add(as_file(board_by_card(OAK, reflectance)))
    assert photograph["correction"]["correct_by"] == "none"
    plain = change(photograph, selections=[WOOD]).json()
    by = {"correct_by": "card", "card": card, "card_region": CARD}
    answer = change(photograph, **by).json()
    assert answer["correction"] | by == answer["correction"]
    assert answer["correction"]["sentence"] == f"Corrected by the {card} in the shot."
    assert answer["colour"]["uncertainty"] == pytest.approx(doubt, abs=0.1)
    assert _off(answer, OAK) < _off(plain, OAK) / 2
    assert now()["colour"]["lab"] == pytest.approx(answer["colour"]["lab"])
    assert now()["measured"] == "from 1 corrected photograph"


def test_what_comes_out_brighter_than_white_says_so_and_is_still_shown(
    add, change, now, client
) -> None:
    (photograph,) = add(as_file(board_by_card(MAPLE, 0.36)))
    change(photograph, selections=[WOOD])
    answer = change(photograph, correct_by="card", card="white card 90 %", card_region=CARD).json()
    assert answer["colour"]["lab"][0] > 100
    assert any("brighter than white" in note for note in answer["notes"])
    assert client.get(now()["texture"]).status_code == 200


def test_the_dark_and_light_of_the_figure_are_corrected_too(add, change, by_card) -> None:
    (photograph,) = add(by_card)
    plain = change(photograph, selections=[WOOD]).json()
    by = {"correct_by": "card", "card": "white card 90 %", "card_region": CARD}
    answer = change(photograph, **by).json()
    for end in ("dark", "light"):
        moved, colour = answer["figure"][end], plain["figure"][end]
        assert delta_e_2000(moved["lab"], true_lab(OAK)) < delta_e_2000(
            colour["lab"], true_lab(OAK)
        )
        assert moved["uncertainty"] == answer["colour"]["uncertainty"]


def test_a_card_that_was_drawn_on_is_left_out_to_its_edges(add, change) -> None:
    """What was drawn is well inside of it; the card itself is 30 by 30 percent."""
    (photograph,) = add(as_file(board_by_card(OAK, 0.9)))
    middle = "xywh=percent:67,17,16,16"
    whole = ["xywh=percent:0,0,100,100"]
    by = {"correct_by": "card", "card": "white card 90 %", "card_region": middle}
    answer = change(photograph, **by, selections=whole).json()
    wood = change(photograph, selections=[WOOD]).json()
    assert delta_e_2000(answer["colour"]["lab"], wood["colour"]["lab"]) < 0.5
    (card,) = answer["where"]["without"]
    left, top = np.min(card, axis=0)
    right, bottom = np.max(card, axis=0)
    assert left < 60
    assert top < 10
    assert right > 90
    assert bottom > 40


def test_an_outline_that_holds_nothing_but_the_chart_is_refused(
    add, change, by_chart, refused
) -> None:
    (photograph,) = add(by_chart)
    answer = change(photograph, selections=["xywh=percent:60,15,20,20"])
    refused(answer, 422, "bad_input", "without the chart or card", pointer="/selections")


# Which state


def test_a_further_photograph_counts_for_nothing_until_it_is_said_what_it_shows(
    add, change, now, picture
) -> None:
    (first,) = add(picture(DARK), state="")
    assert first["state"] == "bare"
    (second,) = add(picture(RED), state="")
    assert second["state"] == "not said"
    assert now()["colour"]["lab"] == pytest.approx(first["colour"]["lab"])
    assert now()["measured"] == "from 1 photograph as shot"
    assert change(second, state="bare").json()["state"] == "bare"
    assert now()["measured"] == "from 2 photographs as shot"
    assert change(second, state=None).json()["state"] == "not said"
    assert now()["measured"] == "from 1 photograph as shot"


# A scale by the chart


def test_the_scale_of_a_full_size_chart_is_offered_and_only_offered(add, change, by_chart) -> None:
    """46.3 mm from patch to patch, by the rules printed on two charts; five of them in a row."""
    (photograph,) = add(by_chart)
    assert photograph["shows_mm"] is None
    offered = photograph["chart_scale"]
    assert offered["scale_mm"] == pytest.approx(5 * 46.3)
    answer = change(photograph, **offered).json()
    # From the first patch's middle to the sixth's, in a chart 42 percent wide.
    across = 5 / 5.88 * 42
    assert answer["shows_mm"][0] == pytest.approx(5 * 46.3 / across * 100, rel=0.01)


# Where to look


OUTLINE = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"><polygon points="{}"/></svg>'
)


def test_outlines_are_kept_as_they_were_drawn_and_bound_what_is_shown(
    add, change, now, client, picture
) -> None:
    """Written as W3C Web Annotation selectors, Data Model 4.2.7; the shown part as 4.2.1."""
    (photograph,) = add(picture(DARK, LIGHT))
    assert photograph["where"]["by"] == "whole"  # of two halves neither is the board
    triangle = OUTLINE.format("55.123,10.5 95.456,10.5 75,90")
    answer = change(photograph, selections=[triangle, "xywh=percent:60,20,5,5"]).json()
    assert answer["selections"] == [triangle, "xywh=percent:60,20,5,5"]
    assert now()["region"] == "xywh=percent:55.12,10.5,40.34,79.5"
    assert client.get(now()["texture"]).status_code == 200
    # However long the numbers, the address of what is shown stays short.
    third = OUTLINE.format(f"{100 / 3},{100 / 7} {200 / 3},{100 / 7} {200 / 3},{600 / 7}")
    assert change(photograph, selections=[third]).status_code == 200
    assert client.get(now()["texture"]).status_code == 200


# What is wrong is said at its field


REFUSED = {
    "no chart": (
        {"correct_by": "chart"},
        "/correct_by",
        "No colour chart was found.*Mark the corners",
    ),
    "three corners": (
        {"correct_by": "chart", "chart_corners": "10,10 20,10 20,20"},
        "/chart_corners",
        "It takes 4 points, written x,y x,y; got “10,10 20,10 20,20”",
    ),
    "corners in words": (
        {"correct_by": "chart", "chart_corners": "top left"},
        "/chart_corners",
        "Points are written x,y x,y in percent; got “top left”",
    ),
    "corners outside": (
        {"correct_by": "chart", "chart_corners": "10,10 120,10 90,90 10,90"},
        "/chart_corners",
        "must lie in the picture, 0 to 100 percent",
    ),
    "corners crossed": (
        {"correct_by": "chart", "chart_corners": "10,10 90,90 90,10 10,90"},
        "/chart_corners",
        "must go round the chart one after another",
    ),
    "corners of no chart": (
        {"correct_by": "chart", "chart_corners": "10,10 90,10 90,90 10,90"},
        "/chart_corners",
        "No 24-patch colour chart can be read between these corners",
    ),
    "a chart of some other time": (
        {"correct_by": "chart", "chart_age": "new"},
        "/chart_age",
        "must be one of",
    ),
    "no card drawn": ({"correct_by": "card"}, "/card_region", "Draw where the card or paper lies"),
    "not all card": (
        {"correct_by": "card", "card_region": "xywh=percent:40,10,30,30"},
        "/card_region",
        "(?i)not (one even surface|evenly lit)",
    ),
    "a card nowhere, though nothing is corrected by it": (
        {"card_region": "top left"},
        "/card_region",
        "A part of the picture is four numbers of percent",
    ),
    "corners nowhere, though nothing is corrected by them": (
        {"chart_corners": "top left"},
        "/chart_corners",
        "Points are written x,y x,y",
    ),
    "an unknown card": ({"correct_by": "card", "card": "napkin"}, "/card", "must be one of"),
    "crossing itself": (
        {"selections": [OUTLINE.format("10,10 90,90 90,10 10,90")]},
        "/selections",
        "may not cross or touch itself; it does after the point",
    ),
    "two points": (
        {"selections": [OUTLINE.format("10,10 90,90")]},
        "/selections",
        "at least 3 points; got 2",
    ),
    "not one pixel": (
        {"selections": [OUTLINE.format("10.01,10.01 10.02,10.01 10.02,10.02")]},
        "/selections",
        "holds not one pixel",
    ),
    "a script": ({"selections": ["<svg onload='x'/>"]}, "/selections", "no SVG with the viewBox"),
    "too many": ({"selections": [WOOD] * 21}, "/selections", "At most 20; got 21"),
    "a length without its ends": (
        {"scale_mm": 100},
        "/scale_points",
        "A scale needs two points and the length between them",
    ),
    "ends without a length": (
        {"scale_points": "10,50 90,50"},
        "/scale_mm",
        "A scale needs two points and the length between them",
    ),
    "a length of nothing": (
        {"scale_points": "10,50 90,50", "scale_mm": 0},
        "/scale_mm",
        "must be 0.1 to 10000 mm; got 0",
    ),
    "a length between one point": (
        {"scale_points": "50,50 50,50", "scale_mm": 100},
        "/scale_points",
        "lie too near to each other to measure by",
    ),
    "one end of a length": (
        {"scale_points": "10,50", "scale_mm": 100},
        "/scale_points",
        "It takes 2 points",
    ),
    "one end of a line": ({"grain_line": "10,50"}, "/grain_line", "It takes 2 points"),
    "a line that is a point": (
        {"grain_line": "10,50 10,50"},
        "/grain_line",
        "both are the same point",
    ),
    "a line that leaves": (
        {"grain_line": "10,50 110,50"},
        "/grain_line",
        "must lie in the picture",
    ),
    "no such state": ({"state": "burnt"}, "/state", "must be one of"),
}


@pytest.mark.parametrize(("fields", "pointer", "detail"), REFUSED.values(), ids=REFUSED.keys())
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_changed(
    add, once, change, by_card, refused, on_disk, fields, pointer: str, detail: str
) -> None:
    (photograph,) = once("by card", lambda: add(by_card))
    before = on_disk()
    answer = change(photograph, **fields)
    body = refused(answer, 422, answer.json()["type"].rsplit("-", 1)[1], detail, pointer=pointer)
    assert len(body["errors"]) == 1
    assert on_disk() == before


@pytest.mark.parametrize(
    ("exposure", "detail"),
    [(4.0, "The card is blown out: its red is at the end"), (0.003, "The card is too dark")],
)
def test_a_card_at_the_end_of_its_range_corrects_nothing(
    add, change, refused, on_disk, exposure: float, detail: str
) -> None:
    shot = Shot(LAMP.camera, LAMP.light, balanced=False, exposure=exposure)
    (photograph,) = add(as_file(board_by_card(OAK, 0.9, shot)))
    before = on_disk()
    answer = change(photograph, correct_by="card", card="white card 90 %", card_region=CARD)
    refused(answer, 422, "bad_image", detail, pointer="/card_region")
    assert on_disk() == before


# What they mean for the piece


def test_only_bare_wood_says_what_colour_the_piece_has(add, change, now, picture) -> None:
    bare, other = add(picture(DARK), picture(RED))
    both = now()["colour"]["lab"]
    for state in ("finished", "wetted", "end grain"):
        assert change(other, state=state).json()["state"] == state
        assert now()["colour"]["lab"] == pytest.approx(bare["colour"]["lab"])
        assert now()["measured"] == "from 1 photograph as shot"
        assert now()["disagreement"] is None
    change(other, state="bare")
    assert now()["colour"]["lab"] == pytest.approx(both)
    change(bare, state="finished")
    change(other, state="finished")
    assert (now()["colour"], now()["measured"]) == (None, "not measured")
    assert (now()["picture"], now()["texture"]) == (None, None)


def test_two_as_sure_meet_in_the_middle_and_their_disagreement_is_shown(add, now, picture) -> None:
    """Equal weights; the uncertainty of a mean of two: JCGM 100:2008 (GUM), 4.2.3, from memory.

    Three fifths of each one’s 16 is its own; what both have in common does not average out.
    """
    first, second = add(picture(DARK), picture((98, 70, 48)))
    labs = [one["colour"]["lab"] for one in (first, second)]
    middle = np.mean(labs, axis=0)
    assert now()["colour"]["lab"] == pytest.approx(middle)
    assert now()["colour"]["uncertainty"] == pytest.approx(16 * (0.64 + 0.36 / 2) ** 0.5)
    assert now()["disagreement"] == pytest.approx(delta_e_2000(labs, middle).max())


def test_two_that_contradict_each_other_leave_more_doubt_than_either(add, now, picture) -> None:
    add(picture(DARK), picture((226, 225, 218)))
    assert now()["colour"]["uncertainty"] > 20
    assert now()["disagreement"] > 20


def test_the_surer_counts_for_more(add, change, now, by_card, picture) -> None:
    """Weights are the inverse squares of the uncertainties: JCGM 100:2008 (GUM), from memory."""
    sure, unsure = add(by_card, picture((138, 97, 76)))
    by = {"correct_by": "card", "card": "white card 90 %", "card_region": CARD}
    sure = change(sure, selections=[WOOD], **by).json()
    weights = [1 / one["colour"]["uncertainty"] ** 2 for one in (sure, unsure)]
    labs = [one["colour"]["lab"] for one in (sure, unsure)]
    assert delta_e_2000(*labs) < 5  # nothing that their uncertainties do not explain
    assert now()["colour"]["lab"] == pytest.approx(np.average(labs, axis=0, weights=weights))
    assert now()["colour"]["uncertainty"] == pytest.approx(sum(weights) ** -0.5)
    assert now()["measured"] == "from 1 corrected photograph and 1 photograph as shot"


def test_removing_one_measures_the_piece_anew_and_so_does_taking_it_back(
    client, add, now, picture
) -> None:
    first, second = add(picture(DARK), picture(RED))
    both = now()
    removed = client.delete(f"/api/photographs/{first['id']}", headers={"If-Match": "*"}).json()
    assert removed["removed"] == "bare photograph"
    assert now()["colour"]["lab"] == pytest.approx(second["colour"]["lab"])
    assert now()["picture"]["sha256"] == second["picture"]["sha256"]
    assert now()["disagreement"] is None
    client.post(removed["take_back"])
    same = {"etag", "changed_utc"}
    assert {k: v for k, v in now().items() if k not in same} == {
        k: v for k, v in both.items() if k not in same
    }


def test_a_piece_in_the_bin_keeps_its_colour_and_comes_back_with_its_photographs(
    client, add, now, make, brief, piece, picture
) -> None:
    add(picture(DARK), picture(RED))
    before = now()
    part = make("parts", brief_id=brief["id"], role="binding", material_id=piece["id"])
    at = f"/api/materials/{piece['id']}"
    removed = client.delete(at, headers={"If-Match": "*"}).json()
    assert removed["along"] == ["2 photographs"]
    chosen = client.get(f"/api/parts/{part['id']}").json()["material"]
    assert chosen["in_bin"]
    assert chosen["now"]["lab"] == before["colour"]["lab"]
    assert client.get(f"/api/photographs?material_id={piece['id']}").json()["items"] == []
    client.post(removed["take_back"])
    assert now()["colour"] == before["colour"]
    assert len(client.get(f"/api/photographs?material_id={piece['id']}").json()["items"]) == 2


def test_parts_and_pairings_say_that_the_colour_has_changed(
    client, add, change, now, make, brief, piece, picture
) -> None:
    (photograph,) = add(picture(DARK, LIGHT))
    shell = make("materials", label="shell", reading="Lab 88 0 3")
    here = {"brief_id": brief["id"]}
    swatch = make("swatches", **here, colour="Lab 40 10 20")
    part = make("parts", **here, role="binding", material_id=piece["id"], swatch_id=swatch["id"])
    pairing = make("pairings", **here, ground_id=piece["id"], inlay_id=shell["id"])
    assert part["material"]["changed_by"] is None
    assert part["off_target_uncertainty"] == pytest.approx(16)
    assert pairing["ground"]["changed_by"] == pytest.approx(0, abs=1e-9)
    assert pairing["verdict"]["seen"][0]["difference"]["uncertainty"] == pytest.approx(257**0.5)
    old = now()["colour"]["lab"]

    change(photograph, selections=["xywh=percent:55,0,45,100"])
    moved = pytest.approx(float(delta_e_2000(old, now()["colour"]["lab"])))
    assert moved.expected > 3
    part = client.get(f"/api/parts/{part['id']}").json()
    assert part["material"]["changed_by"] == moved
    assert part["material"]["chosen"]["lab"] == pytest.approx(old)
    ground = client.get(f"/api/pairings/{pairing['id']}").json()["ground"]
    assert (ground["changed_by"], ground["asked_lab"]) == (moved, pytest.approx(old))


def test_a_surer_colour_makes_a_surer_verdict(
    client, add, change, make, brief, piece, by_chart
) -> None:
    (photograph,) = add(by_chart)
    change(photograph, correct_by="none", selections=[WOOD])
    inlay = make("materials", label="maple", reading="Lab 46 8 16")
    here = {"brief_id": brief["id"]}
    pairing = make("pairings", **here, ground_id=piece["id"], inlay_id=inlay["id"])
    unsure = pairing["verdict"]
    surer = change(photograph, correct_by="chart").json()["colour"]["uncertainty"]
    sure = client.get(f"/api/pairings/{pairing['id']}").json()["verdict"]
    expected = [float(np.hypot(1, doubt)) for doubt in (16, surer)]
    assert [one["seen"][0]["difference"]["uncertainty"] for one in (unsure, sure)] == pytest.approx(
        expected
    )
    for verdict, doubt in zip((unsure, sure), expected, strict=True):
        assert (
            f"contrast {verdict['seen'][0]['difference']['total']:.0f} ± {doubt:.0f}"
            in verdict["sentence"]
        )


# Scale and grain


RINGS = Board(ring_mm=2.0, px_per_mm=8.0, size=(900, 500), seed=4)
LINE = ((10, 50), (90, 50))


def test_grain_is_counted_along_a_line_and_to_the_centimetre(add, change) -> None:
    """The rings are drawn: how many end between the ends of the line, and how wide they are."""
    (photograph,) = add(as_file(Image.fromarray(RINGS.photograph())))
    assert photograph["grain"] is None
    line = " ".join(f"{x},{y}" for x, y in LINE)
    counted = change(photograph, grain_line=line).json()["grain"]
    drawn = RINGS.ring_ends_between(*LINE)
    assert counted["count"] == pytest.approx(len(drawn), abs=1)
    assert len(counted["positions"]) == counted["count"]
    assert all(10 <= x <= 90 and y == pytest.approx(50) for x, y in counted["positions"])
    assert (counted["per_cm"], counted["spacing_mm"]) == (None, None)

    # The picture shows 112.5 mm: 80 mm are 71.11 percent of its width.
    length = {"scale_points": "10,20 81.111,20", "scale_mm": 80}
    scaled = change(photograph, **length).json()["grain"]
    width = float(np.diff(drawn).mean())
    assert scaled["count"] == counted["count"]
    assert scaled["spacing_mm"] == pytest.approx(width, rel=0.03)
    assert abs(scaled["per_cm"] - 10 / width) < scaled["per_cm_error"]
    assert change(photograph, grain_line=None).json()["grain"] is None


def test_where_nothing_can_be_counted_the_reason_is_given(add, change, picture) -> None:
    (photograph,) = add(picture(DARK, size=(400, 300)))
    grain = change(photograph, grain_line="10,50 90,50").json()["grain"]
    assert (grain["count"], grain["positions"]) == (None, [])
    assert "No lines stand out here" in grain["reason"]
