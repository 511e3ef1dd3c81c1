"""A home whose pictures are in a bucket: on a real S3 server (moto), started for these tests.

That the rest of the program does the same on it is shown by `pytest --bucket tests/store
tests/services` and those of photographs in tests/api, which run on a folder of the bucket each.
What is expected of the server: "Amazon S3 API Reference", from memory.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from brief.cli import main
from brief.errors import InputError, NotFound, StoreError, Unreachable
from brief.services import nouns
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.references import ReferenceFacts
from brief.store.backup import back_up, restore
from brief.store.carrying import carry
from brief.store.check import check
from brief.store.databases.copies import snapshot
from brief.store.desk import Store
from brief.store.pictures import bucket as bucket_module
from brief.store.pictures.bucket import Bucket
from brief.store.pictures.images import ImageStore
from brief.store.records import Image
from tests.asking import TestClient
from tests.bucket_server import Between, BucketServer
from tests.conftest import Picture

DATA = b"pixels " * 1000
SHA256 = hashlib.sha256(DATA).hexdigest()
pytestmark = pytest.mark.folder  # it names its buckets itself


@pytest.fixture
def url(buckets: BucketServer) -> str:
    return buckets.url()


@pytest.fixture
def opened(home: Path, url: str) -> Iterator[Store]:
    store = Store(home, bucket=url)
    yield store
    store.close()


@pytest.fixture
def between(buckets: BucketServer, monkeypatch: pytest.MonkeyPatch) -> Iterator[Between]:
    """A server that can fall silent or refuse; the program is led to it, and waits less."""
    standing = Between(buckets)
    monkeypatch.setenv("AWS_ENDPOINT_URL_S3", standing.address)
    monkeypatch.setattr(bucket_module, "READ_S", 0.3)
    monkeypatch.setattr(bucket_module, "TRIES", 2)
    monkeypatch.setattr(bucket_module, "REST_S", 0.0)
    yield standing
    standing.close()


def with_a_picture(store: Store, picture: Picture, *colours: tuple[int, int, int]) -> list[str]:
    with store.desk(writing=True) as desk:
        brief = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        return [
            nouns.references.add_picture(
                desk, brief.id, "reeds.png", picture(colour), ReferenceFacts()
            ).image_sha256
            for colour in colours or ((1, 2, 3),)
        ]


def copies(home: Path) -> list[Path]:
    return [one for one in home.glob("images/copies-*/**/*") if one.is_file()]


def empty_the_folder(home: Path) -> None:
    shutil.rmtree(home / "images")


def test_an_original_is_in_the_bucket_before_it_counts_as_kept(
    opened: Store, buckets: BucketServer, url: str
) -> None:
    with opened.desk(writing=True) as desk:
        assert desk.keep_image(DATA) == SHA256
        assert buckets.read(url, SHA256) == DATA
    assert opened.images.keep(DATA) == (SHA256, False)
    key = f"originals/{SHA256[:2]}/{SHA256}"
    assert sorted(buckets.keys(url)) == [key, "whose"]


def test_the_folder_may_be_emptied_at_any_time(opened: Store, home: Path) -> None:
    opened.images.keep(DATA)
    empty_the_folder(home)
    assert opened.images.holds(SHA256)
    assert opened.images.size(SHA256) == len(DATA)
    assert opened.images.sound_bytes(SHA256) == DATA
    assert copies(home) == []
    assert opened.images.path(SHA256).read_bytes() == DATA
    empty_the_folder(home)
    made = opened.images.rendition(SHA256, "thumb.jpg", lambda place: place.read_bytes()[:6])
    assert made == b"pixels"


def test_of_copies_no_more_stay_than_was_said(
    home: Path, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRIEF_COPIES_MB", "1")
    store = Store(home, bucket=url)
    kept = [store.images.keep(bytes([place]) * 300_000)[0] for place in range(3)]
    for age, sha256 in enumerate(kept):  # the first was used last
        long_ago = time.time() - 10_000 * (age + 1)
        os.utime(store.images.path(sha256), (long_ago, long_ago))
    young = store.images.keep(b"y" * 300_000)[0]  # 1.2 MB
    assert {one.name for one in copies(home)} == {kept[0], kept[1], young}
    assert store.images.size(kept[2]) == 300_000
    assert store.images.path(kept[2]).read_bytes() == b"\2" * 300_000  # fetched again
    # Those of the last ten minutes stay, however many.
    more = [store.images.keep(bytes([place]) * 300_000)[0] for place in range(10, 14)]
    assert {one.name for one in copies(home)} >= {young, kept[2], *more}
    assert kept[0] not in {one.name for one in copies(home)}
    assert all(store.images.is_kept(one) for one in (*kept, young, *more))
    store.close()
    monkeypatch.setenv("BRIEF_COPIES_MB", "much")
    with pytest.raises(InputError, match="BRIEF_COPIES_MB must be a whole number"):
        Store(home, bucket=url)


def test_another_computer_finds_it(opened: Store, tmp_path: Path, url: str, picture) -> None:
    (sha256,) = with_a_picture(opened, picture)
    there = tmp_path / "there"
    there.mkdir()
    snapshot(opened.home / "brief.sqlite3", there / "brief.sqlite3")  # as if both asked one server
    other = Store(there, bucket=url)
    assert other.images.path(sha256).read_bytes() == picture((1, 2, 3))
    other.close()


def test_a_copy_that_went_bad_is_fetched_again(home: Path, url: str) -> None:
    store = Store(home, bucket=url)
    store.images.keep(DATA)
    store.close()
    (copy,) = copies(home)
    copy.write_bytes(b"rotten" + DATA[6:])
    again = Store(home, bucket=url)
    assert again.images.path(SHA256).read_bytes() == DATA
    copy.write_bytes(b"rotten" + DATA[6:])  # since it was looked at
    again.images.suspect(SHA256)
    assert not again.images.is_damaged(SHA256)
    assert again.images.path(SHA256).read_bytes() == DATA
    again.close()


def test_what_the_bucket_has_lost_or_spoilt_is_said_and_put_right(
    opened: Store, buckets: BucketServer, home: Path, url: str
) -> None:
    opened.images.keep(DATA)
    empty_the_folder(home)
    buckets.client.put_object(**buckets.at(url, SHA256), Body=b"other")
    with pytest.raises(NotFound, match="not in the bucket any more, or is damaged"):
        opened.images.path(SHA256)
    assert copies(home) == []
    assert opened.images.keep(DATA) == (SHA256, False)
    assert buckets.read(url, SHA256) == DATA
    buckets.client.delete_object(**buckets.at(url, SHA256))
    empty_the_folder(home)
    opened.images.suspect(SHA256)
    assert not opened.images.holds(SHA256)
    with pytest.raises(NotFound):
        opened.images.path(SHA256)


def test_a_transaction_that_fails_takes_its_images_away(
    opened: Store, buckets: BucketServer, home: Path, url: str
) -> None:
    opened.images.keep(b"kept before")

    def fails() -> None:
        with opened.desk(writing=True) as desk:
            desk.keep_image(DATA)
            desk.keep_image(b"kept before")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()
    before = hashlib.sha256(b"kept before").hexdigest()
    assert sorted(buckets.keys(url)) == [f"originals/{before[:2]}/{before}", "whose"]
    assert [one.name for one in copies(home)] == [before]


def test_what_another_has_come_to_rely_on_is_not_taken_away(
    opened: Store, buckets: BucketServer, url: str, monkeypatch: pytest.MonkeyPatch, picture
) -> None:
    """As where a server of a database goes away while it commits: nobody knows whether it did."""
    data = picture((5, 6, 7))
    sha256 = hashlib.sha256(data).hexdigest()

    def commits_and_fails() -> None:
        with opened.desk(writing=True) as desk:
            brief = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
            nouns.references.add_picture(desk, brief.id, "a.png", data, ReferenceFacts())
            desk.session.commit()
            raise StoreError("The database server cannot be reached.")

    with pytest.raises(StoreError, match="cannot be reached"):
        commits_and_fails()
    with opened.desk() as desk:
        assert desk.session.get(Image, sha256) is not None
    assert buckets.read(url, sha256) == data


ADDS = """
import sys
from pathlib import Path
from brief.store.desk import Store
store = Store(Path(sys.argv[1]), bucket=sys.argv[2])
for at in range(8):
    try:
        with store.desk(writing=True) as desk:
            sha256 = desk.keep_image(b"picture %d" % at)
            if at % 2 and sys.argv[3] == "fails":
                raise ZeroDivisionError
            from brief.store.records import Image
            if desk.session.get(Image, sha256) is None:
                desk.session.add(Image(sha256=sha256, name="a", media_type="image/png",
                                       size_bytes=9, width_px=1, height_px=1))
    except ZeroDivisionError:
        pass
