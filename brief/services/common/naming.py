"""What records are called: each kind in a sentence and in an address, and one of them by a person.

Data that points at a record of some kind ("kind" and "id") says the kind as `BY_KIND` does.
"""

from __future__ import annotations

from collections.abc import Mapping

from brief.store.records import (
    Absence,
    Answer,
    Attachment,
    BoughtPart,
    Brief,
    CalendarLink,
    Climate,
    Comment,
    Contact,
    FinishTest,
    Inlay,
    Kind,
    Leg,
    Material,
    Motif,
    Note,
    Pairing,
    Palette,
    Part,
    Photograph,
    PieceUsed,
    Question,
    Record,
    Reference,
    Revision,
    Share,
    Stage,
    Stay,
    Stock,
    Stop,
    StudioPicture,
    Swatch,
    ThingToPack,
    Tracing,
    Viewing,
)
from brief.wood.names import public_name

BY_KIND: Mapping[str, type[Record]] = {
    "brief": Brief,
    "kind": Kind,
    "tracing": Tracing,
    "motif": Motif,
    "note": Note,
    "reference": Reference,
    "palette": Palette,
    "swatch": Swatch,
    "material": Material,
    "photograph": Photograph,
    "finish test": FinishTest,
    "stock": Stock,
    "viewing": Viewing,
    "climate": Climate,
    "pairing": Pairing,
    "part": Part,
    "inlay": Inlay,
    "stage": Stage,
    "absence": Absence,
    "stop": Stop,
    "leg": Leg,
    "stay": Stay,
    "contact": Contact,
    "thing to pack": ThingToPack,
    "attachment": Attachment,
    "bought part": BoughtPart,
    "piece used": PieceUsed,
    "studio picture": StudioPicture,
    "comment": Comment,
    "question": Question,
    "answer": Answer,
    "share": Share,
    "calendar link": CalendarLink,
    "revision": Revision,
}
_KINDS = {record: kind for kind, record in BY_KIND.items()}


def kind_of_record(record: type[Record]) -> str:
    """ "finish test": one of that kind, in a sentence and in data."""
    return _KINDS[record]


def several(record: type[Record]) -> str:
    """ "finish tests": what several of that kind are in a sentence."""
    return str(record.__tablename__).replace("_", " ")


def in_addresses(record: type[Record]) -> str:
    """ "finish-tests": that kind in an address, and in a parcel."""
    return str(record.__tablename__).replace("_", "-")


BY_ADDRESS: Mapping[str, type[Record]] = {in_addresses(one): one for one in BY_KIND.values()}


def label(record: Record) -> str:
    """What the maker would call this one."""
    match record:
        case Brief():
            return record.title
        case Reference():
            return record.title or shortened(record.passage)
        case Material():
            return record.label
        case Photograph():
            if record.finish or record.state != "not said":
                return f"{record.finish or record.state} photograph"
            return "photograph of something not yet said"
        case Pairing():
            return f"{label(record.inlay)} on {label(record.ground)}"
        case PieceUsed():
            return f"share of {label(record.material)}"
        case Note() | Comment():
            return shortened(record.text)
        case Question():
            return record.text
        case Answer():
            return f"what {record.author} chose"
        case Share():
            return f"link for {record.name}"
        case CalendarLink():
            return f"calendar link for {record.name}"
        case Leg():
            return f"{record.by or 'leg'}, {record.leaves_on.isoformat()}"
        case Stay():
            return f"{record.purpose}, {record.from_on.isoformat()}"
        case Revision():
            return f"Rev {record.letter}"
        case (
            Kind()
            | Tracing()
            | Motif()
            | Palette()
            | Swatch()
            | FinishTest()
            | Stock()
            | Viewing()
            | Climate()
            | Part()
            | Inlay()
            | Stage()
            | Absence()
            | Stop()
            | Contact()
            | ThingToPack()
            | Attachment()
            | BoughtPart()
            | StudioPicture()
        ):
            return record.name
        case _:
            raise TypeError(f"nothing says what {type(record).__name__} is called")


def public_label(record: Record) -> str:
    """What it is called in what goes out to others."""
    match record:
        case Material():
            return public_name(record.public_name, record.species, record.label)
        case Pairing():
            return f"{public_label(record.inlay)} on {public_label(record.ground)}"
        case PieceUsed():
            return f"share of {public_label(record.material)}"
        case _:
            return label(record)


def shortened(text: str, longest: int = 40) -> str:
    """A text on one line, of at most `longest` characters."""
    line = " ".join(text.split())
    return line if len(line) <= longest else line[: longest - 1].rstrip() + "…"
