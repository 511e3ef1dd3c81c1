"""Every operation of the API document, called with what schemathesis makes up from the document:
each answers, and refuses in words. Short by default, and long."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import argon2
import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis import Case, GenerationMode
from schemathesis.core import NOT_SET
from schemathesis.core.failures import Failure
from schemathesis.schemas import APIOperation

from brief.api.app import create_app
from brief.api.limits import RateLimits
from brief.services import nouns
from brief.services.sharing import owner
from brief.settings import Settings
from brief.store.desk import DATABASE, Store
from tests.asking import TestClient
from tests.fuzz.right_calls import RightCalls
from tests.studio_at_once import studio_at_once

pytestmark = pytest.mark.slow

SHORT, LONG = 2, 40  # calls of each operation, after one that is right
QUICK = argon2.PasswordHasher(time_cost=1, memory_cost=64, parallelism=1)
PASSPHRASE = "heron tide lamp oar"
TIMEOUT_S = 300
ANY_VERSION = {"If-Match": "*"}
PROBLEM = "application/problem+json"
MADE_UP = [GenerationMode.POSITIVE, GenerationMode.NEGATIVE]
# What Python says before it writes, and before it reaches beyond this computer's files.
WRITES = {"os.remove", "os.rename", "os.mkdir", "os.rmdir", "os.truncate", "os.link", "os.symlink"}
REACHES = {"socket.connect", "socket.getaddrinfo", "subprocess.Popen", "os.system"}

Operation = APIOperation[Any, Any, Any, Any]


class Watch:
    """Notes what is written outside a folder, and what is called, while it is told to look."""

    def __init__(self) -> None:
        self.inside: str | None = None
        self.seen: list[str] = []
        sys.addaudithook(self._hear)

    def _hear(self, event: str, told: tuple[Any, ...]) -> None:
        if self.inside is None:
            return
        writes = event in WRITES or (
            event == "open" and isinstance(told[2], int) and told[2] & (os.O_RDWR | os.O_WRONLY)
        )
        path = os.fspath(told[0]) if writes and isinstance(told[0], str | os.PathLike) else ""
        # Python's own bytecode may be kept in a folder of the tests (`tests/conftest.py`).
        allowed = (self.inside, sys.pycache_prefix or self.inside)
        if event in REACHES or (path and not os.path.abspath(path).startswith(allowed)):
            self.seen.append(f"{event} {told!r:.200}")

    @contextmanager
    def __call__(self, inside: Path) -> Iterator[None]:
        self.inside = str(inside.resolve())
        try:
            yield
        finally:
            self.inside = None


@pytest.fixture(scope="module")
def watch() -> Watch:
    return Watch()  # a hook cannot be taken away again


def copy_records(of: Path, to: Path) -> None:
    with closing(sqlite3.connect(of)) as source, closing(sqlite3.connect(to)) as target:
        source.backup(target)


class Api:
    """The API over a filled home, and what it answered."""

    def __init__(self, whole_home: tuple[Path, str], folder: Path, watch: Watch) -> None:
        self.folder, self.watch = folder, watch
        self.home = folder / "home"
        shutil.copytree(whole_home[0], self.home)
        self.app = create_app(Settings(home=self.home, hosts="testserver", locked=True))
        store: Store = self.app.state.store
        with store.desk(writing=True) as desk:
            owner.set_passphrase(desk, PASSPHRASE)
        studio_at_once(self.app)
        client = TestClient(self.app, follow_redirects=False)
        assert client.post("/api/session", json={"passphrase": PASSPHRASE}).status_code == 200
        self.cookies = dict(client.cookies)
        self.right = RightCalls(client, whole_home[1], PASSPHRASE)
        self.filled = folder / "filled.sqlite3"
        copy_records(self.home / DATABASE, self.filled)
        self.statuses: dict[str, Counter[int]] = {}
        self.found: list[str] = []
        self.is_changed = False
        self.schema = schemathesis.openapi.from_dict(self.right.document)
        self.schema.app = self.app
        self.operations = [one.ok() for one in self.schema.get_all_operations()]

    def as_it_was(self) -> None:
        """Put all records back; files are only ever added."""
        copy_records(self.filled, self.home / DATABASE)

    def send(self, case: Case) -> None:
        """Call it, on records that no call before it has changed."""
        operation = case.operation
        if self.is_changed:
            self.as_it_was()
        self.is_changed = operation.method.upper() != "GET"
        self.app.state.limits = RateLimits()  # a refusal for haste would look at nothing
        said = f"{operation.label} {case.path_parameters} {case.query} {case.body!r:.500}"
        try:
            with self.watch(self.folder):
                answer = case.call(cookies=self.cookies, timeout=TIMEOUT_S)
            case.validate_response(answer, checks=[schemathesis.checks.not_a_server_error])
        except Failure as failure:
            self.found.append(f"{said}: {failure.title}")
            return
        except Exception:
            self.found.append(f"{said}: {traceback.format_exc(limit=-3)}")
            return
        self.statuses.setdefault(operation.label, Counter())[answer.status_code] += 1
        kind = answer.headers.get("content-type", [""])[0]
        if answer.status_code >= 400 and kind != PROBLEM:
            self.found.append(f"{said}: {answer.status_code} as {kind}")

    def try_all(self, count: int) -> None:
        for operation in self.operations:
            self.send(self.right_case(operation))
            self.try_out(operation, count)

    def right_case(self, operation: Operation) -> Case:
        call = self.right.of(operation.method.upper(), operation.path)
        places = {
            one.name: self.right.at(operation.path, one.name) or one.definition["schema"]["enum"]
            for one in operation.path_parameters
        }
        return operation.Case(
            path_parameters={name: found[0] for name, found in places.items()},
            query=call.get("query", {}),
            headers=ANY_VERSION,
            body=call.get("body", NOT_SET),
            media_type=operation.body[0].media_type if operation.body else None,
        )

    def try_out(self, operation: Operation, count: int) -> None:
        right = self.right_case(operation)
        made_up = st.one_of(*(operation.as_strategy(mode) for mode in MADE_UP))

        @settings(
            max_examples=count,
            derandomize=True,
            database=None,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(st.data())
        def run(data: st.DataObject) -> None:
            self.send(self.nearly_right(data, right, data.draw(made_up)))

        run()

    def nearly_right(self, data: st.DataObject, right: Case, made_up: Case) -> Case:
        """What is right, with some of what was made up in its places: a call that is wrong all
        through is refused at the door."""

        def often() -> bool:
            return data.draw(st.integers(0, 3)) < 3

        path = dict(made_up.path_parameters)
        for name in path:
            known = self.right.at(made_up.operation.path, name)
            if known and often():
                path[name] = data.draw(st.sampled_from(known))
        body = made_up.body
        if isinstance(right.body, dict) and isinstance(body, dict) and often():
            fields = data.draw(st.sets(st.sampled_from(sorted(body)), max_size=3)) if body else ()
            body = self.naming(data, right.body | {name: body[name] for name in fields})
        # A new one: of what was made up to be wrong, some would be left out again when it is sent.
        return made_up.operation.Case(
            path_parameters=path,
            query=self.naming(data, right.query | dict(made_up.query or {})),
            headers=ANY_VERSION if often() else made_up.headers,
            body=body,
            media_type=made_up.media_type,
        )

    def naming(self, data: st.DataObject, fields: dict[str, Any]) -> dict[str, Any]:
        """With ids of what there is, in most places where one should be."""
        for name, value in fields.items():
            if name.endswith(("_id", "_ids")) and data.draw(st.integers(0, 3)) < 3:
                one = st.sampled_from(self.right.named(name))
                fields[name] = data.draw(st.lists(one) if isinstance(value, list) else one)
        return fields


@pytest.fixture(scope="module")
def filled(
    whole_home: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory, watch: Watch
) -> Iterator[Api]:
    folder = tmp_path_factory.mktemp("api")
    (folder / "temporary").mkdir()
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(owner, "_hasher", lambda: QUICK)  # full strength: tests/services
        patched.setattr(tempfile, "tempdir", str(folder / "temporary"))
        made = Api(whole_home, folder, watch)
        yield made
        made.app.state.store.close()


@pytest.fixture
def api(filled: Api) -> Api:
    """With nothing called yet."""
    filled.statuses.clear()
    filled.found.clear()
    filled.watch.seen.clear()
    return filled


def nothing_falls(api: Api, count: int) -> None:
    api.try_all(count)
    every = Counter[int]()
    for counted in api.statuses.values():
        every += counted
    calls = every.total()
    print(f"{calls} calls of {len(api.operations)} operations: {dict(sorted(every.items()))}")
    assert api.found == []
    assert api.watch.seen == []
    # It would prove nothing if all were refused at the door.
    assert len(api.operations) > 175
    assert [label for label, seen in api.statuses.items() if not any(s < 300 for s in seen)] == []
    assert sum(count for status, count in every.items() if status < 300) > calls * 0.3
    assert every[401] + every[429] < calls * 0.03


def test_every_operation_answers(api) -> None:
    nothing_falls(api, SHORT)


@pytest.mark.long
def test_every_operation_answers_what_is_made_up_in_many_ways(api) -> None:
    nothing_falls(api, LONG)


def test_an_error_of_the_program_would_be_noticed(api, monkeypatch) -> None:
    monkeypatch.setattr(nouns.briefs, "page", None)
    api.send(api.right_case(api.operations[0]))
    assert "TypeError" in api.found[0]


def test_what_is_written_elsewhere_would_be_noticed(api, tmp_path) -> None:
    with api.watch(tmp_path / "home"):
        (tmp_path / "elsewhere").write_text("x")
    assert "elsewhere" in api.watch.seen[0]
