"""The invented demo holds together: every key, file, region and reading in it."""

from __future__ import annotations

import io
import re
import tomllib
from datetime import date
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pypdf
import pytest
from PIL import Image, ImageCms, ImageOps

from brief.colour import delta_e_2000, srgb_to_lab
from brief.plan.packing import usual
from brief.wood import Stuff
from demo_assets.render.documents import DOCUMENTS, LINES, document

DEMO = Path(__file__).resolve().parent.parent / "demo_assets"
PICTURES = DEMO / "pictures"
ROLES = {
    *("top", "back", "sides", "neck", "headplate", "fretboard", "bridge", "binding"),
    *("purfling", "rosette", "inlay", "bill", "nut", "saddle", "tuners"),
}
CC0 = "https://creativecommons.org/publicdomain/zero/1.0/"


def load() -> dict[str, Any]:
    return tomllib.loads((DEMO / "brief.toml").read_text(encoding="utf-8"))


DATA = load()


def keys(table: str, by: str = "key") -> set[str]:
    found = [row[by] for row in DATA[table]]
    assert len(found) == len(set(found)), f"two rows of {table} share a {by}"
    return set(found)


def targets() -> set[str]:
    found = {"brief"}
    for kind, table in (
        ("motif", "motifs"),
        ("reference", "references"),
        ("material", "materials"),
    ):
        found |= {f"{kind}:{key}" for key in keys(table)}
    found |= {f"part:{name}" for name in keys("parts", "name")}
    return found | {f"pairing:{p['ground']}/{p['inlay']}" for p in DATA["pairings"]}


def swatches() -> list[dict[str, str]]:
    return [swatch for palette in DATA["palettes"] for swatch in palette["swatches"]]


def pixels(name: str) -> np.ndarray:
    """The picture upright, in sRGB from 0 to 1, thinned to what a mean needs."""
    with Image.open(PICTURES / name) as image:
        profile = image.info.get("icc_profile")
        upright = ImageOps.exif_transpose(image)
        if profile:
            upright = ImageCms.profileToProfile(
                upright, io.BytesIO(profile), ImageCms.createProfile("sRGB")
            )
        return np.asarray(upright)[::4, ::4] / 255


def test_the_brief_says_that_it_is_invented() -> None:
    assert "invented" in DATA["brief"]["theme"]
    assert "invented" in DATA["brief"]["show"]
    assert date.fromisoformat(DATA["brief"]["wanted_by"]) > date(2027, 5, 1)


def test_every_key_leads_somewhere() -> None:
    motifs, materials = keys("motifs"), keys("materials")
    references, comments = keys("references"), keys("comments")
    assert {m for r in DATA["references"] for m in r["motifs"]} == motifs
    assert {p["reference"] for p in DATA["palettes"]} <= references
    assert {s["motif"] for s in swatches()} <= motifs
    names = [s["name"] for s in swatches()]
    assert len(names) == len(set(names))
    assert {p[end] for p in DATA["pairings"] for end in ("ground", "inlay")} <= materials
    assert {p["material"] for p in DATA["parts"] if "material" in p} <= materials
    assert {p["swatch"] for p in DATA["parts"]} <= set(names)
    assert {p["motif"] for p in DATA["parts"]} <= motifs
    assert {row["part"] for row in DATA["inlays"]} <= {p["name"] for p in DATA["parts"]}
    assert {row["about"] for table in ("notes", "comments") for row in DATA[table]} <= targets()
    assert {name for row in DATA["questions"] for name in row["choices"]} <= targets()
    by_key = {c["key"]: c for c in DATA["comments"]}
    for comment in DATA["comments"]:
        if "reply_to" in comment:
            assert comment["reply_to"] in comments
            assert by_key[comment["reply_to"]]["about"] == comment["about"]


def test_words_come_from_the_lists_the_program_knows() -> None:
    assert {p["role"] for p in DATA["parts"]} == ROLES
    assert [p["name"] for p in DATA["parts"] if "material" not in p] == ["Rosette"]
    assert {m["stuff"] for m in DATA["materials"]} <= set(get_args(Stuff))
    assert {r["rights"] for r in DATA["references"]} == {CC0}
    assert [r["key"] for r in DATA["references"] if r["private"]] == ["letter"]
    for comment in DATA["comments"]:
        assert comment["state"] in {"open", "settled"}
        assert bool(comment["outcome"]) == (comment["state"] == "settled")
    for swatch in swatches():
        assert re.fullmatch(r"#[0-9a-f]{6}", swatch["near"])


