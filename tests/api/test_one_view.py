"""What others see is one model of a brief: what is private of it leaves by no way whatever."""

from __future__ import annotations

import ast
import dataclasses
import re
import types
import typing
from collections.abc import Iterator
from datetime import date, datetime
from html import unescape
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from pydantic import BaseModel

from brief.api import mailed
from brief.paper.contents import Credit, LineDrawing, Stroke
from brief.services.common.colour_view import ColourView
from brief.services.common.naming import BY_KIND
from brief.services.outputs import booklets, cards, strand_sheets
from brief.services.photos.pictures import PictureView
from brief.services.sharing import printed_pictures, privacy, seen
from brief.store.desk import Desk
from brief.store.records import Base
from tests.api.once import fixture_once
from tests.figures import says

ANY = {"If-Match": "*"}
ZERO = "https://creativecommons.org/publicdomain/zero/1.0/"
MADE_OF_IT = (booklets, cards, strand_sheets, mailed)
HEIRLOOM, GARNET, TALE = "Heirloom brooch", "Garnet of hers", "She wore it once"


@pytest.fixture(autouse=True)
def small(monkeypatch):
    """Pictures of the instrument as thumbnails: drawing them large takes most of the time."""
    monkeypatch.setattr(printed_pictures, "FRONT_PX", 60)
    monkeypatch.setattr(printed_pictures, "CUT_PX", 40)


# The model, and who may look past it


def _named_in(kind: object) -> Iterator[type]:
    """The classes that a type is put together of, and those of the fields of these."""
    if typing.get_origin(kind) is typing.Literal:
        return
    for one in typing.get_args(kind):
        yield from _named_in(one)
    if isinstance(kind, type) and not isinstance(kind, types.GenericAlias):
        yield kind
        if dataclasses.is_dataclass(kind) and kind is not seen.CommentSaid:
            for one in typing.get_type_hints(kind).values():
                yield from _named_in(one)


def test_no_record_and_no_view_of_a_noun_is_in_the_model() -> None:
    """For these have private fields, which a template could then show."""
    found = {*_named_in(seen.Outside), *typing.get_type_hints(seen.CommentSaid).values()}
    classes = {one for one in found if isinstance(one, type)}
    assert {seen.MadeOf, seen.ShownReference, seen.HandedOver, LineDrawing, Stroke} <= classes
    assert not [one for one in classes if issubclass(one, Base | Desk)]
    views = {one for one in classes if issubclass(one, BaseModel)}
    assert views == {ColourView, PictureView}  # values, of no noun
    assert Credit in classes
    assert {date, datetime} <= classes


def test_every_kind_that_can_be_marked_private_is_known_to_be() -> None:
    assert {*privacy.MARKED} == {one for one in BY_KIND.values() if hasattr(one, "private")}


@pytest.mark.parametrize("module", MADE_OF_IT, ids=lambda one: one.__name__)
def test_nobody_who_writes_it_out_reads_the_store(module: types.ModuleType) -> None:
    """Beside the imports, which tests/test_layers.py looks at: not by way of the scope either."""
    tree = ast.parse(Path(module.__file__ or "").read_text(encoding="utf-8"))
    names = {one.attr for one in ast.walk(tree) if isinstance(one, ast.Attribute)}
    assert "label" in names
    assert names & {"desk", "live", "session", "brief", "page", "scalars"} == set()


# What leaves


@fixture_once
def kept(client, brief, make, send, picture) -> dict:
    """A brief in which colours out of a private picture are the target of a part and in a
    question."""
    here = {"brief_id": brief["id"]}
    motif = make("motifs", **here, name="Reed bed", says="All leaning one way.")
    (brooch,) = send(("brooch.png", picture((150, 20, 40)))).json()
    facts = {"title": HEIRLOOM, "rights": ZERO, "private": True, "motif_ids": [motif["id"]]}
    client.patch(f"/api/references/{brooch['id']}", json=facts, headers=ANY).raise_for_status()
    palette = make("palettes", reference_id=brooch["id"], colours=1)
    of_it = {"palette_id": palette["id"], "palette_index": 0, "motif_id": motif["id"]}
    garnet = make("swatches", **here, **of_it, name=GARNET)
    straw = make("swatches", **here, name="Straw", colour="Lab 80 2 30", motif_id=motif["id"])
    pieces = [
        make("materials", label=label, reading=reading)
        for label, reading in (("Walnut", "Lab 30 9 15"), ("Maple", "Lab 80 3 20"))
    ]
    asked = client.get("/api/parts", params={**here, "limit": 50}).json()["items"]
    for role, piece in (("top", pieces[0]), ("back", pieces[1])):
        part = next(one for one in asked if one["role"] == role)
        said = {"material_id": piece["id"], "swatch_id": garnet["id"]}
        client.patch(f"/api/parts/{part['id']}", json=said, headers=ANY).raise_for_status()
    make("pairings", **here, ground_id=pieces[0]["id"], inlay_id=pieces[1]["id"])
    make("questions", **here, text="Which red?", choices=[garnet["id"], straw["id"]])
    about = {"about_kind": "reference", "about_id": brooch["id"]}
    make("comments", **here, **about, author="Ines", text=TALE)
    return {"brooch": brooch, "brief": brief}


