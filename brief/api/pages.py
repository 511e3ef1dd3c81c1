"""The pages: GET only, from the same services as the API, which does all writing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, TypeAlias

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from brief.api.desks import ReadingDesk, store_of
from brief.api.lock import own_address, signed_in_there
from brief.api.routing import Router
from brief.api.templates import pages_of
from brief.colour.viewing import observer, shape
from brief.services import nouns, offcuts, sheets
from brief.services.common import care
from brief.services.common.paging import Leaf
from brief.services.drawing import in_numbers
from brief.services.drawing.machine import AskedOfMachine
from brief.services.pages.instrument.spec import AskedFor
from brief.services.pages.people.comments import Filter
from brief.services.pages.run_up.trip import stand_page
from brief.services.pages.shelf import shelf as shelf_page
from brief.services.pairing.view_settings import Switches
from brief.services.rack.searching import RackAsked
from brief.services.spec.sawing.sawing import AskedOfSaw

router = Router(include_in_schema=False, default_response_class=HTMLResponse)
# What an address asks for.
AskedOfRack: TypeAlias = Annotated[RackAsked, Depends()]
AskedLeaf: TypeAlias = Annotated[Leaf, Depends()]


@router.get("/")
def shelf(request: Request, desk: ReadingDesk) -> Response:
    """The shelf: all briefs."""
    addresses = request.app.state.settings.addresses
    loss = store_of(request).loss(desk)
    return pages_of(request).show("shelf.html", shelf_page(desk), addresses=addresses, loss=loss)


@router.get("/sign-in")
def sign_in(request: Request, desk: ReadingDesk) -> Response:
    """The page to sign in on; a browser that need not is sent on."""
    then = own_address(request.query_params.get("then", "/"))
    if not request.app.state.settings.locked or signed_in_there(desk, request):
        return RedirectResponse(then, 303)
    shared = request.app.state.house is not None
    return pages_of(request).show("sign_in.html", then=then, shared=shared)


@router.get("/offcuts")
def offcuts_bin(request: Request, desk: ReadingDesk) -> Response:
    """The offcuts bin."""
    return pages_of(request).show("offcuts.html", offcuts=offcuts.offcuts(desk))


@router.get("/method")
def method(request: Request) -> Response:
    """The page that says how things are measured and judged."""
    looks = {
        "pictures": observer.PICTURES,
        "found": observer.AGREE_FOUND,
        "stands_out": observer.AGREE_STANDS_OUT,
    }
    return pages_of(request).show(
        "method.html",
        care.told(),
        found=observer.FOUND,
        stands_out=observer.STANDS_OUT,
        looks=looks,
        shapes={"found": shape.AGREE_FOUND, "stands_out": shape.AGREE_STANDS_OUT},
    )


@router.get("/briefs/{brief_id}")
def first_sheet(brief_id: str, desk: ReadingDesk) -> Response:
    """A brief's own address leads to its first sheet."""
    nouns.briefs.get(desk, brief_id)
    return RedirectResponse(f"/briefs/{brief_id}/{sheets.SHEETS[0].key}")


SEEN_COOKIE = "seen"


def _switches(request: Request) -> Switches:
    return Switches.parse(request.cookies.get(SEEN_COOKIE, ""))


