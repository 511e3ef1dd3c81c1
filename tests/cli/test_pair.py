"""`brief pair` judges what it is given by the library's own rule, sentence first."""

from __future__ import annotations

import json
from math import hypot

import pytest
from PIL import ExifTags, Image

from brief.colour import delta_e_2000, judge_pair
from brief.colour.notation.notation import parse_colour
from brief.colour.viewing.colour_vision import eyes
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.light import lamp, light
from brief.photo import (
    LIGHTS,
    PAIR_SHARE,
    UNCORRECTED_PHOTO_DELTA_E,
    Selection,
    measure_patch,
)
from brief.services.photos.findings import measured
from brief.services.rack.photographs import PhotographDraft
from tests.photo.rendered_bench import board_by_chart, true_lab, woods

ESCAPE = "\x1b"


def test_json_is_the_librarys_verdict_on_two_photographs(brief, grained, striped):
    code, out, err = brief("pair", grained, striped, "--json")
    assert (code, err) == (0, "")
    printed = json.loads(out)
    ground, inlay = (
        measure_patch(given, [Selection.parse(text) for text in printed[side]["measured_in"]])
        for side, given in (("ground", grained), ("inlay", striped))
    )
    verdict = judge_pair(
        ground.lab,
        inlay.lab,
        ground_cells=ground.cells,
        uncertainty=PAIR_SHARE * hypot(UNCORRECTED_PHOTO_DELTA_E, UNCORRECTED_PHOTO_DELTA_E),
        photographed=True,
    )
    for side, given, sample in (("ground", grained, ground), ("inlay", striped, inlay)):
        assert printed[side]["given"] == str(given)
        assert printed[side]["photograph"] is True
        assert tuple(printed[side]["colour"]["lab"]) == sample.lab
        assert printed[side]["colour"]["uncertainty"] == sample.uncertainty
        assert printed[side]["spread"] == sample.spread
    said = printed["verdict"]["seen"][0]
    assert printed["verdict"]["sentence"] == verdict.sentence
    for name in ("reading", "grain", "drowned_share"):
        assert said[name] == getattr(verdict.bench, name)
    assert said["difference"]["total"] == verdict.bench.difference.total
    assert said["difference"]["uncertainty"] == verdict.bench.uncertainty
    assert said["harmony"]["total"] == verdict.bench.harmony.total
    assert printed["verdict"]["better_than"] is None


def test_a_photograph_is_measured_as_a_new_one_of_a_piece_is(brief, tmp_path) -> None:
    """Its chart corrects it, and its file says what light it was taken by."""
    tags = Image.Exif()
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.LightSource] = int(ExifTags.LightSource.Tungsten)
    chart, bare = tmp_path / "chart.png", tmp_path / "bare.jpg"
    board_by_chart(woods()[25]).save(chart)
    Image.new("RGB", (60, 40), (150, 110, 70)).save(bare, exif=tags)
    code, out, err = brief("pair", chart, bare, "--json")
    assert (code, err) == (0, "")
    by_chart, as_shot = (json.loads(out)[side] for side in ("ground", "inlay"))
    as_new = measured(
        chart, "chart.png", dict(PhotographDraft(material_id="0" * 26)), by_itself=True
    )
    assert (by_chart["corrected_by"], as_shot["corrected_by"]) == ("chart", "none")
    assert by_chart["colour"]["lab"] == as_new["lab"]
    assert by_chart["colour"]["uncertainty"] == as_new["uncertainty"] < 8
    assert delta_e_2000(as_new["lab"], true_lab(woods()[25])) < as_new["uncertainty"]
    assert as_shot["colour"]["uncertainty"] == LIGHTS["lamp"].nothing.within
    said = " ".join(brief("pair", chart, bare)[1].split())
    assert "the colour chart left out. Its colours were corrected by the chart." in said
    assert "bare.jpg was measured all over. Light, by its file: lamp." in said


# Sharma, Wu and Dalal (2005), doi:10.1002/col.20070, Table 1, pairs 1, 17 and 25.
@pytest.mark.parametrize(
    ("one", "other", "delta_e"),
    [
        ("Lab 50 2.6772 -79.7751", "Lab 50 0 -82.7485", 2.0425),
        ("Lab 50 2.5 0", "Lab 73 25 -18", 27.1492),
        ("Lab 60.2574 -34.0099 36.2677", "Lab 60.4626 -34.1751 39.4387", 1.2644),
    ],
    ids=["pair-1", "pair-17", "pair-25"],
)
def test_typed_colours_differ_as_published(brief, one, other, delta_e):
    _, out, _ = brief("pair", one, other, "--json")
    printed = json.loads(out)
    assert printed["verdict"]["seen"][0]["difference"]["total"] == pytest.approx(delta_e, abs=5e-5)
    assert printed["verdict"]["seen"][0]["difference"]["uncertainty"] == 0
    assert printed["verdict"]["seen"][0]["drowned_share"] is None
    assert printed["ground"]["photograph"] is False
    assert printed["ground"]["spread"] is None


