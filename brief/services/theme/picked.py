"""A colour picked by pointing in a picture: the mean of what lies there, looked at, then named."""

from __future__ import annotations

from pydantic import BaseModel, Field

from brief.services.common.colour_view import ColourView, colour_view
from brief.services.common.field_types import Draft, Id, Line, RegionText
from brief.services.theme.palettes import (
    PaletteDraft,
    SwatchDraft,
    SwatchView,
    palettes,
    pulled,
    swatches,
)
from brief.services.theme.references import references
from brief.store.desk import Desk


class PickedDraft(Draft):
    """A colour as it is picked: where, and what it is called."""

    region: RegionText = Field(description="The part of the picture whose mean it is")
    name: Line = Field("", description="A plain description if left out")
    motif_id: Id | None = None


class PickedView(BaseModel):
    """A colour that is looked at before it is named."""

    colour: ColourView
    spread: float = Field(description="RMS CIEDE2000 of the pixels about it")
    corrected: bool = Field(description="Whether something in the shot corrected it")


def look_at(desk: Desk, reference_id: str, region: str) -> PickedView:
    """The mean of a part of a picture, which keeps nothing.

    Raises NotFound without such a reference, InputError of a passage or a region that is none.
    """
    found, correction = pulled(desk, references.get(desk, reference_id), 1, region)
    (mean,) = found.colours
    return PickedView(
        colour=colour_view(mean.lab, correction.uncertainty),
        spread=mean.spread,
        corrected=correction.kind != "none",
    )


def pick(desk: Desk, reference_id: str, draft: PickedDraft) -> SwatchView:
    """Name that mean: a palette of one colour, and a swatch of it.

    Raises as `look_at`, and InputError of a motif that is not there.
    """
    palette = palettes.add(
        desk, PaletteDraft(reference_id=reference_id, colours=1, region=draft.region)
    )
    swatch = SwatchDraft(
        brief_id=palette.brief_id,
        name=draft.name,
        palette_id=palette.id,
        palette_index=0,
        motif_id=draft.motif_id,
    )
    return swatches.show(desk, swatches.add(desk, swatch))
