"""CGATS.17 tables read and written, against colour-science and Little CMS."""

import ctypes
import ctypes.util
from pathlib import Path

import numpy as np
import PIL
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brief.colour import delta_e_2000
from brief.colour.notation.adaptation import lab_under, reading_to_lab
from brief.colour.notation.cgats import CgatsSample, read_cgats, write_cgats
from brief.colour.notation.cgats_table import LONGEST, MOST_SAMPLES
from brief.colour.notation.spectrum import spectrum_to_lab
from brief.errors import ColourInputError, InputError, TooLarge

LAB = "SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B"
ROWS = ('1 "bog oak" 22.1 1.9 3.4', "2 reed 61.0 1.2 24.5")


def table(fields=LAB, rows=ROWS, *header):
    return "\n".join(
        [
            "CGATS.17",
            'ORIGINATOR "made up for this test"',
            *header,
            f"NUMBER_OF_FIELDS {len(fields.split())}",
            "BEGIN_DATA_FORMAT",
            fields,
            "END_DATA_FORMAT",
            f"NUMBER_OF_SETS {len(rows)}",
            "BEGIN_DATA",
            *rows,
            "END_DATA",
        ]
    )


def spectral(values, pattern="SPECTRAL_NM{}", step=10, **parts):
    """One sample of the same value in every band, or of the values given."""
    nm = range(400, 701, step)
    values = values if isinstance(values, list) else [values] * len(nm)
    fields = " ".join(["SAMPLE_ID", *(pattern.format(band) for band in nm)])
    return table(fields, [" ".join(["1", *map(str, values)])], *parts.get("header", ()))


def test_lab_is_taken_under_d50_and_2_degrees_where_the_file_is_silent():
    """ISO 13655, the rule of the graphic arts."""
    oak, reed = read_cgats(table())
    assert (oak.name, reed.name) == ("bog oak", "reed")
    expected = reading_to_lab([22.1, 1.9, 3.4], "lab", "d50", "2")
    assert (oak.lab, oak.uncertainty) == (expected.lab, expected.uncertainty)
    assert (oak.illuminant, oak.observer, oak.spectrum) == (None, None, None)
    assert oak.warnings == (
        "The file does not say under which light and observer its colours were measured; D50 and "
        "2°, the rule of the graphic arts, were taken.",
        expected.note,
    )


@pytest.mark.parametrize(
    ("header", "light", "observer"),
    [
        (
            ['WEIGHTING_FUNCTION "ILLUMINANT, D65"', 'WEIGHTING_FUNCTION "OBSERVER, 10 degree"'],
            1,
            1,
        ),
        (['WEIGHTING_FUNCTION "ILLUMINANT,D65"', 'WEIGHTING_FUNCTION "OBSERVER,CIE 1964"'], 1, 1),
        (['ILLUMINATION_NAME "D65"', 'OBSERVER_ANGLE "10"'], 1, 1),
        (["MEASUREMENT_SOURCE Illumination=D65 ObserverAngle=10_degree Filter=no"], 1, 1),
        (['MEASUREMENT_SOURCE "Illumination=D65   ObserverAngle=10°"'], 1, 1),
        (['ILLUMINATION_NAME "D65"', 'ILLUMINANT "D65"', "OBSERVER 10"], 1, 1),
        (['ILLUMINATION_NAME "D65"'], 1, 0),
        (['DESCRIPTOR "ILLUMINANT, A as in OBSERVER, 2 degree"'], 0, 0),
    ],
)
def test_light_and_observer_are_read_where_files_declare_them(header, light, observer):
    sample = read_cgats(table(LAB, ROWS, *header))[0]
    assert sample.illuminant == ("D65" if light else None)
    assert sample.observer == ("10" if observer else None)
    expected = reading_to_lab(
        [22.1, 1.9, 3.4], "lab", "d65" if light else "d50", "10" if observer else "2"
    )
    assert sample.lab == expected.lab
    assert any("does not say" in text for text in sample.warnings) is not bool(light and observer)


def test_fluorescent_lamps_go_by_both_their_names():
    for name in ("F11", "FL11"):
        sample = read_cgats(table(LAB, ROWS, f"ILLUMINATION_NAME {name}", "OBSERVER_ANGLE 10"))[0]
        assert sample.lab == reading_to_lab([22.1, 1.9, 3.4], "lab", "f11", "10").lab


