"""How another device gets in: the address, as text and as a code for its camera."""

from __future__ import annotations

from collections.abc import Sequence
from io import StringIO

from rich.console import Console
from rich.style import Style
from rich.text import Text

from brief.api.phone import qr_of

ON_PAPER = Style(color="#ffffff", bgcolor="#000000")  # whatever the terminal's own colours are


def print_way_in(out: Console, addresses: Sequence[str]) -> None:
    """Where other devices find it, the best address first, and who can read along."""
    best, *others = addresses
    out.print(f"From another device on your network: {best}", soft_wrap=True)
    if others:
        out.print(f"or, on another network: {', '.join(others)}", soft_wrap=True)
    if out.is_terminal and _writes_blocks(out):
        drawn = StringIO()
        qr_of(best).terminal(out=drawn, compact=True)
        out.print(Text(drawn.getvalue().rstrip("\n"), style=ON_PAPER), no_wrap=True)
        out.print("Point the phone's camera at it to open the brief there.")
    out.print(
        "Careful: nothing is encrypted. Anyone on that network can read what you see and "
        "send, the passphrase too; do this only on a network you trust.",
        soft_wrap=True,
    )


def _writes_blocks(out: Console) -> bool:
    return out.encoding.lower().startswith("utf")
