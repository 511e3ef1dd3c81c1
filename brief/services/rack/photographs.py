"""Photographs of a piece: in which state, what corrects their colours, what they show."""

from __future__ import annotations

from typing import Any, ClassVar, Literal

from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.photo import Scale
from brief.services.common.care import Careful, careful
from brief.services.common.colour_view import ColourView, colour_view
from brief.services.common.field_types import (
    Columns,
    Fields,
    Id,
    Lab,
    Line,
    RegionText,
    View,
    in_field,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import KnownLength, Texts, texts_of
from brief.services.photos.chart_scale import ChartScale, chart_scale
from brief.services.photos.findings import GrainView, measured
from brief.services.photos.measured_area import WhereView, where_view
from brief.services.photos.pictures import PictureView, keep_picture, picture_view, title_from
from brief.services.photos.shot_correction import (
    CORRECTION_FIELDS,
    CorrectedDraft,
    CorrectionView,
    PointsText,
    SelectorText,
    asked_anew,
    correction_view,
    known_length,
)
from brief.services.photos.timber_figure import check_shown
from brief.services.rack.finish_tests import finish_tests
from brief.services.rack.materials import free_label, materials
from brief.services.rack.piece_views import MaterialDraft
from brief.store.desk import Desk
from brief.store.records import Image, Material, Photograph
from brief.wood import Stuff, finish_cautions

PhotographState = Literal["not said", "bare", "wetted", "finished", "aged", "end grain"]
# A change of one of these means measuring anew.
MEASURED_BY = frozenset(
    {
        *CORRECTION_FIELDS,
        "selections",
        "surround_region",
        "scale_points",
        "scale_mm",
        "grain_line",
    }
)


class PhotographDraft(CorrectedDraft):
    """A photograph of a piece as it is sent, beside its file."""

    material_id: Id
    state: PhotographState | None = Field(
        None,
        description="What it shows. Left out, a piece’s first photograph is taken for bare; a "
        "further one is “not said”, and counts for no colour until it is",
    )
    finish: Line = Field("", description="Which finish, if it is finished")
    selections: list[SelectorText] = Field([], max_length=20, description="Where to measure")
    surround_region: RegionText | None = Field(
        None, description="What lies round the board in it is one white sheet"
    )
    scale_points: PointsText | None = Field(None, description="The two ends of a known length")
    scale_mm: KnownLength | None = Field(None, description="That length")
    grain_line: PointsText | None = Field(None, description="A line to count the grain along")


class EvennessView(BaseModel):
    """How evenly the board is lit."""

    basis: Literal["white surround", "board", "chart"] = Field(description="Told from what")
    end_to_end: float = Field(description="CIEDE2000 between where it is lightest and darkest")
    sentence: str


class FigureView(BaseModel):
    """What the wood does."""

    word: Literal["plain", "straight", "curly", "wild"]
    direction_deg: float | None = Field(
        description="Of the grain: 0 along the picture's width, anticlockwise, below 180"
    )
    strength: float = Field(description="How far the grain runs one way, 0 to 1")
    curl_mm: float | None = Field(
        description="From ripple to ripple, if there are and with a scale"
    )
    dark: ColourView
    light: ColourView


class PhotographView(Careful, View):
    """A photograph of a piece as it is shown."""

    material_id: Id
    picture: PictureView
    state: PhotographState
    finish: str
    where: WhereView
    as_shot: Lab | None = Field(
        description="The mean of what was measured, as the picture shows it; None if an earlier "
        "version measured it"
    )
    selections: list[str]
    surround_region: str | None
    scale_points: str | None
    scale_mm: float | None
    as_typed: Texts
    shows_mm: tuple[float, float] | None = Field(
        description="Width and height of what the photograph shows; None without a scale"
    )
    chart_scale: ChartScale | None = Field(
        description="The scale by a chart in the shot, if it is a full-size one; only offered"
    )
    grain_line: str | None
    correction: CorrectionView
    evenness: EvennessView | None = Field(description="None if an earlier version measured it")
    colour: ColourView
    spread: float
    left_out: float = Field(description="Share of the sample that was clipped or glare, 0 to 1")
    figure: FigureView
    grain: GrainView | None
    notes: list[str]


class Photographs(Noun[Photograph, PhotographView]):
    """Photographs of the pieces of the rack."""

    record, draft, view = Photograph, PhotographDraft, PhotographView
    settled = frozenset({"material_id"})
    filters = ("material_id",)
    hangs_by: ClassVar = {"material_id": Material}
    made_by_json = False  # a photograph comes as a file

    def settle(self, desk: Desk, fields: Fields, record: Photograph | None) -> Columns:
        """Measure again where what the measurement depends on is changed; see `Noun.settle`."""
        check_pointers(desk, fields, record, material_id=Material)
        kept = dict(fields)
        if record is not None and "state" in fields and fields["state"] is None:
            kept["state"] = "not said"
        if record is not None and fields.keys() & MEASURED_BY:
            asked = asked_anew(record, fields, MEASURED_BY)
            image = desk.session.get_one(Image, record.image_sha256)
            picture = desk.images.path(image.sha256)
            kept |= asked | measured(picture, image.name, asked)
        return kept

    def add_piece(self, desk: Desk, name: str, data: bytes, stuff: Stuff = "timber") -> Material:
        """A new piece on the rack from one photograph, labelled by the file's name, with a number
        where a piece is called so already: some phones call every shot image.jpg."""
        material = materials.add(
            desk, MaterialDraft(label=free_label(desk, title_from(name)), stuff=stuff)
        )
        self.add_picture(desk, material.id, name, data)
        return material

    def add_picture(
        self, desk: Desk, material_id: str, name: str, data: bytes, **facts: Any
    ) -> Photograph:
        """A further photograph of a piece; a colour chart in the shot corrects it by itself.

        facts : as a PhotographDraft has them, but for what corrects it.
        """
        fields: Columns = dict(PhotographDraft(material_id=material_id, **facts))
        check_pointers(desk, fields, None, material_id=Material)
        if fields["state"] is None:
            fields["state"] = "not said" if _has_photographs(desk, material_id) else "bare"
        image = keep_picture(desk, name, data)
        picture = desk.images.path(image.sha256)
        fields |= measured(picture, name, fields, by_itself=True)
        photograph = Photograph(**fields, image_sha256=image.sha256)
        desk.session.add(photograph)
        desk.session.flush()
        self.follow(desk, photograph)
        return photograph

    def follow(self, desk: Desk, record: Photograph) -> None:
        """Have the colour of its piece and its finish tests follow."""
        material = desk.session.get_one(Material, record.material_id)
        materials.follow(desk, material)
        for test in finish_tests.page(desk, material_id=record.material_id):
            finish_tests.follow(desk, test)

    def show(self, desk: Desk, record: Photograph) -> PhotographView:
        """The photograph, with what was measured on it."""
        found = record.findings
        figure = found["figure"]
        size = desk.session.get_one(Image, record.image_sha256)
        return PhotographView(
            **view_fields(
                record,
                "material_id",
                "state",
                "finish",
                "selections",
                "surround_region",
                "scale_points",
                "scale_mm",
                "grain_line",
                "spread",
            ),
            as_typed=texts_of(record),
            picture=picture_view(desk, record.image_sha256),
            where=where_view(record.selections, found),
            as_shot=found.get("as_shot"),
            shows_mm=_shows_mm(record, (size.width_px, size.height_px)),
            chart_scale=chart_scale(record.chart_corners),
            correction=correction_view(record),
            evenness=found.get("evenness"),
            colour=colour_view(record.lab, record.uncertainty),
            left_out=found["left_out"],
            figure=FigureView(
                word=figure["word"],
                direction_deg=figure["direction_deg"],
                strength=figure["strength"],
                curl_mm=figure["curl_mm"],
                dark=colour_view(figure["dark"], record.uncertainty),
                light=colour_view(figure["light"], record.uncertainty),
            ),
            grain=found["grain"] and GrainView(**found["grain"]),
            notes=found["notes"],
            **careful(finish_cautions(record.finish)),
        )

    def vet(self, desk: Desk, record: Photograph) -> None:
        """Refuse findings that do not fit its picture; see `Noun.vet`."""
        super().vet(desk, record)
        image = desk.session.get_one(Image, record.image_sha256)
        with in_field("findings"):
            check_shown(record, (image.width_px, image.height_px))


def _has_photographs(desk: Desk, material_id: str) -> bool:
    """Whether there is a photograph of the piece already; those in the offcuts bin are none."""
    of_it = (Photograph.material_id == material_id, Photograph.binned_utc.is_(None))
    return desk.session.scalar(select(Photograph.id).where(*of_it).limit(1)) is not None


def _shows_mm(record: Photograph, size: tuple[int, int]) -> tuple[float, float] | None:
    known = known_length({name: getattr(record, name) for name in ("scale_points", "scale_mm")})
    if known is None:
        return None
    scale = Scale.from_taps(*known, size)
    return scale.width_mm, scale.height_mm


photographs = Photographs()
