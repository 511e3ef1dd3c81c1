"""Pictures of an instrument to be shown elsewhere: SVG, PNG and PDF under any condition."""

from __future__ import annotations

import re
from typing import Literal
from urllib.parse import urlencode

from brief.errors import InputError, quoted
from brief.instrument.rendering.drawing_file import as_picture_pdf, seen_by
from brief.instrument.rendering.raster import as_png
from brief.services.common.finding import listed
from brief.services.common.formatting import day
from brief.services.drawing.instrument_drawing import chosen, draw_filled, fills_of
from brief.services.drawing.plans import PlanFile
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.view_settings import Shown, Switches, shown_as
from brief.services.photos.pictures import kept_drawing
from brief.store.desk import Desk
from brief.store.records import Brief, Part, Viewing

SeenFrom = Literal["front", "back", "side", "head"]
PictureForm = Literal["svg", "png", "pdf"]
Textures = Literal["within", "linked"]
PICTURE_MEDIA: dict[PictureForm, str] = {
    "svg": "image/svg+xml",
    "png": "image/png",
    "pdf": "application/pdf",
}
HEIGHT_PX = 2000
LEAST_PX, MOST_PX = 100, 4000
CAUTION = (
    "Photographs of the maker's own timber, as a screen shows them. Not to scale, and nothing to "
    "measure from."
)


def conditions_query(shown: Shown) -> str:
    """What an address says of the switches; a light that is not of this brief is daylight."""
    now = shown.switches
    known = {value for value, _ in shown.lights}
    light = now.light if now.light in known else shown.light.key
    return urlencode({"state": now.state, "light": light, "eyes": now.eyes, "relief": now.relief})


def picture_file(
    desk: Desk,
    brief: Brief,
    view: SeenFrom,
    form: PictureForm,
    switches: Switches,
    *,
    textures: Textures = "within",
    height_px: int = HEIGHT_PX,
) -> PlanFile:
    """One view of the brief's instrument as a file, its timber as the switches have it.

    textures : whether an SVG holds its photographs or links them; the others hold them.
    height_px : of the picture, and how fine the photographs are that a file holds.
    Raises InputError for a light that there is not.
    """
    shown = shown_as(switches, listed(desk, Viewing, brief_id=brief.id))
    if switches.light not in {value for value, _ in shown.lights}:
        known = ", ".join(value for value, _ in shown.lights)
        raise InputError.at(
            "light",
            f"This brief can be shown in {known}; got {quoted(switches.light)}. Choose one.",
        )
    parts = listed(desk, Part, brief_id=brief.id)
    fills = fills_of(desk, chosen(desk, parts), shown.switches.state, public=True)

    def drawn(height_px: int | None) -> str:
        svg = draw_filled(
            desk,
            brief,
            fills,
            "front" if view == "head" else view,
            prefix="picture",
            close="head" if view == "head" else "whole",
            height_px=height_px,
            shaded=shown.shaded,
        )
        return seen_by(svg, shown.matrix) if shown.matrix else svg

    name = f"{plain_name(brief.title)}-{view}.{form}"
    linked = drawn(None)
    if form == "svg" and textures == "linked":
        return PlanFile(name, PICTURE_MEDIA[form], linked.encode())

    def made() -> bytes:
        svg = drawn(height_px)
        return svg.encode() if form == "svg" else as_png(svg, height_px=height_px)

    suffix = "svg" if form == "svg" else "png"
    data = kept_drawing(desk, linked, f"picture-{height_px}", suffix, made)
    if form != "pdf":
        return PlanFile(name, PICTURE_MEDIA[form], data)
    said = (
        f"{brief.instrument or instrument_of(brief).name}: {view}",
        f"Shown {shown.words}. Last change {day(brief.changed_utc)}.",
        CAUTION,
    )
    return PlanFile(name, PICTURE_MEDIA[form], as_picture_pdf(data, brief.title, said))


def plain_name(title: str) -> str:
    """A title as part of a file's name that every system takes."""
    return re.sub("[^A-Za-z0-9]+", "-", title).strip("-")[:60] or "instrument"
