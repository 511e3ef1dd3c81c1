"""A verdict in sentences: at the bench, elsewhere, what the light takes, and to other eyes."""

from __future__ import annotations

from brief.colour.notation.wording import difference_words, plus_minus, share_words
from brief.colour.verdicts.verdict import PairVerdict, Seen
from brief.colour.viewing.colour_vision import NORMAL
from brief.colour.viewing.distance import DISTANCES_M
from brief.colour.viewing.light import DAYLIGHT

# Of the gap in daylight; below it the light is named as what shrinks it: our working figure.
GAP_SHRINKS = 0.8
LEAST_GAP = 5.0  # CIEDE2000


def sentence_of(verdict: PairVerdict, line_mm: float | None, *, photographed: bool) -> str:
    """The whole verdict for a maker.

    Parameters
    ----------
    verdict
        Without a sentence yet.
    line_mm : float, above 0, or None
        Width of the inlay's line; None where it is judged as an area.
    photographed : bool
        Whether the uncertainty comes from a photograph.
    """
    return " ".join(
        part
        for part in (
            _bench_sentence(verdict.bench, _doubt(photographed)),
            _elsewhere_sentence(verdict, line_mm),
            _light_sentence(verdict),
            _eyes_sentence(verdict),
        )
        if part
    )


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
