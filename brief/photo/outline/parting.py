"""Parting a picture in two: the part of it whose colours are not those of the rest.

Neither side need be of one colour. A figured board is of many, and so is a bench with paper, tools
and shadows on it; so a part is told by how much the colour of a spot says of the side it is on
(mutual information; Shannon 1948), over all rectangles of a coarse grid at once, and then followed
to its edge. Where light falls off, or a figure changes slowly, colour tells two halves apart, too,
though there is no edge; so it is looked at for a step all along the edge as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.photo.lightness import Floats, Mask, lab_of

Ints = NDArray[np.intp]

SPOTS = 112  # along the longest side of the picture
FINE = 3  # pixels of a spot each way, by which its texture is told
# Of CIELAB and texture together: light falls off, so L says less than hue; a rough face of the same
# colour is another face.
LIGHTNESS_SHARE, TEXTURE_SHARE = 0.7, 8.0
COLOURS = 16  # that the spots are sorted into
SOME, ROUNDS = 1200, 6  # spots that the colours are found by, and how often they are put right
STEPS = 15  # lines of the grid each way
TRIES, ALIKE = 3, 0.5  # rectangles that are followed; of the area of two, what they may share
LEAST_SHARE = 0.03
MIDDLE = 1.08  # how much rather a part is looked for that holds the middle of the picture
SMALL, SLOWLY = 0.45, 0.25  # the entropy below which a part counts for less for being small
SOFT, OPENED, FOLLOWED = 1.6, 2, 3  # spots, spots, rounds
STRETCH, STEP = 6, 4.0  # spots of an edge that are looked at together; the least step across them
ENOUGH = 5  # spots on either side of a stretch


@dataclass(frozen=True)
class PicturePart:
    """A part of a picture, and how sure it is.

    Attributes
    ----------
    inside : ndarray of bool, shape (h, w)
        Of the survey's shape; without holes, and over the parts that are not to be looked at.
    told : float, 0 to 1
        How much the colour of a spot says about the side it is on.
    stepped : float, 0 to 1
        The share of its edge, within the picture, at which there is a step.
    step : float
        The middle one of these, in the units of a survey, near those of CIE 1976.
    """

    inside: Mask
    told: float
    stepped: float
    step: float


def survey(picture: Image.Image) -> Floats:
    """The picture as spots: 0.7 L, a, b of CIELAB, D65 / 2°, and texture.

    Parameters
    ----------
    picture : Image
        Mode RGB, any size.

    Returns
    -------
    ndarray, shape (h, w, 4)
    """
    from scipy.ndimage import gaussian_filter, uniform_filter

    scale = SPOTS / max(picture.size)
    width, height = (max(4, round(side * scale)) for side in picture.size)
    fine = picture.resize((width * FINE, height * FINE), Image.Resampling.BOX, reducing_gap=1.0)
    lab = lab_of(np.asarray(fine.resize((width, height), Image.Resampling.BOX)))
    light = np.asarray(fine.convert("L")).astype(np.float32)
    rough = np.abs(light - uniform_filter(light, FINE + 2))
    rough = rough.reshape(height, FINE, width, FINE).mean(axis=(1, 3))
    lab = gaussian_filter(lab, (0.8, 0.8, 0)) * (LIGHTNESS_SHARE, 1, 1)
    texture = np.log1p(gaussian_filter(rough, 1.2)) * TEXTURE_SHARE
    return np.dstack([lab, texture])


def find_parts(spots: Floats, area: Mask) -> Iterator[PicturePart]:
    """The parts of the area that its colours tell from the rest, the best told first.

    Parameters
    ----------
    spots : ndarray, shape (h, w, 4)
        As `survey` gives them.
    area : ndarray of bool, shape (h, w)
        Where to look.

    Yields
    ------
    PicturePart
        At most 3, each begun from a rectangle that is no other's.

    References
    ----------
    Mutual information: Shannon (1948).
    """
    colour = _colours(spots, area)
    for rectangle, told in _rectangles(colour, area):
        inside = _followed(colour, area, rectangle)
        share = np.count_nonzero(inside & area) / np.count_nonzero(area)
        if LEAST_SHARE < share < 1 - LEAST_SHARE:
            yield PicturePart(inside, told, *_edge(spots, area, inside))


def _colours(spots: Floats, area: Mask) -> Ints:
    """Which of 16 colours each spot is nearest to, by k-means on some of the area's."""
    flat = spots.reshape(-1, spots.shape[-1])
    draw = np.random.default_rng(0)
    within = np.flatnonzero(area)
    some = flat[draw.choice(within, min(SOME, within.size), replace=False)]
    centres = some[:1]
    far = ((some - centres) ** 2).sum(axis=1)
    for _ in range(COLOURS - 1):  # k-means++ (Arthur and Vassilvitskii 2007)
        drawn = min(np.searchsorted(np.cumsum(far), draw.random() * far.sum()), len(some) - 1)
        centres = np.concatenate([centres, some[drawn : drawn + 1]])
        far = np.minimum(far, ((some - some[drawn]) ** 2).sum(axis=1))
    for _ in range(ROUNDS):
        nearest = _nearest(some, centres)
        count = np.bincount(nearest, minlength=COLOURS)
        total = np.array(
            [np.bincount(nearest, weights=axis, minlength=COLOURS) for axis in some.T]
        ).T
        centres = np.where(count[:, None] > 0, total / np.maximum(count, 1)[:, None], centres)
    return _nearest(flat, centres).reshape(area.shape)


def _nearest(spots: Floats, centres: Floats) -> Ints:
    nearest: Ints = ((centres**2).sum(axis=1) - 2 * spots @ centres.T).argmin(axis=1)
    return nearest


