"""How photographs are laid on plates; sizes worked by hand."""

from xml.etree import ElementTree as ET

import pytest

from brief.errors import InputError
from brief.instrument import Fill, draw_front, preset, presets
from brief.instrument.rendering.fill import laid_on
from brief.instrument.rendering.placement import MATCHED, WHOLE, Laying, cover, lay, plate_mm

SVG = "{http://www.w3.org/2000/svg}"
PLATE = (300.0, 480.0)
BOARD = (200.0, 500.0)


def on_plate(laying, picture=BOARD, **options):
    return lay(laying, PLATE, picture, **{"sideways": False, "true_size": True, **options})


@pytest.mark.parametrize(
    ("laying", "left", "fills", "other"),
    [
        # A quarter across a board of 200 mm is 50 mm in; that line lies at 150 mm, the middle.
        (Laying(25, "book-right"), 100, (150, 300), "mirrored"),
        (Laying(75, "book-left"), 0, (0, 150), "mirrored"),
        (Laying(25, "slip"), 100, (150, 300), "shifted"),
        (Laying(50, "one"), 50, (0, 300), "nothing"),
    ],
)
def test_the_chosen_line_of_the_board_lies_at_the_joint(laying, left, fills, other):
    laid = on_plate(laying)
    assert laid.x == pytest.approx(left)
    assert laid.x + laying.centre / 100 * laid.width == pytest.approx(150)
    assert (laid.width, laid.height) == BOARD
    assert laid.fills == fills
    assert laid.other == other


@pytest.mark.parametrize(("turn", "size"), [(0, BOARD), (90, BOARD[::-1]), (270, BOARD[::-1])])
def test_a_turned_board_keeps_its_size(turn, size):
    laid = on_plate(Laying(0, "book-right", turn))
    assert (laid.width, laid.height) == size
    assert laid.turn == turn


def test_a_board_is_turned_by_itself_so_that_its_longer_side_runs_with_the_grain():
    assert on_plate(MATCHED, BOARD[::-1], sideways=True).turn == 90
    assert on_plate(MATCHED).turn == 0
    assert on_plate(Laying(0, "book-right", 0), BOARD[::-1], sideways=True).turn == 0


def test_without_a_scale_what_is_kept_is_stretched_to_the_half_and_beyond_where_it_must():
    # Half of a picture 2 wide is 1, and is to be 150 mm: 150 mm a unit, 600 mm for 4.
    laid = on_plate(Laying(50, "book-right"), (2, 4), true_size=False)
    assert (laid.width, laid.height) == (300, 600)
    # All of it at 150 mm would be 300 mm high; the plate is 480.
    laid = on_plate(Laying(0, "book-right"), (2, 4), true_size=False)
    assert (laid.width, laid.height) == (240, 480)
    assert laid.x == 150


@pytest.mark.parametrize(
    ("laying", "across"),
    [(MATCHED, 150), (Laying(60, "book-right"), 80), (Laying(60, "book-left"), 120), (WHOLE, 200)],
)
def test_what_the_board_covers_is_told_of_one_half_or_of_all_of_one_piece(laying, across):
    covered = cover(on_plate(laying), PLATE)
    assert covered.across == pytest.approx(across)
    assert covered.of_across == (300 if laying is WHOLE else 150)
    assert (covered.along, covered.of_along) == (480, 480)
    short = cover(on_plate(laying, (200.0, 275.0)), PLATE)
    assert short.along == 275


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ((-1, "one", 0), "centre"),
        ((101, "one", 0), "centre"),
        ((float("nan"), "one", 0), "centre"),
        ((96, "book-right", 0), "centre"),
        ((96, "slip", 0), "centre"),
        ((4, "book-left", 0), "centre"),
        ((50, "butterfly", 0), "match"),
        ((50, "one", 45), "turn"),
    ],
)
def test_what_cannot_be_laid_is_refused_at_its_field(fields, field):
    with pytest.raises(InputError) as caught:
        Laying(*fields)
    assert [fault.pointer for fault in caught.value.faults] == [f"/{field}"]


def drawn(fill, role="top"):
    text = draw_front(preset("parlour-steel-string"), {role: fill}, title="Front", prefix="f")
    return ET.fromstring(text)


def test_a_photograph_with_a_scale_lies_at_its_true_size_and_repeats():
    fill = Fill("#c98f60", "/a", "cedar", picture_size=(820, 1100), size_mm=(205.0, 275.0))
    root = drawn(fill)
    tile = root.find(f".//{SVG}pattern[@id='f-top-board']")
    # Twice 205 × 275 mm, of which every second is mirrored; the body is 333.8 × 480 mm.
    assert (tile.get("width"), tile.get("height")) == ("410", "550")
    assert tile.get("patternTransform") == "translate(166.9 102.5)"
    images = tile.findall(f"{SVG}image")
    assert {(one.get("width"), one.get("height")) for one in images} == {("205", "275")}
    assert [one.get("transform", "") for one in images] == [
        "",
        "translate(410 0)scale(-1 1)",
        "translate(0 550)scale(1 -1)",
        "translate(410 550)scale(-1 -1)",
    ]
    halves = root.find(f".//{SVG}pattern[@id='f-top']").findall(f"{SVG}rect")[1:]
    assert [one.get("transform") for one in halves] == [None, "translate(333.8)scale(-1 1)"]
    assert {one.get("fill") for one in halves} == {"url(#f-top-board)"}


def test_a_bent_strip_is_stretched_even_where_its_photograph_has_a_scale():
    fill = Fill("#c98f60", "/a", "cedar", picture_size=(820, 100), size_mm=(205.0, 25.0))
    assert drawn(fill, "binding").find(f".//{SVG}pattern[@id='f-binding-board']") is None


@pytest.mark.parametrize(("match", "joints"), [("one", 0), ("slip", 1)])
def test_a_top_in_one_piece_shows_no_joint(match, joints):
    fill = Fill("#c98f60", "/a", "cedar", (820, 1100), laying=Laying(50, match))
    top = drawn(fill).find(f".//{SVG}g[@data-role='top']")
    assert sum(one.get("d") == "M0 0V480" for one in top.findall(f"{SVG}path")) == joints


def test_a_fill_that_says_nothing_of_its_size_just_covers_its_part():
    assert laid_on(Fill("#c98f60", "/a", "cedar", laying=MATCHED), PLATE) is None


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_the_plates_are_as_large_as_the_instrument_has_them(kind):
    one = preset(kind)
    assert plate_mm(one, "back") == plate_mm(one, "top") == (one.width_mm, one.body_mm)
    assert plate_mm(one, "sides")[0] >= one.side_neck_mm
    assert plate_mm(one, "bridge") is None
