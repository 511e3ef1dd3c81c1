"""Colours to and from other programs as CGATS.17 text, through HTTP."""

from __future__ import annotations

import re

import numpy as np
import pytest

from brief.colour.notation.adaptation import reading_to_lab
from brief.colour.notation.cgats import read_cgats

D50_10 = 'ILLUMINATION_NAME "D50"\nOBSERVER_ANGLE "10"\n'


def _table(*rows: str, header: str = D50_10, fields: str = "SAMPLE_NAME LAB_L LAB_A LAB_B") -> str:
    return (
        f"CGATS.17\n{header}BEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"
    )


@pytest.fixture
def read(client):
    """Send a text to the rack, as a form does."""

    def sent(text: str | bytes, **fields: object):
        data = text.encode() if isinstance(text, str) else text
        files = {"file": ("readings.txt", data, "text/plain")}
        return client.post("/api/exchange/rack", files=files, data=fields)

    return sent


@pytest.fixture
def rack(client):
    return lambda: {one["label"]: one for one in client.get("/api/materials").json()["items"]}


def _text(answer) -> str:
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    assert answer.headers["content-disposition"].endswith('.txt"')
    return answer.text


# Out


def test_the_rack_is_read_back_as_it_was_written(client, make, send, picture) -> None:
    make("materials", label="bog oak", reading="Lab 22.1 1.9 3.4 D50/10")
    make("materials", label="“plain” sycamore, 2° off")
    send(("walnut.png", picture((92, 64, 44), (120, 80, 50))), to="materials")
    wanted = [one for one in client.get("/api/materials").json()["items"] if one["colour"]]
    samples = read_cgats(_text(client.get("/api/exchange/rack.txt")))
    assert (
        [one.name for one in samples] == [one["label"] for one in wanted] == ["bog oak", "walnut"]
    )
    for sample, piece in zip(samples, wanted, strict=True):
        assert sample.lab == pytest.approx(piece["colour"]["lab"], abs=5e-5)
        assert sample.uncertainty == pytest.approx(piece["colour"]["uncertainty"], abs=5e-5)
    assert samples[1].uncertainty == pytest.approx(16)


def test_swatches_and_a_palette_are_read_back_too(client, make, one_of, brief) -> None:
    palette = one_of("palettes")
    make("swatches", brief_id=brief["id"], colour="Lab 50 10 20", name='a "dry" reed')
    taken = {"palette_id": palette["id"], "palette_index": 1}
    make("swatches", brief_id=brief["id"], name="mud", **taken)
    text = _text(client.get(f"/api/exchange/briefs/{brief['id']}/swatches.txt"))
    dry, mud = read_cgats(text)
    assert (dry.name, dry.lab, dry.uncertainty) == ("a 'dry' reed", (50, 10, 20), 0)
    of_mud = palette["colours"][1]["colour"]
    assert mud.lab == pytest.approx(of_mud["lab"], abs=5e-5)
    assert mud.uncertainty == of_mud["uncertainty"] == 16
    assert 'FILE_DESCRIPTOR "Saltmarsh"' in text

    colours = read_cgats(_text(client.get(f"/api/exchange/palettes/{palette['id']}.txt")))
    for sample, colour in zip(colours, palette["colours"], strict=True):
        assert sample.name == f"{colour['colour']['words']}, {colour['share']:.0%}"
        assert sample.lab == pytest.approx(colour["colour"]["lab"], abs=5e-5)


def test_colours_are_saved_by_their_swatches_names(client, make, one_of, brief) -> None:
    palette = one_of("palettes")
    taken = {"palette_id": palette["id"], "palette_index": 1}
    make("swatches", brief_id=brief["id"], name="mud", **taken)
    for at in (f"palettes/{palette['id']}", f"briefs/{brief['id']}/swatches"):
        css = client.get(f"/api/exchange/{at}.css")
        assert css.headers["content-type"] == "text/css; charset=utf-8"
        assert css.headers["content-disposition"].endswith('.css"')
        assert f"--mud: {palette['colours'][1]['colour']['css']};" in css.text
        svg = client.get(f"/api/exchange/{at}.svg")
        assert svg.headers["content-type"] == "image/svg+xml"
        assert palette["colours"][1]["colour"]["hex"] in svg.text
        sheet = "" if "swatches" in at else f"/{palette['reference_id']}"
        page = client.get(f"/briefs/{brief['id']}/references{sheet}").text
        for form in ("css", "svg", "txt"):
            assert f'href="/api/exchange/{at}.{form}"' in page
    assert client.get(f"/api/exchange/palettes/{palette['id']}.pdf").status_code == 422