def test_xyz_and_lch_are_read_too():
    header = ('ILLUMINATION_NAME "D50"', 'OBSERVER_ANGLE "2"')
    (xyz,) = read_cgats(table("SAMPLE_ID XYZ_X XYZ_Y XYZ_Z", ["7 11.5 10.2 5.1"], *header))
    assert xyz.lab == reading_to_lab([11.5, 10.2, 5.1], "xyz", "d50", "2").lab
    assert xyz.name == "7"
    (lch,) = read_cgats(table("LAB_L LAB_C LAB_H", ["50 20 30"], *header))
    assert lch.lab == reading_to_lab([50, 20, 30], "lch", "d50", "2").lab
    assert lch.name == "line 11"


def test_spectra_agree_with_colour_science(reference):
    """The 24 chart patches, 380 to 730 nm; mean and worst difference in CIEDE2000."""
    patches = reference.SDS_COLOURCHECKERS["BabelColor Average"]
    shape = next(iter(patches.values())).shape
    observer = "CIE 1931 2 Degree Standard Observer"
    matching = reference.MSDS_CMFS[observer].copy().align(shape)
    light = reference.SDS_ILLUMINANTS["D65"].copy().align(shape)
    fields = " ".join(["SAMPLE_NAME", *(f"SPECTRAL_NM{nm:.0f}" for nm in shape.wavelengths)])
    rows = [
        " ".join([f'"{name}"', *(f"{value:.6f}" for value in patch.values)])
        for name, patch in patches.items()
    ]
    samples = read_cgats(table(fields, rows, "SPECTRAL_NORM 1"))
    assert [sample.name for sample in samples] == list(patches)
    white = reference.sd_to_XYZ(reference.sd_ones(shape), matching, light, method="Integration")
    expected = [
        reference.XYZ_to_Lab(
            reference.sd_to_XYZ(patch, matching, light, method="Integration") / 100,
            reference.XYZ_to_xy(white),
        )
        for patch in patches.values()
    ]
    apart = delta_e_2000([sample.lab for sample in samples], expected)
    assert apart.mean() < 0.01
    assert apart.max() < 0.02
    assert {sample.uncertainty for sample in samples} == {0.0}
    assert samples[0].spectrum[0] == pytest.approx((380, patches["dark skin"][380]), abs=1e-6)


@pytest.mark.parametrize(
    "pattern",
    ["SPECTRAL_NM{}", "SPECTRAL_{}", "SPEC_{}", "NM_{}", "nm{}", "R_{}nm", "SPECTRAL_DEC{}"],
)
def test_bands_go_by_all_the_names_in_use(pattern):
    (sample,) = read_cgats(spectral(0.25, pattern))
    assert sample.lab == spectrum_to_lab(range(400, 701, 10), [0.25] * 31).lab
    assert sample.spectrum[0] == (400, 0.25)


def test_percent_is_read_where_the_file_says_so():
    expected = spectrum_to_lab(range(400, 701, 10), [0.25] * 31).lab
    for text in (
        spectral(25, "SPECTRAL_PCT{}"),
        spectral(25, header=['SPECTRAL_NORM "100.0"']),
        # A wood so dark that percent look like parts of 1 is not mistaken for a white one.
        spectral(0.25 * 100, "SPECTRAL_PCT{}"),
    ):
        (sample,) = read_cgats(text)
        assert sample.lab == pytest.approx(expected)
        assert sample.warnings == ()
    assert read_cgats(spectral(25), full_reflectance=100)[0].lab == pytest.approx(expected)
    assert read_cgats(spectral(1.2, "SPECTRAL_PCT{}"))[0].lab[0] < 12


def test_percent_is_never_guessed():
    with pytest.raises(
        ColourInputError,
        match=r"line 9: SPECTRAL_NM400 is 43.2, and the file does not say whether full refl.*say",
    ):
        read_cgats(spectral(43.2))
    (sample,) = read_cgats(spectral(0.25))
    assert "none is above 1.5, so that 1 was taken for full reflectance" in sample.warnings[0]


def test_what_the_file_says_of_its_scale_counts_before_what_the_reader_is_told():
    (sample,) = read_cgats(spectral(0.25, header=["SPECTRAL_NORM 1"]), full_reflectance=100)
    assert sample.spectrum[0] == (400, 0.25)


