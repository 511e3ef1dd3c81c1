"""`brief palette`: the colours a photograph is made of."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any, Literal

from rich.table import Table

from brief.cli.terminal import SCALE, about_chips, chip, console, print_json, shows_chips
from brief.colour.notation.wording import percent, share_words
from brief.english import number_of
from brief.photo import (
    UNCORRECTED_PHOTO_DELTA_E,
    PaletteColour,
    PhotoPalette,
    Region,
    extract_palette,
)
from brief.services.common.colour_view import ColourView, colour_view

LONGEST_BAR = 16
BESIDE_THE_BAR = 58  # cells
WORTH_SAYING = 0.02  # of the picture left out


def print_palette(
    photo: Path,
    colours: int | Literal["auto"],
    region: str | None,
    seed: int,
    *,
    as_json: bool,
) -> None:
    """Pull a palette out of a photograph and print it; raises as `extract_palette` does."""
    where = None if region is None else Region.parse(region)
    palette = extract_palette(photo, colours, where, seed)
    if as_json:
        print_json(_exactly(photo, palette))
    else:
        _show(photo, palette)


def _view(colour: PaletteColour) -> ColourView:
    return colour_view(colour.lab, UNCORRECTED_PHOTO_DELTA_E)


def _exactly(photo: Path, palette: PhotoPalette) -> dict[str, Any]:
    return {
        "photo": str(photo),
        **asdict(palette),
        "region": None if palette.region is None else str(palette.region),
        "colours": [_colour_exactly(colour) for colour in palette.colours],
        "accents": [_colour_exactly(colour) for colour in palette.accents],
    }


def _colour_exactly(colour: PaletteColour) -> dict[str, Any]:
    return {
        "colour": _view(colour).model_dump(mode="json"),
        "share": colour.share,
        "spread": colour.spread,
        "spot": colour.spot,
    }


def _show(photo: Path, palette: PhotoPalette) -> None:
    out = console()
    part = "" if palette.region is None else f", part {palette.region}"
    out.print(f"{photo.name}{part}: {_count(palette)}", soft_wrap=True)
    table = Table.grid(padding=(0, 1))
    longest = max(2, min(LONGEST_BAR, out.width - BESIDE_THE_BAR))
    most = max(colour.share for colour in palette.colours)
    for colour in (*palette.colours, *palette.accents):
        view = _view(colour)
        is_accent = colour in palette.accents
        table.add_row(
            *([chip(view, 6)] if shows_chips(out) else []),
            view.words,
            "accent" if is_accent else "█" * max(1, round(colour.share / most * longest)),
            f"{percent(colour.share, places=1 if is_accent else 0):>5}",
            view.hex,
            view.lab_text,
        )
    out.print(table)
    out.print(
        f"9 in 10 lie within {UNCORRECTED_PHOTO_DELTA_E:.0f} of the true colour ({SCALE}): "
        "nobody has corrected the photograph for its light."
    )
    if palette.left_out >= WORTH_SAYING:
        out.print(
            f"Left out: {share_words(palette.left_out)} of the picture, which is transparent, "
            "blown out or black."
        )
    if caution := about_chips(out):
        out.print(caution)


def _count(palette: PhotoPalette) -> str:
    found = len(palette.colours)
    colours = number_of(found, "colour")
    if palette.asked in ("auto", found):
        return colours
    return f"{colours}; the others of the {palette.asked} asked for would look the same"
