"""What to take care of is there where a choice is made: over the API, and on pages to be seen."""

from __future__ import annotations

import io
import re
from html.parser import HTMLParser
from xml.etree import ElementTree

import ezdxf
import pypdfium2 as pdfium
import pytest

from brief.wood import REMINDER

pytestmark = pytest.mark.computed

WORDS = "Take care:"


class Seen(HTMLParser):
    """The text of a page that is there before anything is opened."""

    def __init__(self) -> None:
        super().__init__()
        self.shut, self.text = [], []  # whether each that we are in is shut

    def handle_starttag(self, tag, attrs):
        if tag in ("details", "template", "dialog", "script"):
            self.shut.append("open" not in dict(attrs))

    def handle_endtag(self, tag):
        if tag in ("details", "template", "dialog", "script"):
            self.shut.pop()

    def handle_data(self, data):
        if not any(self.shut):
            self.text.append(data)


def seen(page: str) -> str:
    reader = Seen()
    reader.feed(page)
    return re.sub(r"\s+", " ", "".join(reader.text))


@pytest.fixture
def parts(client, brief):
    found = client.get("/api/parts", params={"brief_id": brief["id"], "limit": 50}).json()["items"]
    return {part["role"]: part for part in found}


@pytest.fixture
def change(client, parts):
    def changed(role, **fields):
        address = f"/api/parts/{parts[role]['id']}"
        return client.patch(address, json=fields, headers={"If-Match": "*"}).json()

    return changed


@pytest.fixture
def page(client, brief):
    return lambda sheet: client.get(f"/briefs/{brief['id']}/{sheet}").text


@pytest.fixture
def cedar(make):
    return make(
        "materials",
        label="Western red cedar top",
        species="T. plicata",
        reading="Lab 60 14 26",
    )


@pytest.fixture
def rosewood(make):
    return make(
        "materials",
        label="Brazilian rosewood back",
        species="D. nigra",
        reading="Lab 30 9 15",
    )


def test_a_piece_says_what_hurts_and_how_it_is_listed(make, rosewood):
    assert rosewood["care"] == "sensitiser, skin and chest · wood dust"
    assert any("once sensitised, stop" in line for line in rosewood["cautions"])
    assert rosewood["reminder"] == REMINDER
    listed = rosewood["listing"]
    assert (listed["standing"], listed["appendix"]) == ("listed", "I")
    assert "as of CoP19, November 2022" in listed["sentence"]
    assert "may have changed" in listed["later"]


def test_a_caution_without_a_source_says_so(make):
    brass = make("materials", label="brass", stuff="metal")
    assert any(line.endswith("(common practice, no source)") for line in brass["cautions"])


@pytest.mark.parametrize("stuff", ["horn", "antler", "coral", "celluloid", "plastic"])
def test_new_stuffs_can_be_filed(make, stuff):
    assert make("materials", label="piece", stuff=stuff)["cautions"]


def test_the_rack_shows_it_without_a_fold(page, cedar, rosewood):
    text = seen(page("timber"))
    assert f"{WORDS} asthma (western red cedar) · wood dust" in text
    assert "Listed as of CoP19, November 2022: Brazilian rosewood, CITES Appendix I" in text
    assert "Not on the CITES list as of CoP19, November 2022" in text
    assert REMINDER in text
    own = seen(page(f"timber/{cedar['id']}"))
    assert "see a doctor" in own
    assert "may have changed" in own
    assert REMINDER in own


def test_a_part_says_it_of_its_piece_its_finish_and_its_work(change, rosewood):
    sides = change("sides", material_id=rosewood["id"], finish="2K lacquer")
    for words in ("sensitiser", "wood dust", "hot iron and steam", "isocyanate"):
        assert words in sides["care"]
    assert sides["listing"]["appendix"] == "I"
    assert sides["reminder"] == REMINDER


def test_sides_are_bent_before_anything_is_chosen(parts):
    assert parts["sides"]["care"] == "hot iron and steam"
    assert parts["sides"]["listing"] is None
    assert (parts["top"]["care"], parts["top"]["cautions"]) == ("", [])


