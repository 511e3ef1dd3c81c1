"""Colours to other programs, as CGATS.17 text, style sheet or drawing; and from them as text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Literal

from brief.colour.notation.cgats import CgatsSample, read_cgats, write_cgats
from brief.english import words
from brief.paper.colours import NamedColour, as_css, as_svg
from brief.services.nouns import briefs, materials, palettes, swatches
from brief.services.rack.piece_views import MaterialDraft
from brief.services.theme.palettes import PaletteView
from brief.store.desk import Desk
from brief.store.records import Material

ColourFormat = Literal["txt", "css", "svg"]
_WRITTEN: dict[ColourFormat, Callable[[str, Sequence[NamedColour]], str]] = {
    "css": as_css,
    "svg": as_svg,
}


def rack_as_cgats(desk: Desk) -> str:
    """Every measured piece on the rack. Raises ColourInputError if there is none."""
    return write_cgats(
        (
            CgatsSample(piece.label, _lab(piece.lab), piece.uncertainty or 0.0)
            for piece in materials.page(desk)
            if piece.lab is not None
        ),
        title="The rack",
    )


def swatches_as(desk: Desk, brief_id: str, form: ColourFormat) -> str:
    """The swatches of a brief in that form. Raises ColourInputError if there are none."""
    title = briefs.get(desk, brief_id).title
    found = swatches.page(desk, brief_id=brief_id)
    if form == "txt":
        return write_cgats(
            (CgatsSample(one.name, _lab(one.lab), one.uncertainty) for one in found), title=title
        )
    return _WRITTEN[form](title, [NamedColour(one.name, _lab(one.lab)) for one in found])


def palette_as(desk: Desk, palette_id: str, form: ColourFormat) -> str:
    """The colours of one palette in that form, largest share first, and its accents after them.

    Those that became swatches go by their names, except in CGATS text.
    """
    palette = palettes.get(desk, palette_id)
    view = palettes.show(desk, palette)
    if form == "txt":
        shares = [f"{one.share:.0%}" for one in view.colours]
        shares += [f"accent, {one.share:.1%}" for one in view.accents]
        return write_cgats(
            (
                CgatsSample(f"{one.colour.words}, {share}", one.colour.lab, one.colour.uncertainty)
                for one, share in zip([*view.colours, *view.accents], shares, strict=True)
            ),
            title=palette.name,
        )
    return _WRITTEN[form](palette.name, colours_of(desk, view))


def colours_of(desk: Desk, palette: PaletteView) -> list[NamedColour]:
    """The colours of a palette and its accents, each by the name of its swatch or in words."""
    return [
        NamedColour(
            words([swatches.get(desk, swatch_id).name for swatch_id in one.swatch_ids])
            or one.colour.words,
            one.colour.lab,
            one.share,
            is_accent=one in palette.accents,
        )
        for one in [*palette.colours, *palette.accents]
    ]


def readings_to_rack(
    desk: Desk, data: bytes, full_reflectance: float | None = None
) -> tuple[list[Material], list[str]]:
    """Put the readings of a CGATS text on the rack: by name on the piece of that label, else new.

    Returns the pieces, and what was left out or had to be taken for granted. Raises
    ColourInputError, with the line at fault, and TooLarge as `read_cgats`.
    """
    by_label = {piece.label: piece for piece in materials.page(desk)}
    read: dict[str, Material] = {}
    warnings: dict[str, None] = {}
    for sample in read_cgats(data, full_reflectance=full_reflectance):
        piece = by_label.get(sample.name)
        if piece is None:
            piece = materials.add(desk, MaterialDraft(label=sample.name))
            by_label[sample.name] = piece
        if piece.id in read:
            warnings[f"“{sample.name}” stands in the file more than once; the last was taken."] = (
                None
            )
        piece.reading = "Lab " + " ".join(f"{round(value, 2) + 0.0:.2f}" for value in sample.lab)
        piece.reading_doubt = sample.uncertainty
        materials.follow(desk, piece)
        read[piece.id] = piece
        warnings |= dict.fromkeys(sample.warnings)
    return list(read.values()), list(warnings)


def _lab(stored: Iterable[float]) -> tuple[float, float, float]:
    lightness, a, b = stored
    return lightness, a, b
