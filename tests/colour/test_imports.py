"""`import brief.colour` loads NumPy and nothing heavier, and what is loaded leaves others alone."""

import os
import subprocess
import sys

HEAVY = {
    "PIL",
    "colormath",
    "colour",
    "contourpy",
    "fastapi",
    "networkx",
    "scipy",
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


def test_colour_science_is_loaded_without_its_warnings_and_leaves_numpy_alone():
    script = """
import numpy
before = numpy.get_printoptions()
from brief.colour.reference_library import colour_science
colour_science()
assert numpy.get_printoptions() == before
"""
    subprocess.run([sys.executable, "-W", "error", "-c", script], check=True)


def test_colormath_is_compiled_without_a_warning(tmp_path):
    """As by the first start after an installation that compiled nothing."""
    subprocess.run(
        [sys.executable, "-W", "error", "-c", "import brief.colour.libraries"],
        env=os.environ | {"PYTHONPYCACHEPREFIX": str(tmp_path), "PYTHONDONTWRITEBYTECODE": ""},
        check=True,
    )
    assert list(tmp_path.rglob("color_objects.*.pyc"))


def test_converting_a_colour_is_what_loads_colormath():
    script = """
import sys
from brief.colour.notation.notation import notations, parse_reading
from brief.colour.notation.spectrum import spectrum_to_lab
assert parse_reading("#b37a4c").uncertainty == 0
assert "colormath" not in sys.modules and "networkx" not in sys.modules
notations([50, 5, 20])
assert "colormath" in sys.modules
"""
    subprocess.run([sys.executable, "-W", "error", "-c", script], check=True)
