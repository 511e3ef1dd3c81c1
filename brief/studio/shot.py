"""One picture from beginning to end: all that goes in, and what comes out pass by pass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Lock

from brief.colour.spaces import Array
from brief.errors import RenderFailed
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Fill
from brief.instrument.solid.parts.inlays import LaidDesign
from brief.instrument.solid.whole import solids
from brief.studio.develop import as_png, developed, even_room, without_speckle
from brief.studio.looks import Look
from brief.studio.renderer import INSTALL, mitsuba
from brief.studio.scene import Order, Scene

Films = tuple[Array, ...]
_ONE_AT_A_TIME = Lock()  # the renderer, in a process of several threads


@dataclass(frozen=True)
class Shot:
    """All that goes into a picture.

    Attributes
    ----------
    preset : Preset
    fills : mapping of str to Fill
        How photographs are laid, by role.
    let_in : sequence
        The maker's own inlays, as `solids` takes them.
    looks : mapping of str to Look
    order : Order
    """

    preset: Preset
    fills: Mapping[str, Fill]
    let_in: Sequence[LaidDesign]
    looks: Mapping[str, Look]
    order: Order


@dataclass(frozen=True)
class Progress:
    """How far a picture is, in passes, and a PNG of it so far.

    It is small before the first pass, and the whole picture after the last.
    """

    done: int
    of: int
    png: bytes


def taken(shot: Shot, threads: int) -> Iterator[Progress]:
    """The picture at a glance, and after each pass; the same shot gives the same bytes.

    Parameters
    ----------
    shot : Shot
    threads : int, above 0

    Raises
    ------
    InputError
        Where the renderer is not installed.
    """
    scene = _scene(shot, threads)
    shares = (_share(scene, number) for number in range(shares_of(shot)))
    yield from put_together(shares, shot.order.passes)


def shares_of(shot: Shot) -> int:
    """How many shares a picture can be computed in: a glance, the room, and each pass."""
    return 2 + shot.order.passes


def share(shot: Shot, number: int, threads: int) -> Films:
    """What `put_together` needs of one share, from 0, computed by itself anywhere.

    Raises
    ------
    RenderFailed
        In words, whatever went wrong.
    InputError
        Where the renderer is not installed.
    """
    with _ONE_AT_A_TIME, in_words():
        return _share(_scene(shot, threads), number)


def put_together(shares: Iterator[Films], passes: int) -> Iterator[Progress]:
    """The picture at a glance, and after each pass, from all shares in their order."""
    glance, white = next(shares)
    yield Progress(0, passes, as_png(developed(without_speckle(glance), white)))
    (covered,) = next(shares)
    total: Array | None = None
    for done, (film,) in enumerate(shares, start=1):
        total = film if total is None else total + film
        evened = without_speckle(even_room(total / done, covered))
        yield Progress(done, passes, as_png(developed(evened, white)))


@contextmanager
def in_words() -> Iterator[None]:
    """Have what goes wrong with a picture raised as RenderFailed, in words."""
    try:
        yield
    except OSError as exc:
        raise RenderFailed(f"A photograph of one of the parts cannot be read: {exc}.") from exc
    except ImportError as exc:
        raise RenderFailed(
            f"The renderer cannot be opened ({exc}). Install it again: {INSTALL}"
        ) from exc
    except MemoryError as exc:
        raise RenderFailed(
            "There is too little memory for this picture. Close something else."
        ) from exc


def _scene(shot: Shot, threads: int) -> Scene:
    mitsuba()
    import drjit

    drjit.set_thread_count(threads)
    return Scene(solids(shot.preset, shot.fills, shot.let_in), shot.looks, shot.order)


def _share(scene: Scene, number: int) -> Films:
    if number == 0:
        return scene.glance(), scene.white()
    if number == 1:
        return (scene.covered(),)
    return (scene.one_pass(number - 2),)
