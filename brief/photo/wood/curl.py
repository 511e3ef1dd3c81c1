"""Curl: the ripple of light and dark along the grain, and how long it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.photo.lightness import Floats, Mask

# Our own working figures, no source.
FEWEST_RIPPLES = 6  # along the sample
SHORTEST_PX = 8.0
LEAST_CLARITY = 0.8
LEAST_CONTRAST = 0.15  # L, standard deviation; less is what rounding to 8 bits draws
_LEAST_SURE = 7.0  # standard errors by which the peak stands out
_ABOVE_EITHER = 1.7  # times the power at longer and at shorter lengths
_SLANT = 0.5  # radians; ripples cross the grain at up to this much off a right angle
_WORKING_PX = 512
_BAND = 1.15  # half width of the peak, as a ratio of frequencies
_NEAR, _FAR = 1.4, 2.2  # where, to each side of the peak, it is compared with


@dataclass(frozen=True)
class Ripple:
    """A ripple along the grain.

    Attributes
    ----------
    period_px : float
        From one to the next, pixels.
    clarity : float, 0 to 1
        Share of the power at that length above the power at longer and shorter lengths.
    """

    period_px: float
    clarity: float


def find_ripple(even: Floats, sample: Mask, direction_deg: float) -> Ripple | None:
    """The ripple along a grain of this direction, or None if none is convincing.

    Parameters
    ----------
    even : ndarray, shape (h, w)
        Lightness about 0; 0 outside the sample.
    sample : ndarray of bool, shape (h, w)
    direction_deg : float, 0 up to 180
        Of the grain, as of a `Figure`.

    Returns
    -------
    Ripple or None

    Notes
    -----
    A ripple is a peak in the power spectrum among the waves that run along the grain; the rings,
    which run across it, and the fibres are not among them. The limits are ours.
    """
    box = _box(sample)
    step = -(-max(even[box].shape) // _WORKING_PX)
    small = _block_means(even[box], step)
    turn = np.radians(direction_deg)
    length = min(
        size * step / max(abs(part), 1e-9)
        for size, part in zip(small.shape, (np.sin(turn), np.cos(turn)), strict=True)
    )
    lowest, highest = FEWEST_RIPPLES / length, 1 / max(SHORTEST_PX, 4 * step)
    if lowest >= highest:
        return None
    power, waves = _along_grain(small, _block_means(sample[box], step), step, turn)
    tried = np.geomspace(lowest, highest, 80)
    peak, n_peak = _mean_power(power, waves, tried / _BAND, tried * _BAND)
    longer, n_longer = _mean_power(power, waves, tried / _FAR, tried / _NEAR)
    shorter, n_shorter = _mean_power(power, waves, tried * _NEAR, tried * _FAR)
    ratio = peak / np.sqrt(longer * shorter + 1e-12)
    # The power of one wave of random figure varies by as much as its mean.
    error = np.sqrt(1 / n_peak + (1 / n_longer + 1 / n_shorter) / 4)
    sure = (np.log(ratio + 1e-12) >= _LEAST_SURE * error) & (
        peak >= _ABOVE_EITHER * np.maximum(longer, shorter)
    )
    ratio = np.where(sure, ratio, 0.0)
    best = int(np.argmax(ratio))
    clarity = float(1 - 1 / ratio[best]) if ratio[best] > 0 else 0.0
    if clarity < LEAST_CLARITY:
        return None
    wave = float(tried[best])
    for _ in range(5):  # the band that stands out most need not lie squarely on the peak
        near = (waves > wave / _BAND) & (waves < wave * _BAND)
        wave = float(np.average(waves[near], weights=power[near]))
    if wave < lowest or np.sqrt(power[near].sum()) < LEAST_CONTRAST:
        return None
    return Ripple(1 / wave, clarity)


def _along_grain(small: Floats, covered: Floats, step: int, turn: float) -> tuple[Floats, Floats]:
    """Power of the waves that run along the grain, and their frequencies along it, sorted.

    The power of all waves would sum to the variance of lightness where the sample covers.
    """
    down, across = (np.hanning(size + 2)[1:-1] for size in small.shape)
    window = down[:, None] * across[None, :]
    spectrum = np.abs(np.fft.rfft2(small * window)) ** 2
    power = 2 * spectrum / (small.size * np.sum((window * covered) ** 2))
    f_y = np.fft.fftfreq(small.shape[0], step)[:, None]
    f_x = np.fft.rfftfreq(small.shape[1], step)[None, :]
    along = np.abs(f_x * np.cos(turn) - f_y * np.sin(turn))  # y points down
    chosen = (along >= np.cos(_SLANT) * np.hypot(f_x, f_y)) & (along > 0)
    order = np.argsort(along[chosen])
    return power[chosen][order], along[chosen][order]


def _mean_power(power: Floats, waves: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Mean power between frequencies, and of how many waves it is the mean, at least 1."""
    total = np.concatenate([[0.0], np.cumsum(power)])
    first, last = np.searchsorted(waves, low), np.searchsorted(waves, high)
    count = np.maximum(last - first, 1).astype(np.float64)
    return (total[last] - total[first]) / count, count


def _box(sample: Mask) -> tuple[slice, slice]:
    """The rows and columns that hold all of the sample."""
    rows, columns = np.flatnonzero(sample.any(axis=1)), np.flatnonzero(sample.any(axis=0))
    return slice(rows[0], rows[-1] + 1), slice(columns[0], columns[-1] + 1)


def _block_means(field: Floats | Mask, step: int) -> Floats:
    height, width = (size // step for size in field.shape)
    blocks = field[: height * step, : width * step].reshape(height, step, width, step)
    means: Floats = blocks.mean(axis=(1, 3))
    return means