def test_regions_lie_inside_their_pictures() -> None:
    rows = [
        row for t in ("palettes", "materials", "comments") for row in DATA[t] if "region" in row
    ]
    assert rows
    for row in rows:
        match = re.fullmatch(r"xywh=percent:([\d.]+),([\d.]+),([\d.]+),([\d.]+)", row["region"])
        assert match, row["region"]
        x, y, w, h = map(float, match.groups())
        assert min(w, h) > 0
        assert max(x + w, y + h) <= 100


def test_every_picture_is_used_and_all_are_small() -> None:
    tables = ("references", "materials", "finish_tests", "studio")
    used = {row["file"] for table in tables for row in DATA[table] if "file" in row}
    assert used == {path.name for path in PICTURES.iterdir()}
    assert sum(path.stat().st_size for path in PICTURES.iterdir()) < 4.5e6
    for picture in DATA["references"]:
        assert ("file" in picture) == (picture["kind"] == "picture")
        assert ("passage" in picture) == (picture["kind"] == "passage")


def test_two_pictures_are_saved_as_a_phone_saves() -> None:
    with Image.open(PICTURES / "reed-bed.jpg") as image:
        profile = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        assert ImageCms.getProfileDescription(profile).strip() == "Display P3"
    with Image.open(PICTURES / "mud-bank.jpg") as image:
        assert image.getexif()[274] == 6
        assert image.width < image.height
        assert ImageOps.exif_transpose(image).size == image.size[::-1]


@pytest.mark.parametrize(
    "material", [m for m in DATA["materials"] if "reading" in m], ids=lambda m: m["key"]
)
def test_a_reading_agrees_with_the_photograph_of_its_board(material: dict[str, Any]) -> None:
    """Two instruments on one board may differ by a just visible step; from memory, about 1."""
    space, *numbers = material["reading"].split()
    assert space == "Lab"
    mean = srgb_to_lab(pixels(material["file"])).reshape(-1, 3).mean(axis=0)
    assert float(delta_e_2000(mean, [float(n) for n in numbers])) < 1.0


@pytest.mark.parametrize("palette", DATA["palettes"], ids=lambda p: p["key"])
def test_a_swatch_is_found_in_its_picture(palette: dict[str, Any]) -> None:
    """One pixel in a hundred, at least, lies within 6 CIEDE2000 of the colour that is named."""
    file = next(r["file"] for r in DATA["references"] if r["key"] == palette["reference"])
    lab = srgb_to_lab(pixels(file)).reshape(-1, 3)
    for swatch in palette["swatches"]:
        srgb = [int(swatch["near"][i : i + 2], 16) / 255 for i in (1, 3, 5)]
        share = np.mean(delta_e_2000(lab, srgb_to_lab(srgb)) < 6)
        assert share > 0.01, swatch["name"]


def test_the_trip_holds_together_and_its_documents_are_what_the_script_prints() -> None:
    trip = DATA["trip"]
    stops = [row["key"] for row in trip["stops"]]
    assert len(set(stops)) == len(stops)
    ends = [row[end] for row in trip["legs"] for end in ("from", "to")]
    assert {*ends, *(row["stop"] for row in trip["stays"])} == {*stops}
    assert {*trip["packed"]} <= {line.key for line in usual().lines}
    files = {row["file"] for row in trip["documents"]}
    assert files == {one.name for one in DOCUMENTS.iterdir()} == {f"{one}.pdf" for one in LINES}
    for name, lines in LINES.items():
        printed = pypdf.PdfReader(io.BytesIO(document(lines)))
        kept = pypdf.PdfReader(DOCUMENTS / f"{name}.pdf")
        assert [one.extract_text() for one in kept.pages] == [
            one.extract_text() for one in printed.pages
        ]
        assert "invented" in kept.pages[0].extract_text()