def test_steps_of_20_nm_are_read_and_said():
    (sample,) = read_cgats(spectral(0.25, "SPECTRAL_DEC{}", step=20))
    assert sample.uncertainty == 0.2
    assert "steps of 20 nm" in sample.warnings[0]


def test_missing_bands_are_named_with_their_line():
    text = spectral(0.25).replace("SPECTRAL_NM450", "OTHER").replace("SPECTRAL_NM460", "OTHER_2")
    with pytest.raises(ColourInputError, match=r"line 9: a spectrum needs .*missing: 450, 460 nm"):
        read_cgats(text)


def test_a_spectrum_goes_before_the_lab_beside_it_and_a_contradiction_is_said():
    text = spectral(0.25, "SPECTRAL_DEC{}").replace("SAMPLE_ID", "LAB_L LAB_A LAB_B")
    agreeing = text.replace("NUMBER_OF_FIELDS 32", "NUMBER_OF_FIELDS 34").replace(
        "\n1 ", "\n57 0 0 "
    )
    (sample,) = read_cgats(agreeing)
    assert sample.lab == pytest.approx((57.075, 0, 0), abs=1e-3)
    assert sample.warnings == ()
    (sample,) = read_cgats(agreeing.replace("\n57 0 0", "\n57 20 0"))
    assert sample.lab == pytest.approx((57.075, 0, 0), abs=1e-3)
    assert "two colours that lie 1" in sample.warnings[0]
    assert "the surer was taken" in sample.warnings[0]


def test_a_spectrum_needs_no_light_that_is_known_here():
    text = spectral(0.25, "SPECTRAL_DEC{}", header=["ILLUMINATION_NAME D93"])
    assert read_cgats(text)[0].illuminant == "D93"
    with pytest.raises(ColourInputError, match="line 10: the light of a reading must be one of A"):
        read_cgats(table(LAB, ROWS, "ILLUMINATION_NAME D93"))


def test_comments_tabs_blank_lines_and_other_line_ends():
    text = table().replace("\n", "\r\n").replace("reed", "reed # grey\t")
    text = text.replace("END_DATA_FORMAT", "# a remark\r\n\r\nEND_DATA_FORMAT")
    (oak,) = read_cgats(text)
    assert oak.warnings[0] == "Left out: line 12 (2 values for 5 columns)."
    tabs = "SAMPLE_ID\tSAMPLE_NAME\tLAB_L\tLAB_A\tLAB_B"
    for ends in ("\n", "\r\n", "\r"):
        lines = table(tabs, ["1\tslack water\t50\t1\t2\t"], "# nothing", "").replace("\n", ends)
        assert read_cgats(lines)[0].name == "slack water"


@pytest.mark.parametrize("nothing", ['""', "-", "N/A", "nan"])
def test_a_sample_with_a_gap_is_left_out_and_the_others_say_so(nothing):
    rows = [ROWS[0], f"2 reed 61.0 {nothing} 24.5", "3 mud 31 3 9"]
    oak, mud = read_cgats(table(LAB, rows))
    assert (oak.name, mud.name) == ("bog oak", "mud")
    for sample in (oak, mud):
        assert sample.warnings[0] == "Left out: line 10 (LAB_A has no value)."
    assert oak.lab == read_cgats(table())[0].lab


def test_between_tabs_nothing_is_a_gap():
    tabs = "SAMPLE_ID\tSAMPLE_NAME\tLAB_L\tLAB_A\tLAB_B"
    (mud,) = read_cgats(table(tabs, ["1\twet reed\t61\t\t24", "2\tlow mud\t31\t3\t9"]))
    assert mud.name == "low mud"
    assert mud.warnings[0] == "Left out: line 9 (LAB_A has no value)."


def test_a_gap_in_one_colour_leaves_the_other():
    """The spectrum without its Lab, and the Lab without its spectrum."""
    text = spectral(0.25, "SPECTRAL_DEC{}").replace("SAMPLE_ID", "LAB_L LAB_A LAB_B")
    text = text.replace("NUMBER_OF_FIELDS 32", "NUMBER_OF_FIELDS 34")
    (by_spectrum,) = read_cgats(text.replace("\n1 ", "\n- 0 0 "))
    assert by_spectrum.lab == read_cgats(spectral(0.25, "SPECTRAL_DEC{}"))[0].lab
    (by_lab,) = read_cgats(text.replace("\n1 0.25 ", "\n57 0 0 - "))
    assert by_lab.lab == reading_to_lab([57, 0, 0], "lab", "d50", "2").lab
    assert by_lab.spectrum is None


