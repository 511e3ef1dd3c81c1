"""A colour as it is shown: in the notations people copy, in words, with its uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from pydantic import BaseModel, Field

from brief.colour import delta_e_2000, lab_to_lch
from brief.colour.notation.notation import Notation, is_of_screen, notations
from brief.colour.notation.wording import colour_words
from brief.colour.viewing.optimal_colours import is_real_surface
from brief.services.common.field_types import Lab

# Working figures until a measurement says better, in CIEDE2000; a typed reading from a
# handheld instrument still differs with the spot on the wood that was read.
READING_UNCERTAINTY = 1.0
TYPED_UNCERTAINTY = 0.0  # a colour that is meant, not measured
# A colour written as screens have it was chosen by eye on one: 9 is what the worst colours of
# screens as they are sold are off by in published tests (5.7 to 9.4), 5 what a careful eye is off
# by in matching a thing to a screen; both from memory.
SCREEN_UNCERTAINTY = 10.0
KEPT = 8192  # colours in memory as they are written, of half a kilobyte each
NEARLY_GREY = 6.0  # chroma below which a colour has no hue to be sorted by: our working figure


class ColourView(BaseModel):
    """A colour as it is shown."""

    lab: Lab
    uncertainty: float = Field(description="CIEDE2000; how far off the true colour may be")
    hex: str = Field(description="sRGB, clipped to what a screen can show")
    css: str = Field(description="CSS lab(), which is D50")
    lch: str
    lab_text: str
    words: str
    in_srgb: bool


def colour_view(lab: Sequence[float], uncertainty: float) -> ColourView:
    """A colour in every notation and in words; `lab` is CIELAB, D65 / 2°."""
    lightness, a, b = lab
    known, in_words = _written((lightness, a, b))
    return ColourView(
        lab=(lightness, a, b),
        uncertainty=uncertainty,
        hex=known.hex,
        css=known.css,
        lch=known.lch,
        lab_text=known.lab,
        words=in_words,
        in_srgb=known.in_srgb,
    )


@lru_cache(KEPT)
def _written(lab: tuple[float, float, float]) -> tuple[Notation, str]:
    """In every notation and in words; a sheet says hundreds of colours, and the same each time."""
    return notations(lab), colour_words(lab)


def hue_order(lab: Sequence[float]) -> float:
    """By which colours are sorted round the circle of hues (CIELAB), degrees; greys come first."""
    _, chroma, hue_deg = lab_to_lch(lab).tolist()
    return -1.0 if chroma < NEARLY_GREY else float(hue_deg)


def uncertainty_of(reading: str, otherwise: float = READING_UNCERTAINTY) -> float:
    """CIEDE2000 of a colour by how it is written: `otherwise`, unless as screens have it."""
    return SCREEN_UNCERTAINTY if is_of_screen(reading) else otherwise


def surface_warning(lab: Sequence[float]) -> str:
    """What to say of a colour that was typed or read, if no surface can have it; else empty."""
    if is_real_surface(lab):
        return ""
    return (
        "No surface has this colour in daylight unless it glows or shines: look at the digits "
        "again, and at the light and observer they were read with."
    )


def difference(lab_1: Sequence[float], lab_2: Sequence[float]) -> float:
    """CIEDE2000 between two stored colours."""
    return float(delta_e_2000(lab_1, lab_2))
