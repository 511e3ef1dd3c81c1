"""What a choice gains and gives up, as a maker would be told it."""

from __future__ import annotations

from brief.colour.notation.wording import percent
from brief.colour.verdicts.proposals import ENOUGH, Choice
from brief.english import words

MORE = 0.05  # of a figure, from which a change in it is worth a word


def bounded(legibility: float | None) -> float | None:
    """Never below nought: a doubt that is larger than the difference is no line turned round."""
    return None if legibility is None else max(0.0, legibility)


def worst_line_words(legibility: float | None) -> str:
    """How the worst line of a choice reads, as the figure would be told to a maker."""
    if legibility is None:
        return ""
    if legibility >= ENOUGH:
        return "weakest line: reads with room to spare"
    if legibility >= 1:
        return "weakest line: reads"
    if legibility <= 0:
        return "weakest line may not read: the doubt is larger than the contrast"
    return f"weakest line may not read: {percent(min(legibility, 0.99))} of the contrast it needs"


def gain_words(choice: Choice, now: Choice | None) -> str:
    """What a choice gains and gives up against the present one."""
    if now is None:
        if choice.legibility is None:
            return "None of these parts is a thin line in another."
        return f"Its weakest line {'reads' if choice.legibility >= 1 else 'may not read'}."
    gains, losses = [], []
    if choice.legibility is not None and now.legibility is not None:
        then, before = min(choice.legibility, ENOUGH), min(now.legibility, ENOUGH)
        if then >= 1 > before:
            gains.append("fixes a weak line")
        elif then < 1 <= before:
            losses.append("weakens a line that reads now")
        elif abs(then - before) >= MORE:
            (gains if then > before else losses).append(
                f"the weakest line reads {'better' if then > before else 'less well'}"
            )
    if None not in (choice.harmony, now.harmony):
        more = (choice.harmony or 0.0) - (now.harmony or 0.0)
        if abs(more) >= MORE:
            (gains if more > 0 else losses).append(
                f"{'more' if more > 0 else 'less'} harmony between adjoining parts"
            )
    nearer = now.closeness - choice.closeness
    if abs(nearer) >= max(MORE * now.closeness, MORE):  # less would be told as 0.0
        (gains if nearer > 0 else losses).append(
            f"{'nearer to' if nearer > 0 else 'further from'} the theme by {abs(nearer):.1f}"
        )
    if not gains and not losses:
        return "Much the same as now."
    said = [
        f"Better: {words(gains)}." if gains else "",
        f"Worse: {words(losses)}." if losses else "",
    ]
    return " ".join(part for part in said if part)
