"""A strip of a picture along a line, and its lanes set straight along the grain.

Where the lanes of the strip stand ring beside ring, their mean keeps the rings and loses noise,
fibres and pores.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.photo.lightness import Floats, Srgb, lightness

_REACH = (16, 120)  # pixels to each side of the line, at least and at most
_LINE_TO_REACH = 8
_STEEPEST = 8.0  # sideways for each pixel; beyond, the grain runs along the line
_STEP = 4  # pixels; the direction of the grain is looked at this coarsely


@dataclass(frozen=True)
class Strip:
    """Lightness along a line and to both sides of it.

    Attributes
    ----------
    rows : ndarray, shape (2 · reach + 1, length + 1)
        L; each row a lane, the middle one the line itself, the others bent so that a growth ring
        has the same place in all.
    drift : ndarray, shape (length + 1,)
        By how many pixels the grain drifts along the line for each pixel beside it; 0 where it
        crosses the line squarely.
    coherence : float, 0 to 1
        How much of the strip's detail runs in one direction.
    """

    rows: Floats
    drift: Floats
    coherence: float

    @property
    def halves(self) -> tuple[Floats, Floats]:
        """The mean of the lanes on either side of the line."""
        reach = len(self.rows) // 2
        return self.rows[:reach].mean(axis=0), self.rows[reach + 1 :].mean(axis=0)


def cut_strip(srgb: Srgb, start: Floats, end: Floats) -> Strip:
    """The strip along a line from start to end, (x, y) in pixels of the picture.

    References
    ----------
    Bigün and Granlund (1987) for the direction of the grain, from memory.
    """
    reach = int(np.clip(np.hypot(*(end - start)) / _LINE_TO_REACH, *_REACH))
    flat = _sampled(srgb, start, end, reach)
    drift, coherence = _drift(flat, reach)
    rows, along = _followed(flat, drift, reach)
    rows, more = _aligned(rows)
    return Strip(rows, along + more, coherence)


def _sampled(srgb: Srgb, start: Floats, end: Floats, reach: int) -> Floats:
    """The strip as it is, `reach` longer at both ends; what lies outside repeats the border."""
    from scipy.ndimage import map_coordinates

    length = float(np.hypot(*(end - start)))
    forward = (end - start) / length
    sideways = np.array([forward[1], -forward[0]])
    s = np.arange(-reach, int(length) + reach + 1)
    t = np.arange(-reach, reach + 1)[:, None]
    x, y = (start[i] + s * forward[i] + t * sideways[i] for i in (0, 1))
    left, top = max(0, int(x.min())), max(0, int(y.min()))
    part = lightness(srgb[top : int(y.max()) + 2, left : int(x.max()) + 2])
    flat: Floats = map_coordinates(part, [y - top, x - left], order=1, mode="nearest")
    return flat


def _drift(flat: Floats, reach: int) -> tuple[Floats, float]:
    """How the grain drifts at every fourth place each way, from the structure tensor; coherence.

    Source: Bigün and Granlund 1987; from memory.
    """
    from scipy.ndimage import gaussian_filter, gaussian_filter1d, sobel

    even = flat - gaussian_filter1d(flat.mean(axis=0), 3 * reach)
    soft = gaussian_filter(even, 1.0)
    t, s = (sobel(soft, axis, mode="nearest") for axis in (0, 1))
    around = (gaussian_filter(part, _STEP, mode="nearest") for part in (t * t, t * s, s * s))
    tt, ts, ss = (gaussian_filter(part[::_STEP, ::_STEP], reach / 4 / _STEP) for part in around)
    angle = 0.5 * np.arctan2(2 * ts, ss - tt)  # of the steepest way, from the line
    along = np.hypot(np.mean(ss - tt), 2 * np.mean(ts))
    drift: Floats = np.clip(-np.tan(angle), -_STEEPEST, _STEEPEST)
    return drift, float(along / max(float(np.mean(ss + tt)), 1e-12))


def _followed(flat: Floats, drift: Floats, reach: int) -> tuple[Floats, Floats]:
    """Each lane read where the grain has drifted to, step by step away from the line."""
    place = np.arange(flat.shape[1])
    known = place[::_STEP]
    on_line = place[reach:-reach]
    rows = np.empty((len(flat), len(on_line)))
    rows[reach] = flat[reach, on_line]
    for side in (1, -1):
        at = on_line.astype(np.float64)
        for row in range(reach + side, reach + side * (reach + 1), side):
            at = at + side * np.interp(at, known, drift[(row - side) // _STEP])
            rows[row] = np.interp(at, place, flat[row])
    return rows, np.interp(on_line, known, drift[reach // _STEP])


def _aligned(rows: Floats) -> tuple[Floats, float]:
    """The lanes set against each other by the one further drift that makes their mean sharpest.

    The tensor errs by half a degree on lines a few pixels apart; over a hundred lanes that is as
    much as a ring is wide.
    """
    from scipy.ndimage import gaussian_filter1d

    reach = len(rows) // 2
    lane = np.arange(-reach, reach + 1)
    some = slice(reach % 3, None, 3)  # enough to find the drift by
    detail = rows[some] - gaussian_filter1d(rows[some], 20, axis=1)
    f = np.fft.rfftfreq(rows.shape[1])
    f = f[f < 0.35]
    spectrum = np.fft.rfft(detail, axis=1)[:, : len(f)]
    sharp = (f * np.exp(-((f / 0.25) ** 2))) ** 2
    best = 0.0
    for span, steps in ((0.06, 25), (0.006, 13)):
        tried = best + np.linspace(-span, span, steps)
        turns = [np.exp(2j * np.pi * drift * np.outer(lane[some], f)) for drift in tried]
        means = [(spectrum * turn).sum(axis=0) for turn in turns]
        best = float(tried[np.argmax([(np.abs(mean) ** 2 * sharp).sum() for mean in means])])
    place = np.arange(rows.shape[1])
    moved = [np.interp(place + best * t, place, row) for t, row in zip(lane, rows, strict=True)]
    return np.stack(moved), best
