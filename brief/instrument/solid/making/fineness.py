"""How finely everything is cut: as coarsely as nobody sees, for each face costs time as it turns.

Normals are smooth between points, so that only an outline shows where a chord misses its curve.
"""

from __future__ import annotations

import math

FINE_MM = 0.05
"""By which a chord may miss its outline: a tenth of a pixel where the whole fills a screen."""
LONGEST_MM = 10.0  # of a piece of an outline
FEWEST = 12  # sides of what is round: faces that turn by more would have an edge between them


def sides_of(radius: float) -> int:
    """How many sides a circle of a radius (mm, above 0) needs, a multiple of 4."""
    turn = 2 * math.acos(max(1 - FINE_MM / radius, 0.0))
    return max(FEWEST, 4 * math.ceil(2 * math.pi / turn / 4))
