"""What stands open where the server answers other devices, and what opens the rest."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import timedelta
from http.cookies import Morsel, SimpleCookie
from urllib.parse import parse_qs, urljoin, urlsplit

import argon2
import pytest
from httpx2 import Response

from brief.api import pages, phone
from brief.api.app import create_app
from brief.api.limits import Rate, RateLimits
from brief.api.lock import OPEN_BODY_BYTES, own_address
from brief.services.sharing import owner
from brief.settings import Settings
from tests.asking import TestClient

QUICK = argon2.PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
PASSPHRASE = "heron tide lamp oar"
PAGE = {"Accept": "text/html"}
OPEN = {
    ("POST", "/api/session"),
    ("DELETE", "/api/session"),
    ("GET", "/sign-in"),
    ("GET", "/api/health"),
    ("GET", "/api/ready"),
}
A_MONTH_S = timedelta(days=30).total_seconds()

Ask = Callable[..., TestClient]


@pytest.fixture(scope="module")
def locked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    home = tmp_path_factory.mktemp("locked")
    with TestClient(create_app(Settings(home=home, hosts="testserver", locked=True))) as client:
        yield client


@pytest.fixture
def from_(locked: TestClient, store, monkeypatch: pytest.MonkeyPatch) -> Iterator[Ask]:
    """A browser with no cookies yet, at an address: `from_("192.0.2.9")`."""
    app = locked.app
    monkeypatch.setattr(owner, "_hasher", lambda: QUICK)  # full strength: tests/services
    with store.desk(writing=True) as desk:
        owner.set_passphrase(desk, PASSPHRASE)
    before, app.state.store = app.state.store, store
    app.state.limits = RateLimits()

    def browser(host: str = "192.0.2.1", base: str = "http://testserver") -> TestClient:
        return TestClient(app, base_url=base, client=(host, 50000), follow_redirects=False)

    yield browser
    app.state.store = before


@pytest.fixture
def stranger(from_: Ask) -> TestClient:
    return from_()


@pytest.fixture
def signed_in(from_: Ask) -> TestClient:
    browser = from_("192.0.2.2")
    assert sign_in(browser).status_code == 200
    return browser


def sign_in(browser: TestClient, passphrase: str = PASSPHRASE, **headers: str) -> Response:
    return browser.post("/api/session", json={"passphrase": passphrase}, headers=headers)


def cookie(answer: Response, name: str = "session") -> Morsel[str]:
    """The cookie that is set under a name that ends so."""
    (one,) = (
        morsel
        for header in answer.headers.get_list("set-cookie")
        for morsel in SimpleCookie(header).values()
        if morsel.key.endswith(name)
    )
    return one


def test_all_is_shut_but_what_has_to_be_open(stranger, refused) -> None:
    """401 with a challenge: RFC 9110, 15.5.2."""
    described = stranger.app.openapi()["paths"].items()
    asked = {(method.upper(), path) for path, ways in described for method in ways}
    assert len(asked) > 80
    asked |= {("GET", route.path) for route in (*pages.router.routes, *phone.router.routes)}
    assert len(asked) > 95
    asked |= {("GET", "/nothing"), ("GET", "/api"), ("GET", "/images/"), ("HEAD", "/")}
    for method, path in asked - OPEN:
        if path.startswith("/s/{token}"):  # its token opens it
            continue
        answer = stranger.request(method, re.sub(r"{[^}]+}", "0" * 26, path))
        assert answer.status_code == 401, (method, path)
        assert re.fullmatch(r'[A-Za-z]+ \w+=".*', answer.headers["www-authenticate"])
        if method != "HEAD":
            refused(answer, 401, "not_signed_in", "Sign in first")


@pytest.mark.parametrize(
    "path",
    ["/static/../api/briefs", "/s/../api/briefs", "/static/%2e%2e/api/briefs", "//api/briefs"],
)
def test_no_way_round_leads_in(stranger, path) -> None:
    """As the server passes it on: dot segments and doubled slashes as they were sent."""
    answer = stranger.get(f"http://testserver{path.replace('..', '%2e%2e')}")
    assert answer.status_code in (401, 404)
    assert "items" not in answer.text


def test_styles_and_scripts_and_what_is_shared_stand_open(stranger) -> None:
    assert stranger.get("/static/css/paper.css").status_code == 200
    assert stranger.get("/s/some-token").status_code != 401


@pytest.mark.parametrize("folder", ["/static", "/static/", "/static/js/", "/static/css"])
def test_no_folder_is_listed(signed_in, folder) -> None:
    answer = signed_in.get(folder, follow_redirects=True)
    assert answer.status_code == 404
    assert "app.js" not in answer.text


@pytest.mark.parametrize("path", ["/", "/briefs/x/theme?open=a%20b&open=c", "/method", "/api/docs"])
def test_who_asks_for_a_page_is_led_to_sign_in_and_back(stranger, path) -> None:
    answer = stranger.get(path, headers=PAGE)
    assert answer.status_code == 303
    to = urlsplit(answer.headers["location"])
    assert to.path == "/sign-in"
    assert parse_qs(to.query) == {"then": [path]}
    page = stranger.get(answer.headers["location"], headers=PAGE)
    assert page.status_code == 200
    assert f'data-goto="{path.replace("&", "&amp;")}"' in page.text
    assert sign_in(stranger).status_code == 200
    back = stranger.get(answer.headers["location"], headers=PAGE)
    assert (back.status_code, back.headers["location"]) == (303, path)


@pytest.mark.parametrize(
    "then",
    [
        "https://elsewhere.example/",
        "//elsewhere.example/",
        "/\\elsewhere.example/",
        "/\t/elsewhere.example/",  # browsers leave tabs and line ends out: WHATWG URL, 4.4
        "/\n/elsewhere.example/",
        "\\\\elsewhere.example/",
        "javascript:alert(1)",
        "elsewhere.example",
        "",
        "/sign-in?then=/sign-in",
    ],
)
def test_nobody_is_led_elsewhere(signed_in, then) -> None:
    assert own_address(then) == "/"
    assert signed_in.get("/sign-in", params={"then": then}).headers["location"] == "/"


def test_an_own_address_is_left_as_it_is() -> None:
    for then in ("/", "/briefs/x/theme", "/briefs/x/spec?open=a%20b#part-y"):
        assert own_address(then) == then
        assert urlsplit(urljoin("http://bench.local", then)).netloc == "bench.local"
    assert own_address("/briefs/{id}") == "/briefs/%7Bid%7D"


def test_the_cookie_is_for_this_server_alone(stranger) -> None:
    """RFC 6265bis, 4.1.2: HttpOnly, SameSite, Path, Max-Age."""
    answer = sign_in(stranger)
    kept = cookie(answer)
    assert (kept.key, kept["path"], kept["domain"]) == ("brief_session", "/", "")
    assert kept["httponly"] is True
    assert kept["samesite"].lower() == "lax"  # so that a followed link arrives signed in
    assert (kept["secure"], float(kept["max-age"])) == ("", A_MONTH_S)
    assert answer.headers["cache-control"] == "no-store"


def test_what_a_browser_is_known_by_opens_nothing(stranger, from_) -> None:
    """It stays behind where the owner has signed out, perhaps on a phone that was borrowed."""
    kept = cookie(sign_in(stranger), "known")
    assert (kept["path"], kept["domain"], kept["secure"]) == ("/", "", "")
    assert (kept["httponly"], kept["samesite"].lower()) == (True, "strict")
    other = from_()
    other.cookies.set("brief_known", kept.value)
    other.cookies.set("brief_session", kept.value)
    assert other.get("/api/briefs").status_code == 401
    assert sign_in(other, "a wrong guess of it").status_code == 401


def test_over_tls_it_never_leaves_tls(from_) -> None:
    """RFC 6265bis, 4.1.3.2: __Host- is kept only if Secure, with Path=/ and no Domain."""
    browser = from_(base="https://testserver")
    answer = sign_in(browser)
    for name in ("session", "known"):
        kept = cookie(answer, name)
        assert kept.key.startswith("__Host-")
        assert (kept["secure"], kept["path"], kept["domain"]) == (True, "/", "")
    assert browser.get("/api/briefs").status_code == 200
    gone = browser.delete("/api/session")
    assert gone.headers["clear-site-data"] == '"cache"'
    assert cookie(gone)["secure"] is True


def test_who_is_signed_in_reads_and_writes_until_signing_out(signed_in) -> None:
    own_page = {"Origin": "http://testserver"}
    made = signed_in.post("/api/briefs", json={"title": "Saltmarsh"}, headers=own_page)
    assert made.status_code == 201
    page = signed_in.get("/", headers=PAGE)
    assert "Saltmarsh" in page.text
    assert 'id="sign-out"' in page.text
    stolen = dict(signed_in.cookies)
    assert signed_in.delete("/api/session", headers=own_page).status_code == 204
    assert signed_in.get("/api/briefs").status_code == 401
    signed_in.cookies.update(stolen)  # the server has forgotten it, too
    assert signed_in.get("/api/briefs").status_code == 401
    assert signed_in.delete("/api/session").status_code == 204


@pytest.fixture
def a_brief(picture) -> Callable[[TestClient], tuple[str, dict]]:
    """Make a brief with a picture by that browser: its id, and the picture's addresses."""

    def made(browser: TestClient) -> tuple[str, dict]:
        brief = browser.post("/api/briefs", json={"title": "Saltmarsh"}).json()
        files = {"files": ("reeds.png", picture(), "image/png")}
        sent = browser.post("/api/references/pictures", files=files, data={"brief_id": brief["id"]})
        return brief["id"], sent.json()[0]["picture"]

    return made


