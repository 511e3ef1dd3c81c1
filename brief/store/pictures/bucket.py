"""A bucket on an S3 server: files under keys, and in words what it refuses.

The library that asks it is an extra and is imported here alone, where a bucket is named. Keys to it
and its address come from where all programs for S3 look: AWS_ACCESS_KEY_ID and
AWS_SECRET_ACCESS_KEY, AWS_ENDPOINT_URL_S3 for any server of one's own, AWS_DEFAULT_REGION.
"""

from __future__ import annotations

import base64
import hashlib
import os
import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, TypeVar
from urllib.parse import urlsplit

from brief.errors import InputError, Unreachable

HOW = "s3://BUCKET or s3://BUCKET/FOLDER"
# One request that nobody answers costs less than who waits to write has patience for (20 s).
CONNECT_S, READ_S, TRIES = 2, 5, 3
REST_S = 3.0
"""Seconds in which a bucket that did not answer is not asked again: a page of sixty pictures would
otherwise wait for each of them."""
MOST_AT_ONCE = 40  # as many threads as answer requests at once (AnyIO's default)
# "Bucket naming rules" and "Creating object key names" of the S3 User Guide, from memory.
_BUCKET = re.compile(r"[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]")
_FOLDER = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9_.-]*")
_NO_KEY = {"NoSuchKey", "404", "NotFound"}

T = TypeVar("T")


@dataclass(frozen=True)
class BucketFile:
    """A file in it. key : below its folder. size : bytes. changed : seconds since 1970, by the
    bucket's own clock.
    """

    key: str
    size: int
    changed: float


def is_bucket(url: str) -> bool:
    """Whether an address is meant as that of a bucket."""
    return url.startswith("s3:")


class Bucket:
    """A bucket, or a folder in one, named by its URL. All its methods raise Unreachable where it
    does not answer or refuses; several threads may ask at once.
    """

    def __init__(self, url: str) -> None:
        """Raise InputError for what is no URL of a bucket, or holds a key, and where the library is
        not installed; nothing is asked yet.
        """
        self.name, self.folder = _read(url)
        self._client = _client()
        self._rests_until = 0.0
        self._last: Unreachable | None = None

    def __str__(self) -> str:
        return f"s3://{self.name}/{self.folder}".rstrip("/")

    def ask(self) -> None:
        """See whether it is there and lets this program in."""
        self._ask(lambda: self._client.list_objects_v2(Bucket=self.name, MaxKeys=1))

    def get(self, key: str) -> bytes | None:
        """What is under a key; None if nothing is."""

        def read() -> bytes:
            data: bytes = self._client.get_object(**self._at(key))["Body"].read()
            return data

        return self._ask(read, none_for=_NO_KEY)

    def size(self, key: str) -> int | None:
        """Bytes under a key; None if nothing is."""

        def told() -> int:
            return int(self._client.head_object(**self._at(key))["ContentLength"])

        return self._ask(told, none_for=_NO_KEY)

    def put(self, key: str, data: bytes) -> None:
        """Have `data` under a key, whole or not at all; the server compares its sum."""
        digest = base64.b64encode(hashlib.md5(data, usedforsecurity=False).digest()).decode()
        self._ask(
            lambda: self._client.put_object(**self._at(key), Body=data, ContentMD5=digest),
        )

    def put_first(self, key: str, data: bytes) -> None:
        """Have `data` under a key unless something is there already (RFC 9110, 13.1.2), or the
        server does not know of such conditions.
        """
        self._ask(
            lambda: self._client.put_object(**self._at(key), Body=data, IfNoneMatch="*"),
            none_for={"PreconditionFailed", "ConditionalRequestConflict", "NotImplemented"},
        )

    def delete(self, key: str) -> None:
        """Take away what is under a key, if anything is."""
        self._ask(lambda: self._client.delete_object(**self._at(key)))

    def move(self, key: str, to: str) -> None:
        """Have under `to` what is under `key`: both for a moment, and never neither."""
        source = {"Bucket": self.name, "Key": self._at(key)["Key"]}
        self._ask(lambda: self._client.copy_object(**self._at(to), CopySource=source))
        self.delete(key)

    def under(self, beginning: str) -> Iterator[BucketFile]:
        """All whose key begins so, by key; a thousand for each request."""
        above = self._at("")["Key"]
        asked = {"Bucket": self.name, "Prefix": above + beginning}
        while True:
            page = self._ask(partial(self._client.list_objects_v2, **asked))
            for one in page.get("Contents", ()):
                changed = one["LastModified"].timestamp()
                yield BucketFile(one["Key"].removeprefix(above), one["Size"], changed)
            if not page.get("IsTruncated"):
                return
            asked = {**asked, "ContinuationToken": page["NextContinuationToken"]}

    def _at(self, key: str) -> dict[str, str]:
        return {"Bucket": self.name, "Key": f"{self.folder}/{key}" if self.folder else key}

    def _ask(self, do: Callable[[], T], *, none_for: set[str] | None = None) -> T | Any:
        """What `do` gives; None where the server answers one of those codes."""
        from botocore.exceptions import BotoCoreError, ClientError

        if self._last is not None and time.monotonic() < self._rests_until:
            raise Unreachable(str(self._last), retry_after_s=self._last.retry_after_s)
        try:
            return do()
        except ClientError as exc:
            code = str(exc.response.get("Error", {}).get("Code", ""))
            status = exc.response.get("ResponseMetadata", {}).get("HTTPStatusCode", 0)
            if none_for and code in none_for:
                return None
            said = _refused(str(self), code, status)
            is_away = status >= 500 or status == 429
        except BotoCoreError as exc:
            said, is_away = _unanswered(str(self), type(exc).__name__), True
        found = Unreachable(said, retry_after_s=max(1, round(REST_S)))
        if is_away:
            self._last, self._rests_until = found, time.monotonic() + REST_S
        raise found


