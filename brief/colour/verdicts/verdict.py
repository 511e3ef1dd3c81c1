"""Does the inlay read on this timber: at the bench, finished, aged, in the hall, to other eyes?

What a line is told from, the grain about it and the eye's own noise, is in
`brief.colour.viewing.observer`, with two thresholds: from the one a line is found, from the other
it stands out at a glance. An inlay reads when it stands out, sinks when it would not be found, and
is doubtful in between. All of it as the eye has it: a fine line fades with the distance, and so
does the figure.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import DifferenceParts
from brief.colour.harmony import Harmony
from brief.colour.notation.wording import difference_words, plus_minus, share_words
from brief.colour.spaces import Array, as_colours, as_numbers, as_one_colour
from brief.colour.verdicts.pairs import READINGS, PairFigures, Reading, pair_figures
from brief.colour.viewing.colour_vision import NORMAL
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.distance import (
    DISTANCES_M,
    WIDTHS_MM,
    distance_to_read,
    names_colour,
    width_to_read,
)
from brief.colour.viewing.light import DAYLIGHT, under
from brief.colour.viewing.observer import STANDS_OUT, LinePiece, grain_about_line, noise
from brief.errors import ColourInputError

FEW_RIVALS = 10  # with fewer, count them; with more, speak of "7 in 10"
# Of the gap in daylight; below it the light is named as what shrinks it: our working figure.
GAP_SHRINKS, LEAST_GAP = 0.8, 5.0  # CIEDE2000
PLACES = 10  # at which the grain about a line is worked out, to find how wide or far one reads

Kept = Callable[[float], float]


@dataclass(frozen=True)
class Seen:
    """The findings about an inlay on a ground under one condition; differences in CIEDE2000.

    Attributes
    ----------
    difference, uncertainty
        Of the two colours as patches, inlay less ground.
    seen, seen_uncertainty
        What the eye keeps of the line against the wood beside it.
    found, needed
        The difference from which the inlay is found, and from which it stands out at a glance.
    grain, drowned_share
        As `PairFigures`; None where nothing is known of the figure.
    width_to_read
        The width, mm, from which on a line would read from here.
    distance_to_read
        The distance, m, out to which this line reads. Both None where nothing does, or nothing was
        asked.
    names_colour
        Whether the hue of the line can still be told; None without a width.
    """

    condition: Condition
    reading: Reading
    difference: DifferenceParts[float]
    uncertainty: float
    seen: float
    seen_uncertainty: float
    found: float
    needed: float
    grain: float | None
    drowned_share: float | None
    harmony: Harmony[float]
    width_to_read: float | None
    distance_to_read: float | None
    names_colour: bool | None

    @property
    def detectability(self) -> float:
        """d' of the line in this wood."""
        return STANDS_OUT * self.seen / self.needed

    @property
    def does(self) -> str:
        """What the line does, in words that follow "it"."""
        if self.reading != "doubtful":
            return self.reading
        if self.seen >= self.needed:
            return "probably reads"
        if self.seen < self.found:
            return "may sink"
        return f"is {'probably ' if self.unsure else ''}found only when looked for"

    @property
    def unsure(self) -> bool:
        """Whether another reading is within the uncertainty."""
        least, most = self.seen - self.seen_uncertainty, self.seen + self.seen_uncertainty
        return least < self.found <= most or least < self.needed <= most

    @property
    def rank(self) -> tuple[int, float]:
        """The lower, the worse."""
        return READINGS.index(self.reading), (self.seen - self.seen_uncertainty) / self.needed


@dataclass(frozen=True)
class PairVerdict:
    """The findings about an inlay on a ground, under one condition or more.

    Attributes
    ----------
    seen : tuple of Seen
        One for each condition; the first is the bench.
    better_than : float or None
        The share of the `rivals` other pairs with a lower harmony, 0 to 1; None without any.
    standing : str
        The same in words ("6 in 10", "2 of 5", "none of 40"); empty without any.
    sentence : str
        The whole verdict for a maker.
    """

    seen: tuple[Seen, ...]
    better_than: float | None
    rivals: int
    standing: str
    sentence: str

    @property
    def bench(self) -> Seen:
        """Under the first condition."""
        return self.seen[0]

    @property
    def headlines(self) -> tuple[Seen, ...]:
        """The bench, and where it does worst if it does worse there."""
        bench, worst = self.bench, self.worst
        return (bench,) if worst.reading == bench.reading else (bench, worst)

    def among(self, rival_harmonies: ArrayLike | None) -> PairVerdict:
        """The same, ranked among other pairs; `rival_harmonies` as for `judge_pair`."""
        rivals = _rivals(rival_harmonies)
        better_than = float((rivals < self.bench.harmony.total).mean()) if rivals.size else None
        standing = _standing(better_than, int(rivals.size))
        return replace(self, better_than=better_than, rivals=int(rivals.size), standing=standing)

    @property
    def worst(self) -> Seen:
        """Where it does worst, the first of equals.

        Other eyes count as the cause only where the line reads worse to them than to eyes that tell
        all colours apart.
        """
        return min(
            self.seen,
            key=lambda one: (one.rank[0], one.condition.eyes != NORMAL, one.rank[1]),
        )


