"""A colour laid on a board: what the address says is shown, and odd addresses lose nothing."""

from __future__ import annotations

import re

import pytest

from brief.colour import delta_e_2000


@pytest.fixture
def rack(make, send, picture, brief):
    """A board with a photograph, a piece with a reading alone, a swatch."""
    board = make("materials", label="walnut <i>")
    send(("walnut.png", picture((92, 64, 44))), to="photographs", material_id=board["id"])
    shell = make("materials", label="shell", stuff="shell", reading="Lab 84 4 20")
    reed = make("swatches", brief_id=brief["id"], name="reed <b>", colour="Lab 60 0 25")
    return {"board": board["id"], "shell": shell["id"], "reed": reed["id"]}


@pytest.fixture
def laid(client, brief):
    def page(**asked):
        answer = client.get(f"/briefs/{brief['id']}/lay", params=asked)
        assert answer.status_code == 200, answer.text
        return answer.text

    return page


def patch(page: str) -> tuple[float, ...]:
    found = re.search(
        r'data-patch x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', page
    )
    return tuple(float(one) for one in found.groups())


def test_nothing_to_lay_says_what_to_add(laid, make):
    assert "needs a board with a photograph" in laid()
    make("materials", label="read", reading="Lab 50 5 9")
    assert "needs a board with a photograph" in laid()


def test_what_the_address_says_is_laid(client, laid, rack):
    page = laid()
    assert '<option value="swatch:' in page
    assert "reed &lt;b&gt;" in page
    assert "reed <b>" not in page
    asked = {"board": rack["board"], "colour": f"piece:{rack['shell']}", "x": "10", "w": "25 %"}
    page = laid(**asked)
    assert patch(page)[0] == 100
    assert patch(page)[2] == 250
    board = client.get(f"/api/materials/{rack['board']}").json()
    shell = client.get(f"/api/materials/{rack['shell']}").json()
    assert board["texture"].replace("/texture?", "/page?").replace("&", "&amp;") in page
    assert f'fill="{shell["colour"]["hex"]}"' in page
    # CIEDE2000 between the two in daylight, which is held to the published pairs elsewhere.
    apart = float(delta_e_2000(board["colour"]["lab"], shell["colour"]["lab"]))
    assert f"CIEDE2000 {apart:.0f} ±" in page
    assert "A large difference, mostly in lightness." in page
    # Another lamp keeps what is laid and where.
    link = re.search(r'href="(/briefs/[^"]+/lay\?[^"]*eyes=deutan[^"]*)"', page).group(1)
    other = client.get(link.replace("&amp;", "&")).text
    assert patch(other) == patch(page)
    assert f'<option value="piece:{rack["shell"]}" selected>' in other
    assert 'id="seen-here"' in other


def test_a_state_is_shown_as_that_surface_has_it(client, laid, rack, send, make, picture):
    (shot,) = client.get(f"/api/photographs?material_id={rack['board']}").json()["items"]
    (oiled,) = send(
        ("oiled.png", picture((62, 40, 24))),
        to="photographs",
        material_id=rack["board"],
        state="finished",
        finish="oil",
    ).json()
    test = {"name": "oil", "before_id": shot["id"], "after_id": oiled["id"]}
    make("finish-tests", material_id=rack["board"], **test)
    address = re.compile(r'<image href="([^"]+)"')
    asked = {"board": rack["board"], "colour": f"swatch:{rack['reed']}"}
    bare = address.search(laid(**asked, state="bare")).group(1)
    finished = address.search(laid(**asked, state="finished")).group(1)
    assert bare != finished
    assert address.search(laid(**asked)).group(1) == finished  # as visitors will see it
    assert client.get(finished.replace("&amp;", "&")).status_code == 200


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ({"x": "90", "w": "30"}, (700, 300)),
        ({"x": "-5", "w": "0"}, (0, 10)),
        ({"x": "1000000", "w": "1000000"}, (0, 1000)),
        ({"x": "12,5", "w": "40"}, (125, 400)),
    ],
)
def test_a_patch_stays_within_the_picture(laid, rack, asked, shown):
    x, _, width, _ = patch(laid(**asked))
    assert (x, width) == pytest.approx(shown)


def test_what_is_no_number_is_said_beside_its_field(laid, rack):
    page = laid(x="wide", y="nan", h="<b>")
    assert page.count('aria-invalid="true"') == 3
    assert "“wide”" in page
    assert "&lt;b&gt;" in page
    assert patch(page)[0] == 600  # where it is first


def test_what_is_gone_is_said_and_another_laid(laid, rack):
    for asked in ({"board": "gone"}, {"colour": "swatch:gone"}, {"colour": "\0"}):
        page = laid(**asked)
        assert "is gone; this is another" in page
        assert "data-patch" in page
    assert "is gone" not in laid()


def test_a_palette_is_laid_as_its_bands(client, laid, rack, send, make, picture):
    (reference,) = send(("reeds.png", picture((142, 138, 106), (30, 40, 50)))).json()
    palette = make("palettes", reference_id=reference["id"], colours=2)
    page = laid(colour=f"palette:{palette['id']}", board=rack["board"])
    for one in palette["colours"]:
        assert f'fill="{one["colour"]["hex"]}"' in page
    assert "Its nearest colour: " in page
