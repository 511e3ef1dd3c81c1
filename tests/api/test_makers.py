"""Several makers on one server: each in a workshop of their own, and what passes between them."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import suppress
from typing import Any

import pytest
from PIL import Image
from sqlalchemy import select, text

from brief.api import house
from brief.api.limits import NO_ADDRESS
from brief.errors import TooMany
from brief.store.register import Invitation, Maker
from tests.asking import TestClient
from tests.figures import says
from tests.guild import PASSPHRASE, Guild, make, served_guild

PAGE = {"Accept": "text/html"}


@pytest.fixture(scope="module")
def guild(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Guild]:
    url = None
    if request.config.getoption("--postgres"):
        server = request.getfixturevalue("postgres")
        url = server.url(server.database())
    with served_guild(tmp_path_factory.mktemp("guild"), url) as served:
        yield served


def _board(browser: TestClient, **fields: Any) -> dict[str, Any]:
    """A piece of the rack with a photograph in which the camera wrote where it was taken."""
    piece = make(browser, "materials", stuff="timber", **fields)
    shot = Image.new("RGB", (400, 300), (150, 111, 74))
    exif = Image.Exif()
    exif[0x010E] = "in the shed behind the house"  # ImageDescription, EXIF 2.32, table 4
    file = io.BytesIO()
    shot.save(file, "JPEG", exif=exif)
    sent = browser.post(
        "/api/photographs/pictures",
        files={"files": ("board.jpg", file.getvalue(), "image/jpeg")},
        data={"material_id": piece["id"]},
    )
    assert sent.status_code == 201, sent.text
    return piece


def _about(brief: dict[str, Any]) -> dict[str, str]:
    return {"about_kind": "brief", "about_id": brief["id"]}


def _loan(guild: Guild, borrower: str) -> str:
    """The newest loan to somebody, as their page has it."""
    page = guild.of(borrower).get("/makers").text
    return re.findall(r'href="/lent/(\w+)"', page)[-1]


# Coming in.


def test_nobody_comes_in_without_a_name_and_passphrase(guild: Guild) -> None:
    stranger = guild.browser()
    answer = stranger.get("/", headers=PAGE, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?then=%2F")
    assert stranger.get("/api/briefs").status_code == 401
    assert stranger.get("/makers", follow_redirects=False).status_code == 401
    for name, passphrase in (
        ("Bea", PASSPHRASE["Ana"]),
        ("Nobody", PASSPHRASE["Ana"]),
        ("", PASSPHRASE["Ana"]),
        ("Bea", ""),
    ):
        sent = {"name": name, "passphrase": passphrase}
        refused = stranger.post("/api/session", json=sent)
        assert refused.status_code == 401
        assert refused.json()["detail"] == "That is not a name and passphrase of anybody here."


def test_who_has_signed_in_has_no_tries_of_their_own_at_the_name_of_another(guild: Guild) -> None:
    """Each could otherwise have as many marks as they like, and with each its own tries."""
    limits, bea = guild.app.state.limits, guild.of("Bea")
    taken = 0
    try:
        with suppress(TooMany):
            while True:
                limits.check("passphrase", NO_ADDRESS)
                taken += 1
        guess = {"name": "Ana", "passphrase": "a guess of what she has"}
        assert bea.post("/api/session", json=guess).status_code == 429
        own = {"name": "Bea", "passphrase": PASSPHRASE["Bea"]}
        assert bea.post("/api/session", json=own).status_code == 200
    finally:
        for _ in range(taken):
            limits.give_back("passphrase", NO_ADDRESS)


def test_of_each_maker_one_passphrase_is_checked_at_a_time(guild: Guild) -> None:
    line, name = guild.app.state.sign_in_lines[True], f"maker {guild.number('Bea')}"
    bea, sent = guild.of("Bea"), {"now": "not hers", "passphrase": "not fit"}
    line._clients.add(name)
    try:
        assert bea.post("/api/makers/passphrase", json=sent).status_code == 429
    finally:
        line._clients.discard(name)
    assert bea.post("/api/makers/passphrase", json=sent).status_code == 422


def test_a_number_that_no_database_keeps_is_nobodys(guild: Guild) -> None:
    for what in ("invitations", "shutting-out", "letting-in"):
        answer = guild.of("Ana").post(f"/api/makers/{10**30}/{what}")
        assert answer.status_code == 422


def test_a_name_is_known_however_it_is_written(guild: Guild) -> None:
    sent = {"name": "  bEA ", "passphrase": PASSPHRASE["Bea"]}
    assert guild.browser().post("/api/session", json=sent).status_code == 200


def test_an_invitation_works_once_and_its_secret_is_kept_nowhere(guild: Guild) -> None:
    ana = guild.of("Ana")
    link = ana.post("/api/makers/invitations", json={"name": "Dan"}).json()["link"]
    token = link.partition("#")[2]
    with guild.app.state.store.desk() as desk:
        for kept in desk.session.scalars(select(Invitation)):
            assert token not in (kept.token_sha256, kept.name)
    join = guild.browser().post
    short = join("/api/makers/joining", json={"token": token, "passphrase": "too short"})
    assert short.status_code == 422
    assert short.json()["errors"][0]["pointer"] == "/passphrase"
    taken = {"token": token, "name": "BEA", "passphrase": PASSPHRASE["Dan"]}
    assert join("/api/makers/joining", json=taken).json()["errors"][0]["pointer"] == "/name"
    sent = {"token": token, "passphrase": PASSPHRASE["Dan"]}
    assert join("/api/makers/joining", json=sent).status_code == 201
    again = join("/api/makers/joining", json=sent | {"name": "Another"})
    assert again.status_code == 404
    assert "used already" in again.json()["detail"]
    assert guild.of("Dan").get("/").status_code == 200


def test_a_new_invitation_ends_the_one_before_and_any_can_be_withdrawn(guild: Guild) -> None:
    ana, tokens = guild.of("Ana"), []
    for _ in range(2):
        link = ana.post("/api/makers/invitations", json={"name": "Eve"}).json()["link"]
        tokens.append(link.partition("#")[2])
    join = guild.browser().post
    sent = {"token": tokens[0], "passphrase": PASSPHRASE["Dan"], "name": "Another"}
    assert join("/api/makers/joining", json=sent).status_code == 404
    assert ana.get("/makers").text.count("Invited, not here yet") == 1
    asked = {"name": "Eve"}
    assert (
        guild.of("Bea").post("/api/makers/invitations/withdrawing", json=asked).status_code == 404
    )
    assert ana.post("/api/makers/invitations/withdrawing", json=asked).status_code == 200
    assert join("/api/makers/joining", json=sent | {"token": tokens[1]}).status_code == 404
    assert ana.post("/api/makers/invitations/withdrawing", json=asked).status_code == 404


def test_who_is_shut_out_is_out_at_once_and_may_be_let_in_again(guild: Guild) -> None:
    ana, number = guild.of("Ana"), guild.number("Cleo")
    cleo = guild.of("Cleo")
    assert cleo.get("/").status_code == 200
    assert ana.post(f"/api/makers/{number}/shutting-out").status_code == 200
    assert cleo.get("/api/briefs").status_code == 401
    sent = {"name": "Cleo", "passphrase": PASSPHRASE["Cleo"]}
    assert cleo.post("/api/session", json=sent).status_code == 401
    assert ana.post(f"/api/makers/{number}/letting-in").status_code == 200
    assert cleo.post("/api/session", json=sent).status_code == 200
    refused = ana.post("/api/makers/1/shutting-out")
    assert (refused.status_code, "owner" in refused.json()["detail"]) == (422, True)


def test_a_forgotten_passphrase_is_set_anew_by_a_link_of_the_owners(guild: Guild) -> None:
    ana, number = guild.of("Ana"), guild.number("Cleo")
    link = ana.post(f"/api/makers/{number}/invitations").json()["link"]
    sent = {"token": link.partition("#")[2], "passphrase": PASSPHRASE["Cleo"] + " anew"}
    was_in = guild.of("Cleo")
    assert guild.browser().post("/api/makers/joining", json=sent).status_code == 201
    assert was_in.get("/api/briefs").status_code == 401
    back = {"name": "Cleo", "passphrase": sent["passphrase"]}
    assert was_in.post("/api/session", json=back).status_code == 200
    changed = {"now": sent["passphrase"], "passphrase": PASSPHRASE["Cleo"]}
    assert was_in.post("/api/makers/passphrase", json=changed).status_code == 200
    back["passphrase"] = PASSPHRASE["Cleo"]
    assert was_in.post("/api/session", json=back).status_code == 200
    wrong = was_in.post("/api/makers/passphrase", json=changed)
    assert wrong.json()["errors"][0]["pointer"] == "/now"


@pytest.mark.parametrize(
    "path",
    ["/api/makers/invitations", "/api/makers/1/shutting-out", "/api/makers/2/invitations"],
)
def test_only_the_owner_sees_to_who_is_here(guild: Guild, path: str) -> None:
    answer = guild.of("Bea").post(path, json={"name": "Eve"})
    assert answer.status_code == 404
    assert "owner of the server alone" in answer.json()["detail"]
    page = guild.of("Bea").get("/makers").text
    assert "Everybody here" not in page
    assert "Cleo" not in page


# Each by themselves.


def test_what_one_makes_is_there_for_nobody_else(guild: Guild) -> None:
    bea, others = guild.of("Bea"), [guild.of("Ana"), guild.of("Cleo")]
    brief = make(bea, "briefs", title="Bea's heron", theme="a bird")
    piece = _board(bea, label="Bea's walnut")
    (shot,) = bea.get("/api/photographs", params={"material_id": piece["id"]}).json()["items"]
    sha256 = re.findall("[0-9a-f]{64}", str(shot["picture"]))[0]
    for path in (
        f"/api/briefs/{brief['id']}",
        f"/briefs/{brief['id']}/theme",
        f"/api/materials/{piece['id']}",
        f"/images/{sha256}/thumb",
        f"/images/{sha256}/original",
    ):
        assert bea.get(path).status_code == 200, path
        for other in others:
            assert other.get(path).status_code == 404, path
    for other in others:
        for path in ("/", "/makers", "/offcuts", "/api/materials", "/api/briefs"):
            assert "Bea's" not in other.get(path).text.replace("&#39;", "'")


def test_a_link_for_a_guest_leads_into_the_workshop_that_made_it_and_no_other(
    guild: Guild,
) -> None:
    bea = guild.of("Bea")
    brief = make(bea, "briefs", title="Heron by a link", theme="a bird")
    address = make(bea, "shares", brief_id=brief["id"], name="a friend")["address"]
    guest = guild.browser()
    assert "Heron by a link" in guest.get(address).text
    mark, _, secret = address.removeprefix("/s/").partition(".")
    assert re.fullmatch("[0-9a-f]{10}", mark)
    for wrong in (f"/s/{secret}", f"/s/0000000000.{secret}", f"/s/{mark}.{secret[:-1]}"):
        assert guest.get(wrong).status_code == 404
    said = guest.post(
        f"{address}/comments", json=_about(brief) | {"text": "Its legs?", "author": "Ines"}
    )
    assert said.status_code == 201, said.text
    assert "Its legs?" in bea.get(f"/briefs/{brief['id']}/comments").text


def test_the_owner_keeps_what_was_there_before(guild: Guild) -> None:
    ana = guild.of("Ana")
    brief = make(ana, "briefs", title="Ana's own", theme="a place")
    address = make(ana, "shares", brief_id=brief["id"], name="a friend")["address"]
    assert "." not in address
    assert guild.browser().get(address).status_code == 200


def test_workshops_that_nobody_is_at_are_shut_and_opened_again(
    guild: Guild, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(house, "MOST_OPEN", 1)
    bea, cleo = guild.of("Bea"), guild.of("Cleo")
    brief = make(bea, "briefs", title="Kept while shut", theme="x")
    for _ in range(3):
        assert cleo.get("/api/briefs").status_code == 200
        assert bea.get(f"/api/briefs/{brief['id']}").status_code == 200
    assert len(guild.app.state.house._open) == 1


# Lending.


def test_a_lent_piece_is_seen_and_taken_down_and_no_other_is(guild: Guild) -> None:
    ana, bea = guild.of("Ana"), guild.of("Bea")
    lent = _board(
        ana,
        label="Old Hanno's plank",
        public_name="Reed walnut",
        price="120",
        currency="EUR",
        provenance="from a widow's shed",
    )
    kept = _board(ana, label="Nobody else's ebony")
    assert make(ana, "loans", to="bea", material_id=lent["id"])["said"]
    twice = ana.post("/api/loans", json={"to": "Bea", "material_id": lent["id"]})
    assert twice.json()["errors"][0]["pointer"] == "/to"
    loan = _loan(guild, "Bea")
    page = bea.get(f"/lent/{loan}").text
    assert "Reed walnut" in page
    assert says(ana.get(f"/api/materials/{lent['id']}").text, "120")
    for seen in (page, bea.get("/makers").text):
        for private in ("ebony", "widow", "Hanno"):
            assert private not in seen
        assert not says(seen, "120")
    (picture,) = re.findall(rf"/lent/{loan}/images/\w+", page)
    shown = bea.get(picture)
    assert shown.headers["content-type"] == "image/jpeg"
    assert b"shed" not in shown.content
    taken = bea.post(f"/api/loans/{loan}/taking", json={"material_id": lent["id"]})
    assert taken.status_code == 201, taken.text
    mine = bea.get(f"/api/materials/{lent['id']}").json()
    assert (mine["label"], mine["price"]) == ("Reed walnut", None)
    assert mine["provenance"].startswith("Lent by Ana")
    assert mine["colour"]["lab"] == ana.get(f"/api/materials/{lent['id']}").json()["colour"]["lab"]
    for piece, status in ((lent, 422), (kept, 404)):
        sent = {"material_id": piece["id"]}
        assert bea.post(f"/api/loans/{loan}/taking", json=sent).status_code == status
    assert guild.of("Cleo").get(f"/lent/{loan}").status_code == 404
    assert ana.get(f"/lent/{loan}").status_code == 404  # it is theirs anyway, on the rack
    assert guild.of("Cleo").post(f"/api/loans/{loan}/ending").status_code == 404
    assert ana.post(f"/api/loans/{loan}/ending").status_code == 200
    assert bea.get(f"/lent/{loan}").status_code == 404
    assert bea.get(picture).status_code == 404
    assert bea.get(f"/api/materials/{lent['id']}").status_code == 200  # the copy stays


def test_a_lent_rack_shows_what_is_on_it_now(guild: Guild) -> None:
    bea, ana = guild.of("Bea"), guild.of("Ana")
    assert make(bea, "loans", to="Ana")["said"] == "Ana sees your rack now."
    _board(bea, label="Came later")
    loan = _loan(guild, "Ana")
    assert "Came later" in ana.get(f"/lent/{loan}").text
    assert bea.post(f"/api/loans/{loan}/ending").status_code == 200


@pytest.mark.parametrize("to", ["Nobody", "", "Ana"])
def test_nothing_is_lent_to_nobody_or_to_oneself(guild: Guild, to: str) -> None:
    answer = guild.of("Ana").post("/api/loans", json={"to": to})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/to"


# Working together.


def _joint(guild: Guild, title: str) -> tuple[str, dict[str, Any]]:
    """A brief of Ana's that Bea works on, too: the id of their workshop, and the brief."""
    brief = make(guild.of("Ana"), "briefs", title=title, theme="a marsh")
    make(guild.of("Ana"), "workshops", brief_id=brief["id"], to="Bea")
    page = guild.of("Ana").get("/makers").text
    at = page.index(title)
    found = re.search(r'name="workshop_id" value="(\w+)"', page[at:])
    assert found
    return found[1], brief


