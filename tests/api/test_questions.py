"""This or that: asked, answered blind, counted, closed."""

from __future__ import annotations

import re

import pytest

from brief.services import nouns
from brief.services.pairing.view_settings import FACES
from brief.services.sheets import SHEETS


@pytest.fixture
def pieces(make):
    return [make("materials", label=label)["id"] for label in ("walnut", "sapele", "cedar", "bone")]


@pytest.fixture
def ask(make, brief, pieces):
    def asked(count=2, **fields):
        draft = {"text": "Which back?", "choices": pieces[:count]} | fields
        return make("questions", brief_id=brief["id"], **draft)

    return asked


@pytest.fixture
def choose(make):
    def chosen(question, choice, author, **fields):
        return make("answers", question_id=question["id"], choice=choice, author=author, **fields)

    return chosen


@pytest.fixture
def now(client):
    return lambda question: client.get(f"/api/questions/{question['id']}").json()


@pytest.fixture
def close(client):
    def closed(question, state="closed"):
        at, etag = f"/api/questions/{question['id']}", {"If-Match": "*"}
        answer = client.patch(at, json={"state": state}, headers=etag)
        assert answer.status_code == 200, answer.text
        return answer.json()

    return closed


def test_answers_are_counted_never_shared_out(ask, choose, now):
    question = ask()
    assert question["result"] == "Nobody has answered yet."
    choose(question, 0, "a bird counter", why="it is quieter")
    choose(question, 1, "a boatbuilder")
    assert now(question)["result"] == "1 of 2 chose the left, 1 the right."
    choose(question, 0, "a player")
    shown = now(question)
    assert shown["result"] == "2 of 3 chose the left, 1 the right."
    assert "%" not in str(shown)
    assert [(one["label"], one["place"], one["count"]) for one in shown["choices"]] == [
        ("walnut", "the left", 2),
        ("sapele", "the right", 1),
    ]
    assert shown["answers"][0]["why"] == "it is quieter"


def test_of_several_each_has_its_place(ask, choose, now):
    question = ask(4)
    for choice, author in ((2, "a"), (2, "b"), (3, "c")):
        choose(question, choice, author)
    assert now(question)["result"] == "2 of 3 chose the third, 1 the fourth."


def test_a_further_answer_by_the_same_name_takes_the_place_of_the_first(ask, choose, now):
    question = ask()
    first = choose(question, 0, "a bird counter", why="quiet")
    again = choose(question, 1, "A  bird counter")
    assert (again["id"], again["before"], again["why"]) == (first["id"], 0, "")
    shown = now(question)
    assert shown["result"] == "1 of 1 chose the right."
    assert len(shown["answers"]) == 1


def test_names_from_elsewhere_are_not_taken_for_the_same(app, ask, choose, now):
    question = ask()
    choose(question, 0, "a player")
    with app.state.store.desk(writing=True) as desk:
        said = nouns.answers.answer(desk, question["id"], 1, "", "a player").said
        assert said == "You chose the right, sapele."
        said = nouns.answers.answer(desk, question["id"], 0, "", "a player").said
        assert said == "You chose the left, walnut; it was the right before, and the newest counts."
    assert now(question)["result"] == "2 of 2 chose the left."


def test_whoever_is_asked_sees_nothing_until_it_is_closed(app, ask, choose, close):
    question = ask()
    choose(question, 0, "a bird counter", why="quiet")

    def as_asked():
        with app.state.store.desk() as desk:
            return nouns.questions.as_asked(desk, nouns.questions.get(desk, question["id"]))

    blind = as_asked()
    assert (blind.answers, blind.result) == (None, "")
    assert [choice.count for choice in blind.choices] == [None, None]
    assert "quiet" not in blind.model_dump_json()
    close(question)
    seen = as_asked()
    assert seen.result == "1 of 1 chose the left."
    assert seen.answers[0].why == "quiet"


