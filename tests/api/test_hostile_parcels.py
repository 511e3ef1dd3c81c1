"""Zips that nobody packed with this program: each is refused in words, and changes nothing."""

from __future__ import annotations

import io
import json
import stat
import struct
import zipfile
from collections.abc import Callable

import pytest
from PIL import Image

from brief.services import nouns
from brief.services.feedback.questions import AnswerDraft, QuestionDraft
from brief.services.instrument.inlays.draft import InlayDraft
from brief.services.instrument.kinds import KindDraft
from brief.services.pairing.pairings import PairingDraft
from brief.services.rack.piece_views import MaterialDraft
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.notes import NoteDraft
from brief.services.theme.palettes import SwatchDraft
from brief.services.theme.references import ReferenceFacts
from brief.services.transfer import zip_files
from brief.store.desk import Store

MOULD = b"""<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="500mm"
viewBox="0 0 400 500"><ellipse cx="200" cy="250" rx="170" ry="230"/></svg>"""


@pytest.fixture(scope="module")
def members(tmp_path_factory) -> dict[str, bytes]:
    """What is in a good zip of a brief with a picture, a note and a pairing, by name."""
    reeds = io.BytesIO()
    Image.new("RGB", (48, 32), (142, 138, 106)).save(reeds, "PNG")
    store, target = Store(tmp_path_factory.mktemp("packed")), io.BytesIO()
    with store.desk(writing=True) as desk:
        brief_id = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh")).id
        facts = ReferenceFacts()
        nouns.references.add_picture(desk, brief_id, "reeds.png", reeds.getvalue(), facts)
        pieces = [
            nouns.materials.add(desk, MaterialDraft(label=label, reading=reading)).id
            for label, reading in (("walnut", "Lab 30 9 15"), ("shell", "Lab 88 0 3"))
        ]
        pairing = PairingDraft(brief_id=brief_id, ground_id=pieces[0], inlay_id=pieces[1])
        nouns.pairings.add(desk, pairing)
        nouns.swatches.add(desk, SwatchDraft(brief_id=brief_id, colour="#2f6f62"))
        note = NoteDraft(about_kind="brief", about_id=brief_id, text="ask about the case")
        nouns.notes.add(desk, note)
        nouns.inlays.add(desk, InlayDraft(brief_id=brief_id, name="dot", shape="dot", frets=[12]))
        nouns.tracings.add_file(desk, brief_id, "mould.svg", MOULD)
        question = QuestionDraft(brief_id=brief_id, text="Which?", choices=pieces)
        asked = nouns.questions.add(desk, question)
        nouns.answers.add(desk, AnswerDraft(question_id=asked.id, choice=0))
        own = nouns.kinds.add(desk, KindDraft(brief_id=brief_id, name="Small parlour"))
        change = nouns.briefs.change_model(kind=own.id)
        nouns.briefs.change(desk, brief_id, "*", change)
        zip_files.write_parcel(desk, brief_id, target)
    store.close()
    packed = zipfile.ZipFile(target)
    return {name: packed.read(name) for name in packed.namelist()}


@pytest.fixture
def turned_away(client, on_disk, refused) -> Callable[..., dict]:
    """Check that a zip is refused, and that nothing is other than before."""

    def checked(data: bytes, detail: str, status: int = 422, code: str = "bad_parcel") -> dict:
        before = on_disk()
        answer = client.post("/api/parcels", files={"file": ("brief.zip", data)})
        body = refused(answer, status, code, f"(?i){detail}", pointer="/file")
        assert on_disk() == before
        return body

    return checked


