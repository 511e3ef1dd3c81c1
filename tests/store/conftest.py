"""Here a new home is made as the program makes it."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def new_homes() -> None:
    """By all migrations, not by a copy."""
