"""Bad fields, bad bodies, full disks, other people's pages: refused in words, nothing written."""

from __future__ import annotations

import json
import sqlite3

import pytest
from sqlalchemy import event
from sqlalchemy.exc import OperationalError

from brief.api.app import create_app
from brief.api.guards import CONTENT_SECURITY_POLICY
from brief.services import nouns
from brief.settings import Settings
from tests.asking import TestClient

JSON = {"Content-Type": "application/json"}


def _post(client, noun: str, body: str | bytes):
    return client.post(f"/api/{noun}", content=body, headers=JSON)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
@pytest.mark.parametrize("field", ["length_mm", "width_mm", "thickness_mm", "price"])
def test_a_number_is_finite(client, on_disk, refused, field: str, number: str) -> None:
    """RFC 8259 has no NaN; Python's reader takes it all the same, so it must be caught."""
    before = on_disk()
    response = _post(client, "materials", f'{{"label": "walnut", "{field}": {number}}}')
    refused(response, 422, "bad_input", "must be a finite number", pointer=f"/{field}")
    assert on_disk() == before


@pytest.mark.parametrize(
    ("field", "value", "detail"),
    [
        ("length_mm", 0, "must be 0.0001 to 10000 mm; got 0"),
        ("length_mm", -1, "must be 0.0001 to 10000 mm; got -1"),
        ("width_mm", 10_001, "must be 0.0001 to 10000 mm; got 10001"),
        ("width_mm", "wide", "“wide” is not a length. Try 650 mm"),
        ("price", -0.01, "must be 0 to 10,000,000; got -0.01"),
        ("price", "cheap", "“cheap” is no price. Write 68.50"),
        ("price", "1,250", "comma in “1,250” part thousands or decimals.* Write 1250 or 1.25"),
        ("price", "12,5,0", "“12,5,0” is no number"),
        ("price", "99,250,000", "must be 0 to 10,000,000; got “99,250,000”"),
        ("price", {}, "must be a number; got an object"),
        ("price", True, "must be a number; got true"),
        ("currency", "euros", "three letters, such as EUR or GBP; got “euros”"),
        ("stuff", "feather", "must be one of “timber”, .* got “feather”"),
        ("length_mm", False, "must be a number; got false"),
        ("label", None, "must be text; got nothing"),
        ("label", 7, "must be text; got 7"),
        ("label", "", "Fill this in"),
        ("label", " \t\n", "Fill this in"),
        ("label", "\0", "Fill this in"),
        ("label", "\u200b", "Fill this in"),  # a space of no width
        ("label", "\u202e\u2069 ", "Fill this in"),
        ("label", "\u0301\ufe0f\u200d", "Fill this in"),  # nothing to combine with
        ("label", "\u3164\u2800", "Fill this in"),  # a letter and a sign without ink
        ("reading", "x" * 101, "At most 100 characters; this has 101"),
    ],
)
def test_a_field_out_of_bounds_is_said_at_the_field(
    client, on_disk, refused, field: str, value: object, detail: str
) -> None:
    before = on_disk()
    response = client.post("/api/materials", json={"label": "walnut", field: value})
    refused(response, 422, "bad_input", detail, pointer=f"/{field}")
    assert on_disk() == before


def test_one_fault_is_said_in_its_own_words_and_several_are_named(client, refused) -> None:
    one = refused(client.post("/api/materials", json={}), 422, "bad_input", pointer="/label")
    assert one["detail"] == one["errors"][0]["detail"] == "Fill this in."
    fields = {"line_mm": 99, "brief_id": 7, "tilte": "Marsh"}
    body = refused(client.post("/api/pairings", json=fields), 422, "bad_input")
    assert body["detail"] == (
        "Some fields need another look: brief, ground, inlay, line width, tilte."
    )
    assert "/line_mm" in [fault["pointer"] for fault in body["errors"]]
    link = "/api/references/pictures"
    body = refused(client.post(link, data={"motif_ids": "x"}), 422, "bad_input")
    assert body["detail"] == "Some fields need another look: brief, files."


