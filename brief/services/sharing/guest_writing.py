"""What a guest says by a link, written down where it belongs in the brief as it is now.

What the guest is answered follows from what the link shows alone: who reads an older revision
learns neither what a thing is called by now nor which words still stand.
"""

from __future__ import annotations

from brief.errors import InputError
from brief.services import nouns
from brief.services.common.finding import present
from brief.services.common.naming import BY_KIND
from brief.services.feedback.comments import GONE, QUOTE_FIELDS, CommentDraft, quoted, words_of
from brief.services.feedback.quotes import Quote, places
from brief.services.sharing.guest_view import things
from brief.services.sharing.seen import NamedThing
from brief.services.sharing.share_scope import Scope, scope_of
from brief.store.desk import Desk
from brief.store.records import Brief, Share


def add_by_link(desk: Desk, share: Share, said: CommentDraft) -> NamedThing:
    """Write down what somebody said, and return what it is about, as they are shown it.

    Raises InputError for what the link does not show, or words that do not stand in it.
    """
    with scope_of(desk, share) as scope:
        named = things(scope).get(said.about_id)
        if named is None or named.kind != said.about_kind:
            raise InputError.at(
                "about_id",
                "That part is gone. Comment on the whole instrument instead.",
            )
        if scope.desk is desk:
            nouns.comments.add_from(desk, said, "link")
            return named
        shown = present(scope.desk, BY_KIND[named.kind], named.id)
        quote = quoted(shown, dict(said))
    said = said.model_copy(update=dict.fromkeys(QUOTE_FIELDS, ""))
    brief = desk.session.get_one(Brief, share.brief_id)
    if named.id in things(Scope.of(desk, brief, share.sheets)):
        about = present(desk, BY_KIND[named.kind], named.id)
        stands = not quote["quote"] or places(words_of(about), Quote(*quote.values()))
        since = "" if stands else GONE
    else:
        since = f"Said about the {named.kind} “{named.label}”, which has been removed since."
        if quote["quote"]:
            since += f" It is about these words: “{quote['quote']}”."
        said = said.model_copy(update={"about_kind": "brief", "about_id": brief.id, "region": None})
        quote = {}
    nouns.comments.add_from(desk, said, "link", since=since, **quote)
    return named
