"""The code for the phone's camera, read again by another library (ZXing-C++)."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
import zxingcpp

from brief.api.app import create_app
from brief.settings import Settings
from tests.asking import TestClient

ADDRESSES = ["http://192.0.2.7:8765/", "https://briefs.example/", "http://192.168.178.123:20001/"]


def drawn(svg: str) -> np.ndarray:
    """The modules of the code as pixels, dark ones 0: from the strokes, each one module high."""
    side = int(re.search(r'viewBox="0 0 (\d+) \1"', svg)[1])
    pixels = np.full((side, side), 255, dtype=np.uint8)
    strokes = re.search(r'<path stroke="#000" d="([^"]+)"', svg)[1]
    x = y = 0.0
    for step, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?: (-?[\d.]+))?", strokes):
        if step == "M":
            x, y = float(first), float(second)
        elif step == "m":
            x, y = x + float(first), y + float(second)
        else:
            pixels[int(y), int(x) : int(x + float(first))] = 0
            x += float(first)
    return np.kron(pixels, np.ones((6, 6), dtype=np.uint8))


@pytest.mark.parametrize("address", ADDRESSES)
def test_the_code_says_the_address(tmp_path: Path, address: str) -> None:
    settings = Settings(home=tmp_path, hosts="testserver", addresses=(address, "http://10.0.0.2/"))
    with TestClient(create_app(settings)) as client:
        answer = client.get("/on-the-phone.svg")
        assert answer.headers["content-type"] == "image/svg+xml"
        assert "style" not in answer.text
        assert "script" not in answer.text
        pixels = drawn(answer.text)
        (found,) = zxingcpp.read_barcodes(pixels)
        assert (found.text, str(found.format)) == (address, "QR Code")
        assert (pixels[:24] == 255).all()  # a quiet zone of four modules: ISO/IEC 18004, 6.3.8
        page = client.get("/").text
        assert f'href="{address}"' in page
        assert ("Nothing is encrypted" in page) is address.startswith("http:")


def test_where_it_answers_this_computer_alone_the_page_says_how_to_start_it(client, refused):
    page = client.get("/").text
    assert "<code>brief serve --lan</code>" in page
    assert "/on-the-phone.svg" not in page
    refused(client.get("/on-the-phone.svg"), 404, "not_found", "only the computer it runs on")
