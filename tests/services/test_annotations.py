"""Comments out and in by the W3C Web Annotation Data Model, 23 February 2017.

The context is W3C's own (`published/anno.jsonld`); pyld reads what is written as any program for
JSON-LD would. Keys that a thing must have: sections 3.1 (annotation), 3.2.4 (textual body), 4.2.1
and 4.2.4 (selectors), 5.2 (page).
"""

from __future__ import annotations

import json
import uuid
from copy import deepcopy
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from pyld import jsonld

from brief.errors import InputError, TooLarge
from brief.services import nouns, offcuts
from brief.services.feedback.annotations import comments_as_jsonld, id_of, iri_of
from brief.services.feedback.comments import CommentDraft
from brief.services.feedback.questions import QuestionDraft
from brief.services.feedback.taking_in import take_in
from brief.services.theme.references import PassageDraft

ANNO = "http://www.w3.org/ns/anno.jsonld"
OA = "http://www.w3.org/ns/oa#"
WORDS = json.loads((Path(__file__).parents[1] / "published" / "anno.jsonld").read_text())
PASSAGE = "The tide is out.\nThe curlew walks, the tide is out, and nobody calls."


def load(url: str, _options: object) -> dict[str, Any]:
    assert url == ANNO
    return {"contextUrl": None, "documentUrl": url, "document": WORDS}


def expanded(document: dict[str, Any]) -> dict[str, Any]:
    (read,) = jsonld.expand(document, {"documentLoader": load})
    return read


@pytest.fixture
def say(desk, shop):
    def said(about=None, kind="brief", **fields):
        about = about or shop.brief
        draft = CommentDraft(
            brief_id=shop.brief.id, about_kind=kind, about_id=about.id, **{"text": "dark"} | fields
        )
        return nouns.comments.add(desk, draft)

    return said


@pytest.fixture
def passage(desk, shop):
    draft = PassageDraft(brief_id=shop.brief.id, title="Low water", passage=PASSAGE)
    return nouns.references.add(desk, draft)


@pytest.fixture
def out(desk, shop):
    return lambda: comments_as_jsonld(desk, shop.brief.id)


@pytest.fixture
def drop(desk, shop):
    return lambda document: take_in(desk, shop.brief.id, json.dumps(document).encode())


def annotation(target: object, **fields: object) -> dict[str, Any]:
    return {
        "id": f"urn:uuid:{uuid.uuid4()}",
        "type": "Annotation",
        "motivation": "commenting",
        "creator": {"type": "Person", "name": "a bird counter"},
        "created": "2026-01-02T08:00:00+02:00",
        "body": {"type": "TextualBody", "value": "Low, surely.", "format": "text/plain"},
        "target": target,
    } | fields


@pytest.fixture
def file(shop):
    """A file as it comes by mail."""

    def made(*items: dict[str, Any], **more: object) -> dict[str, Any]:
        return {
            "@context": ANNO,
            "id": f"urn:uuid:{uuid.uuid4()}",
            "type": "AnnotationPage",
            "partOf": {"id": iri_of(shop.brief.id), "label": shop.brief.title},
            "items": list(items),
        } | more

    return made


# Names


def test_a_name_leads_back_to_its_record(shop) -> None:
    iri = iri_of(shop.brief.id)
    assert iri.startswith("urn:uuid:")
    assert id_of(iri) == id_of(iri.upper().replace("URN:UUID:", "urn:uuid:")) == shop.brief.id
    assert id_of("urn:uuid:nobody") is id_of("https://example.org/a") is None


# Out


def test_everything_has_the_keys_it_must_have(say, shop, passage, out) -> None:
    first = say()
    say(reply_to=first.id)
    say(shop.reference(), "reference", region="xywh=percent:10,20,30,40.5")
    say(passage, "reference", quote="curlew walks")
    page = out()
    assert page["@context"] == ANNO  # a string where it is the only one, 3.1
    assert {"id", "type", "items"} <= page.keys()
    for one in page["items"]:
        assert {"id", "type", "target"} <= one.keys()
        assert one["type"] == "Annotation"
        assert one["created"].endswith("Z")  # 3.3.1
        assert {"type", "value"} <= one["body"].keys()
        if isinstance(one["target"], dict):
            assert {"source", "selector"} <= one["target"].keys()
    spot, words = (one["target"]["selector"] for one in page["items"][2:])
    assert spot == {
        "type": "FragmentSelector",
        "conformsTo": "http://www.w3.org/TR/media-frags/",
        "value": "xywh=percent:10,20,30,40.5",
    }
    assert words["type"] == "TextQuoteSelector"
    assert words["prefix"] + words["exact"] + words["suffix"] in PASSAGE