def _words(answer) -> str:
    assert answer.status_code == 200, answer.text
    if answer.headers["content-type"] == "application/pdf":
        with pdfium.PdfDocument(answer.content) as document:
            return " ".join(
                " ".join(page.get_textpage().get_text_bounded().split()) for page in document
            )
    return unescape(re.sub(r"data:[^\"')]+", "", answer.text))


@pytest.fixture
def leaving(client, make, kept):
    """All that others get of the brief, in words, by its name."""
    at = f"/api/briefs/{kept['brief']['id']}"
    sheets = ["theme", "references", "spec", "pairings", "questions", "comments"]

    def asked() -> dict[str, str]:
        link = make("shares", brief_id=kept["brief"]["id"], name="Ines", sheets=sheets)["address"]
        addresses = {
            "link": link,
            "strands by the link": f"{link}/strands.pdf",
            "file by mail": f"{at}/for-comment.html?{'&'.join(f'sheets={one}' for one in sheets)}",
            "booklet": f"{at}/booklet.pdf?comments=true",
            "card": f"{at}/card.pdf",
            "strands": f"{at}/strands.pdf",
            "comments": f"{at}/comment-file?leave_out=private",
        }
        return {name: _words(client.get(one)) for name, one in addresses.items()}

    return asked


def test_nothing_of_a_private_picture_leaves_by_any_way(client, kept, leaving) -> None:
    """Nor a colour that was pulled out of it: not as a colour of the theme, not as what a part is
    to match, not in a sentence on the whole instrument, not in a question."""
    for name, words in leaving().items():
        for private in (HEIRLOOM, GARNET, TALE, "Which red?"):
            assert private not in words, name
    at = f"/api/references/{kept['brooch']['id']}"
    client.patch(at, json={"private": False}, headers=ANY).raise_for_status()
    shown = leaving()
    for name in ("link", "strands by the link", "file by mail", "booklet", "strands"):
        assert GARNET in shown[name], name
    for name in ("link", "file by mail", "booklet", "comments"):
        assert TALE in shown[name], name
    assert "Which red?" in shown["link"]


def test_the_maker_is_told_why_such_a_question_is_not_asked(client, kept) -> None:
    page = client.get(f"/briefs/{kept['brief']['id']}/comments").text
    assert f"“{GARNET}” is out of a picture that is private" in unescape(page)


def test_the_maker_has_all_of_it_on_their_own_wall(client, kept) -> None:
    at = f"/api/briefs/{kept['brief']['id']}/strands.pdf"
    assert GARNET in _words(client.get(at, params={"for_whom": "me"}))


def test_a_guest_does_not_learn_what_a_lost_file_was_called(
    client, make, kept, store, spoil, home
) -> None:
    """The maker does, who can then look for it."""
    at = f"/api/references/{kept['brooch']['id']}"
    client.patch(at, json={"private": False}, headers=ANY).raise_for_status()
    spoil(store, kept["brooch"]["picture"]["sha256"], lambda place: place.unlink())
    here = {"brief_id": kept["brief"]["id"]}
    link = make("shares", **here, name="Ines", sheets=["theme", "references"])["address"]
    said = _words(client.get(f"{link}/strands.pdf"))
    assert "Some picture files are missing or damaged." in said
    assert "brooch.png" not in said
    own = _words(client.get(f"/api/briefs/{here['brief_id']}/strands.pdf"))
    assert "brooch.png" in own


def test_what_a_link_never_shows_is_on_what_a_maker_hands_over(client, make, kept) -> None:
    """For whom it is made, and when it is to be ready."""
    brief_id = kept["brief"]["id"]
    said = {"show": "The autumn fair", "wanted_by": "2031-09-01"}
    client.patch(f"/api/briefs/{brief_id}", json=said, headers=ANY).raise_for_status()
    link = make("shares", brief_id=brief_id, name="Ines", sheets=["theme", "spec"])["address"]
    for name in ("booklet", "strands"):
        words = _words(client.get(f"/api/briefs/{brief_id}/{name}.pdf"))
        assert "The autumn fair" in words, name
        assert says(words, "2031"), name
    for address in (link, f"{link}/strands.pdf"):
        words = _words(client.get(address))
        assert "The autumn fair" not in words
        assert not says(words, "2031")
