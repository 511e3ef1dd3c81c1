"""Styles, scripts and faces of the pages: few requests, kept for good, and nothing left out."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from brief.api import faces
from brief.api.bundles import (
    FOR_GOOD,
    NOT_OF_PAGES,
    linked,
    script_bundle,
    script_in_a_file,
    style_bundle,
    turning_bundle,
)
from brief.places import web_folder

STATIC = web_folder() / "static"


def _modules(folder: Path, **files: str) -> Path:
    for name, text in files.items():
        (folder / f"{name}.js").write_text(text, encoding="utf-8")
    return folder


def test_a_page_asks_for_one_style_and_one_script(client, one_of) -> None:
    brief = one_of("references")["brief_id"]
    for at in ("/", f"/briefs/{brief}/theme", "/offcuts", "/method"):
        page = client.get(at).text
        asked = re.findall(r'<(?:script|link)[^>]* (?:src|href)="(/static/(?:css|js)/[^"]+)"', page)
        assert sorted(asked) == sorted([style_bundle().address, script_bundle().address]), at


def test_every_style_and_every_module_is_in_it() -> None:
    for file in STATIC.glob("**/*.css"):
        name = file.relative_to(STATIC).as_posix()
        assert (file.read_text(encoding="utf-8") in style_bundle().text) != (name in NOT_OF_PAGES)
    # A file from the disk may import nothing; a guest's page loads its own.
    of_guests = {"sharing/guest.js", "turning/for-guests.js"}
    modules = {one.relative_to(STATIC / "js").as_posix() for one in STATIC.glob("js/**/*.js")}
    texts = (script_bundle().text, turning_bundle().text, script_in_a_file())
    once, asked_for, in_a_file = (
        set(re.findall(r"^modules\['(.+)'\] = ", text, re.M)) for text in texts
    )
    assert once | asked_for | in_a_file == modules - of_guests
    assert not once & asked_for  # nothing is sent twice
    assert asked_for < in_a_file


@pytest.mark.parametrize("bundle", [style_bundle, script_bundle, turning_bundle])
def test_a_browser_keeps_it_until_it_is_another(client, bundle) -> None:
    """RFC 8246: an address with the text's own hash may be kept without asking again."""
    address = bundle().address
    assert client.get(address).headers["cache-control"] == FOR_GOOD
    assert client.get(address).text == bundle().text
    for other in (address.partition("?")[0], f"{address}0"):
        assert client.get(other).headers["cache-control"] == "no-cache"


def test_modules_are_linked_in_the_order_of_their_imports(tmp_path) -> None:
    _modules(
        tmp_path,
        app="import { b as c } from './b.js';\nimport * as d from './d.js';\nc(d.e);\n",
        b="import { e } from './d.js';\nexport function b(f) { return f === e; }\n",
        d="export const e = 1;\nexport async function g() {}\n",
    )
    text = linked(tmp_path, "app.js")
    assert re.findall(r"^modules\['(.+)'\] = ", text, re.M) == ["d.js", "b.js", "app.js"]
    assert "const { b: c } = modules['b.js'];" in text
    assert "const d = modules['d.js'];" in text
    assert "return { e, g };" in text
    assert not re.search(r"^(import|export (?!const modules))", text, re.M)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("import a from './b.js';\n", "import a from"),
        ("import './b.js';\n", "import './b.js'"),
        ("export default 1;\n", "export default"),
        ("export let a = 1;\n", "export let"),
        ("export { a };\n", "export { a }"),
        ("const a = await import('./b.js');\n", "await import"),
        ("import { a } from './app.js';\n", "circle|each other"),
    ],
)
def test_what_cannot_be_linked_is_named(tmp_path, text, said) -> None:
    _modules(tmp_path, app=text, b="")
    with pytest.raises(ValueError, match=said):
        linked(tmp_path, "app.js")


@pytest.fixture
def no_cache(tmp_path, monkeypatch) -> Path:
    monkeypatch.setattr(faces, "user_cache_path", lambda _: tmp_path / "cache")
    faces.woff2.cache_clear()
    yield tmp_path / "cache"
    faces.woff2.cache_clear()


def test_a_face_is_cut_once_and_has_the_letters_of_europe(client, no_cache) -> None:
    """W3C WOFF2, section 4: the signature; the letters of Latin Extended-A (Unicode 15.1)."""
    from fontTools.ttLib import TTFont

    answer = client.get("/static/faces/sans.woff2")
    assert answer.headers["content-type"] == "font/woff2"
    assert answer.headers["cache-control"] == FOR_GOOD
    assert answer.content[:4] == b"wOF2"
    assert len(answer.content) < 60_000
    with TTFont(io.BytesIO(answer.content)) as font:
        known = font.getBestCmap()
    assert {*range(0x20, 0x7F), *range(0xA0, 0x180), 0x2019, 0x2212} <= {*known}
    (kept,) = no_cache.iterdir()
    assert kept.read_bytes() == answer.content
    kept.write_bytes(b"from the cache")
    faces.woff2.cache_clear()
    assert client.get("/static/faces/sans.woff2").content == b"from the cache"


def test_a_cache_that_takes_nothing_is_no_fault(client, no_cache, monkeypatch) -> None:
    no_cache.write_bytes(b"a file where the folder should be")
    monkeypatch.setattr(faces, "_made", lambda *_: b"made")
    assert client.get("/static/faces/serif.woff2").content == b"made"


def test_every_face_that_the_styles_name_is_there() -> None:
    named = re.findall(r'url\("/static/faces/(.+?)\.woff2"\)', style_bundle().text)
    assert sorted(named) == sorted(faces.FACES)
    assert faces.AXES.keys() == faces.FACES.keys()


def test_a_face_that_is_not_there_is_said(client) -> None:
    assert client.get("/static/faces/sans-bold.woff2").status_code == 404