def test_any_program_for_json_ld_reads_it(say, shop, passage, out) -> None:
    first = say(author="a boatbuilder", text="<b>dark</b>")
    say(reply_to=first.id, state="settled", outcome="lighter")
    say(passage, "reference", quote="curlew walks")
    page = expanded(out())
    assert page["@type"] == ["http://www.w3.org/ns/activitystreams#OrderedCollectionPage"]
    items = page["http://www.w3.org/ns/activitystreams#items"][0]["@list"]
    assert [one["@type"] for one in items] == [[f"{OA}Annotation"]] * 3
    (body,) = items[0][f"{OA}hasBody"]
    assert body["http://www.w3.org/1999/02/22-rdf-syntax-ns#value"] == [{"@value": "<b>dark</b>"}]
    (creator,) = items[0]["http://purl.org/dc/terms/creator"]
    assert creator["http://xmlns.com/foaf/0.1/name"] == [{"@value": "a boatbuilder"}]
    (created,) = items[0]["http://purl.org/dc/terms/created"]
    assert created["@type"] == "http://www.w3.org/2001/XMLSchema#dateTime"
    assert items[1][f"{OA}hasTarget"] == [{"@id": items[0]["@id"]}]
    assert items[1][f"{OA}motivatedBy"] == [{"@id": f"{OA}replying"}]
    assert items[1]["http://schema.org/creativeWorkStatus"] == [{"@value": "settled"}]
    (target,) = items[2][f"{OA}hasTarget"]
    (selector,) = target[f"{OA}hasSelector"]
    assert selector[f"{OA}exact"] == [{"@value": "curlew walks"}]
    assert target[f"{OA}hasSource"] == [{"@id": iri_of(passage.id)}]


def test_no_word_is_lost_on_the_way_to_rdf(say, passage, out) -> None:
    """What a context does not know is dropped in silence: compacted again, nothing may lack."""
    first = say(state="settled", outcome="lighter")
    say(reply_to=first.id)
    say(passage, "reference", quote="curlew walks")
    page = out()
    options = {"documentLoader": load}
    again = jsonld.compact(jsonld.expand(page, options), ANNO, options)

    def keys(value: object) -> list[str]:
        if isinstance(value, dict):
            return sorted([*value, *(key for one in value.values() for key in keys(one))])
        return sorted(key for one in value for key in keys(one)) if isinstance(value, list) else []

    assert keys(again) == keys(page)


# In


def test_what_went_out_comes_in_again_once(desk, say, out, drop) -> None:
    say(reply_to=say().id)
    taken = drop(out())
    assert (taken.comments, taken.known) == ([], 2)
    assert taken.said == "Nothing new; 2 were here already."


def test_a_comment_comes_in_with_who_and_when(shop, file, drop, out) -> None:
    one = annotation(iri_of(shop.brief.id))
    (comment,) = drop(file(one)).comments
    assert (comment.author, comment.text) == ("a bird counter", "Low, surely.")
    assert comment.said_utc.isoformat() == "2026-01-02T06:00:00+00:00"
    assert (comment.came_by, comment.since, comment.state) == ("file", "", "open")
    (again,) = out()["items"]
    assert again == one | {"created": "2026-01-02T06:00:00Z"}


def test_nothing_was_said_later_than_now(shop, question, file, drop) -> None:
    ahead = {"created": "2099-01-02T08:00:00Z"}
    taken = drop(file(annotation(iri_of(shop.brief.id), **ahead), choice(question, 0, **ahead)))
    found = [*taken.comments, *taken.answers]
    assert found
    for one in found:
        assert one.said_utc <= datetime.now(UTC)


def test_a_spot_and_words_come_in(shop, passage, file, drop) -> None:
    spot = {"type": "FragmentSelector", "value": "xywh=percent:1,2,3,4"}
    words = {"type": "TextQuoteSelector", "exact": "tide is out", "prefix": "walks, the "}
    front, line = drop(
        file(
            annotation({"source": iri_of(shop.brief.id), "selector": spot}),
            annotation({"source": iri_of(passage.id), "selector": words}),
        )
    ).comments
    assert (front.about_kind, front.region) == ("brief", "xywh=percent:1,2,3,4")
    assert (line.about_id, line.quote, line.since) == (passage.id, "tide is out", "")


