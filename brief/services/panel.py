"""The instrument as the spec has it now: its front, filled with the maker's own photographs."""

from __future__ import annotations

from collections.abc import Sequence

from brief.instrument import Fill, View, draw_front, draw_pair_sample, preset, view_box
from brief.photo import Region
from brief.services.colours import colour_view
from brief.services.rack import texture_of
from brief.store.desk import Desk
from brief.store.records import Brief, Image, Material, Pairing, Part

SAMPLE_LINE_MM = 1.0  # drawn when a pairing does not say how wide its line is
SAMPLE_LINE_LIMITS = (0.1, 10.0)
LOUPE_VIEWS: dict[View, str] = {
    "whole": "whole",
    "head": "head",
    "twelfth": "12th fret",
    "rosette": "rosette",
    "bridge": "bridge",
}


def draw_instrument(desk: Desk, brief: Brief, parts: Sequence[Part], *, prefix: str) -> str:
    """The front of the brief's instrument as inline SVG."""
    fills = {}
    for part in parts:
        material = (
            None if part.material_id is None else desk.session.get(Material, part.material_id)
        )
        if material is not None and material.binned_utc is None and material.lab is not None:
            fills[part.role] = fill_of(desk, material)
    return draw_front(preset(brief.kind), fills, title="Front of the instrument", prefix=prefix)


def loupe_views(brief: Brief) -> list[tuple[str, str]]:
    """The views of the front that the panel can be brought close to: name and viewBox."""
    drawn = preset(brief.kind)
    return [
        (name, " ".join(f"{side:.1f}" for side in view_box(drawn, view)))
        for view, name in LOUPE_VIEWS.items()
    ]


def draw_pairing(desk: Desk, pairing: Pairing, *, prefix: str) -> str | None:
    """A line and a dot of the inlay on the ground, as inline SVG; None while a colour lacks."""
    ground, inlay = pairing.ground, pairing.inlay
    if ground.lab is None or inlay.lab is None:
        return None
    thinnest, widest = SAMPLE_LINE_LIMITS
    line_mm = pairing.line_mm or SAMPLE_LINE_MM
    return draw_pair_sample(
        fill_of(desk, ground),
        fill_of(desk, inlay),
        line_mm=min(max(line_mm, thinnest), widest),
        prefix=prefix,
    )


def fill_of(desk: Desk, material: Material) -> Fill:
    """How a measured material shows: its colour, and the measured part of its photograph."""
    image = (
        None if material.image_sha256 is None else desk.session.get(Image, material.image_sha256)
    )
    size = None
    if image is not None:
        region = Region.parse(material.region) if material.region else Region(0, 0, 100, 100)
        left, top, right, bottom = region.box(image.width_px, image.height_px)
        size = (right - left, bottom - top)
    return Fill(
        colour=colour_view(material.lab or (0, 0, 0), 0.0).hex,
        picture=texture_of(material),
        label=material.label,
        picture_size=size,
    )