store.close()
"""


@pytest.mark.slow
def test_several_processes_that_keep_the_same_lose_none(
    home: Path, url: str, buckets: BucketServer
) -> None:
    """One of them undoes half of what it keeps; what the other's records name stays."""
    Store(home, bucket=url).close()
    running = [
        subprocess.Popen([sys.executable, "-c", ADDS, str(home), url, how])
        for how in ("fails", "keeps")
    ]
    assert [one.wait() for one in running] == [0, 0]
    store = Store(home, bucket=url)
    with store.desk() as desk:
        named = {one.sha256 for one in desk.session.query(Image)}
    assert len(named) == 8
    for sha256 in named:
        assert hashlib.sha256(buckets.read(url, sha256)).hexdigest() == sha256
    store.close()


def test_what_nothing_names_is_set_aside_and_put_back_when_it_is_named(
    opened: Store, buckets: BucketServer, url: str, picture, monkeypatch: pytest.MonkeyPatch
) -> None:
    (named,) = with_a_picture(opened, picture)
    opened.images.keep(DATA)
    opened.sweep()
    assert opened.images.is_kept(SHA256)  # younger than a day
    days = 2 * 24 * 3600
    now = time.time
    monkeypatch.setattr(time, "time", lambda: now() + days)
    opened.sweep()
    assert not opened.images.is_kept(SHA256)
    assert not opened.images.holds(SHA256)
    assert opened.images.aside() == [SHA256]
    assert opened.images.is_kept(named)
    with opened.desk(writing=True) as desk:
        desk.session.add(
            Image(sha256=SHA256, name="a", media_type="image/png", size_bytes=7000,
                  width_px=1, height_px=1)
        )  # fmt: skip
    opened.sweep()
    assert buckets.read(url, SHA256) == DATA
    assert opened.images.aside() == []


