"""`import brief.colour` loads NumPy and nothing heavier."""

import subprocess
import sys

HEAVY = {
    "PIL",
    "colormath",
    "colour",
    "fastapi",
    "networkx",
    "scipy",
    "skimage",
    "sklearn",
    "sqlalchemy",
}


def test_importing_colour_loads_numpy_only():
    script = "import sys, brief.colour; print(*sorted({n.partition('.')[0] for n in sys.modules}))"
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "numpy" in loaded
    assert not HEAVY & set(loaded)
