"""A home for the walk: a brief with something of every kind, hidden things of every kind beside it,
a mark in every field, and a link for each kind of guest."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field
from datetime import date, timedelta
from io import BytesIO
from pathlib import Path

from PIL import Image
from sqlalchemy import select

from brief.api.app import create_app
from brief.services.common.naming import BY_KIND
from brief.services.sharing import owner
from brief.services.sharing.shares import SHOWN, digest
from brief.settings import Settings
from brief.store.desk import Desk
from brief.store.records import Image as StoredImage
from brief.store.records import Passphrase, Share
from tests.asking import TestClient
from tests.fuzz.looking import HIDDEN_COLOUR
from tests.fuzz.marks import Marks, add_hidden_rows, kept_ids, mark
from tests.fuzz.right_calls import RightCalls
from tests.fuzz.whole_brief import ANY, Json
from tests.made_stock import made_stock, wood_like
from tests.studio_at_once import studio_at_once

PASSPHRASE = "heron tide lamp oar"
METRICS_TOKEN = "a-token-for-whoever-gathers-numbers"
EVERYTHING = list(SHOWN)


@dataclass
class WalkedHome:
    """Where it is, what its marks mean, and what a visitor could know of it.

    tokens : the secret of each link, by kind of guest. samples : ids to ask for, by address of the
    noun: one that is shown, one that is not, one in the bin. secrets : what opens it, as it is
    kept.
    """

    home: Path
    brief_id: str
    marks: Marks = field(default_factory=Marks)
    tokens: dict[str, str] = field(default_factory=dict)
    samples: dict[str, list[str]] = field(default_factory=dict)
    places: dict[str, list[str]] = field(default_factory=dict)
    bodies: dict[tuple[str, str], object] = field(default_factory=dict)
    secrets: list[bytes] = field(default_factory=list)


def hidden_picture() -> bytes:
    """A picture of the colour that nobody outside may see."""
    target = BytesIO()
    Image.new("RGB", (72, 48), HIDDEN_COLOUR).save(target, "PNG")
    return target.getvalue()


def make_walked(whole_home: tuple[Path, str], home: Path) -> WalkedHome:
    """Fill a copy of the whole home at `home`; it is closed again."""
    shutil.copytree(whole_home[0], home)
    walked = WalkedHome(home, whole_home[1])
    settings = Settings(home=home, hosts="testserver")
    with TestClient(create_app(settings)) as client:
        store = client.app.state.store  # type: ignore[attr-defined]
        studio_at_once(client.app)  # type: ignore[arg-type]
        _hide(client, walked.brief_id)
        with store.desk(writing=True) as desk:
            made_stock(desk, hidden_picture(), wood_like(2), name="Harbour store")
            owner.set_passphrase(desk, PASSPHRASE)
        right = RightCalls(client, walked.brief_id, PASSPHRASE)
        with store.desk(writing=True) as desk:
            add_hidden_rows(desk)
            mark(desk, walked.marks, walked.brief_id, "then")
        here = {"brief_id": walked.brief_id}
        frozen = _made(client, "revisions", **here, note="for the walk")
        walked.tokens = _links(client, walked.brief_id, frozen["id"])
        with store.desk(writing=True) as desk:
            mark(desk, walked.marks, walked.brief_id, "now")
            _end(desk, walked.tokens)
            _sample(desk, walked, right)
    return walked


def _made(client: TestClient, noun: str, **fields: object) -> Json:
    answer = client.post(f"/api/{noun}", json=fields)
    assert answer.status_code == 201, answer.text
    return dict(answer.json())


def _sent(client: TestClient, noun: str, **fields: str) -> Json:
    files = [("files", ("hidden.png", hidden_picture(), "image/png"))]
    answer = client.post(f"/api/{noun}/pictures", files=files, data=fields)
    assert answer.status_code == 201, answer.text
    return dict(answer.json()[0])


def _hide(client: TestClient, brief_id: str) -> None:
    """What hangs on something private, what is asked of it, what nothing is made of, and another
    brief."""
    here = {"brief_id": brief_id}
    motif = client.get("/api/motifs", params=here).json()["items"][0]
    secret = _sent(client, "references", **here)
    change = {"private": True, "motif_ids": [motif["id"]]}
    client.patch(f"/api/references/{secret['id']}", json=change, headers=ANY).raise_for_status()
    palette = _made(client, "palettes", reference_id=secret["id"], colours=1)
    of_it = {"palette_id": palette["id"], "palette_index": 0, "motif_id": motif["id"]}
    _made(client, "swatches", **here, **of_it, name="hidden")
    unused = _sent(client, "materials")
    for kind, one in (("reference", secret), ("material", unused)):
        about = {"about_kind": kind, "about_id": one["id"]}
        _made(client, "notes", **about, text="for myself", private=False)
        _made(client, "comments", **here, **about, text="what nobody sees", author="Tom")
    _sent(client, "attachments", **here)
    swatches = client.get("/api/swatches", params=here).json()["items"]
    asked = [secret["id"], swatches[0]["id"]]
    _made(client, "questions", **here, text="Of what is private?", choices=asked)
    for question in client.get("/api/questions", params=here).json()["items"][:1]:
        at = f"/api/questions/{question['id']}"
        client.patch(at, json={"state": "closed"}, headers=ANY).raise_for_status()
    both = [one["id"] for one in swatches[:2]]
    still = _made(client, "questions", **here, text="Still asked", choices=both)
    _made(client, "answers", question_id=still["id"], choice=1, author="Ines", why="not yet told")
    at = f"/api/briefs/{brief_id}"
    packed = client.get(f"{at}/parcel.zip").content
    title = client.get(at).json()["title"]
    client.patch(at, json={"title": "Another by now"}, headers=ANY).raise_for_status()
    files = {"file": ("other.zip", packed, "application/zip")}
    copied = client.post("/api/parcels", files=files).json()
    assert copied["brief_id"] != brief_id, copied
    client.patch(at, json={"title": title}, headers=ANY).raise_for_status()


def _links(client: TestClient, brief_id: str, revision_id: str) -> dict[str, str]:
    here = {"brief_id": brief_id, "name": "somebody", "sheets": EVERYTHING}
    shares = {
        "reader": _made(client, "shares", **here, may_comment=False),
        "commenter": _made(client, "shares", **here),
        "of the theme": _made(client, "shares", **here | {"sheets": ["theme"]}),
        "of a revision": _made(client, "shares", **here, revision_id=revision_id),
        "expired": _made(client, "shares", **here),
        "withdrawn": _made(client, "shares", **here),
    }
    at = f"/api/shares/{shares['withdrawn']['id']}"
    client.patch(at, json={"withdrawn": True}, headers=ANY).raise_for_status()
    tokens = {kind: one["address"].removeprefix("/s/") for kind, one in shares.items()}
    calendar = _made(client, "calendar-links", brief_id=brief_id, name="my phone")
    return tokens | {"calendar": calendar["address"].split("/")[2], "guessing": "x" * 43}


def _end(desk: Desk, tokens: dict[str, str]) -> None:
    """One link has expired; the last days of all others are marks, far away."""
    asked = select(Share).where(Share.token_sha256 == digest(tokens["expired"]))
    desk.session.scalars(asked).one().expires_on = date.today() - timedelta(days=9)


def _sample(desk: Desk, walked: WalkedHome, right: RightCalls) -> None:
    kept = kept_ids(desk, walked.brief_id)
    for record in BY_KIND.values():
        rows = desk.session.execute(select(record.id, record.binned_utc).order_by(record.id)).all()
        heaps = (
            [one for one, _ in rows if one not in kept],
            [one for one, binned in rows if one in kept and binned is None],
            [one for one, binned in rows if binned is not None],
        )
        noun = record.__tablename__.replace("_", "-")
        walked.samples[noun] = [heap[0] for heap in heaps if heap]
    hashes = desk.session.scalars(select(StoredImage.sha256)).all()
    walked.places = right.places | {"sha256": list(hashes), "brief_id": walked.samples["briefs"]}
    walked.bodies = {
        (method.upper(), path): right.of(method.upper(), path).get("body")
        for path, ways in right.document["paths"].items()
        for method in ways
    }
    # The right one would open all that comes after it.
    walked.bodies["POST", "/api/session"] = {"passphrase": "heron tide lamp oak"}
    walked.secrets = [one.encode() for one in desk.session.scalars(select(Passphrase.hashed))]
    walked.secrets += [one.encode() for one in desk.session.scalars(select(Share.token_sha256))]
