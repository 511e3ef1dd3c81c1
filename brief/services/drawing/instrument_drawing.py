"""The instrument as the spec has it now: its faces, filled with the maker's own photographs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from sqlalchemy import select

from brief.colour.viewing.conditions import State
from brief.instrument import Face, Fill, closer, draw_pair_sample, draw_picture, view_box
from brief.instrument.drawing.parts.inlay_drawing import Inlaid
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Box, Shine
from brief.instrument.rendering.placement import Laying
from brief.photo import WHOLE, Region, Scale
from brief.photo.wood.figure import STRAIGHT
from brief.photo.wood.play import play_of
from brief.services.common.colour_view import colour_view
from brief.services.common.naming import label, public_label
from brief.services.instrument.brief_inlays import inlays_of, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.photos.pictures import picture_at
from brief.services.photos.shot_correction import points
from brief.services.rack.piece_colours import texture_of
from brief.services.rack.surfaces import Surface, surfaces_of
from brief.store.desk import Desk
from brief.store.records import Brief, Image, Material, Part, Photograph

PLAY_PX = 48  # of a photograph, to see by how much its colour plays
SHINING: Mapping[str, Shine] = {"metal": "metal", "shell": "shell"}  # by the kind of material
SPOT_SHOWN = 0.7  # of the width: how tall a piece of the front is shown round a spot


@dataclass(frozen=True)
class WornPiece:
    """A piece as it shows in one state: where its photograph is served, and its colour."""

    texture: str | None
    hex: str | None


def draw_instrument(
    desk: Desk,
    brief: Brief,
    parts: Sequence[Part],
    *,
    prefix: str,
    state: State = "bare",
    face: Face = "front",
    box: Box | None = None,
    height_px: int | None = None,
    public: bool = False,
    shaded: bool = False,
) -> str:
    """One face of the brief's instrument as inline SVG, its timber in that state; all of it, or
    what lies in `box`, millimetres of the drawing.

    height_px : how high it will be shown, if it is to hold its photographs instead of linking them.
    public : whether its timber is named for others, here and below. shaded : with light and shadow.
    """
    fills = fills_of(desk, chosen(desk, parts), state, public=public)
    return draw_filled(
        desk, brief, fills, face, prefix=prefix, box=box, height_px=height_px, shaded=shaded
    )


def draw_filled(
    desk: Desk,
    brief: Brief,
    fills: Mapping[str, Fill],
    face: Face,
    *,
    prefix: str,
    close: str = "whole",
    box: Box | None = None,
    height_px: int | None = None,
    shaded: bool = False,
) -> str:
    """As `draw_picture`, of the brief's instrument in these materials, with its own inlays."""
    made = instrument_of(brief)
    inlays = shown_inlays(made, inlays_of(desk, brief))
    if shaded:
        fills = playing(desk, fills)
    if height_px is not None:
        fills = holding(desk, fills)
    draw = _linking if height_px is None else _drawn
    return draw(
        made, tuple(fills.items()), face, prefix, close, box, tuple(inlays), height_px, shaded
    )


def _drawn(
    preset: Preset,
    fills: tuple[tuple[str, Fill], ...],
    face: Face,
    prefix: str,
    close: str,
    box: Box | None,
    inlays: tuple[Inlaid, ...],
    height_px: int | None,
    shaded: bool,
) -> str:
    """As `draw_picture`, of what can be told from another drawing."""
    return draw_picture(
        preset,
        dict(fills),
        face,
        prefix=prefix,
        close=close,
        box=box,
        inlays=inlays,
        height_px=height_px,
        shaded=shaded,
    )


# Every sheet shows it, most of them unchanged; some 40 kB each. Those that hold their photographs
# are large, and kept as files by whoever asks for them.
_linking = lru_cache(maxsize=32)(_drawn)


