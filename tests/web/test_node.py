"""Run the browser modules' own tests, where Node.js is there to run them."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
NODE = shutil.which("node")


@pytest.mark.skipif(NODE is None, reason="Node.js is not installed")
def test_browser_modules_pass_their_own_tests() -> None:
    assert NODE is not None
    files = sorted(str(file) for file in HERE.glob("*.test.mjs"))
    run = subprocess.run(
        [NODE, "--test", "--test-reporter=tap", *files],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    passed = re.search(r"^# pass (\d+)$", run.stdout, re.MULTILINE)
    assert passed is not None, run.stdout
    assert int(passed[1]) >= len(files), "an empty run would end well, too"
