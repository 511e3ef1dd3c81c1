"""`brief booklet`, `brief card` and `brief strands`: files out of the terminal."""

import pypdfium2 as pdfium
import pytest

from brief.services import nouns
from brief.services.sharing import printed_pictures
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.references import PassageDraft
from brief.store.desk import Store


@pytest.fixture(autouse=True)
def small_front(monkeypatch):
    """The instrument as a thumbnail: drawing it large takes most of the time."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        saltmarsh = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        passage = PassageDraft(brief_id=saltmarsh.id, title="Field note", passage="No wind.")
        nouns.references.add(desk, passage)
    store.close()
    return tmp_path / "home"


def words(file):
    with pdfium.PdfDocument(file) as document:
        return " ".join(page.get_textpage().get_text_bounded() for page in document)


def test_a_booklet_is_written_once_rights_are_settled(brief, home, tmp_path):
    out = tmp_path / "booklet.pdf"
    code, said, err = brief("booklet", "Salt", "--out", out, "--home", home)
    assert (code, said) == (2, "")
    assert "“Field note”" in err
    assert not out.exists()
    asked = ("--out", out, "--home", home, "--leave-out-unclear")
    code, said, err = brief("booklet", "Salt", *asked)
    assert (code, err) == (0, "")
    assert "no legal advice" in said
    assert "No wind." not in words(out)


def test_a_card_is_written_with_the_makers_line(brief, home, tmp_path):
    out = tmp_path / "card.pdf"
    asked = ("--out", out, "--home", home, "--maker", "From a shed", "--picture", "none")
    assert brief("card", "Salt", *asked)[0] == 0
    assert "From a shed" in words(out)


def test_the_strands_are_written_as_the_files_name_ends(brief, home, tmp_path):
    out = tmp_path / "strands.pdf"
    asked = ("strands", "Salt", "--out", out, "--home", home)
    code, _, err = brief(*asked)
    assert code == 2
    assert "“Field note”" in err
    assert not out.exists()
    assert brief(*asked, "--for-me", "--paper", "A4")[0] == 0
    assert "No wind." in words(out)
    picture = tmp_path / "strands.png"
    asked = ("strands", "Salt", "--out", picture, "--home", home, "--leave-out-unclear")
    assert brief(*asked)[0] == 0
    assert picture.read_bytes().startswith(b"\x89PNG")
    code, _, err = brief("strands", "Salt", "--out", tmp_path / "strands.gif", "--home", home)
    assert code == 2
    assert "--out ends with .pdf or .png; got “strands.gif”" in err


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["booklet", "tide"], "no brief is called “tide”"),
        (["booklet", "Salt", "--paper", "A5"], "--paper is one of A4, Letter; got “A5”"),
        (["card", "Salt", "--paper", "A9"], "--paper is one of A5, A6, A4, Letter; got “A9”"),
        (["card", "Salt", "--picture", "the hat"], "choose one of them"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(brief, home, tmp_path, asked, said):
    out = tmp_path / "out.pdf"
    code, _, err = brief(*asked, "--out", out, "--home", home)
    assert code == 2
    assert said in err
    assert not out.exists()


@pytest.mark.parametrize("command", ["booklet", "card", "passport"])
def test_another_ending_is_refused_before_anything_is_written(brief, home, tmp_path, command):
    out = tmp_path / f"{command}.docx"
    code, _, err = brief(command, "Salt", "--out", out, "--home", home)
    assert code == 2
    assert f"--out ends with .pdf; got “{out.name}”" in err
    assert not out.exists()


def test_a_folder_that_is_not_there_is_said(brief, home, tmp_path):
    asked = ("--out", tmp_path / "no" / "card.pdf", "--home", home, "--picture", "none")
    code, _, err = brief("card", "Salt", *asked)
    assert code == 2
    assert "cannot be written" in err
