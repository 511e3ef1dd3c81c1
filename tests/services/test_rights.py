"""What may be published: addresses as Creative Commons and RightsStatements.org give them."""

import pytest

from brief.errors import RightsUnclear
from brief.services.theme.references import IN_COPYRIGHT, MINE, RIGHTS
from brief.services.theme.rights import may_be_published, standing, unclear
from brief.store.records import Reference

CC = "https://creativecommons.org/licenses"


def reference(rights="", *, credit="A. Walker", permission="", private=False, kind="picture"):
    return Reference(
        id="01JD8Q5Z7M3K2V9X4T6R8W0Y1A",
        kind=kind,
        title="Reed bed",
        passage="",
        credit=credit,
        source="",
        rights=rights,
        permission=permission,
        private=private,
    )


@pytest.mark.parametrize(
    ("uri", "licence"),
    [
        (f"{CC}/by/4.0/", "CC BY 4.0"),
        (f"{CC}/by-sa/3.0/de/", "CC BY-SA 3.0 DE"),
        (f"{CC}/by-nc-nd/4.0/deed.en", "CC BY-NC-ND 4.0"),
        (f"{CC}/by/2.0", "CC BY 2.0"),
        ("https://creativecommons.org/publicdomain/zero/1.0/", "CC0 1.0"),
        ("https://creativecommons.org/publicdomain/mark/1.0/", "Public Domain Mark 1.0"),
    ],
)
def test_open_licences_go_by_their_short_names(uri, licence):
    found = standing(reference(uri))
    assert (found.licence, found.uri, found.lacks) == (licence, uri, "")


@pytest.mark.parametrize(
    "uri",
    [
        "",
        *(one for one in RIGHTS if "rightsstatements" in one),
        "https://example.org/licence",
        f"{CC}/by/4.0/ but not really",
        "https://creativecommons.org.example.org/licenses/by/4.0/",
        f"{CC}/by-everything/4.0/",
    ],
)
def test_everything_else_needs_leave(uri):
    assert standing(reference(uri)).lacks
    assert not standing(reference(uri, permission="my own photograph")).lacks


def test_the_makers_own_is_in_copyright_and_clear():
    found = standing(reference(IN_COPYRIGHT, permission=MINE))
    assert (found.licence, found.uri, found.lacks) == ("in copyright", IN_COPYRIGHT, "")
    assert standing(reference(IN_COPYRIGHT, permission="")).lacks


def test_an_attribution_licence_needs_an_author():
    assert "author" in standing(reference(f"{CC}/by/4.0/", credit="")).lacks
    zero = "https://creativecommons.org/publicdomain/zero/1.0/"
    assert not standing(reference(zero, credit="")).lacks


def test_not_for_gain_is_left_to_be_judged():
    assert "commercial" in standing(reference(f"{CC}/by-nc/4.0/")).caution
    assert not standing(reference(f"{CC}/by-sa/4.0/")).caution


def test_private_ones_never_go_and_unclear_ones_stop():
    clear, closed = reference(f"{CC}/by/4.0/"), reference("", kind="passage")
    private = reference(f"{CC}/by/4.0/", private=True)
    every = [clear, closed, private, reference()]
    assert may_be_published(every, leave_out_unclear=True) == [clear]
    assert unclear(every) == [closed, every[3]]
    with pytest.raises(RightsUnclear, match="1 picture and 1 passage are not clear") as caught:
        may_be_published(every, leave_out_unclear=False)
    assert len(caught.value.faults) == 2
    assert may_be_published([clear, private], leave_out_unclear=False) == [clear]
