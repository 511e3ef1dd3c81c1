"""What can be asked of `brief`, and how it ends. What a command needs is imported when it runs."""

from __future__ import annotations

import argparse
import errno
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import brief
from brief.errors import BriefError, InputError, quoted

if TYPE_CHECKING:
    from brief.cli.serve.exposure import Proxy
    from brief.cli.serve.listening import Listener

WRONG = 2  # the exit code of argparse, too
INTERRUPTED = 130
PORTS = 65536
UNPRINTED = {errno.ENOSPC, errno.EPIPE, errno.EIO}  # a full disk, a closed pipe, a lost terminal


def main(argv: Sequence[str] | None = None) -> int:
    """Run the `brief` command.

    argv : the words behind `brief`; those of the process if left out.
    Returns the exit code: 0, or 2 with one line on stderr when something was refused or could
    not be printed, or 130 when the run was interrupted; 1 from `brief check` or `brief backup` that
    found something.
    """
    for stream in (sys.stdout, sys.stderr):
        # A console or pipe of an older code page lacks some signs: "?" is better than a crash.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    parser = _parser()
    try:
        code = _run(parser, argv)
        sys.stdout.flush()  # while it can still be said that this failed
    except OSError as exc:
        if exc.filename is not None or exc.errno not in UNPRINTED:
            raise
        _give_up_printing()
        if exc.errno != errno.EPIPE:  # whoever was reading has closed it and knows
            print(f"brief: what was to be printed could not be: {exc.strerror}", file=sys.stderr)
        return WRONG
    return code


def _run(parser: argparse.ArgumentParser, argv: Sequence[str] | None) -> int:
    try:
        asked = parser.parse_args(argv)
    except SystemExit as exc:  # --help, --version, or a slip that argparse has explained
        return WRONG if exc.code else 0
    try:
        code: int = asked.run(asked)
    except BriefError as exc:
        print(f"brief: {' '.join(str(exc).splitlines())}", file=sys.stderr)
        return WRONG
    except KeyboardInterrupt:
        return INTERRUPTED
    return code


