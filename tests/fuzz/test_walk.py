"""Every route, walked by everybody who is not the owner: nothing private in any byte."""

from __future__ import annotations

import itertools
import json
import re
import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from html import unescape
from pathlib import Path
from typing import Any

import argon2
import pytest
from fastapi import FastAPI
from fastapi.routing import APIRouter
from httpx2 import Response

from brief.api.app import create_app
from brief.api.limits import RATES, Rate, RateLimits
from brief.services.sharing import owner
from brief.services.sharing.shares import SHOWN
from brief.settings import Settings
from brief.store.carrying import carry
from tests.asking import TestClient
from tests.fuzz.looking import HIDDEN_PICTURE, IN_FILE, found_in
from tests.fuzz.marks import Mark, marked_columns, tables
from tests.fuzz.shown_to_guests import HANDED_OVER, OF_THE_SHEETS, OF_THEME, SHOWN_TO
from tests.fuzz.walked_home import METRICS_TOKEN, PASSPHRASE, WalkedHome, make_walked
from tests.guild import Guild, served_guild
from tests.postgres_server import Server

QUICK = argon2.PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
OPEN = ("/s/", "/static/", "/sign-in", "/api/session", "/api/health", "/api/ready")
FORMS = ["svg", "pdf", "png", "css", "dxf", "txt"]
MAY_SPEAK = {"commenter", "of the theme", "of a revision"}
# One of them is asked within minutes, the others with the slow tests.
GUESTS = [
    pytest.param(one, marks=[] if one == "commenter" else pytest.mark.slow) for one in SHOWN_TO
]
SPOKEN_OF = {"briefs", "motifs", "references", "parts", "pairings"}


@contextmanager
def quickly_hashed() -> Iterator[None]:
    """Full strength: tests/services."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(owner, "_hasher", lambda: QUICK)
        yield


@pytest.fixture(autouse=True)
def quickly_signed_in() -> Iterator[None]:
    with quickly_hashed():
        yield


# Of the session, not of the module: a worker that has nothing left to do takes over single tests of
# others, and making these takes longer than most of them.


@pytest.fixture(scope="session")
def walked(whole_home: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory) -> WalkedHome:
    with quickly_hashed():
        made = make_walked(whole_home, tmp_path_factory.mktemp("walked") / "home")
    shutil.copytree(made.home, made.home.with_name("guild"))  # before anybody walks there
    return made


def _on_a_server(request: pytest.FixtureRequest, home: Path) -> str | None:
    """With --postgres the URL of a database that its records were carried into."""
    if not request.config.getoption("--postgres"):
        return None
    server: Server = request.getfixturevalue("postgres")
    url = server.url(server.database())
    carry(home, None, url)
    return url


def _asked_without_end(app: Any) -> None:
    app.state.limits = RateLimits({kind: Rate(10**9, 1) for kind in RATES})


@pytest.fixture(scope="session")
def served_to_others(walked: WalkedHome, request: pytest.FixtureRequest) -> Iterator[TestClient]:
    """Of a server over it that answers other devices; with --postgres its records are on a server
    of their own, too."""
    settings = Settings(
        home=walked.home,
        database_url=_on_a_server(request, walked.home),
        hosts="testserver",
        locked=True,
        metrics=True,
        metrics_token=METRICS_TOKEN,
    )
    made = create_app(settings)
    _asked_without_end(made)
    with TestClient(made, follow_redirects=False) as asking:
        yield asking


@pytest.fixture
def browser(served_to_others: TestClient) -> TestClient:
    """One in which nobody is signed in."""
    served_to_others.cookies.clear()
    return served_to_others


@pytest.fixture(scope="session")
def guild(walked: WalkedHome, request: pytest.FixtureRequest) -> Iterator[Guild]:
    """A server of several makers over a copy of it: all of it is Ana's."""
    home = walked.home.with_name("guild")
    with ExitStack() as opened:
        with quickly_hashed():
            served = opened.enter_context(served_guild(home, _on_a_server(request, home)))
        _asked_without_end(served.app)
        yield served


