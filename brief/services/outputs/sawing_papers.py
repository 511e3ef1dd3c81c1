"""What a board yields, gathered for paper: the sheet to take to the saw."""

from __future__ import annotations

from datetime import date

from brief.errors import NotFound
from brief.paper.contents import BookletPaper, SawnBoard, SawnMark
from brief.photo import Region
from brief.services import nouns
from brief.services.common.formatting import day, plain
from brief.services.drawing.drawing_files import plain_name
from brief.services.photos.lost_pictures import made_without
from brief.services.photos.measured_area import outward
from brief.services.photos.pictures import shown_picture
from brief.services.spec.sawing.sawing import AT_THE_SAW, sawn_board, sawn_boards
from brief.services.spec.sawing.sawn_labels import SawnLabel, labels_of
from brief.services.spec.sawing.sawn_view import Corners, SawnBoardView
from brief.store.desk import Desk
from brief.store.records import Brief

HEADS = ("", "Part", "Length × width", "Pieces", "Along", "Across")
ROUND_IT = 0.03  # of its longer side, how much is shown round the board
PRINTED_PX = 2000


def board_sheets(desk: Desk, brief: Brief, paper: BookletPaper, kerf_mm: float) -> dict[str, bytes]:
    """The sheets of all pieces that have one, by the names of their files."""
    files: dict[str, bytes] = {}
    for board in sawn_boards(desk, brief, kerf_mm):
        if board.shows_mm is not None:
            name = f"saw-{plain_name(board.label)}"
            while f"{name}.pdf" in files:  # two pieces may be called alike
                name += "-next"
            files[f"{name}.pdf"] = sawing_pdf(desk, brief.id, board.material_id, paper, kerf_mm)
    return files


def sawing_pdf(
    desk: Desk, brief_id: str, material_id: str, paper: BookletPaper, kerf_mm: float
) -> bytes:
    """The sheet of one piece as PDF.

    Raises NotFound where nothing is to be cut from it, or its size is not known.
    """
    from brief.paper import sawing

    brief = nouns.briefs.get(desk, brief_id)
    board = sawn_board(desk, brief, nouns.materials.get(desk, material_id), kerf_mm)
    if board is None:
        raise NotFound("Nothing on the cut list is of this piece. Choose it for a part on Spec.")
    if board.shows_mm is None:
        raise NotFound(
            "How large this piece is is not known. Write down its size, or mark a known length in "
            "a photograph of the whole board."
        )
    part = _shown(board, board.shows_mm)
    left, top = part.x / 100 * board.shows_mm[0], part.y / 100 * board.shows_mm[1]

    def moved(corners: Corners) -> tuple[tuple[float, float], ...]:
        return tuple((x - left, y - top) for x, y in corners)

    def mark(one: SawnLabel) -> SawnMark:
        at = one.x - left, one.y - top
        if one.name:
            return SawnMark(moved(one.corners), at, one.name, one.name_mm, one.turn_deg)
        return SawnMark(moved(one.corners), at, str(one.number), one.number_mm, 0.0)

    jpeg = None
    if board.picture is not None:
        jpeg = shown_picture(
            desk, board.picture.sha256, "print", part, within=PRINTED_PX, or_stand_in=True
        )
    labels = list(labels_of(board))
    names = {line.number: line for line in board.lines}
    return sawing.sawing_pdf(
        SawnBoard(
            title=brief.title,
            label=board.label,
            jpeg=jpeg,
            hex=board.hex,
            shows_mm=(part.w / 100 * board.shows_mm[0], part.h / 100 * board.shows_mm[1]),
            outlines=tuple(moved(ring) for ring in board.outlines),
            left_out=tuple(moved(ring) for ring in board.left_out),
            origin=moved(board.origin),
            blanks=tuple(mark(one) for one in labels),
            offcuts=tuple(
                SawnMark(
                    moved(one.corners),
                    _middle(moved(one.corners)),
                    f"left {plain(one.length_mm)} × {plain(one.width_mm)}",
                    min(max(board.shows_mm) / 46, 0.7 * min(one.width_mm, one.length_mm)),
                    labels[0].turn_deg if labels else 0.0,
                )
                for one in board.offcuts
            ),
            sentence=board.sentence,
            heads=HEADS,
            rows=tuple(
                (
                    str(one.number),
                    names[one.number].name,
                    f"{plain(one.length_mm)} × {plain(one.width_mm)}",
                    str(names[one.number].leaves),
                    plain(one.along_mm),
                    plain(one.across_mm),
                )
                for one in sorted(board.sawn, key=lambda one: one.number)
            ),
            told=tuple(
                f"{line.number} {line.name}: {line.sentence}"
                for line in board.lines
                if line.sentence
            ),
            notes=(f"The saw’s cut counts as {plain(board.kerf_mm)} mm.", *board.notes, AT_THE_SAW),
            printed=f"{brief.title}. Printed {day(date.today())}. "
            f"{made_without(desk.lost)}".rstrip(),
        ),
        paper,
    )


def _shown(board: SawnBoardView, shows_mm: tuple[float, float]) -> Region:
    """The part of the photograph round the wood, percent."""
    points = [point for ring in board.outlines for point in ring]
    if not points:
        return Region(0, 0, 100, 100)
    room = ROUND_IT * max(shows_mm)
    low, high = (
        [
            min(max(0.0, f(p[i] for p in points) + sign * room), shows_mm[i]) / shows_mm[i] * 100
            for i in (0, 1)
        ]
        for f, sign in ((min, -1), (max, 1))
    )
    return outward(Region(low[0], low[1], high[0] - low[0], high[1] - low[1]))


def _middle(corners: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    xs, ys = zip(*corners, strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)
