"""Growth rings as dips in the lightness of a strip: late wood is darker than early wood.

The figures below were set on rendered wood of known rings and on random streaks (see the tests).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.photo.lightness import Floats
from brief.photo.wood.strip import Strip

_CLOSEST_PX = 4.0
_WIDEST = 1 / 8  # of the line; wider rings are too few to count
_CLEAR = 0.97  # agreement of the two sides from which less smoothing will do
_PACE_LINES = 8  # rings over which a tree is taken to keep its pace


@dataclass(frozen=True)
class Dips:
    """Dips along a strip, and which of them are lines.

    Attributes
    ----------
    lines : ndarray
        The places of the lines, pixels from the start of the strip.
    doubtful : int
        How many more or fewer they would be, were the limit of depth between two thirds and one and
        a half times what it is.
    unevenness : float
        Coefficients of variation of the lines' depth and of their spacing at the tree's pace,
        added: about 0.75 for dips that fall by chance.
    contrast : float
        Standard deviation of the dips and what is between them, L.
    skew : float
        Third standardised moment of the same: below 0 where the dark is narrower than the light
        between, as late wood is, 0 where both are as wide.
    agreement : float
        -1 to 1, correlation of the two sides of the strip.
    """

    lines: Floats
    doubtful: int
    unevenness: float
    contrast: float
    skew: float
    agreement: float


def find_dips(strip: Strip) -> Dips:
    """The dips in the mean of the strip's lanes, at the spacing where its two sides share most.

    Where the rings grow narrower or wider along the line, the line is walked at their pace.
    """
    one, other = strip.halves
    profile = strip.rows.mean(axis=0)
    tried = np.geomspace(_CLOSEST_PX, len(profile) * _WIDEST, 40)
    shared = [np.mean(_bent(one, each, 0.1, 0.5) * _bent(other, each, 0.1, 0.5)) for each in tried]
    spacing = float(tried[np.argmax(shared)])
    for _ in range(6):  # settles in two or three
        places, depths, limit = _search(profile, spacing, 0.1, 0.5, 0.35)
        lines = places[depths > limit]
        if len(lines) < 3:
            break
        before, spacing = spacing, float(np.diff(lines).mean())
        if abs(spacing / before - 1) < 0.03:
            break
    one, other = _bent(one, spacing, 0.1, 0.5), _bent(other, spacing, 0.1, 0.5)
    agreement = np.mean(one * other) / max(float(one.std() * other.std()), 1e-12)
    place = np.arange(len(profile), dtype=np.float64)
    pace = _pace(lines, place)
    walked = np.interp(place, pace, place)
    # The fewer pixels to a ring, the more has the lens filled a narrow one between two wide ones.
    outer = float(np.clip(spacing / 40, 0.2, 0.4))
    inner = 0.07 if agreement > _CLEAR else 0.1
    paced = np.interp(walked, place, profile)
    places, depths, limit = _search(paced, spacing, inner, outer, 0.3)
    deep = depths > limit
    return Dips(
        lines=walked[places[deep]],
        doubtful=int(np.count_nonzero((depths > limit / 1.5) & (depths <= limit * 1.5))),
        unevenness=_variation(depths[deep]) + _variation(np.diff(places[deep])),
        contrast=float(_bent(profile, spacing, 0.1, 0.5).std()),
        skew=_skew(_bent(paced, spacing, inner, outer)),
        agreement=float(agreement),
    )


def _pace(lines: Floats, place: Floats) -> Floats:
    """How far each place is if every ring is as wide as any other; as far in all as it was."""
    from scipy.ndimage import gaussian_filter1d

    if len(lines) < _PACE_LINES:
        return place
    gaps = np.exp(gaussian_filter1d(np.log(np.diff(lines)), _PACE_LINES, mode="nearest"))
    way = np.cumsum(1 / np.interp(place, (lines[1:] + lines[:-1]) / 2, gaps))
    pace: Floats = (way - way[0]) / (way[-1] - way[0]) * place[-1]
    return pace


def _bent(profile: Floats, spacing: float, inner: float, outer: float) -> Floats:
    """What bends within a ring: noise, which bends sooner, is gone, and colour, which bends later.

    inner, outer : how far around to average, and to compare with, in spacings.
    """
    from scipy.ndimage import gaussian_filter1d

    fine = gaussian_filter1d(profile, max(0.1 * spacing, 0.1, 0.5))
    bent: Floats = fine - gaussian_filter1d(profile, outer * spacing)
    return bent


def _search(
    profile: Floats, spacing: float, inner: float, outer: float, share: float
) -> tuple[Floats, Floats, float]:
    """Dips, their depths, and the limit: a share of the median depth of those deeper than it.

    Depth is prominence, how far lightness rises before it falls deeper, in units of the contrast
    around, which the light and the width of the rings change.
    """
    from scipy.ndimage import gaussian_filter1d
    from scipy.signal import find_peaks

    bent = _bent(profile, spacing, inner, outer)
    contrast = np.sqrt(gaussian_filter1d(bent**2, 4 * spacing) + 1e-12)
    places, found = find_peaks(-bent / contrast, prominence=0.03)
    depths = found["prominences"]
    limit = 0.3
    for _ in range(20):
        deep = depths[depths > limit]
        before, limit = limit, share * float(np.median(deep)) if deep.size else limit
        if limit == before:
            break
    return places, depths, limit


def _skew(values: Floats) -> float:
    even = values - values.mean()
    return float((even**3).mean() / max(float(even.std()), 1e-12) ** 3)


def _variation(values: Floats) -> float:
    """Standard deviation over mean; infinite for fewer than two values."""
    return float(values.std() / values.mean()) if len(values) > 1 else np.inf
