"""Pure numbers: colour spaces, CIEDE2000, harmony and the verdict on a pair."""

from brief.colour.difference import DifferenceParts, delta_e_2000, delta_e_2000_parts
from brief.colour.harmony import Harmony, pair_harmony
from brief.colour.spaces import (
    lab_to_lch,
    lab_to_srgb,
    lab_to_xyz,
    lch_to_lab,
    linear_to_srgb,
    srgb_to_lab,
    srgb_to_linear,
    srgb_to_xyz,
    xyz_to_lab,
    xyz_to_srgb,
)
from brief.colour.verdicts.judging import judge_pair
from brief.colour.verdicts.verdict import PairVerdict

__all__ = [
    "DifferenceParts",
    "Harmony",
    "PairVerdict",
    "delta_e_2000",
    "delta_e_2000_parts",
    "judge_pair",
    "lab_to_lch",
    "lab_to_srgb",
    "lab_to_xyz",
    "lch_to_lab",
    "linear_to_srgb",
    "pair_harmony",
    "srgb_to_lab",
    "srgb_to_linear",
    "srgb_to_xyz",
    "xyz_to_lab",
    "xyz_to_srgb",
]