def test_however_often_it_comes_it_comes_in_once(desk, shop, file, drop) -> None:
    mailed = file(annotation(iri_of(shop.brief.id)), annotation(iri_of(shop.brief.id)))
    first, second = drop(mailed).comments
    nouns.comments.change(desk, first.id, "*", nouns.comments.change_model(state="settled"))
    offcuts.remove(desk, nouns.comments, second.id, "*")
    for _ in range(3):
        assert drop(mailed).said == "Nothing new; 2 were here already."
    assert [one.id for one in nouns.comments.page(desk)] == [first.id]
    more = file(*mailed["items"], annotation(iri_of(shop.brief.id)))
    assert drop(more).said == "1 comment added; 2 were here already."


def test_replies_find_their_comment_wherever_it_stands(desk, shop, say, file, drop) -> None:
    part = shop.part()
    here = say(part, "part")
    first = annotation(iri_of(here.id), motivation="replying")
    behind = annotation(first["id"], motivation="replying")
    taken = drop(file(behind, first)).comments
    assert [(one.reply_to, one.about_id) for one in taken] == [(here.id, part.id)] * 2


def test_what_is_gone_is_said_and_comes_in_on_the_brief(desk, shop, say, passage, file, drop):
    motif, comment = shop.motif("reed"), say()
    words = {"type": "TextQuoteSelector", "exact": "nobody calls"}
    offcuts.remove(desk, nouns.motifs, motif.id, "*")
    offcuts.remove(desk, nouns.comments, comment.id, "*")
    offcuts.remove(desk, nouns.references, passage.id, "*")
    unknown = "urn:uuid:01934e8b-3e1f-7b2a-8c4d-5e6f70819203"
    mailed = file(
        annotation(iri_of(motif.id)),
        annotation({"source": iri_of(passage.id), "selector": words}),
        annotation(iri_of(comment.id), motivation="replying"),
        annotation(unknown),
        annotation("https://example.org/else"),
        **{"dcterms:references": [{"id": unknown, "label": "old back"}]},
    )
    taken = drop(mailed).comments
    assert {(one.about_kind, one.about_id, one.reply_to) for one in taken} == {
        ("brief", shop.brief.id, None)
    }
    assert [one.since for one in taken] == [
        "Said about the motif “reed”, which has been removed since.",
        "Said about the reference “Low water”, which has been removed since. It is about these "
        "words: “nobody calls”.",
        "Said in reply to a comment that has been removed since: “dark”.",
        "Said about “old back”, which is not in this brief any more.",
        "Said about something that is not in this brief any more.",
    ]


def test_what_has_changed_since_is_said(desk, shop, say, passage, file, drop, out) -> None:
    motif = shop.motif("reed")
    say(motif, "motif")
    then = out()["dcterms:references"]
    words = {"type": "TextQuoteSelector", "exact": "curlew walks"}
    mailed = file(
        annotation(iri_of(motif.id)),
        annotation({"source": iri_of(passage.id), "selector": words}),
        **{"dcterms:references": then},
    )
    unchanged = deepcopy(mailed)
    nouns.motifs.change(desk, motif.id, "*", nouns.motifs.change_model(name="sedge"))
    nouns.references.change(
        desk, passage.id, "*", nouns.references.change_model(passage="Nobody calls.")
    )
    sedge, line = drop(mailed).comments
    assert (sedge.about_id, line.about_id) == (motif.id, passage.id)
    assert sedge.since == (
        "“sedge” has been changed since the copy that this was said on; it was called “reed” then."
    )
    assert line.since == "The words that it is about do not stand there any more."
    unchanged["dcterms:references"] = out()["dcterms:references"]
    unchanged["items"] = [annotation(iri_of(motif.id))]
    assert drop(unchanged).comments[0].since == ""


# Answers


@pytest.fixture
def question(desk, shop):
    chosen = [shop.material(label="walnut").id, shop.material(label="sapele").id]
    draft = QuestionDraft(brief_id=shop.brief.id, text="Which back?", choices=chosen)
    return nouns.questions.add(desk, draft)


