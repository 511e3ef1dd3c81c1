"""What several commands are asked."""

from __future__ import annotations

import argparse
from pathlib import Path


def add_printing(parser: argparse.ArgumentParser, paper: str, papers: str) -> None:
    """What every command that prints is asked."""
    add_brief(parser)
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
    add_home(parser)


def add_brief(parser: argparse.ArgumentParser) -> None:
    """Which brief is meant."""
    parser.add_argument("brief", metavar="BRIEF", help="its title, the beginning of it, or its id")


def add_home(parser: argparse.ArgumentParser) -> None:
    """Which briefs are meant."""
    parser.add_argument("--home", metavar="PATH", type=folder, help="the folder of your briefs")


def add_json(parser: argparse.ArgumentParser) -> None:
    """For another program."""
    parser.add_argument("--json", action="store_true", help="print exact values as JSON")


def number_if_it_is_one(text: str) -> int | str:
    """The rule for a number stands with what uses it, which then says what is wrong."""
    try:
        return int(text)
    except ValueError:
        return text


def folder(text: str) -> Path:
    """A folder; an empty text would be the current one."""
    if not text.strip():
        raise argparse.ArgumentTypeError("name a folder, or leave --home out; got an empty text")
    return Path(text)
