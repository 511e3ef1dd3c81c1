"""References corrected by what lies in the shot, and the palettes pulled out of them then."""

from __future__ import annotations

import pytest

from brief.colour import delta_e_2000
from tests.api.once import fixture_once
from tests.photo.rendered_bench import (
    CARD,
    WOOD,
    as_file,
    board_by_card,
    board_by_chart,
    true_lab,
    woods,
)

pytestmark = pytest.mark.computed

WALNUT = woods()[3]
BY_CARD = {"correct_by": "card", "card": "white card 90 %", "card_region": CARD}


@fixture_once
def reference(send):
    return send(("bench.png", as_file(board_by_card(WALNUT, 0.9)))).json()[0]


@pytest.fixture
def change(client):
    def changed(reference, **fields: object):
        at = f"/api/references/{reference['id']}"
        return client.patch(at, json=fields, headers={"If-Match": "*"})

    return changed


def test_palettes_pulled_afterwards_are_corrected_and_earlier_ones_stay(
    client, make, change, reference
) -> None:
    pull = {"reference_id": reference["id"], "colours": 2, "region": WOOD}
    assert reference["correction"]["correct_by"] == "none"
    earlier = make("palettes", **pull)
    swatch = make(
        "swatches",
        brief_id=reference["brief_id"],
        palette_id=earlier["id"],
        palette_index=0,
    )
    corrected = change(reference, **BY_CARD)
    assert corrected.status_code == 200
    view = corrected.json()["correction"]
    assert view | BY_CARD == view
    assert view["sentence"] == "Corrected by the white card 90 % in the shot."
    doubt = view["uncertainty"]
    assert 7.5 < doubt < 8.5

    later = make("palettes", **pull)
    assert client.get(f"/api/palettes/{earlier['id']}").json() == {
        **earlier,
        "colours": [
            {**one, "swatch_ids": [swatch["id"]] if not place else []}
            for place, one in enumerate(earlier["colours"])
        ],
    }
    assert {one["colour"]["uncertainty"] for one in earlier["colours"]} == {16}
    assert {one["colour"]["uncertainty"] for one in later["colours"]} == {doubt}
    off = [
        float(delta_e_2000(palette["colours"][0]["colour"]["lab"], true_lab(WALNUT)))
        for palette in (earlier, later)
    ]
    assert off[1] < off[0] / 2
    assert off[1] < doubt


def test_the_uncertainty_goes_on_into_swatches_and_parts(client, make, change, reference) -> None:
    """Independent errors add as the root of the sum of squares: JCGM 100:2008 (GUM), 5.1.2."""
    doubt = change(reference, **BY_CARD).json()["correction"]["uncertainty"]
    palette = make("palettes", reference_id=reference["id"], colours=2, region=WOOD)
    here = {"brief_id": reference["brief_id"]}
    taken = {"palette_id": palette["id"], "palette_index": 0}
    swatch = make("swatches", **here, **taken)
    assert swatch["colour"]["uncertainty"] == doubt
    walnut = make("materials", label="walnut", reading="Lab 40 10 20 D50/10")
    part = make("parts", **here, role="binding", material_id=walnut["id"], swatch_id=swatch["id"])
    assert part["off_target_uncertainty"] == pytest.approx((doubt**2 + 1 + 3.9**2) ** 0.5)


def test_a_chart_in_a_reference_is_used_when_it_is_asked_for(client, make, send, change) -> None:
    reference = send(("chart.png", as_file(board_by_chart(WALNUT)))).json()[0]
    assert reference["correction"]["correct_by"] == "none"
    view = change(reference, correct_by="chart").json()["correction"]
    assert len(view["chart_corners"].split()) == 4
    palette = make("palettes", reference_id=reference["id"], colours=2, region=WOOD)
    colour = palette["colours"][0]["colour"]
    assert colour["uncertainty"] == view["uncertainty"] < 8
    assert delta_e_2000(colour["lab"], true_lab(WALNUT)) < view["uncertainty"]
    back = change(reference, correct_by="none").json()["correction"]
    assert (back["correct_by"], back["uncertainty"]) == ("none", 16)


def test_words_can_be_changed_without_correcting_anew(change, reference, monkeypatch) -> None:
    change(reference, **BY_CARD)
    monkeypatch.setattr("brief.services.theme.references.settle_correction", None)
    answer = change(reference, title="The bench").json()
    assert answer["title"] == "The bench"
    assert answer["correction"]["correct_by"] == "card"


@pytest.mark.parametrize(
    ("fields", "detail", "pointer"),
    [
        ({"correct_by": "chart"}, "No colour chart was found", "/correct_by"),
        ({"correct_by": "card"}, "Draw where the card or paper lies", "/card_region"),
        (
            {"correct_by": "chart", "chart_corners": "1,1 2,2"},
            "It takes 4 points",
            "/chart_corners",
        ),
        ({"correct_by": "sun"}, "must be one of", "/correct_by"),
    ],
)
def test_what_cannot_correct_is_refused_at_its_field(
    change, reference, refused, on_disk, fields, detail: str, pointer: str
) -> None:
    before = on_disk()
    body = refused(change(reference, **fields), 422, "bad_input", detail, pointer=pointer)
    assert len(body["errors"]) == 1
    assert on_disk() == before


def test_a_passage_has_nothing_to_correct(make, change, brief, refused) -> None:
    passage = make("references", brief_id=brief["id"], title="Verse", passage="The tide")
    assert passage["correction"] is None
    answer = change(passage, correct_by="chart")
    refused(answer, 422, "bad_input", "A passage has no colours", pointer="/correct_by")