def _give_up_printing() -> None:
    """Let what is left to print go nowhere, or Python would try again at its end and complain."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="brief",
        description="Design briefs for one-off acoustic instruments: a theme, its colours, and "
        "the timbers that carry them.",
        epilog="Start with: brief demo",
    )
    parser.add_argument("--version", action="version", version=f"brief {brief.__version__}")
    parser.set_defaults(run=lambda _asked: _without_a_command(parser))
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")

    serve = commands.add_parser("serve", help="open your briefs in the browser")
    serve.set_defaults(run=_serve)
    _add_serving(
        serve, "the folder of your briefs and pictures (otherwise BRIEF_HOME, or your data folder)"
    )

    demo = commands.add_parser("demo", help="open an invented brief to look around in")
    demo.set_defaults(run=_demo)
    _add_serving(demo, "a folder to keep the demo in (otherwise it is deleted when you stop)")

    palette = commands.add_parser("palette", help="the colours a photograph is made of")
    palette.set_defaults(run=_palette)
    palette.add_argument("photo", metavar="PHOTO", type=Path, help="a JPEG, HEIC, PNG …")
    palette.add_argument(
        "--colours",
        "--colors",
        metavar="N",
        type=_number_if_it_is_one,
        default=6,
        help="number of colours, 1 to 12, or auto (default 6)",
    )
    palette.add_argument(
        "--region",
        metavar="xywh=percent:LEFT,TOP,WIDTH,HEIGHT",
        help="part of the picture in percent, e.g. xywh=percent:10,20,50,40",
    )
    palette.add_argument(
        "--seed",
        metavar="N",
        type=_number_if_it_is_one,
        default=0,
        help="another start for the sorting of pixels; the same gives the same colours (0)",
    )
    _add_json(palette)

    pair = commands.add_parser(
        "pair",
        help="whether an inlay stands clear of a timber",
        description="Each of the two is a photograph, or a colour as text: "
        '"#b37a4c", "Lab 56.1 17.3 33.9", "lab(56.5% 19.3 34.4)".',
    )
    pair.set_defaults(run=_pair)
    pair.add_argument("ground", metavar="GROUND", help="the timber the inlay is set into")
    pair.add_argument("inlay", metavar="INLAY", help="what is set into it")
    pair.add_argument("--line", metavar="WIDTH", help="of its line, 0.1 to 10 mm: 0,8 or 1/32in")
    pair.add_argument(
        "--from",
        metavar="DISTANCE",
        dest="from_m",
        help="judge it from there, too, 0.2 to 20 m: 3 or 10ft (otherwise only at the bench)",
    )
    pair.add_argument(
        "--light",
        metavar="LIGHT",
        help="and under that light: a CIE name such as A or LED-B3, or a lamp's kelvin and Ra, as "
        "in 2900K/83",
    )
    pair.add_argument(
        "--eyes",
        metavar="EYES",
        help="and to colour-blind eyes: protan, deutan or tritan",
    )
    _add_json(pair)

    move = commands.add_parser(
        "move",
        help="how far a wood moves from one air to another",
        description="How much narrower or wider a piece becomes across its grain.",
    )
    move.set_defaults(run=_move)
    move.add_argument("wood", metavar="WOOD", help='its species or name: "Picea abies", sitka')
    move.add_argument("width", metavar="WIDTH", help="across the grain: 380 or 15in")
    move.add_argument(
        "--from", metavar="RH", dest="before", required=True, help="relative humidity, percent: 45"
    )
    move.add_argument("--to", metavar="RH", dest="after", required=True, help="and then: 30")
    move.add_argument("--at", metavar="T", default="20", help="temperature: 20 or 70F (20)")
    move.add_argument(
        "--cut", metavar="CUT", default="not said", help="quartersawn or flatsawn (not said)"
    )
    _add_json(move)

    passphrase = commands.add_parser(
        "passphrase",
        help="set or change what opens your briefs from another device",
        description="Set or change the passphrase that --lan and --public ask for. It is typed "
        "here, or taken from BRIEF_PASSPHRASE. Whoever was signed in has to sign in again.",
    )
    passphrase.set_defaults(run=_passphrase)
    _add_home(passphrase)

    draw = commands.add_parser("draw", help="write the drawings of a brief to measure from")
    draw.set_defaults(run=_draw)
    draw.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")
    draw.add_argument("--out", metavar="FOLDER", type=Path, required=True, help="where to write")
    draw.add_argument(
        "--paper",
        metavar="PAPER",
        default="A4",
        help="A4, Letter or sheet (one page), for PDF (A4)",
    )
    draw.add_argument("--tool", metavar="WIDTH", default="", help="how wide a machine cuts: 1/8 in")
    draw.add_argument("--gap", metavar="WIDTH", default="", help="room round inlays, for a machine")
    draw.add_argument("--cuts", metavar="WHAT", default="all", help="all, through, or “let in”")
    draw.add_argument("--kerf", metavar="WIDTH", default="", help="how wide your saw cuts boards")
    draw.add_argument(
        "--glb", action="store_true", help="also the instrument to turn in any viewer (glTF)"
    )
    _add_home(draw)
    _add_json(draw)

    photograph = commands.add_parser(
        "photograph",
        help="compute a picture of an instrument, lit as where it will be seen",
        description="Compute a picture of an instrument by light: it is computed, not "
        "photographed. Takes minutes; Ctrl-C stops it. Needs the package mitsuba.",
    )
    photograph.set_defaults(run=_photograph)
    photograph.add_argument(
        "brief", metavar="BRIEF", help="its title, the beginning of it, or its id"
    )
    photograph.add_argument("--out", metavar="FILE", type=Path, required=True, help="a PNG")
    photograph.add_argument(
        "--view",
        metavar="VIEW",
        default="turned",
        help="front, turned, back, close, hall (turned)",
    )
    photograph.add_argument(
        "--light",
        metavar="LIGHT",
        default="D65",
        help="a place of the brief by its name, or a light by its CIE name (D65)",
    )
    photograph.add_argument(
        "--state", metavar="STATE", default="finished", help="bare, finished or aged (finished)"
    )
    photograph.add_argument("--small", action="store_true", help="small, in an eighth of the time")
    _add_home(photograph)
    _add_json(photograph)

    today = commands.add_parser("today", help="say how your briefs stand: in time, next, open")
    today.set_defaults(run=_today)
    today.add_argument(
        "brief", metavar="BRIEF", nargs="?", default="", help="only this one, by its title or id"
    )
    _add_home(today)
    _add_json(today)

    run_up = commands.add_parser(
        "run-up", help="say whether an instrument will be ready in time, and what is next"
    )
    run_up.set_defaults(run=_run_up)
    run_up.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")
    run_up.add_argument(
        "--out", metavar="FILE", type=Path, help="write its days for a calendar (iCalendar)"
    )
    _add_home(run_up)
    _add_json(run_up)

    trip = commands.add_parser(
        "trip", help="say when an instrument leaves, what is open, and what is still to pack"
    )
    trip.set_defaults(run=_trip)
    trip.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")
    trip.add_argument(
        "--packed", metavar="THING", help="tick a thing of the packing list, by how its name begins"
    )
    trip.add_argument("--caption", metavar="FILE", type=Path, help="write the caption as PDF")
    trip.add_argument("--prices", metavar="FILE", type=Path, help="write the price list as PDF")
    _add_home(trip)
    _add_json(trip)

    cost = commands.add_parser(
        "cost", help="say what an instrument costs, and what is left of its price"
    )
    cost.set_defaults(run=_cost)
    cost.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")
    _add_home(cost)
    _add_json(cost)

    export = commands.add_parser(
        "export", help="pack up a whole brief as one zip file, or a file to comment in by mail"
    )
    export.set_defaults(run=_export)
    export.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")
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
    export.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")
    _add_json(export)

    bring_in = commands.add_parser(
        "import", help="bring in a brief that was packed up, or comments"
    )
    bring_in.set_defaults(run=_import)
    bring_in.add_argument("file", metavar="FILE", type=Path, help="the zip, or a file of comments")
    bring_in.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")
    _add_json(bring_in)

    booklet = commands.add_parser("booklet", help="write a brief as a booklet to be printed")
    booklet.set_defaults(run=_booklet)
    booklet.add_argument(
        "--cover",
        metavar="PICTURE",
        default="instrument",
        help="instrument, or the id of a studio picture that others may see (instrument)",
    )
    _add_printing(booklet, "A4", "A4 or Letter")
    booklet.add_argument("--comments", action="store_true", help="print the comments, too")

    card = commands.add_parser("card", help="write the card that stands beside a piece at a show")
    card.set_defaults(run=_card)
    _add_printing(card, "A5", "A5 or A6; A4 or Letter for two cards to be cut")
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
    _add_printing(strands, "A3", "A3 or A4, of a PDF")
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
    _add_home(passport)

    backup = commands.add_parser(
        "backup",
        help="copy everything there is into a folder",
        description="Copy everything there is into a folder. Ends with 0 if all of it is sound, 1 "
        "if something in it is missing or damaged, 2 if no copy was made.",
    )
    backup.set_defaults(run=_backup)
    backup.add_argument("folder", metavar="FOLDER", type=_folder, help="new, or an earlier backup")
    backup.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")
    _add_json(backup)

    restore = commands.add_parser("restore", help="put a backup back, where there is nothing yet")
    restore.set_defaults(run=_restore)
    restore.add_argument("folder", metavar="FOLDER", type=_folder, help="what `brief backup` wrote")
    restore.add_argument(
        "--copy",
        metavar="DAY-AND-TIME",
        help="an earlier copy in it, such as 2027-05-14T09-30-15Z (otherwise the newest)",
    )
    restore.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")
    _add_json(restore)

    carry = commands.add_parser(
        "carry",
        help="carry everything to a database server, or from it into a folder",
        description="Carry everything to an empty database on a PostgreSQL server, or from there "
        "into a new folder, and prove that all of it arrived. Nothing is taken away where it "
        "comes from.",
    )
    carry.set_defaults(run=_carry)
    carry.add_argument(
        "place",
        metavar="URL-OR-FOLDER",
        help="postgresql+psycopg://USER@HOST/DATABASE, or a new folder; a password is better in "
        "~/.pgpass or PGPASSWORD than here",
    )
    carry.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")
    _add_json(carry)

    check = commands.add_parser(
        "check",
        help="look for anything missing or damaged",
        description="Look through the database and every picture. Ends with 0 if all is well, 1 "
        "if something is wrong, 2 if it could not be looked at.",
    )
    check.set_defaults(run=_check)
    check.add_argument(
        "--repair", action="store_true", help="mend what can be mended; otherwise nothing changes"
    )
    check.add_argument(
        "--from",
        metavar="BACKUP",
        dest="source",
        type=_folder,
        help="with --repair: put missing and damaged pictures back from there",
    )
    _add_home(check)
    _add_json(check)
    return parser


def _add_printing(parser: argparse.ArgumentParser, paper: str, papers: str) -> None:
    parser.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")
    parser.add_argument("--out", metavar="FILE", type=Path, required=True, help="what to write")
    parser.add_argument("--paper", metavar="PAPER", default=paper, help=f"{papers} ({paper})")
    parser.add_argument(
        "--leave-out-unclear",
        dest="leave_out",
        action="store_const",
        const="unclear",
        default="nothing",
        help="print without pictures and passages whose rights are not clear",
    )
    parser.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")


def _add_serving(parser: argparse.ArgumentParser, home: str) -> None:
    parser.add_argument("--home", metavar="PATH", type=_folder, help=home)
    parser.add_argument(
        "--port",
        metavar="N",
        type=_port,
        help="this port and no other (otherwise 8765, or the next one that is free)",
    )
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--lan",
        action="store_true",
        help="answer the phone and others on your network, too, with your passphrase; shows a "
        "code for the phone's camera. It is not encrypted",
    )
    where.add_argument(
        "--host",
        metavar="ADDRESS",
        default="127.0.0.1",
        help="address to listen on (0.0.0.0 = all); asks for the passphrase (127.0.0.1: only this "
        "computer)",
    )
    parser.add_argument(
        "--public",
        metavar="NAME",
        nargs="?",
        const="",
        help="answer the world under this name, with your passphrase, behind a proxy that "
        "handles https (otherwise the first of BRIEF_HOSTS)",
    )
    parser.add_argument(
        "--behind-proxy",
        metavar="ADDRESSES",
        nargs="?",
        const="127.0.0.1,::1",
        help="the proxy's addresses, whose X-Forwarded-For and X-Forwarded-Proto are trusted "
        "(if it says nothing more: this computer's own)",
    )
    parser.add_argument("--no-browser", action="store_true", help="do not open the browser")


def _add_home(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--home", metavar="PATH", type=_folder, help="the folder of your briefs")


def _add_json(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="print exact values as JSON")


def _number_if_it_is_one(text: str) -> int | str:
    """The rule for a number stands with what uses it, which then says what is wrong."""
    try:
        return int(text)
    except ValueError:
        return text


def _folder(text: str) -> Path:
    if not text.strip():
        raise argparse.ArgumentTypeError("name a folder, or leave --home out; got an empty text")
    return Path(text)


def _port(text: str) -> int:
    if not (text.isdecimal() and int(text) < PORTS):
        raise argparse.ArgumentTypeError(
            f"a port is a number from 0 to {PORTS - 1} (0: any that is free); got {quoted(text)}"
        )
    return int(text)


def _without_a_command(parser: argparse.ArgumentParser) -> int:
    parser.print_help(sys.stderr)
    return WRONG


def _serve(asked: argparse.Namespace) -> int:
    proxy, listener = _opening(asked)
    _say_at_once("Opening your briefs")
    from brief.cli.serve.serving import serve

    return serve(asked.home, listener, proxy, browser=not asked.no_browser)


def _demo(asked: argparse.Namespace) -> int:
    proxy, listener = _opening(asked)
    _say_at_once("Getting the demo ready")
    from brief.cli.serve.serving import demo

    return demo(asked.home, listener, proxy, browser=not asked.no_browser)


def _say_at_once(what: str) -> None:
    """Before all that takes long to import, which after an install Python has yet to compile."""
    print(f"{what}; the first start can take a minute.", flush=True)


def _opening(asked: argparse.Namespace) -> tuple[Proxy | None, Listener]:
    """What was said of a proxy, and the sockets, before all that takes long to import."""
    from brief.cli.serve.listening import Listener

    proxy = None
    if (asked.public, asked.behind_proxy) != (None, None):
        from brief.cli.serve.exposure import proxy_of

        proxy = proxy_of(asked.public, asked.behind_proxy)
    if asked.lan and proxy is not None:
        raise InputError("use --lan or --public, not both")
    at = Listener.on_lan(asked.port) if asked.lan else Listener.at(asked.host, asked.port)
    return proxy, at


def _passphrase(asked: argparse.Namespace) -> int:
    from brief.cli.commands.passphrase import change_passphrase

    change_passphrase(asked.home)
    return 0


def _palette(asked: argparse.Namespace) -> int:
    from brief.cli.commands.palette import print_palette

    print_palette(asked.photo, asked.colours, asked.region, asked.seed, as_json=asked.json)
    return 0


def _pair(asked: argparse.Namespace) -> int:
    from brief.cli.commands.pair import PairQuestion, print_pair

    question = PairQuestion(asked.line, asked.from_m, asked.light, asked.eyes)
    print_pair(asked.ground, asked.inlay, question, as_json=asked.json)
    return 0


def _move(asked: argparse.Namespace) -> int:
    from brief.cli.commands.move import print_movement

    print_movement(
        asked.wood,
        asked.width,
        asked.before,
        asked.after,
        asked.at,
        asked.cut,
        as_json=asked.json,
    )
    return 0


def _draw(asked: argparse.Namespace) -> int:
    from brief.cli.commands.draw import draw_sheets
    from brief.services.drawing.machine import AskedOfMachine
    from brief.services.spec.sawing import AskedOfSaw

    draw_sheets(
        asked.home,
        asked.brief,
        asked.out,
        asked.paper,
        AskedOfMachine(asked.tool, asked.gap, asked.cuts),
        AskedOfSaw(asked.kerf),
        glb=asked.glb,
        as_json=asked.json,
    )
    return 0


def _photograph(asked: argparse.Namespace) -> int:
    from brief.cli.commands.photograph import take_photograph

    take_photograph(
        asked.home,
        asked.brief,
        asked.out,
        view=asked.view,
        light=asked.light,
        state=asked.state,
        fineness="small" if asked.small else "fine",
        as_json=asked.json,
    )
    return 0


def _today(asked: argparse.Namespace) -> int:
    from brief.cli.commands.today import print_today

    print_today(asked.home, asked.brief, as_json=asked.json)
    return 0


def _run_up(asked: argparse.Namespace) -> int:
    from brief.cli.commands.run_up import print_run_up

    print_run_up(asked.home, asked.brief, asked.out, as_json=asked.json)
    return 0


def _trip(asked: argparse.Namespace) -> int:
    from brief.cli.commands.trip import print_trip

    print_trip(
        asked.home,
        asked.brief,
        packed=asked.packed,
        caption=asked.caption,
        prices=asked.prices,
        as_json=asked.json,
    )
    return 0


def _cost(asked: argparse.Namespace) -> int:
    from brief.cli.commands.cost import print_cost

    print_cost(asked.home, asked.brief, as_json=asked.json)
    return 0


def _export(asked: argparse.Namespace) -> int:
    if asked.for_comment:
        from brief.cli.commands.mail import export_for_comment

        export_for_comment(asked.home, asked.brief, asked.out, asked.sheets, as_json=asked.json)
        return 0
    from brief.cli.commands.parcel import export_brief

    trip = not asked.without_trip
    export_brief(asked.home, asked.brief, asked.out, trip=trip, as_json=asked.json)
    return 0


def _import(asked: argparse.Namespace) -> int:
    from brief.cli.commands.parcel import import_brief, is_zip

    if not is_zip(asked.file):
        from brief.cli.commands.comments import import_comments

        import_comments(asked.home, asked.file, as_json=asked.json)
        return 0
    import_brief(asked.home, asked.file, as_json=asked.json)
    return 0


def _booklet(asked: argparse.Namespace) -> int:
    from brief.cli.commands.printing import write_booklet

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


def _passport(asked: argparse.Namespace) -> int:
    from brief.cli.commands.printing import write_passport

    write_passport(asked.home, asked.brief, asked.out, asked.paper)
    return 0


def _strands(asked: argparse.Namespace) -> int:
    from brief.cli.commands.printing import write_strands

    write_strands(
        asked.home,
        asked.brief,
        asked.out,
        asked.paper,
        for_me=asked.for_me,
        leave_out=asked.leave_out,
    )
    return 0


def _card(asked: argparse.Namespace) -> int:
    from brief.cli.commands.printing import write_card

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


def _backup(asked: argparse.Namespace) -> int:
    from brief.cli.commands.backup import back_up_home

    return back_up_home(asked.home, asked.folder, as_json=asked.json)


def _restore(asked: argparse.Namespace) -> int:
    from brief.cli.commands.backup import restore_home

    restore_home(asked.home, asked.folder, asked.copy, as_json=asked.json)
    return 0


def _carry(asked: argparse.Namespace) -> int:
    from brief.cli.commands.carry import carry_home

    return carry_home(asked.home, asked.place, as_json=asked.json)


def _check(asked: argparse.Namespace) -> int:
    from brief.cli.commands.check import check_home

    if asked.source is not None and not asked.repair:
        raise InputError("--from says where --repair takes pictures from; add --repair")
    return check_home(asked.home, asked.source, repair=asked.repair, as_json=asked.json)