def test_where_there_is_no_colour_there_is_no_text(client, brief, make, refused) -> None:
    make("materials", label="plain sycamore")
    here = f"briefs/{brief['id']}/swatches"
    for at in ("rack.txt", f"{here}.txt", f"{here}.css", f"{here}.svg"):
        refused(client.get(f"/api/exchange/{at}"), 422, "bad_colour", "no colour to write")
    for at in ("briefs/nowhere/swatches.txt", "palettes/nowhere.txt"):
        refused(client.get(f"/api/exchange/{at}"), 404, "not_found", "“nowhere”")


# In


def test_readings_go_to_the_piece_of_their_name_or_become_one(client, make, read, rack) -> None:
    """Adapted from D50 with 10°, which leaves 3.9 CIEDE2000: simulated, `reading_to_lab`."""
    oak = make("materials", label="bog oak", reading="Lab 30 0 0", species="Quercus robur")
    answer = read(_table('"bog oak" 22.1 1.9 3.4', '"mother of pearl" 88 -1 4'))
    assert answer.status_code == 201
    read_in = answer.json()["materials"]
    assert [one["label"] for one in read_in] == ["bog oak", "mother of pearl"]
    assert read_in[0]["id"] == oak["id"]
    assert set(rack()) == {"bog oak", "mother of pearl"}
    assert rack()["bog oak"]["species"] == "Quercus robur"
    for piece, stated in zip(read_in, ([22.1, 1.9, 3.4], [88, -1, 4]), strict=True):
        meant = reading_to_lab(stated, "lab", "d50", "10")
        assert piece["colour"]["lab"] == pytest.approx(meant.lab, abs=0.005)
        assert piece["colour"]["uncertainty"] == pytest.approx(float(np.hypot(1, 3.9)))
    (warning,) = answer.json()["warnings"]
    assert "D50 with the 10° observer" in warning


def test_what_of_a_file_is_left_out_is_said(read, rack) -> None:
    text = _table('"bog oak" 22.1 - 3.4', '"6"" board" 88', "-1 4", "cedar 50 12 24")
    answer = read(text.replace("NUMBER_OF_SETS 4", "NUMBER_OF_SETS 3"))
    assert answer.status_code == 201, answer.text
    assert set(rack()) == {'6" board', "cedar"}
    assert any(
        re.fullmatch(r"Left out: line \d+ \(LAB_A has no value\)\.", one)
        for one in answer.json()["warnings"]
    )


def test_what_the_file_leaves_in_doubt_stays_until_another_reading_is_typed(
    client, read, rack
) -> None:
    read(_table("cedar 50 12 24"))
    cedar = rack()["cedar"]
    at, same = f"/api/materials/{cedar['id']}", {"reading": cedar["reading"], "price": 12}
    kept = client.patch(at, json=same, headers={"If-Match": "*"}).json()
    assert kept["colour"] == cedar["colour"]
    typed = client.patch(at, json={"reading": "Lab 50 12 24"}, headers={"If-Match": "*"}).json()
    assert typed["colour"]["uncertainty"] == pytest.approx(1)


def test_an_own_export_brings_its_uncertainty_along(client, send, read, rack, picture) -> None:
    send(("walnut.png", picture((92, 64, 44))), to="materials")
    text = client.get("/api/exchange/rack.txt").text
    client.delete(f"/api/materials/{rack()['walnut']['id']}", headers={"If-Match": "*"})
    read(text)
    walnut = rack()["walnut"]
    assert walnut["picture"] is None
    assert walnut["colour"]["uncertainty"] == pytest.approx(257**0.5)