@pytest.mark.parametrize("text", ["#b37a4c", "Lab 56.1 17.3 33.9", "lab(56.5% 19.3 34.4)"])
def test_every_way_to_write_a_colour_is_read(brief, text):
    _, out, _ = brief("pair", text, "#202020", "--json")
    assert tuple(json.loads(out)["ground"]["colour"]["lab"]) == parse_colour(text)


def test_the_sentence_stands_first_and_the_figures_follow(brief, grained):
    code, out, err = brief("pair", grained, "Lab 84 4 20")
    assert (code, err) == (0, "")
    assert ESCAPE not in out
    ground = measure_patch(grained)
    verdict = judge_pair(
        ground.lab,
        (84, 4, 20),
        ground_cells=ground.cells,
        uncertainty=UNCORRECTED_PHOTO_DELTA_E,
        photographed=True,
    )
    assert " ".join(out.split()).startswith(verdict.sentence)
    for figure in (
        "grained.png",
        "from its photograph, ± 16",
        "typed, taken as exact",
        f"Difference: {verdict.bench.difference.total:.0f} ± 16 (",
        f"needs {verdict.bench.found:.1f} to be found and {verdict.bench.needed:.1f} to stand out",
        f"lightness {verdict.bench.difference.lightness:+.1f}",
        f"The wood varies by {verdict.bench.grain:.1f}",
        f"Harmony: {verdict.bench.harmony.total:+.2f}",
    ):
        assert figure in " ".join(out.split())


def test_the_two_chips_lie_side_by_side(brief, monkeypatch):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLORTERM", "truecolor")
    _, out, _ = brief("pair", "#71553f", "#d6b69b")
    chips = [line for line in out.splitlines() if "48;2;113;85;63m" in line]
    assert len(chips) == 3
    assert all("48;2;214;182;155m" in line for line in chips)