class Visitor:
    """Somebody who asks, and what was found in all the answers.

    token : of a link, if they have one. headers : sent with each request.
    """

    def __init__(
        self, browser: TestClient, walked: WalkedHome, token: str = "", **headers: str
    ) -> None:
        self.walked, self.token, self.headers = walked, token, headers
        self.browser = browser
        self.found: dict[str | bytes, str] = {}
        self.asked = 0

    @property
    def routes(self) -> dict[str, set[str]]:
        return routes(self.browser.app)  # type: ignore[arg-type]

    def ask(self, method: str, address: str, accept: str = "*/*", **sent: Any) -> Response:
        headers = {"Accept": accept, "If-Match": "*", **self.headers}
        answer = self.browser.request(method, address, headers=headers, **sent)
        self.asked += 1
        said = f"{method} {address}"
        assert answer.status_code < 500, (said, answer.text)
        headers = "\n".join(f"{name}: {value}" for name, value in answer.headers.items())
        for data in (answer.content, headers.encode()):
            assert not [one for one in self.walked.secrets if one in data], said
            for one in found_in(data, self.walked.marks):
                self.found.setdefault(one, said)
        return answer

    @property
    def fields(self) -> dict[str, str]:
        """What was found: the field, with "then" where it is of the frozen state; or what it is,
        where it should not be. Each with where it was found first."""
        return {
            _called(self.walked.marks.words.get(one, one)): at for one, at in self.found.items()
        }


def _called(found: Mark | str | bytes) -> str:
    if not isinstance(found, Mark):
        return str(found)
    hidden = "hidden " if found.kept else ""
    return f"{hidden}{found.field}{' then' if found.edition == 'then' else ''}"


def _every_route(router: APIRouter | FastAPI) -> Iterator[tuple[str, set[str]]]:
    """Path and methods of each route of an app; newer FastAPI keeps routers as they were."""
    for route in router.routes:
        inner = getattr(route, "original_router", None)
        if inner is not None:
            yield from _every_route(inner)
        else:
            yield route.path, set(getattr(route, "methods", None) or {"GET"})  # type: ignore[attr-defined]


def routes(app: FastAPI) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for path, methods in _every_route(app):
        found.setdefault(re.sub(":[a-z]+}", "}", path), set()).update(methods)
    return found


def addresses(path: str, walked: WalkedHome, token: str) -> Iterator[str]:
    """A path with all that could stand in it."""
    noun = path.removeprefix("/api/").partition("/")[0]
    known: dict[str, list[str]] = walked.places | {
        "token": [token or "x"],
        "record_id": walked.samples.get(noun, []),
        "material_id": walked.samples["materials"],
        "palette_id": walked.samples["palettes"],
        "workshop_id": ["0"],  # the owner's
        "number": ["1"],
        "part_id": walked.samples["parts"],
        "size": ["thumb", "page", "texture", "original"],
        "sheet": ["theme", "fretboard"],
        "form": FORMS,
        "address": ["nothing"],
    }
    fields = re.findall(r"{(\w+)}", path)
    for values in itertools.product(*(known.get(one) or ["x"] for one in fields)):
        yield path.format(**dict(zip(fields, values, strict=True)))


def _as_json(body: object) -> dict[str, Any]:
    """A body to send, where it can be written as JSON: files cannot."""
    try:
        json.dumps(body)
    except TypeError:
        return {}
    return {} if body is None else {"json": body}


def walk_all(visitor: Visitor) -> None:
    """Ask for everything there is; nothing may open but what stands open to all."""
    walked = visitor.walked
    for path, methods in visitor.routes.items():
        address = next(addresses(path, walked, visitor.token), path)
        for method in sorted(methods | {"HEAD", "OPTIONS", "PUT"}):
            for accept in ("text/html", "application/json") if method == "GET" else ("*/*",):
                answer = visitor.ask(
                    method, address, accept, **_as_json(walked.bodies.get((method, path)))
                )
                if address == "/api/metrics":
                    assert answer.status_code in (200, 405)
                elif not address.startswith(OPEN):
                    assert answer.status_code in (303, 401), (method, address)


def loaded_by(visitor: Visitor) -> list[str]:
    """All that the pages of a link load and lead to, without its own address."""
    at, hidden = f"/s/{visitor.token}", visitor.walked.samples["references"][1:]
    pages = [at, f"{at}?pictures=2&pairings=2", *(f"{at}?picture={one}" for one in hidden)]
    found: dict[str, None] = {}
    for page in pages:
        text = unescape(visitor.ask("GET", page, "text/html").text)
        found |= dict.fromkeys(re.findall(rf'"{at}(/[^"]+)"', text))
    return list(found)


def walk_a_link(visitor: Visitor, loaded: list[str], *, thorough: bool) -> None:
    """Ask for all that a link could open: what the page of one that shows everything loads, and
    under its address whatever the owner's pages have, by the ids of what is shown and hidden.

    thorough : by every one of them, not by one for each route.
    """
    at = f"/s/{visitor.token}"
    waiting = [at + one for one in loaded]
    waiting += [f"{at}/seen/images/{one}/page" for one in visitor.walked.places["sha256"]]
    for path, methods in visitor.routes.items():
        if "GET" in methods:
            every = addresses(path, visitor.walked, visitor.token)
            some = every if thorough or path.startswith("/s/") else itertools.islice(every, 1)
            under = "" if path.startswith("/s/") else f"{at}/seen"
            waiting += [under + one for one in some]
    for address in dict.fromkeys(waiting):
        visitor.ask("GET", address)


