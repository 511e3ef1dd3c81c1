"""Where the files beside the package are: in the wheel, or in a checkout."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).parent


def web_folder() -> Path:
    """The folder of templates and static files."""
    return _beside("web")


def demo_folder() -> Path:
    """The folder of the demo's pictures."""
    return _beside("demo_assets")


def _beside(name: str) -> Path:
    packaged = PACKAGE / "_packaged" / name
    return packaged if packaged.is_dir() else PACKAGE.parent / name