@pytest.mark.parametrize("width", [0.1, 10, None])
def test_a_line_can_be_as_wide_as_it_is_drawn(client, one_of, width: float | None) -> None:
    at = f"/api/pairings/{one_of('pairings')['id']}"
    answer = client.patch(at, json={"line_mm": width}, headers={"If-Match": "*"})
    assert answer.json()["line_mm"] == width


@pytest.mark.parametrize("width", [0, -1, 0.09, 10.1, 100])
def test_a_line_too_thin_or_too_wide_to_draw_is_refused(
    client, one_of, on_disk, refused, width: float
) -> None:
    at = f"/api/pairings/{one_of('pairings')['id']}"
    before = on_disk()
    response = client.patch(at, json={"line_mm": width}, headers={"If-Match": "*"})
    detail = f"must be 0.1 to 10 mm; got {width:g}"
    refused(response, 422, "bad_input", detail, pointer="/line_mm")
    assert on_disk() == before


@pytest.mark.parametrize("day", ["soon", "2027-02-30", "14.5.2027", "2027-05-14T10:00:00Z", 5, 0])
def test_a_day_is_a_day(client, on_disk, refused, day: object) -> None:
    before = on_disk()
    response = client.post("/api/briefs", json={"title": "Marsh", "wanted_by": day})
    refused(response, 422, "bad_input", "a day such as 2027-05-14; got", pointer="/wanted_by")
    assert on_disk() == before


@pytest.mark.parametrize(
    "colour",
    [
        "",
        "mud",
        "#12345",
        "Lab nan 0 0",
        "Lab 50 inf 0",
        "Lab 101 0 0",
        "lab(50% NaN 20)",
        "rgb(1)",
    ],
)
def test_a_colour_is_one_that_can_be_read(client, brief, on_disk, refused, colour: str) -> None:
    before = on_disk()
    response = client.post("/api/swatches", json={"brief_id": brief["id"], "colour": colour})
    refused(response, 422, "bad_colour", "", pointer="/colour")
    assert on_disk() == before


LONG = {
    "briefs": ("title", 200, {}),
    "motifs": ("name", 200, {}),
    "swatches": ("name", 200, {"colour": "#2f6f62"}),
    "materials": ("label", 200, {}),
    "parts": ("role", 200, {}),
    "references": ("title", 200, {"passage": "The tide"}),
}


@pytest.mark.parametrize("noun", LONG)
def test_a_title_of_10_000_characters_is_refused(
    client, brief, on_disk, refused, noun: str
) -> None:
    field, most, rest = LONG[noun]
    if noun not in ("briefs", "materials"):
        rest = {**rest, "brief_id": brief["id"]}
    before = on_disk()
    response = client.post(f"/api/{noun}", json={**rest, field: "x" * 10_000})
    detail = f"At most {most} characters; this has 10,000"
    refused(response, 422, "bad_input", detail, pointer=f"/{field}")
    assert on_disk() == before


@pytest.mark.parametrize("escape", [r"\ud800", r"\udfff\ud800"])
def test_half_a_character_is_refused(client, brief, on_disk, refused, escape: str) -> None:
    """A lone surrogate is no text: Unicode 16.0, 3.2, C1; JSON can spell it (RFC 8259, 8.2)."""
    before = on_disk()
    body = f'{{"brief_id": "{brief["id"]}", "name": "reed{escape}", "says": ""}}'
    response = _post(client, "motifs", body)
    refused(response, 422, "bad_input", "characters that are not text", pointer="/name")
    assert on_disk() == before


@pytest.mark.parametrize("label", ["é", "e\u0301", "沼", "🎸", "مستنقع", "—", "\ue000"])
def test_whatever_can_be_seen_is_a_title(make, label: str) -> None:
    assert make("materials", label=label)["label"] == label


