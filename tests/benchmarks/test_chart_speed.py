"""From a 24-megapixel photograph to a colour measured by the chart in it: find, fit, measure.

By the functions alone, and all that is measured of a photograph when it is put on the rack.

As a ratio to what a palette of the same photograph takes, in the same run.
Run with `python -m pytest tests/benchmarks/test_chart_speed.py`.
"""

import time

import numpy as np
import pytest
from PIL import Image

from brief.colour import srgb_to_linear
from brief.photo import extract_palette, open_photo
from brief.photo.correction.chart import find_chart
from brief.photo.correction.correction import fit_correction
from brief.services.rack.photographs import PhotographDraft
from brief.services.rack.photographs import measured as put_on_the_rack
from tests.photo.rendered_chart import Shot, chart_reflectances, draw_chart

SIZE = (6000, 4000)
NOISE = 4  # levels of 255, standard deviation: a phone's sensor indoors
MOST_TIMES_THE_PALETTE = 3.0


@pytest.fixture(scope="module")
def photograph(tmp_path_factory):
    patches = Shot("Nikon 5100 (NPL)", "LED-B3").linear(chart_reflectances())
    corners = ((60, 12), (92, 16), (90, 50), (58, 46))
    small = draw_chart(patches, size=(1500, 1000), corners=corners, slope=(0.1, 0.1))
    large = np.asarray(small.resize(SIZE, Image.Resampling.BICUBIC)).astype(np.float32)
    large += np.random.default_rng(0).normal(0, NOISE, large.shape).astype(np.float32)
    path = tmp_path_factory.mktemp("large") / "bench.jpg"
    Image.fromarray(np.clip(np.rint(large), 0, 255).astype(np.uint8)).save(path, quality=90)
    return path


def measured(path):
    chart = find_chart(path)
    assert chart is not None
    board = np.asarray(open_photo(path, within=720).crop((36, 336, 468, 456)))
    return fit_correction(chart).apply(srgb_to_linear(board / 255).mean(axis=(0, 1)))


def palette_time(path) -> float:
    times = []
    for _ in range(6):
        start = time.perf_counter()
        extract_palette(path)
        times.append(time.perf_counter() - start)
    return min(times[1:])


def everything_measured(path):
    asked = dict(PhotographDraft(material_id="none"))
    found = put_on_the_rack(path, path.name, asked, by_itself=True)
    assert found["correction"]["kind"] == "chart"


@pytest.mark.parametrize("measure", [measured, everything_measured])
def test_measured_colour_takes_less_than_three_palettes(benchmark, photograph, measure):
    palette = palette_time(photograph)
    benchmark.pedantic(measure, (photograph,), rounds=8, warmup_rounds=1)
    ratio = benchmark.stats.stats.min / palette
    benchmark.extra_info["times the palette"] = ratio
    assert ratio < MOST_TIMES_THE_PALETTE, ratio
