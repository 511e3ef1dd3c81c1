"""A pairing at a glance: word, sentence, slider and picture are of the same readings."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from brief.colour.verdicts.plain_words import MOST_WORDS
from brief.services import nouns
from brief.services.drawing.pair_pictures import picture_as_asked
from brief.services.pages.wood.pairing import FRAMES_M, pairing_page
from brief.services.pages.wood.pairings import pairings_sheet
from brief.services.pairing.glances import distances, glance, glances
from brief.services.pairing.pairings import PairingDraft
from brief.services.pairing.seen_in import seen_in
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import EYES, Switches, shown_as
from brief.services.pairing.viewings import ViewingDraft
from brief.store.desk import Desk, Store
from brief.store.records import Brief

pytestmark = pytest.mark.computed

WALNUT, STREAK = (92, 60, 44), (120, 84, 62)


@pytest.fixture(scope="module")
def demo(demo_filed, tmp_path_factory) -> Iterator[tuple[Desk, Brief]]:
    filed, brief_id = demo_filed
    store = Store(shutil.copytree(filed, tmp_path_factory.mktemp("demo") / "home"))
    with store.desk() as desk:
        yield desk, nouns.briefs.get(desk, brief_id)
    store.close()


def seen_at(desk, brief, place="", **asked):
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    wanted = asked | ({"place": place} if place else {})
    return seen_in(wanted, Switches(), viewings, finished=True), viewings


def test_the_word_is_the_verdicts_own_under_each_condition(demo) -> None:
    """Of all pairings of the demo, in each place and state that was asked about, to all eyes."""
    desk, brief = demo
    pairings = nouns.pairings.page(desk, brief_id=brief.id)
    sides = sides_of(desk, pairings)
    looked = 0
    for view, pairing in zip(nouns.pairings.show_all(desk, pairings), pairings, strict=True):
        for one in view.verdict.seen:
            place = "D65" if one.distance_m == 0.5 else one.key[:26]
            seen, viewings = seen_at(desk, brief, place, state=one.state, eyes=one.eyes)
            assert seen.distance_m == one.distance_m
            found = glance(pairing, sides[pairing.id], seen, viewings)
            assert found.reading == one.reading, (one.words, found.sentence)
            looked += 1
    assert looked > 60


def test_headlines_are_the_bench_and_where_it_does_worse_if_it_does(demo) -> None:
    desk, brief = demo
    ranks = ("sinks", "doubtful", "reads")
    further = set()
    for view in nouns.pairings.show_all(desk, nouns.pairings.page(desk, brief_id=brief.id)):
        bench, *worse = view.verdict.headlines
        assert bench == view.verdict.seen[0]
        lowest = min((one.reading for one in view.verdict.seen), key=ranks.index)
        assert [one.reading for one in worse] == [lowest] * (lowest != bench.reading)
        further.add(len(worse))
    assert further == {0, 1}


def test_sentence_slider_and_word_agree_everywhere(demo) -> None:
    desk, brief = demo
    pairings = nouns.pairings.page(desk, brief_id=brief.id)
    sides = sides_of(desk, pairings)
    places = ["D65", *(one.id for one in nouns.viewings.page(desk, brief_id=brief.id))]
    said = set()
    for place in places:
        for state in ("bare", "aged"):
            for eyes in EYES:
                seen, viewings = seen_at(desk, brief, place, state=state, eyes=eyes)
                for found in glances(pairings, sides, seen, viewings).values():
                    at = found.steps.index(seen.distance_m)
                    assert found.steps.distances_m[at] == seen.distance_m
                    assert found.steps.readings[at] == found.reading
                    shows = found.sentence.startswith("Shows clearly")
                    assert shows == (found.reading == "reads"), found.sentence
                    gone = found.sentence.startswith("Disappears")
                    assert gone == (found.reading == "sinks"), found.sentence
                    assert len(found.sentence.split()) <= MOST_WORDS, found.sentence
                    run = found.steps.reads_about(seen.distance_m)
                    if "stops reading at" in found.sentence:
                        stop = found.sentence.split("stops reading at ")[1].split("\u00a0")[0]
                        assert float(stop) == pytest.approx(run[1], abs=0.005)
                    said.add(found.sentence.split()[0])
    assert len(said) > 1


def test_the_sheet_shows_each_as_it_will_be_seen_first(demo) -> None:
    desk, brief = demo
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    (sheet,) = pairings_sheet(desk, brief, shown_as(Switches(), viewings))
    loft = viewings[0]
    assert sheet.ways.seen.words == "Finished, in the net loft, from 2 m"
    assert [one.words for one in sheet.ways.places if one.now] == [loft.name]
    for picture in sheet.pictures.values():
        assert f"light={loft.id}" in picture.address
        assert "distance_m=2" in picture.address
        assert "state=finished" in picture.address


def test_what_the_switches_have_set_comes_before_the_first_place(demo) -> None:
    desk, brief = demo
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    door = viewings[1]

    def words(asked, **switches):
        return seen_in(asked, Switches(**switches), viewings, finished=True).words

    assert words({}, light=door.id) == "Finished, in the doorway, from 1 m"
    assert words({}, state="aged", eyes="deutan").startswith("Aged, in the net loft, to green")
    assert words({"place": "D65", "state": "bare"}, light=door.id, state="aged") == (
        "Bare, in daylight, at the bench"
    )
    assert words({}, light="A") == "Finished, lit by a filament lamp (CIE A), at the bench"
    for odd in ({"place": "gone"}, {"state": "<b>", "eyes": "\0"}, {"place": ""}):
        assert words(odd) == "Finished, in the net loft, from 2 m"
    assert words({}, light="of another brief") == "Finished, in the net loft, from 2 m"
    assert seen_in({}, Switches(), [], finished=False).words == "Bare, in daylight, at the bench"


def rows(jpeg: bytes) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(jpeg)).convert("RGB")).astype(float)


@pytest.mark.slow
@pytest.mark.parametrize("place", [2, 4])
def test_the_picture_fades_as_the_readings_say_and_between_two_pictures_as_well(
    demo, place
) -> None:
    """The browser fades from one picture to the next; that is compared with the picture that the
    filter makes of the distance between.
    """
    desk, brief = demo
    pairing = nouns.pairings.page(desk, brief_id=brief.id)[place]
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    shown = shown_as(Switches(state="finished", light=viewings[0].id), viewings)

    def picture(away):
        return rows(picture_as_asked(desk, pairing, shown, away))

    contrasts = []
    frames = [one for one in FRAMES_M if one <= 6]
    for near, far in itertools.pairwise(frames):
        one, other = picture(near), picture(far)
        middle = (near + far) / 2
        exact = picture(middle)
        faded = (one + other) / 2
        assert np.abs(faded - exact).mean() < 1.5  # levels of 255
        assert np.abs(faded - exact).max() < 25
        line, beside = exact[236:244].mean(axis=(0, 1)), exact[120:160].mean(axis=(0, 1))
        contrasts.append(np.abs(line - beside).max())
    assert all(a >= b - 1 for a, b in itertools.pairwise(contrasts))
    assert contrasts[-1] < contrasts[0] / 2


def test_odd_pairs_are_at_a_glance_too(desk, shop) -> None:
    """No width, no scale, no photograph, a lost colour, a place far off and one near by."""
    board, read = shop.piece(WALNUT, STREAK), shop.material("Lab 40 9 15", label="read")
    shell = shop.material("Lab 84 4 20", label="shell", stuff="shell")

    def ask(ground, inlay, **more):
        draft = PairingDraft(brief_id=shop.brief.id, ground_id=ground.id, inlay_id=inlay.id, **more)
        return nouns.pairings.add(desk, draft)

    pairings = [
        ask(board, shell),
        ask(board, shell, line_mm=0.1),
        ask(read, shell, line_mm=1),
        ask(read, board, line_mm=10),
    ]
    lost = ask(board, read, line_mm=1)
    for name, away in (("afar", 20), ("near", 0.2), ("odd", "6 1/2 ft")):
        nouns.viewings.add(
            desk, ViewingDraft(brief_id=shop.brief.id, name=name * 20, distance_m=away)
        )
    viewings = nouns.viewings.page(desk, brief_id=shop.brief.id)
    sides = sides_of(desk, pairings)
    for viewing in viewings:
        seen = seen_in({"place": viewing.id}, Switches(), viewings, finished=False)
        for pairing in pairings:
            found = glance(pairing, sides[pairing.id], seen, viewings)
            assert len(found.sentence.split()) <= MOST_WORDS
            assert found.steps.distances_m[-1] == 20
            page, _ = pairing_page(desk, shop.brief, pairing, seen.shown, {"place": viewing.id})
            assert page.slider is None
            assert page.lacks.startswith("To see it in its own wood and step back from it, p")
    shot = nouns.photographs.page(desk, material_id=board.id)[0]
    change = nouns.photographs.change_model(scale_points="0,50 100,50", scale_mm=100)
    nouns.photographs.change(desk, shot.id, "*", change)
    for viewing in viewings:
        shown = shown_as(Switches(), viewings)
        page, _ = pairing_page(desk, shop.brief, pairings[0], shown, {"place": viewing.id})
        assert page.slider.stops[page.slider.now][0] == pytest.approx(max(viewing.distance_m, 0.3))
        assert page.slider.zones[0].left == 0
        widths = sum(zone.width for zone in page.slider.zones)
        assert widths == pytest.approx(100)
        assert page.picture.distance_m == viewing.distance_m
    read.lab = None
    page, _ = pairing_page(desk, shop.brief, lost, shown_as(Switches(), viewings), {})
    assert (page.glance, page.picture, page.slider) == (None, None, None)
    (sheet,) = pairings_sheet(desk, shop.brief, shown_as(Switches(), viewings))
    assert lost.id not in sheet.at_a_glance
    assert len(sheet.pairings) == 5


def test_stops_are_tenths_of_a_metre_and_where_people_stand(desk, shop) -> None:
    near = nouns.viewings.add(
        desk, ViewingDraft(brief_id=shop.brief.id, name="odd", distance_m="6 ft")
    )
    stops = distances([near], 0.5)
    assert stops[0] == 0.3
    assert stops[-1] == 6.0
    assert near.distance_m in stops
    assert len(stops) == 59
