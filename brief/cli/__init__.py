"""The `brief` command."""

from brief.cli.command import main

__all__ = ["main"]
