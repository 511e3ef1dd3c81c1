"""Closed surfaces that a section makes as it moves: strips, necks, wires, strings, posts."""

from __future__ import annotations

import numpy as np

from brief.instrument.solid.making.surface import Floats, ShadedFaces, surface


def loft(rows: Floats, places: Floats | None = None, *, ring: bool = False) -> ShadedFaces:
    """The surface through sections that follow on each other.

    Parameters
    ----------
    rows : (k, n, 3) array
        Each a closed section of n points, all in the same order.
    places : (k, n, 2) array, optional
        On the part; nothing is laid on it if not given.
    ring : bool
        Whether the last section meets the first; else both ends are closed flat, which a section
        that every one of its points sees from its middle allows.
    """
    k, n = rows.shape[:2]
    if places is None:
        places = np.zeros((k, n, 2))
    index = np.arange(k * n).reshape(k, n)
    here = index if ring else index[:-1]
    following = np.roll(index, -1, axis=0) if ring else index[1:]
    a, b = here, np.roll(here, -1, axis=1)
    c, d = np.roll(following, -1, axis=1), following
    faces = np.concatenate(
        [np.stack([a, b, c], axis=-1).reshape(-1, 3), np.stack([a, c, d], axis=-1).reshape(-1, 3)]
    )
    points, laid = rows.reshape(-1, 3), places.reshape(-1, 2)
    if not ring:
        ends = []
        for at, (row, turned) in enumerate(((index[0], True), (index[-1], False))):
            middle = np.full(n, k * n + at)
            after = np.roll(row, -1)
            ends.append(np.stack([row, middle, after] if turned else [after, middle, row], axis=-1))
        faces = np.concatenate([faces, *ends])
        points = np.concatenate([points, rows[[0, -1]].mean(axis=1)])
        laid = np.concatenate([laid, places[[0, -1]].mean(axis=1)])
    return surface(points, faces, laid)


def tube(path: Floats, radius: float | Floats, sides: int = 8) -> ShadedFaces:
    """A round wire along a path.

    Parameters
    ----------
    path : (k, 3) array
    radius : float or (k,) array
        mm.
    sides : int
        Of its section.
    """
    ahead = np.gradient(path, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    # Each section is turned from the one before it by no more than the path turns.
    side = np.empty_like(ahead)
    last = np.cross(ahead[0], np.eye(3)[np.argmin(np.abs(ahead[0]))])
    for i, way in enumerate(ahead):
        last = last - way * (last @ way)
        last /= np.linalg.norm(last)
        side[i] = last
    over = np.cross(side, ahead)
    turn = 2 * np.pi * np.arange(sides) / sides
    wide = np.broadcast_to(np.asarray(radius, dtype=float), len(path))[:, None, None]
    rows = path[:, None] + wide * (
        np.cos(turn)[None, :, None] * side[:, None] + np.sin(turn)[None, :, None] * over[:, None]
    )
    return loft(rows)


def turned(at: Floats, along: Floats, profile: Floats, sides: int = 12) -> ShadedFaces:
    """What a lathe makes.

    Parameters
    ----------
    at : (3,) array
        Where its axis starts.
    along : (3,) array
        Where the axis points.
    profile : (k, 2) array
        How far along, and the radius there, mm.
    sides : int
    """
    along = along / np.linalg.norm(along)
    near = np.eye(3)[np.argmin(np.abs(along))]
    side = np.cross(along, near)
    side /= np.linalg.norm(side)
    over = np.cross(along, side)
    turn = 2 * np.pi * np.arange(sides) / sides
    round_ = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * over
    middle = np.asarray(at) + profile[:, :1] * along
    return loft(middle[:, None] + profile[:, 1][:, None, None] * round_[None])


def pillow(middle: Floats, size: Floats, power: float = 4.0, sides: int = 20) -> ShadedFaces:
    """A block with round edges: a superellipsoid, |x/a|^p + |y/b|^p + |z/c|^p = 1.

    Parameters
    ----------
    middle, size : (3,) array
        Its middle, and how large it is each way, mm.
    power : float
        2 is an ellipsoid; more is nearer to a block.
    sides : int
    """

    def bent(value: Floats) -> Floats:
        shaped: Floats = np.sign(value) * np.abs(value) ** (2 / power)
        return shaped

    down = np.linspace(-np.pi / 2, np.pi / 2, sides // 2 + 1)
    turn = 2 * np.pi * np.arange(sides) / sides
    ring = bent(np.cos(down))[:, None]
    ring[[0, -1]] = 0.0  # both poles are one point each
    unit = np.stack(
        [
            ring * bent(np.cos(turn))[None],
            ring * bent(np.sin(turn))[None],
            np.repeat(bent(np.sin(down))[:, None], sides, axis=1),
        ],
        axis=-1,
    )
    return loft(np.asarray(middle) + unit * np.asarray(size) / 2)


def rounded(path: Floats, times: int = 2) -> Floats:
    """A path with its corners cut, again and again; its ends stay (Chaikin 1974, from memory)."""
    for _ in range(times):
        start, end = path[:-1], path[1:]
        cut = np.stack([0.75 * start + 0.25 * end, 0.25 * start + 0.75 * end], axis=1)
        path = np.concatenate([path[:1], cut.reshape(-1, 3), path[-1:]])
    return path
