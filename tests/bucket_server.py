"""An S3 server of the tests' own (moto), in a process of its own on loopback, gone when they end;
and one that stands between it and the program and can fall silent or refuse.
"""

from __future__ import annotations

import contextlib
import http.client
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import count

import pytest

MISSING = "boto3 and moto are not installed"
SERVES = """
import sys
from moto.server import ThreadedMotoServer
server = ThreadedMotoServer(ip_address="127.0.0.1", port=0, verbose=False)
server.start()
print(server.get_host_and_port()[1], flush=True)
sys.stdin.read()
"""
# Keys that open nothing; and no file of this computer's is looked into.
SETTINGS = {
    "AWS_ACCESS_KEY_ID": "tests",
    "AWS_SECRET_ACCESS_KEY": "horse-staple",
    "AWS_DEFAULT_REGION": "us-east-1",
    "AWS_CONFIG_FILE": os.devnull,
    "AWS_SHARED_CREDENTIALS_FILE": os.devnull,
    "AWS_EC2_METADATA_DISABLED": "true",
}


class BucketServer:
    """A running server with one bucket. address : what AWS_ENDPOINT_URL_S3 is to be."""

    def __init__(self, port: int) -> None:
        import boto3

        self.port = port
        self.address = f"http://127.0.0.1:{port}"
        # By its own client, not by the code that is tested.
        self.client = boto3.session.Session().client("s3", endpoint_url=self.address)
        self.client.create_bucket(Bucket="pictures")
        self._numbers = count()

    def url(self) -> str:
        """Of a folder in the bucket with nothing in it."""
        return f"s3://pictures/home-{next(self._numbers)}"

    def keys(self, url: str) -> list[str]:
        """All that is in such a folder, below it."""
        folder = url.removeprefix("s3://pictures/") + "/"
        pages = self.client.get_paginator("list_objects_v2").paginate(
            Bucket="pictures", Prefix=folder
        )
        return [
            one["Key"].removeprefix(folder) for page in pages for one in page.get("Contents", ())
        ]

    def at(self, url: str, sha256: str) -> dict[str, str]:
        """Where the original of that hash is, as its own client wants it."""
        folder = url.removeprefix("s3://pictures/")
        return {"Bucket": "pictures", "Key": f"{folder}/originals/{sha256[:2]}/{sha256}"}

    def read(self, url: str, sha256: str) -> bytes:
        """An original as it is there."""
        data: bytes = self.client.get_object(**self.at(url, sha256))["Body"].read()
        return data


@contextlib.contextmanager
def served() -> Iterator[BucketServer]:
    """Raise pytest's skip where the libraries are not installed."""
    for one in ("boto3", "moto", "flask", "flask_cors"):
        pytest.importorskip(one, reason=MISSING)
    with pytest.MonkeyPatch.context() as patched:
        patched.delenv("AWS_PROFILE", raising=False)
        for name, value in SETTINGS.items():
            patched.setenv(name, value)
        running = subprocess.Popen(
            [sys.executable, "-c", SERVES],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        try:
            assert running.stdin is not None
            assert running.stdout is not None
            server = BucketServer(int(running.stdout.readline()))
            patched.setenv("AWS_ENDPOINT_URL_S3", server.address)
            yield server
        finally:
            running.communicate()  # its input ends, and so does it


class Between:
    """What stands before a server and passes on, unless told otherwise.

    does : "pass"; "busy", which answers 503; "silent", which takes what is asked and never answers;
    "lost", which passes on what is asked and then answers 503, as where only the answer is lost.
    times : how often it does so before it passes on; without end if None.
    """

    def __init__(self, server: BucketServer) -> None:
        self.does, self.times, self.asked = "pass", None, 0
        self._ending = threading.Event()
        between = self

        class Handler(BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def log_message(self, *_: object) -> None:
                pass

            def answer(self) -> None:
                body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
                between.asked += 1
                does = between.does
                if between.times is not None:
                    does = does if between.times > 0 else "pass"
                    between.times -= 1
                status, headers, data = 503, [], BUSY
                if does in ("pass", "lost"):
                    passed = http.client.HTTPConnection("127.0.0.1", server.port)
                    passed.request(self.command, self.path, body, dict(self.headers))
                    answered = passed.getresponse()
                    data = answered.read()
                    if does == "pass":
                        status, headers = answered.status, answered.getheaders()
                    else:
                        data = BUSY
                    passed.close()
                if does == "silent":
                    between._ending.wait()
                    return
                self.send_response(status)
                for name, value in headers:
                    if name.lower() not in ("content-length", "connection", "transfer-encoding"):
                        self.send_header(name, value)
                length = dict(headers).get("Content-Length") if self.command == "HEAD" else None
                self.send_header("Content-Length", length or str(len(data)))
                self.end_headers()
                if self.command != "HEAD":
                    self.wfile.write(data)

            do_GET = do_PUT = do_HEAD = do_DELETE = do_POST = answer  # noqa: N815

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._server.daemon_threads = True
        self._server.block_on_close = False
        self.address = f"http://127.0.0.1:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, args=[0.05], daemon=True).start()

    def close(self) -> None:
        self._ending.set()
        self._server.shutdown()
        self._server.server_close()


BUSY = b"<Error><Code>SlowDown</Code><Message>Reduce your request rate.</Message></Error>"