def _go(browser: TestClient, workshop_id: str) -> None:
    sent = {"workshop_id": workshop_id}
    assert browser.post("/api/workshops/going", json=sent).status_code == 200


def _home(guild: Guild, name: str) -> None:
    with guild.app.state.store.desk() as desk:
        own = desk.session.get_one(Maker, guild.number(name)).workshop_id
    _go(guild.of(name), own)


def test_two_work_on_one_brief_and_it_is_said_who_did_what(guild: Guild) -> None:
    ana, bea, cleo = (guild.of(name) for name in ("Ana", "Bea", "Cleo"))
    joint, brief = _joint(guild, "Marsh together")
    try:
        assert ana.get(f"/api/briefs/{brief['id']}").status_code == 404  # it has moved
        sent = {"workshop_id": joint}
        assert cleo.post("/api/workshops/going", json=sent).status_code == 404
        _go(ana, joint)
        _go(bea, joint)
        motif = make(bea, "motifs", brief_id=brief["id"], name="The reed")
        changed = ana.patch(
            f"/api/motifs/{motif['id']}",
            json={"name": "The tall reed"},
            headers={"If-Match": motif["etag"]},
        )
        assert changed.status_code == 200
        assert (
            "Only you and who else works here see this"
            in ana.get(f"/briefs/{brief['id']}/movement").text
        )
        page = re.sub(r"<[^>]+>|\s+", " ", ana.get("/makers").text)
        assert re.search(r"Ana\s+changed a motif:\s+The tall reed", page)
        assert re.search(r"Bea\s+added a motif:\s+The reed", page)
        assert re.search(r"in the joint workshop\s+Marsh together", page)
    finally:
        _home(guild, "Ana")
        _home(guild, "Bea")
    assert "Marsh together" not in bea.get("/").text.partition("<main")[2]


