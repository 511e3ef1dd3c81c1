"""Colours to and from other programs, as CGATS.17 text."""

from __future__ import annotations

from collections.abc import Iterable

from brief.colour.cgats import CgatsSample, read_cgats, write_cgats
from brief.services.nouns import briefs, materials, palettes, swatches
from brief.services.rack import MaterialDraft
from brief.store.desk import Desk
from brief.store.records import Material


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


def swatches_as_cgats(desk: Desk, brief_id: str) -> str:
    """The swatches of a brief."""
    return write_cgats(
        (
            CgatsSample(swatch.name, _lab(swatch.lab), swatch.uncertainty)
            for swatch in swatches.page(desk, brief_id=brief_id)
        ),
        title=briefs.get(desk, brief_id).title,
    )


def palette_as_cgats(desk: Desk, palette_id: str) -> str:
    """The colours of one palette, largest share first."""
    palette = palettes.get(desk, palette_id)
    view = palettes.show(desk, palette)
    return write_cgats(
        (
            CgatsSample(
                f"{one.colour.words}, {one.share:.0%}", one.colour.lab, one.colour.uncertainty
            )
            for one in view.colours
        ),
        title=palette.name,
    )


def readings_to_rack(
    desk: Desk, data: bytes, full_reflectance: float | None = None
) -> tuple[list[Material], list[str]]:
    """Put the readings of a CGATS text on the rack: by name on the piece of that label, else new.

    Returns the pieces and what the file left to be taken for granted. Raises ColourInputError, with
    the line at fault, and TooLarge as `read_cgats`.
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