def test_over_plain_http_a_browser_keeps_nothing_of_the_owners(signed_in, a_brief) -> None:
    """So that a phone that was borrowed has none of it after signing out. RFC 9111, 5.2.2.5."""
    brief, shown = a_brief(signed_in)
    at = [*(shown[size] for size in ("thumb", "page", "original")), f"/briefs/{brief}/references"]
    at += [f"/api/briefs/{brief}/{one}" for one in ("drawings/fretboard.svg", "comment-file")]
    for address in at:
        answer = signed_in.get(address)
        assert (answer.status_code, answer.headers["cache-control"]) == (200, "no-store"), address
    assert signed_in.get("/static/js/app.js").headers.get("cache-control") is None


def test_over_tls_a_picture_is_kept_but_asked_for_again_each_time(from_, a_brief) -> None:
    """RFC 9111, 5.2.2.4 and 5.2.2.7; 304: RFC 9110, 15.4.5, compared weakly (13.1.2)."""
    browser = from_(base="https://testserver")
    sign_in(browser)
    _, shown = a_brief(browser)
    for size in ("thumb", "page", "original"):
        first = browser.get(shown[size])
        assert first.headers["cache-control"] == "private, no-cache"
        etag = first.headers["etag"]
        for known in (etag, f'"other", W/{etag}'):
            again = browser.get(shown[size], headers={"If-None-Match": known})
            assert (again.status_code, again.content) == (304, b"")
            assert again.headers["etag"] == etag
        other = browser.get(shown[size], headers={"If-None-Match": '"other"'})
        assert (other.status_code, other.content) == (200, first.content)
    assert len({browser.get(shown[size]).headers["etag"] for size in ("thumb", "page")}) == 2
    nothing = shown["page"].replace(shown["sha256"], "0" * 64)
    assert browser.get(nothing, headers={"If-None-Match": etag}).status_code == 404
    browser.delete("/api/session")
    assert browser.get(shown["page"], headers={"If-None-Match": etag}).status_code == 401