def test_a_page_of_one_workshop_writes_into_no_other(guild: Guild) -> None:
    """Somebody goes to the joint workshop in one window while another shows their own."""
    joint, _ = _joint(guild, "Two windows")
    bea = guild.of("Bea")
    found = re.search(r'name="workshop" content="(\w+)"', bea.get("/").text)
    assert found
    _go(bea, joint)
    try:
        sent = {"label": "Meant for the own rack", "stuff": "timber"}
        stale = {"X-Workshop": found[1]}
        refused = bea.post("/api/materials", json=sent, headers=stale)
        assert (refused.status_code, "nothing was saved" in refused.json()["detail"]) == (412, True)
        assert "Meant for" not in bea.get("/api/materials").text
    finally:
        _home(guild, "Bea")


def test_who_leaves_a_joint_workshop_is_back_at_their_own(guild: Guild) -> None:
    joint, brief = _joint(guild, "Left again")
    bea = guild.of("Bea")
    _go(bea, joint)
    assert bea.post(f"/api/workshops/{joint}/members", json={"to": "Cleo"}).status_code == 200
    assert bea.post(f"/api/workshops/{joint}/leaving").status_code == 200
    assert bea.get(f"/api/briefs/{brief['id']}").status_code == 404
    assert bea.post(f"/api/workshops/{joint}/leaving").status_code == 404
    ana = guild.of("Ana")
    _go(ana, joint)
    refused = ana.post("/api/loans", json={"to": "Bea"})
    assert (refused.status_code, "one maker’s to lend" in refused.json()["detail"]) == (422, True)
    again = ana.post("/api/workshops", json={"brief_id": brief["id"], "to": "Bea"})
    assert (again.status_code, "joint workshop already" in again.json()["detail"]) == (422, True)
    assert ana.post(f"/api/workshops/{joint}/leaving").status_code == 200
    assert bea.post(f"/api/workshops/{joint}/members", json={"to": "Ana"}).status_code == 404
    cleo = guild.of("Cleo")
    _go(cleo, joint)
    assert cleo.get(f"/api/briefs/{brief['id']}").status_code == 200
    last = cleo.post(f"/api/workshops/{joint}/leaving")
    assert (last.status_code, "last one there" in last.json()["detail"]) == (422, True)
    _home(guild, "Cleo")


