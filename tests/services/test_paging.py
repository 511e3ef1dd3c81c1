"""Long lists, a page at a time: what is on it, and which page has a thing."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from brief.services.common.paging import Leaf, paged

SEVEN = [SimpleNamespace(id=name) for name in "abcdefg"]


@pytest.mark.parametrize(
    ("leaf", "shown", "page"),
    [
        (Leaf(), "abc", 1),
        (Leaf(2), "def", 2),
        (Leaf(3), "g", 3),
        (Leaf(0), "abc", 1),  # before the first
        (Leaf(99), "g", 3),  # behind the last
        (Leaf(at="e"), "def", 2),
        (Leaf(3, at="a"), "abc", 1),  # what is to be seen counts
        (Leaf(2, at="gone"), "abc", 1),
    ],
)
def test_a_page(leaf, shown, page) -> None:
    here, pager = paged(SEVEN, 3, leaf)
    assert "".join(one.id for one in here) == shown
    assert (pager.page, pager.pages, pager.count) == (page, 3, 7)


def test_every_page_together_is_the_list() -> None:
    pages = [paged(SEVEN, 2, Leaf(page))[0] for page in range(1, 5)]
    assert [one for page in pages for one in page] == SEVEN


def test_of_nothing_there_is_one_empty_page() -> None:
    here, pager = paged([], 3, Leaf(2, at="a"))
    assert (list(here), pager.page, pager.pages, pager.count) == ([], 1, 1, 0)


def test_what_else_is_asked_goes_along_unless_it_is_empty() -> None:
    _, pager = paged(SEVEN, 3, Leaf(), {"words": "walnut & co", "stuff": ""})
    assert pager.asked == {"words": "walnut & co"}
