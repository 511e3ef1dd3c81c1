"""Six colours out of 24 megapixels: as good as k-means over every pixel, in far less time.

Against Pillow's own `quantize` for speed and scikit-learn's `KMeans` for the result, on
photographs that scikit-learn ships, enlarged. Takes about four minutes and 2 GB.
Run with `python -m pytest tests/benchmarks/test_palette_speed.py`.
"""

import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from sklearn.cluster import KMeans
from sklearn.datasets import load_sample_image

from brief.colour import srgb_to_lab
from brief.photo import extract_palette

SIZE = (6000, 4000)
NOISE = 4  # levels of 255, standard deviation: a phone's sensor indoors
TIMES_FASTER = 20
MOST_ERROR = 1.01
MOST_MEMORY_MB = 300
STATUS = Path("/proc/self/status")


@pytest.fixture(scope="module", params=["china.jpg", "flower.jpg"])
def photograph(request, tmp_path_factory):
    small = Image.fromarray(load_sample_image(request.param))
    large = np.asarray(small.resize(SIZE, Image.Resampling.BICUBIC)).astype(np.float32)
    large += np.random.default_rng(0).normal(0, NOISE, large.shape).astype(np.float32)
    path = tmp_path_factory.mktemp("large") / request.param
    Image.fromarray(np.clip(np.rint(large), 0, 255).astype(np.uint8)).save(path, quality=90)
    return path


def quantize_time(path) -> float:
    times = []
    for _ in range(2):
        start = time.perf_counter()
        with Image.open(path) as image:
            image.quantize(6)
        times.append(time.perf_counter() - start)
    return min(times)


def test_times_faster_than_pillow_quantize(benchmark, photograph):
    theirs = quantize_time(photograph)
    benchmark.pedantic(extract_palette, (photograph,), rounds=15, warmup_rounds=1)
    ratio = theirs / benchmark.stats.stats.min
    benchmark.extra_info["times faster than Pillow's quantize"] = ratio
    assert ratio >= TIMES_FASTER, ratio


def squared_error(blocks, centres) -> float:
    """Sum over all pixels of the squared Lab distance to the nearest centre."""
    return sum(
        float((((block[:, None] - centres) ** 2).sum(axis=-1)).min(axis=1).sum())
        for block in blocks
    )


def test_error_over_every_pixel_is_that_of_full_k_means(photograph):
    with Image.open(photograph) as image:
        pixels = np.asarray(image).reshape(-1, 3)
    # In float64: in float32 scikit-learn's own sums lose over 1 % on so many pixels.
    lab = np.concatenate([srgb_to_lab(block / 255) for block in np.array_split(pixels, 50)])
    blocks = np.array_split(lab, 200)
    full = KMeans(6, n_init=4, random_state=0).fit(lab).cluster_centers_
    ours = np.array([colour.lab for colour in extract_palette(photograph).colours])
    ratio = squared_error(blocks, ours) / squared_error(blocks, full)
    assert ratio <= MOST_ERROR, ratio


def in_fresh_process(program: str, photograph, **environment: str) -> str:
    return subprocess.run(
        [sys.executable, "-c", program, str(photograph)],
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=True,
    ).stdout


@pytest.mark.skipif(not STATUS.exists(), reason="peak memory is read from Linux's /proc")
def test_peak_memory(photograph):
    # VmHWM and not ru_maxrss, which a child process inherits from the one that starts it.
    program = (
        "import sys; from brief.photo import extract_palette; extract_palette(sys.argv[1]);"
        f"print(open({str(STATUS)!r}).read().split('VmHWM:')[1].split()[0])"
    )
    peak_mb = int(in_fresh_process(program, photograph)) * 1024 / 1e6
    assert peak_mb < MOST_MEMORY_MB, peak_mb


def test_same_palette_in_every_process_and_on_any_number_of_threads(photograph):
    program = (
        "import sys; from brief.photo import extract_palette; print(extract_palette(sys.argv[1]))"
    )
    printed = {
        in_fresh_process(program, photograph, OMP_NUM_THREADS=n, OPENBLAS_NUM_THREADS=n)
        for n in ("1", "2", "5")
    }
    assert printed == {f"{extract_palette(photograph)}\n"}
