"""The API as a caller sees it: make things, look at refusals, count what is on the disk."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from httpx2 import Response
from sqlalchemy import select

from brief.store.desk import Store
from brief.store.records import Base
from tests.api.once import Filled, Once, fixture_once
from tests.asking import TestClient
from tests.studio_at_once import taken

Json = dict[str, Any]
# An egg in true millimetres, 400 long and 300 wide: a body with a lower bout alone.
MOULD = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="400mm" viewBox="0 0 300 400">'
    b'<path d="M150 0C230 0 300 180 300 250C300 333 233 400 150 400C67 400 0 333 0 250'
    b'C0 180 70 0 150 0Z"/></svg>'
)
HOURS = {"quick_h": 2, "likely_h": 3, "slow_h": 5}
FINISH = {"bare": (150, 111, 74), "oiled": (120, 80, 48)}
# What a Python program says when nobody put it into words.
JARGON = re.compile(
    r"Traceback|Exception|Error\b|NoneType|\bNone\b|\bdict\b|sqlite|sqlalchemy|pydantic|"
    r"\bstr\b|\bint\b|codec|surrogates not allowed|value_error|<class|0x[0-9a-f]{6}|Input should"
)
SENTENCE = re.compile(r"[A-Z“'].*[.?!]", re.DOTALL)


@pytest.fixture(scope="session")
def filled_homes() -> Filled:
    return {}


@pytest.fixture
def once(
    request: pytest.FixtureRequest,
    store: Store,
    filled_homes: Filled,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[[str, Callable[[], Any]], Any]]:
    """Make something in the home once a session: `once("reeds", lambda: send(...).json())`."""
    # Files are copied; what is on a server is not.
    if request.config.getoption("--postgres") or request.config.getoption("--bucket"):
        yield lambda _, made: made()
        return
    kept = Once(store.home, filled_homes, lambda: tmp_path_factory.mktemp("filled"))
    yield kept
    kept.database.close()


@pytest.fixture
def make(client: TestClient) -> Callable[..., Json]:
    """POST one thing and return it; `make("motifs", brief_id=..., name=...)`."""

    def made(noun: str, **fields: object) -> Json:
        response = client.post(f"/api/{noun}", json=fields)
        assert response.status_code == 201, response.text
        return response.json()

    return made


@pytest.fixture
def send(client: TestClient, brief: Json) -> Callable[..., Response]:
    """Send pictures for references of the brief, as a form does; `send(("reeds.png", data))`.

    To the rack with `to="materials"`, and to one piece with `to="photographs", material_id=...`.
    """

    def sent(*files: tuple[str, bytes], to: str = "references", **fields: object) -> Response:
        return client.post(
            f"/api/{to}/pictures",
            files=[("files", (name, data, "image/jpeg")) for name, data in files],
            data={"brief_id": brief["id"], **fields} if to == "references" else fields,
        )

    return sent


@pytest.fixture
def change(client: TestClient) -> Callable[..., Response]:
    """PATCH a record, a photograph if nothing else is said, whatever version it has."""

    def changed(one: Json, noun: str = "photographs", **fields: object) -> Response:
        at = f"/api/{noun}/{one['id']}"
        return client.patch(at, json=fields, headers={"If-Match": "*"})

    return changed


@pytest.fixture
def add_shot(make: Callable[..., Json], send: Callable[..., Response]) -> Callable[[bytes], Json]:
    """Send a photograph of a piece of its own; what is made of it."""

    def added(data: bytes) -> Json:
        piece = make("materials", label="board")
        response = send(("shot.png", data), to="photographs", material_id=piece["id"])
        assert response.status_code == 201, response.text
        return response.json()[0]

    return added


@fixture_once
def brief(make: Callable[..., Json]) -> Json:
    return make("briefs", title="Saltmarsh")


@pytest.fixture
def one_of(
    once: Once,
    brief: Json,
    make: Callable[..., Json],
    send: Callable[..., Response],
    picture: Callable[..., bytes],
    client: TestClient,
) -> Callable[[str], Json]:
    """Make one record of a noun, and what it needs: `one_of("palettes")`."""
    here = {"brief_id": brief["id"]}
    about = {"about_kind": "brief", "about_id": brief["id"]}

    def finish_test() -> Json:
        walnut = {"material_id": ways["materials"]()["id"]}
        files = [(f"{state}.png", picture(colour)) for state, colour in FINISH.items()]
        before, after = send(*files, to="photographs", **walnut).json()
        shots = {"before_id": before["id"], "after_id": after["id"]}
        return make("finish-tests", **walnut, **shots, name="oil")

    def question() -> Json:
        swatches = [make("swatches", **here, colour=hex_)["id"] for hex_ in ("#2f6f62", "#caa15b")]
        return make("questions", **here, text="Which binding?", choices=swatches)

    def leg() -> Json:
        home = make("stops", **here, name="workshop", role="home", zone="Europe/Amsterdam")
        ends = {"from_id": home["id"], "to_id": ways["stops"]()["id"]}
        return make("legs", **here, **ends, leaves_on="2027-05-14")

    ways: dict[str, Callable[[], Json]] = {
        "briefs": lambda: brief,
        "kinds": lambda: make("kinds", **here, name="Small parlour"),
        "tracings": lambda: send(("mould.svg", MOULD), to="tracings", **here).json()[0],
        "motifs": lambda: make("motifs", **here, name="reed"),
        "notes": lambda: make("notes", **about, text="ask about the case"),
        "references": lambda: send(("reed-bed.png", picture())).json()[0],
        "palettes": lambda: make("palettes", reference_id=ways["references"]()["id"], colours=2),
        "swatches": lambda: make("swatches", **here, colour="#2f6f62"),
        "materials": lambda: make("materials", label="walnut", reading="Lab 30 9 15"),
        "photographs": lambda: send(
            ("plank.png", picture()), to="photographs", material_id=ways["materials"]()["id"]
        ).json()[0],
        "finish-tests": finish_test,
        "pairings": lambda: make(
            "pairings",
            **here,
            ground_id=ways["materials"]()["id"],
            inlay_id=make("materials", label="shell", reading="Lab 88 0 3")["id"],
        ),
        "stocks": lambda: make("stocks", name="Guild store"),
        "stages": lambda: make("stages", **here, name="Close the box", **HOURS),
        "absences": lambda: make("absences", **here, name="Easter", last_on="2027-03-29"),
        "stops": lambda: make("stops", **here, name="the net loft", zone="Europe/London"),
        "legs": leg,
        "stays": lambda: make("stays", **here, stop_id=ways["stops"]()["id"], from_on="2027-05-14"),
        "contacts": lambda: make("contacts", **here, name="the fair’s office"),
        "things-to-pack": lambda: make("things-to-pack", **here, name="hygrometer"),
        "attachments": lambda: send(("ticket.png", picture()), to="attachments", **here).json()[0],
        "bought-parts": lambda: make("bought-parts", **here, name="Tuners", price=96.5),
        "pieces-used": lambda: make(
            "pieces-used", **here, material_id=make("materials", label="elm")["id"], share=40
        ),
        "viewings": lambda: make("viewings", **here, name="the hall", light="LED-B3"),
        "climates": lambda: make("climates", **here, name="the hall", humidity="45 %"),
        "parts": lambda: make("parts", **here, role="end graft"),
        "inlays": lambda: make("inlays", **here, name="dots", shape="dot", frets="3 5 7"),
        "studio-pictures": lambda: client.get(
            taken(client, here["brief_id"])["studio_picture"]
        ).json(),
        "comments": lambda: make("comments", **here, **about, text="too dark"),
        # Its address and its link are told once, when it is made.
        "calendar-links": lambda: (
            make("calendar-links", **here, name="my phone") | {"address": None, "link": None}
        ),
        "shares": lambda: (
            make("shares", **here, name="the bird counter") | {"address": None, "link": None}
        ),
        "revisions": lambda: make("revisions", **here, note="as shown"),
        "questions": question,
        "answers": lambda: make("answers", question_id=question()["id"], choice=1),
    }
    return lambda noun: once(f"one of {noun}", ways[noun])


# As text: 46 statements put together anew take longer than most of what is asked for in between.
ALL_ROWS = {
    table.name: str(select(table).order_by(*table.primary_key))
    for table in Base.metadata.sorted_tables
}


@pytest.fixture
def on_disk(home: Path, store: Store) -> Callable[[], Json]:
    """All rows of all tables, and all files: what must not change when nothing was saved."""

    def counted() -> Json:
        with store._database.engine.connect() as connection:
            rows = {
                name: [tuple(row) for row in connection.exec_driver_sql(asked)]
                for name, asked in ALL_ROWS.items()
            }
        files = sorted(str(p) for p in (home / "images").rglob("*") if p.is_file())
        return {"rows": rows, "files": files}

    return counted


@pytest.fixture(scope="session")
def refused(served: TestClient) -> Callable[..., Json]:
    """Check that an answer is a problem as RFC 9457 has it, in words; returns its body.

    It must also be one that the API's own description says can be answered there. Made once:
    the description and a pattern for each path would cost every test more than its own calls.
    """
    described = {
        (method.upper(), re.compile(re.sub(r"{\w+}", "[^/]+", path))): set(operation["responses"])
        for path, item in served.app.openapi()["paths"].items()
        for method, operation in item.items()
    }

    def checked(
        response: Response, status: int, code: str, detail: str = "", *, pointer: str | None = None
    ) -> Json:
        assert response.status_code == status, response.text
        assert response.headers["content-type"] == "application/problem+json"
        body = response.json()
        assert set(body) == {"type", "title", "status", "detail", "instance", "errors"}
        assert body["type"] == f"/api/docs#problem-{code}"
        assert body["status"] == status
        assert body["title"]
        assert body["instance"] == response.request.url.path
        assert re.search(detail, body["detail"]), body["detail"]
        said = [body["detail"], *(fault["detail"] for fault in body["errors"])]
        assert not [text for text in said if JARGON.search(text)], said
        assert all(SENTENCE.fullmatch(text) for text in said), said
        asked = response.request
        for (method, path), statuses in described.items():
            if (
                method == asked.method
                and path.fullmatch(asked.url.path)
                and status not in (421, 500)
            ):
                assert str(status) in statuses, (method, path)
        if pointer is not None:
            assert pointer in [fault["pointer"] for fault in body["errors"]], body["errors"]
        return body

    return checked