def _read(url: str) -> tuple[str, str]:
    try:
        parts = urlsplit(url)
    except ValueError:
        parts = urlsplit("")
    if "@" in url or parts.query or parts.fragment:
        # Not quoted: it could hold a secret key.
        raise InputError(
            "that address of a bucket has more in it than a bucket and a folder; write it, in "
            f"BRIEF_IMAGES_URL, as {HOW}. The key to it belongs into AWS_ACCESS_KEY_ID and "
            "AWS_SECRET_ACCESS_KEY, the address of a server of your own into AWS_ENDPOINT_URL_S3"
        )
    folder = parts.path.strip("/")
    sound = all(_FOLDER.fullmatch(one) for one in folder.split("/")) if folder else True
    if parts.scheme != "s3" or not _BUCKET.fullmatch(parts.netloc) or not sound:
        raise InputError(
            f"that is no address of a bucket; write it, in BRIEF_IMAGES_URL, as {HOW}, in small "
            "letters, digits, dots and hyphens; without BRIEF_IMAGES_URL the pictures are kept in "
            "a folder"
        )
    return parts.netloc, folder


@cache
def _session() -> Any:
    """What reads the library's own tables, which takes a while."""
    import boto3

    return boto3.session.Session()


def _client() -> Any:
    try:
        session = _session()
        from botocore.config import Config
        from botocore.exceptions import BotoCoreError
    except ImportError as exc:
        raise InputError(
            "pictures in a bucket need the library that asks it, which is not installed: "
            'pip install "luthiers-brief[bucket]"'
        ) from exc
    own = os.environ.get("AWS_ENDPOINT_URL_S3") or os.environ.get("AWS_ENDPOINT_URL")
    try:
        return session.client(
            "s3",
            config=Config(
                connect_timeout=CONNECT_S,
                read_timeout=READ_S,
                retries={"mode": "standard", "total_max_attempts": TRIES},
                max_pool_connections=MOST_AT_ONCE,
                # Not every server knows the newer sums; Content-MD5 all do.
                request_checksum_calculation="when_required",
                response_checksum_validation="when_required",
                # On a server of one's own there is no host name for each bucket.
                s3={"addressing_style": "path" if own else "auto"},
            ),
        )
    except (BotoCoreError, ValueError) as exc:
        raise InputError(
            f"a bucket cannot be asked with the settings of this computer: {type(exc).__name__}. "
            "See to AWS_ENDPOINT_URL_S3 (https://HOST), AWS_DEFAULT_REGION and AWS_PROFILE"
        ) from exc


def _refused(bucket: str, code: str, status: int) -> str:
    """What to say of an answer; its codes: "Error responses" of the S3 API Reference."""
    match code:
        case "NoSuchBucket":
            return f"There is no bucket {bucket}. Make it, or name another in BRIEF_IMAGES_URL."
        case "RequestTimeTooSkewed":
            return (
                f"The bucket {bucket} does not let this program in, because the clock of this "
                "computer is wrong. Set it."
            )
        case "PermanentRedirect" | "AuthorizationHeaderMalformed" | "301":
            return (
                f"The bucket {bucket} is in another region. Name that in AWS_DEFAULT_REGION and "
                "start this program again."
            )
    if status in (401, 403):
        return (
            f"The bucket {bucket} does not let this program in ({code}). See to AWS_ACCESS_KEY_ID "
            "and AWS_SECRET_ACCESS_KEY; the key must be allowed to read, write, delete and list."
        )
    if status >= 500 or status == 429:
        return f"The bucket {bucket} is busy or being looked after ({code}). Try again in a moment."
    return f"The bucket {bucket} could not be used ({code}). See to its server."


def _unanswered(bucket: str, what: str) -> str:
    if what in ("NoCredentialsError", "PartialCredentialsError"):
        return (
            f"There is no key to the bucket {bucket}. Set AWS_ACCESS_KEY_ID and "
            "AWS_SECRET_ACCESS_KEY."
        )
    return (
        f"The bucket {bucket} does not answer ({what}). See whether its server runs and "
        "AWS_ENDPOINT_URL_S3 names it, and try again."
    )
