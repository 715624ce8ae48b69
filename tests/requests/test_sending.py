"""Asking: a request arrives once, a draft is kept with its faults, revisions follow each other."""

import pytest

from shop.jobs.models import History
from shop.requests import services
from shop.requests.models import Paper, Request, Revision, Run
from tests.requests.world import refused, stub, three_d


def send(world, *drafts, nonce="n-1", actor=None, **more):
    return services.request_send(job=world.job, nonce=nonce, runs=drafts, actor=actor or world.foreman, **more)


def history(revision):
    rows = History.objects.filter(subject="revision", subject_id=revision.pk).order_by("pk")
    return [(row.action, row.data["tag"], row.data["rev"]) for row in rows]


# Sending


def test_a_request_brings_its_runs_solved(world):
    request = send(world, world.draft("S-04", quantity=8), world.draft("S-05"), cost_code="CO 12")
    first = Run.objects.get(tag="S-04").present
    assert (request.runs.count(), request.cost_code) == (2, "CO 12")
    assert (first.state, first.letter, first.quantity, first.profile) == (Paper.SENT, "A", 8, world.profile)
    assert first.layout["format"] == "layout/1" and first.shape and first.sent_at


def test_what_was_typed_is_kept_as_it_was_typed(world):
    assert world.ask(document=stub(up="19½")).document["path"][0] == {"leg": "19½"}


def test_sending_writes_history_for_the_request_and_each_run(world):
    request = send(world, world.draft("S-04"), world.draft("S-05"))
    assert History.objects.get(action="request.send").data == {"tags": ["S-04", "S-05"]}
    assert [history(run.present) for run in request.runs.order_by("pk")] == [
        [("revision.send", "S-04", "A")],
        [("revision.send", "S-05", "A")],
    ]


def test_the_same_nonce_again_is_the_same_request(world):
    first = send(world, world.draft())
    assert send(world, world.draft()) == first
    assert (Request.objects.count(), Run.objects.count()) == (1, 1)
    assert History.objects.filter(action="request.send").count() == 1


def test_another_mans_nonce_is_refused(world):
    send(world, world.draft())
    with refused("nonce_taken"):
        send(world, world.draft("S-09"), actor=world.lead)


def late_day(world):
    world.job.closed_at = world.job.opened_at
    world.job.save()


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"document": stub(up="")}, "not_solved"),
        ({"document": {}}, "not_solved"),
        ({"document": three_d()}, "needs_yes"),
        ({"tag": "  "}, "no_tag"),
        ({"quantity": 0}, "no_quantity"),
        ({"quantity": 1000}, "too_many_copies"),
        ({"title": "x" * 81}, "text_too_long"),
        ({"note": "a\0b"}, "text_unreadable"),
        ({"document": stub(tag="\ud800")}, "text_unreadable"),
        ({"rush": True, "rush_reason": "inspector"}, "rush_without_hour"),
    ],
)
def test_a_run_is_refused_by_code_and_nothing_is_kept(world, more, code):
    with refused(code):
        send(world, world.draft("S-01"), world.draft(**more))
    assert not Request.objects.exists() and not Run.objects.exists()


def test_problems_come_with_the_refusal(world):
    with refused("not_solved") as refusal:
        send(world, world.draft(document=stub(up="")))
    assert refusal.value.limits["problems"][0]["at"] == "path[0].leg"


def test_a_rush_needs_a_reason(world):
    with refused("rush_without_reason"):
        send(world, world.draft(rush=True, needed_at=world.job.opened_at))


def test_a_run_in_three_dimensions_goes_with_its_yes(world):
    assert world.ask(document=three_d(), three_d_yes=True).three_d


def test_a_place_of_another_job_is_refused(world):
    with refused("wrong_job"):
        send(world, world.draft(place=world.rack))
    with refused("wrong_job"):
        send(world, world.draft(drop=world.rack))


def test_a_retired_place_is_refused(world):
    world.room.retired_at = world.job.opened_at
    with refused("place_retired"):
        send(world, world.draft())


def test_a_tag_is_one_run_of_a_job(world):
    world.ask("S-04")
    with refused("tag_taken"):
        send(world, world.draft(" S-04 "))
    with refused("tag_taken"):
        send(world, world.draft("S-05"), world.draft("S-05"))


@pytest.mark.parametrize("nonce", ["", "x" * 65, "a\0"])
def test_a_request_needs_a_nonce(world, nonce):
    with refused("bad_nonce"):
        send(world, world.draft(), nonce=nonce)


def test_a_request_needs_a_run_and_an_open_job(world):
    with refused("no_runs"):
        send(world)
    late_day(world)
    with refused("job_closed"):
        send(world, world.draft())


# Drafts


def keep(world, revision=None, **more):
    draft = world.draft(**more)
    return services.draft_save(run_draft=draft, job=world.job, actor=world.foreman, revision=revision)


def test_a_draft_is_kept_with_its_faults(world):
    kept = keep(world, document=stub(up=""), rush=True)
    assert (kept.state, kept.layout, kept.sent_at) == (Paper.DRAFT, None, None)
    assert kept.problems[0]["at"] == "path[0].leg" and history(kept) == [("revision.draft", "S-04", "A")]