def speak(visitor: Visitor) -> set[int]:
    """Say something of everything by its id, shown or hidden, and answer every question; how it
    was answered."""
    at, answered = f"/s/{visitor.token}", set()
    for noun, ids in visitor.walked.samples.items():
        for one in ids:
            said = {"about_kind": noun[:-1].replace("-", " "), "about_id": one, "author": "Ines"}
            for words in ({"text": "?"}, {"text": "!", "quote": "mud"}):
                if noun in SPOKEN_OF or "quote" not in words:
                    answer = visitor.ask("POST", f"{at}/comments", json=said | words)
                    answered.add(answer.status_code)
    for question, choice in itertools.product(visitor.walked.samples["questions"], range(3)):
        chosen = {"question_id": question, "choice": choice, "author": "Ines"}
        answered.add(visitor.ask("POST", f"{at}/answers", json=chosen).status_code)
    return answered


def open_nothing(visitor: Visitor, loaded: list[str]) -> None:
    """All that stands below the address of a link answers as if there were none."""
    at = f"/s/{visitor.token}"
    for path in visitor.routes:
        if path.startswith("/s/"):
            for address in addresses(path, visitor.walked, visitor.token):
                visitor.ask("GET", address)
    for one in loaded:
        assert visitor.ask("GET", at + one).status_code == 404


@pytest.fixture(scope="session")
def loaded(served_to_others: TestClient, walked: WalkedHome) -> list[str]:
    """What a link that shows everything has on its page."""
    found = loaded_by(Visitor(served_to_others, walked, walked.tokens["reader"]))
    assert len(found) > 15
    return found


def test_every_route_is_known(browser: TestClient, walked: WalkedHome) -> None:
    """What the API's own description has, and more."""
    known = routes(browser.app)  # type: ignore[arg-type]
    assert browser.app.openapi()["paths"].keys() < known.keys()  # type: ignore[attr-defined]
    assert len(known) > 200


def test_who_is_not_signed_in_sees_nothing(browser: TestClient, walked: WalkedHome) -> None:
    """Not even with the token for the numbers, a guest's cookie and the secret of a link in the
    places of others. Without any of them: tests/api/test_lock.py."""
    guest = f"brief_guest={'g' * 22}; brief_session={walked.tokens['reader']}"
    gathers = {"Authorization": f"Bearer {METRICS_TOKEN}", "Cookie": guest}
    nobody = Visitor(browser, walked, **gathers)
    walk_all(nobody)
    assert nobody.fields == {}
    assert nobody.asked > 700


@pytest.mark.slow
def test_where_nothing_is_locked_another_name_leads_nowhere(walked: WalkedHome) -> None:
    """A page of another site that has its own name point here (DNS rebinding)."""
    app = create_app(Settings(home=walked.home, hosts="testserver"))
    with TestClient(app, base_url="http://elsewhere.example") as browser:
        stranger = Visitor(browser, walked)
        for path in stranger.routes:
            for address in itertools.islice(addresses(path, walked, walked.tokens["reader"]), 1):
                assert stranger.ask("GET", address).status_code == 421, address
        assert stranger.fields == {}


@pytest.mark.slow
def test_each_mark_would_be_found(browser: TestClient, walked: WalkedHome) -> None:
    """The maker is shown them all: as JSON, in pages, within zip, PDF, calendar and pictures."""
    maker = Visitor(browser, walked)
    maker.ask("POST", "/api/session", json={"passphrase": PASSPHRASE})
    at = f"/api/briefs/{walked.brief_id}"
    for files in ("booklet.pdf?leave_out=unclear", "run-up.ics", "instrument.glb"):
        assert maker.ask("GET", f"{at}/{files}").status_code == 200
    in_files = maker.fields
    assert {"briefs.title", "briefs.opens_on", "materials.public_name"} <= in_files.keys()
    maker.ask("GET", f"{at}/parcel.zip")
    for sha256 in walked.places["sha256"]:
        maker.ask("GET", f"/images/{sha256}/original")
    for path in maker.routes:
        if re.fullmatch(r"/api/[a-z-]+|/api/stocks/{record_id}/boards", path):
            for address in addresses(path, walked, ""):
                maker.ask("GET", f"{address}?limit=200")
    marks = walked.marks
    columns = {f"{one.name}.{column.name}" for one in tables() for column in marked_columns(one)}
    marked = {one.field for one in marks.words.values()}
    marked |= {*marks.numbers.values(), *marks.years.values()}
    assert columns == marked
    every = {one.field for one in marks.words.values() if not one.kept}
    hidden = {f"hidden {one.field}" for one in marks.words.values() if one.kept}
    every |= {*marks.numbers.values(), *marks.years.values()}
    every |= {HIDDEN_PICTURE, IN_FILE}
    assert every - maker.fields.keys() == set()
    assert len(hidden & maker.fields.keys()) > len(hidden) / 2  # the bin is asked for elsewhere