def zipped(members: dict[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", how) as packed:
        for name, data in members.items():
            packed.writestr(name, data)
    return target.getvalue()


def picture_of(members: dict[str, bytes]) -> str:
    return next(name for name in members if name.startswith("images/"))


def with_document(members: dict[str, bytes], change: Callable[[dict], object]) -> bytes:
    document = json.loads(members["brief.json"])
    change(document)
    return zipped(members | {"brief.json": json.dumps(document).encode()})


def test_the_good_one_is_taken(client, members) -> None:
    data = with_document(members, lambda document: None)
    answer = client.post("/api/parcels", files={"file": ("brief.zip", data)})
    assert answer.status_code == 201, answer.text


@pytest.mark.parametrize(
    ("name", "detail"),
    [
        ("../../evil.txt", "“../../evil.txt” names a place outside"),
        ("images/../../evil.jpg", "names a place outside"),
        ("/etc/passwd", "“/etc/passwd” names a place outside"),
        ("C:\\evil.txt", "names a place outside"),
        ("C:evil.txt", "names a place outside"),
        ("images\\evil.jpg", "names a place outside"),
        ("\\\\server\\share", "names a place outside"),
        ("more/", "“more/” has no place"),
        ("inner.zip", "“inner.zip” has no place"),
        ("images/" + "0" * 64 + ".jpg", "has no place"),
        ("images/evil.svg", "has no place"),
        ("a" * 3000, "“aaaa.*…” has no place"),
        ("\u202egpj.exe", "“gpj.exe” has no place"),
    ],
)
def test_a_name_that_the_document_does_not_call_for(members, turned_away, name, detail) -> None:
    turned_away(zipped(members | {name: b"x"}), detail)


def test_a_name_with_more_behind_its_end(members, turned_away) -> None:
    data = zipped(members | {"evil.txt0.jpg": b"x"}).replace(b"evil.txt0", b"evil.txt\0")
    turned_away(data, "names a place outside")


def test_a_link_a_lock_and_a_strange_packing(members, turned_away) -> None:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w") as packed:
        for name, data in members.items():
            member = zipfile.ZipInfo(name)
            if name.startswith("images/"):
                member.external_attr = (stat.S_IFLNK | 0o777) << 16
                data = b"/etc/passwd"
            packed.writestr(member, data)
    turned_away(target.getvalue(), "is a link or no file")
    good = zipped(members)
    start = good.index(b"PK\1\2")
    locked = good[: start + 8] + b"\1\0" + good[start + 10 :]
    turned_away(locked, "locked with a password")
    turned_away(zipped(members, zipfile.ZIP_LZMA), "packed in a way that is not read")


def test_a_name_that_comes_twice(members, turned_away) -> None:
    target = io.BytesIO(zipped(members))
    with (
        pytest.warns(UserWarning, match="Duplicate name"),
        zipfile.ZipFile(target, "a") as packed,
    ):
        packed.writestr("brief.json", b"{}")
    turned_away(target.getvalue(), "“brief.json” stands in it twice")


def test_bombs(members, turned_away, monkeypatch) -> None:
    image = picture_of(members)
    turned_away(
        zipped(members | {image: bytes(40_000_000)}), "unpack to more.*40,000,000", 413, "too_large"
    )
    turned_away(
        zipped(members | {"brief.json": b" " * 30_000_000}), "unpack to more", 413, "too_large"
    )
    many = zipped({f"{n}": b"" for n in range(zip_files.MOST_MEMBERS + 1)})
    turned_away(many, "5001 things", 413, "too_large")
    nested = zipped(members | {image: zipped({"a": bytes(900_000)})})
    turned_away(nested, "not the one that was packed")
    monkeypatch.setattr(zip_files, "MOST_BYTES", 1000)
    turned_away(zipped(members), "more than 4 GB", 413, "too_large")


def test_a_bomb_that_says_it_is_small(members, turned_away) -> None:
    """The listing promises 9 bytes where 3,000,000 come out."""
    data = bytearray(zipped({**members, "brief.json": b"[" * 3_000_000}))
    at = data.index(b"PK\1\2")
    while not data[at + 46 :].startswith(b"brief.json"):
        at = data.index(b"PK\1\2", at + 1)
    data[at + 24 : at + 28] = struct.pack("<L", 9)
    turned_away(bytes(data), "damaged or cut short|cannot be read as JSON")


def test_parts_that_lie_upon_each_other(members, turned_away) -> None:
    """As in D. Fifield, A better zip bomb, WOOT 2019: one kernel of data, many names."""
    data = bytearray(zipped(members))
    first = data.index(b"PK\1\2")
    second = data.index(b"PK\1\2", first + 1)
    data[second + 42 : second + 46] = data[first + 42 : first + 46]
    turned_away(bytes(data), "lie upon each other|damaged")


def test_half_files_and_what_is_no_zip(members, turned_away) -> None:
    good = zipped(members)
    for part in (
        good[: len(good) // 2],
        good[:-1],
        good[100:],
        b"",
        b"a shopping list",
        good + b"x",
    ):
        turned_away(part, "no whole zip|damaged|beginning of this zip")
    flipped = bytearray(zipped(members, zipfile.ZIP_STORED))
    flipped[flipped.index(b'"title"') + 3] ^= 0xFF
    turned_away(bytes(flipped), "damaged or cut short")
    with_comment = io.BytesIO(good)
    with zipfile.ZipFile(with_comment, "a") as packed:
        packed.comment = b"PK\5\6" + bytes(30)
    turned_away(with_comment.getvalue(), "no whole zip")
    forged = good[:-22] + b"PK\6\7" + bytes(16) + good[-22:]
    turned_away(forged, "not written by this program")


def test_a_picture_that_is_missing_or_another(members, turned_away, picture) -> None:
    image = picture_of(members)
    turned_away(zipped({k: v for k, v in members.items() if k != image}), "is missing from it")
    turned_away(zipped(members | {image: picture((1, 2, 3))}), "not the one that was packed")
    turned_away(zipped({k: v for k, v in members.items() if k != "brief.json"}), "no brief.json")


def _record(several: str, **fields: object) -> Callable[[dict], None]:
    return lambda document: document["records"][several][0].update(fields)


ELSEWHERE = "01JD8Q5Z7M3K2V9X4T6R8W0Y1B"


@pytest.mark.parametrize(
    ("change", "detail"),
    [
        (lambda d: d.update(version=2), "newer version.*form 2"),
        (lambda d: d.update(version="1"), "which version"),
        (lambda d: d.pop("version"), "which version"),
        (lambda d: d.update(version=True), "which version"),
        (lambda d: d.update(spells=[]), "not as this program writes it, at “spells”"),
        (lambda d: d.pop("images"), "images/.* has no place"),
        (lambda d: d["records"].update(spells=[]), "“spells”, which this version.*not know"),
        (lambda d: d["links"].update(spells=[]), "“spells”, which this version.*not know"),
        (lambda d: d["records"].update(briefs=[]), "must hold one brief"),
        (lambda d: d.update(brief_id=ELSEWHERE), "must hold one brief"),
        (_record("notes", colour="red"), "“colour” of its notes, which this version"),
        (_record("notes", about_kind="spell"), "notes on “spell”, which this version"),
        (_record("notes", about_id=ELSEWHERE), "points at what is not in it"),
        (_record("notes", brief_id=ELSEWHERE), "points at what is not in it"),
        (_record("notes", id="../../evil"), "notes is not as this program writes it: id"),
        (_record("notes", id="'><script>"), "notes is not as this program writes it: id"),
        (_record("notes", version=2**70), "notes is not.*version"),
        (_record("notes", created_utc="yesterday"), "created_utc"),
        (_record("notes", created_utc="0001-01-01T00:00:00+14:00"), "created_utc"),
        (_record("references", image_sha256="ab" * 32), "not listed"),
        (_record("references", image_sha256="../" * 20), "references is not.*image_sha256"),
        (_record("references", rights="javascript:alert(1)"), r"\(rights\)"),
        (_record("references", title="a\u202eb"), r"reference.*\(title\)"),
        (_record("references", title="a" * 201), "references is not.*title"),
        (_record("briefs", kind="spinet"), r"brief.*\(kind\)"),
        (_record("briefs", numbers={"scale_mm": 1e9}), "brief.* numbers"),
        (_record("briefs", title=""), "no name"),
        (_record("materials", lab=[1, 2]), "material.* lab"),
        (_record("materials", lab=["<b>", 2, 3]), "material.* lab"),
        (_record("materials", stuff="gold dust"), r"material.*\(stuff\)"),
        (_record("materials", cells=[[1, 2, 3, -1]]), "material.* cells"),
        (_record("materials", region="left half"), "material.* region"),
        (_record("inlays", path="M0 0L<script>"), "inlay"),
        (_record("inlays", path="M0 0" + "L1 1" * 9), "inlay"),
        (_record("inlays", lies_on="moon"), r"inlay.*\(lies_on\)"),
        (_record("inlays", frets=["<b>"]), "inlay"),
        (_record("inlays", measured={}), "inlay"),
        (_record("inlays", width_mm=1e9), "inlay"),
        (_record("tracings", findings={}), "tracing"),
        (
            _record("tracings", findings={"notes": [], "problem": "", "curve": ["<b>"]}),
            "tracing",
        ),
        (_record("kinds", drawing={}), "brief in it|its kinds"),
        (_record("kinds", parts=[{"role": 7}]), "kind"),
        (_record("answers", choice=7), r"answer.*\(choice\)"),
        (_record("answers", choice=-1), r"answer.*\(choice\)"),
        (_record("answers", before=2), r"answer.*\(before\)"),
        (
            _record("questions", choices=[{"kind": "pairing", "id": "<b>"}]),
            "points at what is not|its questions",
        ),
        (_record("questions", choices=[]), "question"),
        (_record("briefs", outline=[[1, "<b>"]]), "brief.* outline"),
        (_record("parts", laying={"centre": "<b>"}), "part.* laying"),
        (_record("pairings", line_mm=1e300), "pairing.* line_mm"),
        (_record("swatches", lab=None), "swatches is not|could not have been made"),
        (lambda d: d["images"][0].update(media_type="text/html"), "kind that is not read here"),
        (lambda d: d["images"][0].update(media_type="image/jpeg"), "is missing from it|no place"),
        (lambda d: d["images"][0].update(width_px=7), "not what it says it is"),
        (lambda d: d["images"][0].update(name="a\x07b"), "no name that can be shown"),
        (lambda d: d["images"].append(d["images"][0]), "listed twice"),
        (lambda d: d["records"]["notes"].append(d["records"]["notes"][0]), "stands for two things"),
        (
            lambda d: d["records"]["notes"][0].update(id=d["records"]["materials"][0]["id"]),
            "stands for two things",
        ),
    ],
)
def test_a_document_that_this_program_would_not_write(members, turned_away, change, detail) -> None:
    turned_away(with_document(members, change), detail)


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"[]",
        b"null",
        b"{",
        b'{"version": 1}',
        b"[" * 100_000,
        b'{"version": 1, "brief_id": NaN}',
        b'{"version": 1, "program": "\\ud800"}',
        b'{"version": 1e999}',
        b"\xff\xfe",
    ],
)
def test_a_document_that_is_no_json_of_ours(members, turned_away, text) -> None:
    turned_away(zipped(members | {"brief.json": text}), "brief.json")


def test_numbers_without_end_are_refused_wherever_they_stand(members, turned_away) -> None:
    text = members["brief.json"].replace(b'"lab": [', b'"lab": [1e999, ')
    assert text != members["brief.json"]
    turned_away(zipped(members | {"brief.json": text}), "lab is missing or of another kind|JSON")


def test_markup_comes_in_as_the_text_that_it_is(client, members) -> None:
    """It is escaped on every sheet, as whatever is typed is."""
    evil = "<img src=x onerror=alert(1)>\"'{{ 7 * 7 }}"

    def marked(document: dict) -> None:
        document["records"]["briefs"][0].update(title=evil, theme=evil)
        for kind, field in (("notes", "text"), ("references", "title"), ("materials", "label")):
            document["records"][kind][0][field] = evil

    data = with_document(members, marked)
    answer = client.post("/api/parcels", files={"file": ("brief.zip", data)})
    assert answer.status_code == 201, answer.text
    at = f"/briefs/{answer.json()['brief_id']}"
    for page in ("/", f"{at}/theme", f"{at}/references", f"{at}/timber", f"{at}/pairings"):
        shown = client.get(page).text
        assert "<img src=x" not in shown
        assert "&lt;img src=x" in shown
        assert "49" not in shown.split("onerror=")[1][:40]


@pytest.mark.parametrize(
    "choices",
    [7, [], [7, 8], ["a", "b"], [{"kind": "part", "id": "x"}] * 2, [{"id": "x"}, {"id": "y"}]],
)
def test_a_question_must_put_things_side_by_side(members, turned_away, choices) -> None:
    def ask(document: dict) -> None:
        of = document["records"]["briefs"][0]
        asked = {name: of[name] for name in ("version", "created_utc", "changed_utc")} | {
            "id": "01JD8Q5Z7M3K2V9X4T6R8W0Y1A",
            "brief_id": of["id"],
            "text": "Which?",
            "choices": choices,
            "state": "open",
        }
        document["records"]["questions"] = [asked]

    turned_away(with_document(members, ask), "question|choices")


def test_what_is_shown_of_a_photograph_holds_wood_that_was_measured(
    client, make, brief, picture, turned_away
) -> None:
    """The figure of a ground that only a pairing uses is worked out when that is looked at."""
    piece = client.post(
        "/api/materials/pictures", files=[("files", ("walnut.png", picture(), "image/png"))]
    ).json()[0]["id"]
    (shot,) = client.get("/api/photographs", params={"material_id": piece}).json()["items"]
    outlined = {"selections": ["xywh=percent:5,5,50,50"]}
    scale = {"scale_points": "10,20 90,20", "scale_mm": 100}
    at = f"/api/photographs/{shot['id']}"
    assert client.patch(at, json=outlined | scale, headers={"If-Match": "*"}).status_code == 200
    shell = make("materials", label="shell", reading="Lab 88 0 3")
    make("pairings", brief_id=brief["id"], ground_id=piece, inlay_id=shell["id"])
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip").content
    good = client.post("/api/parcels", files={"file": ("brief.zip", packed)})
    assert good.json()["outcome"] == "here"
    opened = zipfile.ZipFile(io.BytesIO(packed))
    whole = {name: opened.read(name) for name in opened.namelist()}

    def elsewhere(document: dict) -> None:
        (photograph,) = document["records"]["photographs"]
        photograph["findings"]["where"]["shown"] = "xywh=percent:60,60,30,30"

    turned_away(with_document(whole, elsewhere), r"photograph.*\(findings\)")
