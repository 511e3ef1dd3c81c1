"""What is read once and kept for all must not be changed by one of its readers."""

from __future__ import annotations

from typing import Any


def unchanging(value: Any) -> Any:
    """The same with every list in it as a tuple; a mapping becomes one of its own."""
    if isinstance(value, list):
        return tuple(unchanging(item) for item in value)
    if isinstance(value, dict):
        return {key: unchanging(item) for key, item in value.items()}
    return value
