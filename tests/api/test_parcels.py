"""A whole brief as one zip: out, and into an empty home, one that has it, and one that differs."""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import unquote

import jsonschema
import pytest
from sqlalchemy import select

from brief.services import nouns
from brief.services.history.parcels.gathering import pack
from brief.services.history.row_codec import kinds, links
from brief.services.sheets import SHEETS
from brief.store.desk import Store
from brief.store.records import Base, Image, Record
from tests.api.once import fixture_once

ANY = {"If-Match": "*"}


@fixture_once
def full(client, brief, one_of, make) -> dict:
    """A brief with one of every noun, all of which it uses; one comment lies in the bin."""
    made = {noun.many: one_of(noun.many) for noun in nouns.NOUNS}
    part = {"role": "top", "material_id": made["finish-tests"]["material_id"]}
    make("parts", brief_id=brief["id"], **part, swatch_id=made["swatches"]["id"])
    make("parts", brief_id=brief["id"], role="back", material_id=made["photographs"]["material_id"])
    own = {"kind": made["kinds"]["id"]}
    assert client.patch(f"/api/briefs/{brief['id']}", json=own, headers=ANY).status_code == 200
    motif = made["motifs"]["id"]
    at = f"/api/references/{made['references']['id']}"
    client.patch(at, json={"motif_ids": [motif], "private": True}, headers=ANY)
    reply = {"about_kind": "brief", "about_id": brief["id"], "reply_to": made["comments"]["id"]}
    make("comments", brief_id=brief["id"], **reply, text="<b>darker</b> & “wet”")
    gone = make("motifs", brief_id=brief["id"], name="smoke")
    client.delete(f"/api/motifs/{gone['id']}", headers=ANY)
    return made


@pytest.fixture
def take(client, brief) -> Callable[[], bytes]:
    """The brief's zip."""

    def taken(brief_id: str = brief["id"]) -> bytes:
        answer = client.get(f"/api/briefs/{brief_id}/parcel.zip")
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"] == "application/zip"
        return answer.content

    return taken


@pytest.fixture
def bring(client) -> Callable[[bytes], object]:
    return lambda data: client.post("/api/parcels", files={"file": ("a.zip", data)})


@pytest.fixture
def elsewhere(app, tmp_path: Path, empty_database: Path) -> Iterator[Store]:
    """An empty home, which the app serves from here on."""
    home = tmp_path / "elsewhere"
    home.mkdir()
    shutil.copy(empty_database, home)
    opened = Store(home)
    yield opened
    opened.close()


def rows_of(store: Store) -> dict[str, list]:
    """All records as the tables have them, and the bytes of each picture."""
    with store.desk() as desk:
        found = {
            table.name: sorted(map(repr, desk.session.execute(select(table)).all()))
            for table in Base.metadata.sorted_tables
        }
        pictures = desk.session.scalars(select(Image.sha256)).all()
        found["bytes"] = [desk.images.path(one).read_bytes() for one in sorted(pictures)]
    return found


REGISTER = ("Doing", "HandedIn", "Invitation", "Loan", "Maker", "Member", "Workshop")


def test_every_table_says_whether_it_travels() -> None:
    """A table that is added joins by itself; that of a secret says `travels = False`."""
    classes = {mapper.class_ for mapper in Base.registry.mappers}
    records = {one for one in classes if issubclass(one, Record)}
    # What is no record is the house's own, not a brief's.
    assert {one.__name__ for one in classes - records} == {
        "Board",
        "Home",
        "Image",
        "Passphrase",
        "SignIn",
        *REGISTER,
    }
    staying = {one.__tablename__ for one in [*records, *classes - records]} - {
        one.__tablename__ for one in records if one.travels
    }
    secret = {"shares", "calendar_links", "attachments"}  # which may be somebody's passport
    of_others = {"stocks", "boards"}
    register = {one.__tablename__ for one in classes if one.__name__ in REGISTER}
    assert staying == {"homes", "images", "passphrases", "sign_ins"} | secret | of_others | register
    assert {table.replace("_", "-") for table in set(Base.metadata.tables) - staying} == {
        *kinds(),
        *links(),
    }


def test_a_brief_goes_into_an_empty_home_record_by_record_and_byte_by_byte(
    app, store, elsewhere, full, take, bring, brief
) -> None:
    parcel = take()
    before = rows_of(store)
    app.state.store = elsewhere
    answer = bring(parcel)
    assert answer.status_code == 201, answer.text
    assert answer.json()["outcome"] == "new"
    assert answer.json()["brief_id"] == brief["id"]
    after = rows_of(elsewhere)
    # What hangs on no piece that the brief uses stays where it is.
    arrived = pack_of(elsewhere, brief["id"])
    assert set(arrived.records) == set(kinds())
    used = {row["id"] for _, row in arrived.rows()}
    for name, kind in kinds().items():
        kept = [row for row in before[kind.table.name] if any(one in row for one in used)]
        assert after[kind.table.name] == kept, name
    assert after["reference_motifs"] == before["reference_motifs"]
    assert set(after["bytes"]) <= set(before["bytes"])
    assert after["bytes"]
    assert take() == parcel


