"""2,000 photographs of a merchant, a third of them broken: all told of, in memory that stays flat.

Run with `-m long -s` for the numbers.
"""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from zlib import crc32

import numpy as np
import pytest
from PIL import Image

FILES, SETTLED = 2000, 300
FLAT = 1.10  # the last over those behind the 300th


def photograph(seed: int) -> bytes:
    """A small board with streaks along it, of a colour of its own."""
    rng = np.random.default_rng(seed)
    rgb = rng.uniform((60, 40, 30), (220, 190, 150)) + rng.normal(0, 4, (180, 1, 1))
    pixels = np.repeat(rgb, 240, axis=1) + rng.normal(0, 1, (180, 240, 1))
    picture = BytesIO()
    Image.fromarray(pixels.clip(0, 255).astype(np.uint8)).save(picture, "JPEG", quality=90)
    return picture.getvalue()


def broken(kind: int, seed: int) -> bytes:
    """What is no whole photograph: cut short, empty, a text, noise, or far too large."""
    whole = photograph(seed)
    head = b"IHDR" + (60_000).to_bytes(4, "big") * 2 + b"\x08\2\0\0\0"
    head = b"\0\0\0\r" + head + crc32(head).to_bytes(4, "big")  # ISO/IEC 15948, 5.3
    return (
        whole[: len(whole) // 2],
        b"",
        f"delivery note {seed}".encode(),
        whole[:2] + np.random.default_rng(seed).bytes(4000),
        b"\x89PNG\r\n\x1a\n" + head + b"\0\0\0\0IDAT" + bytes([seed % 256]),
    )[kind]


def held_mb(pid: int) -> float:
    """What a process and all below it hold in memory (RSS, of /proc), in MB."""
    try:
        status = Path(f"/proc/{pid}/status").read_text()
        below = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    except OSError:  # it has just ended
        return 0.0
    found = re.search(r"VmRSS:\s+(\d+)", status)
    return (int(found[1]) / 1000 if found else 0.0) + sum(held_mb(int(one)) for one in below)


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_all_are_accounted_for_and_memory_is_flat(tmp_path: Path) -> None:
    folder = tmp_path / "store"
    folder.mkdir()
    bad = set()
    for place in range(FILES):
        is_bad = place % 3 == 2
        name = f"{place:04d}.jpg"
        (folder / name).write_bytes(broken(place // 3 % 5, place) if is_bad else photograph(place))
        if is_bad:
            bad.add(name)
    ours, theirs = pty.openpty()  # the command says how far it is where somebody watches
    printed = tmp_path / "printed.json"
    with printed.open("wb") as out:
        command = subprocess.Popen(
            [sys.executable, "-m", "brief", "stock", folder, "--name", "Guild", "--processes", "2",
             "--home", tmp_path / "home", "--json"],
            stdout=out, stderr=theirs,
        )  # fmt: skip
    os.close(theirs)
    samples: list[tuple[int, float]] = []
    said = ""
    try:
        while True:
            try:
                said += os.read(ours, 4096).decode()
            except OSError:  # nobody has the other end any more
                break
            *lines, said = re.split(r"[\r\n]", said)
            told = [re.match(r"([\d,]+) of 2,000", line) for line in (*lines, said)]
            if counts := [int(one[1].replace(",", "")) for one in told if one]:
                samples.append((counts[-1], held_mb(command.pid)))
        command.wait(timeout=60)
    finally:
        command.kill()
        os.close(ours)
    told_of = json.loads(printed.read_text())
    assert command.returncode == 1
    assert told_of["files"] == FILES
    assert told_of["measured"] == FILES - len(bad)
    assert set(told_of["failed"]) == bad
    assert all(told_of["failed"].values())
    settled = [(count, mb) for count, mb in samples if count >= SETTLED]
    assert len(settled) >= 10
    fifth = len(settled) // 5
    first, last = (
        np.median([mb for _, mb in some]) for some in (settled[:fifth], settled[-fifth:])
    )
    print(f"\nfrom {settled[0]} on: {first:.0f} MB, then {last:.0f} MB")
    print(" ".join(f"{count}:{mb:.0f}" for count, mb in settled[:: max(1, len(settled) // 12)]))
    assert last <= FLAT * first
