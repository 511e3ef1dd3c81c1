"""`brief export --for-comment`, and what comes back by `brief import`."""

from __future__ import annotations

import json

import pytest

from brief.cli.command import main
from brief.services import nouns
from brief.services.feedback.annotations import iri_of
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.references import PassageDraft
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path):
    home = tmp_path / "home"
    store = Store(home)
    with store.desk(writing=True) as desk:
        brief = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh", theme="Low water."))
        for title, private in (("Field note", False), ("Letter", True)):
            draft = PassageDraft(
                brief_id=brief.id, title=title, passage=f"{title} says", private=private
            )
            nouns.references.add(desk, draft)
    store.close()
    return home


def test_one_file_goes_out_and_what_was_said_in_it_comes_in(home, tmp_path, capsys) -> None:
    out = tmp_path / "saltmarsh.html"
    asked = ["export", "Salt", "--for-comment", "--out", str(out), "--home", str(home)]
    assert main(asked) == 0
    assert "without what is private" in capsys.readouterr().out
    page = out.read_text(encoding="utf-8")
    assert "Field note says" in page
    assert "Letter" not in page
    head = json.loads(page.split('id="file-head">')[1].split("</script>")[0])
    said = {
        "@context": "http://www.w3.org/ns/anno.jsonld",
        **head,
        "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a01",
        "type": "AnnotationPage",
        "items": [
            {
                "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a02",
                "type": "Annotation",
                "motivation": "commenting",
                "creator": {"type": "Person", "name": "Ines"},
                "created": "2027-03-01T09:00:00.000Z",
                "body": {"type": "TextualBody", "value": "Half tide.", "format": "text/plain"},
                "target": head["partOf"]["id"],
            }
        ],
    }
    back = tmp_path / "back.jsonld"
    back.write_text(json.dumps(said), encoding="utf-8")
    assert main(["import", str(back), "--home", str(home)]) == 0
    assert "Ines, on Saltmarsh: Half tide." in capsys.readouterr().out
    store = Store(home)
    with store.desk() as desk:
        (brief,) = nouns.briefs.page(desk)
        assert iri_of(brief.id) == head["partOf"]["id"]
        assert [one.author for one in nouns.comments.page(desk)] == ["Ines"]
    store.close()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--sheets", "theme,rack"], "--sheets takes theme, references,"),
        (["--out", "OUT"], "is there already; name another file"),
    ],
)
def test_what_cannot_go_out_is_told_in_a_line(home, tmp_path, capsys, more, said) -> None:
    there = tmp_path / "there.html"
    there.write_text("mine")
    more = [str(there) if one == "OUT" else one for one in more]
    asked = ["export", "Salt", "--for-comment", "--out", str(tmp_path / "new.html"), *more]
    assert main([*asked, "--home", str(home)]) == 2
    assert said in capsys.readouterr().err
    assert there.read_text() == "mine"
    assert not (tmp_path / "new.html").exists()
