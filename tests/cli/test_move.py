"""`brief move` and `brief passport`: movement without a brief, and the passport as a file."""

from __future__ import annotations

import io
import json

import pypdfium2 as pdfium
import pytest

from brief.cli.command import main
from brief.services import nouns
from brief.services.rack.piece_views import MaterialDraft
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store

SITKA = ["move", "Picea sitchensis", "400", "--from", "45", "--to", "25", "--at", "21"]


def test_a_top_is_told_in_words_and_exactly(capsys) -> None:
    """Worked by hand: 400 mm of quartersawn Sitka spruce, −1.84 mm (Wood Handbook, ch. 13)."""
    assert main([*SITKA, "--cut", "quartersawn"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("1.8 mm narrower (1.4 to 2.3) in air of 25 %")
    assert "Sitka spruce" in said
    assert main([*SITKA, "--cut", "quartersawn", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["change_mm"]["likely"] == pytest.approx(-1.84, abs=0.005)
    assert found["moisture"] == [8.5, 5.4]


def test_inches_and_fahrenheit(capsys) -> None:
    assert main(["move", "sitka", "15 3/4 in", "--from", "45 %", "--to", "46", "--at", "70F"]) == 0
    assert "stays as it is" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({1: "cocobolo"}, "not known"),
        ({2: "wide"}, "length"),
        ({4: "0"}, "--from: This must be 5 to 95 %"),
        ({6: "100"}, "--to: This must be 5 to 95 %"),
        ({6: "25 30"}, "2 numbers"),
        ({8: "21 " * 11 + "22"}, "one number"),
        ({8: "70"}, "Write 70 °F"),
    ],
)
def test_what_is_wrong_is_said(capsys, changed, said: str) -> None:
    asked = [changed.get(place, word) for place, word in enumerate(SITKA)]
    assert main(asked) == 2
    assert said in capsys.readouterr().err


def test_another_cut_is_refused(capsys) -> None:
    assert main([*SITKA, "--cut", "sideways"]) == 2
    assert "quartersawn" in capsys.readouterr().err


def test_the_passport_is_a_file(tmp_path, capsys) -> None:
    home = tmp_path / "home"
    store = Store(home)
    with store.desk(writing=True) as desk:
        brief = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        piece = nouns.materials.add(desk, MaterialDraft(label="Cedar", species="Thuja plicata"))
        part = nouns.parts.page(desk, brief_id=brief.id)[0]
        nouns.parts.change(desk, part.id, "*", nouns.parts.change_model(material_id=piece.id))
    store.close()
    out = tmp_path / "passport.pdf"
    asked = ["passport", "Salt", "--out", str(out), "--home", str(home)]
    assert main(asked) == 0
    assert "permit authority" in capsys.readouterr().out
    page = pdfium.PdfDocument(io.BytesIO(out.read_bytes()))[0]
    assert "Thuja plicata" in page.get_textpage().get_text_range()
    assert main([*asked, "--paper", "A9"]) == 2
    assert "A4, Letter" in capsys.readouterr().err
