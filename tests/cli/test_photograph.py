"""`brief photograph`: a file, kept in the brief; refusals with exit code 2."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from brief.cli import main
from brief.cli.commands.making import photograph
from brief.services import nouns
from brief.store.desk import Store
from tests.studio_at_once import GREY, at_once


@pytest.fixture
def home(store: Store, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(photograph, "sitting", at_once)
    monkeypatch.setattr(photograph, "missing", str)
    with store.desk(writing=True) as desk:
        nouns.briefs.add(desk, nouns.briefs.draft(title="Saltmarsh"))
    return store.home


def test_it_writes_the_picture_and_keeps_it_once(home, store, tmp_path, capsys) -> None:
    out = tmp_path / "front.png"
    asked = ["photograph", "salt", "--view", "front", "--out", str(out), "--home", str(home)]
    for _ in range(2):
        assert main(asked) == 0
        assert out.read_bytes() == GREY
        assert "Computed, not photographed." in capsys.readouterr().out
    assert main([*asked, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["name"].startswith("Standing, from the front")
    with store.desk() as desk:
        assert len(nouns.studio_pictures.page(desk)) == 1


def test_a_picture_that_came_as_a_jpeg_is_written_as_png() -> None:
    jpeg = BytesIO()
    Image.new("RGB", (8, 6), (120, 80, 40)).save(jpeg, "JPEG")
    with Image.open(BytesIO(photograph._as_png(jpeg.getvalue()))) as written:
        assert (written.format, written.size) == ("PNG", (8, 6))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--view", "above"], "--view is one of turned"),
        (["--state", "wet"], "--state is one of bare"),
        (["--light", "candle"], "LED-B3"),
        (["--out", "front.jpg"], "--out ends with .png; got “front.jpg”"),
    ],
)
def test_what_cannot_be_is_refused(home, tmp_path, capsys, more, said) -> None:
    asked = ["photograph", "Saltmarsh", "--out", str(tmp_path / "a.png"), "--home", str(home)]
    assert main([*asked, *more]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "a.png").exists()


def test_without_the_renderer_it_says_how_to_get_it(home, tmp_path, capsys, monkeypatch) -> None:
    monkeypatch.setattr(photograph, "missing", lambda: "One more package is needed.")
    out = str(tmp_path / "a.png")
    assert main(["photograph", "Saltmarsh", "--out", out, "--home", str(home)]) == 2
    assert "package" in capsys.readouterr().err
