"""The few colours a picture is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from brief.colour import delta_e_2000, lab_to_srgb, srgb_to_lab
from brief.errors import InputError, quoted
from brief.photo.correction.correction import Correction
from brief.photo.files.header import UNNAMED
from brief.photo.files.intake import WHOLE, Picture
from brief.photo.files.thread_limit import one_thread
from brief.photo.outline.region import Region
from brief.photo.palettes.accents import find_accents
from brief.photo.palettes.histogram import ColouredPixels, Floats, Ints, fold, seen_pixels
from brief.photo.palettes.locate import find_spot

PALETTE_ALGORITHM = "lab-kmeans-1"  # raise the number when the same picture gives other colours
FEWEST, MOST = 1, 12
MERGE_BELOW = 2.0  # CIEDE2000; two colours closer than this are made one: our working figure
WORTH_A_COLOUR = 0.5  # CIEDE2000; what one more colour must bring the average pixel
_FOLD_BITS = 5
_STARTS = 10  # with 4 a run ends 3 % short of the best too often


@dataclass(frozen=True)
class PaletteColour:
    """One colour of a palette.

    Attributes
    ----------
    lab, srgb : (float, float, float)
        The mean of its pixels, CIELAB, D65 / 2°, and the same in sRGB, 0 to 1.
    share : float
        Part of the counted pixels, 0 to 1; the shares of a palette sum to 1.
    spread : float
        Root mean square CIEDE2000 of its pixels about it, each taken at the mean of its cell, and
        the picture at 640 pixels along its longest side: so without the sensor's noise.
    spot : (float, float)
        Where the colour is found best, percent of the width and height of the whole upright
        picture: the middle of its largest patch.
    """

    lab: tuple[float, float, float]
    srgb: tuple[float, float, float]
    share: float
    spread: float
    spot: tuple[float, float]


@dataclass(frozen=True)
class PhotoPalette:
    """Colours, largest share first, and everything needed to pull the same ones out again.

    Attributes
    ----------
    accents : tuple of PaletteColour
        Up to three small colours far from all these, the most striking first. Their pixels are
        counted in `colours`, too, so that their shares come on top.
    left_out : float
        Share of the picture or region that was transparent, blown out or crushed, 0 to 1.
    """

    colours: tuple[PaletteColour, ...]
    accents: tuple[PaletteColour, ...]
    asked: int | Literal["auto"]
    region: Region | None
    seed: int
    algorithm: str
    left_out: float


def extract_palette(
    source: Picture,
    colours: int | Literal["auto"] = 6,
    region: Region | None = None,
    seed: int = 0,
    *,
    correction: Correction | None = None,
    name: str = UNNAMED,
) -> PhotoPalette:
    """The colours that a picture, or a region of it, is made of.

    Parameters
    ----------
    source, name : as for `open_photo`
    colours : int, 1 to 12, or "auto"
        How many; 1 is the mean of it. "auto" is as many as are worth it: the largest number whose
        last colour still brought the average pixel 0.5 CIEDE2000 nearer to its swatch.
    region : Region, optional
    seed : int, 0 to 2³¹ − 1
        For the starting points of k-means.
    correction : Correction, optional
        By a reference in the shot; without one, the picture counts as sRGB.

    Returns
    -------
    PhotoPalette
        There may be fewer colours than asked for, and a picture of one colour has one. The same
        picture always gives the same palette, whatever the number of threads.

    Raises
    ------
    InputError
        On a number of colours or a seed outside its range.
    TooLarge, ImageError
        As `open_photo`.

    Notes
    -----
    The pixels that carry a colour (`seen_pixels`) are folded into 32 × 32 × 32 cells and clustered
    by weighted k-means in CIELAB; colours closer than 2 CIEDE2000 are merged. Small things of a
    colour of their own, from 0.05 % of the picture, are found beside them (`accents`).
    """
    _check(colours, seed)
    seen = seen_pixels(source, region, name)
    to_lab = srgb_to_lab if correction is None else correction.apply_srgb
    cells, counts, cell_of = fold(seen, _FOLD_BITS, to_lab)
    if colours == "auto":
        groups = _groups_worth_having(cells, counts, seed)
    else:
        groups = _groups(cells, counts, colours, seed)
    groups = _merged(cells, counts, groups)
    cell_at = _cells_in_place(seen, cell_of)
    swatches = _described(cells, counts, groups, cell_at, region or WHOLE)
    found = find_accents(cells, counts, cell_at, _centres(cells, counts, groups))
    accent_of = np.full(len(cells), -1)
    for number, members in enumerate(found):
        accent_of[members] = number
    return PhotoPalette(
        colours=tuple(sorted(swatches, key=lambda swatch: (-swatch.share, swatch.lab))),
        accents=tuple(_described(cells, counts, accent_of, cell_at, region or WHOLE)),
        asked=colours,
        region=region,
        seed=seed,
        algorithm=PALETTE_ALGORITHM,
        left_out=round(seen.left_out, 6),
    )


def _check(colours: object, seed: object) -> None:
    if colours != "auto" and not (
        isinstance(colours, int | np.integer)
        and not isinstance(colours, bool)
        and FEWEST <= colours <= MOST
    ):
        raise InputError.at(
            "colours",
            f"the number of colours must be between {FEWEST} and {MOST}, or auto; "
            f"got {quoted(colours)}",
        )
    if not isinstance(seed, int | np.integer) or not 0 <= seed < 2**31:
        raise InputError.at(
            "seed", f"the seed must be between 0 and {2**31 - 1}; got {quoted(seed)}"
        )


def _groups(cells: Floats, counts: Ints, wanted: int, seed: int) -> Ints:
    """The group of each cell, by weighted k-means; at most `wanted` groups."""
    if wanted == 1:  # which waits for no library
        return np.zeros(len(cells), dtype=np.intp)
    from sklearn.cluster import KMeans

    kmeans = KMeans(min(wanted, len(cells)), n_init=_STARTS, random_state=seed, algorithm="lloyd")
    with one_thread():
        labels = kmeans.fit(cells, sample_weight=counts).labels_
    return np.asarray(labels, dtype=np.intp)


def _groups_worth_having(cells: Floats, counts: Ints, seed: int) -> Ints:
    tried = [_groups(cells, counts, k, seed) for k in range(2, MOST + 1)]
    mean_away = [
        np.average(_away(cells, _centres(cells, counts, groups), groups), weights=counts)
        for groups in tried
    ]
    worth = np.flatnonzero(-np.diff(mean_away) >= WORTH_A_COLOUR)
    return tried[worth[-1] + 1 if worth.size else 0]


def _merged(cells: Floats, counts: Ints, groups: Ints) -> Ints:
    """Join the two nearest groups until none are nearer than MERGE_BELOW; renumber from 0."""
    while True:
        groups = np.unique(groups, return_inverse=True)[1]
        centres = _centres(cells, counts, groups)
        apart = delta_e_2000(centres[:, None], centres[None, :])
        apart[np.tril_indices(len(centres))] = np.inf
        one, other = np.unravel_index(np.argmin(apart), apart.shape)
        if not apart[one, other] < MERGE_BELOW:
            return groups
        groups = np.where(groups == other, one, groups)


def _centres(cells: Floats, counts: Ints, groups: Ints) -> Floats:
    """Weighted mean Lab of each group, shape (k, 3)."""
    sums = [np.bincount(groups, weights=counts * cells[:, i]) for i in range(3)]
    return np.stack(sums, axis=-1) / np.bincount(groups, weights=counts)[:, None]


def _away(cells: Floats, centres: Floats, groups: Ints) -> Floats:
    """CIEDE2000 of each cell from the centre of its group, shape (n,)."""
    return delta_e_2000(cells, centres[groups])


def _cells_in_place(seen: ColouredPixels, cell_of: Ints) -> Ints:
    """The cell of each pixel, shape (height, width); -1 where a pixel does not count."""
    placed = np.full(seen.where.shape, -1)
    placed[seen.where] = cell_of
    return placed


def _described(
    cells: Floats, counts: Ints, groups: Ints, cell_at: Ints, region: Region
) -> list[PaletteColour]:
    """The swatch of each group; the cells of group -1 belong to none."""
    grouped = np.flatnonzero(groups >= 0)
    if not grouped.size:
        return []
    centres = _centres(cells[grouped], counts[grouped], groups[grouped])
    away = np.full(len(cells), np.inf)
    away[grouped] = _away(cells[grouped], centres, groups[grouped])
    pixels = np.bincount(groups[grouped], weights=counts[grouped])
    squares = counts[grouped] * away[grouped] ** 2
    spreads = np.sqrt(np.bincount(groups[grouped], weights=squares) / pixels)
    # A pixel no further off than the spread is typical; the slack is for a spread of 0. What is
    # appended is what the index -1 finds.
    typical = np.where(away <= spreads[groups] + 1e-6, groups, -1)
    typical_at = np.append(typical, -1)[cell_at]
    away_at = np.append(away, np.inf)[cell_at]
    swatches = []
    for group, centre in enumerate(centres):
        across, down = find_spot(typical_at == group, away_at)
        swatches.append(
            PaletteColour(
                lab=_rounded(centre, 4),
                srgb=_rounded(lab_to_srgb(centre), 5),
                share=round(float(pixels[group] / counts.sum()), 6),
                spread=round(float(spreads[group]), 4),
                spot=(
                    round(region.x + across * region.w, 2),
                    round(region.y + down * region.h, 2),
                ),
            )
        )
    return swatches


def _rounded(colour: Floats, digits: int) -> tuple[float, float, float]:
    first, second, third = (round(float(value), digits) + 0.0 for value in colour)
    return first, second, third
