"""The drawing of the front."""

import re
from xml.etree import ElementTree as ET

import pytest

from brief.errors import ColourInputError, InputError
from brief.instrument import Fill, draw_front, preset, presets
from brief.instrument.drawing.parts.body import body_path

SVG = "{http://www.w3.org/2000/svg}"
KINDS = [kind for kind, _ in presets()]
PARLOUR = preset("parlour-steel-string")
CEDAR = Fill("#c98f60", "/images/0f/texture", "western red cedar")
BOG_OAK = Fill("#231d18", "/images/1e/texture", "bog oak", picture_size=(1600, 300))
SYCAMORE = Fill("#e6d8b8", None, "sycamore")
BRASS = Fill("#b8893b", None, "brass")


def full(kind):
    drawn = [part.role for part in preset(kind).parts if part.drawn]
    return {role: Fill("#c98f60", f"/images/{role}/texture", role) for role in drawn}


def drawn(kind="parlour-steel-string", fills=None, **options):
    options = {"title": "Front of the instrument", "prefix": "front", **options}
    fills = {"top": CEDAR, "fretboard": BOG_OAK} if fills is None else fills
    return draw_front(preset(kind), fills, **options)


def group(root, role):
    (found,) = root.findall(f".//{SVG}g[@data-role='{role}']")
    return found


