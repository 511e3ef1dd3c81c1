"""The reference library the colour tests measure against."""

import warnings
from types import ModuleType

import numpy as np
import pytest

SEED = 20070


@pytest.fixture(scope="session")
def reference() -> ModuleType:
    """colour-science, whose import warns where Matplotlib is missing."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


@pytest.fixture(scope="session")
def random_labs():
    """Two arrays of Lab colours that fill the space well beyond what surfaces reach."""
    rng = np.random.default_rng(SEED)

    def draw(count):
        low, high = [0, -128, -128], [100, 128, 128]
        return rng.uniform(low, high, (count, 3)), rng.uniform(low, high, (count, 3))

    return draw