def test_a_reading_is_combined_with_the_photographs_there_are(send, read, rack, picture) -> None:
    send(("walnut.png", picture((92, 64, 44))), to="materials")
    photographed = rack()["walnut"]["colour"]["lab"]
    read(_table("walnut 34 8 18", header='ILLUMINATION_NAME "D65"\nOBSERVER_ANGLE "2"\n'))
    walnut = rack()["walnut"]
    assert walnut["measured"] == "from a reading and 1 photograph as shot"
    assert walnut["colour"]["lab"] == pytest.approx([34, 8, 18])
    assert walnut["colour"]["lab"] != pytest.approx(photographed)
    assert walnut["disagreement"] > 1


def test_spectra_are_read_on_the_scale_they_are_said_to_have(read, rack, refused, on_disk) -> None:
    """A surface that gives back half of all light: L 76.07 (CIE 15:2004, 8.2.1), no chroma."""
    bands = range(400, 701, 10)
    fields = "SAMPLE_NAME " + " ".join(f"SPECTRAL_NM{nm}" for nm in bands)
    text = _table("grey " + "50 " * len(bands), header="", fields=fields)
    before = on_disk()
    body = refused(read(text), 422, "bad_colour", "Line 7: .*say which when", pointer="/file")
    assert len(body["errors"]) == 1
    for full, detail in ((0, "more than 0"), ("inf", "finite"), ("many", "number")):
        answer = read(text, full_reflectance=full)
        refused(answer, 422, "bad_input", detail, pointer="/full_reflectance")
    assert on_disk() == before
    assert read(text, full_reflectance=100).status_code == 201
    assert rack()["grey"]["colour"]["lab"] == pytest.approx([76.07, 0, 0], abs=0.05)


def test_a_name_that_comes_twice_is_said(read, rack) -> None:
    answer = read(_table("cedar 40 12 24", "cedar 50 12 24")).json()
    assert [one["label"] for one in answer["materials"]] == ["cedar"]
    assert "“cedar” stands in the file more than once; the last was taken." in answer["warnings"]
    assert rack()["cedar"]["colour"]["lab"][0] == pytest.approx(50, abs=0.5)


@pytest.mark.parametrize(
    ("text", "status", "code", "detail"),
    [
        (_table("reed 40 12"), 422, "bad_colour", "line 9: 3 values for 4"),
        (_table("cedar 40 green 24"), 422, "bad_colour", "line 9: LAB_A must be a number.*“green”"),
        (_table("cedar 140 12 24"), 422, "bad_colour", "line 9: L must lie between 0 and 100"),
        (_table("cedar 40 12 24")[:-10], 422, "bad_colour", "line 8: .*no END_DATA.*cut short"),
        ("a shopping list", 422, "bad_colour", "not a CGATS text file"),
        (b"\x89PNG\r\n\x1a\n\0\0", 422, "bad_colour", "line 3: .*not plain text"),
        ("x" * 4_000_001, 413, "too_large", "at most 4,000,000 characters"),
    ],
)
def test_a_bad_text_is_refused_with_the_line_and_nothing_is_read(
    read, on_disk, refused, make, text, status: int, code: str, detail: str
) -> None:
    make("materials", label="cedar", reading="Lab 30 0 0")
    before = on_disk()
    body = refused(read(text), status, code, f"(?i){detail}", pointer="/file")
    assert len(body["errors"]) == 1
    assert on_disk() == before


def test_a_file_is_needed(client, refused) -> None:
    refused(client.post("/api/exchange/rack"), 422, "bad_input", "Fill this in", pointer="/file")


def test_a_reading_that_no_surface_could_have_is_kept_and_warned_of(
    client, read, rack, make, brief
) -> None:
    assert read(_table("walnut 38.2 9.1 95.4", "oak 60 8 22")).is_success
    make("swatches", brief_id=brief["id"], name="reed", colour="Lab 38.2 9.1 95.4")
    warning = rack()["walnut"]["warning"]
    assert warning.startswith("No surface has this colour in daylight")
    assert rack()["oak"]["warning"] == ""
    for sheet in ("timber", "references"):
        assert client.get(f"/briefs/{brief['id']}/{sheet}").text.count(warning) == 1