def test_a_closed_question_takes_no_answers_until_it_is_opened_again(
    client, ask, choose, close, now, refused
):
    question = ask()
    close(question)
    answer = client.post("/api/answers", json={"question_id": question["id"], "choice": 0})
    refused(answer, 422, "bad_input", "“Which back.*is closed", pointer="/question_id")
    close(question, "open")
    choose(question, 0, "a player")
    assert now(question)["result"] == "1 of 1 chose the left."


def test_an_answer_taken_back_must_be_the_only_one(client, ask, choose, refused):
    question = ask()
    first = choose(question, 0, "a player")
    gone = client.delete(f"/api/answers/{first['id']}", headers={"If-Match": "*"}).json()
    choose(question, 1, "a player")
    refused(client.post(gone["take_back"]), 422, "bad_input", "has answered again since")


@pytest.mark.parametrize(
    ("choices", "said"),
    [
        ([0], "2 to 4 options; got 1"),
        ([0, 1, 2, 3, 4], "2 to 4 options; got 5"),
        ([0, 0], "Each choice must be different"),
        ([0, "01JD8Q5Z7M3K2V9X4T6R8W0Y1A"], "There is no .*pairings, materials, references"),
        ([0, "part"], "There is no "),
        ([0, "theirs"], "The swatch “verdigris” is in another brief"),
        ([0, "binned"], "is in the offcuts bin"),
    ],
)
def test_what_cannot_be_put_side_by_side(client, make, brief, pieces, refused, choices, said):
    other = make("briefs", title="Dune")
    binned = make("materials", label="ash")["id"]
    client.delete(f"/api/materials/{binned}", headers={"If-Match": "*"})
    named = {
        "part": make("parts", brief_id=brief["id"], role="end graft")["id"],
        "theirs": make("swatches", brief_id=other["id"], name="verdigris", colour="#2f6f62")["id"],
        "binned": binned,
    }
    pieces.append(make("materials", label="fifth")["id"])
    ids = [pieces[one] if isinstance(one, int) else named.get(one, one) for one in choices]
    draft = {"brief_id": brief["id"], "text": "Which?", "choices": ids}
    refused(client.post("/api/questions", json=draft), 422, "bad_input", said, pointer="/choices")


@pytest.mark.parametrize("choice", [2, -1, True, "left"])
def test_a_choice_must_be_one_of_them(client, ask, refused, choice):
    draft = {"question_id": ask()["id"], "choice": choice}
    refused(client.post("/api/answers", json=draft), 422, "bad_input", pointer="/choice")


def test_the_sheet_shows_them_side_by_side(client, ask, make, brief, send, picture, choose):
    (reed,) = send(("reed-bed.png", picture())).json()
    passage = make("references", brief_id=brief["id"], title="Ebb", passage="The tide is out.")
    swatch = make("swatches", brief_id=brief["id"], colour="#2f6f62")
    choices = [reed["id"], passage["id"], swatch["id"], brief["id"]]
    question = ask(text="Which <b>one</b>?", choices=choices)
    choose(question, 0, "a <i>player</i>", why="<script>")
    page = client.get(f"/briefs/{brief['id']}/comments").text
    part = page.split(f'id="question-{question["id"]}"')[1].split("</article>")[0]
    for shown in (
        reed["picture"]["page"], "The tide is out.", 'fill="#2f6f62"', "Front of the instrument",
        "Which &lt;b&gt;one", "a &lt;i&gt;player", "&lt;script&gt;", "1 of 1 chose the first.",
    ):  # fmt: skip
        assert shown in part


def test_the_instrument_beside_them_is_turned_as_on_every_sheet(client, ask, brief):
    ask()
    for sheet in SHEETS:
        page = client.get(f"/briefs/{brief['id']}/panel?sheet={sheet.key}").text
        turns = re.findall(r'data-switch="view" value="([^"]*)"', page)
        assert turns == list(FACES), sheet.key
