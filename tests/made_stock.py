"""Stocks of made-up boards, written straight into the tables: to look in, not to be measured."""

from __future__ import annotations

from typing import Any

import numpy as np
from sqlalchemy import insert

from brief.services.photos.findings import measured
from brief.services.photos.pictures import keep_picture
from brief.services.photos.shot_correction import CorrectedDraft
from brief.services.stock.filling.board_photo import NOTHING_ASKED
from brief.services.stock.stocks import StockDraft, stocks
from brief.store.desk import Desk
from brief.store.records import Board, Stock, new_id

IN_ONE = 20_000  # rows


def wood_like(count: int, seed: int = 7) -> np.ndarray:
    """Colours as woods have them, CIELAB, shape (n, 3); invented."""
    rng = np.random.default_rng(seed)
    lightness = np.clip(rng.normal(55, 14, count), 5, 95)
    chroma, hue = np.clip(rng.normal(24, 8, count), 0, 60), np.radians(rng.normal(65, 12, count))
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=1)


def made_stock(
    desk: Desk, picture: bytes, labs: np.ndarray, *, uncertainty: float = 4.0, **fields: Any
) -> Stock:
    """A stock of boards of those colours, which all show one photograph."""
    stock = stocks.add(desk, StockDraft(**{"name": "Guild store", "source": "the loft", **fields}))
    add_boards(desk, stock, picture, labs, uncertainty=uncertainty)
    return stock


def add_boards(
    desk: Desk, stock: Stock, picture: bytes, labs: np.ndarray, *, uncertainty: float = 4.0
) -> None:
    """Further boards, as `fill` keeps them."""
    image = keep_picture(desk, "board.png", picture)
    asked = {**dict(CorrectedDraft()), **NOTHING_ASKED}
    found = measured(desk.images.path(image.sha256), "board.png", asked, by_itself=True)
    del found["cells"]
    for start in range(0, len(labs), IN_ONE):
        rows = [
            {
                "id": new_id(),
                "stock_id": stock.id,
                "photo_sha256": f"{stock.edition:04x}{start + place:060x}",
                "image_sha256": image.sha256,
                "file": f"{start + place}.jpg",
                "label": f"Board {start + place}",
                "species": "",
                "length_mm": 560.0,
                "width_mm": 215.0,
                "thickness_mm": 4.0,
                "price": None,
                "currency": "EUR",
                "more": {},
                "lightness": float(lab[0]),
                "a": float(lab[1]),
                "b": float(lab[2]),
                "uncertainty": uncertainty,
                "spread": found["spread"],
                "figure": "plain",
                "grain_deg": None,
                "measured": {**found, "lab": lab.tolist(), "uncertainty": uncertainty},
            }
            for place, lab in enumerate(labs[start : start + IN_ONE])
        ]
        desk.session.execute(insert(Board), rows)
    stock.edition += 1
    desk.session.flush()