def test_a_colour_beyond_the_screen_is_said_to_be(brief, monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    _, out, _ = brief("pair", "#202020", "Lab 60 90 90")
    assert "strong red, more than a screen shows" in out


def test_a_file_wins_over_a_colour_of_its_name(brief, striped, monkeypatch):
    striped.rename(striped.with_name("b37a4c"))
    monkeypatch.chdir(striped.parent)
    _, out, _ = brief("pair", "b37a4c", "#202020", "--json")
    assert json.loads(out)["ground"]["photograph"] is True


@pytest.mark.parametrize(
    ("ground", "inlay", "said"),
    [
        ("gone.jpg", "#fff", "“gone.jpg” cannot be opened: No such file"),
        ("#fff", "wood/gone.jpeg", "“gone.jpeg” cannot be opened: No such file"),
        ("Lab nan 0 0", "#fff", "L must lie between 0 and 100; got nan"),
        ("#fff", "Lab 50 inf 0", "a must lie between -200 and 200; got inf"),
        ("walnut", "#fff", "“walnut” is not a colour this can read. Try #b37a4c"),
        ("", "#fff", "“” is not a colour"),
        ("#fff", "9" * 5000, "is not a colour"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(brief, ground, inlay, said):
    for words in ([], ["--json"]):
        code, out, err = brief("pair", ground, inlay, *words)
        assert (code, out) == (2, "")
        assert err.startswith("brief: ")
        assert err.count("\n") == 1
        assert said in err


# Where it will be seen. What the figures themselves are worth is tested in tests/colour.

DULL, PALE = "Lab 36 9 9", "Lab 50 14 20"
PLACE = ("--line", "0.5", "--from", "3", "--light", "led-b3")


def test_a_pair_is_judged_at_the_bench_and_where_it_will_be_seen(brief):
    code, out, err = brief("pair", DULL, PALE, *PLACE, "--eyes", "deutan", "--json")
    assert (code, err) == (0, "")
    there = Condition("place", "under CIE LED-B3, from 3 m", 3.0, light=light("LED-B3"))
    verdict = judge_pair(
        (36, 9, 9),
        (50, 14, 20),
        line_mm=0.5,
        conditions=[BENCH, there, there.to(eyes("deutan"))],
    )
    printed = json.loads(out)["verdict"]
    assert printed["sentence"] == verdict.sentence
    assert [one["key"] for one in printed["seen"]] == ["bench", "place", "place-deutan"]
    for said, one in zip(printed["seen"], verdict.seen, strict=True):
        assert said["words"] == one.condition.words
        for name in ("reading", "seen", "seen_uncertainty", "width_to_read", "names_colour"):
            assert said[name] == getattr(one, name)
    assert printed["missing"] == []


def test_what_is_seen_there_is_put_in_words_with_its_figures(brief, monkeypatch):
    monkeypatch.setenv("COLUMNS", "400")
    _, out, _ = brief("pair", DULL, PALE, *PLACE, "--eyes", "deutan")
    there = Condition("place", "", 3.0, light=light("LED-B3"))
    seen = judge_pair((36, 9, 9), (50, 14, 20), line_mm=0.5, conditions=[BENCH, there]).seen[1]
    assert seen.reading == "doubtful"
    for figure in (
        f"Under CIE LED-B3, from 3 m it {seen.does}: ",
        f"contrast {seen.seen:.1f} ± {seen.seen_uncertainty:.1f} "
        f"of the {seen.needed:.1f} needed to stand out.",
        f"(white LED, 4102 K, Ra 85) is known to ± {light('LED-B3').uncertainty:.1f}.",
        "From there you see it as lighter or darker, without a colour.",
        f"A line would read there from {seen.width_to_read:.1f} mm wide. "
        f"This one reads up to {seen.distance_to_read:.1f} m away.\n",
        "Under CIE LED-B3, from 3 m, to green-blind eyes it ",
    ):
        assert figure in out


@pytest.mark.parametrize(
    ("line", "distance"), [("0.79375", "3.048"), ("1/32in", "10 ft"), ("0,79375", "3048 mm")]
)
def test_lengths_are_read_as_they_are_typed(brief, line, distance):
    _, out, _ = brief("pair", DULL, PALE, "--line", line, "--from", distance, "--json")
    there = Condition("place", "", 3.048)
    verdict = judge_pair((36, 9, 9), (50, 14, 20), line_mm=0.79375, conditions=[BENCH, there])
    seen = json.loads(out)["verdict"]["seen"]
    assert [one["seen"] for one in seen] == [one.seen for one in verdict.seen]
    said = distance if "f" in distance or "mm" in distance else "3.048 m"
    assert seen[1]["words"] == f"from {said}"


@pytest.mark.parametrize("written", ["2900K/83", "2900 k / Ra 83", "2 900 K/>83", "2900,0K/83"])
def test_a_lamp_is_known_by_its_kelvin_and_ra(brief, written):
    _, out, _ = brief("pair", DULL, PALE, "--light", written, "--json")
    seen = json.loads(out)["verdict"]["seen"]
    assert [one["words"] for one in seen] == ["at the bench", "under a lamp of 2900 K and Ra 83"]
    assert seen[1]["difference"]["uncertainty"] <= lamp(2900, 83).uncertainty


def test_other_eyes_alone_are_asked_at_the_bench(brief):
    _, out, _ = brief("pair", "Lab 50 12 22", "Lab 49.6 18.5 21.4", "--eyes", "deutan")
    assert "To green-blind eyes it sinks at the bench." in " ".join(out.split())
    assert "At the bench, to green-blind eyes it sinks: " in " ".join(out.split())


def test_what_is_not_known_from_a_distance_is_said(brief, grained):
    missing = ["No width is given: the inlay is judged as an area", "photograph has no scale"]
    _, there, _ = brief("pair", grained, PALE, "--from", "2")
    _, bench, _ = brief("pair", grained, PALE)
    for said in missing:
        assert said in " ".join(there.split())
    assert missing[0] not in " ".join(bench.split())
    assert missing[1] in " ".join(bench.split())  # the grain about a line depends on it there, too
    _, out, _ = brief("pair", grained, PALE, "--from", "2", "--json")
    for line, said in zip(json.loads(out)["verdict"]["missing"], missing, strict=True):
        assert said in line


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--line", "wide"), "--line: “wide” is not a length. Try 650 mm"),
        (("--line", "nan"), "--line: “nan” is not a length"),
        (("--line", "1,250"), "--line: Does the comma in “1,250” part thousands or decimals?"),
        (("--line", "11"), "--line must be 0.1 to 10 mm; got “11”"),
        (("--from", "0"), "--from must be 0.2 to 20 m; got “0”"),
        (("--light", "Candle"), "“Candle” is not a light known here; known are A, "),
        (("--light", "2900K"), "or write a lamp's kelvin and Ra, as in 2900K/83"),
        (("--light", "900K/80"), "kelvin must be 2000 to 7000 for a lamp; got 900"),
        (("--light", "2900K/20"), "rendering must be 50 to 100 for a lamp; got 20"),
        (("--eyes", "cat"), "eyes are one of normal, protan, deutan, tritan; got “cat”"),
    ],
)
def test_a_place_that_makes_no_sense_is_refused_in_words(brief, words, said):
    code, out, err = brief("pair", DULL, PALE, *words)
    assert (code, out) == (2, "")
    assert err.startswith("brief: ")
    assert err.count("\n") == 1
    assert said in err
