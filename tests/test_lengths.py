"""Lengths and numbers as people type them: read exactly, or refused with a way out."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.errors import InputError, quoted
from brief.lengths import IN_MM, read_length, unit_of, write_length
from brief.numerals import read_number

# Millimetres, all exact: an inch is 25.4 mm by the international yard and pound agreement of 1959.
PUBLISHED = {
    # NIST SP 811 (2008), appendix B.8, the factors in bold: inch 2.54 E-02 m, foot 3.048 E-01 m,
    # mil (0.001 in) 2.54 E-05 m.
    "1 in": "25.4",
    "1 ft": "304.8",
    "1 thou": "0.0254",
    # The usual table of fractions in machinists' handbooks, here with all its places.
    "1/64 in": "0.396875",
    "1/32 in": "0.79375",
    "1/16 in": "1.5875",
    "3/32 in": "2.38125",
    "1/8 in": "3.175",
    "5/32 in": "3.96875",
    "3/16 in": "4.7625",
    "1/4 in": "6.35",
    "5/16 in": "7.9375",
    "3/8 in": "9.525",
    "7/16 in": "11.1125",
    "1/2 in": "12.7",
    "9/16 in": "14.2875",
    "5/8 in": "15.875",
    "3/4 in": "19.05",
    "7/8 in": "22.225",
    "63/64 in": "25.003125",
    # Scale lengths that are sold in inches, by the same factor.
    "24 3/4 in": "628.65",
    "25 1/2 in": "647.7",
    "25.34 in": "643.636",
}


@pytest.mark.parametrize(("typed", "mm"), PUBLISHED.items())
def test_inches_are_converted_as_published(typed, mm):
    assert read_length(typed) == Fraction(mm)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        *[(typed, "650") for typed in ("650", "650 mm", "650mm", "65 cm", "0,65 m", "0.65 m",
          "+650", " 650 MM ", "650 millimetres", "650\u00a0mm", "650\u202fmm", "６５０ ｍｍ", "٦٥٠",
          "65 ㎝", "650 mm.", "650\u200e mm", "650,0")],
        *[(typed, "647.7") for typed in ("25 1/2 in", '25-1/2"', "25½″", "25½ in", "25 ½ in.",
          "25 1⁄2 in", "25¹⁄₂ in", "25.5''", "25,5 inches", "25.5 inch", "25 1/2”", "25 - 1/2 in",
          "2 ft 1 1/2 in", "2' 1½\"", "2’ 1 1/2″", "2ft 1.5", "2'-1 1/2\"", "25.500 in")],
        ('1/16"', "1.5875"), ("3/16 inch", "4.7625"), ("3/4 of an inch", "19.05"),
        ("⅟16 in", "1.5875"),
        ("6 ft", "1828.8"), ("6 feet", "1828.8"), ("6'", "1828.8"), ("6' 2 1/2\"", "1892.3"),
        ("6 ft 2", "1879.6"), ("6'2\"", "1879.6"), ("6 1/2 ft", "1981.2"), ("12 thou", "0.3048"),
        ("2.5 m", "2500"), ("2,5 metres", "2500"), ("−5", "-5"), ("–5 mm", "-5"), ("- 5", "-5"),
        ("-1/4 in", "-6.35"), ("-1' 6\"", "-457.2"), (".5", "0.5"), ("2,", "2"), ("1/2 mm", "0.5"),
        ("0,125", "0.125"), ("0.125", "0.125"), ("3.175", "3.175"), ("1 250,5", "1250.5"),
        ("1.250,5", "1250.5"), ("1,250.5", "1250.5"), ("1 250", "1250"), ("1,250,000", "1250000"),
        ('1.250"', "31.75"), ("1.250 m", "1250"),
    ],
)  # fmt: skip
def test_what_people_type_is_read_exactly(typed, mm):
    assert read_length(typed) == Fraction(mm)


@pytest.mark.parametrize(
    "typed",
    ["", " ", "-", "wide", "mm", "5 m m", "5 furlongs", "2-3 mm", "2 to 3 mm", "2 x 3", "2*3",
     "2+3", "1e3", "0x10", "inf", "nan", "1_000", "__import__('os')", "(5)", "12,34.5", "1,25,000",
     "1.2.3", "0,125.5", "5³", "251/2 in", "3/2 in", "1/0 in", "25 3/2 in", "6' 14\"",
     "6.5' 2\"", "1'250", "6'' 2", "5 mm in", "5-", "+-5", "٥/0 in", "9" * 41],
)  # fmt: skip
def test_anything_else_is_refused_with_a_way_out(typed):
    with pytest.raises(InputError, match=r"(Try|Write) \d") as refused:
        read_length(typed)
    assert "“" in str(refused.value)


@pytest.mark.parametrize("typed", ["25 1/2", "25½", "1/2", "3-3/8"])
def test_a_fraction_needs_its_unit(typed):
    with pytest.raises(InputError, match=r"is a fraction without a unit\. Write .*/.* in\."):
        read_length(typed)


@pytest.mark.parametrize(
    ("typed", "way_out"),
    [("1,250", "1250 or 1.25."), ("1,000", "1000 or 1."), ("12,345", "12345 or 12.345."),
     ("1.250", "1250 or 1.25."), ("1,250 mm", "1250 mm or 1.25 mm."),
     ("2.900 mm", "2900 mm or 2.9 mm."),
     ("1,250 in", "1250 in or 1.25 in."), ('1,250"', "1250\" or 1.25\".")],
)  # fmt: skip
def test_a_mark_that_may_part_thousands_is_asked_about(typed, way_out):
    with pytest.raises(InputError, match="part thousands or decimals") as asked:
        read_length(typed)
    assert str(asked.value).endswith(f"Write {way_out}")


@pytest.mark.parametrize(
    ("typed", "way_out"),
    [("1'000", "1000 or 1 ft 0 in."), ("1’005", "1005 or 1 ft 5 in."), ("1'650", "1650."),
     ("2'011 in", "2011 in or 2 ft 11 in.")],
)  # fmt: skip
def test_an_apostrophe_that_may_part_thousands_is_asked_about(typed, way_out):
    with pytest.raises(InputError, match="part thousands or end the feet") as asked:
        read_length(typed)
    assert str(asked.value).endswith(f"Write {way_out}")


def test_a_bare_number_is_in_the_unit_of_its_field():
    assert read_length("2,5", "m") == Fraction("2.5")
    assert read_length("10 ft", "m") == Fraction("3.048")
    assert [unit_of(one) for one in ("2,5", "2.5 m", "6' 2\"", '2"')] == [None, "m", "ft", "in"]


LENGTHS = st.fractions(min_value=0, max_value=1000, max_denominator=1).flatmap(
    lambda whole: st.tuples(st.just(int(whole)), st.integers(1, 63), st.sampled_from([2, 4, 8, 64]))
)
WAYS = (
    "{w} {a}/{b} in",
    '{w}-{a}/{b}"',
    "{w}\u00a0{a}⁄{b}″",
    "{w} {a}/{b} inches",
    "{w} {a} / {b} IN",
)


@given(LENGTHS, st.sampled_from(WAYS), st.sampled_from(["", "-", "−"]))
def test_a_mixed_number_of_inches_is_its_own_sum(parts, way, sign):
    whole, above, below = parts
    above = above % below or 1
    read = read_length(sign + way.format(w=whole, a=above, b=below))
    assert read == (-1 if sign else 1) * (whole + Fraction(above, below)) * Fraction("25.4")


@given(
    st.decimals(0, 99_999, allow_nan=False, places=4),
    st.sampled_from(sorted(IN_MM)),
    st.sampled_from([".", ","]),
)
def test_decimals_are_read_as_they_are_written(value, unit, mark):
    typed = f"{value:.4f}".replace(".", mark) + f" {unit}"
    assert read_length(typed) == Fraction(value) * IN_MM[unit]


@given(st.floats(1e-4, 1e4))
def test_a_length_written_is_the_same_when_it_is_read(value):
    assert float(read_length(write_length(value))) == value


@given(st.text(max_size=45))
def test_no_text_does_more_than_be_refused(text):
    try:
        read = read_length(text)
    except InputError:
        return
    assert isinstance(read, Fraction)


@pytest.mark.parametrize(
    ("typed", "units", "value"),
    [("45°", ("°", "deg"), "45"), ("22½ °", ("°",), "22.5"), ("-90 deg", ("°", "deg"), "-90"),
     ("Ra 83", ("ra",), "83"), ("2900 K", ("k",), "2900"), ("2 900 K", ("k",), "2900"),
     ("€68", ("€",), "68"), ("68,50 €", ("€",), "68.5"), ("12 %", ("%",), "12"),
     ("410 g", ("g",), "410"),
     ("620 kg/m3", ("kg/m³", "kg/m3"), "620"), ("620 kg/m³", ("kg/m³", "kg/m3"), "620")],
)  # fmt: skip
def test_a_number_may_come_with_its_unit(typed, units, value):
    assert read_number(typed, units) == Fraction(value)


@pytest.mark.parametrize("typed", ["K 2900 K", "2900 F", "2900K/83", "", "€", "1,250", "2.900"])
def test_a_number_with_another_unit_is_refused(typed):
    with pytest.raises(InputError, match="Write"):
        read_number(typed, ("k", "€"), example="2900 K")


def test_a_value_is_quoted_in_one_way():
    assert quoted('0.165"') == '“0.165"”'
    assert quoted("a\u202eb\n c\x00") == "“a�b c�”"
    assert len(quoted("x" * 5000)) == 62
    given_values = (None, True, 7, 0.5, 1e-200, float("nan"), [1], {})
    assert [quoted(one) for one in given_values] == [
        "nothing", "true", "7", "0.5", "1e-200", "nan", "a list", "an object",
    ]  # fmt: skip
