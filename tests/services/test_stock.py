"""A stock is filled from a folder of photographs: each file is accounted for, and none twice."""

from __future__ import annotations

import os
from pathlib import Path
from zlib import crc32

import numpy as np
import pytest
from PIL import Image
from sqlalchemy import select

from brief.colour import delta_e_2000, srgb_to_lab
from brief.crew.processes import Processes
from brief.errors import InputError
from brief.services.stock.filling import board_photo
from brief.services.stock.filling.board_photo import look_at_board, read_board
from brief.services.stock.filling.details import details_of, read_details
from brief.services.stock.filling.filling import files_in, fill, matched
from brief.services.stock.stocks import StockDraft, stocks
from brief.store.desk import Store
from brief.store.records import Board, Stock
from brief.store.records import Image as Kept

WALNUT, SPRUCE = "#5c402c", "#dcc29a"
PRICES = """file;label;Species;Length (in);width_mm;thickness;price (GBP);moisture
walnut.png;Set 12;Juglans nigra;21 1/2;210;3,2 mm;48.50;8 %
spruce.png;;Picea abies;;;;;
"""


def board(folder: Path, name: str, colour: str, seed: int = 0) -> Path:
    """A photograph of nothing but wood: a colour with streaks along it."""
    streaks = np.random.default_rng(seed).normal(0, 3, (80, 1, 1))
    rgb = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)])
    folder.mkdir(exist_ok=True)
    pixels = np.clip(np.repeat(rgb + streaks, 120, axis=1), 0, 255).astype(np.uint8)
    Image.fromarray(pixels).save(folder / name)
    return folder / name


@pytest.fixture
def photographs(tmp_path: Path) -> Path:
    """Two boards, one of them twice, and what no merchant means to send."""
    folder = tmp_path / "photographs"
    board(folder, "walnut.png", WALNUT)
    spruce = board(folder, "spruce.png", SPRUCE).read_bytes()
    (folder / "spruce again.png").write_bytes(spruce)
    (folder / "cut.png").write_bytes(spruce[:300])
    (folder / "nothing.jpg").write_bytes(b"")
    (folder / "note.jpg").write_text("delivery note 12")
    head = b"IHDR" + (60_000).to_bytes(4, "big") * 2 + b"\x08\2\0\0\0"
    head = b"\0\0\0\r" + head + crc32(head).to_bytes(4, "big")  # ISO/IEC 15948, 5.3
    (folder / "huge.png").write_bytes(b"\x89PNG\r\n\x1a\n" + head + b"\0\0\0\0IDAT")
    (folder / "spruce.txt").write_bytes(board(folder, "other.png", SPRUCE, 1).read_bytes())
    (folder / "other.png").unlink()
    (folder / ".hidden.jpg").write_bytes(b"")
    return folder


@pytest.fixture
def stock_id(store: Store) -> str:
    with store.desk(writing=True) as desk:
        return stocks.add(desk, StockDraft(name="Guild store")).id


def boards(store: Store) -> dict[str, Board]:
    with store.desk() as desk:
        return {one.file: one for one in desk.session.scalars(select(Board))}


@pytest.mark.slow
def test_all_files_are_accounted_for_and_none_is_measured_twice(
    store: Store, stock_id: str, photographs: Path
) -> None:
    files = files_in(photographs)
    assert len(files) == 8
    filled = fill(store, stock_id, photographs, files, {}, crew=Processes(2))
    assert filled.looked_at == 8
    assert filled.measured == 3
    assert len(filled.twice) == 1
    assert {*filled.twice, *filled.twice.values()} == {"spruce.png", "spruce again.png"}
    assert {file: reason.split("”")[1][:14] for file, reason in filled.failed.items()} == {
        "cut.png": " is a PNG file",
        "nothing.jpg": " is empty (0 b",
        "note.jpg": " is not a pict",
        "huge.png": " has too many ",
    }
    walnut = boards(store)["walnut.png"]
    found = walnut.lightness, walnut.a, walnut.b
    assert delta_e_2000(found, srgb_to_lab(np.array([0x5C, 0x40, 0x2C]) / 255)) < 1
    assert walnut.uncertainty == 16  # nothing in the shot corrects it
    assert walnut.label == "walnut"
    assert "spruce.txt" in boards(store)  # a picture is what its bytes say

    with store.desk() as desk:
        edition = desk.session.get_one(Stock, stock_id).edition
    again = fill(store, stock_id, photographs, files, {}, crew=Processes(1))
    assert (again.measured, again.known, again.looked_at) == (0, 3, 8)
    with store.desk() as desk:
        assert desk.session.get_one(Stock, stock_id).edition == edition > 0


@pytest.mark.slow
def test_what_was_measured_before_it_was_stopped_is_kept(
    store: Store, stock_id: str, photographs: Path
) -> None:
    files = ["walnut.png", "spruce.png", "spruce.txt"]

    def stop(_: object) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fill(store, stock_id, photographs, files, {}, crew=Processes(1), told=stop)
    assert len(boards(store)) == 1
    filled = fill(store, stock_id, photographs, files, {}, crew=Processes(1))
    assert (filled.measured, filled.known) == (2, 1)