def test_a_new_passphrase_shuts_out_whoever_is_in(signed_in, store) -> None:
    with store.desk(writing=True) as desk:
        owner.set_passphrase(desk, "curlew mast tar rope")
    assert signed_in.get("/api/briefs").status_code == 401
    assert sign_in(signed_in).status_code == 401
    assert sign_in(signed_in, "curlew mast tar rope").status_code == 200


@pytest.mark.parametrize("made_up", ["", "x" * 43, "\u00ff" * 43, "0" * 100_00])
def test_a_made_up_cookie_opens_nothing(stranger, made_up) -> None:
    headers = {"Cookie": f"brief_session={made_up}".encode("latin-1")}
    assert stranger.get("/api/briefs", headers=headers).status_code == 401


def test_wrong_and_missing_are_answered_alike(from_, store, refused) -> None:
    answers = [
        sign_in(from_(), "heron tide lamp oak"),
        sign_in(from_(), ""),
        from_().post("/api/session", json={}),
    ]
    with store.desk(writing=True) as desk:
        desk.session.execute(owner.delete(owner.Passphrase))
    answers.append(sign_in(from_()))
    bodies = [refused(one, 401, "not_signed_in", "is not the passphrase") for one in answers]
    assert all(body == bodies[0] for body in bodies)
    assert all("set-cookie" not in one.headers for one in answers)


