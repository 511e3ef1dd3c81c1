"""Correcting a photograph by even grey or white things in it: a grey card, a sheet of paper.

One colour says what the light and the exposure did to that grey. What the camera did to lighter and
darker greys and to every other colour stays unknown, so that a card leaves more doubt than a chart.
A grey and a white one together show the tone curve between them, too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.colour import delta_e_2000, srgb_to_lab, srgb_to_linear, xyz_to_lab
from brief.colour.spaces import D65_WHITE, SRGB_TO_XYZ, XYZ_TO_SRGB, Array
from brief.errors import ImageError, InputError, quoted
from brief.photo.correction.chart import BLOWN_FROM, MOST_CLIPPED
from brief.photo.correction.correction import Correction, linear_correction
from brief.photo.correction.light import LIGHTS, NOT_KNOWN, Doubt, PhotoLight
from brief.photo.correction.tone import TYPICAL, Curve, curve_by_two, straightened
from brief.photo.files.header import UNNAMED
from brief.photo.files.intake import Picture, open_pixels
from brief.photo.outline.region import Region

CARD_PX = 240
TILES = 3  # each way; a card is even if its ninths are alike
DARKEST = 0.004  # linear light of a channel, about 13 of 255; below it noise and rounding take over
UNEVEN = 0.75  # of the light on the brightest ninth
# White paper in a photograph exposed for it gives half to nine tenths of the light that can be
# recorded; what gives less than this is more likely wood: our working figure.
DARKEST_WHITE = 0.2
MOST_OF_PICTURE = 0.9  # nothing to correct is left beside a card that fills more of it
MOST_SPREAD = 10.0  # CIEDE2000; no grain of paper and no noise of a camera comes near it

LEAST_RATIO = 2.0  # of the light of two cards; nearer than that they are one grey
# The p of `tone.curve_by_two`: 0.64 to 1.24 by simulation, with any curve or none.
LEAST_P, MOST_P = 0.58, 1.28


@dataclass(frozen=True)
class CardKind:
    """How much light a reference gives back, 0 to 1, and by how much its own colour may be off."""

    reflectance: float
    doubt: float  # CIEDE2000

    @property
    def is_white(self) -> bool:
        """Whether it gives back more than half of the light."""
        return self.reflectance > 0.5


# Common practice, no source: cards are sold by their reflectance; papers differ by their whiteners.
CARDS = {
    "grey card 18 %": CardKind(0.18, 1.0),
    "white card 90 %": CardKind(0.90, 1.0),
    "white paper": CardKind(0.85, 4.0),
}


@dataclass(frozen=True)
class SeenCard:
    """A card as a picture shows it.

    Attributes
    ----------
    called : str
        One of CARDS.
    linear : ndarray, shape (3,)
        Its mean linear RGB.
    slant : float
        CIEDE2000 from the middle of the light on it to its ends.
    """

    called: str
    linear: Array
    slant: float

    @property
    def kind(self) -> CardKind:
        """Its reflectance and its own doubt."""
        return CARDS[self.called]

    @property
    def light(self) -> float:
        """Linear, as the picture shows it."""
        return float(SRGB_TO_XYZ[1] @ self.linear)

    @property
    def doubt(self) -> float:
        """CIEDE2000 by which its own colour may be off, in the light that is on it."""
        return float(np.hypot(self.kind.doubt, self.slant))

    def correction(self, curve: Curve, strays: Array, doubt: Doubt) -> Correction:
        """A correction by its colour and its light, a curve undone.

        The light is assumed to be what makes it look grey, and changed to D65 by Bradford
        adaptation.

        Parameters
        ----------
        curve : (float, float)
            The tone curve, as of a `Correction`.
        strays : ndarray, shape (3, 3)
            What then is done to linear RGB; greys stay.
        doubt : Doubt
            Without the card's own.

        Returns
        -------
        Correction
        """
        light = SRGB_TO_XYZ @ straightened(self.linear, curve)
        as_grey = self.kind.reflectance / light[1] * _bradford(light / light[1]) @ SRGB_TO_XYZ
        return linear_correction(
            "card",
            SRGB_TO_XYZ @ strays @ XYZ_TO_SRGB @ as_grey,
            float(np.hypot(doubt.within, self.doubt)),
            float(np.hypot(doubt.residual, self.doubt / 2)),
            curve,
        )


def correct_by_card(
    source: Picture,
    region: Region,
    reference: str = "white paper",
    *,
    light: PhotoLight = NOT_KNOWN,
    name: str = UNNAMED,
) -> Correction:
    """Correct by an even grey or white thing: its colour, and the exposure by its reflectance.

    A typical tone curve is undone, and what cameras do to colours in such a light. Parameters and
    errors as `see_card`.
    """
    figures = LIGHTS[light]
    seen = see_card(source, region, reference, name=name)
    doubt = figures.white if seen.kind.is_white else figures.grey
    return seen.correction(TYPICAL, figures.matrix, doubt)


def correct_by_two_cards(
    one: SeenCard, other: SeenCard, *, light: PhotoLight = NOT_KNOWN
) -> Correction:
    """Correct by a grey and a white card in one picture, by the surer of them.

    The tone curve that is undone is the one with which both come out as light as they are.

    Parameters
    ----------
    one, other : SeenCard
    light : one of LIGHTS
        That both are in.

    Returns
    -------
    Correction

    Raises
    ------
    InputError
        As `light_between`.
    ImageError
        If they do not go together.
    """
    ratio = light_between(one.called, other.called)
    dark, pale = sorted((one, other), key=lambda card: card.kind.reflectance)
    shown = pale.light / dark.light
    # A second light or a shadow makes it; so does a card that was taken for the other.
    said = f"The {pale.called} shows {shown:.1f} times the light of the {dark.called}, too "
    todo = " for the same light on both; lay them side by side and see which is which"
    curve = curve_by_two(dark.light, pale.light, ratio) if shown > 1 else None
    if curve is None or curve[0] > MOST_P:
        raise ImageError(f"{said}little{todo}")
    if curve[0] < LEAST_P:
        raise ImageError(f"{said}much{todo}")
    surer = min(one, other, key=lambda card: card.doubt)
    figures = LIGHTS[light]
    return surer.correction(curve, figures.matrix, figures.two_cards)


def light_between(one: str, other: str) -> float:
    """How many times the light of the darker of two of CARDS the lighter gives back.

    Raises
    ------
    InputError
        If they are too much alike to tell a tone curve by.
    """
    dark, light = sorted(CARDS[called].reflectance for called in (one, other))
    if light < LEAST_RATIO * dark:
        raise InputError.at(
            "reference",
            "Two cards show the tone curve only if one is grey and the other white, such as a "
            "grey card and white paper",
        )
    return light / dark


def see_card(
    source: Picture, region: Region, reference: str = "white paper", *, name: str = UNNAMED
) -> SeenCard:
    """An even grey or white thing as a picture shows it.

    Parameters
    ----------
    source, name : as for `open_photo`
    region : Region
        Wholly inside the card or paper, which must be in the same light as the wood.
    reference : str
        One of CARDS.

    Returns
    -------
    SeenCard

    Raises
    ------
    InputError
        If the reference is not known, or the region is all of the picture.
    ImageError
        If the region is blown out, too dark, partly in shade, or not one even surface; and as
        `open_photo`.
    """
    if reference not in CARDS:
        raise InputError.at(
            "reference",
            f"the reference must be one of {', '.join(CARDS)}; got {quoted(reference)}",
        )
    called = "The paper" if "paper" in reference else "The card"
    if region.w * region.h > MOST_OF_PICTURE * 100 * 100:
        raise InputError.at(
            "region",
            f"{called[4:]} cannot be all of the picture: draw round it alone, and have the wood "
            "beside it",
        )
    image = open_pixels(source, name=name, within=CARD_PX, region=region).flattened()
    levels = np.asarray(image)
    linear = srgb_to_linear(levels / 255)
    mean = linear.mean(axis=(0, 1))
    _refuse_ends_of_range(levels, mean, called)
    slant = _slant(linear, levels, called)
    xyz = SRGB_TO_XYZ @ mean
    if CARDS[reference].is_white and xyz[1] < DARKEST_WHITE:
        raise ImageError(
            f"{called} gives {xyz[1] * 100:.0f} % of the light that can be recorded, which is too "
            f"dark for white; at least {DARKEST_WHITE * 100:.0f} % is needed. Is it the wood? "
            "Otherwise photograph it brighter"
        )
    return SeenCard(reference, mean, slant)


def _bradford(white: Array) -> Array:
    """The matrix from XYZ under a light of that white, Y = 1, to D65."""
    from brief.colour.libraries import apply_chromatic_adaptation

    return np.column_stack(
        [apply_chromatic_adaptation(*axis, white, D65_WHITE) for axis in np.eye(3)]
    )


def _refuse_ends_of_range(levels: Array, mean: Array, called: str) -> None:
    blown = (levels >= BLOWN_FROM).mean(axis=(0, 1))
    names = ("red", "green", "blue")
    for name, share, light in zip(names, blown.tolist(), mean.tolist(), strict=True):
        if share > MOST_CLIPPED:
            raise ImageError(
                f"{called} is blown out: its {name} is at the end of its range over "
                f"{share * 100:.0f} % of the region; photograph it darker"
            )
        if light < DARKEST:
            raise ImageError(
                f"{called} is too dark to measure by: its {name} gets "
                f"{light * 100:.1f} % of the light that can be recorded, and at least "
                f"{DARKEST * 100:.1f} % is needed; photograph it brighter"
            )


def _slant(linear: Array, levels: Array, called: str) -> float:
    """CIEDE2000 from the middle to the ends of the light on the card; refuses what is not even."""
    lab = srgb_to_lab(levels / 255)
    spread = float(np.sqrt(np.mean(delta_e_2000(lab, lab.mean(axis=(0, 1))) ** 2)))
    tiles = np.array(
        [
            tile.mean(axis=(0, 1))
            for row in np.array_split(linear, min(TILES, linear.shape[0]), axis=0)
            for tile in np.array_split(row, min(TILES, linear.shape[1]), axis=1)
        ]
    )
    light = tiles @ SRGB_TO_XYZ[1]
    dimmest = float(light.min() / light.max())
    if dimmest < UNEVEN:
        raise ImageError(
            f"{called} is not evenly lit: one part of the region gets {dimmest * 100:.0f} % of the "
            f"light on another, and at least {UNEVEN * 100:.0f} % is needed; keep the region "
            "inside it, or move it out of the shade"
        )
    if spread > MOST_SPREAD:
        raise ImageError(
            f"the region is not one even surface: its colours lie {spread:.0f} apart, and at most "
            f"{MOST_SPREAD:.0f} is taken; keep it inside the card or the paper"
        )
    ends = xyz_to_lab(tiles[[light.argmin(), light.argmax()]] @ SRGB_TO_XYZ.T)
    return float(delta_e_2000(ends[0], ends[1])) / 2
