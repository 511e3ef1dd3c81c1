"""The Pairings sheet with a hundred pairings: what it takes of the processor, and how large it is.

Cold, every pairing is judged; warm, the judgements are in memory, as they are from the second time
a sheet is opened until a colour, a line or a place changes. Warm is compared with cold.

Run with `python -m pytest tests/benchmarks/test_hundred_pairings_speed.py -s`.
"""

from brief.api.app import create_app
from brief.services.pairing import glances
from brief.settings import Settings
from tests.asking import TestClient

COUNT, MOST_BYTES = 100, 400_000


def test_cold_and_warm(demo_home, least):
    app = create_app(Settings(home=demo_home, hosts="testserver"))
    with TestClient(app) as client:
        (brief,) = client.get("/api/briefs").json()["items"]
        at = f"/briefs/{brief['id']}/pairings"
        pairings = client.get(f"/api/pairings?brief_id={brief['id']}").json()["items"]
        for i in range(COUNT - len(pairings)):
            one = pairings[i % len(pairings)]
            asked = {f"{side}_id": one[side]["id"] for side in ("ground", "inlay")}
            asked |= {"brief_id": brief["id"], "line_mm": 0.2 + i / 50}
            assert client.post("/api/pairings", json=asked).status_code == 201
        page = client.get(at)
        assert "Page 1 of 5" in page.text

        def sheet():
            assert client.get(at).status_code == 200

        (cold, _), (warm, _) = least(sheet, glances.judged.cache_clear), least(sheet)
    size = len(page.content)
    print(f"\n{COUNT} pairings: cold {cold:.2f} s, warm {warm * 1000:.0f} ms of CPU; {size} bytes")
    assert size < MOST_BYTES
    assert warm < cold / 4