def test_a_line_cannot_turn_the_words_beside_it_but_a_text_may(make, brief) -> None:
    """Unicode Standard Annex #9, 2: the explicit formatting characters."""
    turning = "".join(map(chr, [*range(0x202A, 0x202F), *range(0x2066, 0x206A)]))
    made = make("motifs", brief_id=brief["id"], name=f"reed{turning}gpj", says=f"reed{turning}gpj")
    assert (made["name"], made["says"]) == ("reedgpj", f"reed{turning}gpj")
    marks = "\u200f\u061c"  # these are about themselves alone
    assert make("motifs", brief_id=brief["id"], name=f"a{marks}b")["name"] == f"a{marks}b"


def test_a_file_of_an_unseen_name_has_a_title_all_the_same(send, picture, brief) -> None:
    for to, field in (("references", "title"), ("materials", "label")):
        for name, title in (
            ("\u200b.png", "Picture"),
            ("\u202egnp_reed.png", "gnp reed"),
        ):
            made = send((name, picture()), to=to).json()[0]
            assert made[field] == title
            assert "\u202e" not in made["picture"]["name"]


def test_control_characters_are_left_out(make, brief) -> None:
    made = make(
        "motifs", brief_id=brief["id"], name="re\0ed\x1b[31m\x7f\x9f", says="one\ntwo\tthree"
    )
    assert (made["name"], made["says"]) == ("reed[31m", "one\ntwo\tthree")


@pytest.mark.parametrize("noun", ["briefs", "motifs", "materials", "comments"])
def test_unknown_fields_are_refused(client, on_disk, refused, noun: str) -> None:
    before = on_disk()
    response = client.post(f"/api/{noun}", json={"tilte": "Marsh", "id": "B1", "version": 9})
    body = refused(response, 422, "bad_input", "", pointer="/tilte")
    wrong = {f["pointer"] for f in body["errors"] if f["detail"] == "There is no such field."}
    assert wrong == {"/tilte", "/id", "/version"}
    assert on_disk() == before


@pytest.mark.parametrize(
    ("body", "status", "code", "detail"),
    [
        ('{"title": ', 422, "bad_input", "This is not JSON: Expecting value"),
        ("title=Marsh", 422, "bad_input", "This is not JSON"),
        ("", 422, "bad_input", "Fill this in"),
        ("[1, 2]", 422, "bad_input", "Send one JSON object"),
        ('"Marsh"', 422, "bad_input", "Send one JSON object"),
        ("null", 422, "bad_input", "Send one JSON object"),
        (b'{"title": "\xff"}', 400, "bad_request", "cannot be read as JSON in UTF-8"),
        ("[" * 100_000, 400, "bad_request", "cannot be read as JSON"),
        ('{"title": ' + "9" * 5_000 + "}", 400, "bad_request", "cannot be read as JSON"),
    ],
)
def test_a_body_that_is_no_json_object_is_refused(
    client, on_disk, refused, body: str | bytes, status: int, code: str, detail: str
) -> None:
    before = on_disk()
    response = _post(client, "briefs", body)
    found = refused(response, status, code, detail)
    assert all(fault["pointer"] == "" for fault in found["errors"])
    assert on_disk() == before


@pytest.mark.parametrize(
    "content_type", ["text/plain", "application/x-www-form-urlencoded", "application/xml", None]
)
def test_json_under_another_name_is_refused(
    client, on_disk, refused, content_type: str | None
) -> None:
    """A form of another site can send these without asking first; JSON it cannot (Fetch, CORS)."""
    before = on_disk()
    headers = {} if content_type is None else {"Content-Type": content_type}
    response = client.post("/api/briefs", content=b'{"title": "Marsh"}', headers=headers)
    refused(response, 422, "bad_input", "say Content-Type: application/json")
    assert on_disk() == before


