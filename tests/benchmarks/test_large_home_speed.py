"""A home with 1,000 pieces, 300 pictures, 1,000 comments and 100 pairings: what each sheet and the
page of a link take of the processor, warm, and how large they are.

Warm is from the second time on, when verdicts are in memory. The bars are those of a quiet machine
of 2026; beside them a yardstick is run, whose time there is known, so that a busy one is not taken
for a slow program.

Run with `python -m pytest tests/benchmarks/test_large_home_speed.py -s`.
"""

import pytest

from brief.api.app import create_app
from brief.settings import Settings
from tests.asking import TestClient
from tests.large_home import COMMENTS, PAIRINGS, PICTURES, PIECES, large_home

MOST_MS, MOST_BYTES = 250, 400_000
YARDSTICK_MS = 80  # on a quiet core of 2026, by the least of five
ALL = ["theme", "references", "pairings", "spec", "questions", "drawing", "comments"]
SHEETS = (
    "theme", "today", "references", "references?order=colour", "references/{references}", "timber",
    "timber?page=9&order=hue", "timber?words=walnut", "timber/{materials}", "pairings",
    "pairings?page=4", "pairings/new", "pairings/{pairings}", "boards?on={materials}", "lay",
    "spec", "parts/{parts}", "parts/{parts}/tries", "whole", "panel?sheet=spec", "drawing",
    "cost", "comments", "comments?page=30", "comments?who=Hall+steward", "comments/ask", "sharing",
    "paper", "credits", "revisions", "beside",
)  # fmt: skip


def yardstick() -> int:
    return sum(number * number % 7 for number in range(1_000_000))


@pytest.fixture(scope="module")
def visited(tmp_path_factory):
    home = tmp_path_factory.mktemp("large")
    brief_id = large_home(home)
    app = create_app(Settings(home=home, hosts="testserver"))
    with TestClient(app) as client:
        yield client, brief_id


def test_as_much_as_it_says(visited):
    client, brief_id = visited
    counts = {}
    for noun, own in (("materials", ""), *((one, f"&brief_id={brief_id}") for one in (
        "references", "comments", "pairings"))):  # fmt: skip
        found, after = [], ""
        while page := client.get(f"/api/{noun}?limit=200{own}{after}").json()["items"]:
            found += page
            after = f"&after={page[-1]['id']}"
        counts[noun] = len(found)
    assert counts["materials"] == PIECES
    assert counts["references"] >= PICTURES
    assert (counts["comments"], counts["pairings"]) == (COMMENTS, PAIRINGS)


def test_every_sheet_is_quick_and_light(visited, least):
    client, brief_id = visited
    ids = {}
    for noun in ("references", "materials", "pairings", "parts"):
        own = "" if noun == "materials" else f"&brief_id={brief_id}"
        ids[noun] = client.get(f"/api/{noun}?limit=1{own}").json()["items"][0]["id"]
    asked = {"brief_id": brief_id, "name": "a guest", "sheets": ALL}
    link = client.post("/api/shares", json=asked).json()["address"]
    addresses = [f"/briefs/{brief_id}/{sheet.format(**ids)}" for sheet in SHEETS]
    slow = {}
    for address in ["/", *addresses, link, f"{link}?pictures=12&pairings=8"]:
        sizes = []

        def page(address=address, sizes=sizes):
            answer = client.get(address)
            assert answer.status_code == 200, address
            sizes.append(len(answer.content))

        page()
        took, _ = least(page)
        busy, _ = least(yardstick)
        quiet = took * 1000 * min(1.0, YARDSTICK_MS / 1000 / busy)
        name = address.removeprefix(f"/briefs/{brief_id}/")[:40]
        print(f"{name:40} {took * 1000:5.0f} ms of CPU, quiet {quiet:4.0f}; {sizes[-1]:7} bytes")
        if quiet > MOST_MS or sizes[-1] > MOST_BYTES:
            slow[name] = (round(quiet), sizes[-1])
    assert slow == {}
