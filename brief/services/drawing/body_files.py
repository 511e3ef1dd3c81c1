"""The instrument as a body in space, as a file that any viewer turns: a GLB in the maker's own
timber, as others may read it.

It takes half a second to make and some megabytes to send, so that it is kept beside the photographs
and told by a tag, which follows from all that goes into it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

import brief as program
from brief.colour.viewing.conditions import State
from brief.instrument import Fill, Preset
from brief.instrument.drawing.parts.inlay_drawing import Inlaid
from brief.instrument.rendering.inks import BONE, DARK, METAL
from brief.instrument.solid.glb import PartLook, as_glb
from brief.instrument.solid.parts.inlays import LaidDesign
from brief.instrument.solid.whole import solids
from brief.services.common.naming import public_label
from brief.services.drawing.drawing_files import plain_name
from brief.services.drawing.instrument_drawing import chosen, fills_of
from brief.services.instrument.brief_inlays import inlays_of, laid_in, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.photos.pictures import TEXTURE_PX, kept_drawing, picture_at
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part
from brief.wood.gloss import Shine, shine_of

GLB_MEDIA = "model/gltf-binary"
COMPUTED = "Computed, not photographed."
MEASURED = (
    "Sizes: the maker’s numbers, or typical ones of the model. Colours and figure: the maker’s "
    "photographs of the pieces, as they were measured."
)
GUESSED = (
    "How much each surface shines (common practice, no source), and whatever still has no piece of "
    "the rack. Nothing to measure from."
)
SHADED = "#8f8878"  # paper within the box, where little light comes
WIRE = Shine(0.35, metal=1.0)
# What is on no list of parts; common practice, no source.
STANDARD: Mapping[str, tuple[str, str, Shine]] = {
    "frets": ("Fret wire", METAL, WIRE),
    "strings": ("Strings", "#cfc7b2", Shine(0.4, metal=0.5)),
    "posts": ("Tuner posts", METAL, WIRE),
    "pins": ("Bridge pins", BONE, Shine(0.35)),
    "label": ("Label", SHADED, Shine(0.9)),
    "inside": ("Inside", DARK, Shine(1.0)),
}
OPEN = "#d9d2c3"  # a part that has no piece yet
KEPT = 4
"""Of one size beside a photograph: each is some megabytes, and each wood that is tried on while the
instrument is turned makes another."""


@dataclass(frozen=True)
class Body:
    """What goes into a body in space: the numbers of the instrument, its inlays, and how each part
    shows; `pieces` is the material and the finish of each role that has one.
    """

    title: str
    preset: Preset
    fills: Mapping[str, Fill]
    inlays: Sequence[Inlaid]
    laid: Sequence[LaidDesign] = field(repr=False)  # the same inlays, whose own text is cut short
    pieces: Mapping[str, tuple[str, str]]
    state: State
    names: Mapping[str, str]

    @property
    def recipe(self) -> str:
        """All of it as text, with the addresses of the photographs; of it the tag follows."""
        return f"{_made_by()}\n{self!r}"

    @property
    def tag(self) -> str:
        """The same for the same body made by the same program."""
        return hashlib.sha256(self.recipe.encode()).hexdigest()


def body_of(desk: Desk, brief: Brief, parts: Sequence[Part], *, state: State = "bare") -> Body:
    """The brief's instrument in space, its timber in that state and named for others."""
    made, pairs, held = instrument_of(brief), chosen(desk, parts), inlays_of(desk, brief)
    return Body(
        public_label(brief),
        made,
        fills_of(desk, pairs, state, public=True),
        shown_inlays(made, held),
        laid_in(made, held),
        {part.role: _piece(part, material) for part, material in pairs},
        state,
        {part.role: part.name for part in parts},
    )


def _piece(part: Part, material: Material) -> tuple[str, str]:
    return material.stuff, part.finish


def body_file(desk: Desk, body: Body, *, within: int = TEXTURE_PX) -> bytes:
    """A body as GLB. within : the longest side of its photographs, pixels."""

    def made() -> bytes:
        shaped = solids(body.preset, body.fills, body.laid)
        looks = {role: _look(desk, body, role, within) for role in {one.role for one in shaped}}
        asset = {
            "generator": f"luthiers-brief {program.__version__}",
            "copyright": f"{COMPUTED} The photographs of timber in it are the maker’s.",
            "extras": {"what": COMPUTED, "measured": MEASURED, "guessed": GUESSED},
        }
        return as_glb(shaped, looks, title=body.title, asset=asset)

    return kept_drawing(desk, body.recipe, f"body-{within}", "glb", made, most=KEPT)


def body_name(brief: Brief) -> str:
    """What the file is called."""
    return f"{plain_name(brief.title)}.glb"


def _look(desk: Desk, body: Body, role: str, within: int) -> PartLook:
    fill = body.fills.get(role)
    if fill is None:
        name, colour, shine = STANDARD.get(
            role, (f"{body.names.get(role, role.capitalize())}: still open", OPEN, Shine(0.9))
        )
        return _lit(name, colour, None, shine)
    stuff, finish = body.pieces[role]
    shine = shine_of(stuff, finish, finished=body.state in ("finished", "aged"))
    jpeg = picture_at(desk, fill.picture, within=within) if fill.picture else None
    return _lit(fill.label, fill.colour, jpeg, shine)


def _lit(name: str, colour: str, jpeg: bytes | None, shine: Shine) -> PartLook:
    return PartLook(name, colour, jpeg, shine.rough, shine.metal, shine.coat, shine.coat_rough)


@cache
def _made_by() -> str:
    """A digest of the modules that shape and write it, so that what another program kept is not
    taken for its own."""
    told = hashlib.sha256()
    packages = [files(name) for name in ("brief.instrument", "brief.wood")]
    modules = [*(one for folder in packages for one in _modules(folder)), Path(__file__)]
    for module in sorted(modules, key=str):
        told.update(module.read_bytes())
    return told.hexdigest()


def _modules(folder: Traversable) -> list[Traversable]:
    found: list[Traversable] = []
    for one in folder.iterdir():
        if one.is_dir():
            found += _modules(one)
        elif one.name.endswith((".py", ".toml")):
            found.append(one)
    return found