def test_what_is_no_passphrase_is_said_so(stranger, refused) -> None:
    send = stranger.post
    refused(send("/api/session", json={"passphrase": 7}), 422, "bad_input", pointer="/passphrase")
    refused(send("/api/session", json={"password": "x"}), 422, "bad_input", pointer="/password")
    refused(send("/api/session", content=b"{"), 422, "bad_input")


def test_guesses_are_few(from_, refused) -> None:
    """429: RFC 6585, 4. Retry-After in seconds: RFC 9110, 10.2.3."""
    from_().app.state.limits = RateLimits({"passphrase": Rate(2, 60)})
    for _ in range(3):  # what was right is no guess
        assert sign_in(from_()).status_code == 200
    for _ in range(2):
        assert sign_in(from_(), "wrong").status_code == 401
    answer = sign_in(from_())
    refused(answer, 429, "too_many", "Try again in")
    assert 1 <= int(answer.headers["retry-after"]) <= 30
    assert "set-cookie" not in answer.headers
    assert sign_in(from_("192.0.2.77")).status_code == 200


def test_where_the_owner_signed_in_before_strangers_tries_at_the_address_do_not_count(
    from_, refused
) -> None:
    known, stranger = from_(), from_()
    assert sign_in(known).status_code == 200
    known.app.state.limits = RateLimits({"passphrase": Rate(2, 60)}, clock=lambda: 0.0)
    for _ in range(2):
        assert sign_in(stranger, "wrong").status_code == 401
    refused(sign_in(stranger), 429, "too_many")
    assert sign_in(known).status_code == 200
    for _ in range(2):  # its own tries are as few
        assert sign_in(known, "wrong").status_code == 401
    refused(sign_in(known), 429, "too_many")


def test_uploads_are_no_more_than_anybody_shoots(signed_in, picture, refused) -> None:
    signed_in.app.state.limits = RateLimits({"upload": Rate(1, 60)})
    files = {"files": ("plank.png", picture(), "image/png")}
    assert signed_in.post("/api/materials/pictures", files=files).status_code == 201
    refused(signed_in.post("/api/materials/pictures", files=files), 429, "too_many")
    assert signed_in.post("/api/briefs", json={"title": "Marsh"}).status_code == 201


def test_a_stranger_sends_little(stranger, refused) -> None:
    """Told by its length, or found out on the way."""
    long = b" " * (OPEN_BODY_BYTES + 1)
    kind = {"Content-Type": "application/json"}
    for body in (long, iter([long[:1000], long[1000:]])):
        refused(stranger.post("/api/session", content=body, headers=kind), 413, "too_large")
    assert stranger.post("/api/references/pictures", content=long).status_code == 401


def test_a_page_of_another_site_signs_nobody_in_or_out(signed_in, refused) -> None:
    foreign = {"Origin": "http://elsewhere.example"}
    refused(sign_in(signed_in, **foreign), 403, "foreign_page")
    refused(signed_in.delete("/api/session", headers=foreign), 403, "foreign_page")
    assert signed_in.get("/api/briefs").status_code == 200


def test_another_name_leads_nowhere_even_signed_in(signed_in) -> None:
    answer = signed_in.get("/api/briefs", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 421


def test_on_this_computer_alone_nothing_is_asked(client, store) -> None:
    with store.desk(writing=True) as desk:
        owner.set_passphrase(desk, PASSPHRASE)
    assert client.get("/api/briefs").status_code == 200
    page = client.get("/", headers=PAGE)
    assert page.status_code == 200
    assert 'id="sign-out"' not in page.text
    led = client.get("/sign-in", params={"then": "/method"}, follow_redirects=False)
    assert (led.status_code, led.headers["location"]) == (303, "/method")
