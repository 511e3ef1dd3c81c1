"""Somebody else's zip is unpacked within its folder and within bounds, or says why not."""

from __future__ import annotations

import zipfile
from io import BytesIO
from pathlib import Path

import pytest

from brief.errors import InputError
from brief.services.stock.filling import unpacking
from brief.services.stock.filling.unpacking import members_of, unpacked


def zipped(**more: int) -> BytesIO:
    """more : how each of these files is packed."""
    file = BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as made:
        for name in (
            "loft/a.png", "../out.png", "loft/../../out.png", "/root.png", "C:/drive.png",
            "..\\out.png", "loft//a.png", "./b.png", ".hidden/c.png", ".DS_Store",
        ):  # fmt: skip
            made.writestr(zipfile.ZipInfo(name), name)
        for name, how in more.items():
            made.writestr(name, bytes(2000), how)
    file.seek(0)
    return file


def test_no_name_leads_out_of_the_folder(tmp_path: Path) -> None:
    file = zipped()
    members, refused = members_of(file)
    assert [*members] == ["loft/a.png"]
    assert {*refused} == {
        "../out.png", "loft/../../out.png", "/root.png", "C:/drive.png", "loft//a.png", "./b.png",
    }  # fmt: skip
    assert {*refused.values()} == {"Its name leads out of the zip."}
    folder = tmp_path / "in"
    folder.mkdir()
    assert unpacked(file, members, folder) == {}
    files = [one.relative_to(tmp_path).as_posix() for one in tmp_path.rglob("*") if one.is_file()]
    assert files == ["in/loft/a.png"]


def test_what_is_packed_otherwise_or_too_large_is_refused(monkeypatch, tmp_path: Path) -> None:
    file = zipped(dense=zipfile.ZIP_BZIP2, large=zipfile.ZIP_STORED)
    monkeypatch.setattr(unpacking, "MAX_BYTES", 1999)
    members, refused = members_of(file)
    assert [*members] == ["loft/a.png"]
    assert refused["dense"].startswith("It is packed in an uncommon way")
    assert refused["large"].startswith("It is larger than ")
    monkeypatch.setattr(unpacking, "MAX_BYTES", 2000)
    believed, _ = members_of(file)
    monkeypatch.setattr(unpacking, "MAX_BYTES", 1999)  # as of one that is larger than it says
    assert [*unpacked(file, believed, tmp_path)] == ["large"]


def test_what_is_not_whole_is_refused_and_costs_no_other_file(tmp_path: Path) -> None:
    whole = bytearray(zipped(torn=zipfile.ZIP_DEFLATED).getvalue())
    at = whole.index(b"torn") + len(b"torn")
    whole[at : at + 4] = bytes(4)
    members, _ = members_of(BytesIO(whole))
    reasons = unpacked(BytesIO(whole), members, tmp_path)
    assert [*reasons] == ["torn"]
    assert reasons["torn"].startswith("It cannot be unpacked: ")
    assert (tmp_path / "loft" / "a.png").read_text() == "loft/a.png"
    with pytest.raises(InputError, match="is not whole"):
        members_of(BytesIO(whole[:500]))
