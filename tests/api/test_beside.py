"""Two instruments side by side, as a maker opens them."""

import re

import pytest


@pytest.fixture
def parts(client, brief):
    listed = client.get(f"/api/parts?brief_id={brief['id']}").json()["items"]
    return {part["role"]: part for part in listed}


@pytest.fixture
def pieces(make):
    return {
        "cedar": make("materials", label="cedar", reading="Lab 55 15 30"),
        "spruce": make("materials", label="spruce", reading="Lab 80 4 24"),
    }


@pytest.fixture
def beside(client, brief):
    def asked(status=200, **query):
        answer = client.get(f"/briefs/{brief['id']}/beside", params=query)
        assert answer.status_code == status, answer.text
        return answer.text

    yield asked
    client.cookies.clear()


def drawings(text):
    """What is shown, in words, of each of the large drawings."""
    return [
        re.search('aria-label="([^"]*)"', drawing)[1]
        for drawing in re.findall(r'<div class="front mat timber-seen">(<svg.*?</svg>)', text)
    ]


def viewboxes(text):
    return re.findall(r'<div class="front mat timber-seen"><svg[^>]* viewBox="([^"]*)"', text)


def test_another_piece_is_tried_beside_what_there_is_and_changes_nothing(
    client, beside, parts, pieces, on_disk
):
    top = parts["top"]
    client.patch(
        f"/api/parts/{top['id']}",
        json={"material_id": pieces["cedar"]["id"]},
        headers={"If-Match": top["etag"]},
    )
    before = on_disk()
    text = beside(part=top["id"], material=pieces["spruce"]["id"])
    now, tried = drawings(text)
    assert "top cedar" in now
    assert "top spruce" in tried
    assert "With spruce for top" in text
    assert len(set(viewboxes(text))) == 1
    assert on_disk() == before


def test_several_are_tried_together_and_each_can_be_left_out(beside, parts, pieces):
    one, other = (f"{parts[role]['id']}:{pieces['spruce']['id']}" for role in ("top", "back"))
    text = beside(swap=[one, other])
    assert "With spruce for top and spruce for back" in text
    without = re.findall('href="([^"]*)">Remove this trial', text)
    assert [address.count("swap=") for address in without] == [1, 1]


def test_they_are_seen_from_the_side_that_the_switches_say(client, beside, parts, pieces):
    client.cookies.set("seen", "view=back")
    text = beside(part=parts["back"]["id"], material=pieces["spruce"]["id"])
    assert [said.split(":")[0] for said in drawings(text)] == ["Back of the instrument"] * 2


def test_another_brief_is_shown_at_the_same_size(beside, make):
    other = make("briefs", title="High moor", kind="tenor-ukulele")
    text = beside(other=other["id"])
    assert len(drawings(text)) == 2
    assert "High moor" in text
    (one, two) = viewboxes(text)
    assert one == two


def test_alone_it_shows_one_and_asks(beside):
    text = beside()
    assert len(drawings(text)) == 1
    assert "No piece on the rack has a colour yet" in text


def test_what_is_not_there_is_said(beside, parts, pieces, make):
    assert "not part of this brief" in beside(422, swap="gone:" + pieces["cedar"]["id"])
    assert "There is no material" in beside(422, part=parts["top"]["id"], material="gone")
    assert "There is no brief" in beside(422, other="gone")
    bare = make("materials", label="bare")
    assert "without a colour" in beside(422, part=parts["top"]["id"], material=bare["id"])
    beside(422, swap="<b>")
