"""Mitsuba 3, where it is installed: https://www.mitsuba-renderer.org, BSD-3.

Only `scalar_spectral` is ever asked for: the variants that need LLVM can abort the whole process.
"""

from __future__ import annotations

import platform
import sys
from functools import cache
from importlib.util import find_spec
from typing import Any

from brief.errors import InputError

VARIANT = "scalar_spectral"
# The one line that adds it to the Python which this program runs in.
INSTALL = f'{sys.executable} -m pip install "mitsuba>=3.9"'
# Where there are wheels of Mitsuba 3.9, as the package index lists them.
WHEELS = {("linux", "x86_64"), ("darwin", "arm64"), ("win32", "amd64")}


def missing() -> str:
    """Why nothing can be computed here, and what to do; empty where it can."""
    if find_spec("mitsuba") is not None:
        return ""
    if (sys.platform, platform.machine().lower()) not in WHEELS:
        return (
            f"The renderer, Mitsuba 3, is not made for this computer ({platform.system()}, "
            f"{platform.machine()}): there is one for Linux and Windows on x86-64, and for Macs "
            "with Apple silicon. Everything else works without it."
        )
    return f"This needs one more package. Install it, then start the program again: {INSTALL}"


@cache
def mitsuba() -> Any:
    """The renderer, set to spectra.

    Raises
    ------
    InputError
        Where it is not installed; the message says how.
    """
    if said := missing():
        raise InputError(said)
    import mitsuba as renderer

    renderer.set_variant(VARIANT)
    renderer.set_log_level(renderer.LogLevel.Error)
    return renderer
