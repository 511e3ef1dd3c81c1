"""`brief draw`: files to print and measure from."""

import json

import pytest

from brief.services import nouns
from brief.services.rack.piece_views import MaterialDraft
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        for title in ("Saltmarsh", "Salt wind", "Low water"):
            nouns.briefs.add(desk, BriefDraft(title=title))
    store.close()
    return tmp_path / "home"


def test_every_sheet_is_written(brief, home, tmp_path):
    out = tmp_path / "drawn" / "here"
    code, said, err = brief("draw", "Saltmarsh", "--out", out, "--home", home)
    assert (code, err) == (0, "")
    written = sorted(path.name for path in out.iterdir())
    assert len(written) == 29
    expected = {"body.svg", "body-A4.pdf", "body.dxf", "fretboard-A4.pdf", "frets.html"}
    assert expected <= set(written)
    rows = (out / "cut-list.csv").read_text(encoding="utf-8-sig").splitlines()
    assert rows[0].startswith("part,pieces,length,width,thickness,finished length")
    assert any(row.startswith("Linings,4,") for row in rows)
    assert "100 %" in said
    assert "If a machine cuts from them: laser: smoke and fire" in said
    assert "A reminder, not advice." in said


@pytest.mark.slow
def test_each_board_has_a_sheet_for_the_saw(brief, home, tmp_path):
    store = Store(home)
    with store.desk(writing=True) as desk:
        sizes = {"length_mm": 900, "width_mm": 400, "thickness_mm": 12}
        walnut = nouns.materials.add(desk, MaterialDraft(label="Walnut / 7", **sizes))
        saltmarsh = next(one for one in nouns.briefs.page(desk) if one.title == "Saltmarsh")
        for part in nouns.parts.page(desk, brief_id=saltmarsh.id):
            if part.role == "back":
                part.material_id = walnut.id
    store.close()
    out = tmp_path / "o"
    code, said, _ = brief("draw", "Saltmarsh", "--out", out, "--home", home, "--kerf", "1/8 in")
    assert code == 0
    assert (out / "saw-Walnut-7.pdf").read_bytes().startswith(b"%PDF")
    assert "saw-Walnut-7.pdf" in said


@pytest.mark.slow
def test_the_instrument_to_turn_is_written_if_asked_for(brief, home, tmp_path):
    """Its head is that of glTF 2.0, 4.4.2."""
    out = tmp_path / "drawn"
    code, said, err = brief("draw", "Saltmarsh", "--out", out, "--home", home, "--glb")
    assert (code, err) == (0, "")
    data = (out / "Saltmarsh.glb").read_bytes()
    assert data[:8] == b"glTF\2\0\0\0"
    assert int.from_bytes(data[8:12], "little") == len(data)
    assert "nothing to measure from" in said


@pytest.mark.slow
def test_the_beginning_of_a_title_is_enough(brief, home, tmp_path):
    code, said, _ = brief("draw", "low", "--out", tmp_path / "o", "--home", home, "--json")
    assert code == 0
    assert "body-A4.pdf" in said


@pytest.mark.slow
@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["sal"], "several briefs are called “sal”; you have: Saltmarsh; Salt wind"),
        (["tide"], "no brief is called “tide”; you have: Saltmarsh; Salt wind; Low water"),
        (["Saltmarsh", "--tool", "thick"], "--tool: "),
        (["Saltmarsh", "--kerf", "wide"], "--kerf: "),
        (["Saltmarsh", "--cuts", "half"], "--cuts: Choose what is cut"),
        (["Saltmarsh", "--paper", "A9"], "--paper is one of A4, Letter, sheet; got “A9”"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(brief, home, tmp_path, asked, said):
    code, out, err = brief("draw", *asked, "--out", tmp_path / "o", "--home", home)
    assert (code, out) == (2, "")
    assert said in err
    assert not (tmp_path / "o").exists()


@pytest.mark.slow
def test_a_file_in_the_way_is_said(brief, home, tmp_path):
    (tmp_path / "o").write_text("")
    code, _, err = brief("draw", "Saltmarsh", "--out", tmp_path / "o", "--home", home)
    assert code == 2
    assert "cannot be written into" in err


@pytest.mark.slow
def test_a_machine_gets_its_tools_way(brief, home, tmp_path):
    asked = ("--tool", "3 mm", "--cuts", "through", "--out", tmp_path / "o", "--home", home)
    code, said, _ = brief("draw", "Saltmarsh", *asked)
    assert code == 0
    assert "For a cut 3 mm wide" in said
    assert "For a cut 3 mm wide" in (tmp_path / "o" / "head-tool.dxf").read_text()
    assert (tmp_path / "o" / "head-A4.pdf").exists()


@pytest.mark.slow
def test_what_the_tool_cannot_cut_is_said_and_all_else_is_written(brief, home, tmp_path):
    out = tmp_path / "o"
    asked = ("draw", "Saltmarsh", "--tool", "3 mm", "--out", out, "--home", home)
    code, said, err = brief(*asked)
    assert (code, err) == (0, "")
    assert "No body-tool.svg and body-tool.dxf. Body: a cut 3 mm wide does not fit where" in said
    assert "there are only 1.2 mm in a channel" in said
    assert (out / "body-A4.pdf").exists()
    assert not list(out.glob("body*.svg")) + list(out.glob("body*.dxf"))
    assert (out / "head-tool.svg").exists()
    assert list(json.loads(brief(*asked, "--json")[1])["refused"]) == ["body", "rosette"]
