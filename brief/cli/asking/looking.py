"""Colours and wood by themselves, without a brief."""

from __future__ import annotations

import argparse
from pathlib import Path

from brief.cli.asking.arguments import add_json, number_if_it_is_one


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add these commands: palette, pair, move."""
    palette = commands.add_parser("palette", help="the colours a photograph is made of")
    palette.set_defaults(run=_palette)
    palette.add_argument("photo", metavar="PHOTO", type=Path, help="a JPEG, HEIC, PNG …")
    palette.add_argument(
        "--colours",
        "--colors",
        metavar="N",
        type=number_if_it_is_one,
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
        type=number_if_it_is_one,
        default=0,
        help="another start for the sorting of pixels; the same gives the same colours (0)",
    )
    add_json(palette)

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
    add_json(pair)

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
    add_json(move)


def _palette(asked: argparse.Namespace) -> int:
    from brief.cli.commands.looking.palette import print_palette

    print_palette(asked.photo, asked.colours, asked.region, asked.seed, as_json=asked.json)
    return 0


def _pair(asked: argparse.Namespace) -> int:
    from brief.cli.commands.looking.pair import PairQuestion, print_pair

    question = PairQuestion(asked.line, asked.from_m, asked.light, asked.eyes)
    print_pair(asked.ground, asked.inlay, question, as_json=asked.json)
    return 0


def _move(asked: argparse.Namespace) -> int:
    from brief.cli.commands.looking.move import print_movement

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
