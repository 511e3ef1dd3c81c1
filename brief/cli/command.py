"""What can be asked of `brief`, and how it ends. What a command needs is imported when it runs."""

from __future__ import annotations

import argparse
import errno
import io
import os
import sys
from collections.abc import Sequence

import brief
from brief.cli.asking import going_out, keeping, looking, making, opening
from brief.errors import BriefError

WRONG = 2  # the exit code of argparse, too
INTERRUPTED = 130
UNPRINTED = {errno.ENOSPC, errno.EPIPE, errno.EIO}  # a full disk, a closed pipe, a lost terminal


def main(argv: Sequence[str] | None = None) -> int:
    """Run the `brief` command.

    argv : the words behind `brief`; those of the process if left out.
    Returns the exit code: 0, or 2 with one line on stderr when something was refused or could
    not be printed, or 130 when the run was interrupted; 1 from `brief check`, `brief backup` or
    `brief stock` that found something.
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
    for family in (opening, looking, making, going_out, keeping):
        family.add(commands)
    return parser


def _without_a_command(parser: argparse.ArgumentParser) -> int:
    parser.print_help(sys.stderr)
    return WRONG
