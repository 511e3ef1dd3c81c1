"""The page of one pairing: seen large, and stepped back from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.colour.verdicts.pairs import Reading
from brief.colour.verdicts.plain_words import metres, reach_sentence
from brief.colour.viewing.conditions import BENCH_M
from brief.services import nouns
from brief.services.drawing.inlay_drawings import thinnest_of
from brief.services.drawing.pair_pictures import (
    PairPicture,
    lacks_a_picture,
    picture_from,
    untested_words,
)
from brief.services.pages.shared import Along, Choices, NotesAndComments, along, said_of
from brief.services.pages.wood.pairings import Ways, ways_to_see
from brief.services.pairing.glances import NEAREST_M, Glance, glance
from brief.services.pairing.pairings import PairingView
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import EYES, Shown
from brief.store.desk import Desk
from brief.store.records import Brief, Pairing
from brief.wood import REMINDER

# Between two of these the browser fades from one picture to the next.
FRAMES_M = (0.3, 0.5, 0.8, 1.2, 1.8, 2.6, 3.8, 5.0, 6.0, 8.0, 12.0, 20.0)


@dataclass(frozen=True)
class Zone:
    """A run of one reading on the track of the slider, in per cent of its length."""

    reading: Reading
    left: float
    width: float


@dataclass(frozen=True)
class TrackMark:
    """A place on the track where people stand: which stop, in per cent of its length."""

    words: str
    stop: int
    at: float


@dataclass(frozen=True)
class Slider:
    """The way back: distance and reading of each stop, pictures by their distance.

    now : which stop it begins at. stop_words : each stop as it is said. edges : where the line
    begins or stops to read, in a sentence.
    """

    stops: Sequence[tuple[float, Reading]]
    frames: Sequence[tuple[float, str]]
    now: int
    stop_words: Sequence[str]
    zones: Sequence[Zone]
    marks: Sequence[TrackMark]
    edges: str


@dataclass(frozen=True)
class PairingPage:
    """glance, slider : None without the colours, or without a scale. bench : as it is at arm's
    length. never_tested : which piece is shown without the state. lacks : what would let it be
    shown in its own wood. inlays_thin : the thinnest place of each inlay. All three in words.
    """

    pairing: PairingView
    glance: Glance | None
    picture: PairPicture | None
    bench: PairPicture | None
    slider: Slider | None
    ways: Ways
    never_tested: str
    lacks: str
    inlays_thin: Sequence[str]
    eyes_words: Mapping[str, str]
    has_stock: bool
    along: Along


def pairing_page(
    desk: Desk, brief: Brief, pairing: Pairing, shown: Shown, asked: Mapping[str, str]
) -> tuple[PairingPage, NotesAndComments]:
    """What the page of one pairing shows; `asked` as `seen_in` has it."""
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    sides = sides_of(desk, [pairing]).get(pairing.id)
    ways = ways_to_see(asked, shown, viewings, sides.surfaces if sides else ())
    seen = ways.seen
    at_a_glance = glance(pairing, sides, seen, viewings) if sides else None
    picture = picture_from(desk, pairing, sides, seen) if sides else None
    slider = bench = None
    if sides and at_a_glance and picture and picture.address:
        bench = picture_from(desk, pairing, sides, seen, BENCH_M)
        farthest = at_a_glance.steps.distances_m[-1]
        here = max(seen.distance_m, NEAREST_M)
        nearer = [one for one in FRAMES_M if one < farthest]
        frames = [
            (away, picture_from(desk, pairing, sides, seen, away).address)
            for away in sorted({*nearer, here, farthest})
        ]
        named = {one.distance_m: one.name for one in viewings} | {BENCH_M: "bench"}
        slider = slider_of(at_a_glance, here, frames, named)
    page = PairingPage(
        pairing=nouns.pairings.show(desk, pairing),
        glance=at_a_glance,
        picture=picture,
        bench=bench,
        slider=slider,
        ways=ways,
        never_tested=untested_words(sides, seen.shown.switches.state) if sides else "",
        lacks=lacks_a_picture(desk, pairing) if picture and not picture.address else "",
        inlays_thin=thinnest_of(desk, brief),
        eyes_words=EYES,
        has_stock=nouns.stocks.are_there(desk),
        along=along(desk, nouns.pairings, [pairing]),
    )
    return page, said_of(desk, brief, pairing.id)


def slider_of(
    at_a_glance: Glance,
    here_m: float,
    frames: Sequence[tuple[float, str]],
    named: Mapping[float, str],
) -> Slider:
    """The slider of one pairing; `named` are the places, by how far away people stand."""
    steps = at_a_glance.steps
    last = len(steps.distances_m) - 1
    zones = []
    for first, end, reading in steps.zones:
        left = max(0.0, (first - 0.5) / last)
        right = min(1.0, (end + 0.5) / last)
        zones.append(Zone(reading, 100 * left, 100 * (right - left)))
    marks = [
        TrackMark(name, steps.index(away), 100 * steps.index(away) / last)
        for away, name in sorted(named.items())
        if away >= NEAREST_M
    ]
    return Slider(
        stops=list(zip(steps.distances_m, steps.readings, strict=True)),
        frames=frames,
        now=steps.index(here_m),
        stop_words=[metres(away) for away in steps.distances_m],
        zones=zones,
        marks=marks,
        edges=reach_sentence(steps, here_m),
    )


@dataclass(frozen=True)
class PairingForm:
    """Two pieces to be put together: a new pairing, or other pieces for one.

    pairing : None of a new one. pieces : id and label of those that have a colour; stuffs : the
    kinds they are of.
    """

    pairing: PairingView | None
    pieces: Choices
    stuffs: Sequence[str]
    inlays_thin: Sequence[str]
    reminder: str = REMINDER


def pairing_form(desk: Desk, brief: Brief, pairing: Pairing | None) -> tuple[PairingForm]:
    """What the form for a pairing shows."""
    measured = [one for one in nouns.materials.page(desk) if one.lab is not None]
    form = PairingForm(
        pairing=nouns.pairings.show(desk, pairing) if pairing else None,
        pieces=[(one.id, one.label) for one in measured],
        stuffs=list(dict.fromkeys(one.stuff for one in measured)),
        inlays_thin=thinnest_of(desk, brief),
    )
    return (form,)
