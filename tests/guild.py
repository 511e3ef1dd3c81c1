"""A server that several makers share, for tests: Ana owns it, Bea works there, Cleo organises."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from pydantic import SecretStr

from brief.api.app import create_app
from brief.services.makers import register
from brief.services.sharing import owner
from brief.settings import Settings
from brief.store.desk import Store
from tests.asking import TestClient

PASSPHRASE = {name: f"unrelated words of {name} alone" for name in ("Ana", "Bea", "Cleo", "Dan")}


class Guild:
    """Its app, and the browsers of its makers."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app
        self._browsers: dict[str, TestClient] = {}

    def browser(self) -> TestClient:
        """One in which nobody is signed in."""
        return TestClient(self.app)

    def of(self, name: str) -> TestClient:
        """One in which that maker is signed in, the same each time."""
        if name not in self._browsers:
            self._browsers[name] = browser = self.browser()
            sent = {"name": name, "passphrase": PASSPHRASE[name]}
            assert browser.post("/api/session", json=sent).status_code == 200
        return self._browsers[name]

    def join(self, name: str, *, organises: bool = False) -> TestClient:
        """Have the owner invite somebody, who accepts."""
        asked = {"name": name, "organises": organises}
        link = self.of("Ana").post("/api/makers/invitations", json=asked).json()["link"]
        token = link.partition("#")[2]
        sent = {"token": token, "passphrase": PASSPHRASE[name]}
        answer = self.browser().post("/api/makers/joining", json=sent)
        assert answer.status_code == 201, answer.text
        return self.of(name)

    def number(self, name: str) -> int:
        """The number of a maker."""
        with self.app.state.store.desk() as desk:
            return register.numbered(desk, name) or 0


def make(browser: TestClient, many: str, **sent: Any) -> dict[str, Any]:
    """Make a record by the API."""
    answer = browser.post(f"/api/{many}", json=sent)
    assert answer.status_code == 201, answer.text
    made: dict[str, Any] = answer.json()
    return made


@contextmanager
def served_guild(home: Path, url: str | None = None) -> Iterator[Guild]:
    """Serve one. url : of its database, if that is on a server."""
    with closing(Store(home, url)) as store, store.desk(writing=True) as desk:
        owner.set_passphrase(desk, PASSPHRASE["Ana"])
        register.open_to_others(desk, "Ana")
    with opened_guild(home, url) as guild:
        guild.join("Bea")
        guild.join("Cleo", organises=True)
        yield guild


@contextmanager
def opened_guild(home: Path, url: str | None = None) -> Iterator[Guild]:
    """Serve one that is there already."""
    settings = Settings(home=home, hosts="testserver", database_url=url and SecretStr(url))
    with TestClient(create_app(settings)) as client:
        yield Guild(client.app)  # type: ignore[arg-type]
