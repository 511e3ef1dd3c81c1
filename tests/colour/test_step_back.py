"""Stepping back from a line, and the plain sentence about it: the same rule as the verdict's."""

from dataclasses import replace

import numpy as np
import pytest

from brief.colour.verdicts.pairs import READINGS, pair_figures
from brief.colour.verdicts.plain_words import MOST_WORDS, plain_sentence
from brief.colour.verdicts.step_back import StepBack, step_back
from brief.colour.viewing.colour_vision import eyes
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.light import light
from brief.colour.viewing.observer import LinePiece
from brief.errors import ColourInputError

WALNUT, SHELL = [36.0, 9, 9], [84.0, 4, 20]  # invented
AWAY = [0.3, 0.5, 1.0, 1.83, 2.0, 3.4, 6.0, 12.0]
LOFT = Condition("loft", "in the loft", 2.0, "finished", light("A"), eyes("deutan"))
rng = np.random.default_rng(11)
WOOD = LinePiece(rng.normal(0, 3, (4, 240, 3)), 2 / 12, 0.5)
FIGURE = np.array([[-4.0, 0, 0, 1], [4.0, 0, 0, 1], [0, 0, 0, 2]])


@pytest.mark.parametrize("condition", [BENCH, LOFT], ids=["bench", "loft"])
@pytest.mark.parametrize("line_mm", [None, 0.2, 1.5])
@pytest.mark.parametrize("wood", ["piece", "figure", "unknown"])
def test_it_is_the_verdict_of_every_distance(wood, line_mm, condition) -> None:
    known = {"piece": {"piece": WOOD}, "figure": {"figure": FIGURE}, "unknown": {}}[wood]
    for inlay in rng.uniform([30, 0, 0], [70, 15, 20], (4, 3)):
        for doubt in (0.0, 6.0):
            steps = step_back(
                WALNUT, inlay, condition, AWAY, line_mm=line_mm, uncertainty=doubt, **known
            )
            one_by_one = pair_figures(
                [WALNUT],
                [inlay],
                [replace(condition, distance_m=away) for away in AWAY],
                widths_mm=None if line_mm is None else [line_mm],
                uncertainties=doubt,
                pieces=[known.get("piece")],
                figure=known["figure"][np.newaxis] if "figure" in known else None,
            )
            assert steps.readings == tuple(READINGS[i] for i in one_by_one.reading[:, 0])
            unsure = [lean != "" for lean in steps.leans]
            assert unsure == [reading == "doubtful" for reading in steps.readings]


def test_a_fine_line_fades_as_one_steps_back() -> None:
    away = np.round(np.arange(0.3, 6.05, 0.1), 1).tolist()
    steps = step_back(WALNUT, SHELL, BENCH, away, line_mm=0.2, uncertainty=4, piece=WOOD)
    assert [zone[2] for zone in steps.zones] == ["reads", "doubtful", "sinks"][: len(steps.zones)]
    assert len(steps.zones) > 1
    first, stops = steps.reads_about(6.0)
    assert first is None
    at = steps.index(stops)
    assert steps.readings[at - 1] == "reads"
    assert steps.readings[at] == "doubtful"


@pytest.mark.parametrize("away", [[], [2.0, 1.0], [1.0, 1.0], [0.0, 1.0], [[1.0, 2.0]], [np.nan]])
def test_distances_that_do_not_grow_are_refused(away) -> None:
    with pytest.raises(ColourInputError):
        step_back(WALNUT, SHELL, BENCH, away, line_mm=1.0)


def steps_of(text: str) -> StepBack:
    """ "r.s" as readings from 1 m on; "." is borderline, "+" leans to reading, "-" to sinking."""
    named = {"r": "reads", "s": "sinks"}
    leans = {".": "found", "+": "reads", "-": "sinks"}
    return StepBack(
        tuple(float(i + 1) for i in range(len(text))),
        tuple(named.get(one, "doubtful") for one in text),
        tuple(leans.get(one, "") for one in text),
    )


@pytest.mark.parametrize(
    ("readings", "here", "said"),
    [
        ("rrrr", 2, "Shows clearly from 2 m."),
        ("rrr.s", 2, "Shows clearly from 2 m; stops reading at 4\u00a0m."),
        ("r..s", 2, "Found from 2 m only when looked for; it stops reading at 2\u00a0m."),
        ("r+.s", 2, "Probably shows from 2 m; it stops reading at 2\u00a0m."),
        ("r-ss", 2, "May disappear from 2 m; it stops reading at 2\u00a0m."),
        ("rsss", 3, "Disappears from 3 m; it stops reading at 2\u00a0m."),
        ("ssss", 3, "Disappears from 3 m; it reads at no distance."),
        ("++++", 3, "Probably shows from 3 m; not certain at any distance."),
        ("....", 3, "Found from 3 m only when looked for; it reads at no distance."),
        ("ssrr", 1, "Disappears from 1 m; it reads only from 3\u00a0m on."),
        ("srrss", 5, "Disappears from 5 m; reads from 2\u00a0m, not from 4\u00a0m."),
    ],
)
def test_what_is_said(readings, here, said) -> None:
    assert plain_sentence(steps_of(readings), here, f"from {here} m") == said


def test_what_is_worse_elsewhere_is_said_where_it_reads() -> None:
    here = replace(LOFT, eyes=BENCH.eyes)
    other = {
        "to green-blind eyes": LOFT,
        "once aged": replace(here, state="aged"),
        "at the bench": BENCH,
        "elsewhere": replace(here, distance_m=5.0, state="aged"),
    }
    for words, condition in other.items():
        asked = [(here, "reads"), (condition, "sinks")]
        said = plain_sentence(steps_of("rrr"), 2, "from 2 m", asked, here)
        assert said == f"Shows clearly from 2 m; sinks {words}."
        sunk = plain_sentence(steps_of("sss"), 2, "from 2 m", asked, here)
        assert words not in sunk
    same = [(here, "reads"), (LOFT, "reads")]
    assert plain_sentence(steps_of("rrr"), 2, "from 2 m", same, here) == "Shows clearly from 2 m."


def test_it_never_says_more_than_fourteen_words() -> None:
    texts = ["".join(one) for one in rng.choice(list("rs.+-"), (400, 6))]
    worse = [(LOFT, "doubtful"), (replace(LOFT, state="aged"), "sinks")]
    places = ["from 2 m", "at the bench", "from 6 1/2 ft", "from 10 ft 6 1/2 in or so, all told"]
    for text in texts:
        for here in (1.0, 4.0):
            for place in places:
                for elsewhere in ([], worse):
                    said = plain_sentence(
                        steps_of(text), here, place, elsewhere, replace(LOFT, eyes=BENCH.eyes)
                    )
                    assert len(said.split()) <= MOST_WORDS, said
                    assert said.endswith(".")
                    reads = text[int(here) - 1] == "r"
                    assert said.startswith("Shows clearly") == reads
