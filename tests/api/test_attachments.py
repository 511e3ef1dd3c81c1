"""Documents of a trip: only what they say they are, kept like pictures, and never sent along."""

import hashlib
import os
import zipfile
from io import BytesIO

import pypdf
import pytest
from pypdf.generic import RectangleObject
from reportlab.pdfgen.canvas import Canvas

from brief.services.trip.attached import MOST_BYTES, bare_name, look_at
from brief.store.backup import back_up, restore
from brief.store.check import check


def a_pdf(pages=2, *, words="Ticket, seat 12") -> bytes:
    file = BytesIO()
    canvas = Canvas(file, pagesize=(420, 595))
    for _ in range(pages):
        canvas.drawString(40, 500, words)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def locked(data: bytes, **how) -> bytes:
    writer = pypdf.PdfWriter(clone_from=BytesIO(data))
    writer.encrypt(algorithm="RC4-128", **how)
    file = BytesIO()
    writer.write(file)
    return file.getvalue()


@pytest.fixture
def attach(send, brief):
    def sent(name: str, data: bytes):
        return send((name, data), to="attachments", brief_id=brief["id"])

    return sent


def test_a_pdf_comes_back_byte_for_byte_as_a_download_that_nothing_keeps(client, attach):
    data = a_pdf()
    (made,) = attach("ticket.pdf", data).json()
    assert (made["pages"], made["media_type"]) == (2, "application/pdf")
    assert made["words"].startswith("PDF, 2 pages, ")
    answer = client.get(made["file"])
    assert answer.content == data
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("attachment;")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert len(pypdf.PdfReader(BytesIO(answer.content)).pages) == 2
    sha256 = hashlib.sha256(data).hexdigest()
    for other in ("original", "thumb"):  # where browsers keep what they were sent
        assert client.get(f"/images/{sha256}/{other}").status_code == 404


def test_the_size_of_a_page_is_told_wherever_its_corner_lies():
    writer = pypdf.PdfWriter(clone_from=BytesIO(a_pdf()))
    writer.pages[0].mediabox = RectangleObject((100, 200, 520, 795))
    file = BytesIO()
    writer.write(file)
    found = look_at("ticket.pdf", file.getvalue())
    assert (found.width, found.height) == (420, 595)


@pytest.mark.parametrize("name", ["scan.png", "SCAN.PNG", "scan"])
def test_a_picture_is_told_by_its_bytes(attach, picture, name):
    (made,) = attach(name, picture()).json()
    assert (made["media_type"], made["pages"], made["name"]) == ("image/png", 1, name)


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("ticket.pdf", b"no ticket at all", "none of the kinds that are kept"),
        ("ticket.pdf", b"", ""),
        ("ticket.pdf", b"<html>%PDF-1.7</html>", "none of the kinds"),
        ("letter.docx", b"PK\x03\x04 word", "Attach a PDF, a PNG or a JPEG"),
        ("ticket.pdf", b"%PDF-1.7\nand nothing more", "damaged or cut short"),
        ("ticket.pdf", a_pdf()[:-200], "damaged or cut short"),
        ("ticket.pdf", b"%PDF-1.7\n" + b"0" * 2000 + b"%%EOF", "damaged or cut short"),
        ("photo.jpg", a_pdf(), "is called a JPEG and is a PDF"),
        ("ticket.exe", a_pdf(), "“.exe” and is a PDF"),
        ("scan.png", b"\x89PNG\r\n\x1a\n" + b"0" * 50, ""),
        ("ticket.pdf", locked(a_pdf(), user_password="salt"), "asks for a password"),
        ("ticket.pdf", b"%PDF-1.7\n" + b"[" * 100_000 + b"%%EOF", "damaged or cut short"),
    ],
)  # fmt: skip
def test_what_is_not_what_it_says_is_refused_in_words_and_nothing_is_kept(
    attach, refused, on_disk, name, data, said
):
    before = on_disk()
    refused(attach(name, data), 422, "bad_image", said, pointer="/files/0")
    assert on_disk() == before


def test_one_that_only_its_owner_may_change_is_read(attach):
    data = locked(a_pdf(), user_password="", owner_password="salt")
    assert attach("ticket.pdf", data).json()[0]["pages"] == 2


def test_one_that_is_too_large_or_has_too_many_pages_is_refused(attach, refused, on_disk):
    before = on_disk()
    large = a_pdf()[:-6] + b"%" * MOST_BYTES + b"\n%%EOF"
    refused(attach("ticket.pdf", large), 413, "too_large", "larger than the 20 MB")
    refused(attach("law.pdf", a_pdf(501)), 413, "too_large", "501 pages; at most 500")
    assert on_disk() == before


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../etc/ticket.pdf", "ticket.pdf"),
        ("C:\\trips\\ticket.pdf", "ticket.pdf"),
        ("a/b\\..\\ticket.pdf", "ticket.pdf"),
        ("ticket\x00\u202efdp.pdf", "ticketfdp.pdf"),
        ("..", "document"),
        ("", "document"),
    ],
)
def test_of_a_name_with_folders_only_its_end_is_kept(sent, kept):
    assert bare_name(sent) == kept


def test_a_name_with_path_pieces_writes_nothing_outside(client, attach, home):
    outside = sorted(str(one) for one in home.parent.iterdir())
    (made,) = attach("../../../ticket.pdf", a_pdf()).json()
    assert (made["name"], made["file_name"]) == ("ticket.pdf", "ticket.pdf")
    told = client.get(made["file"]).headers["content-disposition"]
    assert told == "attachment; filename*=UTF-8''ticket.pdf"
    assert sorted(str(one) for one in home.parent.iterdir()) == outside


def test_no_saved_brief_and_no_revision_has_a_document_or_names_it(
    client, brief, make, attach, picture
):
    secret = picture((12, 34, 56))
    attach("passport-of-ines.pdf", a_pdf(words="P1234567"))
    attach("visa-of-ines.png", secret)
    revision = make("revisions", brief_id=brief["id"], note="as shown")
    packed = client.get(f"/api/briefs/{brief['id']}/parcel.zip")
    with zipfile.ZipFile(BytesIO(packed.content)) as opened:
        assert [name for name in opened.namelist() if name.startswith("images/")] == []
        texts = b"".join(opened.read(name) for name in opened.namelist())
    assert b"of-ines" not in texts
    assert "of-ines" not in client.get(f"/api/revisions/{revision['id']}").text


@pytest.mark.folder
@pytest.mark.sqlite
def test_backup_check_and_sweep_know_it(client, attach, store, home, tmp_path):
    data = a_pdf()
    (made,) = attach("ticket.pdf", data).json()
    sha256 = next((home / "images" / "originals").rglob("*/*")).name
    os.utime(store.images.path(sha256), (1e9, 1e9))  # older than what a sweep sets aside
    store.sweep()
    assert store.images.holds(sha256)
    assert check(home).findings == []
    copy = back_up(home, tmp_path / "stick")
    assert (copy.pictures, copy.is_sound) == (1, True)
    restore(tmp_path / "stick", tmp_path / "again")
    place = tmp_path / "again" / "images" / "originals" / sha256[:2] / sha256
    assert place.read_bytes() == data
    store.images.place(sha256).unlink()
    (lost,) = check(home).findings
    assert (lost.kind, lost.said) == ("missing", "The file of “ticket.pdf” is missing.")
    assert client.get(made["file"]).status_code == 404
    page = client.get(f"/briefs/{made['brief_id']}/trip").text
    assert "document “ticket.pdf”" in page
    mended = check(home, repair=True, source=tmp_path / "stick")
    assert mended.is_clean
    assert client.get(made["file"]).content == data
