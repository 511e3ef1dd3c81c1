"""A workshop to test in: two briefs, and short ways to make what a test is about."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from brief.services import nouns
from brief.services.rack.piece_views import MaterialDraft
from brief.services.spec.parts import PartDraft
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.motifs import MotifDraft
from brief.services.theme.palettes import PaletteDraft, SwatchDraft
from brief.services.theme.references import PassageDraft, ReferenceFacts
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Motif, Palette, Part, Photograph, Reference, Swatch


class Workshop:
    """Makes records of one brief, with as few words as a test needs."""

    def __init__(self, desk: Desk, picture: Callable[..., bytes], title: str) -> None:
        self.desk = desk
        self._picture = picture
        self.brief: Brief = nouns.briefs.add(desk, BriefDraft(title=title))

    def motif(self, name: str = "reed") -> Motif:
        return nouns.motifs.add(self.desk, MotifDraft(brief_id=self.brief.id, name=name))

    def passage(self, **fields: Any) -> Reference:
        said = {"title": "Verse", "passage": "The tide goes out", **fields}
        return nouns.references.add(self.desk, PassageDraft(brief_id=self.brief.id, **said))

    def reference(self, *colours: tuple[int, int, int], **facts: Any) -> Reference:
        return nouns.references.add_picture(
            self.desk,
            self.brief.id,
            "reed-bed.png",
            self._picture(*colours),
            ReferenceFacts(**facts),
        )

    def palette(self, reference: Reference | None = None, **fields: Any) -> Palette:
        reference = reference or self.reference()
        return nouns.palettes.add(
            self.desk, PaletteDraft(reference_id=reference.id, **{"colours": 2, **fields})
        )

    def swatch(self, palette: Palette | None = None, **fields: Any) -> Swatch:
        if palette is not None:
            fields |= {"palette_id": palette.id, "palette_index": fields.get("palette_index", 0)}
        elif "colour" not in fields:
            fields["colour"] = "Lab 50 10 20"
        return nouns.swatches.add(self.desk, SwatchDraft(brief_id=self.brief.id, **fields))

    def material(self, reading: str = "Lab 30 9 15", **fields: Any) -> Material:
        return nouns.materials.add(
            self.desk, MaterialDraft(**{"label": "walnut", "reading": reading, **fields})
        )

    def piece(self, *colours: tuple[int, int, int], name: str = "plank.png") -> Material:
        """A piece with one photograph of bands of these colours."""
        return nouns.photographs.add_piece(self.desk, name, self._picture(*colours))

    def photograph(self, piece: Material, *colours: tuple[int, int, int]) -> Photograph:
        """One more photograph of the piece, bare."""
        return nouns.photographs.add_picture(
            self.desk, piece.id, "again.png", self._picture(*colours), state="bare"
        )

    def part(self, **fields: Any) -> Part:
        return nouns.parts.add(
            self.desk, PartDraft(brief_id=self.brief.id, **{"role": "binding", **fields})
        )


@pytest.fixture
def shop(desk: Desk, picture: Callable[..., bytes]) -> Workshop:
    return Workshop(desk, picture, "Saltmarsh")


@pytest.fixture
def other_shop(desk: Desk, picture: Callable[..., bytes]) -> Workshop:
    return Workshop(desk, picture, "High moor")
