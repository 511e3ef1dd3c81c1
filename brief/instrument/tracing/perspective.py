"""From a photograph to the flat face of a mould: by a sheet of known size, or by likely cameras.

Millimetres on the face; pixels of the picture, y down. A camera is a pinhole whose axis goes
through the middle of the picture. What lenses do to straight lines is left to the doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from brief.errors import InputError

Array = NDArray[np.float64]
Size = tuple[int, int]
"""Width and height of a picture, pixels."""

PAPERS: Mapping[str, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height, mm (ISO 216; ANSI/ASME Y14.1)."""
FOCAL = 0.75  # of the longer side: a phone's main camera, some 27 mm on 35 mm film; from memory
FOCALS = (0.6, 0.75, 0.9, 1.1, 1.4)  # what cameras in use have; our working figures
LIKELY_FOCALS = (0.25, 0.5, 0.75, 1.0, 1.4)  # wide ones stand for a picture that was cropped
# Without anything to tell the tilt by, the far end may look so much narrower: a working figure.
MOST_NARROWER = 0.2
TILTS, MOST_SLOPE = 41, 1.0  # nobody holds a camera at more than 45 degrees to draw by it
LENS = 0.006  # by which share a point in the corner of the picture may be out; our working figure
LENS_KNOWN = 0.2  # by which share a focal length, and so what a height makes, may be out
LIES_MM = 0.5  # how exactly the height of a sheet above or below the face is known
READ_MM = 1.0  # how exactly a width is measured on a mould
# By which share the focal length that a camera writes may be another: it is told in whole
# millimetres, and makers reckon it differently; our working figure.
FOCAL_KNOWN = 0.08
STEEPEST = np.radians(25)  # of a camera whose lens is known; by hand it is held straighter: ours
# A body beside the middle of the picture, where the axis is, is seen so much longer or shorter.
OFF_MIDDLE = (1.0, 0.97, 1.03)
EDITED = 0.6  # of that share: what a picture editor draws narrower at one end it leaves as long
# Standard deviations that 9 in 10 are within, 1.645 of a normal error; and a little more, since
# corners that are off make widths that are off together.
COVERED = 1.8


@dataclass(frozen=True, eq=False)
class Straightening:
    """What takes pixels of a picture to millimetres on the face, `grid`, shape (3, 3)."""

    grid: Array

    def flat(self, pixels: Array) -> Array:
        """Points on the face, shape (n, 2), mm."""
        return _through(self.grid, pixels)

    def seen(self, flat: Array) -> Array:
        """Where points on the face are in the picture, shape (n, 2), pixels."""
        return _through(self._back, flat)

    @cached_property
    def _back(self) -> Array:
        return _inverse(self.grid)


def _inverse(grid: Array) -> Array:
    return np.asarray(np.linalg.inv(grid), dtype=np.float64)


