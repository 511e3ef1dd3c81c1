"""`brief serve --processes`: several answer as one would, and none is left behind."""

from __future__ import annotations

import json
import os
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import partial
from pathlib import Path

import pytest
from prometheus_client.openmetrics.parser import text_string_to_metric_families as read

from brief.api.limits import RATES
from brief.cli import main
from tests.cli.test_serving import PASSPHRASE, PATIENCE_S, Running, running
from tests.nursery import Nursery

pytestmark = [
    pytest.mark.sqlite,
    pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks who is whose child"),
]


@pytest.fixture
def forked(nursery: Nursery) -> Callable[..., AbstractContextManager[Running]]:
    """`running`, without a start of Python for each of them."""
    return partial(running, nursery=nursery, does="brief_of_forks")


def below(pid: int) -> set[int]:
    """The processes that answer: children of that one, but for the one that tidies up."""
    found = set()
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            parent = int(stat.read_text().rpartition(")")[2].split()[1])
            words = (stat.parent / "cmdline").read_text()
        except OSError:
            continue
        if parent == pid and "resource_tracker" not in words:
            found.add(int(stat.parent.name))
    return found


def until(said: Callable[[], object]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not said():
        assert time.monotonic() < end
        time.sleep(0.05)


def answers(running: Running) -> bool:
    try:
        return running.ask("GET", "/api/ready")[0] == 200
    except OSError:
        return False


def test_what_one_has_counted_and_let_in_the_others_know(
    forked: Callable[..., AbstractContextManager[Running]], tmp_path: Path
) -> None:
    """Each request is a connection of its own, which any of the three may take."""
    env = {"BRIEF_LOCKED": "1", "BRIEF_PASSPHRASE": PASSPHRASE}
    with forked("serve", "--home", tmp_path, "--processes", "3", **env) as three:
        until(lambda: answers(three) and len(below(three.process.pid)) == 3)
        rate, began = RATES["token"], time.monotonic()
        told = Counter(three.ask("GET", f"/s/wrong{n}")[0] for n in range(rate.tries + 10))
        again = 1 + (time.monotonic() - began) * rate.tries / rate.seconds  # a slow machine
        assert rate.tries <= told[404] <= rate.tries + again
        assert told[404] + told[429] == rate.tries + 10

        status, headers = three.ask("POST", "/api/session", {"passphrase": PASSPHRASE})
        assert status == 200
        cookie = headers["set-cookie"].partition(";")[0]
        for _ in range(12):
            assert three.ask("GET", "/api/briefs", Cookie=cookie)[0] == 200
            assert three.ask("GET", "/api/briefs")[0] == 401

        first = min(below(three.process.pid))
        os.kill(first, signal.SIGKILL)
        until(lambda: len(below(three.process.pid) - {first}) == 3 and answers(three))
        assert three.ask("GET", "/api/briefs", Cookie=cookie)[0] == 200

        three.process.send_signal(signal.SIGTERM)
        assert three.process.wait(PATIENCE_S) == 0
        said, wrong = three.process.communicate()
        assert (said, wrong) == ("", "")
        assert three.said.count("is open at") == 1


def test_they_count_together_and_each_writes_its_lines(
    forked: Callable[..., AbstractContextManager[Running]], tmp_path: Path
) -> None:
    words = ("serve", "--home", tmp_path, "--processes", "2", "--metrics", "--log", "json")
    with forked(*words) as two:
        until(lambda: answers(two) and len(below(two.process.pid)) == 2)
        for _ in range(20):
            assert two.ask("GET", "/api/briefs")[0] == 200
        for _ in range(6):  # whichever is asked
            text = two.fetch("api/metrics").decode()
            (family,) = (one for one in read(text) if one.name == "brief_answer_seconds")
            (count,) = (
                one.value
                for one in family.samples
                if one.name.endswith("_count") and one.labels["route"] == "/api/briefs"
            )
            assert count == 20
        two.process.send_signal(signal.SIGTERM)
        _, wrong = two.process.communicate(timeout=PATIENCE_S)
        lines = [json.loads(line) for line in wrong.splitlines()]
        assert Counter(one["route"] for one in lines)["/api/briefs"] == 20


@pytest.mark.slow
def test_if_the_one_above_is_killed_the_others_end(tmp_path: Path) -> None:
    with running("serve", "--home", tmp_path, "--processes", "2") as two:
        until(lambda: answers(two) and len(below(two.process.pid)) == 2)
        those = below(two.process.pid)
        two.process.kill()
        until(lambda: not any(Path(f"/proc/{one}/cmdline").exists() for one in those))


@pytest.mark.parametrize("wrong", ["0", "-1", "two", "65"])
def test_another_number_of_processes_is_refused(
    wrong: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(["serve", "--processes", wrong]))
    assert ended.value.code == 2
    assert "a number from 1 to 64" in capsys.readouterr().err
