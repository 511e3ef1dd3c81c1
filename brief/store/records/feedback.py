"""What others say: comments, questions, answers."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import EMPTY, Record, brief_key, now_utc


class Comment(Record):
    """What somebody said about a thing, a spot on its picture, or some words of a passage."""

    __tablename__ = "comments"
    # However often a file of comments comes in, each of them does so once.
    __table_args__ = (Index("uq_comments_annotation_id", "brief_id", "annotation_id", unique=True),)

    brief_id: Mapped[str] = brief_key()
    about_kind: Mapped[str] = mapped_column(String(20))
    about_id: Mapped[str] = mapped_column(String(26), index=True)
    region: Mapped[str | None] = mapped_column(String(80))
    # Words of a passage, as a text quote selector has them; empty where it is about all of it.
    quote: Mapped[str] = mapped_column(Text, server_default=EMPTY)
    quote_prefix: Mapped[str] = mapped_column(Text, server_default=EMPTY)
    quote_suffix: Mapped[str] = mapped_column(Text, server_default=EMPTY)
    author: Mapped[str] = mapped_column(String(100))
    text: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(10))
    outcome: Mapped[str] = mapped_column(Text)
    reply_to: Mapped[str | None] = mapped_column(ForeignKey("comments.id"), index=True)
    # How it came in: written down "here", in a "file", or over a "link".
    came_by: Mapped[str] = mapped_column(String(10), default="here", server_default="here")
    # Of one that came in a file: the name it has there, and when it was said.
    annotation_id: Mapped[str | None] = mapped_column(String(300))
    said_utc: Mapped[datetime | None]
    # When the maker had seen it; nothing for what was written down here.
    seen_utc: Mapped[datetime | None]
    # What has become since then of what it is about.
    since: Mapped[str] = mapped_column(Text, default="", server_default=EMPTY)


class Question(Record):
    """This or that: two to four things side by side, for others to choose from."""

    __tablename__ = "questions"

    brief_id: Mapped[str] = brief_key()
    text: Mapped[str] = mapped_column(String(200))
    # [{"kind": "pairing", "id": ULID}, ...], from left to right
    choices: Mapped[list[Any]]
    state: Mapped[str] = mapped_column(String(10))
    closed_utc: Mapped[datetime | None]


class Answer(Record):
    """Which of them somebody chose; one for each name and each way it can come in."""

    __tablename__ = "answers"

    question_id: Mapped[str] = mapped_column(ForeignKey("questions.id"), index=True)
    choice: Mapped[int]
    before: Mapped[int | None]  # what the same person had chosen first, if that was another
    why: Mapped[str] = mapped_column(Text)
    author: Mapped[str] = mapped_column(String(200))
    came_by: Mapped[str] = mapped_column(String(10), default="here")
    annotation_id: Mapped[str | None] = mapped_column(String(300))
    said_utc: Mapped[datetime] = mapped_column(default=now_utc)
