"""What leaves a brief or comes into one: files, and paper."""

from __future__ import annotations

import argparse
from pathlib import Path

from brief.cli.asking.arguments import add_brief, add_home, add_json, add_printing


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add these commands: export, import, booklet, card, strands, passport."""
    export = commands.add_parser(
        "export", help="pack up a whole brief as one zip file, or a file to comment in by mail"
    )
    export.set_defaults(run=_export)
    add_brief(export)
    export.add_argument("--out", metavar="FILE", type=Path, required=True, help="where to write")
    export.add_argument(
        "--for-comment",
        action="store_true",
        help="one HTML file for others, without what is private, in which they can comment",
    )
    export.add_argument(
        "--sheets",
        metavar="A,B",
        default=None,
        help="what it shows: theme, references, spec, pairings, questions, drawing, comments",
    )
    export.add_argument(
        "--without-trip",
        action="store_true",
        help="leave out the legs, stays, contacts and packing list of its trip",
    )
    add_home(export)
    add_json(export)

    bring_in = commands.add_parser(
        "import", help="bring in a brief that was packed up, or comments"
    )
    bring_in.set_defaults(run=_import)
    bring_in.add_argument("file", metavar="FILE", type=Path, help="the zip, or a file of comments")
    add_home(bring_in)
    add_json(bring_in)

    booklet = commands.add_parser("booklet", help="write a brief as a booklet to be printed")
    booklet.set_defaults(run=_booklet)
    booklet.add_argument(
        "--cover",
        metavar="PICTURE",
        default="instrument",
        help="instrument, or the id of a studio picture that others may see (instrument)",
    )
    add_printing(booklet, "A4", "A4 or Letter")
    booklet.add_argument("--comments", action="store_true", help="print the comments, too")

    card = commands.add_parser("card", help="write the card that stands beside a piece at a show")
    card.set_defaults(run=_card)
    add_printing(card, "A5", "A5 or A6; A4 or Letter for two cards to be cut")
    card.add_argument("--maker", metavar="WORDS", default="", help="what you say of yourself")
    card.add_argument(
        "--picture",
        metavar="WHAT",
        default="instrument",
        help="instrument, none, or the id of one of the brief's pictures (instrument)",
    )

    strands = commands.add_parser(
        "strands", help="write the strands of a theme as one sheet, PDF or PNG"
    )
    strands.set_defaults(run=_strands)
    add_printing(strands, "A3", "A3 or A4, of a PDF")
    strands.add_argument(
        "--for-me",
        action="store_true",
        help="for your own wall: with private items and those without clear rights",
    )

    passport = commands.add_parser(
        "passport", help="write every material of an instrument with its papers, PDF"
    )
    passport.set_defaults(run=_passport)
    passport.add_argument("brief", metavar="BRIEF", help="its title, its beginning, or its id")
    passport.add_argument("--out", metavar="FILE", type=Path, required=True, help="what to write")
    passport.add_argument("--paper", metavar="PAPER", default="A4", help="A4 or Letter (A4)")
    add_home(passport)


def _export(asked: argparse.Namespace) -> int:
    if asked.for_comment:
        from brief.cli.commands.going_out.mail import export_for_comment

        export_for_comment(asked.home, asked.brief, asked.out, asked.sheets, as_json=asked.json)
        return 0
    from brief.cli.commands.going_out.parcel import export_brief

    trip = not asked.without_trip
    export_brief(asked.home, asked.brief, asked.out, trip=trip, as_json=asked.json)
    return 0


def _import(asked: argparse.Namespace) -> int:
    from brief.cli.commands.going_out.parcel import import_brief, is_zip

    if not is_zip(asked.file):
        from brief.cli.commands.going_out.comments import import_comments

        import_comments(asked.home, asked.file, as_json=asked.json)
        return 0
    import_brief(asked.home, asked.file, as_json=asked.json)
    return 0


def _booklet(asked: argparse.Namespace) -> int:
    from brief.cli.commands.going_out.printing import write_booklet

    write_booklet(
        asked.home,
        asked.brief,
        asked.out,
        asked.paper,
        leave_out=asked.leave_out,
        comments=asked.comments,
        cover=asked.cover,
    )
    return 0


def _card(asked: argparse.Namespace) -> int:
    from brief.cli.commands.going_out.printing import write_card

    write_card(
        asked.home,
        asked.brief,
        asked.out,
        asked.paper,
        maker=asked.maker,
        picture=asked.picture,
        leave_out=asked.leave_out,
    )
    return 0


def _strands(asked: argparse.Namespace) -> int:
    from brief.cli.commands.going_out.printing import write_strands

    write_strands(
        asked.home,
        asked.brief,
        asked.out,
        asked.paper,
        for_me=asked.for_me,
        leave_out=asked.leave_out,
    )
    return 0


def _passport(asked: argparse.Namespace) -> int:
    from brief.cli.commands.going_out.printing import write_passport

    write_passport(asked.home, asked.brief, asked.out, asked.paper)
    return 0
