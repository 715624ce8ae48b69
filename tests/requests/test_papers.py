"""The paper of a run: question and answer, OK, hold, withdrawn; each says no by code and writes its history."""

import pytest

from shop.jobs.models import History
from shop.requests import services
from shop.requests.models import Paper, Question, Revision, Run
from tests.requests.world import refused


def question(world, revision, text="To the face of the beam?", **more):
    return services.question_ask(revision=revision, at="path[0].leg", text=text, actor=world.lead, **more)


def answer(world, asked, text="To the face"):
    return services.question_answer(question=asked, answer=text, actor=world.foreman)


def state(revision):
    return Revision.objects.get(pk=revision.pk).state


def put(revision, state):
    """What other services bring about, quickly."""
    Revision.objects.filter(pk=revision.pk).update(state=state)
    return revision


# Questions


def test_a_question_makes_the_run_wait(world):
    revision = world.ask()
    asked = question(world, revision, choices=["face", "bend"])
    assert (asked.at, asked.choices, asked.asked_by) == ("path[0].leg", ["face", "bend"], world.lead)
    assert state(revision) == Paper.QUESTION


def test_the_last_answer_lets_it_go_on(world):
    revision = world.ask()
    first, second = question(world, revision), question(world, revision, "Which beam?")
    answer(world, first)
    assert state(revision) == Paper.QUESTION
    answered = answer(world, second)
    assert (answered.answer, answered.answered_by) == ("To the face", world.foreman) and answered.answered_at
    assert state(revision) == Paper.SENT


def test_question_and_answer_stand_in_the_history(world):
    asked = question(world, world.ask())
    answer(world, asked)
    actions = History.objects.filter(action__startswith="question").order_by("pk").values_list("action", "person")
    assert list(actions) == [("question.ask", world.lead.pk), ("question.answer", world.foreman.pk)]


def test_an_okd_run_can_still_be_asked_about(world):
    revision = world.ok()
    question(world, revision)
    assert state(revision) == Paper.QUESTION


@pytest.mark.parametrize(("text", "code"), [(" ", "no_text"), ("x" * 401, "text_too_long"), ("\0", "text_unreadable")])
def test_question_and_answer_need_words(world, text, code):
    revision = world.ask()
    with refused(code):
        question(world, revision, text)
    asked = question(world, revision)
    with refused(code):
        answer(world, asked, text)
    assert Question.objects.get().answered_at is None


def test_an_answer_is_given_once(world):
    asked = question(world, world.ask())
    answer(world, asked)
    with refused("answered_already"):
        answer(world, asked, "no, to the bend")
    assert Question.objects.get().answer == "To the face"


@pytest.mark.parametrize(
    ("paper", "code"),
    [
        (Paper.DRAFT, "not_sent"),
        (Paper.RELEASED, "already_released"),
        (Paper.CHANGED, "old_revision"),
        (Paper.HELD, "held"),
        (Paper.CANCELLED, "cancelled"),
        (Paper.CLOSED, "closed"),
    ],
)
def test_what_isnt_before_the_lead_is_not_asked_about(world, paper, code):
    revision = put(world.ask(), paper)
    with refused(code):
        question(world, revision)


def test_a_question_on_an_older_revision_is_not_answered_any_more(world):
    a = world.ask()
    asked = question(world, a)
    services.run_revise(run=a.run, draft=world.draft(), actor=world.foreman)
    with refused("old_revision"):
        answer(world, asked)


# OK


def test_the_lead_oks_what_was_sent(world):
    revision = world.ok()
    assert (revision.state, revision.ok_by) == (Paper.OK, world.lead) and revision.ok_at
    assert History.objects.filter(action="revision.ok", subject_id=revision.pk).count() == 1


@pytest.mark.parametrize(
    ("paper", "code"),
    [
        (Paper.DRAFT, "not_sent"),
        (Paper.QUESTION, "question_open"),
        (Paper.OK, "already_ok"),
        (Paper.RELEASED, "already_released"),
        (Paper.HELD, "held"),
        (Paper.CHANGED, "old_revision"),
        (Paper.CANCELLED, "cancelled"),
    ],
)
def test_an_ok_is_refused_by_the_papers_state(world, paper, code):
    revision = put(world.ask(), paper)
    with refused(code):
        services.revision_ok(revision=revision, actor=world.lead)


