"""Fifty guests comment at once for a minute: nothing is lost, and the maker can go on working."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

import httpx2

from tests.browser.conftest import Served

GUESTS, SECONDS, PAUSE_S = 50, float(os.environ.get("BRIEF_TEST_SECONDS", "60")), 1.6


def test_fifty_guests_at_once_for_a_minute(tmp_path: Path) -> None:
    with Served(tmp_path / "home") as running, httpx2.Client(base_url=running.url) as owner:
        brief = owner.post("/api/briefs", json={"title": "Saltmarsh"}).json()
        links = [
            owner.post("/api/shares", json={"brief_id": brief["id"], "name": f"guest {number}"})
            for number in range(GUESTS)
        ]
        tokens = [link.json()["address"] for link in links]
        said: list[str] = []
        wrong: list[object] = []
        ends = time.monotonic() + SECONDS

        def speak(number: int) -> None:
            about = {"about_kind": "brief", "about_id": brief["id"], "author": f"guest {number}"}
            with httpx2.Client(base_url=running.url, timeout=60) as guest:
                for turn in range(1000):
                    if time.monotonic() > ends:
                        return
                    text = f"{number}, {turn}"
                    answer = guest.post(f"{tokens[number]}/comments", json=about | {"text": text})
                    if answer.status_code == 201:
                        said.append(text)
                    else:
                        wrong.append((answer.status_code, answer.text))
                    time.sleep(PAUSE_S)

        guests = [threading.Thread(target=speak, args=[number]) for number in range(GUESTS)]
        for guest in guests:
            guest.start()
        looked: list[float] = []
        while time.monotonic() < ends:
            began = time.monotonic()
            for sheet in ("theme", "comments", "sharing"):
                page = owner.get(f"/briefs/{brief['id']}/{sheet}", timeout=60)
                assert page.status_code == 200
            looked.append((time.monotonic() - began) / 3)
            time.sleep(1)
        for guest in guests:
            guest.join()
        assert wrong == []
        kept: list[str] = []
        after = None
        while True:
            asked = {"limit": 200} | ({"after": after} if after else {})
            page = owner.get("/api/comments", params=asked).json()
            kept += [one["text"] for one in page["items"]]
            after = page["next"]
            if after is None:
                break
        assert sorted(kept) == sorted(said)
        assert {text.split(",")[0] for text in said} == {str(number) for number in range(GUESTS)}
        print(f"\n{len(said)} comments, owner's page {sum(looked) / len(looked):.2f} s on average")
