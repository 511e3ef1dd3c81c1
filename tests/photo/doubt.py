"""How far photographs by measured cameras are off, and how far they are said to be.

Each shot is drawn from one `Split` of `measured_cameras` in one `Setting`; all surfaces of the
split are measured in it by each reference that there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from brief.colour import delta_e_2000, linear_to_srgb, srgb_to_linear, xyz_to_lab
from brief.errors import ImageError
from brief.photo import (
    NOT_KNOWN,
    Chart,
    Correction,
    PhotoLight,
    Region,
    correct_by_card,
    correct_by_two_cards,
    fit_correction,
    no_correction,
    see_card,
)
from brief.photo.correction.card import CARDS
from brief.photo.correction.chart import BLOWN_FROM, ChartPatch
from brief.photo.correction.chart_reference import SLOPE, patch_names

from .measured_cameras import Floats, Shot, Split, true_xyz

TWO_CARDS = "grey card 18 % and white paper"
REFERENCES = ("nothing", "grey card 18 %", "white paper", TWO_CARDS, "chart")
BY_LIGHT = REFERENCES[:-1]  # a chart tells all that the light does
DAYLIGHTS = ("D50", "D55", "D60", "D65", "D75", "ID50")
_INSIDE = Region(10, 10, 80, 80)
_HALVES = Region(5, 10, 40, 80), Region(55, 10, 40, 80)
_TILT = np.linspace(-1, 1, 81)  # from violet to red


@dataclass(frozen=True)
class Setting:
    """What a camera does. own : as of a `Shot`. tone : "none", "medium" or "strong" curves."""

    own: bool
    tone: str
    balanced: bool = True

    @property
    def saturation(self) -> float:
        return 1.2 if self.tone == "strong" else 1.0

    def __str__(self) -> str:
        matrix = "per light" if self.own else "daylight"
        return f"{matrix}, {self.tone}{'' if self.balanced else ', balance fixed'}"


SETTINGS = [Setting(own, tone) for own in (False, True) for tone in ("none", "medium", "strong")]
FIXED = [Setting(False, tone, balanced=False) for tone in ("none", "medium", "strong")]


def taken_by(split: Split, light: PhotoLight) -> Split:
    """The split with those of its lights alone."""
    if light == NOT_KNOWN:
        return split
    wanted = light == "daylight"
    return replace(split, lights=tuple(one for one in split.lights if (one in DAYLIGHTS) == wanted))


def shots(
    split: Split, setting: Setting, count: int, seed: int = 0
) -> Iterator[tuple[Shot, np.random.Generator]]:
    """Drawn at random, each with the generator that drew it."""
    rng = np.random.default_rng(seed)
    curves = {"none": ("none",), "medium": split.medium, "strong": split.strong}[setting.tone]
    for _ in range(count):
        yield (
            Shot(
                camera=str(rng.choice(split.cameras)),
                light=str(rng.choice(split.lights)),
                own=setting.own,
                curve=str(rng.choice(curves)),
                saturation=setting.saturation,
                balanced=setting.balanced,
                white=rng.uniform(0.5, 0.9),
                veil=rng.uniform(0, 0.01),
            ),
            rng,
        )


@dataclass(frozen=True)
class Found:
    """By one reference: CIEDE2000 by which each surface is off, shape (shots, n), and is said to
    be, shape (shots, 1)."""

    off: Floats
    stated: Floats

    @property
    def covered(self) -> float:
        return float((self.off <= self.stated).mean())

    @property
    def needed(self) -> float:
        """By how much all that is stated would have to be multiplied for 9 in 10."""
        return float(np.quantile(self.off / self.stated, 0.9))

    def only(self, surfaces: Floats) -> Found:
        return Found(self.off[:, surfaces], self.stated)


def survey(
    split: Split, setting: Setting, count: int, seed: int = 0, light: PhotoLight = NOT_KNOWN
) -> dict[str, Found]:
    """Over `count` shots: by each of REFERENCES; where a light is told, by BY_LIGHT."""
    references = REFERENCES if light == NOT_KNOWN else BY_LIGHT
    off: dict[str, list[Floats]] = {name: [] for name in references}
    stated: dict[str, list[float]] = {name: [] for name in references}
    for shot, rng in shots(split, setting, count, seed):
        seen, truth = measured(shot, split, rng)
        for name, correction in corrections(shot, rng, references, light).items():
            off[name].append(delta_e_2000(correction.apply(seen), truth))
            stated[name].append(correction.uncertainty)
    return {
        name: Found(np.array(off[name]), np.array(stated[name])[:, None]) for name in references
    }


def together(found: list[Found]) -> Found:
    return Found(
        np.concatenate([one.off for one in found]), np.concatenate([one.stated for one in found])
    )


def measured(shot: Shot, split: Split, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """What the shot shows of all surfaces, linear RGB, and their true colours, CIELAB."""
    seen = [shot.seen(which, rng) for which in split.surfaces]
    truth = [xyz_to_lab(true_xyz(which)) for which in split.surfaces]
    return np.concatenate(seen), np.concatenate(truth)


def corrections(
    shot: Shot,
    rng: np.random.Generator,
    references: Sequence[str] = REFERENCES,
    light: PhotoLight = NOT_KNOWN,
) -> dict[str, Correction]:
    """By each reference that is not refused: a card as it may be off, a chart in sloping light."""
    found = {}
    for reference in references:
        with suppress(ImageError):
            found[reference] = _by(reference, shot, rng, light)
    return found


def _by(reference: str, shot: Shot, rng: np.random.Generator, light: PhotoLight) -> Correction:
    match reference:
        case "nothing":
            return no_correction(light)
        case "chart":
            lit = 1 + SLOPE @ rng.uniform(-0.2, 0.2, 2)
            return fit_correction(_chart(shot.linear("chart", lit), rng), "before-2014")
        case both if both == TWO_CARDS:
            drawn = rng.spawn(1)[0]  # its own, so that what the others draw stays as it was
            return correct_by_two_cards(
                *(
                    see_card(_pictured(off_card(shot, card, drawn), drawn), region, card)
                    for card, region in zip(both.split(" and "), _HALVES, strict=True)
                ),
                light=light,
            )
        case card:
            picture = _pictured(off_card(shot, card, rng), rng)
            return correct_by_card(picture, _INSIDE, card, light=light)


def off_card(shot: Shot, called: str, rng: np.random.Generator) -> Floats:
    """What the shot shows of a card that is off: 9 in 10 within what is said of its kind."""
    card = CARDS[called]
    flat, tilted, humped = rng.normal(size=3)
    shape = flat + tilted * _TILT + humped * (1 - 2 * _TILT**2)
    spectrum = card.reflectance * (1 + 0.011 * card.doubt * shape)
    shown: Floats = np.clip(shot.linear(spectrum[None])[0], 0, 1)
    return shown


def _pictured(linear: Floats, rng: np.random.Generator) -> Image.Image:
    noisy = linear_to_srgb(linear) * 255 + rng.normal(0, 1, (32, 32, 3))
    return Image.fromarray(np.clip(np.rint(noisy), 0, 255).astype(np.uint8))


def _chart(linear: Floats, rng: np.random.Generator) -> Chart:
    codes = np.clip(linear_to_srgb(np.clip(linear, 0, 1)) + rng.normal(0, 0.1 / 255, (24, 3)), 0, 1)
    blown = (codes * 255 >= BLOWN_FROM).any(axis=1)
    patches = [
        ChartPatch(name, (50.0, 50.0), (r, g, b), 1.0, float(out))
        for name, (r, g, b), out in zip(
            patch_names(), srgb_to_linear(codes).tolist(), blown, strict=True
        )
    ]
    return Chart(((25, 25), (75, 25), (75, 75), (25, 75)), 0, tuple(patches))