def choice(question, at: int, why: str = "", **fields: object) -> dict[str, Any]:
    source = iri_of(question.choices[at]["id"])
    body = [{"type": "SpecificResource", "source": source, "purpose": "classifying"}]
    if why:
        body.append({"type": "TextualBody", "value": why, "format": "text/plain"})
    return annotation(iri_of(question.id), motivation="assessing", body=body) | fields


@pytest.fixture
def close(desk, question):
    def closed(state: str = "closed") -> None:
        change = nouns.questions.change_model(state=state)
        nouns.questions.change(desk, question.id, "*", change)

    return closed


def result(desk, question) -> str:
    return nouns.questions.show(desk, question).result


def test_answers_come_in_once_and_go_out_once_it_is_closed(
    desk, question, file, drop, out, close
) -> None:
    given = choice(question, 1, "quieter", created="2026-01-02T08:00:00Z")
    mailed = file(given, choice(question, 0, creator={"type": "Person", "name": "a player"}))
    taken = drop(mailed)
    assert taken.said == "2 answers added."
    assert [(one.author, one.choice, one.why) for one in taken.answers] == [
        ("a bird counter", 1, "quieter"),
        ("a player", 0, ""),
    ]
    assert drop(mailed).said == "Nothing new; 2 were here already."
    assert out()["items"] == []  # it could be passed on to somebody who has yet to choose
    close()
    page = out()
    assert page["items"][0] == given
    items = expanded(page)["http://www.w3.org/ns/activitystreams#items"][0]["@list"]
    assert items[0][f"{OA}motivatedBy"] == [{"@id": f"{OA}assessing"}]
    chosen = items[0][f"{OA}hasBody"][0]
    assert chosen[f"{OA}hasSource"] == [{"@id": iri_of(question.choices[1]["id"])}]
    assert chosen[f"{OA}hasPurpose"] == [{"@id": f"{OA}classifying"}]
    assert drop(page).known == 2


def test_the_newest_answer_of_a_name_counts_in_whatever_order_they_come(
    desk, question, file, drop
) -> None:
    early = file(choice(question, 0, created="2026-01-02T08:00:00Z"))
    late = file(choice(question, 1, created="2026-01-03T08:00:00Z"))
    for mailed in (late, early, late, early):
        drop(mailed)
    assert result(desk, question) == "1 of 1 chose the right."


def test_an_answer_given_after_it_was_closed_is_left_out(desk, question, file, drop, close) -> None:
    close()
    in_time = choice(question, 0, created="2026-01-02T08:00:00Z")
    late = choice(
        question, 1, created="2099-01-02T08:00:00Z", creator={"type": "Person", "name": "a player"}
    )
    taken = drop(file(in_time, late))
    assert taken.said == (
        "1 answer added. An answer by a player is left out: “Which back?” was closed before. "
        "Open it again and add the file once more, if it is to count."
    )
    close("open")
    assert drop(file(in_time, late)).said == "1 answer added; 1 was here already."


def test_what_was_said_to_a_question_that_is_gone_is_kept(desk, question, file, drop) -> None:
    offcuts.remove(desk, nouns.questions, question.id, "*")
    taken = drop(file(choice(question, 0, "quieter"), choice(question, 1)))
    assert (taken.comments[0].text, taken.comments[0].since) == (
        "quieter",
        "Said in answer to a question that has been removed since.",
    )
    assert taken.left_out == ["An answer by a bird counter is left out: its question was removed."]


def test_an_answer_must_be_one_of_the_choices(shop, question, file, drop) -> None:
    other = choice(question, 0)
    other["body"][0]["source"] = iri_of(shop.material(label="cedar").id)
    with pytest.raises(InputError, match=r"back\?” does not offer"):
        drop(file(other))
    undated = choice(question, 0)
    del undated["created"]
    with pytest.raises(InputError, match="“created” is missing"):
        drop(file(undated))


