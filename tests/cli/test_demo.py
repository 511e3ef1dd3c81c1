"""The demo is filed whole, as its data says, once, and never among a maker's own things."""

from __future__ import annotations

import re
import shutil
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from skimage.color import deltaE_ciede2000, rgb2lab

from brief.errors import InputError
from brief.instrument import preset
from brief.places import demo_folder
from brief.services import nouns, offcuts
from brief.services.demo import load_demo
from brief.services.instrument.brief_inlays import copies_of, inlays_of
from brief.services.rack.piece_views import MaterialDraft
from brief.services.theme.briefs import BriefDraft
from brief.store.desk import Store

DATA = tomllib.loads((demo_folder() / "brief.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def loaded(
    demo_filed: tuple[Path, str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Store, str]]:
    """A store with the demo, and the id of its brief; the tests of this file leave it as it is."""
    filed, brief_id = demo_filed
    store = Store(shutil.copytree(filed, tmp_path_factory.mktemp("demo") / "home"))
    yield store, brief_id
    store.close()


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    store = Store(tmp_path / "empty")
    yield store
    store.close()


def shown(store: Store, many: str) -> list[Any]:
    noun = next(noun for noun in nouns.NOUNS if noun.many == many)
    with store.desk() as desk:
        return noun.show_all(desk, noun.page(desk))


def test_every_row_of_the_data_is_filed(loaded):
    store, brief_id = loaded
    (brief,) = shown(store, "briefs")
    assert brief.id == brief_id
    for field in ("title", "instrument", "kind", "show"):
        assert getattr(brief, field) == DATA["brief"][field]
    for table in (
        "motifs", "references", "palettes", "materials", "pairings", "comments", "questions"
    ):  # fmt: skip
        assert len(shown(store, table)) == len(DATA[table]), table
    finishes = [row for row in DATA["materials"] if "finish_note" in row]
    assert len(shown(store, "notes")) == len(DATA["notes"]) + len(finishes)


def test_references_keep_their_rights_and_their_motifs(loaded):
    store, _ = loaded
    motifs = {motif.id: motif.name for motif in shown(store, "motifs")}
    names = {row["key"]: row["name"] for row in DATA["motifs"]}
    assert DATA["references"]
    for reference, row in zip(shown(store, "references"), DATA["references"], strict=True):
        for field in ("title", "kind", "credit", "source", "rights", "private"):
            assert getattr(reference, field) == row[field]
        assert reference.passage == row.get("passage", "").strip()
        assert (reference.picture.name if reference.picture else None) == row.get("file")
        assert {motifs[motif] for motif in reference.motif_ids} == {
            names[key] for key in row["motifs"]
        }


def test_a_swatch_is_the_colour_of_its_palette_nearest_to_the_one_meant(loaded):
    """Measured by scikit-image."""
    store, _ = loaded
    swatches = {swatch.name: swatch for swatch in shown(store, "swatches")}
    assert len(swatches) == sum(len(row["swatches"]) for row in DATA["palettes"])
    for palette, row in zip(shown(store, "palettes"), DATA["palettes"], strict=True):
        assert palette.asked == str(row["colours"])
        assert palette.region == row.get("region")
        labs = np.array([colour.colour.lab for colour in palette.colours])
        for named in row["swatches"]:
            srgb = [int(named["near"][at : at + 2], 16) / 255 for at in (1, 3, 5)]
            swatch = swatches[named["name"]]
            meant = np.broadcast_to(rgb2lab(np.array(srgb)), labs.shape)
            nearest = deltaE_ciede2000(labs, meant).argmin()
            assert (swatch.palette_id, swatch.palette_index) == (palette.id, nearest)


def test_materials_are_measured_and_described(loaded):
    store, _ = loaded
    assert DATA["materials"]
    for material, row in zip(shown(store, "materials"), DATA["materials"], strict=True):
        for field in ("label", "stuff", "species", "provenance", "thickness_mm"):
            assert getattr(material, field) == row[field]
        assert str(material.price) == str(row["price"])
        assert material.picture.name == row["file"]
        assert material.region == row.get("region")
        assert material.reading == row.get("reading", "")
        assert material.colour is not None


def test_parts_fill_the_places_the_brief_came_with(loaded):
    store, _ = loaded
    parts = {part.name: part for part in shown(store, "parts")}
    seeded = [part.role for part in preset(DATA["brief"]["kind"]).parts]
    roles = Counter(part.role for part in parts.values())
    assert roles == Counter({*seeded, *(row["role"] for row in DATA["parts"])})
    labels = {row["key"]: row["label"] for row in DATA["materials"]}
    motifs = {row["key"]: row["name"] for row in DATA["motifs"]}
    for row in DATA["parts"]:
        part = parts[row["name"]]
        assert (part.role, part.finish, part.sizes) == (row["role"], row["finish"], row["sizes"])
        assert (part.material and part.material.label) == labels.get(row.get("material"))
        assert part.swatch.label == row["swatch"]
        assert part.motif_name == motifs[row["motif"]]


def test_pairings_and_comments_are_about_what_they_say(loaded):
    store, _ = loaded
    labels = {row["key"]: row["label"] for row in DATA["materials"]}
    assert DATA["pairings"]
    for pairing, row in zip(shown(store, "pairings"), DATA["pairings"], strict=True):
        assert (pairing.place, pairing.line_mm) == (row["place"], row["line_mm"])
        assert pairing.ground.label == labels[row["ground"]]
        assert pairing.inlay.label == labels[row["inlay"]]
        assert pairing.verdict is not None
    comments = shown(store, "comments")
    ids = {row["key"]: view.id for view, row in zip(comments, DATA["comments"], strict=True)}
    assert comments
    for comment, row in zip(comments, DATA["comments"], strict=True):
        kind, _, key = row["about"].partition(":")
        assert comment.about_kind == kind
        if kind == "part":
            assert comment.about_label == key
        assert (comment.author, comment.state) == (row["author"], row["state"])
        assert comment.reply_to == (ids[row["reply_to"]] if "reply_to" in row else None)
        assert comment.quote == row.get("quote", "")


def test_questions_are_answered_as_they_say(loaded):
    store, _ = loaded
    (question,) = shown(store, "questions")
    assert [choice.label for choice in question.choices] == [
        "Mother-of-pearl blank, silver on Bog oak, fretboard and bridge blanks",
        "Brass sheet, brushed on Bog oak, fretboard and bridge blanks",
    ]
    assert question.result == "2 of 3 chose the right, 1 the left."


def test_the_bird_and_her_bill_are_as_the_spec_says(loaded):
    """0.5 mm at the tip of the bill; the two meet at the face."""
    store, brief_id = loaded
    bird, bill = shown(store, "inlays")
    assert (bird.part_name, bill.part_name) == ("Curlew", "Bill")
    assert bill.thinnest.width_mm == pytest.approx(0.5, abs=0.02)
    assert (bird.pieces, bill.pieces, bird.trouble, bill.trouble) == (1, 1, "", "")
    with store.desk(writing=False) as desk:
        made = preset(DATA["brief"]["kind"])
        held = inlays_of(desk, nouns.briefs.get(desk, brief_id))
        (above,), (below,) = (copies_of(made, one.record) for one in held)
    assert above.distance(below) < 0.05
    assert above.intersection(below).area < 0.01


NEAR = 0.25  # two lengths no further apart than that may be meant to be the same one


def contradictions(note: str, drawn: str) -> list[tuple[float, float]]:
    """Numbers of a note that are near one of the drawing, and none of the drawing's."""

    def lengths(text: str) -> list[float]:
        return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]

    known = lengths(drawn)
    return [
        (said, one)
        for said in lengths(note)
        for one in known
        if said not in known and abs(said - one) <= NEAR * one
    ]