def test_where_no_sample_is_whole_the_first_is_told():
    with pytest.raises(ColourInputError, match="line 9: LAB_L has no value"):
        read_cgats(table(LAB, ["1 reed - 1 2", "2 mud 3 - 9"]))


def test_of_many_that_are_left_out_a_few_are_told():
    (oak,) = read_cgats(table(LAB, [ROWS[0], *["2 reed - 1 2"] * 7]))
    assert oak.warnings[0].endswith("line 14 (LAB_L has no value) and 2 more.")


def test_a_quotation_mark_in_a_name_is_doubled():
    """CGATS.17, from memory."""
    rows = ['1 "the ""dry"" reed" 61 1 24', '2 "6"" board" 31 3 9', '3 "" 31 3 9']
    names = [sample.name for sample in read_cgats(table(LAB, rows))]
    assert names == ['the "dry" reed', '6" board', "3"]


def test_a_sample_may_run_over_several_lines():
    """The values of a set are parted by any white space (CGATS.17, from memory)."""
    rows = ['1 "bog oak"', "22.1 1.9 3.4", "2 reed 61.0 1.2 24.5", "3 mud 31 3", "9"]
    text = table(LAB, rows).replace("SETS 5", "SETS 3")
    oak, reed, mud = read_cgats(text)
    assert [one.name for one in (oak, reed, mud)] == ["bog oak", "reed", "mud"]
    assert (oak.lab, reed.lab) == tuple(one.lab for one in read_cgats(table()))
    short = text.replace("\n9\n", "\n")
    oak, reed = read_cgats(short)
    assert oak.warnings[0] == "Left out: line 12 (4 values for 5 columns)."


def test_a_spectrum_may_run_over_several_lines():
    whole = spectral([round(0.1 + place / 100, 2) for place in range(31)], "SPECTRAL_DEC{}")
    cells = whole.split("BEGIN_DATA\n")[1].split("\n")[0].split()
    folded = "\n".join(" ".join(cells[at : at + 10]) for at in range(0, len(cells), 10))
    assert read_cgats(whole.replace(" ".join(cells), folded)) == read_cgats(whole)


def test_several_tables_in_one_file():
    text = table() + "\n" + table("LAB_L LAB_A LAB_B SAMPLE_NAME", ["50 0 0 curlew"])
    assert [sample.name for sample in read_cgats(text)] == ["bog oak", "reed", "curlew"]


def test_bytes_are_utf_8_or_latin_1_and_counts_may_be_left_out():
    text = table().replace("reed", "Küste").replace("NUMBER_OF_SETS 2\n", "")
    for encoded in (text.encode("utf-8"), text.encode("utf-8-sig"), text.encode("latin-1")):
        assert read_cgats(encoded)[1].name == "Küste"


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("", "not a CGATS text file: nothing lies between BEGIN_DATA and END_DATA"),
        ("walnut, 38, 9, 15", "not a CGATS text file"),
        (
            table().partition("END_DATA")[0],
            "line 4: the table that begins here has no END_DATA_FORMAT",
        ),
        (
            table().removesuffix("END_DATA"),
            "line 8: the table that begins here has no END_DATA; .* cut short",
        ),
        (
            table().replace("END_DATA_FORMAT\n", ""),
            "line 7: BEGIN_DATA before the END_DATA_FORMAT of what begins in line 4",
        ),
        ("END_DATA", "line 1: END_DATA without its BEGIN_DATA"),
        ("CGATS.17\nBEGIN_DATA\n1 2 3\nEND_DATA", "line 2: no BEGIN_DATA_FORMAT has said"),
        (table().replace("SETS 2", "SETS 3"), "line 8: NUMBER_OF_SETS says 3, but 2 samples"),
        (table().replace("FIELDS 5", "FIELDS 4"), "line 4: NUMBER_OF_FIELDS says 4, but 5 columns"),
        (table(LAB, ["1 reed 61.0 1.2"]), "line 9: 4 values for 5 columns"),
        (table("LAB_L LAB_A LAB_B LAB_L", ["1 2 3 4"]), "line 4: LAB_L is named twice"),
        (table(LAB, ["1 reed 61,0 1 2"]), "line 9: LAB_L must be .* with a point; got “61,0”"),
        (table(LAB, ["1 reed nan 1 2"]), "line 9: LAB_L has no value"),
        (table(LAB, ["1 reed 61 inf 2"]), "line 9: LAB_A must be a number.*got “inf”"),
        (table(LAB, ["1 reed 161 1 2"]), "line 9: L must lie between 0 and 100; got 161"),
        (table("SAMPLE_ID RGB_R", ["1 2"]), "no colour in the table; .* got SAMPLE_ID, RGB_R"),
        (table("LAB_L LAB_A", ["1 2"]), "no colour in the table"),
        (table("XYZ_X XYZ_Y XYZ_Z", ["0.5 0.5 0.4"]), "count white as 100, .* above 0.5"),
        (
            table(LAB, ROWS, "ILLUMINATION_NAME D50", 'WEIGHTING_FUNCTION "ILLUMINANT, D65"'),
            "declares two lights, D50 and D65",
        ),
        (table(LAB, ROWS, "OBSERVER 2", "OBSERVER_ANGLE 10"), "two observers, 10 and 2"),
        (spectral(25, header=["SPECTRAL_NORM full"]), "SPECTRAL_NORM must be .*got “full”"),
        (spectral(25, header=["SPECTRAL_NORM 0"]), "SPECTRAL_NORM must be .*got “0”"),
        (spectral(-0.2), "line 9: a reflectance must lie between 0 and 1.5"),
        ("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "line 3: this is not plain text"),
        (table().encode("utf-16"), "line 1: this is not plain text; save the table as a text file"),
    ],
)
def test_malformed_files_are_refused_in_words_with_the_line(text, fault):
    with pytest.raises(ColourInputError, match=fault):
        read_cgats(text)


