"""The pictures of what others see, as they are printed: of what the model has, and of nothing else.

A picture whose file is lost is something plain, and told of by `made_without`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from brief.instrument import Face, Fill, closer
from brief.instrument.rendering.fill import Box
from brief.services import nouns
from brief.services.drawing.instrument_drawing import chosen, draw_filled, draw_pairing, fills_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.photos.lost_pictures import made_without
from brief.services.photos.pictures import drawn_picture, picture_at, shown_picture
from brief.services.rack.surfaces import surfaces_of
from brief.services.sharing.guest_view import PLAIN
from brief.services.sharing.seen import InlayTogether, MadeOf, ShownReference, ShownStudioPicture
from brief.services.sharing.share_scope import Scope
from brief.services.spec.strand import StrandPart, StrandPicture, StrandPiece

FRONT_PX, SAMPLE_PX = 840, 500
CUT_PX, PICTURE_PX, PIECE_PX = 420, 900, 500
SAMPLE_LINE_MM = 4.0  # drawn for a pairing that has no width


class PrintedPictures:
    """The pictures of what a scope shows, JPEG."""

    def __init__(self, scope: Scope) -> None:
        self._scope = scope
        self._desk = scope.desk

    @property
    def made_without(self) -> str:
        """Which pictures could not be had, as the last words of what is printed. What a file was
        called is the maker's alone."""
        return made_without(self._desk.lost, named=self._scope.by_maker)

    @cached_property
    def front(self) -> bytes:
        """The front of the instrument in its timber, on white."""
        box = closer(instrument_of(self._scope.brief), "front")["whole"]
        return self._drawn("front", box, FRONT_PX, prefix="printed", shaded=True)

    def plate(self, one: ShownReference) -> tuple[bytes, str]:
        """A picture of the theme; and the name of its file where that is lost, else ""."""
        sha256 = one.picture.sha256 if one.picture else ""
        jpeg = shown_picture(self._desk, sha256, "print", or_stand_in=True)
        return jpeg, self._desk.lost.get(sha256, "")

    def studio(self, one: ShownStudioPicture) -> bytes:
        """A studio picture."""
        return shown_picture(self._desk, one.picture.sha256, "print", or_stand_in=True)

    def timber(self, part: MadeOf) -> bytes | None:
        """What a part is made of; None where that has no photograph."""
        return picture_at(self._desk, part.texture) if part.texture else None

    def sample(self, pair: InlayTogether) -> bytes:
        """An inlay on its ground, drawn."""
        every = self._scope.page(nouns.pairings)
        pairing = next(one for one in every if one.id == pair.about.id)
        surfaces = surfaces_of(self._desk, [pairing.ground, pairing.inlay])
        drawn = draw_pairing(
            self._desk,
            surfaces[pairing.ground_id],
            surfaces[pairing.inlay_id],
            pairing.line_mm or SAMPLE_LINE_MM,
            PLAIN.state,
        )
        return drawn_picture(self._desk, drawn, SAMPLE_PX)

    def in_strand(self, one: StrandPicture) -> bytes | None:
        """A picture in a strand; None of a passage."""
        if one.picture is None:
            return None
        return shown_picture(
            self._desk, one.picture.sha256, "page", within=PICTURE_PX, or_stand_in=True
        )

    def piece(self, one: StrandPiece | StrandPart) -> bytes | None:
        """A piece in a strand, or what a part in it is made of; None without a photograph."""
        return picture_at(self._desk, one.texture, within=PIECE_PX) if one.texture else None

    @cached_property
    def _fills(self) -> Mapping[str, Fill]:
        made_of = chosen(self._desk, self._scope.page(nouns.parts))
        return fills_of(self._desk, made_of, PLAIN.state, public=not self._scope.is_own)

    def cut_out(self, part: StrandPart) -> bytes | None:
        """The place of a part on the picture of the instrument; None where no face shows it."""
        if part.face is None:
            return None
        x, y, width, height = (float(side) for side in part.view_box.split())
        return self._drawn(part.face, (x, y, width, height), CUT_PX, prefix="cut")

    def _drawn(
        self, face: Face, box: Box, width_px: int, *, prefix: str, shaded: bool = False
    ) -> bytes:
        def drawn(height_px: int | None = None) -> str:
            return draw_filled(
                self._desk,
                self._scope.brief,
                self._fills,
                face,
                prefix=prefix,
                box=box,
                height_px=height_px,
                shaded=shaded,
            )

        high = round(width_px * box[3] / box[2])
        return drawn_picture(self._desk, drawn(), width_px, lambda: drawn(high))
