"""The nearest 20 of 200,000 boards, exactly, and answers over them, warm.

The bars are those of a quiet machine of 2026. Filling the tables takes a minute.
Run with `python -m pytest tests/benchmarks/test_stock_speed.py -s`.
"""

from io import BytesIO

import pytest
from PIL import Image

from brief.api.app import create_app
from brief.services import nouns
from brief.services.common.naming import label
from brief.services.rack.piece_views import MaterialDraft
from brief.services.stock.colours import colours_of
from brief.services.theme.briefs import BriefDraft
from brief.settings import Settings
from brief.store.desk import Store
from tests.asking import TestClient
from tests.made_stock import made_stock, wood_like

BOARDS = 200_000
NEAREST_MS, ANSWER_MS = 50, 250
TARGETS = ((38, 9, 15), (80, 2, 20), (55, 14, 30), (55, -20, -30))


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    """A home with such a stock, one piece and a brief; it, and their ids."""
    home = tmp_path_factory.mktemp("stock")
    picture = BytesIO()
    Image.new("RGB", (40, 30), (92, 64, 44)).save(picture, "PNG")
    store = Store(home)
    with store.desk(writing=True) as desk:
        stock = made_stock(desk, picture.getvalue(), wood_like(BOARDS))
        piece = nouns.materials.add(desk, MaterialDraft(label="walnut", reading="Lab 38 9 15"))
        brief = nouns.briefs.add(desk, BriefDraft(title="Low water"))
        assert label(stock)
        ids = stock.id, piece.id, brief.id
    store.close()
    return home, *ids


def test_the_nearest_of_200_000(home, least):
    where, stock_id, _, _ = home
    store = Store(where)
    with store.desk() as desk:
        kept = colours_of(desk, nouns.stocks.get(desk, stock_id))
        assert len(kept.ids) == BOARDS
        for target in TARGETS:
            _, clock_s = least(lambda target=target: kept.nearest.to(target, 20))
            print(f"nearest 20 to {target}: {clock_s * 1e3:.1f} ms")
            assert clock_s * 1e3 < NEAREST_MS
    store.close()


def test_answers_over_200_000(home, least):
    where, stock_id, piece_id, brief_id = home
    page = f"/briefs/{brief_id}/stock"
    asked = [
        (f"/api/stocks/{stock_id}/nearest", {"colour": "Lab 38 9 15", "count": 48}),
        (f"/api/stocks/{stock_id}/pairs/{piece_id}", {"count": 48}),
        (f"/api/stocks/{stock_id}/boards", {"limit": 48}),
        (page, {}),
        (page, {"page": BOARDS // 12}),
        (page, {"look": f"piece:{piece_id}"}),
        (page, {"look": f"pair:{piece_id}", "page": 16}),
    ]
    with TestClient(create_app(Settings(home=where, hosts="testserver"))) as client:
        for path, query in asked:
            answer = client.get(path, params=query)
            assert answer.status_code == 200, answer.text

            def again(path=path, query=query):
                client.get(path, params=query)

            processor_s, _ = least(again)
            print(f"{path.split('/')[-1]} {query}: {processor_s * 1e3:.0f} ms")
            assert processor_s * 1e3 < ANSWER_MS
