"""The invented demo: read from its data file and filed as a maker would file it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import select

from brief.colour import delta_e_2000
from brief.colour.notation.notation import parse_colour
from brief.errors import InputError
from brief.services import nouns, offcuts
from brief.services.common.field_types import Columns
from brief.services.cost.bought_parts import BoughtPartDraft
from brief.services.cost.pieces_used import PieceUsedDraft
from brief.services.feedback.comments import CommentDraft
from brief.services.feedback.questions import AnswerDraft, QuestionDraft
from brief.services.instrument.inlays.draft import InlayDraft
from brief.services.pairing.pairings import PairingDraft
from brief.services.pairing.viewings import ViewingDraft
from brief.services.rack.finish_tests import FinishTestDraft
from brief.services.rack.piece_views import MaterialDraft
from brief.services.run_up.absences import AbsenceDraft
from brief.services.run_up.starting_list import fill
from brief.services.spec.movement.climates import ClimateDraft
from brief.services.spec.parts import PartDraft
from brief.services.studio.shots import StudioAsked, planned
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.motifs import MotifDraft
from brief.services.theme.notes import NoteDraft
from brief.services.theme.palettes import PaletteDraft, SwatchDraft
from brief.services.theme.references import PassageDraft, ReferenceFacts
from brief.services.trip.contacts import ContactDraft
from brief.services.trip.itinerary.legs import LegDraft
from brief.services.trip.itinerary.stays import StayDraft
from brief.services.trip.itinerary.stops import StopDraft
from brief.services.trip.packing_list import fill_packing
from brief.store.desk import Desk, Store
from brief.store.records import Brief, Palette

Row = Mapping[str, Any]
ANY_VERSION = "*"  # nothing else can have changed it within the one transaction


def load_demo(store: Store, folder: Path, *, alone: bool = False) -> str:
    """File the demo that lies in `folder`, all of it or nothing, and return its brief's id.

    A brief of that title is taken for the demo: nothing is filed twice, and one that lies in
    the offcuts bin is taken back. Raises InputError if the demo is to be `alone` and is to be
    filed beside other briefs or materials.
    """
    data = tomllib.loads((folder / "brief.toml").read_text(encoding="utf-8"))
    with store.desk(writing=True) as desk:
        known = desk.session.scalars(
            select(Brief).where(Brief.title == data["brief"]["title"]).order_by(Brief.id)
        ).first()
        if known is None:
            if alone and (nouns.briefs.page(desk, limit=1) or nouns.materials.page(desk, limit=1)):
                raise InputError(
                    f"{store.home} already holds briefs or a rack, and the demo is not mixed with "
                    "them; name an empty folder for it, or none"
                )
            return _Filing(desk, folder / "pictures", data).brief_id
        if known.binned_utc is not None:
            offcuts.take_back(desk, nouns.briefs, known.id)
        return known.id


def asked_of(desk: Desk, brief: Brief, row: Row) -> StudioAsked:
    """What the studio was asked for a picture of the demo."""
    places = {one.name: one.id for one in nouns.viewings.page(desk, brief_id=brief.id)}
    return StudioAsked(row["view"], places[row["place"]], "finished", "small")


class _Filing:
    """Files one table after the other; what it filed is known by its name in the data."""

    def __init__(self, desk: Desk, pictures: Path, data: Row) -> None:
        self.desk = desk
        self.pictures = pictures
        self.brief_id = nouns.briefs.add(desk, BriefDraft(**data["brief"])).id
        self.ids = {"brief": self.brief_id}  # and "motif:reed", "part:Rosette", ...
        for row in data["motifs"]:
            self._motif(row)
        for row in data["references"]:
            self._reference(row)
        for row in data["palettes"]:
            self._palette(row)
        for row in data["materials"]:
            self._material(row)
        for row in data["finish_tests"]:
            self._finish_test(row)
        for row in data["viewings"]:
            nouns.viewings.add(desk, ViewingDraft(brief_id=self.brief_id, **row))
        for row in data["climates"]:
            nouns.climates.add(desk, ClimateDraft(brief_id=self.brief_id, **row))
        for row in data["pairings"]:
            self._pairing(row)
        self._parts(data["parts"])
        for row in data["inlays"]:
            self._inlay(row)
        self._run_up(data["run_up"])
        self._trip(data["trip"])
        self._cost(data["cost"])
        for row in data["studio"]:
            self._studio(row)
        for row in data["notes"]:
            self._note(row["about"], row["text"])
        for row in data["comments"]:
            self._comment(row)
        for row in data["questions"]:
            self._question(row)

    def _motif(self, row: Row) -> None:
        draft = MotifDraft(brief_id=self.brief_id, name=row["name"], says=row["says"])
        self.ids[f"motif:{row['key']}"] = nouns.motifs.add(self.desk, draft).id

    def _reference(self, row: Row) -> None:
        facts = _without(row, "key", "kind", "file", "passage", "motifs")
        facts["motif_ids"] = [self.ids[f"motif:{key}"] for key in row["motifs"]]
        if row["kind"] == "picture":
            reference = nouns.references.add_picture(
                self.desk, self.brief_id, *self._picture(row["file"]), ReferenceFacts(**facts)
            )
        else:
            passage = PassageDraft(brief_id=self.brief_id, passage=row["passage"], **facts)
            reference = nouns.references.add(self.desk, passage)
        self.ids[f"reference:{row['key']}"] = reference.id

    def _palette(self, row: Row) -> None:
        draft = PaletteDraft(
            reference_id=self.ids[f"reference:{row['reference']}"],
            colours=row["colours"],
            region=row.get("region"),
        )
        palette = nouns.palettes.add(self.desk, draft)
        for swatch in row["swatches"]:
            named = SwatchDraft(
                brief_id=self.brief_id,
                name=swatch["name"],
                palette_id=palette.id,
                palette_index=_nearest(palette, swatch["near"]),
                motif_id=self.ids[f"motif:{swatch['motif']}"],
            )
            self.ids[f"swatch:{swatch['name']}"] = nouns.swatches.add(self.desk, named).id

    def _material(self, row: Row) -> None:
        facts = _without(row, "key", "file", "finish_note", "region", "shows_mm")
        material = nouns.materials.add(self.desk, MaterialDraft(**facts))
        photograph = nouns.photographs.add_picture(
            self.desk,
            material.id,
            *self._picture(row["file"]),
            selections=[row["region"]] if "region" in row else [],
            scale_points="0,50 100,50",
            scale_mm=row["shows_mm"],
        )
        self.ids[f"photograph:{row['file']}"] = photograph.id
        name = f"material:{row['key']}"
        self.ids[name] = material.id
        if "finish_note" in row:
            self._note(name, row["finish_note"])

    def _finish_test(self, row: Row) -> None:
        material_id = self.ids[f"material:{row['material']}"]
        after = nouns.photographs.add_picture(
            self.desk,
            material_id,
            *self._picture(row["file"]),
            state=row["state"],
            finish=row["name"],
        )
        self.ids[f"photograph:{row['file']}"] = after.id
        before = row.get("from", f"{row['material']}.jpg")
        draft = FinishTestDraft(
            material_id=material_id,
            name=row["name"],
            before_id=self.ids[f"photograph:{before}"],
            after_id=after.id,
        )
        nouns.finish_tests.add(self.desk, draft)

    def _pairing(self, row: Row) -> None:
        draft = PairingDraft(
            brief_id=self.brief_id,
            ground_id=self.ids[f"material:{row['ground']}"],
            inlay_id=self.ids[f"material:{row['inlay']}"],
            place=row["place"],
            line_mm=row["line_mm"],
        )
        name = f"pairing:{row['ground']}/{row['inlay']}"
        self.ids[name] = nouns.pairings.add(self.desk, draft).id

    def _parts(self, rows: list[Row]) -> None:
        """Fill in the parts that the brief came with, and add those it did not."""
        waiting = {
            part.role: part.id for part in nouns.parts.page(self.desk, brief_id=self.brief_id)
        }
        for row in rows:
            fields = _without(row, "material", "swatch", "motif")
            for kind in ("material", "swatch", "motif"):
                if kind in row:
                    fields[f"{kind}_id"] = self.ids[f"{kind}:{row[kind]}"]
            part_id = waiting.pop(row["role"], None)
            if part_id is None:
                draft = PartDraft(brief_id=self.brief_id, **fields)
                part_id = nouns.parts.add(self.desk, draft).id
            else:
                change = nouns.parts.change_model(**fields)
                nouns.parts.change(self.desk, part_id, ANY_VERSION, change)
            self.ids[f"part:{row['name']}"] = part_id

    def _inlay(self, row: Row) -> None:
        fields = _without(row, "file", "part")
        if "file" in row:
            drawing = self.pictures.parent / "inlays" / row["file"]
            fields["drawing"] = drawing.read_text(encoding="utf-8")
        part_id = self.ids[f"part:{row['part']}"]
        nouns.inlays.add(self.desk, InlayDraft(brief_id=self.brief_id, part_id=part_id, **fields))

    def _run_up(self, rows: Row) -> None:
        today = date.today()
        brief = nouns.briefs.get(self.desk, self.brief_id)
        stages = {one.usual: one.id for one in fill(self.desk, brief)}
        for row in rows["done"]:
            done_on = today - timedelta(days=row["days_ago"])
            fields = {"done_on": done_on, "spent_h": row["spent_h"]}
            change = nouns.stages.change_model(**fields)
            nouns.stages.change(self.desk, stages[row["stage"]], ANY_VERSION, change)
        for row in rows["absences"]:
            last_on = today + timedelta(days=row["days"])
            draft = AbsenceDraft(brief_id=self.brief_id, name=row["name"], last_on=last_on)
            nouns.absences.add(self.desk, draft)

    def _trip(self, rows: Row) -> None:
        """Its days are counted from the opening, so that they stay with it."""
        brief = nouns.briefs.get(self.desk, self.brief_id)
        opens_on = brief.opens_on or date.today()
        of = {"brief_id": self.brief_id}
        stops = {
            row["key"]: nouns.stops.add(self.desk, StopDraft(**of, **_without(row, "key"))).id
            for row in rows["stops"]
        }
        for row in rows["legs"]:
            ends = {"from_id": stops[row["from"]], "to_id": stops[row["to"]]}
            days = _days_of(row, opens_on, "leaves_on", "arrives_on")
            fields = _without(row, "from", "to", *days)
            nouns.legs.add(self.desk, LegDraft(**of, **ends, **fields, **days))
        for row in rows["stays"]:
            days = _days_of(row, opens_on, "from_on", "until_on")
            fields = _without(row, "stop", *days)
            stay = StayDraft(**of, stop_id=stops[row["stop"]], **fields, **days)
            nouns.stays.add(self.desk, stay)
        for row in rows["contacts"]:
            nouns.contacts.add(self.desk, ContactDraft(**of, **row))
        for row in rows["documents"]:
            data = (self.pictures.parent / "documents" / row["file"]).read_bytes()
            one = nouns.attachments.add_file(self.desk, self.brief_id, row["file"], data)
            called = nouns.attachments.change_model(**_without(row, "file"))
            nouns.attachments.change(self.desk, one.id, ANY_VERSION, called)
        for thing in fill_packing(self.desk, brief):
            if thing.usual in rows["packed"]:
                fields = {"packed": True}
                change = nouns.things_to_pack.change_model(**fields)
                nouns.things_to_pack.change(self.desk, thing.id, ANY_VERSION, change)

    def _cost(self, rows: Row) -> None:
        terms = nouns.briefs.change_model(**rows["terms"])
        nouns.briefs.change(self.desk, self.brief_id, ANY_VERSION, terms)
        for row in rows["bought"]:
            draft = BoughtPartDraft(brief_id=self.brief_id, **row)
            nouns.bought_parts.add(self.desk, draft)
        for row in rows["used"]:
            used = PieceUsedDraft(
                brief_id=self.brief_id,
                material_id=self.ids[f"material:{row['material']}"],
                share=row["share"],
            )
            nouns.pieces_used.add(self.desk, used)

    def _studio(self, row: Row) -> None:
        """A picture that `demo_assets/render/studio.py` has taken of this very brief."""
        brief = nouns.briefs.get(self.desk, self.brief_id)
        plan = planned(self.desk, brief, asked_of(self.desk, brief, row))
        data = (self.pictures / row["file"]).read_bytes()
        nouns.studio_pictures.keep(self.desk, plan, data, private=row["private"])

    def _note(self, about: str, text: str) -> None:
        kind = about.partition(":")[0]
        draft = NoteDraft.model_validate(
            {"about_kind": kind, "about_id": self.ids[about], "text": text}
        )
        nouns.notes.add(self.desk, draft)

    def _comment(self, row: Row) -> None:
        draft = CommentDraft(
            brief_id=self.brief_id,
            about_kind=row["about"].partition(":")[0],
            about_id=self.ids[row["about"]],
            reply_to=self.ids[f"comment:{row['reply_to']}"] if "reply_to" in row else None,
            **_without(row, "key", "about", "reply_to"),
        )
        self.ids[f"comment:{row['key']}"] = nouns.comments.add(self.desk, draft).id

    def _question(self, row: Row) -> None:
        choices = [self.ids[name] for name in row["choices"]]
        draft = QuestionDraft(brief_id=self.brief_id, text=row["text"], choices=choices)
        question = nouns.questions.add(self.desk, draft)
        for answer in row["answers"]:
            nouns.answers.add(self.desk, AnswerDraft(question_id=question.id, **answer))

    def _picture(self, file: str) -> tuple[str, bytes]:
        return file, (self.pictures / file).read_bytes()


def _days_of(row: Row, opens_on: date, *names: str) -> dict[str, date]:
    """Those days of a row, which has them as so many after the opening."""
    return {name: opens_on + timedelta(days=row[name]) for name in names if name in row}


def _without(row: Row, *names: str) -> Columns:
    return {name: value for name, value in row.items() if name not in names}


def _nearest(palette: Palette, text: str) -> int:
    """The place in the palette of the colour nearest to the one written in `text`."""
    labs = [colour["lab"] for colour in palette.colours]
    return int(delta_e_2000(labs, parse_colour(text)).argmin())
