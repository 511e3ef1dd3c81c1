"""What each part of an instrument looks like in the studio."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brief.colour.viewing.conditions import State
from brief.services.photos.pictures import picture_at
from brief.services.rack.piece_colours import texture_of
from brief.services.rack.surfaces import Surface, surfaces_of
from brief.store.desk import Desk
from brief.store.records import Material, Part
from brief.studio.looks import Conductor, Look, Substance
from brief.wood.gloss import Gloss, gloss_of

SUBSTANCES: dict[str, Substance] = {
    "timber": "wood",
    "veneer": "wood",
    "shell": "shell",
    "metal": "metal",
}
# The first word that is in a metal's name counts. Nickel silver and steel reflect about as chromium
# does, which is known: a guess. One that is not named here has its measured colour.
METALS: tuple[tuple[str, Conductor | None], ...] = (
    ("nickel", "Cr"),
    ("brass", None),
    ("bronze", None),
    ("steel", "Cr"),
    ("chrom", "Cr"),
    ("silver", "Ag"),
    ("gold", "Au"),
    ("alumin", "Al"),
    ("copper", "Cu"),
)
POLISHED: Gloss = "satin"  # bone, horn and the like, whichever their finish


@dataclass(frozen=True)
class WornPart:
    """A part with its piece: how it looks, and where its photograph is."""

    part: Part
    surface: Surface
    look: Look
    picture: str | None


def worn_by(
    desk: Desk, made_of: Sequence[tuple[Part, Material]], state: State, size: str
) -> list[WornPart]:
    """How parts look that are made of these pieces; their photographs are not read yet."""
    surfaces = surfaces_of(desk, [material for _, material in made_of])
    return [_worn(part, surfaces[material.id], state, size) for part, material in made_of]


def _worn(part: Part, surface: Surface, state: State, size: str) -> WornPart:
    material, lab = surface.material, surface.lab(state)
    substance = SUBSTANCES.get(material.stuff, "plain")
    finished = state in ("finished", "aged")
    gloss: Gloss = gloss_of(part.finish) if finished else "bare"
    if material.stuff not in ("timber", "veneer", "other"):
        gloss = "gloss" if substance == "shell" else POLISHED
    picture = texture_of(material, lab, size)
    look = Look(lab, substance, gloss)
    if substance == "metal":
        look, picture = replace(look, conductor=conductor_of(material)), None
    return WornPart(part, surface, look, picture)


def conductor_of(material: Material) -> Conductor | None:
    """The metal whose published constants it has; None for its own measured colour."""
    name = f"{material.species} {material.label}".lower()
    return next((metal for word, metal in METALS if word in name), None)


def with_picture(desk: Desk, worn: WornPart) -> Look:
    """Its look with its photograph, if it has one."""
    return replace(worn.look, picture=picture_at(desk, worn.picture)) if worn.picture else worn.look