@router.get("/briefs/{brief_id}/bench")
def bench(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """The fret table for the bench."""
    brief = nouns.briefs.get(desk, brief_id)
    return pages_of(request).show("bench.html", *in_numbers.bench(desk, brief), brief=brief)


@router.get("/briefs/{brief_id}/trip/stand")
def stand(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """The caption and the price list, to print."""
    return pages_of(request).show("stand.html", stand_page(desk, brief_id))


@router.get("/briefs/{brief_id}/panel")
def panel(request: Request, brief_id: str, desk: ReadingDesk, sheet: str = "theme") -> Response:
    """The instrument beside a sheet."""
    filled = sheets.panel(desk, sheets.sheet_of(sheet), brief_id, _switches(request))
    return pages_of(request).show("panel.html", *filled)


@router.get("/briefs/{brief_id}/beside")
def beside(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """Two instruments side by side."""
    given = request.query_params
    asked = given.getlist("swap")
    if given.get("part") and given.get("material"):
        asked.append(f"{given['part']}:{given['material']}")
    filled = sheets.beside_sheet(desk, brief_id, _switches(request), asked, given.get("other", ""))
    return pages_of(request).show("beside.html", *filled)


@router.get("/briefs/{brief_id}/spec")
def spec(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """The build spec, with proposals of the rack where they are asked for."""
    given = request.query_params
    if not given:
        filled = sheets.sheet(desk, sheets.SPEC, brief_id, _switches(request))
    else:
        asked = AskedFor(
            open=given.getlist("open"),
            no_papers="no_papers" in given,
            most_price=given.get("most_price", ""),
        )
        filled = sheets.spec_asked(desk, brief_id, _switches(request), asked)
    return pages_of(request).show("spec.html", *filled)


@router.get("/briefs/{brief_id}/parts/{part_id}")
def part(request: Request, brief_id: str, part_id: str, desk: ReadingDesk) -> Response:
    """The row of one part in full."""
    filled = sheets.part(desk, brief_id, part_id, _switches(request))
    return pages_of(request).show("part.html", *filled)


@router.get("/briefs/{brief_id}/parts/{part_id}/tries")
def tries(
    request: Request,
    brief_id: str,
    part_id: str,
    desk: ReadingDesk,
    words: str = "",
    page: int = 1,
) -> Response:
    """The pieces of the rack tried on one part."""
    also = request.query_params.getlist("also")
    filled = sheets.tries(desk, brief_id, part_id, _switches(request), words, page, also)
    return pages_of(request).show("tries.html", *filled)


@router.get("/briefs/{brief_id}/whole")
def whole(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """What all parts of the instrument together come to."""
    return pages_of(request).show("whole.html", *sheets.whole_instrument(desk, brief_id))


@router.get("/briefs/{brief_id}/comments")
def comments(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    asked: Annotated[Filter, Depends()],
    leaf: AskedLeaf,
) -> Response:
    """The comments, narrowed by who, where and state."""
    filled = sheets.comments_found(desk, brief_id, _switches(request), asked, leaf)
    return pages_of(request).show("comments.html", *filled)


@router.get("/briefs/{brief_id}/comments/ask")
def ask(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """The form for a question to others."""
    filled = sheets.question_form(desk, brief_id, _switches(request))
    return pages_of(request).show("question_form.html", *filled)


@router.get("/briefs/{brief_id}/references")
def references(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    leaf: AskedLeaf,
    order: str = "motif",
) -> Response:
    """All references as a contact sheet."""
    filled = sheets.references_ordered(desk, brief_id, _switches(request), order, leaf)
    return pages_of(request).show("references.html", *filled)


@router.get("/briefs/{brief_id}/references/{reference_id}")
def reference(
    request: Request, brief_id: str, reference_id: str, desk: ReadingDesk, order: str = "motif"
) -> Response:
    """One reference, large."""
    filled = sheets.reference(desk, brief_id, reference_id, _switches(request), order)
    return pages_of(request).show("reference.html", *filled)


@router.get("/briefs/{brief_id}/palettes/{palette_id}")
def palette(brief_id: str, palette_id: str, desk: ReadingDesk) -> Response:
    """A palette's own address leads to the picture that it was pulled out of."""
    found = nouns.palettes.get(desk, palette_id)
    at = f"/briefs/{brief_id}/references/{found.reference_id}#palette-{palette_id}"
    return RedirectResponse(at)


@router.get("/briefs/{brief_id}/credits")
def credits(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """Whose the references are, and several credited at once."""
    filled = sheets.credits_of(desk, brief_id, _switches(request))
    return pages_of(request).show("credits.html", *filled)


def _sheet_page(sheet: sheets.Sheet) -> Callable[..., Response]:
    def page(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
        filled = sheets.sheet(desk, sheet, brief_id, _switches(request))
        reachable = request.app.state.settings.locked  # so it is where others can come
        return pages_of(request).show(f"{sheet.key}.html", *filled, reachable=reachable)

    return page


@router.get("/briefs/{brief_id}/timber")
def timber(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    asked: AskedOfRack,
    leaf: AskedLeaf,
) -> Response:
    """The rack, or what of it was asked for."""
    filled = sheets.rack(desk, brief_id, _switches(request), asked, leaf)
    return pages_of(request).show("timber.html", *filled)


@router.get("/briefs/{brief_id}/stock")
def stock(request: Request, brief_id: str, desk: ReadingDesk, leaf: AskedLeaf) -> Response:
    """What a merchant has, and what was looked for in it."""
    filled = sheets.stock(desk, brief_id, _switches(request), dict(request.query_params), leaf)
    return pages_of(request).show("stock.html", *filled)


@router.get("/briefs/{brief_id}/timber/{material_id}")
def piece(
    request: Request,
    brief_id: str,
    material_id: str,
    desk: ReadingDesk,
    saw: Annotated[AskedOfSaw, Depends()],
) -> Response:
    """A piece of the rack as the brief uses it."""
    filled = sheets.piece(desk, brief_id, material_id, _switches(request), saw)
    return pages_of(request).show("piece.html", *filled)


@router.get("/briefs/{brief_id}/drawing")
def drawing(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    asked: Annotated[AskedOfMachine, Depends()],
    saw: Annotated[AskedOfSaw, Depends()],
) -> Response:
    """The numbers and the sheets to measure from, as a machine cuts them if it is asked for."""
    filled = sheets.drawn_for(desk, brief_id, _switches(request), asked, saw)
    return pages_of(request).show("drawing.html", *filled)


@router.get("/briefs/{brief_id}/revisions")
def revisions(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    since: str | None = None,
    until: str | None = None,
) -> Response:
    """The revisions, and what changed between two of them."""
    filled = sheets.revisions(desk, brief_id, _switches(request), since, until)
    return pages_of(request).show("revisions.html", *filled)


# These are asked for something, and have routes of their own: above, or in `pairing_pages`.
ASKED = {
    sheets.REFERENCES,
    sheets.TIMBER,
    sheets.PAIRINGS,
    sheets.LAY,
    sheets.SPEC,
    sheets.DRAWING,
    sheets.COMMENTS,
}
for _sheet in sheets.SHEETS:
    if _sheet not in ASKED:
        router.add_api_route(f"/briefs/{{brief_id}}/{_sheet.key}", _sheet_page(_sheet))