BODY = {"type": "TextualBody", "value": "dark"}


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"body": BODY | {"value": "x" * 20_001}}, "comment 1.*“value” has more than 20,000"),
        ({"body": BODY | {"value": " "}}, "“value” is empty"),
        ({"body": "https://example.org/a"}, "“body” is not as the Web Annotation model"),
        ({"body": [BODY, BODY]}, "its “body” is not one text"),
        ({"body": [BODY | {"type": "Video"}]}, "is not as"),
        ({"body": []}, "its “body” is not one text"),
        ({"motivation": "assessing"}, "does not say which one thing was chosen"),
        ({"type": "Note"}, "“type” is not as"),
        ({"motivation": "tagging"}, "“motivation” is not as"),
        ({"created": "yesterday"}, "“created” is not as"),
        ({"created": "2026-01-02T08:00:00"}, "does not say of which time zone"),
        ({"created": "0001-01-01T00:00:00+14:00"}, "outside the calendar"),
        ({"id": "1"}, "“id” is not as"),
        ({"creator": {"type": "Person", "name": "x" * 201}}, "“name” has more than 200"),
        ({"script": "alert(1)"}, "“script” is not something such a file holds"),
        ({"target": {"source": "urn:uuid:1", "selector": {"type": "CssSelector"}}}, "is not as"),
        ({"target": None}, "is not as"),
        (
            {
                "target": {
                    "source": "urn:uuid:1",
                    "selector": {"type": "FragmentSelector", "value": "xywh=90,90,20,20"},
                }
            },
            "a part of the picture is four numbers of percent",
        ),
    ],
)
def test_an_altered_file_is_refused_whole(desk, shop, file, drop, wrong, said) -> None:
    whole, broken = annotation(iri_of(shop.brief.id)), annotation(iri_of(shop.brief.id))
    with pytest.raises(InputError, match=f"(?s){said}.*Nothing was taken in"):
        drop(file(broken | wrong, whole))
    assert list(nouns.comments.page(desk)) == []


def test_what_is_no_such_file_is_refused(desk, shop, file, drop) -> None:
    for data in (b"", b"\xff\xfe", b"[" * 100_000, b'{"a": 1', b"dear maker"):
        with pytest.raises(InputError, match="it is not JSON"):
            take_in(desk, shop.brief.id, data)
    page = file(annotation(iri_of(shop.brief.id)))
    for wrong, said in (
        ([], "no JSON-LD"),
        ({name: value for name, value in page.items() if name != "@context"}, "no JSON-LD"),
        (page | {"@context": "https://schema.org"}, "@context is not"),
        (page | {"@context": [ANNO, {"body": "x"}]}, "@context is not"),
        (page | {"type": "AnnotationCollection"}, "“type”"),
        (page | {"next": "https://example.org/2"}, "“next” is not something such a file holds"),
    ):
        with pytest.raises(InputError, match=said):
            drop(wrong)


def test_a_file_from_another_brief_is_refused(desk, shop, other_shop, file, drop, say) -> None:
    theirs = iri_of(other_shop.brief.id)
    for wrong, said in (
        (file(partOf={"id": theirs, "label": "Dune"}), "about another brief, “Dune”, not about"),
        (file(annotation(theirs), partOf=theirs), "is about another brief, not about"),
        (file(annotation(iri_of(other_shop.motif().id))), "speaks of things in another brief"),
        (file(annotation(theirs), partOf=None), "things in another brief"),
        (file(annotation(iri_of(shop.material().id)), partOf=None), "Nothing in this file is"),
    ):
        with pytest.raises(InputError, match=said):
            drop(wrong)
    assert list(nouns.comments.page(desk)) == []


def test_a_ring_of_replies_is_refused(file, drop) -> None:
    one, two = annotation("urn:uuid:x"), annotation("urn:uuid:y")
    one["target"], two["target"] = two["id"], one["id"]
    with pytest.raises(InputError, match="in a ring"):
        drop(file(one, two))


def test_too_much_is_refused(desk, shop, file, drop) -> None:
    many = [annotation(iri_of(shop.brief.id)) for _ in range(1001)]
    with pytest.raises(TooLarge, match="1,000 comments at a time"):
        drop(file(*many))
    with pytest.raises(TooLarge, match="may have 1 MB"):
        take_in(desk, shop.brief.id, b" " * (2**20 + 1))
    assert len(drop(file(*many[:1000])).comments) == 1000


def test_markup_is_plain_text(file, drop, shop) -> None:
    body = BODY | {"value": "<script>alert(1)</script>", "format": "text/html"}
    (comment,) = drop(file(annotation(iri_of(shop.brief.id), body=body))).comments
    assert comment.text == "<script>alert(1)</script>"
