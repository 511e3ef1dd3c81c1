"""Two texts compared word by word."""

from __future__ import annotations

import re
from difflib import SequenceMatcher
from typing import Literal

from pydantic import BaseModel

# Words of two texts together; beyond it, or if less of them is the same, they stand side by side.
LONGEST_MARKED, LEAST_SAME = 4000, 0.5


class TextStretch(BaseModel):
    """Some words of two texts that were compared."""

    how: Literal["same", "gone", "new"]
    text: str


def marked_words(was: str, now: str) -> list[TextStretch]:
    """What stayed, went and came; empty where so little is the same that it would not help."""
    old, new = (re.findall(r"\s*\S+\s*$|\s*\S+", text) for text in (was, now))
    if len(old) + len(new) > LONGEST_MARKED:
        return []
    told: list[TextStretch] = []
    matched = SequenceMatcher(None, old, new, autojunk=False)
    if matched.ratio() < LEAST_SAME:
        return []
    for what, a, b, c, d in matched.get_opcodes():
        if what == "equal":
            told.append(TextStretch(how="same", text="".join(old[a:b])))
            continue
        if b > a:
            told.append(TextStretch(how="gone", text="".join(old[a:b])))
        if d > c:
            told.append(TextStretch(how="new", text="".join(new[c:d])))
    return told
