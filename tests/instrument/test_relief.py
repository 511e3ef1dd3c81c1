"""Light and shadow change no colour of flat wood where no shadow falls."""

from __future__ import annotations

import re
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, srgb_to_lab
from brief.instrument import Fill, draw_picture, preset
from brief.instrument.drawing.parts.inlay_drawing import Inlaid
from brief.instrument.outline.outlines import bridge_outline, saddle_y
from brief.instrument.rendering.raster import as_png

HIGH = 900
KINDS = ("parlour-steel-string", "classical", "bouzouki", "tenor-ukulele")
MOST_OFF = 2.0  # CIEDE2000


def fills(kind: str) -> dict[str, Fill]:
    """Every part of a middle brown, where light and dark both show."""
    return {part.role: Fill("#9a7350", None, "walnut") for part in preset(kind).parts}


def drawn(kind: str, face: str, *, shaded: bool) -> str:
    return draw_picture(preset(kind), fills(kind), face, prefix="x", shaded=shaded)


def pixels(svg: str) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(as_png(svg, height_px=HIGH))).convert("RGB"))


@pytest.mark.parametrize("face", ["front", "back", "side"])
@pytest.mark.parametrize("kind", KINDS)
def test_a_drawing_without_it_has_none_of_it_and_one_with_it_names_all_that_it_uses(kind, face):
    flat, shaded = (drawn(kind, face, shaded=one) for one in (False, True))
    assert not re.search("x-roll|x-gleam|x-rim", flat)
    used, idents = re.findall(r"url\(#([^)]+)\)", shaded), re.findall(r' id="([^"]+)"', shaded)
    assert set(used) <= set(idents)
    assert len(idents) == len(set(idents))
    if face != "side":
        assert "x-roll" in shaded


@pytest.mark.parametrize("kind", KINDS)
def test_flat_wood_keeps_its_colour_where_no_shadow_falls(kind):
    made = preset(kind)
    flat, shaded = (pixels(drawn(kind, "front", shaded=one)) for one in (False, True))
    x, y, _, height = (
        float(side)
        for side in re.search('viewBox="([^"]+)"', drawn(kind, "front", shaded=False))[1].split()
    )
    scale = HIGH / height
    # Of the lower bout, beside the bridge and what holds the strings behind it.
    top, low = (round((at - y) * scale) for at in (saddle_y(made) + 5, made.body_mm * 0.86))
    off = max(made.width_mm * 0.3, made.bridge.width_mm / 2 + 15)
    for left, right in ((-off - 15, -off), (off, off + 15)):
        place = slice(top, low), slice(round((left - x) * scale), round((right - x) * scale))
        before, after = (srgb_to_lab(one[place] / 255) for one in (flat, shaded))
        assert float(delta_e_2000(before, after).max()) <= MOST_OFF


def test_what_stands_above_throws_a_shadow_to_the_right_and_down():
    made = preset("parlour-steel-string")
    flat, shaded = (
        pixels(drawn("parlour-steel-string", "front", shaded=one)).astype(float).mean(axis=2)
        for one in (False, True)
    )
    x, y, _, height = (
        float(side)
        for side in re.search(
            'viewBox="([^"]+)"', drawn("parlour-steel-string", "front", shaded=False)
        )[1].split()
    )
    scale = HIGH / height
    rows = [at for _, at in bridge_outline(made)]
    below, above = (round((at - y) * scale) for at in (max(rows) + 2, min(rows) - 4))
    across = slice(round((35 - x) * scale), round((60 - x) * scale))
    assert shaded[below, across].mean() < flat[below, across].mean() - 10
    assert shaded[above, across].mean() == pytest.approx(flat[above, across].mean(), abs=0.5)


@pytest.mark.parametrize("shine", ["metal", "shell"])
def test_shell_and_metal_play_where_their_photograph_says_how_and_not_where_colours_count(shine):
    made = preset("parlour-steel-string")
    play = ("#f0f0ea", "#d8c0c8", "#9aa09a", "#b8d0c4")
    lit = Fill("#c8c8c0", "/images/x/texture", "a piece", (400, 300), shine=shine, play=play)
    own = Inlaid("inlay", "Inlay", "top", "M-9 300H9V310H-9Z", (-9.0, 300.0, 18.0, 10.0))

    def shown(fill: Fill, *, shaded: bool) -> str:
        every = {"inlay": fill, "rosette": fill, "tuners": fill, "purfling": fill}
        return draw_picture(made, every, "front", prefix="x", inlays=[own], shaded=shaded)

    bright = shown(lit, shaded=True)
    for role in ("inlay", "rosette", "tuners", "purfling"):
        assert f"url(#x-play-{role})" in bright
    assert all(colour in bright for colour in (play[0], play[2]))
    assert "x-play" not in shown(lit, shaded=False)
    # Only a reading: nobody knows how it plays.
    assert "x-play" not in shown(Fill("#c8c8c0", None, "a reading"), shaded=True)
