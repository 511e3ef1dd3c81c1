"""What others see of a brief: the one model of it, whatever it then leaves the house as.

It is plain data. No record and no noun's view is in it, for these have private fields.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from brief.instrument import Face
from brief.paper.contents import Credit, LineDrawing
from brief.services.common.colour_view import ColourView
from brief.services.common.paging import Pager
from brief.services.drawing.pair_pictures import PairPicture
from brief.services.drawing.thumbnails import Thumbnail
from brief.services.feedback.annotations import iri_of
from brief.services.photos.pictures import PictureView
from brief.services.sharing.shares import SheetKey
from brief.services.spec.strand import Strand
from brief.services.studio.shots import COMPUTED, EARLIER

ONE_PAGE = Pager(1, 1, 0)


@dataclass(frozen=True)
class NamedThing:
    """A thing that can be spoken of: its kind, its id, what it is called."""

    kind: str
    id: str
    label: str

    @property
    def iri(self) -> str:
        """Its address in a file of comments."""
        return iri_of(self.id)


@dataclass(frozen=True)
class CommentSaid:
    """What somebody said, and what was answered. about : the id of what it is about."""

    id: str
    about: str
    author: str
    text: str
    created_utc: datetime
    state: str
    outcome: str
    quote: str
    region: str | None
    replies: tuple[CommentSaid, ...] = ()


@dataclass(frozen=True)
class PulledColour:
    """A colour pulled out of a picture. share : its part of it, 0 to 1; called : by the names of
    the colours that were made of it, or in words.
    """

    colour: ColourView
    share: float
    called: str


@dataclass(frozen=True)
class ShownPalette:
    """The colours pulled out of a picture, and the small ones beside them."""

    name: str
    colours: tuple[PulledColour, ...]
    accents: tuple[PulledColour, ...]


@dataclass(frozen=True)
class ShownColour:
    """A named colour of the theme. motif_id : of its motif."""

    name: str
    colour: ColourView
    motif_id: str | None


@dataclass(frozen=True)
class ShownReference:
    """A picture or a passage, with its credit, and the colours pulled out of it.

    title : "" where it has none, and `about` is called by its words. printed : its credit in print.
    """

    about: NamedThing
    kind: str
    title: str
    passage: str
    credit: str
    source: str
    rights: str
    rights_in_words: str
    printed: Credit
    picture: PictureView | None
    motifs: tuple[str, ...]
    palettes: tuple[ShownPalette, ...]


@dataclass(frozen=True)
class ShownStudioPicture:
    """A picture of the instrument that was computed, and what is said of it."""

    id: str
    name: str
    said: tuple[str, ...]
    is_of_today: bool
    picture: PictureView

    @property
    def printed(self) -> str:
        """What is said under it in print."""
        return COMPUTED if self.is_of_today else f"{COMPUTED} {EARLIER}"


@dataclass(frozen=True)
class MadeOf:
    """A part, and what it is to be made of.

    species, care : only where the maker hands it over. meant_for : the colour it should carry.
    """

    about: NamedThing
    role: str
    material: str
    finish: str
    drawn: str
    sizes: str
    texture: str | None
    hex: str | None
    meant_for: str
    meant: ColourView | None
    motif: str
    species: str = ""
    care: str = ""


@dataclass(frozen=True)
class InlayTogether:
    """An inlay and a timber, and whether it reads. headlines : readings, and where they hold.

    sentence : "" where a colour is missing.
    """

    about: NamedThing
    place: str
    line: str
    pictures: tuple[PairPicture, ...]
    headlines: tuple[tuple[str, str], ...]
    sentence: str


@dataclass(frozen=True)
class AskedChoice:
    """One of the things that a question puts side by side, and what is shown of it."""

    id: str
    label: str
    face: Thumbnail

    @property
    def iri(self) -> str:
        """Its address in a file of comments."""
        return iri_of(self.id)


@dataclass(frozen=True)
class GivenAnswer:
    """What somebody chose, and why."""

    author: str
    choice_label: str
    why: str


@dataclass(frozen=True)
class AskedQuestion:
    """A question. result, answers : empty as long as it is open."""

    id: str
    text: str
    state: str
    choices: tuple[AskedChoice, ...]
    result: str
    answers: tuple[GivenAnswer, ...]

    @property
    def iri(self) -> str:
        """Its address in a file of comments."""
        return iri_of(self.id)


@dataclass(frozen=True)
class HandedOver:
    """What a maker says besides, who hands it over themselves: never what a link shows.

    show, wanted_by, version : for whom it is made, the day to be ready, which change it is.
    whole : the sentences on the whole instrument. line_drawing, numbers : the instrument in lines,
    and its numbers by the part of it; none unless the drawing is shown.
    """

    show: str
    wanted_by: date | None
    version: int
    whole: tuple[str, ...] = ()
    line_drawing: LineDrawing | None = None
    numbers: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()


@dataclass(frozen=True)
class Outside:
    """One brief as an outsider sees it; sheets that are not shown are empty. Of plates and
    pairings there may be one page of several.

    instrument : as the maker calls it, or else its kind; called : as the maker calls it, or "".
    things : all that can be spoken of, by id. motifs : each with its strand, as far as what it is
    made of is shown; loose : what is in none. faces : those that parts are cut out of, each with
    its viewBox; other_faces : SVG of those that are not the front. colours : that were named.
    plates_left_out : those whose rights are not clear, counted; strips : what was pulled out of
    them. turned : where the instrument is that can be turned. handed : None unless the maker
    hands it over.
    """

    about: NamedThing
    sheets: tuple[SheetKey, ...]
    instrument: str
    called: str
    changed_utc: datetime
    things: Mapping[str, NamedThing]
    theme: str = ""
    motifs: tuple[tuple[NamedThing, Strand], ...] = ()
    loose: Strand | None = None
    faces: Mapping[Face, str] = field(default_factory=dict)
    other_faces: tuple[str, ...] = ()
    plates: tuple[ShownReference, ...] = ()
    plate_pages: Pager = ONE_PAGE
    colours: tuple[ShownColour, ...] = ()
    plates_left_out: str = ""
    strips: tuple[ShownPalette, ...] = ()
    front: str = ""
    turned: str = ""
    parts: tuple[MadeOf, ...] = ()
    pairings: tuple[InlayTogether, ...] = ()
    pairing_pages: Pager = ONE_PAGE
    questions: tuple[AskedQuestion, ...] = ()
    drawings: tuple[tuple[str, str], ...] = ()
    studio: tuple[ShownStudioPicture, ...] = ()
    earlier: str = EARLIER  # said of those that are not of today
    notes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    said: Mapping[str, tuple[CommentSaid, ...]] = field(default_factory=dict)
    handed: HandedOver | None = None
