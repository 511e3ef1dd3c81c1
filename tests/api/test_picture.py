"""The picture of the instrument, in the panel and as files."""

import pytest


@pytest.fixture
def page(client, brief):
    """The Theme sheet with the switches as `cookie` has them."""

    def shown(cookie=""):
        client.cookies.clear()
        if cookie:
            client.cookies.set("seen", cookie)
        return client.get(f"/briefs/{brief['id']}/theme").text

    yield shown
    client.cookies.clear()


@pytest.mark.parametrize(
    ("view", "title"), [("front", "Front"), ("back", "Back"), ("side", "Side"), ("<b>", "Front")]
)
def test_the_panel_shows_the_side_that_was_chosen(page, view, title):
    text = page(f"view={view}")
    assert f'aria-label="{title} of the instrument:' in text
    pressed = title.lower()
    assert f'data-switch="view" value="{pressed}" aria-pressed="true"' in text
    assert text.count('data-switch="view"') == 3
