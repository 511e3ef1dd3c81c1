"""The theme as strands: each motif from its pictures and passages by its colours and the pieces of
the rack to the parts that it became, and where that ends.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from brief.colour.viewing.conditions import State
from brief.english import agree, words
from brief.instrument import Face, closer, part_place
from brief.services.drawing.instrument_drawing import WornPiece, worn
from brief.services.instrument.brief_inlays import inlays_of, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.photos.pictures import picture_view
from brief.services.spec.offers.nearest import nearest_to_each
from brief.services.spec.parts import ChosenView, PartView, parts
from brief.services.spec.strand import (
    LINE_WIDE,
    OpenEnd,
    Stage,
    Strand,
    StrandColour,
    StrandPart,
    StrandPicture,
    StrandPiece,
    Strands,
)
from brief.services.theme.motifs import MotifView, motifs
from brief.services.theme.palettes import SwatchView, swatches
from brief.services.theme.references import references
from brief.store.desk import Desk
from brief.store.records import Brief, Reference

T = TypeVar("T")
MOST = 12  # of one kind in a strand; the rest is counted
LONGEST_PASSAGE = 360  # characters; what is shown of one is less
LOOSE = "loose"  # the id of what is in no strand
TILES = 3  # pieces or parts to a line, before there are two


@dataclass(frozen=True)
class Gathered:
    """What strands are made of. worn : how pieces show, by id. suggest : whether the nearest pieces
    of the rack are named for colours that nothing carries yet. public : whether for others.
    """

    motifs: Sequence[MotifView]
    references: Sequence[Reference]
    swatches: Sequence[SwatchView]
    parts: Sequence[PartView]
    worn: Mapping[str, WornPiece]
    suggest: bool = True
    public: bool = False


def strands_of(desk: Desk, brief: Brief, gathered: Gathered) -> Strands:
    """The strands of a brief."""
    making = _Making(desk, brief, gathered)
    known = {one.id for one in gathered.motifs}
    of_motifs = {one.id: {motif.id for motif in one.motifs} for one in gathered.references}
    swatch_motif = {one.id: one.motif_id for one in gathered.swatches}

    def motif_of(part: PartView) -> str | None:
        """Its own, or that of the colour that it is to carry."""
        own = part.motif_id if part.motif_id in known else None
        return own or (swatch_motif.get(part.swatch.id) if part.swatch else None)

    strands = [
        making.strand(
            motif.id,
            motif.name,
            motif.says,
            [one for one in gathered.references if motif.id in of_motifs[one.id]],
            [one for one in gathered.swatches if one.motif_id == motif.id],
            [one for one in gathered.parts if motif_of(one) == motif.id],
        )
        for motif in gathered.motifs
    ]
    loose = making.strand(
        LOOSE,
        "",
        "",
        [one for one in gathered.references if not known & of_motifs[one.id]],
        [one for one in gathered.swatches if one.motif_id not in known],
        # A part of which nothing was said is not loose; it is not begun.
        [
            one
            for one in gathered.parts
            if motif_of(one) not in known and (one.material or one.swatch)
        ],
    )
    return Strands(strands, loose, making.faces)


def own_strands(desk: Desk, brief: Brief, state: State, *, suggest: bool = True) -> Strands:
    """All strands of a brief as its maker has them, its timber in that state; suggest : as of
    `Gathered`."""
    shown = parts.show_all(desk, parts.page(desk, brief_id=brief.id))
    used = {one.material.id for one in shown if one.material}
    gathered = Gathered(
        motifs=motifs.show_all(desk, motifs.page(desk, brief_id=brief.id)),
        references=references.page(desk, brief_id=brief.id),
        swatches=swatches.show_all(desk, swatches.page(desk, brief_id=brief.id)),
        parts=shown,
        worn=worn(desk, sorted(used), state),
        suggest=suggest,
    )
    return strands_of(desk, brief, gathered)


class _Making:
    """Makes one strand after the other of a brief."""

    def __init__(self, desk: Desk, brief: Brief, gathered: Gathered) -> None:
        self._desk = desk
        self._made = instrument_of(brief)
        self._inlays = shown_inlays(self._made, inlays_of(desk, brief))
        self._gathered = gathered
        self.faces: dict[Face, str] = {}
        carried = {one.swatch.id for one in gathered.parts if one.swatch and _piece(one)}
        bare = [one for one in gathered.swatches if one.id not in carried] * gathered.suggest
        near = nearest_to_each(desk, [one.colour.lab for one in bare], 1) if bare else []
        self._near = {
            swatch.id: found[0] for swatch, found in zip(bare, near, strict=True) if found
        }
        self._on_parts = {one.swatch.id for one in gathered.parts if one.swatch}

    def strand(
        self,
        strand_id: str,
        name: str,
        says: str,
        references: Sequence[Reference],
        swatches: Sequence[SwatchView],
        parts: Sequence[PartView],
    ) -> Strand:
        shown_ones = sorted(references, key=lambda one: one.image_sha256 is None)[:MOST]
        pictures = [self._picture(one) for one in shown_ones]
        pieces = self._pieces(swatches, parts)
        shown = [self._part(one) for one in parts]
        return Strand(
            id=strand_id,
            name=name,
            says=says,
            pictures=_set_in_lines(pictures, LINE_WIDE, lambda one: one.wide),
            colours=[StrandColour(one.id, one.name, one.colour.hex) for one in swatches[:MOST]],
            pieces=_set_in_lines(pieces[:MOST], TILES),
            parts=_set_in_lines(shown[:MOST], TILES),
            more={
                "pictures": len(references) - len(pictures),
                "colours": max(len(swatches) - MOST, 0),
                "pieces": max(len(pieces) - MOST, 0),
                "parts": max(len(shown) - MOST, 0),
            },
            ends={} if strand_id == LOOSE else self._ends(pictures, swatches, parts),
        )

    def _picture(self, one: Reference) -> StrandPicture:
        picture = picture_view(self._desk, one.image_sha256) if one.image_sha256 else None
        return StrandPicture(one.id, one.title, picture, one.passage[:LONGEST_PASSAGE])

    def _pieces(
        self, swatches: Sequence[SwatchView], parts: Sequence[PartView]
    ) -> list[StrandPiece]:
        """Those that its parts are made of, then those nearest to colours that no part has."""
        chosen = {piece.id: piece for one in parts if (piece := _piece(one))}
        found = {piece.id: self._shown_piece(piece) for piece in chosen.values()}
        near: dict[str, list[str]] = {}
        for swatch in swatches:
            if swatch.id in self._near and self._near[swatch.id].id not in chosen:
                near.setdefault(self._near[swatch.id].id, []).append(swatch.name)
        by_id = {one.id: one for one in self._near.values()}
        for piece_id, names in near.items():
            one = by_id[piece_id]
            hex_ = one.colour.hex if one.colour else None
            found[piece_id] = StrandPiece(piece_id, one.label, one.texture, hex_, words(names))
        return list(found.values())

    def _shown_piece(self, piece: ChosenView) -> StrandPiece:
        worn = self._gathered.worn[piece.id]
        label = piece.in_public if self._gathered.public else piece.label
        return StrandPiece(piece.id, label, worn.texture, worn.hex)

    def _part(self, part: PartView) -> StrandPart:
        piece = _piece(part)
        shown = self._shown_piece(piece) if piece else None
        place = part_place(self._made, part.role, self._inlays)
        if place:
            self.faces.setdefault(place[0], _box(closer(self._made, place[0])["whole"]))
        return StrandPart(
            id=part.id,
            name=part.name,
            made_of=shown.label if shown else "",
            face=place[0] if place else None,
            view_box=_box(place[1]) if place else "",
            texture=shown.texture if shown else None,
            hex=shown.hex if shown else None,
        )

    def _ends(
        self,
        pictures: Sequence[StrandPicture],
        swatches: Sequence[SwatchView],
        parts: Sequence[PartView],
    ) -> Mapping[Stage, Sequence[OpenEnd]]:
        ends: dict[Stage, Sequence[OpenEnd]] = {}
        # What others do not see may be private or not cleared, and no gap in the theme.
        if not pictures and not self._gathered.public:
            ends["pictures"] = [OpenEnd("No picture or passage yet", "Add one", "references")]
        if not swatches and (pictures or parts):
            ends["colours"] = [OpenEnd("No colour yet", "Name one", "references")]
        open_ = [one for one in parts if not _piece(one)]
        if open_:
            named = words([one.name for one in open_])
            said = f"{named} {agree(open_, 'has', 'have')} no piece yet"
            ends["pieces"] = [OpenEnd(said, "Choose", "spec", f"part-{open_[0].id}")]
        lacking = [one for one in swatches if one.id not in self._on_parts]
        if lacking:
            named = words([one.name for one in lacking])
            said = f"{named} {agree(lacking, 'is', 'are')} on no part yet"
            ends["parts"] = [OpenEnd(said, "Choose a part", "spec")]
        elif not parts and (pictures or swatches):
            ends["parts"] = [OpenEnd("On no part yet", "Choose a part", "spec")]
        return ends


def _piece(part: PartView) -> ChosenView | None:
    """What it is made of, unless that was removed."""
    return part.material if part.material and not part.material.in_bin else None


def _box(box: Sequence[float]) -> str:
    return " ".join(f"{side:.1f}" for side in box)


def _set_in_lines(
    those: Sequence[T], room: float, wide: Callable[[T], float] = lambda one: 1.0
) -> list[list[T]]:
    """In as few lines as have room, all about as wide.

    room : what one line holds, in heights; where there are several they are lower, and each holds
    as many times more.
    """
    if not those:
        return []
    total = sum(wide(one) for one in those)
    count = next(lines for lines in (1, 2, 3) if total <= room * lines**1.5 or lines == 3)
    lines: list[list[T]] = [[]]
    filled = 0.0
    for one in those:
        half = wide(one) / 2
        if lines[-1] and len(lines) < count and filled + half > total * len(lines) / count:
            lines.append([])
        lines[-1].append(one)
        filled += 2 * half
    return lines