@pytest.mark.parametrize("guest", GUESTS)
def test_a_link_shows_what_it_is_to_show_and_nothing_else(
    browser: TestClient, walked: WalkedHome, loaded: list[str], guest: str
) -> None:
    visitor = Visitor(browser, walked, walked.tokens[guest])
    if SHOWN_TO[guest]:
        loaded_by(visitor)
        walk_a_link(visitor, loaded, thorough=guest == "reader")
    else:
        open_nothing(visitor, loaded)
    answered = speak(visitor)
    assert answered <= {201, 404, 422}
    assert (201 in answered) == (guest in MAY_SPEAK)
    assert visitor.fields.keys() == SHOWN_TO[guest], visitor.fields


def test_what_a_maker_hands_over_has_nothing_hidden(
    browser: TestClient, walked: WalkedHome
) -> None:
    """Booklet, card, strands, file by mail and file of comments, as they are made for others."""
    maker = Visitor(browser, walked)
    browser.post("/api/session", json={"passphrase": PASSPHRASE}).raise_for_status()
    at = f"/api/briefs/{walked.brief_id}"
    sheets = "&".join(f"sheets={one}" for one in SHOWN)
    for file in (
        "booklet.pdf?leave_out=unclear&comments=true",
        "card.pdf",
        "strands.pdf?leave_out=unclear",
        f"for-comment.html?{sheets}",
        "comment-file?leave_out=private",
    ):
        assert maker.ask("GET", f"{at}/{file}").status_code == 200, file
    assert maker.fields.keys() == HANDED_OVER, maker.fields


# Several makers on one server


def walk_as_a_maker(visitor: Visitor, *, to: str) -> None:
    """Ask for everything there is by the ids of another maker's, and send all that can be sent;
    and do so from a page that is said to be of the workshop `to`."""
    walked = visitor.walked
    asked = visitor.ask("POST", "/api/workshops/going", json={"workshop_id": to})
    assert asked.status_code == 404
    for path, methods in visitor.routes.items():
        for address in itertools.islice(addresses(path, walked, ""), 2):
            for method in sorted(methods - {"HEAD"}):
                if (method, path) == ("DELETE", "/api/session"):
                    continue
                body = _as_json(walked.bodies.get((method, path)))
                for accept in ("text/html", "application/json") if method == "GET" else ("*/*",):
                    visitor.ask(method, address, accept, **body)
        visitor.headers = {"X-Workshop": to}
        answer = visitor.ask("GET", next(addresses(path, walked, ""), path))
        assert not answer.is_success or path.startswith((*OPEN, "/join")), path
        visitor.headers = {}
    assert visitor.ask("GET", "/api/briefs").status_code == 200  # signed in to the end


@pytest.mark.slow
@pytest.mark.parametrize("name", ["Bea", "Cleo"])
def test_another_maker_sees_nothing_of_it(guild: Guild, walked: WalkedHome, name: str) -> None:
    """Nor does who organises, as long as nothing is handed in."""
    other = Visitor(guild.of(name), walked)
    walk_as_a_maker(other, to="0")
    assert other.fields == {}
    assert other.asked > 700


@pytest.mark.slow
def test_who_organises_sees_what_was_handed_in_as_a_guest_does(
    guild: Guild, walked: WalkedHome
) -> None:
    sent = guild.of("Ana").post("/api/handed-in", json={"brief_id": walked.brief_id})
    assert sent.status_code == 201, sent.text
    page = guild.of("Cleo").get("/makers").text
    token = re.findall(r'"/s/([^"]+)"', page)[-1]
    organiser = Visitor(guild.of("Cleo"), walked, token)
    organiser.ask("GET", "/makers")
    walk_a_link(organiser, loaded_by(organiser), thorough=False)
    assert organiser.fields.keys() == OF_THEME | OF_THE_SHEETS
    for name in ("Bea", "Cleo"):
        other = Visitor(guild.of(name), walked)
        for path in other.routes:
            if path.startswith(("/api/handed-in", "/api/makers", "/makers")):
                other.ask("GET", path)
        assert other.fields.keys() == ({"briefs.title"} if name == "Cleo" else set())
