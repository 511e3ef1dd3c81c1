"""Boards of a table: what was written is read again, and a row at fault costs no other."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from brief.errors import InputError, TooLarge
from brief.services import nouns, offcuts
from brief.services.stock.boards import board_views, boards_page
from brief.services.stock.filling import measured_table
from brief.services.stock.filling.measured_table import Refused, SaidBoard, read_boards
from brief.services.stock.filling.table_keeping import KeptTable, keep_table
from brief.services.stock.looking import nearest_boards
from brief.services.stock.stocks import StockDraft
from brief.services.stock.tables import TableForm, write_table
from brief.services.stock.taking import take_board
from brief.store.desk import Desk, Store
from brief.store.records import Board, Stock
from tests.made_stock import made_stock

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour  # colour-science

GOOD = "label,L,a,b\nelm,50,8,20\n"


def stock_called(name: str) -> Callable[[Desk], str]:
    def of(desk: Desk) -> str:
        there = nouns.stocks.called(desk, name)
        return (there or nouns.stocks.add(desk, StockDraft(name=name))).id

    return of


def kept(store: Store, path: Path, name: str = "Guild") -> KeptTable:
    return keep_table(store, read_boards(path), stock_called(name))


def written(store: Store, name: str, form: TableForm) -> bytes:
    file = io.BytesIO()
    with store.desk() as desk:
        stock = nouns.stocks.called(desk, name)
        assert stock is not None
        write_table(desk, stock, form, file)
    return file.getvalue()


def boards(desk: Desk, name: str = "Guild") -> list[Board]:
    stock = nouns.stocks.called(desk, name)
    assert stock is not None
    return list(boards_page(desk, stock))


def rows_of(path: Path) -> tuple[list[SaidBoard], dict[int, str]]:
    found = list(read_boards(path))
    good = [one for one in found if isinstance(one, SaidBoard)]
    return good, {one.line: one.reason for one in found if isinstance(one, Refused)}


def table(folder: Path, text: str | bytes, name: str = "boards.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


@pytest.fixture
def odd(store: Store, picture: Callable[..., bytes]) -> Store:
    """A store with a stock “Odd”: boards with texts and numbers that are hard to keep."""
    with store.desk(writing=True) as desk:
        labs = np.array([[40, -3.5, -0.00001], [0, 0, 0], [100, 1.23456, 2], [55.5, 8, 20]])
        stock = made_stock(desk, picture((92, 64, 44)), labs, name="Odd", uncertainty=0.4)
        first, second, third, _ = boards_page(desk, stock)
        first.label, first.species, first.price = '=1+1, "old"', "Ölbaum", Decimal("48.50")
        first.grain_deg, first.currency, first.spread = 179.99, "GBP", None
        first.more = {"L": "560", "moisture": "-8 %", "=sum": "'=x", "": "who knows"}
        second.label = third.label = "twice"
        second.file = third.file = ""
        second.length_mm, second.thickness_mm, second.figure = 1234.5, 0.125, ""
    return store


@pytest.mark.parametrize("form", ["csv", "parquet", "cgats"])
def test_what_was_written_is_read_again_without_loss(odd, tmp_path: Path, form) -> None:
    first = written(odd, "Odd", form)
    path = table(tmp_path, first, f"boards.{form}")
    told = kept(odd, path, "Again")
    assert (told.new, told.refused) == (4, [])
    with odd.desk() as desk:
        before, after = boards(desk, "Odd"), boards(desk, "Again")
        for one, other in zip(before, after, strict=True):
            assert other.label == (one.label if form != "cgats" else one.label.replace('"', "'"))
            np.testing.assert_allclose(
                [other.lightness, other.a, other.b, other.uncertainty],
                [one.lightness, one.a, one.b, one.uncertainty],
                atol=5.1e-5,  # four decimals
            )
            assert other.image_sha256 is None
            if form != "cgats":  # which has colours alone
                for name in ("file", "species", "length_mm", "width_mm", "thickness_mm", "price",
                             "currency", "figure", "grain_deg"):  # fmt: skip
                    assert getattr(other, name) == getattr(one, name), name
                more = {"their L" if at == "L" else at: said for at, said in one.more.items()}
                assert other.more == more
    again = kept(odd, path, "Again")
    assert (again.new, again.changed, again.same) == (0, 0, 4)
    if form != "cgats":
        assert kept(odd, path, "Odd").photographed == 2  # those two have names of files
    second = written(odd, "Again", form)
    assert second.replace(b'"Again"', b'"Odd"') == first


def test_parquet_is_what_its_own_library_reads(odd) -> None:
    read = pq.read_table(io.BytesIO(written(odd, "Odd", "parquet")))
    assert read["label"].to_pylist() == ['=1+1, "old"', "twice", "twice", "Board 3"]
    assert read["price"].to_pylist() == [Decimal("48.5000"), None, None, None]
    assert read["L"].to_pylist() == [40, 0, 100, 55.5]
    assert set(read["light"].to_pylist()) == {"D65/2"}
    assert read["moisture"].to_pylist() == ["-8 %", None, None, None]


def test_parquet_of_another_program_is_read(tmp_path: Path) -> None:
    path = tmp_path / "boards.bin"  # what it is, its bytes say
    days = pa.array([19000, None], pa.date32())
    columns = {
        "name": pa.array(["elm", "ash"]).dictionary_encode(),
        "L*": pa.array([50, 70], pa.int16()),
        "a*": pa.array([8.25, float("nan")], pa.float32()),
        "b*": [Decimal("20.50"), Decimal("1")],
        "price": pa.array([1e-9, 1200.0]),
        "cut on": days,
    }
    pq.write_table(pa.table(columns), path)
    _, refused = rows_of(path)
    assert refused == {1: refused[1], 2: "a: it has no value"}
    assert refused[1].startswith("price")
    columns["price"] = pa.array([1200.0, None])
    pq.write_table(pa.table(columns), path)
    ((elm,), _) = rows_of(path)
    assert (elm.label, elm.lab, elm.details.price) == ("elm", (50, 8.25, 20.5), 1200)
    assert elm.details.more == {"cut on": "2022-01-08"}  # 19000 days after 1970-01-01
    pq.write_table(pa.table({**columns, "shots": [[1], [2]]}), path)
    with pytest.raises(InputError, match="“shots” holds list"):
        read_boards(path)
    path.write_bytes(path.read_bytes()[:-100])
    with pytest.raises(InputError, match="no whole Parquet file"):
        read_boards(path)


def test_a_row_at_fault_is_refused_with_its_line_and_the_others_are_kept(
    store: Store, tmp_path: Path
) -> None:
    text = (
        b"label;L;a;b;uncertainty;length (in);price;grain_deg;light\n"
        b"elm;50,5;8;20;2;21 1/2;12,50;12;D65/2\n"
        b"\n"
        b'"of two\nlines";50;8;20;;;;;\n'
        b"no colour;;8;20;;;;;\n"
        b"too light;101;8;20;;;;;\n"
        b"word;5_0;8;20;;;;;\n"
        b"furlongs;50;8;20;;3 furlongs;;;\n"
        b"sure;50;8;20;0;;;;\n"
        b"dear;50;8;20;;;much;;\n"
        b"turned;50;8;20;;;;400;\n"
        b"lamp;50;8;20;;;;;moon\n"
        b";50;8;20;;;;;\n"
        b"wide;50;8;20;;;;;;;;\n"
    ) + b"l\xe4rche;50;8;20;;;;;\nash;70;2;20;;;;;\n"
    told = kept(store, table(tmp_path, text + b'"never ends;1;2;3'))
    assert (told.new, told.rows) == (3, 15)
    said = {one.line: one.reason for one in told.refused}
    assert {line: reason.split(";")[0][:26] for line, reason in said.items()} == {
        6: "L: it has no value",
        7: "L: it must be a number fro",
        8: "L: it must be a number fro",
        9: said[9][:26],
        10: "uncertainty: it must be a ",
        11: said[11][:26],
        12: "grain_deg: it must be a nu",
        13: said[13][:26],
        14: "it has neither a label nor",
        15: "it has 12 cells for 9 colu",
        16: "it is not text in UTF-8",
        0: said[0][:26],
    }
    assert said[9].startswith("length:")
    assert said[11].startswith("price:")
    assert "moon" in said[13]
    assert "from line 18 on" in said[0]
    with store.desk() as desk:
        elm, two, ash = boards(desk)
    # An inch is 25.4 mm exactly (NIST SP 811, B.6).
    assert (elm.lightness, elm.length_mm, elm.price) == (50.5, 546.1, Decimal("12.5"))
    assert (elm.uncertainty, two.label, ash.label) == (2, "of two\nlines", "ash")
    assert [*told.notes.values()] == [2]  # rows that name no light


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("label,L,a\nelm,50,8\n", "no column “b”"),
        ("label,L,a,b,l*\n", "two columns for the L"),
        ("label,L (D50),a (D65),b\n", "under several lights"),
        (b"\x89PNG\r\n\x1a\n\0\0", "is no table"),
        ("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L\nEND_DATA_FORMAT\n", "nothing lies"),
        (
            "BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\nNUMBER_OF_SETS 2\n"
            "BEGIN_DATA\n1 50 8 20\nEND_DATA\n",
            "NUMBER_OF_SETS",
        ),
        (
            "BEGIN_DATA_FORMAT\nSAMPLE_ID LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
            "BEGIN_DATA\nEND_DATA\n",
            "no sample",
        ),
    ],
)
def test_what_is_no_such_table_is_refused_whole(tmp_path: Path, text, said) -> None:
    with pytest.raises(InputError, match=said):
        read_boards(table(tmp_path, text))


def test_a_sample_at_fault_costs_no_other(tmp_path: Path, monkeypatch) -> None:
    text = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        'BEGIN_DATA\nelm 50 8 20\nash fifty 8 20\noak 150 8 20\nbox - 8 20\n"" 1 2 3\nEND_DATA\n'
    )
    path = table(tmp_path, text, "boards.txt")
    good, refused = rows_of(path)
    assert [one.label for one in good] == ["elm", "line 10"]
    assert {line: reason[:21] for line, reason in refused.items()} == {
        7: "LAB_L must be a numbe",
        8: refused[8][:21],
        9: "LAB_L has no value",
    }
    assert "100" in refused[8]
    assert "D50 and 2°" in good[0].note
    monkeypatch.setattr(measured_table, "MOST_SAMPLES", 1)
    with pytest.raises(TooLarge):
        read_boards(path)


def test_a_reading_under_another_light_is_brought_to_ours(tmp_path: Path) -> None:
    """Against colour-science (BSD-3): XYZ under D50, von Kries adaptation by Bradford, Lab."""
    (one, other), _ = rows_of(
        table(tmp_path, "label,L,a,b,light\nelm,50,8,20,D50/2\nash,70,2,15,d50/2°\n")
    )
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    d50, d65 = whites["D50"], whites["D65"]
    for board, lab in ((one, (50, 8, 20)), (other, (70, 2, 15))):
        xyz = colour.chromatic_adaptation(
            colour.Lab_to_XYZ(lab, d50), colour.xy_to_XYZ(d50), colour.xy_to_XYZ(d65),
            method="Von Kries", transform="Bradford",
        )  # fmt: skip
        np.testing.assert_allclose(board.lab, colour.XYZ_to_Lab(xyz, d65), atol=0.05)
        assert board.uncertainty > 1.4  # what the change of light leaves open, and the meter
    ((head,), _) = rows_of(table(tmp_path, "label,L (D50),a,b\nelm,50,8,20\n"))
    assert head.lab == one.lab


def test_such_a_board_is_found_and_taken_as_a_piece_with_a_reading(
    store: Store, tmp_path: Path
) -> None:
    text = "label,species,L,a,b,uncertainty,length,price\nelm,Ulmus,50.1,8,20.25,2.5,560 mm,12\n"
    kept(store, table(tmp_path, text))
    with store.desk(writing=True) as desk:
        stock = nouns.stocks.called(desk, "Guild")
        assert isinstance(stock, Stock)
        (near,) = nearest_boards(desk, stock, "Lab 50 8 20", 3)
        assert near.board.picture is near.board.texture is near.board.piece is None
        piece = take_board(desk, stock, near.board.id)
        shown = nouns.materials.show(desk, piece)
        assert (shown.reading, shown.reading_uncertainty) == ("Lab 50.1 8 20.25 D65/2", 2.5)
        assert shown.colour is not None
        np.testing.assert_allclose(shown.colour.lab, (50.1, 8, 20.25), atol=0.01)
        assert (shown.picture, shown.length_mm, shown.species) == (None, 560, "Ulmus")
        assert "no photograph" in shown.provenance
        (view,) = board_views(desk, boards(desk))
        assert view.piece is not None
        assert (view.piece.id, view.piece.label) == (piece.id, "elm")
        with pytest.raises(InputError, match="is on your rack already: “elm”"):
            take_board(desk, stock, near.board.id)
        offcuts.remove(desk, nouns.materials, piece.id, "*")
        assert board_views(desk, boards(desk))[0].piece is None
        take_board(desk, stock, near.board.id)
