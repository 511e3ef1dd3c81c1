"""`brief import FILE.jsonld`: comments that came by mail."""

import json

import pytest

from brief.cli.commands.going_out.comments import import_comments
from brief.errors import InputError
from brief.services import nouns
from brief.services.feedback.annotations import iri_of
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store


@pytest.fixture
def home(tmp_path):
    return tmp_path / "home"


@pytest.fixture
def saltmarsh(home):
    store = Store(home)
    with store.desk(writing=True) as desk:
        iri = iri_of(nouns.briefs.add(desk, BriefDraft(title="Saltmarsh")).id)
    store.close()
    return iri


@pytest.fixture
def mailed(tmp_path, saltmarsh):
    def written(about):
        page = {
            "@context": "http://www.w3.org/ns/anno.jsonld",
            "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a01",
            "type": "AnnotationPage",
            "partOf": {"id": about, "label": "Saltmarsh"},
            "items": [
                {
                    "id": "urn:uuid:6f6f9c3e-5d0f-4f77-8f7e-7d3f6f0f1a02",
                    "type": "Annotation",
                    "motivation": "commenting",
                    "creator": {"type": "Person", "name": "a boatbuilder"},
                    "body": {"type": "TextualBody", "value": "Too dark."},
                    "target": about,
                }
            ],
        }
        (tmp_path / "mailed.jsonld").write_text(json.dumps(page))
        return tmp_path / "mailed.jsonld"

    return written


def test_comments_come_in_on_the_brief_they_name(home, saltmarsh, mailed, capsys):
    import_comments(home, mailed(saltmarsh), as_json=False)
    assert capsys.readouterr().out == (
        "Saltmarsh: 1 comment added.\n  a boatbuilder, on Saltmarsh: Too dark.\n"
    )
    import_comments(home, mailed(saltmarsh), as_json=True)
    assert json.loads(capsys.readouterr().out)["known"] == 1


def test_a_file_that_cannot_be_used_is_refused(home, mailed, tmp_path):
    with pytest.raises(InputError, match="“Saltmarsh” that this file is about is not here"):
        import_comments(home, mailed("urn:uuid:01934e8b-3e1f-7b2a-8c4d-5e6f70819203"), as_json=True)
    with pytest.raises(InputError, match="cannot be read: No such file"):
        import_comments(home, tmp_path / "gone.jsonld", as_json=True)