def test_a_finish_that_is_not_known_is_no_all_clear(change):
    assert change("top", finish="Glimmerglaze")["care"] == "finish not in our table"


def test_the_spec_shows_it_without_a_fold(page, change, cedar):
    top = change("top", material_id=cedar["id"], finish="Boiled linseed oil")
    text = seen(page("spec"))
    for words in ("asthma (western red cedar)", "oily rags can ignite", "hot iron and steam"):
        assert words in text
    assert "Papers: not on the CITES list as of CoP19, November 2022 (Top)" in text
    assert REMINDER in text
    # And at each field where a finish is typed.
    hint = "Rags, solvents and hardeners can harm."
    assert hint in page("spec")
    assert hint in page(f"parts/{top['id']}")


def test_trying_wood_on_a_part_says_it_of_each_piece(page, parts, rosewood):
    strips = page(f"parts/{parts['sides']['id']}/tries")
    assert "sensitiser, skin and chest" in strips
    assert "CITES Appendix I" in strips
    assert REMINDER in strips


def test_choosing_by_eye_shows_it_on_each_board(page, rosewood):
    boards = page("boards")
    assert "sensitiser, skin and chest" in boards
    assert "CITES Appendix I" in boards
    dialog = page("pairings/new").partition('<dialog class="boards"')[2].partition("</dialog>")[0]
    assert REMINDER in dialog


def test_a_finish_test_and_its_photograph_say_it(client, make, send, picture, page):
    piece = make("materials", label="offcut", species="Picea abies")
    files = [("bare.png", picture((150, 111, 74))), ("done.png", picture((120, 80, 48)))]
    before, after = send(*files, to="photographs", material_id=piece["id"]).json()
    assert before["cautions"] == []
    test = make(
        "finish-tests",
        material_id=piece["id"],
        before_id=before["id"],
        after_id=after["id"],
        name="Nitrocellulose",
    )
    assert test["care"] == "lacquer and overspray burn · solvent vapour burns"
    shot = client.patch(
        f"/api/photographs/{after['id']}",
        json={"state": "finished", "finish": "French polish"},
        headers={"If-Match": "*"},
    ).json()
    assert shot["care"] == "alcohol vapour burns"
    text = seen(page(f"timber/{piece['id']}"))
    assert "lacquer and overspray burn" in text
    assert "alcohol vapour burns" in text


def test_what_the_rack_offers_says_it(client, brief, change, make, cedar, page, parts):
    change("top", material_id=cedar["id"])
    make("materials", label="ebony board", species="Diospyros", reading="Lab 20 1 3")
    asked = {"open": parts["fretboard"]["id"]}
    found = client.get(f"/api/briefs/{brief['id']}/proposals", params=asked).json()
    (swap,) = found["proposals"][0]["swaps"]
    assert swap["care"] == "sensitiser, skin and chest · wood dust"
    assert swap["listing"]["standing"] == "some listed"
    assert swap["reminder"] == REMINDER
    text = seen(page(f"spec?open={asked['open']}"))
    assert f"{WORDS} sensitiser, skin and chest" in text
    assert "Papers: some in CITES Appendix II" in text
    beside = seen(page(f"beside?swap={swap['part_id']}:{swap['material_id']}"))
    assert f"{WORDS} sensitiser, skin and chest" in beside
    assert REMINDER in beside


def test_an_inlay_says_it_of_its_shell_its_glue_and_a_laser(client, brief, change, make, page):
    shell = make("materials", label="paua", stuff="shell", reading="Lab 80 0 3")
    change("inlay", material_id=shell["id"])
    inlay = make("inlays", brief_id=brief["id"], name="dots", shape="dot", frets=[5])
    for words in ("shell dust", "superglue", "epoxy", "laser on shell"):
        assert words in inlay["care"]
    text = seen(page("inlay"))
    assert f"{WORDS} shell dust" in text