# Handing in.


def test_who_organises_sees_what_was_handed_in_as_it_was_and_nothing_else(guild: Guild) -> None:
    bea, cleo = guild.of("Bea"), guild.of("Cleo")
    brief = make(bea, "briefs", title="For the show", theme="as handed in")
    make(bea, "notes", **_about(brief), text="a private thought", private=True)
    secret = make(bea, "briefs", title="Not for the show", theme="x")
    make(bea, "handed-in", brief_id=brief["id"])
    changed = bea.patch(
        f"/api/briefs/{brief['id']}",
        json={"theme": "thought of later"},
        headers={"If-Match": bea.get(f"/api/briefs/{brief['id']}").headers["etag"]},
    )
    assert changed.status_code == 200
    page = cleo.get("/makers").text
    assert "For the show" in page
    assert "Not for the show" not in page
    at = page.index("For the show")
    address = re.findall(r'href="(/s/[^"]+)"', page[:at])[-1]
    seen = cleo.get(address).text
    assert "as handed in" in seen
    for unseen in ("thought of later", "a private thought"):
        assert unseen not in seen
    assert cleo.get(f"/api/briefs/{secret['id']}").status_code == 404
    assert "For the show" not in guild.of("Ana").get("/").text
    mine = bea.get("/makers").text
    handed = re.findall(r"/api/handed-in/(\w+)/withdrawing", mine)[0]
    assert cleo.post(f"/api/handed-in/{handed}/withdrawing").status_code == 404
    assert bea.post(f"/api/handed-in/{handed}/withdrawing").status_code == 200
    assert cleo.get(address).status_code == 404
    assert "For the show" not in cleo.get("/makers").text
    for _ in range(2):  # unchanged since, it is handed in as it was frozen
        make(bea, "handed-in", brief_id=secret["id"])
    assert cleo.get("/makers").text.count("Not for the show") == 2


