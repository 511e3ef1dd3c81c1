"""`brief backup` and `brief restore`."""

import json

from brief.services import nouns
from brief.services.theme import BriefDraft
from brief.store.desk import Store


def test_out_and_back(brief, tmp_path):
    home, stick = tmp_path / "home", tmp_path / "stick"
    store = Store(home)
    with store.desk(writing=True) as desk:
        nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
    store.close()
    code, said, err = brief("backup", stick, "--home", home)
    assert (code, err) == (0, "")
    assert f"{stick} holds 1 brief and 0 pictures" in said
    code, said, _ = brief("restore", stick, "--home", tmp_path / "new", "--json")
    assert json.loads(said)["briefs"] == 1
    code, _, err = brief("restore", stick, "--home", home)
    assert code == 2
    assert "nothing is overwritten" in err
    assert brief("export", "salt", "--out", tmp_path / "s.zip", "--home", tmp_path / "new")[0] == 0