def test_endless_files_are_refused():
    with pytest.raises(TooLarge, match=r"at most 4,000,000 characters; got 4,000,001"):
        read_cgats("#" * (LONGEST + 1))
    with pytest.raises(TooLarge, match=r"at most 5,000 samples; got 5,001"):
        read_cgats(table(LAB, ["1 reed 61 1 2"] * (MOST_SAMPLES + 1)))


@pytest.mark.parametrize("full", [0, -1, float("nan"), float("inf")])
def test_full_reflectance_is_a_number_above_0(full):
    with pytest.raises(ColourInputError, match="full reflectance must be a number above 0"):
        read_cgats(table(), full_reflectance=full)


def test_our_own_uncertainty_cannot_be_below_0():
    text = write_cgats([CgatsSample("reed", (61, 1, 24), 3.25)])
    assert read_cgats(text)[0].uncertainty == 3.25
    with pytest.raises(
        ColourInputError, match=r"line 19: LAB_D65_UNCERTAINTY must be .*got -3\.25"
    ):
        read_cgats(text.replace("3.2500", "-3.2500"))


SAMPLES = st.builds(
    CgatsSample,
    name=st.text(st.characters(codec="utf-8", exclude_characters='"', categories=("L", "N", "P")))
    .filter(bool)
    .map(lambda name: name[:200]),
    lab=st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120)),
    uncertainty=st.floats(0, 50),
)


def writable(samples):
    """Those that D50 leaves within the ranges of a reading."""
    written = [(sample, lab_under(sample.lab)) for sample in samples]
    return [sample for sample, (L, a, b) in written if 0 <= L <= 100 and max(abs(a), abs(b)) < 200]


def assert_same(read, written):
    assert [sample.name for sample in read] == [sample.name for sample in written]
    for found, sample in zip(read, written, strict=True):
        np.testing.assert_allclose(found.lab, sample.lab, atol=6e-5)


@given(st.lists(SAMPLES, min_size=1, max_size=5))
def test_what_is_written_is_read_back(samples):
    inside = writable(samples)
    assume(inside)
    read = read_cgats(write_cgats(inside, title="saltmarsh"))
    assert_same(read, inside)
    assert [sample.uncertainty for sample in read] == pytest.approx(
        [sample.uncertainty for sample in inside], abs=6e-5
    )
    assert {(sample.illuminant, sample.observer) for sample in read} == {("D50", "2")}


@given(st.lists(SAMPLES, min_size=1, max_size=3))
def test_the_columns_under_d50_alone_say_the_same_colour(samples):
    """As another program would save the table, without the columns it does not know."""
    inside = writable(samples)
    assume(inside)
    text = write_cgats(inside).replace("LAB_D65", "OTHER")
    assert inside
    for found, sample in zip(read_cgats(text), inside, strict=True):
        assert delta_e_2000(found.lab, sample.lab) < 0.002
        assert found.uncertainty == 1.4


