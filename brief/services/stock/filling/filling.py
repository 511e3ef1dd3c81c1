"""Filling a stock: many photographs measured by a crew, kept as they come in."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import select

from brief.crew.crew import Crew, WorkDone, WorkPiece, results
from brief.errors import InputError
from brief.services.common.field_types import Columns
from brief.services.photos.pictures import keep_facts, title_from
from brief.services.stock.filling.board_photo import Looked, look_at_board, read_board
from brief.services.stock.filling.details import Details
from brief.store.desk import Desk, Store
from brief.store.records import Board, Stock

SAVED_EVERY_S = 5.0
"""What a loss of power can cost. Each saving has readers of the stock read it again."""
SAID_AT_ONCE = 2000  # boards in one transaction
ENDED = "The process that measured it ended. Say the same again to try it once more."


@dataclass
class Filled:
    """What came of each file: all of them are in one of these.

    measured : how many became a board. known : how many were measured earlier. twice : the same
    photograph under another name, and that name. failed : why the others did not.
    """

    measured: int = 0
    known: int = 0
    twice: dict[str, str] = field(default_factory=dict)
    failed: dict[str, str] = field(default_factory=dict)

    @property
    def looked_at(self) -> int:
        """How many files are accounted for."""
        return self.measured + self.known + len(self.twice) + len(self.failed)

    def add(self, more: Filled, called: Mapping[str, str]) -> None:
        """Count what came of others. called : what a file is told as, where not by its name."""
        self.measured += more.measured
        self.known += more.known
        self.twice |= {called.get(file, file): first for file, first in more.twice.items()}
        self.failed |= {called.get(file, file): why for file, why in more.failed.items()}


def files_in(folder: Path, but: Sequence[Path] = ()) -> list[str]:
    """The files of a folder and of those in it, by their path in it and in order; none that is
    hidden, and not those in `but`. Folders that are linked or shut are among them, to be told, for
    nobody looks into those. Raises InputError if it is no folder or has none.
    """
    if not folder.is_dir():
        raise InputError(f"{folder} is not a folder; name the one that has the photographs")
    left_out = {os.path.realpath(one) for one in but}
    found: list[Path] = []

    def shut(exc: OSError) -> None:
        found.append(Path(exc.filename))

    for root, folders, files in os.walk(folder, onerror=shut):
        folders[:] = [one for one in folders if not one.startswith(".")]
        at = Path(root)
        found += [at / one for one in folders if (at / one).is_symlink()]
        found += [at / one for one in files if not one.startswith(".")]
    if folder in found:
        raise InputError(f"{folder} cannot be read")
    names = sorted(one for one in found if os.path.realpath(one) not in left_out)
    if not names:
        raise InputError(f"there are no files in {folder}")
    return [one.relative_to(folder).as_posix() for one in names]


def matched(files: Iterable[str], details: Mapping[str, Details]) -> dict[str, Details]:
    """What a table says, by the path of each file; it may name a file without its folder.

    Raises InputError where two files have the name that it says.
    """
    by_name: dict[str, list[str]] = {}
    for file in files:
        for name in {file, file.rpartition("/")[2]}:
            by_name.setdefault(name, []).append(file)
    found = {}
    for name, said in details.items():
        meant = by_name.get(name.replace("\\", "/"), [])
        if len(meant) > 1:
            either = " or ".join(meant[:3])
            raise InputError(f"the table’s “{name}” may be {either}; name its folder")
        if meant:
            found[meant[0]] = said
    return found


def fill(
    store: Store,
    stock_id: str,
    folder: Path,
    files: Sequence[str],
    details: Mapping[str, Details],
    *,
    crew: Crew,
    keep: bool = False,
    told: Callable[[Filled], None] = lambda _: None,
) -> Filled:
    """Measure those files of a folder that the stock lacks, and keep each as a board.

    details : by the path of a file; of boards that are there already they are written again.
    keep : whether photographs are kept as they are. told : is called as they come in. An
    interruption ends it once what was measured is kept; the next time goes on from there.
    """
    with store.desk() as desk:
        kept = select(Board.photo_sha256, Board.file).where(Board.stock_id == stock_id)
        before = {row[0]: row[1] for row in desk.session.execute(kept)}
    filled, names = Filled(), dict(before)
    waiting: list[Looked] = []
    saved = time.monotonic()
    with closing(_looked_at(folder, files, frozenset(before), crew, keep=keep)) as coming:
        try:
            for looked in coming:
                if looked.reason:
                    filled.failed[_in_print(looked.file)] = looked.reason
                elif looked.sha256 in names and (
                    looked.measured is not None or names[looked.sha256] != looked.file
                ):
                    filled.twice[looked.file] = names[looked.sha256]
                else:
                    waiting.append(looked)
                    names[looked.sha256] = looked.file
                    filled.measured += looked.measured is not None
                    filled.known += looked.measured is None
                if time.monotonic() - saved > SAVED_EVERY_S:
                    _save(store, stock_id, waiting, details)
                    waiting, saved = [], time.monotonic()
                told(filled)
        finally:
            _save(store, stock_id, waiting, details)
    return filled


def _looked_at(
    folder: Path, files: Sequence[str], known: frozenset[str], crew: Crew, *, keep: bool
) -> Generator[Looked, None, None]:
    """Each file once, as they are done."""

    def handed_out() -> Iterator[WorkPiece | WorkDone]:
        for file in files:
            read = read_board(folder / file, file)
            if read.reason or read.sha256 in known:
                yield WorkDone(file, Looked(file, read.sha256, read.reason))
            else:
                yield WorkPiece(file, (file, read.sha256, read.data, keep))

    with closing(results(crew, look_at_board, handed_out())) as coming:
        for done in coming:
            yield Looked(done.name, reason=ENDED) if done.died else done.result


def _save(
    store: Store, stock_id: str, looked: Sequence[Looked], details: Mapping[str, Details]
) -> None:
    """Keep what was measured, and write again what the table says of what was there. What another
    filling has kept meanwhile stays as it is.
    """
    news = [one for one in looked if one.measured is not None or one.file in details]
    if not news:
        return
    with store.desk(writing=True) as desk:
        changed = False
        these = Board.stock_id == stock_id, Board.photo_sha256.in_([one.sha256 for one in news])
        there = set(desk.session.scalars(select(Board.photo_sha256).where(*these)))
        for one in news:
            said = details.get(one.file)
            if one.measured is not None and one.sha256 not in there:
                desk.session.add(_board(desk, stock_id, one, one.measured, said or Details()))
                changed = True
            elif said is not None:
                changed |= _say_again(desk, stock_id, one, said)
        if changed:
            desk.session.get_one(Stock, stock_id).edition += 1


def _board(desk: Desk, stock_id: str, looked: Looked, measured: Columns, said: Details) -> Board:
    assert looked.facts is not None
    image = keep_facts(desk, looked.file.rpartition("/")[2], looked.picture, looked.facts)
    lightness, a, b = measured["lab"]
    figure = measured["findings"]["figure"]
    return Board(
        stock_id=stock_id,
        photo_sha256=looked.sha256,
        image_sha256=image.sha256,
        file=looked.file[-500:],
        **_columns(looked.file, said),
        lightness=lightness,
        a=a,
        b=b,
        uncertainty=measured["uncertainty"],
        spread=measured["spread"],
        figure=figure["word"],
        grain_deg=figure["direction_deg"],
        measured=measured,
    )


def _say_again(desk: Desk, stock_id: str, looked: Looked, said: Details) -> bool:
    same = (Board.stock_id == stock_id, Board.photo_sha256 == looked.sha256)
    return _write_again(desk.session.scalars(select(Board).where(*same)).one(), said, looked.file)


def _write_again(board: Board, said: Details, file: str = "") -> bool:
    columns = _columns(file or board.file, said)
    changed = {name: value for name, value in columns.items() if getattr(board, name) != value}
    for name, value in changed.items():
        setattr(board, name, value)
    return bool(changed)


def say_of_kept(store: Store, stock_id: str, details: Mapping[str, Details]) -> None:
    """Write again what a table says of boards that the stock has, by their files."""
    files = [*details]
    for start in range(0, len(files), SAID_AT_ONCE):
        with store.desk(writing=True) as desk:
            some = Board.file.in_(files[start : start + SAID_AT_ONCE])
            changed = [
                _write_again(board, details[board.file])
                for board in desk.session.scalars(
                    select(Board).where(Board.stock_id == stock_id, some)
                )
            ]
            if any(changed):
                desk.session.get_one(Stock, stock_id).edition += 1


def _in_print(file: str) -> str:
    """A name that can be written, of any that a file system has."""
    return file.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def _columns(file: str, said: Details) -> Columns:
    return {**dict(said), "label": said.label or title_from(file)}