@pytest.mark.parametrize("view", ["whole", "rosette", "twelfth", "head", "bridge"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_draws_in_every_view(kind, view):
    fills = full(kind) | {"bill": BRASS}
    text = drawn(kind, fills, view=view)
    root = ET.fromstring(text)
    assert len(text.encode()) < 40_000
    assert not [e for e in root.iter() if "style" in e.attrib or e.tag == f"{SVG}style"]
    assert {g.get("data-role") for g in root.iter(f"{SVG}g")} - {None} == set(fills)
    assert not root.findall(".//*[@data-open]")
    width, height = map(float, root.get("viewBox").split()[2:])
    assert width > 0
    assert height > 0


@pytest.mark.parametrize("kind", KINDS)
def test_close_views_lie_inside_the_whole(kind):
    def box(view):
        return [float(v) for v in ET.fromstring(drawn(kind, view=view)).get("viewBox").split()]

    x, y, width, height = box("whole")
    for view in ("rosette", "twelfth", "head", "bridge"):
        left, top, across, down = box(view)
        assert x <= left <= left + across <= x + width + 0.2
        assert y <= top <= top + down <= y + height + 0.2


def test_the_label_says_what_is_chosen_and_what_is_open():
    fills = full("classical") | {"top": CEDAR}
    del fills["bridge"], fills["nut"]
    label = ET.fromstring(drawn("classical", fills)).get("aria-label")
    assert label.startswith("Front of the instrument: top western red cedar, headplate headplate")
    assert label.endswith("; bridge, nut still open")
    assert (
        ET.fromstring(drawn(fills={}))
        .get("aria-label")
        .startswith("Front of the instrument: top, headplate,")
    )


def test_a_part_without_material_is_hatched_and_dashed_and_says_so():
    root = ET.fromstring(drawn(fills={"top": CEDAR}))
    bridge = group(root, "bridge")
    assert bridge.get("data-open") == "true"
    assert bridge.find(f"{SVG}title").text == "Bridge: still open"
    shape = bridge.find(f"{SVG}path")
    assert shape.get("fill") == "url(#front-open)"
    assert shape.get("stroke-dasharray")
    top = group(root, "top")
    assert top.get("data-open") is None
    assert top.find(f"{SVG}title").text == "Top: western red cedar"
    assert "stroke-dasharray" not in top.find(f"{SVG}path").attrib
    assert len(root.findall(f".//{SVG}pattern[@id='front-open']")) == 1


def test_the_top_is_one_photograph_mirrored_at_the_centre_line():
    root = ET.fromstring(drawn())
    pattern = root.find(f".//{SVG}pattern[@id='front-top']")
    images = pattern.findall(f"{SVG}image")
    assert [image.get("href") for image in images] == [CEDAR.picture] * 2
    ahead, back = (image.get("transform") for image in images)
    assert back == ahead + "scale(-1 1)"
    assert float(pattern.get("width")) == pytest.approx(2 * float(images[0].get("width")), abs=0.2)


@pytest.mark.parametrize(
    ("role", "size", "turned"),
    [
        ("fretboard", (1600, 300), True),
        ("fretboard", (300, 1600), False),
        ("fretboard", None, False),
        ("bridge", (1600, 300), False),
        ("bridge", (300, 1600), True),
    ],
)
def test_the_grain_runs_along_the_part(role, size, turned):
    fill = Fill("#231d18", "/images/1e/texture", "bog oak", picture_size=size)
    root = ET.fromstring(drawn(fills={role: fill}))
    image = root.find(f".//{SVG}pattern[@id='front-{role}']/{SVG}image")
    assert ("rotate(90)" in image.get("transform", "")) is turned


def test_a_photograph_stands_on_its_measured_colour():
    pattern = ET.fromstring(drawn()).find(f".//{SVG}pattern[@id='front-fretboard']")
    assert pattern[0].tag == f"{SVG}rect"
    assert pattern[0].get("fill") == BOG_OAK.colour


def test_without_a_photograph_the_colour_fills_the_part():
    root = ET.fromstring(drawn(fills={"binding": SYCAMORE, "headplate": BRASS}))
    assert group(root, "headplate").find(f"{SVG}path").get("fill") == "#b8893b"
    assert group(root, "binding").findall(f"{SVG}path")[-1].get("stroke") == "#e6d8b8"


def test_a_bill_takes_the_place_of_the_dots_beside_the_lens():
    plain = ET.fromstring(drawn(fills={"inlay": SYCAMORE}))
    assert len(group(plain, "inlay").findall(f"{SVG}circle")) == 2
    assert not plain.findall(f".//{SVG}g[@data-role='bill']")
    billed = ET.fromstring(drawn(fills={"inlay": SYCAMORE, "bill": BRASS}))
    assert not group(billed, "inlay").findall(f"{SVG}circle")
    assert group(billed, "bill").find(f"{SVG}path").get("stroke") == "#b8893b"
    assert "bill brass" in billed.get("aria-label")


@pytest.mark.parametrize("kind", KINDS)
def test_the_body_is_symmetric_and_no_wider_than_its_stations(kind):
    one = preset(kind)
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", body_path(one))]
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    # A Bezier curve lies inside the hull of its control points, so theirs bound it.
    assert max(x for x, _ in points) == pytest.approx(one.width_mm / 2, abs=0.1)
    assert min(y for _, y in points) >= 0
    assert max(y for _, y in points) == pytest.approx(one.body_mm, abs=0.1)
    assert [(0 - x, y) for x, y in reversed(points)] == points
    assert not re.search(r"\.\d\d", body_path(one))


def test_the_frets_are_where_equal_temperament_puts_them():
    # The 12th fret halves the string and the joint is there; so its wire lies at y = 0.
    root = ET.fromstring(drawn())
    (wires,) = root.findall(f".//{SVG}g[@class='frets']")
    heights = [float(re.match(r"M\S+ (\S+)H", w.get("d"))[1]) for w in wires]
    assert len(heights) == PARLOUR.frets
    assert heights[11] == 0
    sounding = PARLOUR.scale_mm / 2
    assert [(sounding - y) / PARLOUR.scale_mm for y in heights[:12]] == pytest.approx(
        [2 ** (-n / 12) for n in range(1, 13)], abs=1e-4
    )


def test_ids_do_not_clash_between_drawings_on_one_page():
    page = "".join(drawn(prefix=prefix) for prefix in ("a", "b", "a-b"))
    idents = re.findall(r'\bid="([^"]+)"', page)
    assert len(idents) == len(set(idents)) > 9
    for reference in re.findall(r"url\(#([^)]+)\)", page):
        assert reference in idents


HOSTILE = """"><script>alert('x')</script>&amp;\x00\ud800 ' \" onload=x"""


def test_hostile_labels_stay_text():
    fill = Fill("#c98f60", 'x"/><script>1</script>', HOSTILE)
    text = drawn(fills={"top": fill, "inlay": fill}, title=HOSTILE)
    root = ET.fromstring(text.encode("utf-8"))
    assert "<script" not in text
    assert not [e for e in root.iter() if e.tag.endswith("script") or "onload" in e.attrib]
    shown = HOSTILE.replace("\x00", "").replace("\ud800", "")
    assert group(root, "top").find(f"{SVG}title").text == f"Top: {shown}"
    assert root.get("aria-label").startswith(shown)


def test_one_role_alone_leaves_the_others_as_outlines():
    root = ET.fromstring(drawn(only_role="fretboard"))
    assert [p.get("id") for p in root.iter(f"{SVG}pattern")] == ["front-fretboard"]
    assert root.get("aria-label") == "Front of the instrument: fretboard bog oak"
    assert "stroke-dasharray" not in drawn(only_role="fretboard")
    assert "front-open" in drawn(only_role="bridge")
    assert drawn(only_role="back").count("<image") == 0
    back = ET.fromstring(drawn(only_role="back")).get("aria-label")
    assert back == "Front of the instrument: back still open, not seen from the front"


def test_what_cannot_be_drawn_is_refused():
    with pytest.raises(InputError, match="whole, rosette, twelfth, head, bridge; got “rear”"):
        drawn(view="rear")
    with pytest.raises(InputError, match="no part called “lid”"):
        drawn(only_role="lid")
    for prefix in ("", "1a", "a b", 'a"'):
        with pytest.raises(InputError, match=f"a letter, then letters.*got “{prefix}”"):
            drawn(prefix=prefix)


@pytest.mark.parametrize("colour", ["red", "#fff", "#12345g", "#123456\n", '#123456"'])
def test_a_colour_that_is_not_written_rrggbb_is_refused(colour):
    with pytest.raises(ColourInputError, match="#rrggbb, such as #a0522d; got"):
        Fill(colour, None, "paint")
