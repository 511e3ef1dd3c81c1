"""The numbers of an instrument, and what follows from them on the pages."""

import pytest

LAST_FRET = 18


@pytest.fixture
def numbers(client, brief):
    def now():
        return {
            one["name"]: one
            for one in client.get(f"/api/briefs/{brief['id']}/numbers").json()["numbers"]
        }

    return now


@pytest.fixture
def change(client, brief):
    def changed(**values):
        return client.patch(
            f"/api/briefs/{brief['id']}/numbers", json=values, headers={"If-Match": "*"}
        )

    return changed


def test_they_begin_as_those_of_the_kind(numbers):
    assert not any(one["changed"] for one in numbers().values())
    scale = numbers()["scale_mm"]
    assert scale["value"] == scale["usual"] == 628
    assert (scale["least"], scale["most"]) == (330, 864)


@pytest.mark.parametrize(
    ("typed", "millimetres"),
    [(640, 640), ("640", 640), ("640,5 mm", 640.5), ("25.5 in", 647.7), ("25 1/4 in", 641.35),
     ('24"', 609.6), ("3/4 in", None), ("25½ in", 647.7), ("25 ½ in", 647.7),
     ('25-1/2"', 647.7), ("-25 in", None), ("1,234.5", None), ("25 1/00 in", None)],
)  # fmt: skip
def test_a_scale_in_millimetres_or_inches(change, numbers, typed, millimetres):
    answer = change(scale_mm=typed)
    if millimetres is None:
        assert answer.status_code == 422
    else:
        assert answer.is_success, answer.text
        assert numbers()["scale_mm"]["value"] == millimetres
        assert numbers()["scale_mm"]["changed"]


def test_the_usual_one_is_taken_again(change, numbers):
    change(scale_mm=640, nut_mm=45)
    change(scale_mm=None)
    assert not numbers()["scale_mm"]["changed"]
    change(nut_mm=46)
    assert not numbers()["nut_mm"]["changed"]


@pytest.mark.parametrize(
    ("values", "field", "said"),
    [
        ({"nut_mm": 60}, "nut_mm", "narrower at the nut than at the 12th fret"),
        ({"frets": 60}, "frets", "must be a whole number between 12 and 30"),
        ({"scale_mm": 0}, "scale_mm", "between 330 and 864"),
        ({"scale_mm": -5}, "scale_mm", "between 330 and 864"),
        ({"frets": "12 in"}, "frets", "Frets is a count; got “12 in”. Write 12."),
        (
            {"scale_mm": "1,234.5"},
            "scale_mm",
            "between 330 and 864 mm on this model; got 1234.5",
        ),
        ({"waist_mm": 275}, "waist_mm", "waist"),
        ({"scale_mm": "long"}, "scale_mm", "“long” is not a length. Try 650 mm"),
        ({"whiskers": 3}, "whiskers", "has no number called “whiskers”"),
    ],
)
def test_what_cannot_be_built_is_refused_and_the_last_stays(change, numbers, values, field, said):
    change(scale_mm=640)
    before = numbers()
    answer = change(**values)
    assert answer.status_code == 422
    (fault,) = answer.json()["errors"]
    assert fault["pointer"] == f"/{field}"
    assert said in fault["detail"]
    assert numbers() == before


def test_what_does_not_fit_is_said_at_what_was_just_changed(change):
    assert change(frets=20, cutaway_depth_mm=60, cutaway_length_mm=90).is_success
    for values in ({"hole_at_mm": 113}, {"cutaway_round_mm": 60}, {"upper_mm": 200}):
        (fault,) = change(**values).json()["errors"]
        assert fault["pointer"] == f"/{next(iter(values))}"


def test_two_tabs_do_not_overwrite_each_other(client, brief, change):
    old = client.get(f"/api/briefs/{brief['id']}/numbers").headers["etag"]
    change(scale_mm=640)
    late = client.patch(
        f"/api/briefs/{brief['id']}/numbers", json={"nut_mm": 45}, headers={"If-Match": old}
    )
    assert late.status_code == 412


def test_another_kind_has_its_own_numbers(client, brief, change, numbers):
    change(scale_mm=640)
    client.patch(
        f"/api/briefs/{brief['id']}", json={"kind": "tenor-ukulele"}, headers={"If-Match": "*"}
    )
    assert not numbers()["scale_mm"]["changed"]
    assert numbers()["scale_mm"]["value"] < 500


def test_the_pages_follow(client, brief, change):
    change(scale_mm=650)
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "325.00" in page  # the 12th fret of 650 mm
    assert "Usual: 628" in page
    bench = client.get(f"/briefs/{brief['id']}/bench").text
    assert "650\u00a0mm scale" in bench
    assert bench.count("data-fret=") == LAST_FRET


def test_frets_that_fan_are_measured_along_both_edges(client, brief, change):
    assert change(scale_mm=648, fan_mm=20).is_success
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "fan from 648\u00a0mm at the bass to 628 mm at the treble; fret 7 is square" in page
    assert "along the bass edge (mm)" in page
    assert "by the rule of 18" not in page
    bench = client.get(f"/briefs/{brief['id']}/bench").text
    assert bench.count("<small>treble edge</small>") == LAST_FRET
    for sheet in ("fretboard", "body", "head", "bridge"):
        for form in ("svg", "dxf", "pdf"):
            answer = client.get(f"/api/briefs/{brief['id']}/drawings/{sheet}.{form}")
            assert answer.status_code == 200


def test_a_cutaway_is_said_at_its_number_where_it_cannot_be(client, brief, change):
    assert change(cutaway_depth_mm=65).is_success
    late = change(cutaway_depth_mm=150)
    (fault,) = late.json()["errors"]
    assert fault["pointer"] == "/cutaway_depth_mm"
    assert "would run into the neck" in fault["detail"]
    page = client.get(f"/briefs/{brief['id']}/drawing").text
    assert "Sides, treble, with the cutaway" in page
