"""The printed drawing, measured on its pixels as a maker measures it on paper."""

from dataclasses import replace
from functools import partial

import numpy as np
import pypdfium2 as pdfium
import pytest
from scipy.spatial import KDTree

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.model.shape import shaped
from brief.instrument.plans.files.packing import packed
from brief.instrument.plans.files.pdf import ADVICE, as_pdf, lost_letters
from brief.instrument.plans.files.tiles import (
    EDGE_MM,
    OF_A_PART,
    OVERLAP_MM,
    SQUARE_MM,
    dots_of,
    tiling,
)
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.inlay_sheets import rosette_sheet
from brief.instrument.plans.overview import overview_sheet
from brief.instrument.plans.plan import TitleBlock
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet
from brief.instrument.plans.side_sheets import back_sheet, side_sheet

BLOCK = TitleBlock("Saltmarsh, first light", "B", "2026-11-25")
DPI = 300
MM = DPI / 25.4
# A preset whose 12th fret is on the same page as the nut.
UKULELE = preset("tenor-ukulele")


def pages(data, dpi=DPI):
    """Every page as an array (height, width, 3) of 0 to 255."""
    document = pdfium.PdfDocument(data)
    return [
        page.render(scale=dpi / 72).to_numpy()[:, :, 2::-1].astype(np.int16) for page in document
    ]


def text_of(data):
    return [page.get_textpage().get_text_bounded() for page in pdfium.PdfDocument(data)]


