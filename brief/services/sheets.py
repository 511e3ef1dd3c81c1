"""The sheets of a brief: what each of them shows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from brief.colour.viewing.conditions import State
from brief.errors import InputError, NotFound, quoted
from brief.instrument import Face
from brief.instrument.drawing.inlay_drawing import LiesOn
from brief.photo import CARDS, MAX_BYTES, Region
from brief.photo.palettes.palette import FEWEST, MOST
from brief.services import nouns, offcuts
from brief.services.common.field_types import in_field
from brief.services.common.foreign_keys import named
from brief.services.common.formatting import day, words
from brief.services.common.naming import label
from brief.services.common.noun import Noun
from brief.services.drawing.comparison import beside, beside_address
from brief.services.drawing.drawing_files import conditions_query
from brief.services.drawing.inlay_drawings import inlay_rows, thinnest_of
from brief.services.drawing.instrument_drawing import draw_instrument, front_spot, loupe_views, worn
from brief.services.drawing.pair_pictures import pair_pictures
from brief.services.drawing.placement import MATCHES, TURNS, laid_parts
from brief.services.drawing.plans import drawing
from brief.services.drawing.thumbnails import face
from brief.services.feedback import annotation_model
from brief.services.feedback.comments import CommentView, marked
from brief.services.feedback.questions import kept_in
from brief.services.feedback.unread import counts, new_ids
from brief.services.history.changes import changes, same_content
from brief.services.history.parcels import pack
from brief.services.history.revision_view import as_frozen
from brief.services.history.revisions import document_of, last_revision
from brief.services.instrument.known_kinds import kind_choices
from brief.services.instrument.tracings import overlay
from brief.services.outputs.booklets import LONGEST_LINES, first_lines, pictures_of, unprintable
from brief.services.pairing.view_settings import EYES, FACES, STATES, Shown, Switches, shown_as
from brief.services.pairing.viewings import light_choices
from brief.services.photos.lost_pictures import lost_pictures
from brief.services.photos.pictures import picture_view
from brief.services.rack.materials import density_of
from brief.services.rack.photographs import PhotographState
from brief.services.rack.prices import A_PRICE
from brief.services.rack.surfaces import surfaces_of
from brief.services.sharing.shares import choices as share_choices
from brief.services.sharing.shares import usual_expiry
from brief.services.spec.recommendations import Limits, ask_rack, nearest_to_each, uses_for
from brief.services.spec.schemes import scheme_view
from brief.services.theme.references import MINE, OWN, ReferenceView, rights_choices
from brief.services.theme.rights import counted, standing, unclear
from brief.services.transfer.zip_files import MOST_SENT
from brief.store.desk import Desk
from brief.store.records import Brief, Revision
from brief.wood import Stuff

NEAREST_SHOWN = 3  # pieces of the rack beside each named colour
# The colours of the 24-patch chart were changed once.
AGES = [("after-2014", "November 2014 or later"), ("before-2014", "before November 2014")]


@dataclass(frozen=True)
class Sheet:
    """One numbered sheet: `key` is its address, `fill` gathers what it shows."""

    number: int
    key: str
    title: str
    fill: Callable[[Desk, Brief, Shown], dict[str, Any]]


def shelf(desk: Desk) -> dict[str, Any]:
    """All briefs, each with its instrument."""
    briefs = nouns.briefs.page(desk)
    return {
        "briefs": nouns.briefs.show_all(desk, briefs),
        "fronts": {brief.id: _front(desk, brief, f"f{brief.id}") for brief in briefs},
        "kinds": kind_choices(desk),
        "most_sent": MOST_SENT,
    }


def sheet(desk: Desk, one: Sheet, brief_id: str, switches: Switches) -> dict[str, Any]:
    """What every sheet shows, and what this one does, with the timber as the switches have it."""
    beside = panel(desk, one, brief_id, switches)
    filled = one.fill(desk, nouns.briefs.get(desk, brief_id), beside["shown"])
    return {
        **beside,
        "lost_pictures": lost_pictures(desk, brief_id),
        "worn": worn(desk, [view.id for view in filled.get("materials", ())], switches.state),
        **filled,
    }


def panel(desk: Desk, one: Sheet, brief_id: str, switches: Switches) -> dict[str, Any]:
    """The instrument beside a sheet, with what it is seen by."""
    brief = nouns.briefs.get(desk, brief_id)
    shown = shown_as(switches, nouns.viewings.page(desk, brief_id=brief.id))
    return {
        "sheet": one,
        "sheets": SHEETS,
        "brief": nouns.briefs.show(desk, brief),
        "front": _front(desk, brief, "front", switches.state, switches.view),
        "faces": FACES,
        "loupe_views": loupe_views(brief, switches.view),
        "kinds": dict(kind_choices(desk, brief)),
        "said_counts": counts(desk, brief.id),
        "last_revision": last_revision(desk, brief.id),
        "shown": shown,
        "conditions": conditions_query(shown),
        "states_shown": [(state, state) for state in STATES],
        "eyes_shown": list(EYES.items()),
        "untested": _untested(desk, brief, switches.state),
    }


def sheet_of(key: str) -> Sheet:
    """The sheet of that key. Raises NotFound if there is none."""
    for one in SHEETS:
        if one.key == key:
            return one
    raise NotFound(f"There is no sheet {quoted(key[:40])}.")


def beside_sheet(
    desk: Desk, brief_id: str, switches: Switches, asked: Sequence[str], other_id: str
) -> dict[str, Any]:
    """The page of two instruments side by side; `beside` says what can be asked."""
    shown = panel(desk, SPEC, brief_id, switches)
    filled = beside(desk, nouns.briefs.get(desk, brief_id), switches, asked, other_id)
    tried = [swap.material.id for swap in filled["swaps"]]
    more = {
        "worn": worn(desk, tried, switches.state),
        "lost_pictures": lost_pictures(desk, brief_id),
    }
    return shown | filled | more


def _untested(desk: Desk, brief: Brief, state: State) -> str:
    """Which parts the picture shows bare because their pieces were never tested in that state."""
    parts = [part for part in nouns.parts.page(desk, brief_id=brief.id) if part.material_id]
    pieces = [nouns.materials.get(desk, str(part.material_id), binned=True) for part in parts]
    surfaces = surfaces_of(desk, pieces)
    lacking = [
        part.name
        for part, piece in zip(parts, pieces, strict=True)
        if piece.lab is not None and surfaces[piece.id].state(state) != state
    ]
    return f"Never tested {state}, so shown as they are: {words(lacking)}." if lacking else ""


def piece(desk: Desk, brief_id: str, material_id: str, switches: Switches) -> dict[str, Any]:
    """The page of one piece of the rack, within a brief: its photographs and what they show."""
    material = nouns.materials.get(desk, material_id)
    shown = nouns.photographs.page(desk, material_id=material.id)
    tests = nouns.finish_tests.page(desk, material_id=material.id)
    photographs = nouns.photographs.show_all(desk, shown)
    finish_tests = nouns.finish_tests.show_all(desk, tests)
    return sheet(desk, TIMBER, brief_id, switches) | {
        "material": nouns.materials.show(desk, material),
        "photographs": photographs,
        "finish_tests": finish_tests,
        "uses": uses_for(desk, nouns.briefs.get(desk, brief_id), material),
        "states": [(state, state) for state in get_args(PhotographState)],
        "ages": AGES,
        "cards": [(card, card) for card in CARDS],
        "along": _along(desk, nouns.photographs, photographs)
        | _along(desk, nouns.finish_tests, finish_tests),
    }


def revisions(
    desk: Desk, brief_id: str, switches: Switches, since: str | None, until: str | None
) -> dict[str, Any]:
    """The page of a brief's revisions, and what changed from one to another or to now.

    since, until : ids of revisions; without them, from the last one to now. Raises NotFound.
    """
    known = list(reversed(nouns.revisions.page(desk, brief_id=brief_id)))
    first = next((one for one in known if one.id == since), known[0] if known else None)
    second = next((one for one in known if one.id == until), None)
    filled = sheet(desk, THEME, brief_id, switches) | {
        "revisions": nouns.revisions.show_all(desk, known),
        "since": first,
        "until": second,
        "unchanged": False,  # since the last one
        "choices": [(one.id, label(one)) for one in known],
    }
    if first is not None:
        now = pack(desk, brief_id, offcuts=False, revisions=False)
        filled["unchanged"] = same_content(document_of(known[0]), now)
        before, after = document_of(first), document_of(second) if second else now
        filled["groups"] = changes(before, after)
        filled["fronts"] = [
            (label(first), _front_then(desk, first, "before")),
            (label(second), _front_then(desk, second, "after"))
            if second
            else ("now", _front(desk, nouns.briefs.get(desk, brief_id), "after")),
        ]
    return filled


def _front_then(desk: Desk, revision: Revision, prefix: str) -> str:
    with as_frozen(desk, revision) as frozen:
        return _front(frozen, nouns.briefs.get(frozen, revision.brief_id), prefix)


def _front(
    desk: Desk, brief: Brief, prefix: str, state: State = "bare", face: Face = "front"
) -> str:
    parts = nouns.parts.page(desk, brief_id=brief.id)
    return draw_instrument(desk, brief, parts, prefix=prefix, state=state, face=face)


def _views(desk: Desk, noun: Noun[Any, Any], brief: Brief) -> list[Any]:
    return noun.show_all(desk, noun.page(desk, brief_id=brief.id))


def _grouped(views: Sequence[Any], field: str) -> dict[str, list[Any]]:
    groups: dict[str, list[Any]] = {}
    for view in views:
        groups.setdefault(getattr(view, field), []).append(view)
    return groups


def _along(desk: Desk, noun: Noun[Any, Any], views: Sequence[Any]) -> dict[str, tuple[str, ...]]:
    """What removing each would take along, by id."""
    return {view.id: offcuts.along(desk, noun.get(desk, view.id)) for view in views}


def _said(desk: Desk, brief: Brief, references: Sequence[ReferenceView] = ()) -> dict[str, Any]:
    """Notes and comments by the id of what they are about, and passages with what is quoted."""
    comments = _grouped(_views(desk, nouns.comments, brief), "about_id")
    return {
        "notes": _grouped(_views(desk, nouns.notes, brief), "about_id"),
        "comments": comments,
        "new": new_ids(desk, brief.id),
        "marked": {one.id: marked(one.passage, comments.get(one.id, ())) for one in references},
    }


def _theme(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    motifs = _views(desk, nouns.motifs, brief)
    references = _views(desk, nouns.references, brief)
    return {
        "motifs": motifs,
        "references": references,
        "swatches": _views(desk, nouns.swatches, brief),
        "passages": [one for one in references if one.kind == "passage"],
        "used_by": {
            motif.id: offcuts.used_by(desk, nouns.motifs.get(desk, motif.id)) for motif in motifs
        },
        "along": {
            **_along(desk, nouns.motifs, motifs),
            brief.id: offcuts.along(desk, brief),
        },
        **_said(desk, brief, references),
        **_whole_front(desk, brief, shown),
    }


def _references(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    references = _views(desk, nouns.references, brief)
    palettes = _views(desk, nouns.palettes, brief)
    swatches = _views(desk, nouns.swatches, brief)
    return {
        "references": references,
        "motifs": _views(desk, nouns.motifs, brief),
        "palettes": _grouped(palettes, "reference_id"),
        "swatches": {swatch.id: swatch for swatch in swatches},
        "nearest": dict(
            zip(
                [swatch.id for swatch in swatches],
                nearest_to_each(desk, [swatch.colour.lab for swatch in swatches], NEAREST_SHOWN),
                strict=True,
            )
        ),
        "rights": {kind: rights_choices(kind) for kind in OWN},
        "mine": MINE,
        "own": OWN,
        "ages": AGES,
        "cards": [(card, card) for card in CARDS],
        "counts": [(str(count), str(count)) for count in range(FEWEST, MOST + 1)],
        "max_bytes": MAX_BYTES,
        "along": {
            **_along(desk, nouns.references, references),
            **_along(desk, nouns.palettes, palettes),
            **_along(desk, nouns.swatches, swatches),
        },
        **_said(desk, brief, references),
    }


def _timber(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    materials = nouns.materials.show_all(desk, nouns.materials.page(desk))
    parts = _views(desk, nouns.parts, brief)
    used: dict[str, list[Any]] = {}
    for part in parts:
        if part.material:
            used.setdefault(part.material.id, []).append(part)
    rack_notes = _grouped(nouns.notes.show_all(desk, nouns.notes.page(desk)), "about_id")
    return {
        "materials": materials,
        "used": used,
        "stuffs": [(stuff, stuff) for stuff in get_args(Stuff)],
        "max_bytes": MAX_BYTES,
        "along": _along(desk, nouns.materials, materials),
        "used_by": {
            one.id: offcuts.used_by(desk, nouns.materials.get(desk, one.id)) for one in materials
        },
        **_said(desk, brief),
        "notes": rack_notes,
    }


def _pairings(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    pairings = list(reversed(nouns.pairings.page(desk, brief_id=brief.id)))  # newest first
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    views = nouns.pairings.show_all(desk, pairings)
    materials = nouns.materials.show_all(desk, nouns.materials.page(desk))
    return {
        "pairings": views,
        "pictures": {
            pairing.id: pair_pictures(desk, pairing, shown, viewings) for pairing in pairings
        },
        "viewings": [nouns.viewings.show(desk, one) for one in viewings],
        "light_choices": light_choices(),
        "eyes_words": EYES,
        "materials": [one for one in materials if one.colour],
        "unmeasured": [one for one in materials if not one.colour],
        "swatches": _views(desk, nouns.swatches, brief),
        "inlays_thin": thinnest_of(desk, brief),
        "along": _along(desk, nouns.pairings, views) | _along(desk, nouns.viewings, viewings),
        **_said(desk, brief),
    }


def _spec(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    parts = _views(desk, nouns.parts, brief)
    return {
        "parts": parts,
        "threads": {part.id: nouns.parts.thread(desk, part.id) for part in parts if part.swatch},
        "materials": nouns.materials.show_all(desk, nouns.materials.page(desk)),
        "swatches": _views(desk, nouns.swatches, brief),
        "motifs": _views(desk, nouns.motifs, brief),
        "along": _along(desk, nouns.parts, parts),
        "laid": laid_parts(
            desk, brief, nouns.parts.page(desk, brief_id=brief.id), shown.switches.state
        ),
        "matches": MATCHES,
        "turns": TURNS,
        "scheme": scheme_view(desk, brief),
        "asked": None,
        "asked_for": {"open": (), "no_papers": False, "most_price": ""},
        "asked_faults": {},
        **_said(desk, brief),
    }


def spec_asked(
    desk: Desk, brief_id: str, switches: Switches, asked: Mapping[str, Any]
) -> dict[str, Any]:
    """The Spec sheet with what the rack answers; what cannot be asked is said on it, too."""
    filled = sheet(desk, SPEC, brief_id, switches) | {"asked_for": asked}
    filled["beside_address"] = beside_address
    try:
        price = str(asked["most_price"]).strip()
        with in_field("most_price"):
            most = A_PRICE.read(price) if price else None
        limits = Limits(frozenset(asked["open"]), bool(asked["no_papers"]), most)
        filled["asked"] = ask_rack(desk, nouns.briefs.get(desk, brief_id), limits, switches.state)
    except InputError as exc:
        filled["asked_faults"] = {one.pointer.strip("/"): str(exc) for one in exc.faults}
    return filled


def _comments(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    comments = _views(desk, nouns.comments, brief)
    new = new_ids(desk, brief.id)
    newest_first = [one for one in reversed(comments) if one.reply_to is None]
    pictured = _views(desk, nouns.references, brief) + nouns.materials.show_all(
        desk, nouns.materials.page(desk)
    )
    return {
        "all_comments": sorted(newest_first, key=lambda one: one.state == "settled"),
        "replies": _grouped([one for one in comments if one.reply_to], "reply_to"),
        "new": new,
        "upto": max(new, default=None),
        "pictures": {one.id: one.picture for one in pictured if one.picture},
        "front_spots": {
            one.id: front_spot(brief, Region.parse(one.region))
            for one in comments
            if one.region and one.about_kind == "brief"
        },
        "max_bytes": annotation_model.MAX_BYTES,
        **_questions(desk, brief, shown),
        **_whole_front(desk, brief, shown),
    }


def comments_found(
    desk: Desk, brief_id: str, switches: Switches, asked: Mapping[str, str]
) -> dict[str, Any]:
    """The Comments sheet with only what was asked for: by whom, on what, in which state.

    A comment is there with all its replies, also where one of those alone is by that person or new.
    """
    filled = sheet(desk, COMMENTS, brief_id, switches)
    all_comments, new = filled["all_comments"], filled["new"]
    talks = {one.id: [one, *filled["replies"].get(one.id, ())] for one in all_comments}
    authors = {said.author: None for talk in talks.values() for said in talk}

    def wanted(one: CommentView) -> bool:
        talk = talks[one.id]
        return (
            asked["who"] in ("", *(said.author for said in talk))
            and asked["where"] in ("", one.about_id)
            and asked["state"] in ("", one.state, *("new" for said in talk if said.id in new))
        )

    found = [one for one in all_comments if wanted(one)]
    return filled | {
        "all_comments": found,
        "along": _along(desk, nouns.comments, found),
        "asked_for": asked,
        "total": len(all_comments),
        "authors": [(name, name) for name in sorted(authors, key=str.casefold)],
        "abouts": sorted(
            {one.about_id: one.about_label for one in all_comments}.items(),
            key=lambda about: (about[0] != brief_id, about[1].casefold()),
        ),
    }


def _questions(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    """This or that: open ones first, with what is put side by side, and what can be."""
    newest_first = list(reversed(nouns.questions.page(desk, brief_id=brief.id)))
    asked = sorted(newest_first, key=lambda one: one.state == "closed")
    views = nouns.questions.show_all(desk, asked)
    return {
        "questions": views,
        "question_faces": {
            view.id: [
                face(
                    desk,
                    named(desk, one.kind, one.id),
                    shown,
                    prefix=f"q{view.id}-{at}",
                )
                for at, one in enumerate(view.choices)
            ]
            for view in views
        },
        "kept_in": {one.id: kept_in(desk, one) for one in asked},
        "choosable": _choosable(desk, brief),
        "question_along": _along(desk, nouns.questions, views),
    }


def _choosable(desk: Desk, brief: Brief) -> dict[str, list[tuple[str, str]]]:
    """What a question can put side by side: (id, label) by what they are."""

    def labelled(noun: Noun[Any, Any], brief_id: str | None = None) -> list[tuple[str, str]]:
        return [(one.id, label(one)) for one in noun.page(desk, brief_id=brief_id)]

    return {
        "Pairings": labelled(nouns.pairings, brief_id=brief.id),
        "Pieces of the rack": labelled(nouns.materials),
        "Pictures and passages": labelled(nouns.references, brief_id=brief.id),
        "Swatches": labelled(nouns.swatches, brief_id=brief.id),
        "Whole briefs": labelled(nouns.briefs),
        "Revisions of this brief": labelled(nouns.revisions, brief_id=brief.id),
    }


def _whole_front(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    """The front once more, for spots on it: that of the panel is brought close and folded away."""
    return {
        "whole_front": _front(desk, brief, "whole", shown.switches.state),
        "whole_box": dict(loupe_views(brief, "front"))["whole"],
    }


def _drawing(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    own = nouns.kinds.show_all(desk, nouns.kinds.page(desk))
    tracings = nouns.tracings.page(desk, brief_id=brief.id)
    inlays = inlay_rows(desk, brief, shown.switches.state)
    return drawing(desk, brief, _densities(desk, brief)) | {
        "tracings": nouns.tracings.show_all(desk, tracings),
        "overlays": {one.id: overlay(desk, one) for one in tracings},
        "max_bytes": MAX_BYTES,
        "inlays": inlays,
        "parts": _views(desk, nouns.parts, brief),
        "lies_on": [(part, part) for part in get_args(LiesOn)],
        "along": _along(desk, nouns.inlays, [row.view for row in inlays]),
        "own_kinds": own,
        "kinds_used_by": {
            one.id: offcuts.used_by(desk, nouns.kinds.get(desk, one.id)) for one in own
        },
    }


def _densities(desk: Desk, brief: Brief) -> dict[str, float]:
    """kg/m³ by role, of the parts whose pieces have one."""
    found: dict[str, float] = {}
    for part in nouns.parts.page(desk, brief_id=brief.id):
        if part.material_id is not None:
            density = density_of(nouns.materials.get(desk, part.material_id, binned=True))
            if density is not None:
                found.setdefault(part.role, density)
    return found


def _sharing(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    references = nouns.references.page(desk, brief_id=brief.id)
    shares = list(reversed(_views(desk, nouns.shares, brief)))  # newest first
    return {
        "shares": shares,
        "sheet_choices": {share.id: share_choices(share.sheets) for share in shares},
        "usual_choices": share_choices(),
        "usual_expiry": usual_expiry(),
        "revision_choices": [
            (one.id, f"{label(one)}, {day(one.created_utc)}")
            for one in reversed(nouns.revisions.page(desk, brief_id=brief.id))
        ],
        "private_count": sum(one.private for one in references),
        "along": _along(desk, nouns.shares, shares),
    }


def _paper(desk: Desk, brief: Brief, shown: Shown) -> dict[str, Any]:
    references = nouns.references.page(desk, brief_id=brief.id)
    stopped = unclear(references)
    return {
        "stopped": [
            (
                one,
                standing(one),
                picture_view(desk, one.image_sha256) if one.image_sha256 else None,
            )
            for one in stopped
        ],
        "stopped_words": counted(stopped),
        "going": [
            (one, standing(one)) for one in references if not one.private and one not in stopped
        ],
        "private": sum(one.private for one in references),
        "first_lines": first_lines(brief.theme),
        "card_pictures": [
            (one.id, label(one)) for one in pictures_of(desk, brief.id) if one not in stopped
        ],
        "unprintable": unprintable(desk, brief),
        "longest": LONGEST_LINES,
    }


TIMBER = Sheet(3, "timber", "Timber and inlay", _timber)
SPEC = Sheet(5, "spec", "Spec", _spec)
COMMENTS = Sheet(7, "comments", "Comments", _comments)
THEME = Sheet(1, "theme", "Theme", _theme)
SHEETS = (
    THEME,
    Sheet(2, "references", "References", _references),
    TIMBER,
    Sheet(4, "pairings", "Pairings", _pairings),
    SPEC,
    Sheet(6, "drawing", "Drawing", _drawing),
    COMMENTS,
    Sheet(8, "sharing", "Sharing", _sharing),
    Sheet(9, "paper", "On paper", _paper),
)
