"""A picture from beginning to end: the same shot, a child that is ended, a child that fails."""

from __future__ import annotations

import io
import time
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from shapely import Point

from brief.colour.viewing.light import light
from brief.errors import RenderFailed
from brief.instrument import Fill, preset
from brief.instrument.model.own_outline import with_outline
from brief.instrument.solid.parts.inlays import LaidDesign
from brief.studio.child import sitting
from brief.studio.figure import figured
from brief.studio.looks import Look
from brief.studio.scene import Order
from brief.studio.shot import Shot, taken
from brief.studio.views import VIEWS
from tests.instrument.a_tracing import TRACED

from .conftest import board

WOOD = (62.0, 9.0, 27.0)


def shot(view: str = "turned", *, kind: str = "tenor-ukulele", passes: int = 2) -> Shot:
    look = Look(WOOD, "wood", "gloss", board(WOOD))
    fill = Fill("#a37c52", "/images/x", "Cedar", (400, 500))
    order = Order(view, light("A"), 2.0, 90, 130, passes, (0.0, 90.0))  # type: ignore[arg-type]
    return Shot(preset(kind), {"top": fill}, (), {"top": look}, order)


@pytest.mark.slow
@pytest.mark.studio
def test_the_same_shot_gives_the_same_bytes() -> None:
    """More threads than the picture has blocks, too, and often enough for an order of chance."""
    first, *others = ([one.png for one in taken(shot(), threads)] for threads in (1, 2, 8, 2, 1))
    assert all(again == first for again in others)
    assert len(first) == 1 + 2  # at a glance, and after each pass
    with Image.open(io.BytesIO(first[-1])) as picture:
        assert picture.size == (90, 130)
        assert np.asarray(picture).std() > 10


@pytest.mark.slow
@pytest.mark.studio
def test_a_child_takes_it_in_a_process_of_its_own_and_ends_within_a_second() -> None:
    with sitting(shot(passes=500), 2) as at_work:
        progress = at_work.progress()
        assert next(progress).done == 0
        assert next(progress).done == 1
        began = time.monotonic()
        at_work.end()
        with pytest.raises(RenderFailed, match="stopped before the picture was done"):
            list(progress)
        assert time.monotonic() - began < 1
    assert not at_work.process.is_alive()  # type: ignore[attr-defined]


@pytest.mark.slow
@pytest.mark.studio
def test_what_goes_wrong_in_a_child_comes_back_in_words() -> None:
    broken = Shot(
        preset("classical"), {}, (), {"top": Look(WOOD, "wood", "bare", b"no")}, shot().order
    )
    with (
        sitting(broken, 1) as at_work,
        pytest.raises(RenderFailed, match="photograph"),
    ):
        list(at_work.progress())


@pytest.mark.slow
@pytest.mark.studio
@pytest.mark.parametrize("view", VIEWS)
def test_an_instrument_of_ones_own_can_be_taken(view: str) -> None:
    own = replace(
        preset("auditorium-steel-string"), cutaway_depth_mm=70.0, fan_mm=18.0, radius_mm=300.0
    )
    taken_so = replace(shot(view, passes=1), preset=own)
    *_, last = taken(taken_so, 2)
    with Image.open(io.BytesIO(last.png)) as picture:
        assert np.asarray(picture).std() > 8


@pytest.mark.studio
def test_a_traced_outline_can_be_taken_with_no_piece_at_all() -> None:
    """Every part is plain then, as is said; nothing stops."""
    traced = with_outline(preset("classical"), TRACED)
    bare = replace(shot("turned", passes=1), preset=traced, fills={}, looks={})
    *_, last = taken(bare, 2)
    with Image.open(io.BytesIO(last.png)) as picture:
        assert np.asarray(picture).std() > 8


@pytest.mark.slow
@pytest.mark.studio
def test_a_close_look_at_the_inlay_has_it_in_the_middle() -> None:
    """Of one let into the headplate, too, which leans back."""
    pale, dark = (Look((lightness, 0.0, 0.0)) for lightness in (95.0, 12.0))
    star = LaidDesign("star", "headplate", Point(0.0, preset("classical").nut_y - 45.0).buffer(14))
    looks = {"star": pale, "headplate": dark, "neck": dark}
    kind = shot("inlay", kind="classical", passes=4)
    *_, last = taken(replace(kind, fills={}, looks=looks, let_in=(star,)), 2)
    with Image.open(io.BytesIO(last.png)) as picture:
        levels = np.asarray(picture.convert("L")).astype(float)
    assert levels[60:70, 40:50].mean() > 150
    assert levels[60:70, 40:50].mean() > levels[60:70, 18:26].mean() + 60


@pytest.mark.parametrize("axes", [1, 2])
def test_a_figure_keeps_its_mean_and_its_contrast(axes: int) -> None:
    from brief.colour import delta_e_2000, lab_to_xyz, xyz_to_lab

    parted = figured(board(WOOD), WOOD, axes=axes)
    ends = [lab_to_xyz(one) for one in parted.ends]
    for mask in parted.masks:
        w = mask[..., np.newaxis]
        pairs = zip(ends[::2], ends[1::2], strict=True)
        ends = [dark * (1 - w) + bright * w for dark, bright in pairs]
    (mixed,) = ends
    assert delta_e_2000(xyz_to_lab(mixed.mean(axis=(0, 1))), WOOD) < 0.6
    assert mixed[..., 1].std() > 0.01


def test_a_board_of_one_colour_has_no_figure() -> None:
    target = io.BytesIO()
    Image.new("RGB", (40, 40), (120, 90, 60)).save(target, "PNG")
    parted = figured(target.getvalue(), WOOD)
    assert all(np.isfinite(end).all() for end in parted.ends)