def test_what_isnt_solved_gets_no_ok(world):
    revision = world.ask()
    Revision.objects.filter(pk=revision.pk).update(layout=None)
    with refused("not_solved"):
        services.revision_ok(revision=revision, actor=world.lead)


# Hold


@pytest.mark.parametrize("paper", [Paper.SENT, Paper.QUESTION, Paper.OK])
def test_a_hold_goes_back_to_where_it_was(world, paper):
    revision = put(world.ask(), paper)
    services.revision_hold(revision=revision, actor=world.foreman, reason="wall moves")
    assert state(revision) == Paper.HELD
    services.revision_unhold(revision=revision, actor=world.foreman)
    assert state(revision) == paper
    actions = History.objects.filter(action__contains="hold").order_by("pk").values_list("action", flat=True)
    assert list(actions) == ["revision.hold", "revision.unhold"]


def test_an_answer_on_hold_is_kept_for_after_the_hold(world):
    revision = world.ask()
    asked = question(world, revision)
    services.revision_hold(revision=revision, actor=world.lead, reason="wall moves")
    answer(world, asked)
    assert state(revision) == Paper.HELD
    services.revision_unhold(revision=revision, actor=world.lead)
    assert state(revision) == Paper.SENT


@pytest.mark.parametrize("reason", ["", "  "])
def test_nothing_is_held_without_a_reason(world, reason):
    with refused("no_reason"):
        services.revision_hold(revision=world.ask(), actor=world.lead, reason=reason)


def test_holding_is_refused_by_state(world):
    with refused("already_released"):
        services.revision_hold(revision=put(world.ask(), Paper.RELEASED), actor=world.lead, reason="wall moves")
    with refused("not_held"):
        services.revision_unhold(revision=world.ask("S-05"), actor=world.lead)


# Withdrawn


def test_a_withdrawn_run_asks_for_nothing(world):
    revision = services.revision_cancel(revision=world.ask(), actor=world.foreman, reason="box moved")
    assert revision.state == Paper.CANCELLED
    assert History.objects.get(action="revision.cancel").data["reason"] == "box moved"


@pytest.mark.parametrize("paper", [Paper.SENT, Paper.OK, Paper.RELEASED])
def test_b_withdrawn_gives_a_back_as_it_was(world, paper):
    a = put(world.ask(), paper)
    b = services.run_revise(run=a.run, draft=world.draft(), actor=world.foreman)
    services.revision_cancel(revision=b, actor=world.foreman)
    assert state(a) == paper and Run.objects.get().present == a


def test_after_b_is_withdrawn_the_next_is_c(world):
    a = world.ask()
    b = services.run_revise(run=a.run, draft=world.draft(), actor=world.foreman)
    services.revision_cancel(revision=b, actor=world.foreman)
    c = services.run_revise(run=a.run, draft=world.draft(), actor=world.foreman)
    assert c.letter == "C" and state(a) == Paper.CHANGED


def test_a_withdrawn_run_has_no_next_revision(world):
    a = services.revision_cancel(revision=world.ask(), actor=world.foreman)
    with refused("cancelled"):
        services.run_revise(run=a.run, draft=world.draft(), actor=world.foreman)


@pytest.mark.parametrize(
    ("paper", "code"),
    [(Paper.DRAFT, "not_sent"), (Paper.RELEASED, "already_released"), (Paper.CHANGED, "old_revision")],
)
def test_withdrawing_is_refused_by_state(world, paper, code):
    with refused(code):
        services.revision_cancel(revision=put(world.ask(), paper), actor=world.foreman)


def test_a_held_revision_that_is_changed_goes_back_to_before_its_hold(world):
    a = world.ok()
    services.revision_hold(revision=a, actor=world.lead, reason="wall moves")
    b = services.run_revise(run=a.run, draft=world.draft(), actor=world.foreman)
    services.revision_cancel(revision=b, actor=world.foreman)
    assert state(a) == Paper.OK
