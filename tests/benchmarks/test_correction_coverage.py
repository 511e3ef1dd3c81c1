"""Five hundred colours, each measured in a shot of its own: does the stated uncertainty hold?

The default run looks at all 289 surfaces in sixteen shots (tests/photo/test_correction.py); here
camera, light, balance, exposure, stray light, slope of the light and the way the chart lies are
drawn anew for each colour. Takes about two minutes.
Run with `python -m pytest tests/benchmarks/test_correction_coverage.py -s`.
"""

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.photo.correction.chart import find_chart
from brief.photo.correction.correction import fit_correction
from tests.photo.rendered_chart import (
    CAMERAS,
    LIGHTS,
    Shot,
    chart_reflectances,
    draw_chart,
    photographed,
    surface_reflectances,
    true_xyz,
    wood_like,
)

TRIALS = 500
SQUARE_ON = np.array([(25, 25), (75, 25), (75, 75), (25, 75)])


@pytest.mark.parametrize("kind", ["all surfaces", "wood-like surfaces"])
def test_uncertainty_covers_nine_in_ten_of_five_hundred(kind):
    rng = np.random.default_rng(2014)
    surfaces, truth = surface_reflectances(), xyz_to_lab(true_xyz(surface_reflectances()))
    pool = np.arange(len(truth)) if kind == "all surfaces" else np.flatnonzero(wood_like(truth))
    off, stated = [], []
    for seed in range(TRIALS):
        shot = Shot(
            camera=str(rng.choice(CAMERAS)),
            light=str(rng.choice(LIGHTS)),
            balanced=bool(rng.integers(2)),
            exposure=rng.uniform(0.5, 0.9),
            veil=rng.uniform(0, 0.01),
        )
        image = draw_chart(
            shot.linear(chart_reflectances()),
            size=(480, 320),
            corners=np.roll(SQUARE_ON + rng.uniform(-6, 6, (4, 2)), 2 * rng.integers(2), axis=0),
            slope=rng.uniform(-0.2, 0.2, 2),
            seed=seed,
        )
        chart = find_chart(image)
        assert chart is not None
        correction = fit_correction(chart, "before-2014")
        which = rng.choice(pool)
        recorded = photographed(shot.linear(surfaces[[which]]), rng)
        off.append(float(delta_e_2000(correction.apply(recorded)[0], truth[which])))
        stated.append(correction.uncertainty)
    covered = np.mean(np.array(off) <= stated)
    width = np.mean(stated) / np.quantile(off, 0.9)
    print(
        f"\n{kind}: {covered:.1%} covered; off by {np.mean(off):.2f} on average, 9 in 10 within "
        f"{np.quantile(off, 0.9):.2f}; stated {np.mean(stated):.2f}, {width:.2f} times as wide"
    )
    assert covered >= 0.9
    assert width <= 3
