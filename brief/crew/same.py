"""Whether two computers run the same program, so that the same comes out of it."""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import brief
from brief.errors import CrewLost
from brief.places import PACKAGE

NONE = "none"
DATA = {".py", ".toml", ".json", ".csv", ".npz"}


def runs(libraries: Iterable[str]) -> dict[str, str]:
    """What is run here, by its name: this program, told by all its files, Python, and these
    libraries, each with its version or “none”.
    """
    minor = ".".join(platform.python_version_tuple()[:2])
    made_of = f"{brief.__version__} ({_digest()})"
    return {"brief": made_of, "Python": minor, **{one: _version(one) for one in libraries}}


def differences(here: Mapping[str, str], there: Mapping[str, str]) -> str:
    """What is another version there, in words; empty if nothing is."""
    other = [name for name in here if here[name] != there.get(name, NONE)]
    return ", ".join(f"{name} {there.get(name, NONE)} (here {here[name]})" for name in other)


def carried_out(here: Mapping[str, str], does: Callable[..., Any], given: tuple[Any, ...]) -> Any:
    """What the function makes of it. here : what is run where it was asked for.

    Raises CrewLost if something else is run where it is done.
    """
    if said := differences(here, _runs(tuple(here))):
        raise CrewLost(another_version(platform.node(), said))
    return does(*given)


def another_version(who: str, said: str) -> str:
    """The sentence about a computer that runs something else."""
    return (
        f"{who} runs another version than this computer: {said}. What is measured there would not "
        "be the same. Install the same on both, and start it again."
    )


@cache
def _runs(names: tuple[str, ...]) -> dict[str, str]:
    return runs(name for name in names if name not in ("brief", "Python"))


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return NONE


@cache
def _digest() -> str:
    told = hashlib.sha256()
    for path in sorted(PACKAGE.rglob("*")):
        if path.suffix in DATA and "_packaged" not in path.parts:
            told.update(path.relative_to(PACKAGE).as_posix().encode() + b"\0" + path.read_bytes())
    return told.hexdigest()[:12]
