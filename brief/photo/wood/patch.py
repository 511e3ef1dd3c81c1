"""The colour of a piece, measured from a photograph of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.colour import delta_e_2000, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.photo.correction.correction import Correction, no_correction
from brief.photo.files.header import UNNAMED
from brief.photo.files.intake import Picture
from brief.photo.lightness import LINEAR
from brief.photo.outline.area import Area
from brief.photo.outline.polygon import Ring
from brief.photo.outline.selection import Selection
from brief.photo.palettes.histogram import ColouredPixels, fold, seen_pixels

MOST_CELLS = 400
ENOUGH = 20_000  # pixels, evenly taken, to say how far all of them spread


@dataclass(frozen=True)
class PatchSample:
    """The colour of the thing photographed, by a patch of the photograph.

    Looked at with at most 640 pixels along the longest side.

    Attributes
    ----------
    lab : (float, float, float)
        CIELAB, D65 / 2°, of the mean of its pixels in linear light: the colour the patch has from
        too far away to see its figure.
    as_shot : (float, float, float)
        The same mean as the picture shows it, before any correction.
    spread : float
        Root mean square CIEDE2000 of its pixels about lab: how lively the figure is.
    darkest, lightest : float
        The 5th and 95th percentile of L.
    cells : ndarray, shape (n, 4), n at most 400
        L, a, b and weight of the colours it is made of; the weights sum to 1.
    left_out : float
        Share of the patch that was transparent, blown out or crushed, 0 to 1.
    uncertainty : float
        CIEDE2000 within which the true colour is, 9 times in 10.
    """

    lab: tuple[float, float, float]
    as_shot: tuple[float, float, float]
    spread: float
    darkest: float
    lightest: float
    cells: NDArray[np.float64]
    left_out: float
    uncertainty: float


def measure_patch(
    source: Picture,
    selections: Sequence[Selection] = (),
    without: Sequence[Ring] = (),
    *,
    correction: Correction | None = None,
    name: str = UNNAMED,
) -> PatchSample:
    """Measure a photograph, or parts of it, as one piece of material.

    Parameters
    ----------
    source, name : as for `open_photo`
    selections, without : sequences of Selection and Ring
        Where to look, and what is left out of that, as of an `Area`. Glare is left out as well,
        and so are clipped and transparent pixels (`seen_pixels`).
    correction : Correction, optional
        By a reference in the shot; without one, the photograph counts as sRGB.

    Returns
    -------
    PatchSample

    Raises
    ------
    TooLarge, ImageError, InputError
        As `seen_pixels`.
    """
    correction = correction or no_correction()
    area = Area(tuple(selections), tuple(without))
    seen = seen_pixels(source, None, name, area=area, glare=False)
    light = _mean_light(seen.srgb)
    mean, shot = correction.apply(light), xyz_to_lab(SRGB_TO_XYZ @ light)
    some = seen.srgb[:: max(1, len(seen.srgb) // ENOUGH)]
    pixels = correction.apply(LINEAR[some])
    darkest, lightest = np.percentile(pixels[:, 0], [5, 95])
    return PatchSample(
        lab=(float(mean[0]), float(mean[1]), float(mean[2])),
        as_shot=(float(shot[0]), float(shot[1]), float(shot[2])),
        spread=float(np.sqrt(np.mean(delta_e_2000(pixels, mean) ** 2))),
        darkest=float(darkest),
        lightest=float(lightest),
        cells=_cells(seen, correction),
        left_out=seen.left_out,
        uncertainty=correction.uncertainty,
    )


def _mean_light(srgb: NDArray[np.uint8]) -> NDArray[np.float64]:
    """The mean in linear light of pixels of shape (n, 3)."""
    levels = [np.bincount(srgb[:, channel], minlength=256) for channel in range(3)]
    return np.array(levels) @ LINEAR / len(srgb)


def _cells(seen: ColouredPixels, correction: Correction) -> NDArray[np.float64]:
    """The finest fold of the pixels that has at most MOST_CELLS cells."""
    for bits in (5, 4, 3, 2):  # 2 bits make 64 cells, so there is always one
        lab, counts, _ = fold(seen, bits, correction.apply_srgb)
        if len(lab) <= MOST_CELLS:
            break
    return np.column_stack([lab, counts / counts.sum()])