def test_an_upload_without_a_file_is_refused(client, brief, on_disk, refused) -> None:
    before = on_disk()
    data = {"brief_id": brief["id"]}
    at = "/api/references/pictures"
    refused(client.post(at, data=data), 422, "bad_input", "Fill this in", pointer="/files")
    text = client.post(at, data={**data, "files": "reeds.jpg"})
    refused(text, 422, "bad_input", "This must be a file", pointer="/files/0")
    broken = client.post(at, content=b"x", headers={"Content-Type": "multipart/form-data"})
    refused(broken, 400, "bad_request", "Missing boundary")
    assert on_disk() == before


def test_an_upload_into_an_unknown_brief_is_refused(client, picture, on_disk, refused) -> None:
    before = on_disk()
    response = client.post(
        "/api/references/pictures",
        data={"brief_id": "nowhere"},
        files=[("files", ("a.png", picture()))],
    )
    refused(response, 422, "bad_input", "There is no brief “nowhere”", pointer="/brief_id")
    assert on_disk() == before


POINTERS = [
    ("motifs", {"name": "reed"}, "brief_id"),
    ("swatches", {"colour": "#2f6f62"}, "brief_id"),
    ("parts", {"role": "binding"}, "brief_id"),
    ("palettes", {}, "reference_id"),
    ("notes", {"about_kind": "motif", "text": "x"}, "about_id"),
    ("pairings", {"ground_id": "nowhere", "inlay_id": "nowhere"}, "brief_id"),
]


@pytest.mark.parametrize(("noun", "fields", "pointer"), POINTERS)
@pytest.mark.parametrize("target", ["nowhere", "01JD8Q5Z7M3K2V9X4T6R8W0Y1A", "\0", "';--", "💥"])
def test_a_pointer_to_nothing_is_said_at_its_field(
    client, on_disk, refused, noun: str, fields: dict[str, str], pointer: str, target: str
) -> None:
    before = on_disk()
    response = client.post(f"/api/{noun}", json={**fields, pointer: target})
    refused(response, 422, "bad_input", "There is no ", pointer=f"/{pointer}")
    assert on_disk() == before


def test_there_is_nothing_at_an_unknown_address(client, refused) -> None:
    refused(client.get("/api/nothing"), 404, "not_found", "There is nothing at /api/nothing")
    answer = client.put("/api/motifs")
    refused(answer, 405, "method_not_allowed", "PUT is not something /api/motifs can do")
    assert answer.headers["allow"] == "GET, HEAD, POST"  # RFC 9110, 15.5.6
    answer = client.put("/api/materials/pictures")
    assert answer.headers["allow"] == "DELETE, GET, HEAD, PATCH, POST"
    assert client.post("/offcuts").headers["allow"] == "GET, HEAD"  # a page


def test_of_a_fault_of_the_program_only_that_is_said(home, refused, monkeypatch) -> None:
    def broken(*_args: object, **_kwargs: object) -> None:
        raise RuntimeError("secret")

    monkeypatch.setattr(type(nouns.briefs), "page", broken)
    with TestClient(
        create_app(Settings(home=home, hosts="testserver")), raise_server_exceptions=False
    ) as client:
        body = refused(client.get("/api/briefs"), 500, "unexpected", "Something went wrong inside")
        assert "saved" not in body["detail"]
        monkeypatch.setattr(type(nouns.briefs), "add", broken)
        written = client.post("/api/briefs", json={"title": "Marsh"})
        refused(written, 500, "unexpected", "inside the program; nothing was saved")
    assert "secret" not in json.dumps(body)


# A full disk under the database


