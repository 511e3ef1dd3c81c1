"""A piece that is too small for its part is not taken without a word."""

from __future__ import annotations

import pytest

ANY = {"If-Match": "*"}


@pytest.fixture
def top(client):
    brief = client.post("/api/briefs", json={"title": "Saltmarsh"}).json()
    parts = client.get("/api/parts", params={"brief_id": brief["id"]}).json()["items"]
    return next(part for part in parts if part["role"] == "top")


@pytest.fixture
def choose(client, top):
    def chosen(**size) -> dict:
        piece = client.post(
            "/api/materials", json={"label": "spruce", "stuff": "timber", "reading": "#e0c8a0"}
        ).json()
        client.patch(f"/api/materials/{piece['id']}", json=size, headers=ANY)
        answer = client.patch(
            f"/api/parts/{top['id']}", json={"material_id": piece["id"]}, headers=ANY
        )
        assert answer.status_code == 200, answer.text
        return answer.json()

    return chosen


def test_a_board_that_is_too_small_is_said_with_both_sizes(client, top, choose) -> None:
    part = choose(length_mm=300, width_mm=120, thickness_mm=3)
    assert part["too_small"].startswith("This piece is too small for the part: it needs ")
    assert part["too_small"].endswith("spruce is 300 × 120 × 3 mm.")
    sheet = f"/briefs/{top['brief_id']}"
    assert "too small" in client.get(f"{sheet}/spec").text
    page = client.get(f"{sheet}/parts/{top['id']}").text
    assert page.count(part["too_small"]) == 1


@pytest.mark.parametrize(
    "size",
    [
        {"length_mm": 600, "width_mm": 220, "thickness_mm": 4},
        {"length_mm": 220, "width_mm": 600, "thickness_mm": 4},
        {"length_mm": 600},
        {},
    ],
)
def test_a_board_that_is_large_enough_or_of_no_known_size_is_taken(choose, size) -> None:
    assert choose(**size)["too_small"] == ""


def test_what_is_not_known_is_no_size(choose) -> None:
    assert choose(thickness_mm=1)["too_small"].endswith("spruce is ? × ? × 1 mm.")


def test_a_part_that_is_still_open_has_nothing_to_say(top) -> None:
    assert top["too_small"] == ""
