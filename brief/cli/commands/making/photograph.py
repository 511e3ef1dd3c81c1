"""`brief photograph`: a picture of the instrument, computed by light, kept in its brief."""

from __future__ import annotations

import os
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import get_args

from PIL import Image
from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

from brief.cli.find_brief import called, opened
from brief.cli.terminal import console, print_json
from brief.cli.writing import form_of, write_file
from brief.colour.viewing.conditions import State
from brief.errors import InputError, quoted
from brief.services import nouns
from brief.services.studio.shots import Fineness, Planned, StudioAsked, planned
from brief.store.desk import Desk, Store
from brief.store.records import Brief, StudioPicture
from brief.studio.child import sitting
from brief.studio.develop import as_png
from brief.studio.renderer import missing
from brief.studio.views import VIEWS


def take_photograph(
    home: Path | None,
    wanted: str,
    out: Path,
    *,
    view: str,
    light: str,
    state: str,
    fineness: Fineness,
    as_json: bool,
) -> None:
    """Compute a picture, keep it in the brief and write it into `out`.

    wanted : as `called` has it. light : a light’s CIE name, or a place of the brief by its id, its
    name, or the beginning of its name. One that was made of the same before is written at once.
    Raises InputError for a view, light or state that there is not, where the renderer is not
    installed, or where `out` is no .png or cannot be written.
    """
    for name, given, known in (("view", view, VIEWS), ("state", state, get_args(State))):
        if given not in known:
            raise InputError(f"--{name} is one of {', '.join(known)}; got {quoted(given)}")
    form_of(out, ("png",))
    if not out.parent.is_dir():
        raise InputError(f"{out} cannot be written: there is no folder {out.parent}")
    with opened(home) as store:
        with store.desk() as desk:
            brief = called(nouns.briefs.page(desk), wanted)
            asked = StudioAsked(
                view,  # type: ignore[arg-type]  # compared with VIEWS
                _light(desk, brief, light),
                state,  # type: ignore[arg-type]
                fineness,
            )
            plan = planned(desk, brief, asked)
            before = nouns.studio_pictures.made_before(desk, plan)
            said = list(plan.said)
            png = desk.images.sound_bytes(before.image_sha256) if before else None
        if png is None:
            png = _taken(store, plan, quietly=as_json)
            with store.desk(writing=True) as desk:
                before = nouns.studio_pictures.keep(desk, plan, png)
                said = _said(before)
    write_file(out, _as_png(png))
    if as_json:
        print_json({"written": str(out), "name": plan.name, "said": said})
        return
    print(out)
    for sentence in said:
        print(sentence)


def _as_png(picture: bytes) -> bytes:
    """The same as PNG: a picture that came with its brief may be a JPEG."""
    with Image.open(BytesIO(picture)) as opened:
        return picture if opened.format == "PNG" else as_png(opened.convert("RGB"))


def _said(record: StudioPicture) -> list[str]:
    return [str(one) for one in record.said]


def _light(desk: Desk, brief: Brief, wanted: str) -> str:
    places = nouns.viewings.page(desk, brief_id=brief.id)
    named = [one.id for one in places if wanted in (one.id, one.name)]
    named = named or [one.id for one in places if _begins(one.name, wanted)]
    return named[0] if len(named) == 1 else wanted


def _begins(name: str, wanted: str) -> bool:
    return bool(wanted) and name.casefold().startswith(wanted.casefold())


def _taken(store: Store, plan: Planned, *, quietly: bool) -> bytes:
    if said := missing():
        raise InputError(said)
    with store.desk() as desk:
        shot = plan.shot(desk)
    columns: Sequence[TextColumn | BarColumn | TimeRemainingColumn] = (
        TextColumn("{task.description}"),
        BarColumn(),
        TimeRemainingColumn(),
    )
    png = b""
    with (
        Progress(*columns, console=console(), disable=quietly, transient=True) as bar,
        sitting(shot, os.cpu_count() or 1) as at_work,
    ):
        task = bar.add_task("computing", total=shot.order.passes)
        for progress in at_work.progress():
            bar.update(task, completed=progress.done)
            png = progress.png
    return png