def runs(flags):
    """Middles of the runs of True in a row of pixels."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    return [(start + end - 1) / 2 for start, end in zip(edges[::2], edges[1::2], strict=True)]


def unbroken(flags):
    """The longest run of True in a row of pixels."""
    ends = np.flatnonzero(~np.concatenate([[False], flags, [False]]))
    return int(np.diff(ends).max()) - 1


def long_lines(wanted, least):
    """Where pixels of a colour run unbroken for at least that many millimetres: (x's, y's)."""
    return tuple(
        runs(np.array([row.sum() > least * MM and unbroken(row) > least * MM for row in rows]))
        for rows in (wanted.T, wanted)
    )


def red(page):
    """The one accent, also where a thin line is smoothed."""
    return (page[:, :, 0] - page[:, :, 2] > 40) & (page[:, :, 0] - page[:, :, 1] > 30)


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["A4", "Letter", "sheet"])
@pytest.mark.parametrize("sheet", [fretboard_sheet, head_sheet, bridge_sheet])
def test_the_square_on_every_page_measures_100_mm(sheet, paper):
    found = pages(as_pdf(sheet(UKULELE, BLOCK), paper))
    assert found
    for page in found:
        (left, right), (top, low) = long_lines(red(page), 95)
        assert (right - left) / MM == pytest.approx(100, abs=0.1)
        assert (low - top) / MM == pytest.approx(100, abs=0.1)


@pytest.mark.parametrize("paper", ["A4", "Letter", "sheet"])
def test_nut_to_12th_measures_half_the_scale(paper):
    """On one page, for a scale of 432 mm: 216 mm by the rows of ink across the board."""
    page = pages(as_pdf(fretboard_sheet(UKULELE, BLOCK), paper))[0]
    # Of what is wider than 30 mm only the nut's edge, the slots and the end are in dark ink.
    ink = page[:, : round(95 * MM)].sum(axis=2) < 200
    rows = runs(ink.sum(axis=1) > 30 * MM)
    nut, twelfth = rows[0], rows[12]
    assert (twelfth - nut) / MM == pytest.approx(216.0, abs=0.1)
    for fret in range(1, 13):
        place = UKULELE.fretboard.fret_mm(fret)
        assert (rows[fret] - nut) / MM == pytest.approx(place, abs=0.1)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_pages_laid_on_each_other_make_the_sheet(paper):
    """Cut out of the pages and put together, the drawing is that of the one large page.

    Without its notes and title block, which pages put elsewhere.
    """
    plan, dpi = head_sheet(shaped(preset("classical"), {"head_mm": 245.0}), BLOCK), 100
    plan = replace(plan, blocks=())
    laid = tiling(plan, paper)
    assert laid.columns * laid.rows > 1
    mm = dpi / 25.4

    def ink(page, left, top, width, height, darkest=300):
        part = page[round(top * mm) : round((top + height) * mm)]
        part = part[:, round(left * mm) : round((left + width) * mm)]
        return (part.sum(axis=2) < darkest) & ~red(part)

    whole, shown = pages(as_pdf(plan, "sheet"), dpi)[0], 0
    for tile, page in zip(laid.tiles, pages(as_pdf(plan, paper), dpi), strict=True):
        x, y = (max(1.0, 1.0 - place) for place in (tile.left_mm, tile.top_mm))
        width = min(laid.window_mm[0] - x, plan.width_mm - tile.left_mm - x) - 1
        height = min(laid.window_mm[1] - y, plan.height_mm - tile.top_mm - y) - 1
        got = ink(page, 10 + x, 10 + y, width, height, darkest=690)
        want = ink(whole, 10 + x + tile.left_mm, 10 + y + tile.top_mm, width, height)
        got, want = (
            np.pad(a, 1)[: min(got.shape[0], want.shape[0]), : min(got.shape[1], want.shape[1])]
            for a in (got, want)
        )
        near = sum(np.roll(got, (dy, dx), (0, 1)) for dy in (-1, 0, 1) for dx in (-1, 0, 1)) > 0
        assert want.any()
        shown += want.sum()
        # The accent lies over some ink, on the one page or on the other.
        assert (want & ~near).sum() < 0.05 * want.sum()
    assert shown > 400


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_dashed_line_to_cut_along_is_in_the_middle_of_the_overlap(paper):
    """Where both pages have it, so that cut there they meet."""
    dpi = 150
    mm = dpi / 25.4
    plan = body_sheet(preset("classical"), BLOCK)
    laid = tiling(plan, paper)
    assert min(laid.columns, laid.rows) > 1
    found = 0
    for tile, page in zip(laid.tiles, pages(as_pdf(plan, paper), dpi), strict=True):
        drawn = red(page)
        for window, before, after, lines in (
            (laid.window_mm[0], "left", "right", drawn.T),
            (laid.window_mm[1], "above", "below", drawn),
        ):
            # In short dashes, as neither the square nor the centre line is drawn.
            dashed = [
                (at - EDGE_MM * mm) / mm
                for at in runs(
                    np.array(
                        [
                            row.sum() > 20 * mm and row.sum() < 2 * mm * len(runs(row))
                            for row in lines
                        ]
                    )
                )
            ]
            middle = OVERLAP_MM / 2
            wanted = [middle] if before in laid.beside(tile) else []
            wanted += [window - middle] if after in laid.beside(tile) else []
            assert dashed == pytest.approx(wanted, abs=0.3)
            found += len(dashed)
    assert found >= 4


@pytest.mark.slow
@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_a_body_is_tiled_with_an_overlap_and_nothing_is_left_out(kind):
    plan = body_sheet(preset(kind), BLOCK)
    for paper, size in (("A4", {210.0, 297.0}), ("Letter", {215.9, 279.4})):
        laid = tiling(plan, paper)
        assert set(laid.page_mm) == size
        shown = [
            ((away >= 0) & (away <= laid.window_mm)).all(axis=1)
            for away in (dots_of(plan.drawing) - (tile.left_mm, tile.top_mm) for tile in laid.tiles)
        ]
        assert np.any(shown, axis=0).all()
        for tile in laid.tiles:
            for other in laid.beside(tile).values():
                apart = (other.left_mm - tile.left_mm, other.top_mm - tile.top_mm)
                assert max(map(abs, apart)) in [
                    pytest.approx(side - OVERLAP_MM) for side in laid.window_mm
                ]
        data = as_pdf(plan, paper)
        said = text_of(data)
        assert len(said) == len(laid.tiles)
        for i, page in enumerate(said, start=1):
            assert f"page {i} of {len(said)}" in page
            assert "Print at 100 %" in page
            assert "97 mm: 103.1 %" in page
            assert "100 mm × 100 mm" in page


EVERY = [fretboard_sheet, body_sheet, partial(body_sheet, half=True), head_sheet, bridge_sheet,
         rosette_sheet, side_sheet, back_sheet, overview_sheet]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_no_page_is_without_a_part_and_no_block_is_cut(kind, paper):
    for sheet in EVERY:
        plan = sheet(preset(kind), BLOCK)
        laid = tiling(plan, paper)
        part = dots_of([one for one in plan.drawing if one.layer in OF_A_PART])
        stand = 0
        for page in packed(plan, laid):
            assert page.tile is not None
            here = np.array((page.tile.left_mm, page.tile.top_mm))
            assert (((part - here >= 0) & (part - here <= laid.window_mm)).all(axis=1)).any()
            drawn, blocks = dots_of(plan.drawing) - here, dots_of(page.blocks)
            stand += len(page.blocks)
            if len(blocks):
                assert (blocks >= 0).all()
                assert (blocks <= laid.window_mm).all()
                apart = KDTree(blocks).query(drawn, p=np.inf)[0].min()
                assert apart > 1  # mm, from whatever is drawn there
        assert stand >= sum(len(block.shapes) for block in plan.blocks) - 4  # a title block of 5
    # cells may become one of 5 in three rows, and notes break elsewhere.


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_wide_bridge_that_leans_has_room_for_its_table(paper):
    plan = bridge_sheet(shaped(preset("classical"), {"fan_mm": 28.0}), BLOCK)
    pages = packed(plan, tiling(plan, paper))
    assert [page.tile is None for page in pages] == [False]


def test_words_of_every_block_are_printed():
    said = " ".join(text_of(as_pdf(fretboard_sheet(preset("bouzouki"), BLOCK), "Letter")))
    for words in ("from nut", "Section at the nut", "Instrument", "Fretboard", "B"):
        assert words in said


def test_the_advice_is_right_about_what_to_print_at():
    """A square that measures 97 mm was printed at 97 %, and 97 % of 103.1 % is 100 %."""
    assert "97 mm: 103.1 %" in ADVICE[1]
    assert pytest.approx(100, abs=0.05) == 0.97 * 103.1


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_the_square_stands_clear_of_the_drawing_where_there_is_room(kind):
    """Beside the plan on one large page; always within the page, clear of its joints."""
    for sheet in (bridge_sheet, fretboard_sheet, body_sheet):
        plan = sheet(preset(kind), BLOCK)
        for paper in ("sheet", "A4", "Letter"):
            laid = tiling(plan, paper)
            assert laid.tiles
            for page in packed(plan, laid):
                assert page.square is not None
                left, top = page.square
                assert OVERLAP_MM < left < laid.window_mm[0] - SQUARE_MM - OVERLAP_MM
                assert OVERLAP_MM < top < laid.window_mm[1] - SQUARE_MM - OVERLAP_MM
                assert paper != "sheet" or left > plan.width_mm


def test_a_title_that_the_font_lacks_is_marked_and_told():
    plan = head_sheet(UKULELE, TitleBlock("Łąka <b>שלום</b> & 日", "B", "2026"))
    data = as_pdf(plan)
    assert lost_letters(plan) == "שלום日"
    assert "Łąka <b>????</b> & ?" in text_of(data)[0]
    assert (
        pdfium.PdfDocument(data).get_metadata_value("Title") == "Headstock, Łąka <b>שלום</b> & 日"
    )


def test_the_same_plan_makes_the_same_file():
    assert as_pdf(head_sheet(UKULELE, BLOCK)) == as_pdf(head_sheet(UKULELE, BLOCK))
    assert as_pdf(head_sheet(UKULELE, BLOCK)).startswith(b"%PDF-")


def test_paper_that_no_printer_takes_is_refused():
    with pytest.raises(InputError, match="printed on A4, Letter or sheet; got “A0”") as caught:
        as_pdf(head_sheet(UKULELE, BLOCK), "A0")
    assert caught.value.faults[0].pointer == "/paper"
