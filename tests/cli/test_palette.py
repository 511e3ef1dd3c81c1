"""`brief palette` prints what the library finds, says how sure it is, and refuses in words."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2lab

from brief.colour.notation.wording import colour_words
from brief.photo import UNCORRECTED_PHOTO_DELTA_E, Region, extract_palette

ESCAPE = "\x1b"


@pytest.mark.parametrize(
    ("words", "asked"),
    [
        ([], {}),
        (["--colours", "2"], {"colours": 2}),
        (["--colours", "auto"], {"colours": "auto"}),
        (["--seed", "5"], {"seed": 5}),
        (["--region", "xywh=percent:0,40,100,30"], {"region": Region(0, 40, 100, 30)}),
    ],
    ids=["as it comes", "two", "auto", "seed", "region"],
)
def test_json_is_what_the_library_finds(brief, grained, words, asked):
    code, out, err = brief("palette", grained, "--json", *words)
    assert (code, err) == (0, "")
    found, printed = extract_palette(grained, **asked), json.loads(out)
    assert printed["photo"] == str(grained)
    for name in ("asked", "seed", "algorithm", "left_out"):
        assert printed[name] == getattr(found, name)
    assert printed["region"] == (str(asked["region"]) if "region" in asked else None)
    assert len(printed["colours"]) == len(found.colours)
    for row, colour in zip(printed["colours"], found.colours, strict=True):
        assert tuple(row["colour"]["lab"]) == colour.lab
        assert row["colour"]["uncertainty"] == UNCORRECTED_PHOTO_DELTA_E
        assert (row["share"], row["spread"]) == (colour.share, colour.spread)
        assert tuple(row["spot"]) == colour.spot


def test_flat_colours_come_out_as_scikit_image_converts_them(brief, striped, stripes):
    _, out, _ = brief("palette", striped, "--json", "--colours", "3")
    rows = json.loads(out)["colours"]
    assert [row["colour"]["hex"] for row in rows] == stripes
    assert [row["share"] for row in rows] == pytest.approx([1 / 2, 1 / 3, 1 / 6], abs=0.005)
    for row, code in zip(rows, stripes, strict=True):
        srgb = np.array([int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)])
        # Its white has other digits than the standard's matrix: 0.01 either way.
        assert row["colour"]["lab"] == pytest.approx(rgb2lab(srgb), abs=0.02)


def test_the_terminal_says_each_colour_and_how_sure_it_is(brief, striped, stripes):
    code, out, err = brief("palette", striped, "--colours", "3")
    assert (code, err) == (0, "")
    assert ESCAPE not in out
    first, *rows = out.splitlines()
    assert first == "striped.png: 3 colours"
    for row, colour in zip(rows, extract_palette(striped, 3).colours, strict=False):
        assert colour_words(colour.lab) in row
        assert f"{colour.share * 100:.0f}\u00a0%" in row
    assert [re.search("#[0-9a-f]{6}", row)[0] for row in rows[:3]] == stripes
    bars = [row.count("█") for row in rows[:3]]
    assert bars == sorted(bars, reverse=True)
    assert f"lie within {UNCORRECTED_PHOTO_DELTA_E:.0f} of the true colour" in out


def test_a_terminal_with_all_colours_shows_chips(brief, striped, stripes, monkeypatch):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLORTERM", "truecolor")
    _, out, _ = brief("palette", striped, "--colours", "3")
    for code in stripes:
        red, green, blue = (int(code[at : at + 2], 16) for at in (1, 3, 5))
        assert f"{ESCAPE}[48;2;{red};{green};{blue}m   " in out
    assert "This terminal" not in out


@pytest.mark.parametrize(
    ("term", "chips", "said"),
    [("xterm-256color", True, "only near"), ("xterm", False, "too few colours to show chips")],
)
def test_a_terminal_with_few_colours_is_not_believed(
    brief, striped, monkeypatch, term, chips, said
):
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", term)
    _, out, _ = brief("palette", striped)
    assert (ESCAPE in out) == chips
    assert said in out


@pytest.mark.parametrize("kind", ["AVIF", "BMP"])
def test_a_picture_may_be_avif_or_bmp(brief, striped, tmp_path, kind):
    path = tmp_path / f"stripes.{kind.lower()}"
    Image.open(striped).convert("RGB").save(path, kind)
    code, out, err = brief("palette", path, "--colours", "3")
    assert (code, err) == (0, "")
    assert out.splitlines()[0] == f"{path.name}: 3 colours"


def test_accents_are_told_from_colours_by_a_word(brief, tmp_path):
    shore = Image.new("RGB", (400, 300), (200, 180, 140))
    shore.paste((120, 140, 150), (200, 0, 400, 300))
    shore.paste((40, 90, 200), (110, 110, 132, 132))
    shore.save(tmp_path / "shore.png")
    _, out, _ = brief("palette", tmp_path / "shore.png", "--colours", "2")
    _, _, colour, accent, *_ = out.splitlines()
    assert "#c8b48c" in colour
    assert "accent" not in colour
    assert re.search(r"accent\s+0\.4\s%\s+#285ac8", accent)


def test_fewer_colours_than_asked_for_are_accounted_for(brief, striped):
    _, out, _ = brief("palette", striped, "--colours", "6")
    assert "3 colours; the others of the 6 asked for would look the same" in out


def test_a_single_colour_is_one(brief, striped):
    _, out, _ = brief("palette", striped, "--colours", "auto", "--region", "xywh=percent:0,0,9,9")
    assert out.startswith("striped.png, part xywh=percent:0,0,9,9: 1 colour\n")


def test_what_is_left_out_is_said(brief, tmp_path):
    half_clear = np.full((40, 40, 4), 120, dtype=np.uint8)
    half_clear[..., 3] = 255
    half_clear[:20, :, 3] = 0
    Image.fromarray(half_clear).save(tmp_path / "clear.png")
    _, out, _ = brief("palette", tmp_path / "clear.png")
    assert "Left out: about half of the picture" in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--colours", "0"], "between 1 and 12, or auto; got 0"),
        (["--colours", "13"], "between 1 and 12, or auto; got 13"),
        (["--colours", "-3"], "between 1 and 12, or auto; got -3"),
        (["--colours", "six"], "between 1 and 12, or auto; got “six”"),
        (["--colours", "nan"], "between 1 and 12, or auto; got “nan”"),
        (["--seed", "-1"], "seed must be between 0 and 2147483647; got -1"),
        (["--seed", "x"], "seed must be between 0 and 2147483647; got “x”"),
        (["--region", "xywh=percent:50,50,60,60"], "inside the picture.*50 to 110 across"),
        (["--region", "xywh=percent:1,1,0,5"], "wider and higher than 0 percent"),
        (
            ["--region", "top half"],
            "four numbers of percent: left, top, width, height, .*; got “top half”",
        ),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_makes_no_sense_is_refused_in_words(brief, striped, words, said):
    refused(brief("palette", striped, *words), said)
    refused(brief("palette", striped, "--json", *words), said)


def test_a_missing_file_is_said_to_be_missing(brief, tmp_path):
    refused(brief("palette", tmp_path / "gone.jpg"), "gone.jpg” cannot be opened: No such file")


def test_a_folder_is_no_picture(brief, tmp_path):
    refused(brief("palette", tmp_path), "cannot be opened")


def test_a_text_named_like_a_picture_is_found_out(brief, tmp_path):
    (tmp_path / "verse.jpg").write_text("The tide has stopped.\nThe water stands")
    refused(brief("palette", tmp_path / "verse.jpg"), "verse.jpg” is not a picture .*JPEG, PNG")


def test_a_picture_cut_short_is_found_out(brief, striped):
    striped.write_bytes(striped.read_bytes()[:-60])
    refused(brief("palette", striped), "striped.png” is a PNG file, but it is damaged or cut short")


def refused(answer, said):
    code, out, err = answer
    assert (code, out) == (2, "")
    assert re.fullmatch(rf"brief: .*{said}.*\n", err), err


@pytest.mark.slow
def test_the_process_ends_as_the_function_does(brief_process, striped, tmp_path):
    done = brief_process("palette", striped, "--json")
    assert (done.returncode, done.stderr) == (0, b"")
    assert len(json.loads(done.stdout)["colours"]) == 3
    done = brief_process("palette", tmp_path / "gone.jpg")
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"Traceback" not in done.stderr
    assert len(done.stderr.splitlines()) == 1