def test_colours_are_written_under_d50_and_the_file_says_so(reference):
    whites = reference.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    text = write_cgats([CgatsSample('the "first"\n light', (38.2, 9.1, 15.4), 14)], title="dawn")
    assert text.startswith('CGATS.17\nORIGINATOR "luthiers-brief"\nFILE_DESCRIPTOR "dawn"\n')
    assert "illuminant D50 with the 2 degree observer" in text
    assert 'WEIGHTING_FUNCTION "ILLUMINANT, D50"\nWEIGHTING_FUNCTION "OBSERVER, 2 degree"' in text
    written = next(line for line in text.splitlines() if "first" in line).split("\t")
    assert written[1] == "\"the 'first' light\""
    adapted = reference.chromatic_adaptation(
        reference.Lab_to_XYZ([38.2, 9.1, 15.4], whites["D65"]),
        reference.xy_to_XYZ(whites["D65"]),
        reference.xy_to_XYZ(whites["D50"]),
        method="Von Kries",
        transform="Bradford",
    )
    expected = reference.XYZ_to_Lab(adapted, whites["D50"])
    np.testing.assert_allclose([float(cell) for cell in written[2:5]], expected, atol=0.03)
    assert written[5:] == ["38.2000", "9.1000", "15.4000", "14.0000"]


def test_nothing_is_not_written():
    with pytest.raises(ColourInputError, match="no colour to write"):
        write_cgats([])
    with pytest.raises(ColourInputError, match="Lab must be finite numbers"):
        write_cgats([CgatsSample("fog", (float("nan"), 0, 0))])


@pytest.fixture(scope="module")
def little_cms():
    """The reader of Little CMS 2, from the system or out of Pillow's wheel."""
    bundled = Path(PIL.__file__).parents[1] / "pillow.libs"
    paths = [ctypes.util.find_library("lcms2"), *map(str, bundled.glob("liblcms2*"))]
    path = next((path for path in paths if path), None)
    if path is None:
        pytest.skip("there is no shared Little CMS here")
    library = ctypes.CDLL(path)
    handle, place = ctypes.c_void_p, ctypes.c_int
    library.cmsIT8LoadFromMem.restype = handle
    library.cmsIT8LoadFromMem.argtypes = [handle, ctypes.c_char_p, ctypes.c_uint32]
    library.cmsIT8GetDataRowColDbl.restype = ctypes.c_double
    library.cmsIT8GetDataRowColDbl.argtypes = [handle, place, place]
    library.cmsIT8GetDataRowCol.restype = ctypes.c_char_p
    library.cmsIT8GetDataRowCol.argtypes = [handle, place, place]
    library.cmsIT8Free.argtypes = [handle]
    return library


def test_little_cms_reads_what_is_written(little_cms):
    samples = [
        CgatsSample("mother-of-pearl, warm side", (85.2, -1.1, 6.3), 2.0),
        CgatsSample("Moorkiefer öl", (31.0, 6.2, 9.9), 14.0),
        CgatsSample("verdigris", (46.8, -18.3, 0.01), 0.0),
    ]
    text = write_cgats(samples, title="saltmarsh").encode()
    found = little_cms.cmsIT8LoadFromMem(None, text, len(text))
    assert found
    for row, sample in enumerate(samples):
        name = little_cms.cmsIT8GetDataRowCol(found, row, 1).decode()
        numbers = [little_cms.cmsIT8GetDataRowColDbl(found, row, column) for column in range(2, 9)]
        assert name == sample.name
        np.testing.assert_allclose(numbers[:3], lab_under(sample.lab), atol=6e-5)
        np.testing.assert_allclose(numbers[3:], [*sample.lab, sample.uncertainty], atol=6e-5)
    little_cms.cmsIT8Free(found)


@given(st.text(max_size=200), st.integers(0, 400), st.integers(0, 400))
def test_no_text_breaks_the_reader(noise, start, end):
    """Noise in place of any piece of a good file: read or refused, never anything else."""
    text = write_cgats([CgatsSample("reed", (61, 1, 24), 3.25)])
    for candidate in (noise, text[:start] + noise + text[end:], text[:start] + text[end:]):
        try:
            samples = read_cgats(candidate)
        except InputError:
            continue
        assert np.isfinite([sample.lab for sample in samples]).all()
