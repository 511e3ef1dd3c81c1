"""Renders the demo's pictures into demo_assets/pictures/."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import ExifTags, Image

from brief.colour import linear_to_srgb, srgb_to_xyz
from demo_assets.render import curlew, marsh, metal, offcuts, reeds, shell, water, wood
from demo_assets.render.camera import save, to_image
from demo_assets.render.noise import Array
from demo_assets.render.profile import display_p3, rgb_to_xyz

PICTURES = Path(__file__).resolve().parent.parent / "pictures"

SCENES: dict[str, Callable[[], Array]] = {
    "cedar": wood.cedar,
    "spruce": wood.spruce,
    "walnut": wood.walnut,
    "sapele": wood.sapele,
    "bog-oak": wood.bog_oak,
    "sycamore": wood.sycamore,
    "verdigris": wood.verdigris,
    "black-wood": wood.black_wood,
    "cedar-polished": offcuts.cedar_polished,
    "walnut-polished": offcuts.walnut_polished,
    "walnut-aged": offcuts.walnut_aged,
    "mother-of-pearl": shell.mother_of_pearl,
    "bone": shell.bone,
    "brass": metal.brass,
    "first-light": marsh.first_light,
    "reed-bed": reeds.reed_bed,
    "curlew": curlew.curlew,
    "slack-water": water.slack_water,
    "mud-bank": marsh.mud_bank,
}
WIDE_GAMUT = "reed-bed"  # saved as a phone saves: Display P3, with the profile inside
TURNED = "mud-bank"  # saved lying down, with the note that says which way is up


def render(name: str) -> None:
    """One picture, rendered and saved."""
    srgb = SCENES[name]()
    path = PICTURES / f"{name}.jpg"
    if name == WIDE_GAMUT:
        linear = srgb_to_xyz(srgb) @ np.linalg.inv(rgb_to_xyz()).T
        save(to_image(linear_to_srgb(np.clip(linear, 0, 1))), path, icc_profile=display_p3())
    elif name == TURNED:
        exif = Image.Exif()
        exif[ExifTags.Base.Orientation] = 6
        save(to_image(np.rot90(srgb)), path, exif=exif)
    else:
        save(to_image(srgb), path)


def main() -> None:
    """Every picture, one after another; about two minutes."""
    PICTURES.mkdir(exist_ok=True)
    for name in SCENES:
        render(name)
        print(f"{name}.jpg  {(PICTURES / f'{name}.jpg').stat().st_size // 1024} kB")


if __name__ == "__main__":
    main()