def between(seen: Array, flat: Array) -> Array:
    """The homography, shape (3, 3), that takes four points to four others."""
    rows = []
    for (x, y), (u, v) in zip(seen, flat, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
    solved = np.linalg.solve(np.array(rows), flat.reshape(-1))
    return np.asarray(np.append(solved, 1.0).reshape(3, 3), dtype=np.float64)


def which_paper(corners: Array, size: Size) -> str:
    """A4 or Letter: whichever a usual camera would see so.

    Parameters
    ----------
    corners : ndarray, shape (4, 2)
        Clockwise, pixels.
    size : (int, int)
    """
    strains = {name: _strain(corners, paper_mm, size)[0] for name, paper_mm in PAPERS.items()}
    return min(strains, key=strains.__getitem__)


def by_sheet(
    corners: Array, paper_mm: tuple[float, float], size: Size, above_mm: float = 0.0
) -> Straightening:
    """By the four corners of a sheet.

    Parameters
    ----------
    corners : ndarray, shape (4, 2)
        Clockwise, pixels.
    paper_mm : (float, float)
        Its two sides, in either order.
    size : (int, int)
    above_mm : float
        How far the face is nearer to the camera than the sheet; below 0 where it is further away.

    Raises
    ------
    InputError
        Where the corners are not those of such a sheet, from any usual camera.
    """
    strain, turned, focal = _strain(corners, paper_mm, size)
    if strain > MOST_STRAIN:
        raise InputError(
            f"These corners are not those of a sheet of {paper_mm[0]:g} × {paper_mm[1]:g} mm. "
            "Check its size, and that the corners are on it; else choose “no sheet” and give the "
            "body’s length and one width."
        )
    seen = between(_rectangle(paper_mm, turned), corners)
    if above_mm:
        camera = np.linalg.inv(_lens(focal, size)) @ seen
        long = (np.linalg.norm(camera[:, 0]) + np.linalg.norm(camera[:, 1])) / 2
        camera = camera / (long * np.sign(camera[2, 2]))
        upright = np.cross(camera[:, 0], camera[:, 1])  # away from the camera, x right and y down
        lifted = np.column_stack([camera[:, :2], camera[:, 2] - above_mm * upright])
        seen = _lens(focal, size) @ lifted
    return Straightening(_inverse(seen))


MOST_STRAIN = 0.012  # squares: sides 8 % out of proportion, or corners 6 degrees out of square


def _rectangle(paper_mm: tuple[float, float], turned: bool) -> Array:
    wide, high = paper_mm[::-1] if turned else paper_mm
    return np.array([[0, 0], [wide, 0], [wide, high], [0, high]], dtype=np.float64)


def _strain(corners: Array, paper_mm: tuple[float, float], size: Size) -> tuple[float, bool, float]:
    """How far from a rectangle of that size the corners are, which way round, and by which lens.

    The square of the logarithm of how its sides differ in scale, and of the cosine of their angle
    (Zhang and He 2007), with the focal length that makes it least.
    """
    found = []
    for turned in (False, True):
        seen = between(_rectangle(paper_mm, turned), corners)
        for focal in FOCALS:
            one, other, _ = (np.linalg.inv(_lens(focal, size)) @ seen).T
            long, wide = np.linalg.norm(one), np.linalg.norm(other)
            strain = np.log(long / wide) ** 2 + (one @ other / long / wide) ** 2
            # A little towards the usual one: seen square on, the sheet says nothing of the lens.
            found.append((float(strain + 1e-5 * abs(focal - FOCAL)), turned, focal))
    return min(found)


def _lens(focal: float, size: Size) -> Array:
    far = focal * max(size)
    return np.array([[far, 0, size[0] / 2], [0, far, size[1] / 2], [0, 0, 1]])


@dataclass(frozen=True, eq=False)
class Places:
    """What is measured on a mould, in pixels of its picture.

    `ends`, shape (2, 2), neck joint and tail; `sides`, shape (n, 2, 2), the two ends of each width.
    """

    ends: Array
    sides: Array

    def sizes(self, by: Straightening, body_mm: float | None = None) -> tuple[float, Array]:
        """Length of the body and its widths, mm; all in proportion to `body_mm` if it is given."""
        ends = by.flat(self.ends)
        sides = by.flat(self.sides.reshape(-1, 2)).reshape(-1, 2, 2)
        length = float(np.hypot(*(ends[1] - ends[0])))
        widths: Array = np.hypot(*(sides[:, 1] - sides[:, 0]).T)
        share = 1.0 if body_mm is None else body_mm / length
        return length * share, widths * share


def doubt_by_sheet(
    places: Places,
    make: Callable[[Array, float], Straightening],
    corners: Array,
    miss_px: float,
    size: Size,
    above_mm: float = 0.0,
) -> Array:
    """How far off each width may be, mm: 9 in 10 are within.

    Corners that are a little off, a sheet that does not lie quite on the face, and a lens that
    bends, one after the other.

    Parameters
    ----------
    places : Places
    make : callable
        The straightening by such corners, and by so many mm more of height.
    corners : ndarray, shape (4, 2)
    miss_px : float
        How far each may be off.
    size : (int, int)
    above_mm : float
        As in `by_sheet`: what it makes of a lens that is not known is in doubt, too.
    """
    _, sure = places.sizes(make(corners, 0.0))
    off = []
    for i in range(8):
        moved = corners.copy()
        moved.flat[i] += miss_px
        off.append(places.sizes(make(moved, 0.0))[1] - sure)
    off.append(places.sizes(make(corners, np.hypot(LIES_MM, LENS_KNOWN * above_mm)))[1] - sure)
    bent = Places(*(_bent(points, size) for points in (places.ends, places.sides)))
    off.append(bent.sizes(make(_bent(corners, size), 0.0))[1] - sure)
    doubt: Array = COVERED * np.sqrt(np.sum(np.square(off), axis=0))
    return doubt


def _bent(points: Array, size: Size) -> Array:
    """As a lens shifts them: by the square of how far from the middle they are."""
    middle = np.array(size) / 2
    out = points - middle
    far = (out**2).sum(axis=-1, keepdims=True) / (middle**2).sum()
    bent: Array = middle + out * (1 + LENS * far)
    return bent


@dataclass(frozen=True, eq=False)
class Likely:
    """The straightening that fits best what was measured, and the doubt of each width, mm.

    `narrower` is the share by which the end at the tail is seen narrower than that at the neck;
    below 0 the other way.
    """

    by: Straightening
    doubt: Array
    narrower: float


def by_cameras(
    places: Places,
    size: Size,
    body_mm: float,
    asymmetry_mm: float,
    known: tuple[int, float] | None = None,
    focal: float | None = None,
) -> Likely:
    """Of a mould without a sheet: what any camera that a hand may have held would make of it.

    Parameters
    ----------
    places : Places
    size : (int, int)
    body_mm : float
        The length of the body, which all is in proportion to.
    asymmetry_mm : float
        By how much the halves differ: half of it may be a camera that leans to one side.
    known : (int, float), optional
        Which of the widths was measured on the mould, and how wide it is, mm.
    focal : float, optional
        Focal length of the lens, of the picture's longer side, where the camera wrote it and the
        picture is whole. Then only the tilt is tried, and what it makes longer is known.

    Raises
    ------
    InputError
        Where no camera would see the mould so.
    """
    tried = _tried(places, size, body_mm, MOST_NARROWER, focal)
    if known is not None:
        which, wide = known
        room = READ_MM + 0.002 * wide + asymmetry_mm / 4
        # A measured width tells of a steeper tilt, too, if nothing less fits.
        for some in (tried, _tried(places, size, body_mm, 1.5 * MOST_NARROWER, focal)):
            fitting = [one for one in some if abs(one[2][which] - wide) <= room]
            if fitting:
                break
        else:
            near, far = (float(f([w[which] for _, _, w in some])) for f in (np.min, np.max))
            raise InputError(
                f"By the photograph and the body’s length this width is between {near:.0f} and "
                f"{far:.0f} mm, however the camera was held; got {wide:g} mm. Measure both again; "
                "if they are right, lay a sheet of A4 or Letter on the mould and photograph it "
                "again."
            )
        tried = fitting
    widths = np.array([one[2] for one in tried])
    low, high = widths.min(axis=0), widths.max(axis=0)
    best = int(np.argmin(np.abs(widths - (low + high) / 2).sum(axis=1)))
    if known is None:
        best = min(range(len(tried)), key=lambda i: abs(tried[i][0]))
    spread = np.maximum(high - widths[best], widths[best] - low)
    lens = LENS * widths[best]
    doubt = np.sqrt(spread**2 + (asymmetry_mm / 2) ** 2 + lens**2)
    return Likely(tried[best][1], doubt, tried[best][0])


def _tried(
    places: Places, size: Size, body_mm: float, most: float, focal: float | None
) -> list[tuple[float, Straightening, Array]]:
    """Each camera with the widths that it makes."""
    cameras = (
        _cameras(places, size, most)
        if focal is None
        else _cameras_of_lens(places, size, most, focal)
    )
    return [(narrower, by, places.sizes(by, body_mm)[1]) for narrower, by in cameras]


def _cameras(places: Places, size: Size, most: float) -> Iterator[tuple[float, Straightening]]:
    """Cameras tilted about an axis across the body; by how much its tail end is seen narrower."""
    start, end = places.ends
    long = float(np.hypot(*(end - start)))
    along = (end - start) / long
    turn = np.array([[along[1], -along[0]], [along[0], along[1]]])  # neck up
    middle = (start + end) / 2
    # Pixels, turned, with the middle of the body at 0; then tilted about that.
    level = np.eye(3)
    level[:2, :2], level[:2, 2] = turn, -turn @ middle
    for focal in LIKELY_FOCALS:
        far = focal * max(size)
        for narrower in np.linspace(-most, most, TILTS):
            # Seen at y, all is 1 - g y as large: at the two ends in the ratio 1 - narrower.
            g = narrower / (1 - narrower / 2) / long
            slope = g * far  # the tangent of the tilt, for the middle is seen as large as it is
            if abs(slope) > MOST_SLOPE:
                continue
            for longer in (*OFF_MIDDLE, 1 - EDITED * abs(narrower)):
                long_way = longer * np.sqrt(1 + slope**2)
                tilt = np.array([[1, 0, 0], [0, long_way, 0], [0, -g, 1]])
                yield float(narrower), Straightening(tilt @ level)


def _cameras_of_lens(
    places: Places, size: Size, most: float, focal: float
) -> Iterator[tuple[float, Straightening]]:
    """Cameras with that lens, tilted about an axis across the body, turned until square to it.

    A turn of the camera about its own centre is a homography that no distance enters: rays that
    are turned meet a plane square to the axis (the rotation of Zhang and He's camera).
    """
    start, end = places.ends
    along = (end - start) / np.hypot(*(end - start))
    upright = np.array([[along[1], -along[0], 0], [along[0], along[1], 0], [0, 0, 1]])  # neck up
    for share in (1 - FOCAL_KNOWN, 1.0, 1 + FOCAL_KNOWN):
        rays = upright @ _inverse(_lens(focal * share, size))
        for tilt in np.linspace(-STEEPEST, STEEPEST, 4 * TILTS - 3):
            c, s = np.cos(tilt), np.sin(tilt)
            turned = np.array([[1, 0, 0], [0, c, -s], [0, s, c]]) @ rays
            deep = turned[2] @ np.array([[*start, 1], [*end, 1]]).T
            if deep.min() <= 0:
                continue
            narrower = 1 - float(deep[0] / deep[1]) ** -1
            if abs(narrower) <= most:
                yield narrower, Straightening(turned)


def _through(grid: Array, points: Array) -> Array:
    shape = points.shape
    whole = np.column_stack([points.reshape(-1, 2), np.ones(points.size // 2)]) @ grid.T
    flat: Array = (whole[:, :2] / whole[:, 2:]).reshape(shape)
    return flat
