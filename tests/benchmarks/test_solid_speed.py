"""The whole instrument in space against one Delaunay triangulation of as many points by SciPy.

Cold is from the numbers alone; warm is with other woods on the same shape. What is compared is the
processor's time, which other programs on the machine lengthen less than the clock's.

Run with `python -m pytest tests/benchmarks/test_solid_speed.py -s`.
"""

import time

import numpy as np
import pytest
from scipy.spatial import Delaunay

from brief.instrument import preset, presets
from brief.instrument.solid import whole
from brief.instrument.solid.parts import edges

# On two cores of 2026 one such triangulation is some 0.5 s of the processor.
MOST_COLD, MOST_WARM = 3.0, 0.5
MOST_FACES = 150_000


def spent(action) -> tuple[float, object]:
    start = time.process_time()
    made = action()
    return time.process_time() - start, made


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_an_instrument_is_made_in_the_time_of_few_triangulations(kind):
    shape = preset(kind)
    whole.solids(shape)
    for cache in (whole._all_surfaces, edges._run, edges._inward, edges.plan):
        cache.cache_clear()
    cold, made = spent(lambda: whole.solids(shape))
    warm, _ = spent(lambda: whole.solids(shape))
    points = sum(len(one.mesh.points) for one in made)
    faces = sum(len(one.mesh.faces) for one in made)
    given = np.random.default_rng(1).random((points, 2))
    once = min(spent(lambda: Delaunay(given))[0] for _ in range(2))
    print(f"\n{kind}: cold {cold:.2f} s, warm {warm:.2f} s, once {once:.2f} s, {faces} triangles")
    assert cold < MOST_COLD * once
    assert warm < MOST_WARM * once
    assert faces < MOST_FACES
