"""Inlays as drawn: the sheet's word and the list of conditions are of the same readings."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import numpy as np
import pytest

from brief.services import nouns
from brief.services.drawing.whole_inlays import inlay_seen, whole_glances
from brief.services.instrument.inlays.draft import InlayDraft
from brief.services.pairing.seen_in import seen_in
from brief.services.pairing.sides import Asked, sides_of
from brief.services.pairing.view_settings import Switches
from brief.services.photos.timber_figure import PATCH_PX_PER_MM, patch_of, timber_figure
from brief.store.desk import Desk, Store
from brief.store.records import Brief


@pytest.fixture(scope="module")
def demo(demo_filed, tmp_path_factory) -> Iterator[tuple[Desk, Brief]]:
    filed, brief_id = demo_filed
    store = Store(shutil.copytree(filed, tmp_path_factory.mktemp("demo") / "home"))
    with store.desk() as desk:
        yield desk, nouns.briefs.get(desk, brief_id)
    store.close()


def test_the_word_is_the_list_s_own_under_each_condition(demo) -> None:
    desk, brief = demo
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    looked = 0
    for record in nouns.inlays.page(desk, brief_id=brief.id):
        for one in inlay_seen(desk, record).seen:
            place = "D65" if one.distance_m == 0.5 else one.key[:26]
            wanted = {"place": place, "state": one.state, "eyes": one.eyes}
            seen = seen_in(wanted, Switches(), viewings, finished=True)
            assert whole_glances(desk, brief, seen, viewings)[record.id].reading == one.reading
            looked += 1
    assert looked > 8


def test_the_patch_is_the_piece_that_a_pairing_shows(demo) -> None:
    desk, _ = demo
    walnut = next(one for one in nouns.materials.page(desk) if "walnut" in one.label)
    figure = timber_figure(desk, walnut)
    patch = patch_of(desk, figure)
    assert patch.lab.shape == (40 * PATCH_PX_PER_MM, 60 * PATCH_PX_PER_MM, 3)
    # The same wood as the rows a line meets: its mean, and how it drifts from row to row.
    rows, mean = patch.lab.mean(axis=1)[:, 0], figure.piece.rows.mean(axis=0)[:, 0]
    assert rows.mean() == pytest.approx(mean.mean(), abs=0.3)
    assert np.corrcoef(rows, mean.reshape(len(rows), -1).mean(axis=1))[0, 1] > 0.98


def test_one_board_s_photograph_is_read_once(demo, monkeypatch) -> None:
    desk, _ = demo
    walnut = next(one for one in nouns.materials.page(desk) if "walnut" in one.label)
    figure = timber_figure(desk, walnut)
    patch_of(desk, figure)
    monkeypatch.setattr(
        "brief.services.photos.timber_figure.cut_piece", lambda *_: pytest.fail("read again")
    )
    assert patch_of(desk, timber_figure(desk, walnut)).lab.any()


def test_two_pieces_are_asked_about_without_a_pairing(demo) -> None:
    desk, brief = demo
    pairing = nouns.pairings.page(desk, brief_id=brief.id)[0]
    asked = Asked("asked", pairing.ground, pairing.inlay)
    kept, new = sides_of(desk, [pairing])[pairing.id], sides_of(desk, [asked])["asked"]
    assert kept.doubt("bare") == new.doubt("bare")
    assert kept.ground.lab("aged") == new.ground.lab("aged")


def test_an_inlay_beyond_the_board_and_one_of_no_material_are_left_out(demo) -> None:
    desk, brief = demo
    parts = nouns.parts.page(desk, brief_id=brief.id)
    bare = next(one for one in parts if one.material_id is None)
    draft = InlayDraft(brief_id=brief.id, name="dot", shape="dot", frets=[5], part_id=bare.id)
    dot = nouns.inlays.add(desk, draft)
    assert inlay_seen(desk, dot).seen == []
    desk.session.rollback()
