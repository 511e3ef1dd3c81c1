"""`brief import FILE`: take in comments that came by mail."""

from __future__ import annotations

from pathlib import Path

from brief.cli.find_brief import opened
from brief.cli.terminal import print_json
from brief.errors import InputError
from brief.services.feedback.taking_in import brief_spoken_of, take_in


def import_comments(home: Path | None, file: Path, *, as_json: bool) -> None:
    """Take in the comments of a file, on the brief that it names, and print what came of it.

    Raises InputError if it cannot be read or used, or names no brief of this home.
    """
    try:
        data = file.read_bytes()
    except OSError as exc:
        raise InputError(f"{file} cannot be read: {exc.strerror}") from exc
    with opened(home) as store, store.desk(writing=True) as desk:
        brief = brief_spoken_of(desk, data)
        taken, title = take_in(desk, brief.id, data), brief.title
    if as_json:
        print_json(taken.model_dump(mode="json"))
        return
    print(f"{title}: {taken.said}")
    for comment in taken.comments:
        print(f"  {comment.author}, on {comment.about_label}: {comment.text}")
        if comment.since:
            print(f"    {comment.since}")
    for answer in taken.answers:
        print(f"  {answer.author} chose {answer.choice_label}")