def test_who_does_not_organise_is_shown_nothing_that_was_handed_in(guild: Guild) -> None:
    brief = make(guild.of("Cleo"), "briefs", title="Cleo hands in", theme="x")
    make(guild.of("Cleo"), "handed-in", brief_id=brief["id"])
    assert "Cleo hands in" not in guild.of("Bea").get("/makers").text


# A single maker.


def test_a_single_maker_meets_none_of_it(client: TestClient) -> None:
    for path in ("/makers", "/join", "/lent/x"):
        assert client.get(path).status_code == 404
    assert client.post("/api/makers/joining", json={}).status_code in (404, 405)
    assert "/api/loans" not in client.get("/api/openapi.json").json()["paths"]
    page = client.get("/").text
    assert "Makers here" not in page
    assert 'name="workshop"' not in page


def test_on_a_server_each_workshop_has_a_schema_of_its_own(
    guild: Guild, request: pytest.FixtureRequest
) -> None:
    if not request.config.getoption("--postgres"):
        pytest.skip("of PostgreSQL alone")
    with guild.app.state.store.desk() as desk:
        found = desk.session.scalars(
            text("SELECT nspname FROM pg_namespace WHERE nspname LIKE 'workshop_%'")
        ).all()
        own = {one.workshop_id for one in desk.session.scalars(select(Maker)) if one.number > 1}
    assert {f"workshop_{one}" for one in own} <= set(found)