def test_only_repair_deletes_and_only_after_a_month(
    opened: Store, home: Path, buckets: BucketServer, url: str, picture
) -> None:
    with_a_picture(opened, picture)
    folder = url.removeprefix("s3://pictures/")
    for day, name in (("2020-01-01", "a" * 64), ("2999-01-01", "b" * 64)):
        buckets.client.put_object(Bucket="pictures", Key=f"{folder}/unnamed/{day}/{name}", Body=b"")
    assert check(home, bucket=url).set_aside == 2
    report = check(home, bucket=url, repair=True)
    assert (report.set_aside, report.aside_at) == (1, f"{url}/unnamed/")
    assert [key for key in buckets.keys(url) if "unnamed" in key] == [
        f"unnamed/2999-01-01/{'b' * 64}"
    ]


def test_two_homes_do_not_share_a_folder_of_it(
    opened: Store, tmp_path: Path, url: str, picture
) -> None:
    (sha256,) = with_a_picture(opened, picture)
    mine = tmp_path / "other"
    Store(mine).close()
    with pytest.raises(InputError, match="holds the pictures of another home"):
        Store(mine, bucket=url)
    for looks in (
        lambda: check(mine, bucket=url, repair=True),
        lambda: back_up(mine, tmp_path / "stick", bucket=url),
        lambda: carry(mine, None, url),
    ):
        with pytest.raises(InputError, match="another home"):
            looks()
    assert opened.images.is_kept(sha256)


def test_check_looks_into_the_bucket_and_repairs_it(
    opened: Store, home: Path, buckets: BucketServer, url: str, tmp_path: Path, picture
) -> None:
    one, two, three = with_a_picture(opened, picture, (1, 2, 3), (4, 5, 6), (7, 8, 9))
    assert check(home, bucket=url).is_clean
    made = back_up(home, tmp_path / "stick", bucket=url)
    assert (made.is_sound, made.copied) == (True, 3)
    buckets.client.delete_object(**buckets.at(url, one))
    buckets.client.put_object(**buckets.at(url, two), Body=b"other")
    found = check(home, bucket=url)
    assert {(each.kind, each.about) for each in found.findings} == {
        ("missing", one),
        ("damaged", two),
    }
    assert check(home, bucket=url, repair=True).is_clean  # the copies here are sound
    assert buckets.read(url, one) == picture((1, 2, 3))
    empty_the_folder(home)
    buckets.client.delete_object(**buckets.at(url, three))
    assert [each.kind for each in check(home, bucket=url, repair=True).findings] == ["missing"]
    assert check(home, bucket=url, repair=True, source=tmp_path / "stick").is_clean
    assert buckets.read(url, three) == picture((7, 8, 9))


