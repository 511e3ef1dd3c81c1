"""A strand of the theme as it is shown: plain data, which reads nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, get_args

from brief.instrument import Face
from brief.services.photos.pictures import PictureView

Stage = Literal["pictures", "colours", "pieces", "parts"]
STAGES: tuple[Stage, ...] = get_args(Stage)

# How wide a passage is beside pictures, and how wide a line of them, in heights of a line; the
# style sheet has the same (strands.css).
PASSAGE_WIDE = 1.9
LINE_WIDE = 5.4


@dataclass(frozen=True)
class StrandPicture:
    """A picture of the theme, or with `passage` instead, words of it."""

    id: str
    title: str
    picture: PictureView | None
    passage: str = ""

    @property
    def wide(self) -> float:
        """Its width in heights."""
        if self.picture is None:
            return PASSAGE_WIDE
        return self.picture.width_px / self.picture.height_px


@dataclass(frozen=True)
class StrandColour:
    """A named colour."""

    id: str
    name: str
    hex: str


@dataclass(frozen=True)
class StrandPiece:
    """A piece of the rack; `near` names the colours that it is only nearest to."""

    id: str
    label: str
    texture: str | None
    hex: str | None
    near: str = ""


@dataclass(frozen=True)
class StrandPart:
    """A part, and where it is seen on which face: a viewBox, "" where no face shows it.

    made_of : "" while it is open.
    """

    id: str
    name: str
    made_of: str
    face: Face | None
    view_box: str
    texture: str | None
    hex: str | None


@dataclass(frozen=True)
class OpenEnd:
    """Where a strand ends open, in words, and what to do. sheet : where; anchor : on it."""

    words: str
    action: str
    sheet: str
    anchor: str = ""


@dataclass(frozen=True)
class Strand:
    """One motif. lines : its pictures and passages, then its pieces and its parts, as they are set
    line by line; `more` : how many of a stage are not in it.
    """

    id: str
    name: str
    says: str
    pictures: Sequence[Sequence[StrandPicture]]
    colours: Sequence[StrandColour]
    pieces: Sequence[Sequence[StrandPiece]]
    parts: Sequence[Sequence[StrandPart]]
    more: Mapping[Stage, int]
    ends: Mapping[Stage, Sequence[OpenEnd]]

    @property
    def tall(self) -> int:
        """How many lines it is high."""
        half = (len(self.colours) + 3) // 4
        return max(1, len(self.pictures), len(self.pieces), len(self.parts), half)

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing in it."""
        return not (self.pictures or self.colours or self.pieces or self.parts)


@dataclass(frozen=True)
class Strands:
    """All of a brief: `loose` is what is in none, without a name. faces : those that parts are cut
    out of, each with its viewBox.
    """

    strands: Sequence[Strand]
    loose: Strand
    faces: Mapping[Face, str]
