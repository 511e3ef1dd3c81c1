"""Small colours of a picture that its palette passes over, and that a person would name first.

Clustering goes by the number of pixels, so that a beak, a buoy or a berry is averaged into what is
round it. What is looked for here is small, far from all swatches, and of one colour in one place.
"""

from __future__ import annotations

import numpy as np

from brief.colour import delta_e_2000
from brief.photo.palettes.histogram import Floats, Ints

MOST = 3
LEAST_SHARE, MOST_SHARE = 0.0005, 0.05  # of the counted pixels
LEAST_CELL = 2e-5  # of them; a cell of fewer is noise, and there are thousands
# CIEDE2000; our working figures.
FAR = 8.0  # from every swatch: no bystander would call it the same colour
ALIKE = 7.0  # of one colour, light and shade of a small thing included
# A colour by itself has at least so many pixels as what is round it in colour, out to twice
# ALIKE; the tail of a swatch has fewer, for it thins out.
BY_ITSELF = 0.6
# How much of the pixels of such a colour must be in its few largest patches: a colour strewn over
# the picture is texture.
_PATCHES, _TOGETHER = 5, 0.5
_ENOUGH = 0.01  # of the picture; what is larger is no more striking for it
# Cells that an accent may be built round, at most one from each box of Lab, and how many of them
# are looked at in the picture.
_SEEDS, _TRIED, _BOX = 60, 12, 8.0
_CHROMA_SEEN = 25.0  # a vivid thing is named before a grey one that is as far off


def find_accents(cells: Floats, counts: Ints, cell_at: Ints, swatches: Floats) -> list[Ints]:
    """The cells of each accent, at most three, the most striking first.

    Parameters
    ----------
    cells : ndarray, shape (m, 3)
        CIELAB, D65 / 2°.
    counts : ndarray of int, shape (m,)
        Of the pixels in each.
    cell_at : ndarray of int, shape (height, width)
        The cell of each pixel, -1 where none counts.
    swatches : ndarray, shape (k, 3)
        CIELAB, D65 / 2°, of the palette.

    Returns
    -------
    list of ndarray of int
        Indices into cells. An accent has 0.05 to 5 % of the pixels.
    """
    found: list[Ints] = []
    counted = np.flatnonzero(counts >= LEAST_CELL * counts.sum())
    known = swatches
    while len(found) < MOST:
        clear = delta_e_2000(cells[counted][:, None], known[None, :]).min(axis=1)
        accent = _most_striking(cells, counts, cell_at, counted, clear)
        if accent is None:
            break
        found.append(accent)
        known = np.vstack([known, np.average(cells[accent], axis=0, weights=counts[accent])])
    return found


def _most_striking(
    cells: Floats, counts: Ints, cell_at: Ints, counted: Ints, clear: Floats
) -> Ints | None:
    """The cells of the accent that strikes most.

    counted : the cells to look among; clear : CIEDE2000 of each of them from what is known.
    """
    lab, pixels = cells[counted], counts[counted]
    far = np.flatnonzero(clear >= FAR)
    striking = clear * (1 + np.hypot(lab[:, 1], lab[:, 2]) / _CHROMA_SEEN)
    # Roots, so that a little more of a colour counts less than being further off.
    seeds = far[np.argsort(-striking[far] * np.sqrt(pixels[far]), kind="stable")]
    boxes = np.unique(lab[seeds] // _BOX, axis=0, return_index=True)[1]
    seeds = seeds[np.sort(boxes)[:_SEEDS]]
    apart = delta_e_2000(lab[seeds][:, None], lab[None, :])
    alike = apart <= ALIKE
    inside = alike @ pixels
    around = (apart <= 2 * ALIKE) @ pixels - inside
    shares = inside / counts.sum()
    worth = striking[seeds] * np.minimum(shares, _ENOUGH) ** 0.25
    worth[(shares < LEAST_SHARE) | (shares > MOST_SHARE) | (inside < BY_ITSELF * around)] = 0
    for seed in np.argsort(-worth, kind="stable")[:_TRIED]:
        members: Ints = counted[alike[seed]]
        if worth[seed] > 0 and _together(cell_at, members):
            return members
    return None


def _together(cell_at: Ints, members: Ints) -> bool:
    from scipy.ndimage import label

    wanted = np.zeros(cell_at.max() + 2, dtype=np.bool_)
    wanted[members] = True
    shown = wanted[cell_at]  # -1 finds the last, which is no cell's
    patches, _ = label(shown, structure=np.ones((3, 3)))
    sizes = np.sort(np.bincount(patches[shown]))[::-1]
    return bool(sizes[:_PATCHES].sum() >= _TOGETHER * sizes.sum())
