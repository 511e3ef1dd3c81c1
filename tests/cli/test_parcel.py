"""`brief export` and `brief import`: a whole brief as one file."""

import json
import zipfile

import pytest

from brief.services import nouns
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path):
    store = Store(tmp_path / "home")
    with store.desk(writing=True) as desk:
        for title in ("Saltmarsh", "Low water"):
            nouns.briefs.add(desk, BriefDraft(title=title))
    store.close()
    return tmp_path / "home"


def test_out_of_one_home_and_into_another(brief, home, tmp_path):
    out, there = tmp_path / "salt.zip", tmp_path / "there"
    code, said, err = brief("export", "salt", "--out", out, "--home", home)
    assert (code, err) == (0, "")
    assert f"“Saltmarsh” is in {out}" in said
    assert "private" in said
    code, said, _ = brief("import", out, "--home", there)
    assert (code, said) == (0, "“Saltmarsh” is on the shelf.\n")
    code, said, _ = brief("import", out, "--home", there, "--json")
    assert json.loads(said)["outcome"] == "here"
    again = tmp_path / "again.zip"
    assert brief("export", "Saltmarsh", "--out", again, "--home", there)[0] == 0
    assert again.read_bytes() == out.read_bytes()


def test_what_cannot_be_is_said_and_leaves_no_file(brief, home, tmp_path):
    out = tmp_path / "salt.zip"
    out.write_text("mine")
    for words, said in (
        (("export", "salt", "--out", out), "is there already"),
        (("export", "tide", "--out", tmp_path / "t.zip"), "no brief is called “tide”"),
        (("export", "salt", "--out", tmp_path / "no" / "t.zip"), "cannot be written"),
        (("import", tmp_path / "none.zip"), "cannot be opened"),
        (("import", out), "no whole zip file"),
    ):
        code, printed, err = brief(*words, "--home", home)
        assert (code, printed) == (2, "")
        assert said in err
    assert out.read_text() == "mine"
    assert {path.name for path in tmp_path.iterdir()} == {"home", "salt.zip"}


def test_a_half_file_changes_nothing(brief, home, tmp_path):
    out, half = tmp_path / "salt.zip", tmp_path / "half.zip"
    brief("export", "salt", "--out", out, "--home", home)
    half.write_bytes(out.read_bytes()[:-9])
    code, _, err = brief("import", half, "--home", tmp_path / "there")
    assert code == 2
    assert "no whole zip file" in err
    assert "brief.json" in zipfile.ZipFile(out).namelist()
    store = Store(tmp_path / "there")
    with store.desk() as desk:
        assert not nouns.briefs.page(desk)
    store.close()
