"""The records, as tables. Who imports them from here has all, and so `Base.metadata` is whole."""

from brief.store.records.base import (
    Base,
    Corrected,
    Exact,
    LengthsAsTyped,
    Record,
    UtcDateTime,
    new_id,
    now_utc,
)
from brief.store.records.cost import BoughtPart, PieceUsed
from brief.store.records.feedback import Answer, Comment, Question
from brief.store.records.history import Revision, StudioPicture
from brief.store.records.home import Home, Image, Passphrase, SignIn
from brief.store.records.instrument import Inlay, Kind, Tracing
from brief.store.records.pairing import Pairing, Viewing
from brief.store.records.rack import Board, FinishTest, Material, Photograph, Stock
from brief.store.records.run_up import Absence, Stage
from brief.store.records.sharing import CalendarLink, Share
from brief.store.records.spec import Climate, Part
from brief.store.records.theme import (
    Brief,
    Motif,
    Note,
    Palette,
    Reference,
    Swatch,
    reference_motifs,
)
from brief.store.records.trip import Attachment, Contact, Leg, Stay, Stop, ThingToPack

__all__ = [
    "Absence",
    "Answer",
    "Attachment",
    "Base",
    "Board",
    "BoughtPart",
    "Brief",
    "CalendarLink",
    "Climate",
    "Comment",
    "Contact",
    "Corrected",
    "Exact",
    "FinishTest",
    "Home",
    "Image",
    "Inlay",
    "Kind",
    "Leg",
    "LengthsAsTyped",
    "Material",
    "Motif",
    "Note",
    "Pairing",
    "Palette",
    "Part",
    "Passphrase",
    "Photograph",
    "PieceUsed",
    "Question",
    "Record",
    "Reference",
    "Revision",
    "Share",
    "SignIn",
    "Stage",
    "Stay",
    "Stock",
    "Stop",
    "StudioPicture",
    "Swatch",
    "ThingToPack",
    "Tracing",
    "UtcDateTime",
    "Viewing",
    "new_id",
    "now_utc",
    "reference_motifs",
]
