"""Whether a picture or a passage may be published, and how it is then credited.

A booklet and a card are publications. This is no legal advice: it holds to what a licence plainly
says, or to the leave that the maker says there is, and stops at everything else.

Attribution is title, author, source and licence, as Creative Commons recommends ("TASL", Best
practices for attribution). Licences are told by their addresses: Creative Commons' and those of
RightsStatements.org, which are statements and no licences, so that none of them clears anything.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from brief.english import number_of, words
from brief.errors import FieldFault, RightsUnclear
from brief.services.common.naming import label
from brief.services.theme.references import RIGHTS, is_own
from brief.store.records import Reference

_LICENCE = re.compile(
    r"https?://creativecommons\.org/licenses/(by(?:-nc)?(?:-nd|-sa)?)/(\d\.\d)(?:/([a-z]{2,3}))?"
    r"(?:/|/deed\.\w+|/legalcode(?:\.\w+)?)?"
)
_PUBLIC_DOMAIN = re.compile(
    r"https?://creativecommons\.org/publicdomain/(mark|zero)/(\d\.\d)"
    r"(?:/|/deed\.\w+|/legalcode(?:\.\w+)?)?"
)
_PUBLIC = {"mark": "Public Domain Mark", "zero": "CC0"}
NOT_FOR_GAIN = (
    "Its licence (NC) is not for commercial use. Whether a booklet or a card beside a piece for "
    "sale is that, is for you to judge."
)


@dataclass(frozen=True)
class RightsStanding:
    """What a reference's rights come to.

    licence : as it is printed, such as "CC BY 4.0"; uri : its address, or "". lacks : what must
    be said first, empty if it may be published. caution : what remains to be judged, or "".
    """

    licence: str
    uri: str
    lacks: str = ""
    caution: str = ""


def standing(reference: Reference) -> RightsStanding:
    """Whether a reference may be published as far as its own record says."""
    uri = reference.rights
    if match := _PUBLIC_DOMAIN.fullmatch(uri):
        return RightsStanding(f"{_PUBLIC[match[1]]} {match[2]}", uri)
    if match := _LICENCE.fullmatch(uri):
        terms, version, country = match.groups()
        name = f"CC {terms.upper()} {version}" + (f" {country.upper()}" if country else "")
        lacks = "" if reference.credit else f"{name} asks that its author is named; say who it is."
        return RightsStanding(name, uri, lacks, NOT_FOR_GAIN if "nc" in terms else "")
    known = RIGHTS.get(uri, uri)
    if is_own(reference):
        return RightsStanding(known, uri)
    if reference.permission:
        return RightsStanding(f"{known}, shown with leave" if uri else "shown with leave", uri)
    return RightsStanding(
        known,
        uri,
        f"its rights are {known}." if uri in RIGHTS else "its licence is not one that is known.",
    )


def unclear(references: Sequence[Reference]) -> list[Reference]:
    """Those whose rights stand against publishing them; private ones are never published."""
    return [one for one in references if not one.private and standing(one).lacks]


def may_be_published(
    references: Sequence[Reference], *, leave_out_unclear: bool
) -> list[Reference]:
    """Those that go into a publication. Private ones never do.

    Raises RightsUnclear, with what each of them lacks, unless those are to be left out.
    """
    stopped = unclear(references)
    if stopped and not leave_out_unclear:
        raise RightsUnclear(
            f"The rights of {counted(stopped)} are not clear, and this is a publication: "
            f"{words([_quoted(one) for one in stopped])}. Say on the References "
            "sheet what their rights are or who gave leave, or leave them out.",
            faults=[
                FieldFault(f"/references/{one.id}", f"{_quoted(one)}: {standing(one).lacks}")
                for one in stopped
            ],
        )
    return [one for one in references if not one.private and one not in stopped]


def counted(references: Sequence[Reference]) -> str:
    """ "2 pictures and 1 passage"."""
    kinds = [one.kind for one in references]
    return words(
        [number_of(kinds.count(kind), kind) for kind in ("picture", "passage") if kind in kinds]
    )


def _quoted(reference: Reference) -> str:
    return f"“{label(reference)}”"