def test_no_note_on_size_contradicts_the_drawing(loaded):
    store, _ = loaded
    parts = shown(store, "parts")
    for part in parts:
        assert contradictions(part.sizes, part.drawn) == [], part.name
    undrawn = {part.role for part in parts if not part.drawn}
    assert undrawn == {"tuners"}


@pytest.mark.parametrize(
    ("name", "note"),
    [
        ("Fretboard", "6.2 mm; radius 400 mm; slots cut after the shell is in"),
        ("Bridge", "150 mm wide, 8.5 mm high"),
        ("Bridge", "26 mm from front to back"),
        ("Purfling", "two thicknesses of veneer, 1.4 mm with the glue lines"),
        ("Rosette", "sound hole 92 mm"),
        ("Rosette", "ring 9 mm wide"),
        ("Saddle", "72 mm, compensated"),
        ("Sides", "two, 800 by 105 mm, 2.0 mm"),
        ("Nut", "6 mm thick"),
        ("Curlew", "bird 23 mm from breast to tail"),
    ],
)
def test_a_note_that_contradicts_the_drawing_is_told(loaded, name, note):
    drawn = next(part.drawn for part in shown(loaded[0], "parts") if part.name == name)
    assert contradictions(note, drawn)


def test_loading_it_again_changes_nothing(loaded):
    store, brief_id = loaded
    before = {many: shown(store, many) for many in (noun.many for noun in nouns.NOUNS)}
    assert load_demo(store, demo_folder()) == brief_id
    assert {many: shown(store, many) for many in before} == before


def test_from_the_offcuts_bin_it_is_taken_back(loaded):
    store, brief_id = loaded
    with store.desk(writing=True) as desk:
        offcuts.remove(desk, nouns.briefs, brief_id, "*")
    assert shown(store, "briefs") == []
    assert load_demo(store, demo_folder(), alone=True) == brief_id
    assert len(shown(store, "motifs")) == len(DATA["motifs"])
    assert len(shown(store, "materials")) == len(DATA["materials"])


@pytest.mark.parametrize(
    ("many", "draft"),
    [("briefs", BriefDraft(title="A mandola")), ("materials", MaterialDraft(label="Pear"))],
    ids=["brief", "rack"],
)
def test_alone_it_is_not_mixed_with_anything(empty, many, draft):
    with empty.desk(writing=True) as desk:
        getattr(nouns, many).add(desk, draft)
    with pytest.raises(InputError, match=r"empty already holds briefs or a rack.*an empty folder"):
        load_demo(empty, demo_folder(), alone=True)
    assert DATA["brief"]["title"] not in [brief.title for brief in shown(empty, "briefs")]
    assert len(shown(empty, many)) == 1


@pytest.mark.slow
def test_all_of_it_is_filed_or_nothing(empty, tmp_path):
    torn = tmp_path / "torn"
    shutil.copytree(demo_folder(), torn)
    (torn / "pictures" / DATA["materials"][-1]["file"]).unlink()
    with pytest.raises(FileNotFoundError, match=DATA["materials"][-1]["file"]):
        load_demo(empty, torn)
    for noun in nouns.NOUNS:
        assert shown(empty, noun.many) == []
    assert [path for path in (empty.home / "images").rglob("*") if path.is_file()] == []