def _rectangles(colour: Ints, area: Mask) -> Iterator[tuple[Mask, float]]:
    """The rectangles whose inside is best told from their outside, and how well each is."""
    height, width = area.shape
    held = np.zeros((COLOURS, height + 1, width + 1), np.int32)
    each = (colour == np.arange(COLOURS)[:, None, None]) & area
    each.cumsum(axis=1, dtype=np.int32).cumsum(axis=2, out=held[:, 1:, 1:])
    down, across = (np.unique(np.linspace(0, n, STEPS).astype(int)) for n in (height, width))
    rows, columns = (np.array(np.triu_indices(len(lines), 1)) for lines in (down, across))
    (top, bottom), (left, right) = down[rows][:, :, None], across[columns]
    inside = held[:, bottom, right] - held[:, top, right]
    inside += held[:, top, left] - held[:, bottom, left]
    total = held[:, -1, -1]
    count, every = inside.sum(axis=0), int(total.sum())
    # n log n of each whole number there can be; mutual information and entropy are sums of them.
    log = np.arange(every + 1.0)
    log[1:] *= np.log(log[1:])
    side = log[every] - log[count] - log[every - count]
    shared = (log[inside] + log[total[:, None, None] - inside]).sum(axis=0)
    shared += side - log[total].sum()
    small = np.minimum(count, every - count) <= LEAST_SHARE * every
    told = np.where(small, 0, shared / np.maximum(side, 1e-9))
    middle = (2 * top < height) & (2 * bottom > height) & (2 * left < width) & (2 * right > width)
    worth = told * np.minimum(side / every, SMALL) ** SLOWLY * np.where(middle, MIDDLE, 1)
    size = (bottom - top) * (right - left)
    for _ in range(TRIES):
        at = row, column = np.unravel_index(worth.argmax(), worth.shape)
        if worth[at] <= 0:
            return
        box = (
            down[rows[0, row]],
            down[rows[1, row]],
            across[columns[0, column]],
            across[columns[1, column]],
        )
        found = np.zeros_like(area)
        found[box[0] : box[1], box[2] : box[3]] = True
        yield found, float(told[at])
        common = np.clip(np.minimum(bottom, box[1]) - np.maximum(top, box[0]), 0, None)
        common = common * np.clip(np.minimum(right, box[3]) - np.maximum(left, box[2]), 0, None)
        worth[common > ALIKE * (size + size[at] - common)] = 0


def _followed(colour: Ints, area: Mask, inside: Mask) -> Mask:
    """The part followed to its edge.

    Each spot goes to the side that its neighbourhood's colours are more often on, in turn with the
    counting of that.
    """
    from scipy.ndimage import binary_fill_holes, binary_opening, gaussian_filter, label

    weight = np.maximum(gaussian_filter(area.astype(np.float32), SOFT), 1e-3)
    for _ in range(FOLLOWED):
        ours, others = (
            np.bincount(colour[side & area], minlength=COLOURS) + 0.5 for side in (inside, ~inside)
        )
        odds = np.clip(np.log(ours / ours.sum()) - np.log(others / others.sum()), -3, 3)
        leaning = gaussian_filter(odds.astype(np.float32)[colour] * area, SOFT) / weight
        rim = 2 * OPENED
        opened = binary_opening(np.pad(leaning > 0, rim, mode="edge"), iterations=OPENED)
        pieces, count = label(opened[rim:-rim, rim:-rim])
        shared = np.bincount(pieces[inside], minlength=count + 1)
        shared[0] = 0
        if not shared.any():
            return inside
        inside = binary_fill_holes(pieces == shared.argmax())
    return inside


def _edge(spots: Floats, area: Mask, inside: Mask) -> tuple[float, float]:
    """At which share of the edge there is a step of its own, and the middle step.

    A step is one if it is more than either side goes on changing away from the edge.
    """
    from scipy.ndimage import distance_transform_edt

    around = np.pad(inside, 1, mode="edge")
    deep = around[:-2, 1:-1] & around[2:, 1:-1] & around[1:-1, :-2] & around[1:-1, 2:]
    edge = inside & ~deep & area
    if not edge.any():
        return 0.0, 0.0
    away, (y, x) = distance_transform_edt(~edge, return_indices=True)
    stretch = y // STRETCH * -(-inside.shape[1] // STRETCH) + x // STRETCH
    most = int(stretch.max()) + 1

    def means(side: Mask, least: float) -> tuple[Ints, Floats]:
        band = side & area & (away >= least) & (away < least + 2.5)
        count = np.bincount(stretch[band], minlength=most)
        sums = [
            np.bincount(stretch[band], weights=axis[band], minlength=most)
            for axis in np.moveaxis(spots, -1, 0)
        ]
        return count, np.array(sums).T / np.maximum(count, 1)[:, None]

    within, deeper = means(inside, 1.5), means(inside, 5.0)
    beyond, farther = means(~inside, 2.0), means(~inside, 5.5)
    seen = (within[0] >= ENOUGH) & (beyond[0] >= ENOUGH)
    if not seen.any():
        return 0.0, 0.0

    def between(one: tuple[Ints, Floats], other: tuple[Ints, Floats]) -> Floats:
        known = (one[0] >= ENOUGH) & (other[0] >= ENOUGH)
        return np.where(known, np.linalg.norm(one[1] - other[1], axis=1), 0)[seen]

    step, goes_on = between(within, beyond), between(within, deeper)
    least = np.maximum(goes_on, 2 * np.minimum(goes_on, between(beyond, farther)))
    return float(np.mean((step > STEP) & (step > least))), float(np.median(step))
