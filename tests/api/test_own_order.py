"""References stand in the maker's own order once one of them was moved."""

from __future__ import annotations

import re

import pytest


@pytest.fixture
def passages(make, brief):
    return [
        make("references", brief_id=brief["id"], title=title, passage="Low water.")
        for title in "abcd"
    ]


@pytest.fixture
def in_order(client, brief):
    def read() -> str:
        page = client.get(f"/briefs/{brief['id']}/references?order=own").text
        return "".join(re.findall(r'<span class="small soft">(\w)</span>', page))

    return read


def test_one_is_moved_and_the_others_make_room(passages, change, in_order, make, brief) -> None:
    assert in_order() == "abcd"
    assert change(passages[3], "references", position=2).json()["position"] == 2
    assert in_order() == "adbc"
    change(passages[0], "references", position=4)
    assert in_order() == "dbca"
    make("references", brief_id=brief["id"], title="e", passage="New.")
    assert in_order() == "dbcae"
    assert change(passages[1], "references", position=99).is_success  # beyond the last is last
    assert in_order() == "dcaeb"


def test_who_made_room_can_be_changed_as_before(passages, change, in_order) -> None:
    """The form of another one, open meanwhile, holds its ETag from before."""
    change(passages[3], "references", position=1)
    assert change(passages[0], "references", title="A").is_success
    assert in_order() == "dAbc"


@pytest.mark.parametrize("place", [0, -1, 1.5, "two", 100_001])
def test_what_is_no_place_is_refused(passages, change, refused, in_order, place) -> None:
    refused(
        change(passages[1], "references", position=place), 422, "bad_input", pointer="/position"
    )
    assert in_order() == "abcd"


def test_the_order_goes_along_in_the_zip(client, brief, passages, change) -> None:
    change(passages[3], "references", position=1)
    parcel = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    change(passages[3], "references", position=4)  # so that what comes is another brief
    came = client.post("/api/parcels", files={"file": ("a.zip", parcel)}).json()
    assert came["brief_id"] != brief["id"]
    page = client.get(f"/briefs/{came['brief_id']}/references?order=own").text
    assert re.findall(r'<span class="small soft">(\w)</span>', page) == list("dabc")
