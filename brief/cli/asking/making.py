"""What a brief is made by: its sheets, its pictures, its days, its costs."""

from __future__ import annotations

import argparse
from pathlib import Path

from brief.cli.asking.arguments import add_brief, add_home, add_json


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add these commands: draw, photograph, today, run-up, trip, cost."""
    draw = commands.add_parser("draw", help="write the drawings of a brief to measure from")
    draw.set_defaults(run=_draw)
    add_brief(draw)
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
    add_home(draw)
    add_json(draw)

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
    photograph.add_argument("--out", metavar="FILE", type=Path, required=True, help="a .png file")
    photograph.add_argument(
        "--view",
        metavar="VIEW",
        default="turned",
        help="front, turned, back, close, inlay, hall (turned)",
    )
    photograph.add_argument(
        "--light",
        metavar="LIGHT",
        default="D65",
        help="a place of the brief by its name, or a light by its CIE name (D65)",
    )
    photograph.add_argument(
        "--state",
        metavar="STATE",
        default="finished",
        help="bare, wetted, finished or aged (finished)",
    )
    photograph.add_argument("--small", action="store_true", help="small, in an eighth of the time")
    add_home(photograph)
    add_json(photograph)

    today = commands.add_parser("today", help="say how your briefs stand: in time, next, open")
    today.set_defaults(run=_today)
    today.add_argument(
        "brief", metavar="BRIEF", nargs="?", default="", help="only this one, by its title or id"
    )
    add_home(today)
    add_json(today)

    run_up = commands.add_parser(
        "run-up", help="say whether an instrument will be ready in time, and what is next"
    )
    run_up.set_defaults(run=_run_up)
    add_brief(run_up)
    run_up.add_argument(
        "--out", metavar="FILE", type=Path, help="write its days for a calendar (iCalendar)"
    )
    add_home(run_up)
    add_json(run_up)

    trip = commands.add_parser(
        "trip", help="say when an instrument leaves, what is open, and what is still to pack"
    )
    trip.set_defaults(run=_trip)
    add_brief(trip)
    trip.add_argument(
        "--packed", metavar="THING", help="tick a thing of the packing list, by how its name begins"
    )
    trip.add_argument("--caption", metavar="FILE", type=Path, help="write the caption as PDF")
    trip.add_argument("--prices", metavar="FILE", type=Path, help="write the price list as PDF")
    add_home(trip)
    add_json(trip)

    cost = commands.add_parser(
        "cost", help="say what an instrument costs, and what is left of its price"
    )
    cost.set_defaults(run=_cost)
    add_brief(cost)
    add_home(cost)
    add_json(cost)


def _draw(asked: argparse.Namespace) -> int:
    from brief.cli.commands.making.draw import draw_sheets
    from brief.services.drawing.machine import AskedOfMachine
    from brief.services.spec.sawing.sawing import AskedOfSaw

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
    from brief.cli.commands.making.photograph import take_photograph

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
    from brief.cli.commands.making.today import print_today

    print_today(asked.home, asked.brief, as_json=asked.json)
    return 0


def _run_up(asked: argparse.Namespace) -> int:
    from brief.cli.commands.making.run_up import print_run_up

    print_run_up(asked.home, asked.brief, asked.out, as_json=asked.json)
    return 0


def _trip(asked: argparse.Namespace) -> int:
    from brief.cli.commands.making.trip import print_trip

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
    from brief.cli.commands.making.cost import print_cost

    print_cost(asked.home, asked.brief, as_json=asked.json)
    return 0