def pack_of(store: Store, brief_id: str):
    with store.desk() as desk:
        return pack(desk, brief_id)


def test_the_document_keeps_to_the_schema_that_is_published_and_that_it_names(
    client, full, take
) -> None:
    """By jsonschema, an implementation of JSON Schema 2020-12."""
    packed = zipfile.ZipFile(io.BytesIO(take()))
    document = json.loads(packed.read("brief.json"))
    published = client.get("/api/parcels/schema.json").json()
    assert json.loads(packed.read(document["$schema"])) == published
    jsonschema.Draft202012Validator.check_schema(published)
    judge = jsonschema.Draft202012Validator(published)
    judge.validate(document)
    for spoilt in (
        document | {"version": 2},
        document | {"records": document["records"] | {"spells": []}},
        document | {"records": document["records"] | {"briefs": [{"id": "7"}]}},
    ):
        assert not judge.is_valid(spoilt)
    assert set(published["properties"]["records"]["properties"]) == set(kinds())


def test_its_file_is_named_in_any_script(client, make) -> None:
    """RFC 8187, 3.2."""
    named = {"אור ראשון": "אור-ראשון", "Ebbe & Flut/2": "ebbe-flut-2", "🪶": "brief"}
    for title, name in named.items():
        brief = make("briefs", title=title)
        answer = client.get(f"/api/briefs/{brief['id']}/parcel.zip")
        said = answer.headers["content-disposition"]
        assert unquote(said) == f"attachment; filename*=UTF-8''{name}.brief.zip"


def test_what_is_here_already_is_not_doubled(store, full, take, bring, brief) -> None:
    parcel = take()
    before = rows_of(store)
    answer = bring(parcel)
    assert answer.status_code == 200
    assert answer.json()["records"] == 0
    assert answer.json()["said"] == (
        "“Saltmarsh” is here already, and nothing in it differs; nothing was added."
    )
    assert rows_of(store) == before


def test_what_an_earlier_version_froze_is_not_taken_for_a_change(
    client, store, make, bring, brief
) -> None:
    """Its revision has no columns that are younger, and prices as numbers."""
    revision = make("revisions", brief_id=brief["id"], note="as of then")
    with store.desk(writing=True) as desk:
        record = nouns.revisions.get(desk, revision["id"])
        document = json.loads(json.dumps(record.document))
        for row in document["records"]["briefs"]:
            for younger in (
                "overhead",
                "hour_rate",
                "caption",
                "outline_doubt_mm",
                "outline_edition",
            ):
                del row[younger]
        record.document = document
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    assert bring(packed).json()["outcome"] == "here"


@pytest.mark.slow
def test_a_brief_that_has_changed_here_comes_in_beside_it_with_its_whole_thread(
    client, store, full, take, bring, brief
) -> None:
    parcel = take()
    old = pack_of(store, brief["id"])
    client.patch(f"/api/motifs/{full['motifs']['id']}", json={"says": "dry"}, headers=ANY)
    before = rows_of(store)
    answer = bring(parcel)
    assert answer.status_code == 201
    assert answer.json()["outcome"] == "copy"
    assert "which now stands beside it as “Saltmarsh (brought in)”" in answer.json()["said"]
    assert "pieces already on the rack." in answer.json()["said"]
    new = pack_of(store, answer.json()["brief_id"])
    assert new.title == "Saltmarsh (brought in)"
    # The same but for ids: put the old ones back, by the order of making, and nothing differs.
    back = {
        theirs["id"]: ours["id"]
        for name in kinds()
        for ours, theirs in zip(old.records[name], new.records[name], strict=True)
    }
    moved = {new_id for new_id, old_id in back.items() if new_id != old_id}
    owned = [name for name in kinds() if "brief_id" in kinds()[name].columns]
    assert moved >= {row["id"] for name in owned for row in new.records[name] if row["brief_id"]}
    text = new.model_dump_json(by_alias=True)
    for new_id, old_id in back.items():
        text = text.replace(new_id, old_id)
    assert text.replace(" (brought in)", "") == old.model_dump_json(by_alias=True)
    # What was here is as it was.
    after = rows_of(store)
    assert all(set(before[table]) <= set(after[table]) for table in before if table != "bytes")
    assert after["materials"] == before["materials"]
    assert client.get(f"/briefs/{new.brief_id}/revisions").status_code == 200
    again = bring(parcel)
    assert (again.status_code, again.json()["records"]) == (200, 0)
    assert "is here already as “Saltmarsh (brought in)”" in again.json()["said"]
    assert rows_of(store) == after


