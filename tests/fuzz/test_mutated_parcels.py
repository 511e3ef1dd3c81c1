"""A packed brief with one thing in it changed: it is refused in words, or all of it can be looked
at. Nothing that was taken may break an address, and every page and listing of it answers 200."""

from __future__ import annotations

import copy
import io
import json
import random
import re
import shutil
import zipfile
from collections import defaultdict
from collections.abc import Callable, Iterator
from pathlib import Path as FilePath
from typing import Any

import pytest

from brief.services.sharing.shares import SHOWN
from brief.store.desk import Store
from tests.asking import TestClient
from tests.fuzz.whole_brief import Json, addresses, look_at

pytestmark = pytest.mark.slow

Path = tuple[str | int, ...]  # of keys and places, from the document inwards
SHORT, LONG = 25, 500
REMOVED, TWICE = object(), object()
ID = re.compile(r"\b[0-9A-Z]{26}\b")
TOKEN = re.compile(r"(?<=/s/)[^/?]+")
OF_WHAT_IS_IN_IT = re.compile(r"/images/|/drawings/|\?")
# What no column, text or list is meant to hold; and what some are.
HOSTILE: tuple[Any, ...] = (
    *(None, True, False, 0, -1, 1, 7, 2**31, 2**63, -(2**63), 2**70),
    *(0.0, -0.5, 1e-300, 1e-9, 0.1, 1e9, 1e308, -1e308),
    *("", " ", "a", "<b>", "\0", "\u202ex", "a" * 300, "x" * 30_000, "7", "-1e400", "null"),
    *("2027-05-14", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59.999999Z", "none", "brief"),
    *("xywh=percent:0,0,0.001,0.001", "xywh=percent:99.999,99.999,0.001,0.001", "0,0 0,0"),
    *("javascript:alert(1)", "../../x", "M0 0L1e9 1e9Z", "LED-B3", "lamp", "grey card 18 %"),
    *([], [[]], [None], ["a"], [0], [1e308, 1, 1], [[1, 2], [3, 4]], list(range(3000))),
    *({}, {"a": 1}, {"kind": "brief", "id": "a"}, {"centre": 50, "match": "one", "turn": 7}),
    *(REMOVED, TWICE),
)


@pytest.fixture(scope="session")
def members(whole_home: tuple[FilePath, str], served: TestClient) -> dict[str, bytes]:
    """What is in the zip of a whole brief, by name."""
    home, brief_id = whole_home
    store = Store(home)
    own, served.app.state.store = served.app.state.store, store
    packed = served.get(f"/api/briefs/{brief_id}/parcel.zip").content
    served.app.state.store = own
    store.close()
    opened = zipfile.ZipFile(io.BytesIO(packed))
    return {name: opened.read(name) for name in opened.namelist()}


@pytest.fixture
def bring(
    served: TestClient, tmp_path: FilePath, empty_database: FilePath, members: dict[str, bytes]
) -> Iterator[Callable[[Json], Any]]:
    """Bring a document into a home of its own, with the pictures of the whole brief."""
    own, number = served.app.state.store, iter(range(LONG + 1))

    def brought(document: Json) -> Any:
        home = tmp_path / str(next(number))
        home.mkdir()
        shutil.copy(empty_database, home)
        served.app.state.store.close()
        served.app.state.store = Store(home)
        target = io.BytesIO()
        with zipfile.ZipFile(target, "w") as packed:
            for name, data in (members | {"brief.json": json.dumps(document).encode()}).items():
                packed.writestr(name, data)
        return served.post("/api/parcels", files={"file": ("a.zip", target.getvalue())})

    served.app.state.store = Store(tmp_path / "first")
    yield brought
    served.app.state.store.close()
    served.app.state.store = own


def places(value: Any, at: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Everything in a document, and where it is."""
    if at:
        yield at, value
    if isinstance(value, dict | list):
        for step, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from places(inner, (*at, step))


def mutations(document: Json, count: int, seed: int) -> Iterator[tuple[Path, Any, Json]]:
    """That many documents, each with one thing changed: where, to what. Of places that differ only
    by their number in a list, one is as good as another."""
    chance = random.Random(seed)
    kinds: dict[Path, list[tuple[Path, Any]]] = defaultdict(list)
    for at, value in places(document):
        kinds[tuple("*" if isinstance(step, int) else step for step in at)].append((at, value))
    alike = [value for at, value in places(document) if isinstance(value, str | int | float)]
    chosen = sorted(kinds, key=str)
    chance.shuffle(chosen)
    for at in range(count):
        path, before = chance.choice(kinds[chosen[at % len(chosen)]])
        # Some of the document's own values, too: an id of another kind, another's name or time.
        value = chance.choice((chance.choice(HOSTILE), chance.choice(alike)))
        if value is before:
            value = REMOVED
        yield path, value, changed(document, path, value)


def changed(document: Json, path: Path, value: Any) -> Json:
    """The document but for that; all that stands beside the way there is shared with it."""
    mutated = copy.copy(document)
    inside: Any = mutated
    for step in path[:-1]:
        inside[step] = copy.copy(inside[step])
        inside = inside[step]
    if value is REMOVED:
        del inside[path[-1]]
    elif value is TWICE and isinstance(inside, list):
        inside.insert(0, copy.deepcopy(inside[path[-1]]))
    else:
        inside[path[-1]] = None if value is TWICE else value
    return mutated


def look(client: TestClient, document: Json, *, thorough: bool) -> dict[str, int]:
    """Every page and GET route of a brief that was taken, for its maker and for guests."""
    brief_id = document["brief_id"]
    frozen = client.get("/api/revisions", params={"brief_id": brief_id}).json()["items"]
    tokens = []
    for revision_id in (None, *(one["id"] for one in frozen)):
        asked = {"brief_id": brief_id, "name": "x", "sheets": list(SHOWN)}
        link = client.post("/api/shares", json=asked | {"revision_id": revision_id})
        tokens.append(link.json()["address"].removeprefix("/s/"))
    return look_at(client, addresses(client.app, document, tokens, thorough=thorough))


def of_the_brief(seen: dict[str, int], brief_id: str) -> dict[str, int]:
    """What its pages and listings answered: those that a brief has whatever is in it."""
    return {
        TOKEN.sub("token", at): status
        for at, status in seen.items()
        if {*ID.findall(at)} <= {brief_id} and not OF_WHAT_IS_IN_IT.search(at)
    }


def broken(
    client: TestClient,
    bring: Callable[[Json], Any],
    members: dict[str, bytes],
    count: int,
    seed: int,
) -> list[str]:
    document = json.loads(members["brief.json"])
    assert bring(document).status_code == 201
    whole = of_the_brief(look(client, document, thorough=False), document["brief_id"])
    pages = {at for at, status in whole.items() if status == 200}
    assert len(pages) > 45
    found, taken = [], 0
    for number, (path, value, mutated) in enumerate(mutations(document, count, seed)):
        if number % 50 == 0:  # the long form takes the better part of an hour
            print(f"{number} changes, {taken} taken, {len(found)} findings", flush=True)
        said = f"{'/'.join(map(str, path))} = {value!r:.60}"
        try:
            answer = bring(mutated)
        except Exception as exc:
            found.append(f"{said}: the import raised {exc!r:.200}")
            continue
        if answer.status_code not in (200, 201):
            problem = answer.json()
            if answer.status_code not in (413, 422) or not problem["errors"][0]["detail"]:
                found.append(f"{said}: the import answered {answer.status_code}")
            continue
        taken += 1
        seen = look(client, mutated, thorough=number % 10 == 0)
        found += [f"{said}: {status} at {at}" for at, status in seen.items() if status >= 500]
        # What no page leads to any more, as with one piece to pair, must be there all the same.
        unnamed = [at for at in sorted(pages) if at not in seen and "token" not in at]
        seen |= look_at(client, iter(unnamed))
        now = of_the_brief(seen, mutated["brief_id"])
        found += [f"{said}: {now.get(at)} at {at}" for at in sorted(pages) if now.get(at) != 200]
    print(f"{count} changes, {taken} taken, {len(found)} findings")
    return found


def test_a_brief_as_it_was_packed_can_be_looked_at(served, bring, members) -> None:
    document = json.loads(members["brief.json"])
    assert bring(document).status_code == 201
    seen = look(served, document, thorough=True)
    assert len(seen) > 250
    assert {at for at, status in seen.items() if status >= 500} == set()
    assert sum(status == 200 for status in seen.values()) > 230


def test_what_was_changed_is_refused_or_can_be_looked_at(served, bring, members) -> None:
    assert broken(served, bring, members, SHORT, seed=7) == []


@pytest.mark.long
def test_what_was_changed_in_many_ways_is_refused_or_can_be_looked_at(
    served, bring, members
) -> None:
    assert broken(served, bring, members, LONG, seed=11) == []