@pytest.mark.sqlite
def test_a_full_disk_under_the_database(client, app, brief, on_disk, refused) -> None:
    """SQLite answers SQLITE_FULL beyond max_page_count: sqlite.org/pragma.html."""
    engine = app.state.store._database.engine
    engine.dispose()

    @event.listens_for(engine, "connect")
    def _allow_no_more_pages(connection, _record) -> None:
        pages = connection.execute("PRAGMA page_count").fetchone()[0]
        connection.execute(f"PRAGMA max_page_count = {pages}")

    before = on_disk()
    response = client.post(
        "/api/notes",
        json={"about_kind": "brief", "about_id": brief["id"], "text": "mud " * 4_900},
    )
    refused(response, 507, "store", "The disk is full, so nothing was saved. Free some space")
    assert on_disk() == before
    event.remove(engine, "connect", _allow_no_more_pages)
    engine.dispose()
    assert client.get(f"/api/briefs/{brief['id']}").status_code == 200


@pytest.mark.sqlite
def test_a_full_disk_under_the_database_takes_the_images_along(
    app, send, brief, picture, on_disk, refused
) -> None:
    engine = app.state.store._database.engine
    before = on_disk()

    @event.listens_for(engine, "commit")
    def _full(connection) -> None:
        raise OperationalError("COMMIT", {}, sqlite3.OperationalError("database or disk is full"))

    response = send(("a.png", picture()))
    event.remove(engine, "commit", _full)
    refused(response, 507, "store", "The disk is full")
    assert on_disk() == before


# Other people's pages: Fetch Metadata (W3C), RFC 6454 for Origin


WRITES = [
    ("POST", "/api/briefs"),
    ("PATCH", "/api/briefs/{id}"),
    ("DELETE", "/api/briefs/{id}"),
    ("POST", "/api/briefs/{id}/take-back"),
    ("PUT", "/api/materials/{id}/picture"),
]
FOREIGN = [
    {"Origin": "https://elsewhere.example"},
    {"Origin": "http://testserver.elsewhere.example"},
    {"Origin": "http://testserver:8080"},
    {"Origin": "https://testserver"},
    {"Origin": "null"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site"},
]


@pytest.mark.parametrize("headers", FOREIGN, ids=lambda headers: "-".join(headers.values()))
@pytest.mark.parametrize(("method", "at"), WRITES)
def test_a_page_of_another_site_cannot_write(
    client, brief, on_disk, refused, method: str, at: str, headers: dict[str, str]
) -> None:
    before = on_disk()
    response = client.request(
        method,
        at.format(id=brief["id"]),
        json={"title": "Marsh"},
        headers={**headers, "If-Match": "*"},
    )
    refused(response, 403, "foreign_page", "A page of another site cannot write here")
    assert on_disk() == before


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "http://testserver"},
        {"Origin": "http://TestServer"},
        {"Sec-Fetch-Site": "same-origin"},
        {"Sec-Fetch-Site": "none"},
    ],
)
def test_our_own_pages_and_scripts_can_write(client, headers: dict[str, str]) -> None:
    answer = client.post("/api/briefs", json={"title": "Marsh"}, headers=headers)
    assert answer.status_code == 201


def test_a_link_from_another_site_can_be_followed(client) -> None:
    assert client.get("/", headers={"Sec-Fetch-Site": "cross-site"}).status_code == 200


@pytest.mark.parametrize(
    "at", ["/", "/offcuts", "/api/docs", "/api/briefs", "/nothing", "/static/css/docs.css"]
)
def test_what_a_browser_may_do_is_said_with_every_answer(client, at: str) -> None:
    """Content Security Policy Level 3 (W3C): no inline script, no frame, no other host."""
    headers = client.get(at, headers={"Accept": "text/html"}).headers
    policy = headers["content-security-policy"]
    assert policy == CONTENT_SECURITY_POLICY
    for wanted in ("default-src 'self'", "object-src 'none'", "frame-ancestors 'none'"):
        assert wanted in policy
    assert "unsafe" not in policy
    assert headers["x-content-type-options"] == "nosniff"


def test_a_refusal_says_it_too(client) -> None:
    headers = client.post("/api/briefs", json={}, headers={"Origin": "null"}).headers
    assert headers["content-security-policy"] == CONTENT_SECURITY_POLICY
