"""How damp wood becomes in air of some humidity and temperature, and in which air it would be so.

The equation holds for wood in general, derived mainly for Sitka spruce, midway between wood that
dries and wood that takes up water. Its source prints tenths of a percent and calls that precision
not meaningful.
"""

from __future__ import annotations

from bisect import bisect_left

from brief.errors import InputError, quoted

HUMIDITY = (5.0, 95.0)
"""Relative humidity that the source tabulates, percent."""
CELSIUS = (-1.0, 60.0)
"""From the source's least temperature to that of a case in a car in the sun (common practice, no
source); the source goes on to 132 °C."""
_STEPS = 100  # of one percent of humidity, as finely as a humidity is looked for


def equilibrium(humidity: float, celsius: float) -> float:
    """The moisture content that wood comes to in such air: percent of its dry weight.

    humidity : relative, percent, 5 to 95. celsius : −1 to 60. Raises InputError outside of them.

    Wood Handbook, FPL-GTR-282 (2021), eq. 4-5 in its Celsius form; against the 57 cells of Table
    4-2 that were read it is off by 0.06 at most.

    >>> round(equilibrium(50, 20), 2)
    9.27
    """
    _check(humidity, HUMIDITY, "%", "A relative humidity")
    _check(celsius, CELSIUS, "°C", "A temperature")
    weight = 349 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    k1 = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    k2 = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    damp = k * humidity / 100
    bound = k1 * damp + 2 * k1 * k2 * damp**2
    return 1800 / weight * (damp / (1 - damp) + bound / (1 + k1 * damp + k1 * k2 * damp**2))


def humidity_for(moisture: float, celsius: float) -> float:
    """The relative humidity, percent, that keeps wood at this moisture content.

    The nearest that `equilibrium` takes, where it would be beyond.

    >>> round(humidity_for(9.27, 20))
    50
    """
    least, most = HUMIDITY
    tried = range(round(least * _STEPS), round(most * _STEPS))
    at = bisect_left(tried, moisture, key=lambda step: equilibrium(step / _STEPS, celsius))
    return (tried[0] + at) / _STEPS


def _check(value: float, limits: tuple[float, float], unit: str, what: str) -> None:
    least, most = limits
    if not least <= value <= most:
        raise InputError(
            f"{what} must be {least:g} to {most:g} {unit}; got {quoted(value)}.".replace("-", "−")
        )