def chosen(desk: Desk, parts: Sequence[Part]) -> list[tuple[Part, Material]]:
    """Each part that has a measured piece of the rack, and that piece."""
    return [
        (part, material)
        for part in parts
        if part.material_id is not None
        and (material := desk.session.get(Material, part.material_id)) is not None
        and material.binned_utc is None
        and material.lab is not None
    ]


def fills_of(
    desk: Desk, made_of: Sequence[tuple[Part, Material]], state: State, *, public: bool = False
) -> dict[str, Fill]:
    """How parts show that are made of these pieces, by role; what was laid lies as it was laid."""
    return {part.role: fill for part, _, fill in _filled(desk, made_of, state, public=public)}


def tried_fills(
    desk: Desk, part: Part, pieces: Sequence[Material], state: State
) -> dict[str, Fill]:
    """How a part would show in each of several pieces, by their ids; none of an unmeasured one."""
    measured = [(part, piece) for piece in pieces if piece.lab is not None]
    return {piece.id: fill for _, piece, fill in _filled(desk, measured, state)}


def _filled(
    desk: Desk, made_of: Sequence[tuple[Part, Material]], state: State, *, public: bool = False
) -> Iterator[tuple[Part, Material, Fill]]:
    pieces = [material for _, material in made_of]
    surfaces, sizes = surfaces_of(desk, pieces), _sizes_mm(desk, pieces)
    grains = _grains_deg(desk, pieces)
    for part, material in made_of:
        fill = fill_of(desk, surfaces[material.id], state, public=public)
        # It is a line in the photograph of the piece that the part has.
        laid = part.laying if part.material_id == material.id else None
        laying = Laying.read(laid) if laid else None
        size, grain = sizes.get(material.id), grains.get(material.id)
        yield part, material, replace(fill, size_mm=size, grain_deg=grain, laying=laying)


def holding(desk: Desk, fills: Mapping[str, Fill]) -> dict[str, Fill]:
    """The same with the photographs themselves, for a drawing that is to hold them."""
    shots = {one.picture: picture_at(desk, one.picture) for one in fills.values() if one.picture}
    return {
        role: replace(fill, jpeg=shots[fill.picture]) if fill.picture else fill
        for role, fill in fills.items()
    }


def playing(desk: Desk, fills: Mapping[str, Fill]) -> dict[str, Fill]:
    """The same with the play of light of those that have one, by their own photographs."""
    return {
        role: replace(fill, play=play_of(picture_at(desk, fill.picture, within=PLAY_PX)))
        if fill.shine and fill.picture
        else fill
        for role, fill in fills.items()
    }


def plain_for_now(desk: Desk, parts: Sequence[Part]) -> list[str]:
    """Which pieces of shell or metal lack a photograph, which tells how they play in the light."""
    pieces = {piece.id: piece for _, piece in chosen(desk, parts)}.values()
    return [label(one) for one in pieces if one.stuff in SHINING and one.image_sha256 is None]


def _sizes_mm(desk: Desk, pieces: Sequence[Material]) -> dict[str, tuple[float, float]]:
    """Width and height of what the shown part of each photograph shows, by id, where it has a
    scale."""
    by_id = {piece.id: piece for piece in pieces}
    found: dict[str, tuple[float, float]] = {}
    scaled = desk.session.execute(
        select(Photograph.material_id, Photograph.scale_points, Photograph.scale_mm, Image)
        .join(Image, Image.sha256 == Photograph.image_sha256)
        .join(Material, Material.id == Photograph.material_id)
        .where(
            Material.id.in_(by_id),
            Photograph.image_sha256 == Material.image_sha256,
            Photograph.binned_utc.is_(None),
            Photograph.scale_mm.is_not(None),
        )
        .order_by(Photograph.id.desc())  # of two of one picture the first counts
    )
    for material_id, ends, length_mm, image in scaled:
        first, second = points(ends or "", 2)
        scale = Scale.from_taps(first, second, length_mm or 0.0, (image.width_px, image.height_px))
        across, down = shown_px(by_id[material_id], image)
        found[material_id] = (
            scale.width_mm * across / image.width_px,
            scale.height_mm * down / image.height_px,
        )
    return found


