"""The pictures of a page for those outside, and no others.

A page addresses its pictures as the owner's pages do; at the end each address is put in terms of a
link or, in a file by mail, of the picture itself. An address that the page does not have shows
nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from html import escape, unescape
from urllib.parse import unquote

from sqlalchemy import select

from brief.errors import NotFound
from brief.services import nouns
from brief.services.drawing import plans
from brief.services.drawing.body_files import GLB_MEDIA, body_file, body_of
from brief.services.drawing.pair_pictures import pair_pictures, picture_as_asked
from brief.services.history.revision_view import as_frozen
from brief.services.pairing.view_settings import shown_as
from brief.services.photos.pictures import SIZES, TEXTURE_PX, picture_at, picture_view
from brief.services.rack.piece_colours import texture_of
from brief.services.sharing.guest_view import PLAIN
from brief.services.sharing.share_scope import Scope
from brief.store.desk import Desk
from brief.store.records import Material, Pairing, Part, Revision

NO_PICTURE = "There is no such picture here."

_ADDRESS = re.compile(
    r'(?<=")/(?:images/[0-9a-f]{64}/|api/pairings/\w{26}/picture|api/briefs/\w{26}/(?:drawings/|instrument\.glb))[^"]*'
)


def readdressed(page: str, by: Callable[[str], str]) -> str:
    """The page with the address of each picture put through `by`."""
    return _ADDRESS.sub(lambda found: escape(by(unescape(found[0]))), page)


def outside_picture(scope: Scope, address: str, *, within: int | None = None) -> tuple[bytes, str]:
    """The picture that the page of that scope has at `address`, or the body that is turned there,
    and its media type.

    within : the longest side of a photograph, pixels, where that of the owner's pages is too much.
    Raises NotFound for anything else, above all for a file as it was given.
    """
    address = unquote(address)
    match address.partition("?")[0].split("/"):
        case ["", "images", _, size] if size in SIZES:
            _may_see(scope, address)
            return picture_at(scope.live, address, within=within), "image/jpeg"
        case ["", "api", "pairings", pairing_id, "picture"]:
            return _pair(scope, pairing_id, address), "image/jpeg"
        case ["", "api", "briefs", scope.brief.id, "instrument.glb"] if "spec" in scope.sheets:
            body = body_of(scope.desk, scope.brief, scope.page(nouns.parts))
            return body_file(scope.desk, body, within=within or TEXTURE_PX), GLB_MEDIA
        case ["", "api", "briefs", scope.brief.id, "drawings", name] if "drawing" in scope.sheets:
            known = plans.sheets_of(scope.desk, scope.brief)
            sheet = next((one for one, _ in known if name == f"{one}.svg"), None)
            if sheet is not None:
                drawn = plans.draw(scope.desk, scope.brief, sheet, "svg")
                return drawn.data, drawn.media_type
    raise NotFound(NO_PICTURE)


def _may_see(scope: Scope, address: str) -> None:
    """Raise NotFound unless a page for outsiders has that address."""
    asked = {*scope.chosen_from("reference")}
    shown = [
        *(scope.references if "references" in scope.sheets else ()),
        *(one for one in nouns.references.page(scope.live) if one.id in asked),
    ]
    sha256 = address.split("/")[2]
    if any(reference.image_sha256 == sha256 for reference in shown):
        picture = picture_view(scope.live, sha256)
        if address in (picture.thumb, picture.page):
            return
    for one in scope.studio_pictures if "spec" in scope.sheets else ():
        if address == picture_view(scope.live, one.image_sha256).page:
            return
    for piece in _pieces(scope):
        if address == texture_of(piece):
            return
    raise NotFound(NO_PICTURE)


def _pair(scope: Scope, pairing_id: str, address: str) -> bytes:
    """A picture of a pairing that is shown, or that a question puts beside another."""
    asked = pairing_id in scope.chosen_from("pairing")
    for desk, is_shown in ((scope.desk, "pairings" in scope.sheets), (scope.live, asked)):
        pairing = desk.session.get(Pairing, pairing_id)
        if not is_shown or pairing is None or pairing.brief_id != scope.brief.id:
            continue
        viewings = nouns.viewings.page(desk, brief_id=scope.brief.id)
        shown = shown_as(PLAIN, viewings)
        for one in pair_pictures(desk, pairing, shown, viewings):
            if unquote(one.address) == address:
                return picture_as_asked(desk, pairing, shown, one.distance_m, or_stand_in=True)
    raise NotFound(NO_PICTURE)


def _pieces(scope: Scope) -> Iterator[Material]:
    """The pieces of the rack whose photographs are shown."""
    pairings: list[Pairing] = []
    if "spec" in scope.sheets:
        yield from _of_parts(scope.desk, scope.page(nouns.parts))
    if "pairings" in scope.sheets:
        pairings += scope.page(nouns.pairings)
    session = scope.live.session
    pairings += [session.get_one(Pairing, one) for one in scope.chosen_from("pairing")]
    for pairing in pairings:
        yield from (pairing.ground, pairing.inlay)
    for material_id in scope.chosen_from("material"):
        yield session.get_one(Material, material_id)
    for brief_id in scope.chosen_from("brief"):
        parts = session.scalars(
            select(Part).where(Part.brief_id == brief_id, Part.binned_utc.is_(None))
        )
        yield from _of_parts(scope.live, parts.all())
    for revision_id in scope.chosen_from("revision"):
        with as_frozen(scope.live, session.get_one(Revision, revision_id)) as frozen:
            yield from _of_parts(frozen, nouns.parts.page(frozen, brief_id=scope.brief.id))


def _of_parts(desk: Desk, parts: Sequence[Part]) -> Iterator[Material]:
    for part in parts:
        if part.material_id is not None:
            yield desk.session.get_one(Material, part.material_id)