def judge_pair(
    ground: ArrayLike,
    inlay: ArrayLike,
    *,
    ground_cells: ArrayLike | None = None,
    uncertainty: ArrayLike = 0.0,
    photographed: bool = False,
    rival_harmonies: ArrayLike | None = None,
    line_mm: float | None = None,
    conditions: Sequence[Condition] = (BENCH,),
    kept: Kept | None = None,
    piece: LinePiece | None = None,
) -> PairVerdict:
    """Judge an inlay against the timber it goes into.

    Parameters
    ----------
    ground, inlay : array_like, shape (3,) or (k, 3)
        CIELAB, D65 / 2°; one for each condition where the state changes them, the bench first.
    ground_cells : array_like, shape (n, 4), optional
        L, a, b and weight: the pixels of the ground's own photograph folded into cells.
    uncertainty : float, or array_like of shape (k,), at least 0
        CIEDE2000; of both colours together, one for each condition where the state changes it.
    photographed : bool, optional
        Whether it comes from a photograph, so that a doubt can say what would settle it.
    rival_harmonies : array_like, shape (n,), optional
        Harmony totals of the other pairs that the rack could make.
    line_mm : float, above 0, optional
        Width of the inlay's line; without it, it is judged as an area.
    conditions : sequence of k Condition
        The first is the bench, which the others are compared with.
    kept : callable, optional
        How much of the figure's contrast is left, 0 to 1, from a distance in metres; all of it
        where that is not known, which makes the verdict a careful one.
    piece : LinePiece, optional
        The piece of the ground that the line is shown in; without it, as `pair_figures`.

    Returns
    -------
    PairVerdict

    Raises
    ------
    ColourInputError
        If a shape is wrong, a value not finite, a weight or the uncertainty below 0, or there
        is no cell with weight.

    Examples
    --------
    >>> judge_pair([36, 9, 9], [84, 4, 20], uncertainty=14).bench.reading
    'reads'
    """
    grounds = _in_each(ground, len(conditions), "ground")
    inlays = _in_each(inlay, len(conditions), "inlay")
    cells = None if ground_cells is None else _cells(ground_cells)
    if cells is not None:
        cells = cells - np.append(grounds[0], 0.0)
    shares = [1.0 if kept is None else kept(one.distance_m) for one in conditions]
    figures = pair_figures(
        grounds[:, np.newaxis],
        inlays[:, np.newaxis],
        conditions,
        widths_mm=None if line_mm is None else [line_mm],
        uncertainties=np.reshape(as_numbers(uncertainty, "uncertainty"), (-1, 1)),
        figure=None if cells is None else cells[np.newaxis],
        kept=np.array(shares)[:, np.newaxis],
        pieces=[piece],
    )
    known = piece is not None or cells is not None
    seen = tuple(
        _seen(figures, i, condition, grounds[i], inlays[i], line_mm, kept, piece, known=known)
        for i, condition in enumerate(conditions)
    )
    verdict = PairVerdict(seen, better_than=None, rivals=0, standing="", sentence="")
    sentence = " ".join(
        part
        for part in (
            _bench_sentence(verdict.bench, _doubt(photographed)),
            _elsewhere_sentence(verdict, line_mm),
            _light_sentence(verdict),
            _eyes_sentence(verdict),
        )
        if part
    )
    return replace(verdict, sentence=sentence).among(rival_harmonies)