def test_pictures_are_carried_there_and_back_and_proved(
    home: Path, tmp_path: Path, buckets: BucketServer, url: str, picture,
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    store = Store(home)
    sha256s = with_a_picture(store, picture, (1, 2, 3), (4, 5, 6))
    store.close()
    monkeypatch.setenv("BRIEF_HOME", str(home))
    assert main(["carry", url]) == 0
    said = capsys.readouterr().out
    assert f"{url} holds 2 pictures, each counted and compared" in said
    assert f"BRIEF_IMAGES_URL to {url}" in said
    assert all(hashlib.sha256(buckets.read(url, one)).hexdigest() == one for one in sha256s)
    assert main(["carry", url, "--json"]) == 0  # again is going on
    assert json.loads(capsys.readouterr().out)["pictures"] == 2
    shutil.rmtree(home / "images")
    monkeypatch.setenv("BRIEF_IMAGES_URL", url)
    assert main(["check"]) == 0
    assert f"pictures are in {url}" in capsys.readouterr().out
    assert main(["carry", str(tmp_path / "back")]) == 0
    assert "holds 2 pictures" in capsys.readouterr().out
    assert main(["check", "--home", str(tmp_path / "back")]) == 0
    back = ImageStore(tmp_path / "back" / "images")
    assert [back.sound_bytes(one) for one in sha256s] == [picture((1, 2, 3)), picture((4, 5, 6))]
    capsys.readouterr()
    assert main(["backup", str(tmp_path / "stick")]) == 0
    assert "without server or bucket" in capsys.readouterr().out
    assert main(["restore", str(tmp_path / "stick")]) == 2
    restore(tmp_path / "stick", tmp_path / "again")
    assert check(tmp_path / "again").is_clean


def test_what_was_missing_before_is_named_and_the_rest_carried(
    home: Path, url: str, picture
) -> None:
    store = Store(home)
    one, _ = with_a_picture(store, picture, (1, 2, 3), (4, 5, 6))
    store.images.path(one).unlink()
    store.close()
    made = carry(home, None, url)
    assert (made.pictures, made.missing) == (1, (one,))


@pytest.mark.parametrize("does", ["busy", "silent", "lost"])
def test_a_bucket_that_is_away_keeps_what_was_acknowledged_and_half_of_nothing(
    does: str, between: Between, home: Path, url: str, buckets: BucketServer, picture
) -> None:
    store = Store(home, bucket=url)
    (kept,) = with_a_picture(store, picture)
    between.does = does
    with pytest.raises(Unreachable, match="Nothing was saved"):
        with_a_picture(store, picture, (4, 5, 6))
    assert [one.name for one in copies(home)] == [kept]
    with store.desk() as desk:
        assert [one.sha256 for one in desk.session.query(Image)] == [kept]
    with pytest.raises(Unreachable):
        store.ask()
    store.sweep()  # is another time
    assert store.images.path(kept).is_file()  # by its copy
    between.does = "pass"
    store.ask()
    assert buckets.read(url, kept) == picture((1, 2, 3))
    with_a_picture(store, picture, (4, 5, 6))
    store.close()
    report = check(home, bucket=url)
    assert {one.kind for one in report.findings} <= {"unnamed"}  # an answer that was lost
    assert report.pictures == 2


def test_a_moment_of_503_is_not_noticed(between: Between, home: Path, url: str) -> None:
    store = Store(home, bucket=url)
    between.does, between.times = "busy", 1
    assert store.images.keep(DATA) == (SHA256, True)
    store.close()


def test_a_bucket_that_did_not_answer_is_left_alone_for_a_while(
    between: Between, home: Path, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bucket_module, "REST_S", 60.0)
    store = Store(home, bucket=url)
    between.does = "busy"
    with pytest.raises(Unreachable) as refused:
        store.images.holds(SHA256)
    assert refused.value.retry_after_s == 60
    asked = between.asked
    for _ in range(20):
        with pytest.raises(Unreachable):
            store.images.holds(SHA256)
    assert between.asked == asked
    store.close()


def test_the_api_says_503_and_when_to_try_again(
    between: Between, home: Path, url: str, served: TestClient, picture
) -> None:
    app = served.app
    assert isinstance(app, FastAPI)
    store = Store(home, bucket=url)
    own, app.state.store = app.state.store, store
    try:
        brief = served.post("/api/briefs", json={"title": "Saltmarsh"}).json()["id"]

        def add(colour: tuple[int, int, int]):
            return served.post(
                "/api/references/pictures",
                data={"brief_id": brief},
                files={"files": ("reeds.png", picture(colour), "image/png")},
            )

        assert add((1, 2, 3)).status_code == 201
        (sha256,) = (one.name for one in copies(home))
        between.does = "busy"
        refused = add((4, 5, 6))
        assert (refused.status_code, refused.headers["Retry-After"]) == (503, "1")
        assert refused.headers["content-type"] == "application/problem+json"
        assert "Nothing was saved." in refused.json()["detail"]
        empty_the_folder(home)
        assert served.get(f"/images/{sha256}/thumb").status_code == 503
        assert served.get("/api/ready").status_code == 503
        assert served.get(f"/briefs/{brief}/references").status_code == 200  # what can be shown
        between.does = "pass"
        assert served.get(f"/images/{sha256}/thumb").status_code == 200
        assert add((4, 5, 6)).status_code == 201
        assert len(served.get(f"/api/references?brief_id={brief}").json()["items"]) == 2
    finally:
        app.state.store = own
        store.close()


@pytest.mark.parametrize(
    "wrong",
    [
        "s3://AKIA:horse-staple@pictures/home",
        "s3://AKIA:horse/staple@pictures/home",
        "s3://pictures/home?secret=horse-staple",
        "https://horse-staple.example/pictures",
        "s3://Horse-Staple",
        "s3://",
        "s3://pictures/../horse-staple",
        "s3://[horse-staple",
    ],
)
def test_what_is_no_address_is_refused_and_no_key_shown(
    wrong: str, home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(InputError, match="BRIEF_IMAGES_URL") as refused:
        Bucket(wrong)
    assert "orse" not in str(refused.value)
    monkeypatch.setenv("BRIEF_IMAGES_URL", wrong)
    monkeypatch.setenv("BRIEF_HOME", str(home))
    for command in (["serve", "--port", "0"], ["check"], ["today", "Saltmarsh"]):
        home.mkdir(exist_ok=True)
        (home / "images" / "originals").mkdir(parents=True, exist_ok=True)
        assert main(command) == 2
        said = capsys.readouterr()
        assert "BRIEF_IMAGES_URL" in said.err
        assert "orse" not in said.err + said.out


def test_a_bucket_that_cannot_be_opened_is_said_in_words(
    home: Path, url: str, buckets: BucketServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(Unreachable, match="There is no bucket s3://nowhere"):
        Store(home, bucket="s3://nowhere")
    monkeypatch.setattr(bucket_module, "TRIES", 1)
    monkeypatch.setenv("AWS_ENDPOINT_URL_S3", "http://127.0.0.1:1")
    with pytest.raises(Unreachable, match=r"does not answer .* AWS_ENDPOINT_URL_S3"):
        Store(home, bucket=url)
    monkeypatch.setenv("AWS_ENDPOINT_URL_S3", "nonsense")
    with pytest.raises(InputError, match="See to AWS_ENDPOINT_URL_S3"):
        Store(home, bucket=url)
    monkeypatch.setenv("AWS_ENDPOINT_URL_S3", buckets.address)
    monkeypatch.delenv("AWS_ACCESS_KEY_ID")
    bucket_module._session.cache_clear()
    with pytest.raises(Unreachable, match="There is no key to the bucket"):
        Store(home, bucket=url)
    bucket_module._session.cache_clear()
    assert not (home / "brief.sqlite3").exists()


@pytest.mark.parametrize(
    ("code", "status", "said"),
    [
        ("AccessDenied", 403, "does not let this program in"),
        ("SignatureDoesNotMatch", 403, "AWS_SECRET_ACCESS_KEY"),
        ("RequestTimeTooSkewed", 403, "the clock of this computer"),
        ("PermanentRedirect", 301, "AWS_DEFAULT_REGION"),
        ("SlowDown", 503, "Try again in a moment"),
        ("EntityTooLarge", 400, "could not be used"),
    ],
)
def test_each_refusal_has_its_words(code: str, status: int, said: str) -> None:
    assert said in bucket_module._refused("s3://pictures", code, status)


def test_a_long_list_is_had_whole(
    opened: Store, buckets: BucketServer, url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = url.removeprefix("s3://pictures/")
    for at in range(7):
        buckets.client.put_object(Bucket="pictures", Key=f"{folder}/originals/{at}", Body=b"")
    bucket = Bucket(url)
    asks = bucket._client.list_objects_v2
    monkeypatch.setattr(bucket._client, "list_objects_v2", lambda **asked: asks(**asked, MaxKeys=3))
    assert [one.key for one in bucket.under("originals/")] == [f"originals/{at}" for at in range(7)]


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "boto3", None)
    bucket_module._session.cache_clear()
    with pytest.raises(InputError, match=r"luthiers-brief\[bucket\]"):
        Bucket("s3://pictures")
