"""colour-science, which the shipped tables are made from and the tests measure against.

It comes with `pip install -e ".[dev]"`: 100 MB that the program itself does not need. The scripts
that make tables ask for it here, and nothing else in the program may.
"""

from __future__ import annotations

import importlib
from functools import cache
from typing import Any

import numpy as np

from brief.quiet import quiet


@cache
def colour_science() -> Any:
    """The module `colour` of colour-science, imported without what its import does to the rest.

    It warns where Matplotlib is missing and sets NumPy's print options back to those of 1.13.
    """
    with quiet, np.printoptions():
        return importlib.import_module("colour")