def _seen(
    figures: PairFigures,
    i: int,
    condition: Condition,
    ground: Array,
    inlay: Array,
    line_mm: float | None,
    kept: Kept | None,
    piece: LinePiece | None,
    *,
    known: bool,
) -> Seen:
    """The figures of one condition, with what line and what distance would do."""
    whole = float(figures.difference.total[i, 0])
    sure = 1 - float(figures.uncertainty[i, 0]) / whole if whole > 0 else 0.0
    width, reach = None, None
    if line_mm is not None and condition.eyes == NORMAL and sure > 0:
        beside = ground if piece is None else ground + piece.beside
        lit = under(beside, condition.light), under(inlay, condition.light)
        here = float(figures.grain[i, 0])

        def grain(widths: Array, distances: Array) -> Array:
            if piece is None:
                share = np.array([kept(away) if kept and known else 1.0 for away in distances])
                now = kept(condition.distance_m) if kept and known else 1.0
                return here * share / now if now else 0.0 * share
            return grain_about_line(piece, ground, inlay, widths, distances, condition.light.matrix)

        # Every width from here and this width from everywhere, all at once, which is faster.
        widths, distances = np.geomspace(*WIDTHS_MM, PLACES), np.geomspace(*DISTANCES_M, PLACES)
        wide = np.append(widths, np.full(PLACES, line_mm))
        away = np.append(np.full(PLACES, condition.distance_m), distances)
        # With the doubt taken off, as for the reading: it fades with the line.
        needed = STANDS_OUT * noise(grain(wide, away), wide, away) / sure
        by_width, by_distance = np.split(needed, 2)
        width = width_to_read(
            *lit,
            condition.distance_m,
            lambda places: np.interp(np.log(places), np.log(widths), by_width),
        )
        reach = distance_to_read(
            *lit,
            line_mm,
            lambda places: np.interp(np.log(places), np.log(distances), by_distance),
        )
    return Seen(
        condition=condition,
        reading=READINGS[int(figures.reading[i, 0])],
        difference=DifferenceParts(*(float(part[i, 0]) for part in _fields(figures.difference))),
        uncertainty=float(figures.uncertainty[i, 0]),
        seen=float(figures.seen[i, 0]),
        seen_uncertainty=float(figures.seen_uncertainty[i, 0]),
        found=float(figures.found[i, 0]),
        needed=float(figures.needed[i, 0]),
        grain=float(figures.grain[i, 0]) if known else None,
        drowned_share=_number(figures.drowned_share[i, 0]),
        harmony=Harmony(*(float(part[i, 0]) for part in _fields(figures.harmony))),
        width_to_read=width,
        distance_to_read=reach,
        names_colour=None if line_mm is None else names_colour(line_mm, condition.distance_m),
    )


def _number(value: np.floating) -> float | None:
    return None if math.isnan(value) else float(value)


def _fields(parts: DifferenceParts[Array] | Harmony[Array]) -> tuple[Array, ...]:
    return tuple(astuple(parts))


def _in_each(values: ArrayLike, count: int, name: str) -> Array:
    if np.ndim(values) == 1:
        return np.broadcast_to(as_one_colour(values, name), (count, 3))
    labs = as_colours(values, name)
    if labs.shape != (count, 3):
        raise ColourInputError(f"{name} must have shape (3,) or ({count}, 3); got {labs.shape}")
    return labs


def _cells(values: ArrayLike) -> Array:
    cells = as_numbers(values, "ground cells")
    if cells.ndim != 2 or cells.shape[1] != 4:
        raise ColourInputError(f"ground cells must have shape (n, 4); got {cells.shape}")
    as_colours(cells[:, :3], "ground cells")
    weights = cells[:, 3]
    if not (np.isfinite(weights).all() and (weights >= 0).all() and weights.sum() > 0):
        raise ColourInputError("ground cells must have weights of 0 or more, not all of them 0")
    return cells


def _rivals(values: ArrayLike | None) -> Array:
    rivals = as_numbers([] if values is None else values, "rival harmonies")
    if rivals.ndim != 1 or not np.isfinite(rivals).all():
        raise ColourInputError(
            f"rival harmonies must be one row of finite numbers; got shape {rivals.shape}"
        )
    return rivals


def _bench_sentence(one: Seen, doubt: str) -> str:
    contrast = f"contrast {plus_minus(one.seen, one.seen_uncertainty)}"
    needs = f"it needs {one.needed:.1f} to stand out"
    found = f"it needs {one.found:.1f} to be found"
    wood = (
        "" if one.grain is not None else " No photograph of the wood: a typical pattern is assumed."
    )
    if one.reading == "reads":
        mostly = difference_words(one.difference)
        return f"Reads at the bench: {contrast}, {mostly}; {needs}.{wood}"
    if one.reading == "sinks":
        return f"Sinks at the bench: {contrast}, and {found}.{wood}"
    if one.seen >= one.needed:
        said = f"Probably reads at the bench: {contrast}, and {needs}."
    elif one.seen >= one.found:
        probably = "probably " if one.unsure else ""
        said = f"At the bench it is {probably}found only when looked for: {contrast}, and {needs}."
    else:
        said = f"May sink at the bench: {contrast}, and {found}."
    return f"{said}{f' {doubt}' if one.unsure else ''}{wood}"


