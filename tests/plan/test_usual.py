import tomllib

import pytest

from brief.instrument import presets
from brief.instrument.presets import preset
from brief.plan.network import in_order
from brief.plan.simulate import Estimate
from brief.plan.usual import TABLE, InlayPieces, Instrument, usual_stages

ROLES = frozenset({"rosette", "binding", "purfling"})
GUITAR = Instrument("guitar", ROLES)


def _by_key(instrument):
    return {one.key: one for one in usual_stages(instrument)}


def test_every_kind_of_instrument_has_a_list_without_circles():
    for name, _ in presets():
        kind = preset(name)
        roles = frozenset(part.role for part in kind.parts)
        stages = usual_stages(Instrument(kind.family, roles, (InlayPieces("Bird", 11),), ("oil",)))
        keys = [one.key for one in stages]
        assert len(set(keys)) == len(keys)
        after = {one.key: one.after for one in stages}
        assert {key for those in after.values() for key in those} <= set(keys)
        assert in_order(after)[0] == "wood"
        assert all(Estimate(*one.hours).mean > 0 for one in stages)
        assert kind.family in tomllib.loads(TABLE.read_text(encoding="utf-8"))["families"]


def test_roles_in_the_table_are_those_of_the_presets():
    known = {part.role for name, _ in presets() for part in preset(name).parts}
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    assert {row["role"] for row in table["stages"] if "role" in row} <= known


def test_a_guitar_takes_what_makers_say_by_hand():
    # 100 to 250 hours for a hand-built guitar: common practice, no source.
    assert 100 < sum(Estimate(*one.hours).mean for one in usual_stages(GUITAR)) < 250


def test_a_ukulele_is_quicker():
    hours = [
        sum(one.hours[1] for one in usual_stages(Instrument(family, ROLES)))
        for family in ("guitar", "ukulele")
    ]
    assert hours[1] < 0.75 * hours[0]


def test_an_inlay_of_eleven_pieces_takes_longer_than_dots():
    bird = _by_key(Instrument("guitar", ROLES, (InlayPieces("Bird", 11),)))["inlay-1"]
    dots = _by_key(Instrument("guitar", ROLES, (InlayPieces("Dots", 11, dots=True),)))["inlay-1"]
    assert bird.hours[1] > 5 * dots.hours[1]
    assert bird.spare
    assert bird.name == "Inlay: Bird"


def test_a_part_that_is_not_there_hands_on_what_came_before_it():
    stages = _by_key(Instrument("guitar", frozenset()))
    assert "rosette" not in stages
    assert stages["top"].after == ("thickness",)
    assert stages["joint"].after == ("neck", "fretboard", "box")


@pytest.mark.parametrize(
    ("written", "days"),
    [
        ("French polish", 10),
        ("thin nitro lacquer", 28),
        ("Tung OIL", 14),
        ("oil varnish", 21),
        ("", 14),
    ],
)
def test_the_cure_is_that_of_the_slowest_finish_named(written, days):
    assert _by_key(Instrument("guitar", ROLES, finishes=(written,)))["finish"].wait_days == days