def test_drawings_for_a_machine_say_it(client, brief, change, make, page):
    brass = make("materials", label="brass", stuff="metal", reading="Lab 70 3 35")
    binding = make("materials", label="celluloid strip", stuff="celluloid")
    change("inlay", material_id=brass["id"])
    change("binding", material_id=binding["id"])
    found = client.get(f"/api/briefs/{brief['id']}/drawings").json()
    assert [one["name"] for one in found["sheets"]][:2] == ["overview", "fretboard"]
    for words in ("laser: smoke and fire", "throws the beam back", "never laser celluloid"):
        assert words in found["care"]
    assert found["reminder"] == REMINDER
    text = seen(page("drawing"))
    assert "If a machine cuts from them: laser: smoke and fire" in text
    assert "never laser celluloid" in text
    assert REMINDER in text


def test_drawings_of_no_brief_are_not_found(client):
    assert client.get("/api/briefs/01JD8Q5Z7M3K2V9X4T6R8W0Y1A/drawings").status_code == 404


def test_the_sources_can_be_read(client):
    text = client.get("/method").text
    assert 'id="care"' in text
    for words in (
        "Orriols and others 1997",
        "HSE (UK), wood dust",
        "common practice, no source",
        "from memory",
        "Dalbergia nigra",
        "checked 28 November 2026",
    ):
        assert words in text


SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def cut_from(client, brief):
    """A sheet for a machine: (layer, words, place, whether it is below the sheet) of every text,
    and all else that is on it."""

    def svg(name):
        text = client.get(f"/api/briefs/{brief['id']}/drawings/{name}.svg").text
        root = ElementTree.fromstring(text)
        block = root.findall(f"{SVG}g[@id='title-block']/{SVG}path")
        foot = max(float(y) for one in block for y in re.findall(r"[ML]\S+ ([\d.]+)", one.get("d")))
        words, lines = [], []
        for group in root.findall(f"{SVG}g"):
            for one in group:
                if one.tag == f"{SVG}text" and group.get("id") == "cautions":
                    at = float(one.get("x")), float(one.get("y"))
                    assert at[1] < float(root.get("height").removesuffix("mm"))
                    words.append((one.text, at[1] > foot))
                else:
                    lines.append((group.get("id"), ElementTree.tostring(one)))
        assert root.find(f"{SVG}desc").text == " ".join(text for text, _ in words)
        return words, lines

    def dxf(name):
        text = client.get(f"/api/briefs/{brief['id']}/drawings/{name}.dxf").text
        words, lines = [], []
        for one in ezdxf.read(io.StringIO(text)).modelspace():
            if one.dxf.layer == "cautions":
                assert one.dxftype() == "TEXT"
                words.append((one.dxf.text, one.dxf.insert.y < 0))
            else:
                kind = one.dxftype()
                at = {"TEXT": "insert", "CIRCLE": "center"}.get(kind)
                lines.append((one.dxf.layer, kind, one.dxf.get(at) if at else one.get_points()))
        return words, lines

    return {"svg": svg, "dxf": dxf}


@pytest.mark.parametrize("form", ["svg", "dxf"])
@pytest.mark.parametrize("sheet", ["fretboard", "bridge", "half-body"])
def test_a_drawing_for_a_machine_tells_whoever_runs_it(make, change, cut_from, sheet, form) -> None:
    """Under the sheet, on a layer of its own: nothing else moves, and nobody cuts it."""
    words, lines = cut_from[form](sheet)
    said = " ".join(text for text, _ in words)
    assert "never leave the beam alone" in said
    assert said.endswith(REMINDER)
    assert all(below for _, below in words)
    assert "PVC" not in said
    plate = make("materials", label="pearloid", stuff="plastic")
    change("binding", material_id=plate["id"])
    words, again = cut_from[form](sheet)
    assert "Never put PVC in a laser" in " ".join(text for text, _ in words)
    assert again == lines
    assert len(lines) > 20


def test_the_booklet_says_it_under_what_a_part_is_made_of(client, brief, change, cedar) -> None:
    change("top", material_id=cedar["id"])
    data = client.get(f"/api/briefs/{brief['id']}/booklet.pdf").content
    with pdfium.PdfDocument(data) as document:
        pages = " ".join(page.get_textpage().get_text_bounded() for page in document)
    words = " ".join(pages.split())
    assert re.search(r"T\. plicata .{0,80}Take care: asthma \(western red cedar\)", words)
    assert words.count(REMINDER) == 1