def _elsewhere_sentence(verdict: PairVerdict, line_mm: float | None) -> str:
    """What the worst of the other conditions does to it, and what would help there."""
    bench = verdict.bench
    others = [one for one in verdict.seen[1:] if one.condition.eyes == NORMAL]
    if not others:
        return ""
    worst = min(others, key=lambda one: one.rank)
    where = worst.condition.words
    left = plus_minus(worst.seen, worst.seen_uncertainty)
    if bench.reading == "sinks":
        best = max(others, key=lambda one: (one.rank[0], one.seen / one.needed))
        if best.reading == "sinks":
            return "It also sinks everywhere else."
        return f"It does best {best.condition.words}."
    if worst.reading == "reads":
        eyes = " with normal vision" if _lost_to(verdict) else ""
        return f"It also reads elsewhere{eyes}; weakest {where} ({left})."
    needs = f"it needs {worst.needed:.1f} to stand out"
    but = "But " if bench.reading == "reads" else ""
    place = where if but else f"{where[0].upper()}{where[1:]}"
    return f"{but}{place} it {worst.does}: contrast {left}, and {needs}.{_help(worst, line_mm)}"


def _eyes_sentence(verdict: PairVerdict) -> str:
    return " ".join(
        f"To {' and '.join(eyes)} it {does} {where}."
        for (where, does), eyes in _lost_to(verdict).items()
    )


def _lost_to(verdict: PairVerdict) -> dict[tuple[str, str], list[str]]:
    """To which eyes it reads worse than to others, by where, and what it does there."""
    plain = {
        (one.condition.distance_m, one.condition.light, one.condition.state): one
        for one in verdict.seen
        if one.condition.eyes == NORMAL
    }
    lost: dict[tuple[str, str], list[str]] = {}
    for one in verdict.seen:
        condition = one.condition
        same = plain.get((condition.distance_m, condition.light, condition.state))
        if same is not None and one.rank[0] < same.rank[0]:
            lost.setdefault((same.condition.words, one.does), []).append(condition.eyes.words)
    return lost


def _help(one: Seen, line_mm: float | None) -> str:
    if line_mm is None or one.condition.eyes != NORMAL:
        return ""
    if one.width_to_read is None:
        return " Not even a 10 mm line is certain to read there."
    said = f" A line from about {one.width_to_read:.1f} mm wide would read there"
    if one.distance_to_read is not None:
        if one.distance_to_read >= DISTANCES_M[1]:
            return f"{said}."
        return f"{said}; this one reads up to about {one.distance_to_read:.1f} m away."
    return f"{said}."


def _light_sentence(verdict: PairVerdict) -> str:
    """Which light eats most of the gap between the two colours, if one does."""
    plain = [one for one in verdict.seen if one.condition.eyes == NORMAL]
    daylit = {
        one.condition.state: one.difference.total
        for one in reversed(plain)
        if one.condition.light == DAYLIGHT
    }
    left = {
        one.condition.words: one.difference.total / daylit[one.condition.state]
        for one in plain
        if daylit.get(one.condition.state, 0.0) >= LEAST_GAP
    }
    where = min(left, key=lambda words: left[words], default="")
    if not where or left[where] > GAP_SHRINKS:
        return ""
    return f"The light alone cuts the contrast {where} by {share_words(1 - left[where])}."


def _doubt(photographed: bool) -> str:
    """Why a verdict is in doubt, which only the uncertainty can bring about, and the way out."""
    if photographed:
        return (
            "Photographs alone leave this open. A colour chart, card or meter reading would decide "
            "it."
        )
    return "The readings leave this open. More readings of both would decide it."


def _standing(better_than: float | None, rivals: int) -> str:
    if better_than is None:
        return ""
    if better_than in (0.0, 1.0):
        return f"{'none' if better_than == 0 else 'all'} of {rivals}"
    if rivals < FEW_RIVALS:
        return f"{round(better_than * rivals)} of {rivals}"
    return f"{min(max(round(better_than * 10), 1), 9)} in 10"