def test_what_the_program_stumbles_over_keeps_nothing_else_from_being_measured(
    photographs: Path, monkeypatch
) -> None:
    for trouble, said in ((MemoryError(), "too little memory"), (ZeroDivisionError(), "wrong")):

        def fails(*_: object, trouble: Exception = trouble, **__: object) -> None:
            raise trouble

        monkeypatch.setattr(board_photo, "measured", fails)
        data = (photographs / "walnut.png").read_bytes()
        looked = look_at_board("walnut.png", "", data, keep=False)
        assert said in looked.reason
        assert looked.measured is None


def test_a_name_that_is_no_text_is_told(store: Store, stock_id: str, photographs: Path) -> None:
    odd = os.fsdecode(b"n\xfcss.png")
    try:
        (photographs / "walnut.png").rename(photographs / odd)
    except OSError:
        pytest.skip("this file system has no such names")
    filled = fill(store, stock_id, photographs, [odd, "spruce.png"], {}, crew=Processes(1))
    assert filled.failed == {"n\ufffdss.png": "Its name is not text in UTF-8. Rename it."}
    assert [*boards(store)] == ["spruce.png"]


@pytest.mark.slow
def test_two_that_fill_one_stock_at_once_keep_each_board_once(
    store: Store, stock_id: str, photographs: Path
) -> None:
    files = ["walnut.png", "spruce.png"]

    def another(_: object) -> None:
        fill(store, stock_id, photographs, files, {}, crew=Processes(1))

    # The other one begins and ends while the first has measured, and not kept, a board.
    fill(store, stock_id, photographs, files, {}, crew=Processes(1), told=another)
    assert {*boards(store)} == {*files}


def test_only_a_small_picture_is_kept_unless_asked(photographs: Path, tmp_path: Path) -> None:
    large = tmp_path / "large.png"
    Image.open(photographs / "walnut.png").resize((900, 600)).save(large)
    read = read_board(large, "large.png")
    small = look_at_board("large.png", read.sha256, read.data, keep=False)
    whole = look_at_board("large.png", read.sha256, read.data, keep=True)
    assert small.facts is not None
    assert whole.facts is not None
    assert (small.facts.width, small.facts.media_type) == (400, "image/jpeg")
    assert whole.picture == large.read_bytes()
    assert (whole.facts.width, whole.facts.media_type) == (900, "image/png")
    assert small.measured == whole.measured


def test_the_merchants_table_is_read_and_written_again(
    store: Store, stock_id: str, photographs: Path
) -> None:
    files = ["walnut.png", "spruce.png"]
    fill(store, stock_id, photographs, files, {}, crew=Processes(1))
    said = matched(files, details_of(PRICES, "prices.csv"))
    fill(store, stock_id, photographs, files, said, crew=Processes(1))
    walnut, spruce = boards(store)["walnut.png"], boards(store)["spruce.png"]
    assert (walnut.label, walnut.species) == ("Set 12", "Juglans nigra")
    # 21 1/2 in = 546.1 mm (NIST SP 811, B.6: an inch is 25.4 mm exactly)
    assert (walnut.length_mm, walnut.width_mm, walnut.thickness_mm) == (546.1, 210, 3.2)
    assert (str(walnut.price), walnut.currency) == ("48.5", "GBP")
    assert walnut.more == {"moisture": "8 %"}
    assert (spruce.label, spruce.price) == ("spruce", None)


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("label;price\n12;5", "no column “file”"),
        ("file,price\na.jpg,many", "line 2: price"),
        ("file,width\na.jpg,-3", "line 2: width"),
        ("file,price\na.jpg,5\na.jpg,6", "line 3: “a.jpg” is there twice"),
        ("file,price\n,6", "line 2: it names no file"),
        ("file,price,Price (EUR)\na.jpg,5,5", "two columns for the price"),
        ("file,price\na.jpg,5.123", "line 2: price"),
        ("file,price\na.jpg,£5", "line 2: price"),
        ("", "is empty|no column"),
    ],
)
def test_a_table_at_fault_is_refused_with_its_line(table: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        details_of(table, "prices.csv")


def test_a_file_that_is_no_table_is_refused(tmp_path: Path) -> None:
    odd = tmp_path / "prices.csv"
    odd.write_bytes("file;Länge".encode("latin-1"))
    with pytest.raises(InputError, match="UTF-8"):
        read_details(odd)
    with pytest.raises(InputError, match="cannot be opened"):
        read_details(tmp_path / "none.csv")


def test_a_table_may_leave_folders_out_where_names_are_clear() -> None:
    said = details_of("file\nb.jpg\n", "prices.csv")
    assert [*matched(["loft/b.jpg", "a.jpg"], said)] == ["loft/b.jpg"]
    with pytest.raises(InputError, match=r"loft/b.jpg or yard/b.jpg"):
        matched(["loft/b.jpg", "yard/b.jpg"], said)


def test_pictures_of_boards_are_no_lost_ones(
    store: Store, stock_id: str, photographs: Path
) -> None:
    fill(store, stock_id, photographs, ["walnut.png"], {}, crew=Processes(1))
    with store.desk() as desk:
        (kept,) = desk.session.scalars(select(Kept.sha256))
        assert store.loss(desk) is None  # a home may hold nothing but a stock
    assert kept == boards(store)["walnut.png"].image_sha256
    store.sweep()
    assert store.images.holds(kept)
