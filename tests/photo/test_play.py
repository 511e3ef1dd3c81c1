"""Between which colours a photograph varies, against the same worked out another way."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, srgb_to_lab
from brief.photo.wood.play import MOVED, play_of


def jpeg(pixels: np.ndarray) -> bytes:
    file = io.BytesIO()
    Image.fromarray(pixels.astype(np.uint8)).save(file, "JPEG", quality=98, subsampling="4:4:4")
    return file.getvalue()


def lab_of(colour: str) -> np.ndarray:
    return srgb_to_lab([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])


def test_what_is_the_same_all_over_plays_in_one_colour():
    colours = play_of(jpeg(np.full((96, 96, 3), (201, 178, 106))))
    assert len(colours) == 4
    of_all = np.stack([lab_of(one) for one in colours])
    assert float(delta_e_2000(of_all, lab_of("#c9b26a")).max()) < 1.0


def test_light_first_and_the_ends_are_those_of_a_principal_axis():
    """Its first axis by the singular values of NumPy instead of eigenvectors; a grey ramp."""
    ramp = np.repeat(np.linspace(100, 160, 96)[None, :, None], 96, axis=0).repeat(3, axis=2)
    light, _, dark, _ = (lab_of(one) for one in play_of(jpeg(ramp)))
    lab = srgb_to_lab(ramp.reshape(-1, 3) / 255)
    middle = lab.mean(axis=0)
    _, _, axes = np.linalg.svd((lab - middle)[::7], full_matrices=False)
    low, high = np.percentile((lab - middle) @ (axes[0] * np.sign(axes[0][0])), (4, 96))
    assert light[0] == pytest.approx(middle[0] + MOVED * high, abs=1.5)
    assert dark[0] == pytest.approx(middle[0] + MOVED * low, abs=1.5)
    assert light[0] > dark[0] + 20


def test_hue_is_what_shell_plays_in_where_its_light_is_even():
    """Half of it greenish, half reddish, of one lightness: the ends are a green and a red."""
    halves = np.zeros((96, 96, 3))
    halves[:, :48], halves[:, 48:] = (190, 214, 198), (226, 196, 204)
    first, _, second, _ = (lab_of(one) for one in play_of(jpeg(halves)))
    assert min(first[1], second[1]) < -6 < 6 < max(first[1], second[1])
