"""One picture from beginning to end: all that goes in, and what comes out pass by pass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from brief.colour.spaces import Array
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import Fill
from brief.instrument.solid.parts.inlays import Laid
from brief.instrument.solid.whole import solids
from brief.studio.develop import as_png, developed, even_room, without_speckle
from brief.studio.looks import Look
from brief.studio.renderer import mitsuba
from brief.studio.scene import Order, Scene


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
    let_in: Sequence[Laid]
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
    mitsuba()
    import drjit

    drjit.set_thread_count(threads)
    scene = Scene(solids(shot.preset, shot.fills, shot.let_in), shot.looks, shot.order)
    white = scene.white()

    def after(done: int, film: Array) -> Progress:
        return Progress(done, shot.order.passes, as_png(developed(without_speckle(film), white)))

    yield after(0, scene.glance())
    covered = scene.covered()
    for done, film in enumerate(scene.passes(), start=1):
        yield after(done, even_room(film, covered))