def _grains_deg(desk: Desk, pieces: Sequence[Material]) -> dict[str, float]:
    """How the grain of each piece runs in its photograph, by id, where it has one direction."""
    direction, strength = (
        Photograph.findings["figure"][name].as_float() for name in ("direction_deg", "strength")
    )
    asked = (
        select(Photograph.material_id, direction)
        .join(Material, Material.id == Photograph.material_id)
        .where(
            Material.id.in_([piece.id for piece in pieces]),
            Photograph.image_sha256 == Material.image_sha256,
            Photograph.binned_utc.is_(None),
            direction.is_not(None),
            strength >= STRAIGHT,
        )
        .order_by(Photograph.id.desc())  # of two of one picture the first counts
    )
    return {row[0]: row[1] for row in desk.session.execute(asked)}


def shown_px(material: Material, image: Image) -> tuple[int, int]:
    """Width and height of the measured part of the photograph, in its own pixels."""
    region = Region.parse(material.region) if material.region else WHOLE
    left, top, right, bottom = region.box(image.width_px, image.height_px)
    return right - left, bottom - top


def worn(desk: Desk, material_ids: Sequence[str], state: State) -> dict[str, WornPiece]:
    """How each of these pieces shows in that state, by id."""
    pieces = [desk.session.get_one(Material, material_id) for material_id in material_ids]
    return {
        material_id: WornPiece(
            texture_of(surface.material, surface.lab(state)) if surface.material.lab else None,
            colour_view(surface.lab(state), 0.0).hex if surface.material.lab else None,
        )
        for material_id, surface in surfaces_of(desk, pieces).items()
    }


def loupe_views(brief: Brief, face: Face) -> list[tuple[str, str]]:
    """The views of a face that the panel can be brought close to: name and viewBox."""
    return [
        (name, " ".join(f"{side:.1f}" for side in box))
        for name, box in closer(instrument_of(brief), face).items()
    ]


@dataclass(frozen=True)
class FrontSpot:
    """A spot on the front, and the viewBox of what to show round it; mm of the drawing."""

    view_box: str
    x: float
    y: float
    w: float
    h: float


def front_spot(brief: Brief, region: Region) -> FrontSpot:
    """A part of the front in percent, with as much above and below as tells where it is."""
    left, top, width, height = view_box(instrument_of(brief), "whole")
    y, h = top + region.y * height / 100, region.h * height / 100
    tall = min(max(width * SPOT_SHOWN, h * 1.2), height)
    start = min(max(y + h / 2 - tall / 2, top), top + height - tall)
    spot = (left + region.x * width / 100, y, region.w * width / 100, h)
    return FrontSpot(
        f"{left:.1f} {start:.1f} {width:.1f} {tall:.1f}", *(round(side, 1) for side in spot)
    )


def draw_pairing(
    desk: Desk,
    ground: Surface,
    inlay: Surface,
    line_mm: float,
    state: State,
    *,
    public: bool = False,
) -> str:
    """A line and a dot of the inlay on the ground, as inline SVG, not to the ground's scale."""
    return draw_pair_sample(
        fill_of(desk, ground, state, public=public),
        fill_of(desk, inlay, state, public=public),
        line_mm=line_mm,
        prefix=f"p{ground.material.id}{inlay.material.id}",
    )


def fill_of(desk: Desk, surface: Surface, state: State, *, public: bool = False) -> Fill:
    """How a measured piece shows: its colour, and the measured part of its photograph."""
    material = surface.material
    image = (
        None if material.image_sha256 is None else desk.session.get(Image, material.image_sha256)
    )
    return Fill(
        colour=colour_view(surface.lab(state), 0.0).hex,
        picture=texture_of(material, surface.lab(state)),
        label=(public_label if public else label)(material),
        picture_size=None if image is None else shown_px(material, image),
        shine=SHINING.get(material.stuff) if image is not None else None,
    )