@pytest.mark.slow
def test_a_piece_that_has_changed_here_comes_in_beside_it_and_the_brief_with_it(
    client, store, full, take, bring, brief
) -> None:
    parcel = take()
    piece = full["finish-tests"]["material_id"]
    client.patch(f"/api/materials/{piece}", json={"price": 40}, headers=ANY)
    answer = bring(parcel)
    assert answer.json()["outcome"] == "copy"
    assert "walnut on the rack differs: added again as “…" in answer.json()["said"]
    labels = [one["label"] for one in client.get("/api/materials").json()["items"]]
    assert labels.count("walnut (brought in)") == 1
    new = pack_of(store, answer.json()["brief_id"])
    assert piece not in {row["id"] for row in new.records["materials"]}
    copied = next(row for row in new.records["materials"] if row["label"].endswith("(brought in)"))
    (test,) = [row for row in new.records["finish-tests"] if row["material_id"] == copied["id"]]
    shots = {row["id"]: row["material_id"] for row in new.records["photographs"]}
    assert shots[test["before_id"]] == shots[test["after_id"]] == copied["id"]
    assert client.get(f"/briefs/{new.brief_id}/timber/{copied['id']}").status_code == 200
    assert bring(parcel).json()["records"] == 0


def test_another_brief_that_uses_the_same_pieces_stays_out_of_it(
    client, make, full, take, brief
) -> None:
    other = make("briefs", title="High moor")
    piece = full["finish-tests"]["material_id"]
    make("parts", brief_id=other["id"], role="top", material_id=piece, name="of the moor")
    said = {"brief_id": other["id"], "about_kind": "material", "about_id": piece}
    make("comments", **said, text="of the moor")
    document = zipfile.ZipFile(io.BytesIO(take())).read("brief.json").decode()
    assert other["id"] not in document
    assert "of the moor" not in document


def test_a_brief_from_the_offcuts_bin_comes_in_anew(client, brief, take, bring) -> None:
    parcel = take()
    client.delete(f"/api/briefs/{brief['id']}", headers=ANY)
    answer = bring(parcel).json()
    assert answer["said"] == (
        "“Saltmarsh” lies in the offcuts bin here; what came stands on the shelf as "
        "“Saltmarsh (brought in)”."
    )
    assert client.get(f"/api/briefs/{answer['brief_id']}").status_code == 200


def test_a_question_between_two_briefs_stays_at_home(client, make, brief, take, bring) -> None:
    other = make("briefs", title="High moor")
    ids = [brief["id"], other["id"]]
    asked = make("questions", brief_id=brief["id"], text="Which next?", choices=ids)
    make("answers", question_id=asked["id"], choice=1)
    parcel = take()
    document = json.loads(zipfile.ZipFile(io.BytesIO(parcel)).read("brief.json"))
    assert set(document["records"]) == {"briefs", "parts"}
    assert bring(parcel).json()["outcome"] == "here"
    make("revisions", brief_id=brief["id"])


def test_a_question_on_revisions_goes_along_but_into_none(
    app, client, make, brief, elsewhere, take, bring
) -> None:
    ids = []
    for name in ("reed", "mud"):
        make("motifs", brief_id=brief["id"], name=name)
        ids.append(make("revisions", brief_id=brief["id"])["id"])
    asked = make("questions", brief_id=brief["id"], text="Which?", choices=ids)
    make("motifs", brief_id=brief["id"], name="smoke")
    make("revisions", brief_id=brief["id"])
    parcel = take()
    app.state.store = elsewhere
    assert bring(parcel).status_code == 201
    choices = client.get(f"/api/questions/{asked['id']}").json()["choices"]
    assert [one["label"] for one in choices] == ["Rev A", "Rev B"]
    assert client.get(f"/briefs/{brief['id']}/comments").status_code == 200


def test_without_the_brief_or_a_file_it_is_said(client, refused) -> None:
    refused(client.get("/api/briefs/nowhere/parcel.zip"), 404, "not_found", "no brief “nowhere”")
    refused(client.post("/api/parcels"), 422, "bad_input", "Fill this in", pointer="/file")


def test_a_parcel_of_the_first_form_is_read_for_good(client, bring) -> None:
    """As version 0.1.0 wrote it: a column that is added later must say what it was before."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as packed:
        packed.write(Path(__file__).with_name("form_1.json"), "brief.json")
    answer = bring(target.getvalue())
    assert answer.status_code == 201, answer.text
    at = f"/briefs/{answer.json()['brief_id']}"
    for sheet in (*(one.key for one in SHEETS), "revisions"):
        assert client.get(f"{at}/{sheet}").status_code == 200, sheet
    assert "green, in May" in client.get(f"{at}/revisions").text
