"""The colour of a piece, measured from a photograph of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.colour import delta_e_2000, srgb_to_xyz, xyz_to_lab
from brief.photo.files import UNNAMED
from brief.photo.fold import Seen, fold, seen_pixels
from brief.photo.intake import Picture
from brief.photo.region import Region

# CIEDE2000. Our working figure for a photograph with nothing in the shot to correct it by: the
# light's colour, the exposure and the camera's own rendering are all unknown. No source.
UNCORRECTED_PHOTO_DELTA_E = 10.0
MOST_CELLS = 400


@dataclass(frozen=True)
class PatchSample:
    """What a patch of a photograph says of the colour of the thing photographed.

    lab : CIELAB, D65, 2°, of the mean of its pixels in linear light: the colour the patch has from
        too far away to see its figure.
    spread : root mean square CIEDE2000 of its pixels about lab: how lively the figure is.
    darkest, lightest : the 5th and 95th percentile of L.
    cells : shape (n, 4), n at most 400: L, a, b and weight of the colours it is made of; the
        weights sum to 1.
    left_out : share of the patch that was transparent, blown out or crushed.
    uncertainty : CIEDE2000, how far lab may lie from the truth.
    Looked at with at most 640 pixels along the longest side.
    """

    lab: tuple[float, float, float]
    spread: float
    darkest: float
    lightest: float
    cells: NDArray[np.float64]
    left_out: float
    uncertainty: float


def measure_patch(
    source: Picture, region: Region | None = None, *, name: str = UNNAMED
) -> PatchSample:
    """Measure a photograph, or a region of it, as one piece of material.

    source, name : as for `open_photo`; raises as it does. Clipped and transparent pixels are left
    out as for a palette (`seen_pixels`).
    """
    seen = seen_pixels(source, region, name)
    xyz = srgb_to_xyz(seen.srgb / 255)
    mean, pixels = xyz_to_lab(xyz.mean(axis=0)), xyz_to_lab(xyz)
    darkest, lightest = np.percentile(pixels[:, 0], [5, 95])
    return PatchSample(
        lab=(float(mean[0]), float(mean[1]), float(mean[2])),
        spread=float(np.sqrt(np.mean(delta_e_2000(pixels, mean) ** 2))),
        darkest=float(darkest),
        lightest=float(lightest),
        cells=_cells(seen),
        left_out=seen.left_out,
        uncertainty=UNCORRECTED_PHOTO_DELTA_E,
    )


def _cells(seen: Seen) -> NDArray[np.float64]:
    """The finest fold of the pixels that has at most MOST_CELLS cells."""
    for bits in (5, 4, 3, 2):  # 2 bits make 64 cells, so there is always one
        lab, counts, _ = fold(seen, bits)
        if len(lab) <= MOST_CELLS:
            break
    return np.column_stack([lab, counts / counts.sum()])