def test_a_draft_is_written_over_and_may_move(world):
    first = keep(world, document=stub(up=""))
    again = keep(world, first, tag="S-07", place=world.other_room, quantity=3)
    assert (again.pk, again.quantity, again.problems) == (first.pk, 3, [])
    assert (Run.objects.get().tag, Run.objects.get().place) == ("S-07", world.other_room)


def test_a_draft_may_not_take_a_tag_that_is_there(world):
    world.ask("S-04")
    with refused("tag_taken"):
        keep(world)
    other = keep(world, tag="S-05")
    with refused("tag_taken"):
        keep(world, other, tag="S-04")


def test_a_draft_is_sent_once_a_nonce(world):
    kept = keep(world)
    sent = services.revision_send(revision=kept, actor=world.foreman, nonce="n-1")
    assert services.revision_send(revision=kept, actor=world.foreman, nonce="n-1") == sent
    assert sent.state == Paper.SENT and history(sent)[-1] == ("revision.send", "S-04", "A")
    with refused("not_draft"):
        services.revision_send(revision=kept, actor=world.foreman, nonce="n-2")


def test_a_draft_with_faults_is_not_sent(world):
    kept = keep(world, document=stub(up=""))
    with refused("not_solved"):
        services.revision_send(revision=kept, actor=world.foreman, nonce="n-1")
    assert Revision.objects.get().state == Paper.DRAFT


def test_one_nonce_does_not_send_two_drafts(world):
    one, two = keep(world, tag="S-04"), keep(world, tag="S-05")
    services.revision_send(revision=one, actor=world.foreman, nonce="n-1")
    with refused("nonce_taken"):
        services.revision_send(revision=two, actor=world.foreman, nonce="n-1")


def test_a_page_open_on_a_draft_does_not_write_over_what_was_sent(world):
    kept = keep(world)
    services.revision_send(revision=kept, actor=world.foreman, nonce="n-1")
    with refused("not_draft"):
        keep(world, kept)


def test_a_draft_can_be_thrown_away_with_its_run(world):
    services.draft_drop(revision=keep(world), actor=world.foreman)
    assert not Run.objects.exists() and not Request.objects.exists()
    assert History.objects.filter(action="revision.drop").count() == 1


def test_what_was_sent_is_not_thrown_away(world):
    with refused("not_draft"):
        services.draft_drop(revision=world.ask(), actor=world.foreman)


# Revisions


def revise(world, run, **more):
    given = {name: more.pop(name) for name in ("nonce", "actor") if name in more}
    return services.run_revise(run=run, draft=world.draft(**more), **{"actor": world.foreman, **given})


def test_b_takes_the_place_of_a(world):
    a = world.ask()
    b = revise(world, a.run, document=stub("20"))
    a.refresh_from_db()
    assert (b.letter, b.state, a.state, a.resumes) == ("B", Paper.SENT, Paper.CHANGED, Paper.SENT)
    assert Run.objects.get().present == b and history(b) == [("revision.send", "S-04", "B")]


def test_b_sent_twice_is_one_b(world):
    run = world.ask().run
    assert revise(world, run, nonce="n-9") == revise(world, run, nonce="n-9")
    assert run.revisions.count() == 2


def test_a_draft_of_b_leaves_a_as_it_is_until_it_is_sent(world):
    a = world.ask()
    b = keep(world, a, document=stub("20"))
    a.refresh_from_db()
    assert (a.state, b.state, b.letter, Run.objects.get().present) == (Paper.SENT, Paper.DRAFT, "B", a)
    services.revision_send(revision=b, actor=world.foreman, nonce="n-9")
    assert Run.objects.get().present == b


def test_a_draft_of_b_thrown_away_leaves_the_run(world):
    a = world.ask()
    services.draft_drop(revision=keep(world, a), actor=world.foreman)
    assert Run.objects.get().present == a


def test_revising_takes_over_the_draft_of_b(world):
    a = world.ask()
    kept = keep(world, a)
    assert revise(world, a.run, document=stub("20")).pk == kept.pk


def test_a_run_keeps_its_tag(world):
    run = world.ask().run
    with refused("tag_fixed"):
        revise(world, run, tag="S-99")


def test_a_run_moves_until_it_is_released(world):
    run = world.ask().run
    revise(world, run, place=world.other_room)
    run.refresh_from_db()
    assert run.place == world.other_room
    run.released_at = world.job.opened_at
    run.save()
    with refused("place_fixed"):
        revise(world, run, place=world.room)


def test_a_run_that_is_a_draft_has_no_next_revision(world):
    with refused("not_sent"):
        revise(world, keep(world).run)


def test_a_faulty_b_changes_nothing(world):
    a = world.ask()
    with refused("not_solved"):
        revise(world, a.run, document=stub(up=""))
    a.refresh_from_db()
    assert a.state == Paper.SENT


def test_letters_go_on_after_z(world):
    assert [Revision(number=n).letter for n in (1, 26, 27, 52, 53, 703)] == ["A", "Z", "AA", "AZ", "BA", "AAA"]
