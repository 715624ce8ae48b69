"""Pages of the shop: inbox, review, release, board."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from bending.layout import layout as bent
from shop.requests.models import Paper, Question, Revision
from shop.requests.services import question_answer, question_ask, revision_hold, run_revise
from shop.work import review
from shop.work.inbox import inbox
from shop.work.services import piece_remake
from tests.requests.world import profile, too_many_degrees
from tests.work.floor import later

STUB = {
    "format": "run/1", "raceway": "EMT", "size": "1/2", "bender": {"take_up": 5, "gain": "2 5/8"},
    "path": [{"leg": 20}, {"corner": 90, "turn": "out"}, {"leg": 60}],
}  # fmt: skip


@pytest.fixture
def visit(client, world):
    def get(by: str, name: str, revision=None, query: str = "", **post):
        path = reverse(name, args=[revision.pk] if revision else []) + query
        client.force_login(getattr(world, by), backend="django.contrib.auth.backends.ModelBackend")
        return client.post(path, post) if post else client.get(path)

    get.client = client
    return get


def fresh(revision):
    return Revision.objects.get(pk=revision.pk)


def groups(world):
    return {group.name: [revision.run.tag for revision in group.revisions] for group in inbox(world.lead)}


def test_the_inbox_sorts_by_why_it_waits(world):
    world.ask("S-01")
    world.ask("S-02", rush=True, rush_reason="Inspector", needed_at=later(60))
    world.ok("S-03")
    question_ask(revision=world.ask("S-04"), text="Which face?", actor=world.lead)
    answered = question_ask(revision=world.ask("S-05"), text="Which face?", actor=world.lead)
    question_answer(question=answered, answer="The beam's", actor=world.foreman)
    revision_hold(revision=world.ask("S-06"), actor=world.lead, reason="wall moves")
    run_revise(run=world.ask("S-07").run, draft=world.draft("S-07", quantity=2), actor=world.foreman)
    assert groups(world) == {
        "Changed": ["S-07"],
        "Rush": ["S-02"],
        "Answered": ["S-05"],
        "New": ["S-01"],
        "OK'd: release them": ["S-03"],
        "Waits for an answer": ["S-04"],
        "Held": ["S-06"],
    }


def test_the_earliest_need_stands_first(world):
    world.ask("S-01", needed_at=later(300))
    world.ask("S-02", needed_at=later(100))
    assert groups(world)["New"] == ["S-02", "S-01"]


def test_what_has_no_day_stands_after_what_has_one(world):
    world.ask("S-01", needed_at=None)
    world.ask("S-02", needed_at=later(100))
    assert groups(world)["New"] == ["S-02", "S-01"]


def test_a_question_on_a_dimension_names_it_in_words(visit, world):
    content = visit("lead", "review", world.ask(), query="?at=path[0].leg").content.decode()
    assert "About <b>Leg" in content and 'type="hidden" name="at" value="path[0].leg"' in content


def test_the_review_shows_what_was_asked_and_the_marks(visit, world):
    content = visit("lead", "review", world.ask()).content.decode()
    assert "19 1/2 inches" in content and "13 1/2 inches" in content  # the mark: stub less take-up, W12's rule
    assert "a licensed person is responsible" in content


@pytest.mark.parametrize(("zero", "order", "said"), [
    ("start", "push-through", ["hook to zero"]),
    ("end", "push-through", ["hook to zero"]),
    ("end", "last-turned", ["hook to far"]),
])  # fmt: skip
def test_a_hook_is_said_as_seen_from_zero_whichever_end_that_is(zero, order, said):
    layout = bent({**STUB, "zero": zero, "order": order})
    rows = review._marks(Revision(layout=layout))
    assert [row["hook_words"] for row in rows] == said
    assert [row["from_words"] for row in rows] == [""]


def test_a_mark_says_what_else_than_zero_it_is_measured_from():
    two = {**STUB, "path": [*STUB["path"], {"corner": 90, "turn": "out"}, {"leg": 40}]}
    for order, said in (("end-for-end", "from far end"), ("back-to-back", "from back of step 1")):
        rows = review._marks(Revision(layout=bent({**two, "order": order})))
        assert [row["from_words"] for row in rows] == ["", said]


def test_a_question_is_asked_on_one_dimension(visit, world):
    revision = world.ask()
    visit("lead", "review-ask", revision, at="path[0].leg", text="From which floor?", choices="finished\nrough\n")
    question = Question.objects.get()
    assert (question.at, question.choices, fresh(revision).state) == ("path[0].leg", ["finished", "rough"], "question")


def test_an_empty_question_is_sent_back_with_what_was_typed(visit, world):
    answer = visit("lead", "review-ask", world.ask(), at="path[0].leg", text="", choices="finished floor")
    assert answer.status_code == 422 and "finished floor" in answer.content.decode()


def test_ok_then_release_makes_the_pieces(visit, world):
    revision = world.ask(quantity=3)
    visit("lead", "review-ok", revision, go="1")
    assert visit("lead", "review-release", revision, profile=world.profile.pk).status_code == 302
    assert fresh(revision).state == Paper.RELEASED and revision.pieces.count() == 3


def test_a_rule_is_released_only_by_a_licensed_person_and_the_page_says_so(visit, world):
    revision = world.ok(document=too_many_degrees())
    answer = visit("lead", "review-release", revision, profile=world.profile.pk, override_reason="pull box is there")
    assert answer.status_code == 422 and "pull box is there" in answer.content.decode()
    assert fresh(revision).state == Paper.OK


def test_a_bender_of_another_size_cannot_be_chosen(visit, world):
    revision, other = world.ok(), profile(size="1/2", name="Other shoe")
    assert visit("lead", "review-release", revision, profile=other.pk).status_code == 422


def test_hold_and_let_go(visit, world):
    revision = world.ask()
    visit("lead", "review-hold", revision, reason="wall moves")
    assert fresh(revision).state == Paper.HELD
    visit("lead", "review-unhold", revision, go="1")
    assert fresh(revision).state == Paper.SENT


@pytest.mark.parametrize("reason", ["", "   "])
def test_nothing_is_held_without_a_reason(visit, world, reason):
    revision = world.ask()
    answer = visit("lead", "review-hold", revision, reason=reason, go="1")
    assert answer.status_code == 422 and fresh(revision).state == Paper.SENT
    assert [error.code for error in answer.context["hold_form"].errors["reason"].as_data()] == ["required"]


def test_why_it_is_held_stands_on_both_its_pages(visit, world):
    revision = world.ask()
    visit("lead", "review-hold", revision, reason="wall moves")
    assert visit("lead", "review", revision).content.decode().count("wall moves") == 2  # the strip and the history
    visit.client.force_login(world.foreman)
    assert "wall moves" in visit.client.get(reverse("run", args=[revision.run_id])).content.decode()


def test_the_board_counts_how_far_the_pieces_have_come(visit, floor):
    floor.release(quantity=3)
    floor.make(floor.piece(copy=1))
    floor.say(floor.piece(copy=2), "cut")
    row = visit("hand", "board").context["table"].rows[0].record
    assert (row.n, row.n_cut, row.n_bent, row.n_checked, row.n_labelled) == (3, 2, 1, 1, 1)


def test_a_piece_that_was_not_checked_is_not_counted_as_checked(visit, floor):
    floor.release()
    floor.say(floor.piece(), "print", fields={"how": "finish"})
    row = visit("hand", "board").context["table"].rows[0].record
    assert (row.n_bent, row.n_checked, row.n_labelled) == (1, 0, 1)


def test_what_has_left_the_shop_leaves_the_board_unless_asked_for(visit, floor):
    floor.release()
    floor.say(floor.piece(), "load", "driver", fields={"load": "118"})
    assert len(visit("hand", "board").context["table"].rows) == 0
    assert len(visit("hand", "board", query="?gone=1").context["table"].rows) == 1


@pytest.mark.parametrize(("query", "found"), [("?size=3/4", 1), ("?size=1/2", 0), ("?text=s-0", 1), ("?text=zz", 0)])
def test_the_board_is_filtered(visit, floor, query, found):
    floor.release()
    floor.world.ask("T-01")
    assert len(visit("hand", "board", query=query).context["table"].rows) == found


def test_scrap_stands_on_the_board_until_it_is_made_again(visit, floor):
    floor.release()
    piece = floor.piece()
    floor.say(piece, "scrap", "hand", reason="kinked")
    assert list(visit("lead", "board").context["flagged"]) == [piece]
    piece_remake(piece=piece, actor=floor.world.lead, nonce="again", reason="kinked", old="scrap")
    assert list(visit("lead", "board").context["flagged"]) == []


@pytest.fixture
def queries(visit):
    def count(by: str, name: str) -> int:
        visit(by, name)
        with CaptureQueriesContext(connection) as asked:
            assert visit.client.get(reverse(name)).status_code == 200
        return len(asked)

    return count


def test_the_board_asks_the_same_number_of_queries_at_two_sizes(queries, floor):
    floor.release("S-00")
    few = queries("hand", "board")
    for number in range(1, 12):
        floor.release(f"S-{number:02}")
    assert queries("hand", "board") == few <= 16


def test_the_inbox_asks_the_same_number_of_queries_at_two_sizes(queries, world):
    world.ask("S-00")
    few = queries("lead", "inbox")
    for number in range(1, 12):
        world.ask(f"S-{number:02}")
    assert queries("lead", "inbox") == few <= 12
