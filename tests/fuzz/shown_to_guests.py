"""What each kind of guest is shown, field by field: what `services/sharing/privacy.py` tells, and
what a link of the calendar has. All else is private, so that a new field is until it is named here.

"then" is said of what a revision keeps: its guests read the brief as it was, and what is asked and
said as it is now.
"""

from __future__ import annotations

from collections.abc import Mapping

OF_THEME = {
    "briefs.instrument",
    "briefs.theme",
    "briefs.title",
    "motifs.name",
    "motifs.says",
    "notes.text",
}
OF_THE_SHEETS = {
    "inlays.name",
    "kinds.drawing",  # the name of the kind, on the sheets to measure from
    "materials.public_name",
    "pairings.place",
    "parts.finish",
    "parts.name",
    "parts.sizes",
    "references.credit",
    "references.passage",
    "references.rights",
    "references.source",
    "references.title",
    "studio_pictures.name",
    "studio_pictures.said",
    "swatches.name",
    "viewings.name",  # where an inlay reads
}
SAID = {
    "answers.author",
    "answers.why",
    "comments.author",
    "comments.outcome",
    "comments.text",
    "questions.text",
}
# What a question puts side by side, as it is called now.
ASKED = {"materials.public_name", "references.title", "swatches.name"}
FOR_WHOM = "shares.name"  # of the guest's own link
READ = {*OF_THEME, *OF_THE_SHEETS, *SAID, "comments.quote", FOR_WHOM}

# What a maker hands over themselves: booklet with comments, card, strands, the file by mail, and
# the file of comments, which says what stands round the words that one is about.
HANDED_OVER = {
    *READ,
    "briefs.show",
    "briefs.wanted_by",
    "comments.quote_prefix",
    "comments.quote_suffix",
    "materials.species",
} - {FOR_WHOM}

SHOWN_TO: Mapping[str, set[str]] = {
    "reader": READ,
    "commenter": READ,
    "of the theme": {*OF_THEME, FOR_WHOM},
    "of a revision": {
        *(f"{one} then" for one in OF_THEME | OF_THE_SHEETS),
        *SAID,
        *ASKED,
        FOR_WHOM,
    },
    "expired": set(),
    "withdrawn": set(),
    "guessing": set(),
    # The maker's own calendar: the run-up, and the trip without bookings and contacts.
    "calendar": {
        "briefs.opens_on",
        "briefs.title",
        "briefs.wanted_by",
        "legs.arrives_on",
        "legs.by",
        "legs.leaves_on",
        "stages.name",
        "stays.from_on",
        "stops.address",
        "stops.name",
    },
}
