"""The Pairings sheet of the demo against decoding the photographs of its boards with Pillow.

Cold, each board is looked at for its figure, and every verdict is worked out; warm, what was found
of the boards is kept. What is compared is the processor's time.

Run with `python -m pytest tests/benchmarks/test_pairings_page_speed.py -s`.
"""

import shutil

from PIL import Image as Pillow

from brief.api.app import create_app
from brief.settings import Settings
from tests.asking import TestClient

MOST_COLD, MOST_WARM = 30.0, 20.0  # times decoding; on two cores of 2026 that is some 70 ms


def test_cold_and_warm(demo_home, least):
    app = create_app(Settings(home=demo_home, hosts="testserver"))
    with TestClient(app) as client:
        (brief,) = client.get("/api/briefs").json()["items"]
        pairings = client.get(f"/api/pairings?brief_id={brief['id']}").json()["items"]
        boards = {one["ground"]["id"] for one in pairings}
        shown = [client.get(f"/api/materials/{board}").json() for board in sorted(boards)]
        files = [
            demo_home / "images" / "originals" / sha[:2] / sha
            for sha in (one["picture"]["sha256"] for one in shown if one["picture"])
        ]

        def decode():
            for file in files:
                with Pillow.open(file) as image:
                    image.load()

        def sheet():
            assert client.get(f"/briefs/{brief['id']}/pairings").status_code == 200

        def forget():
            shutil.rmtree(demo_home / "images" / "renditions", ignore_errors=True)

        (decoding, _), (cold, _), (warm, _) = least(decode), least(sheet, forget), least(sheet)
    print(f"\n{len(files)} boards decoded: {decoding:.3f} s; cold {cold:.2f} s, warm {warm:.2f} s")
    assert len(files) >= 4
    assert cold <= MOST_COLD * decoding, cold / decoding
    assert warm <= MOST_WARM * decoding, warm / decoding
