"""Pages of asking: what was typed stays, what is wrong stands at its field, and what is sent is sent once."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.jobs import services as jobs
from shop.jobs.models import Place
from shop.requests import services
from shop.requests.forms import AskForm, seal, unseal
from shop.requests.models import Paper, Request, Revision, Run
from shop.requests.rows import ROWS
from shop.requests.shapes import SHAPES
from tests.requests.world import stub, three_d

ASK, LIVE, EDIT, KEEP, ROOM = (reverse(f"run-ask{one}") for one in ("", "-live", "-edit", "-keep", "-room"))


@pytest.fixture
def foreman(world, client):
    client.force_login(world.foreman)
    return client


@pytest.fixture
def lead(world, client):
    client.force_login(world.lead)
    return client


def typed(world: Any, **more: str) -> dict[str, str]:
    """A stub as a foreman types it."""
    rows = {
        "r0": {"row": "start", "to": "finished floor", "allowance": "0"},
        "r1": {"row": "leg", "leg": "19½"},
        "r2": {"row": "corner", "corner": "90", "turn": "out"},
        "r3": {"row": "leg", "leg": "5' 6\""},
        "r4": {"row": "end", "to": "coupling stop", "allowance": "0"},
    }
    head = {"job": str(world.job.pk), "place": str(world.room.pk), "tag": "S-04", "quantity": "8", "nonce": "n-1"}
    fields = {f"{row}-{name}": text for row, texts in rows.items() for name, text in texts.items()}
    return {**head, "conduit": "EMT|3/4", **fields, **{name.replace("_", "-", 1): text for name, text in more.items()}}


def put(data: dict[str, str], **head: str) -> dict[str, str]:
    return data | head


def kicked(world: Any, rise: str = "3", angle: str = "60") -> dict[str, str]:
    """The stub with a kick before its 90: it leaves one plane."""
    data = {
        name.replace("r2", "r9").replace("r3", "r4x").replace("r4-", "r5-"): text for name, text in typed(world).items()
    }
    data = {name.replace("r9", "r3").replace("r4x", "r4"): text for name, text in data.items()}
    return data | {"r2-row": "kick", "r2-at": "end", "r2-rise": rise, "r2-angle": angle, "r2-turn": "left"}


def page_form(answer: Any) -> AskForm:
    form: AskForm = answer.context["form"]
    return form


# Starting


def test_the_first_page_offers_every_picture_for_the_persons_job(foreman, world):
    page = foreman.get(ASK).content.decode()
    assert all(f"job={world.job.pk}&amp;shape={shape.key}" in page for shape in SHAPES)


@pytest.mark.parametrize("shape", [*(shape.key for shape in SHAPES), "unknown", ""])
def test_every_picture_opens_the_builder(foreman, shape):
    assert foreman.get(ASK, {"shape": shape}).status_code == 200


def test_a_new_form_scolds_about_nothing(foreman):
    assert 'class="error' not in foreman.get(ASK, {"shape": "stub"}).content.decode()


def test_the_tag_counts_up_from_the_last_one_past_those_taken(foreman, world):
    world.ask("S-05")
    world.ask("S-04")
    assert page_form(foreman.get(ASK, {"shape": "stub"}))["tag"].value() == "S-06"


def test_place_and_conduit_start_as_they_were_last(foreman, world):
    world.ask()
    form = page_form(foreman.get(ASK, {"shape": "stub"}))
    assert (form["place"].value(), form["conduit"].value()) == (world.room.pk, "EMT|3/4")


def test_the_same_again_has_the_shape_and_the_next_tag(foreman, world):
    run = world.ask("S-04", quantity=8).run
    form = page_form(foreman.get(reverse("run-ask-like", args=[run.pk])))
    assert (form.document["path"], form["tag"].value(), form["quantity"].value()) == (
        form.document["path"],
        "S-05",
        1,
    )
    assert [row["leg"] for row in form.rows if row.kind == "leg"] == ["19 1/2", "5' 6\""]


# Sending


def test_a_filled_form_sends_the_run_as_typed(foreman, world):
    answer = foreman.post(ASK, typed(world))
    sent = Run.objects.get(tag="S-04").present
    assert answer.url == reverse("run", args=[sent.run.pk])
    assert (sent.state, sent.quantity, sent.raceway, sent.size) == (Paper.SENT, 8, "EMT", "3/4")
    assert [step.get("leg") for step in sent.document["path"][::2]] == ["19½", "5' 6\""]
    assert sent.document["start"] == {"to": "finished floor", "allowance": "0"}


def test_a_double_send_is_one_request(foreman, world):
    first, second = foreman.post(ASK, typed(world)), foreman.post(ASK, typed(world))
    assert (Request.objects.count(), Revision.objects.count()) == (1, 1)
    assert first.url == second.url


def test_day_and_hour_are_the_jobs_own(foreman, world):
    foreman.post(ASK, put(typed(world), needed_day="2027-03-15", needed_hour="06:30"))
    assert Revision.objects.get().needed_at.isoformat() == "2027-03-15T11:30:00+00:00"


@pytest.mark.parametrize(
    ("head", "field", "code"),
    [
        ({"tag": ""}, "tag", "required"),
        ({"place": ""}, "place", "required"),
        ({"conduit": ""}, "conduit", "required"),
        ({"quantity": "0"}, "quantity", "min_value"),
        ({"quantity": "many"}, "quantity", "invalid"),
        ({"needed_day": "2027-03-15"}, "needed_hour", "hour_missing"),
        ({"needed_hour": "6:30"}, "needed_day", "day_missing"),
        ({"needed_day": "2027-03-14", "needed_hour": "2:30"}, "needed_hour", "hour_skipped"),
        ({"needed_day": "soon", "needed_hour": "6:30"}, "needed_day", "invalid"),
        ({"rush": "on"}, "needed_hour", "rush_without_hour"),
        (
            {"rush": "on", "needed_day": "2027-03-15", "needed_hour": "6:30"},
            "rush_reason",
            "rush_without_reason",
        ),
    ],
)
def test_what_is_wrong_with_the_head_stands_at_its_field_and_nothing_is_sent(foreman, world, head, field, code):
    answer = foreman.post(ASK, put(typed(world), **head))
    assert answer.status_code == 422 and Request.objects.count() == 0
    assert [error.code for error in page_form(answer).errors[field].as_data()] == [code]


def test_a_taken_tag_is_refused_at_the_tag(foreman, world):
    world.ask("S-04")
    answer = foreman.post(ASK, typed(world))
    assert [error.code for error in page_form(answer).errors["tag"].as_data()] == ["tag_taken"]


def test_an_end_without_a_measure_is_not_sent(foreman, world):
    answer = foreman.post(ASK, typed(world, r0_to=""))
    assert answer.status_code == 422 and page_form(answer).missing == ("r0-to",)


@pytest.mark.parametrize(
    ("change", "field", "code"),
    [
        ({"r1_leg": "5-2 1/2"}, "r1-leg", "two_readings"),
        ({"r3_leg": "long"}, "r3-leg", "not_a_length"),
        ({"r2_corner": "200"}, "r2-corner", "angle_too_large"),
        ({"r0_allowance": "x"}, "r0-allowance", "not_a_length"),
        ({"r3_leg": "1"}, "r3-leg", "leg_too_short"),
    ],
)
def test_the_solvers_problem_stands_at_the_field_that_it_is_about(foreman, world, change, field, code):
    answer = foreman.post(ASK, typed(world, **change))
    assert answer.status_code == 422 and Request.objects.count() == 0
    assert [problem["code"] for problem in page_form(answer).wrong[field]] == [code]
    said = f'<div class="said" id="{field}-said"><p class="error">'
    assert said in answer.content.decode()


def test_a_run_that_leaves_one_plane_needs_its_yes(foreman, world):
    answer = foreman.post(ASK, kicked(world, angle="15"))
    assert answer.status_code == 422 and page_form(answer).needs_yes
    yes = page_form(answer).yes_token
    assert foreman.post(ASK, put(kicked(world, angle="15"), yes=yes)).status_code == 302
    assert Revision.objects.get().three_d_yes


def test_a_yes_to_another_sentence_is_no_yes(foreman, world):
    yes = page_form(foreman.post(ASK, kicked(world, angle="15"))).yes_token
    answer = foreman.post(ASK, put(kicked(world, rise="4", angle="15"), yes=yes))
    assert answer.status_code == 422 and page_form(answer).needs_yes


# What was typed stays


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from(
            ["tag", "title", "note", "rush_reason", "cost_code", "quantity", "r1-leg", "r3-leg", "r2-corner"]
        ),
        st.text(
            st.characters(min_codepoint=33, max_codepoint=0x2FF, exclude_characters="\x7f"), min_size=1, max_size=20
        ),
    )
)
@pytest.mark.parametrize("url", [ASK, EDIT, KEEP])
def test_whatever_was_typed_stands_in_the_page_that_comes_back(foreman, world, url, head):
    data = typed(world) | head | {"place": ""}
    form = page_form(foreman.post(url, data))
    rows = {f"r{n}-{name}": text for n, row in enumerate(form.rows) for name, text in row.values.items()}
    shown = {name: rows[name] if name in rows else str(form[name].value()) for name in head}
    assert {name: text.strip() for name, text in shown.items()} == {name: text.strip() for name, text in head.items()}


def test_a_button_that_adds_a_row_keeps_all_that_was_typed(foreman, world):
    form = page_form(foreman.post(EDIT, put(typed(world), do="feature_add:3:offset", note="KO 4")))
    assert [row.kind for row in form.rows] == ["start", "leg", "corner", "leg", "offset", "end"]
    assert (form.rows[1]["leg"], form.rows[5]["to"], form["note"].value()) == ("19½", "coupling stop", "KO 4")


def test_an_unfinished_form_is_not_scolded_by_a_button(foreman, world):
    page = foreman.post(EDIT, put(typed(world, r1_leg=""), do="leg_add:3", tag="", place="")).content.decode()
    assert 'class="error' not in page


def test_what_the_builder_does_not_show_comes_back_only_as_it_went_out():
    sealed = seal({"obstructions": [{"from": "47"}]})
    assert unseal(sealed) == {"obstructions": [{"from": "47"}]}
    assert unseal(sealed[:-1] + "x") == unseal("nonsense") == {}


# What would work


def test_the_keys_that_are_offered_work(foreman, world):
    data = kicked(world, rise="2", angle="60")
    offers = [key for row in foreman.post(LIVE, data).context["rows"] for field in row.fields for key in field.offers]
    assert offers
    for key in offers:
        form = page_form(foreman.post(EDIT, put(data, do=key.action)))
        assert form.solved.layout is not None


def test_both_readings_of_a_length_are_offered(foreman, world):
    rows = foreman.post(LIVE, typed(world, r1_leg="5-2 1/2")).context["rows"]
    assert [key.value for key in rows[1].fields[0].offers] == ["5'-2 1/2\"", "52 1/2"]


def test_the_live_answer_draws_what_does_not_fit_in_red(foreman, world):
    page = foreman.post(LIVE, kicked(world, rise="2", angle="60")).content.decode()
    assert "d-pipe-bad" in page and page.count("<svg") >= 2


def test_the_live_answer_reads_the_run_back(foreman, world):
    answer = foreman.post(LIVE, typed(world))
    assert answer.context["reads"] and answer.context["reads"] in answer.content.decode().replace("&quot;", '"')


def test_the_live_answer_draws_what_has_its_numbers_so_far(foreman, world):
    data = kicked(world, rise="")
    answer = foreman.post(LIVE, data)
    assert answer.context["drawn_in_part"] and len(answer.context["views"]) == 2


def test_a_pipe_of_no_length_has_no_picture_and_breaks_nothing(foreman, world):
    ends = {"r0-row": "start", "r1-row": "leg", "r1-leg": "6", "r2-row": "end", "r2-allowance": "6"}
    head = {name: text for name, text in typed(world).items() if not name.startswith("r")}
    answer = foreman.post(LIVE, head | ends)
    assert answer.status_code == 200 and answer.context["views"] == ()


def test_the_send_key_says_what_is_missing(foreman, world):
    keys = [
        foreman.post(LIVE, data).context["key"]
        for data in (
            typed(world),
            typed(world, r1_leg="", r3_leg=""),
            typed(world, r1_leg="long"),
            kicked(world, angle="15"),
        )
    ]
    assert keys == ["Send", "Fill 2, then send", "Fix 1, then send", "Say yes, then send"]


@pytest.mark.parametrize(
    ("head", "key"),
    [
        ({"tag": ""}, "Fill 1, then send"),
        ({"quantity": ""}, "Fill 1, then send"),
        ({"quantity": "0"}, "Fix 1, then send"),
        ({"needed_day": "2027-03-15"}, "Fill 1, then send"),
        ({"needed_hour": "6:30"}, "Fill 1, then send"),
        ({"needed_day": "soon", "needed_hour": "6:30"}, "Fix 1, then send"),
        ({"rush": "on"}, "Fill 3, then send"),
        ({"rush": "on", "needed_day": "2027-03-15", "needed_hour": "6:30"}, "Fill 1, then send"),
        ({"tag": "", "place": "", "conduit": "", "quantity": ""}, "Fill 4, then send"),
    ],
)
def test_the_send_key_counts_the_head_before_anything_was_posted(foreman, world, head, key):
    assert foreman.post(LIVE, put(typed(world), **head)).context["key"] == key


# Any form at all

NAMES = st.sampled_from(
    [f"r{n}-{name}" for n in range(9) for name in {"row", "kept", *(e.name for k in ROWS.values() for e in k.entries)}]
    + [
        "tag",
        "job",
        "place",
        "conduit",
        "quantity",
        "needed_day",
        "needed_hour",
        "drop",
        "nonce",
        "kept",
        "yes",
        "do",
        "run",
    ]
)
VALUES = (
    st.sampled_from(
        [*ROWS, "start", "end", "out", "left", "90", "45", "62 1/2", "-5", "1e999", "9" * 40, "EMT|3/4", "RMC|3/4"]
    )
    | st.sampled_from(["leg_add:1", "take:2", "feature_add:1:kick", "put:r1-leg:5", "put:r99-x:y", "1", "on", "\x00"])
    | st.text(max_size=20)
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(NAMES, VALUES, max_size=40), st.sampled_from([LIVE, EDIT]))
def test_no_form_at_all_breaks_the_builder(foreman, world, data, url):
    data.pop("run", None)
    answer = foreman.post(url, data)
    assert answer.status_code == 200
    assert all({"at", "code", "text"} <= set(problem) for problem in page_form(answer).solved.problems)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(NAMES, VALUES, max_size=10), st.sampled_from([ASK, KEEP, ROOM]))
def test_a_good_form_with_anything_in_it_is_taken_or_told_what_is_wrong(foreman, world, spoilt, url):
    assert foreman.post(url, typed(world) | spoilt).status_code in {200, 302, 404, 422}


# Drafts


def test_a_draft_is_kept_with_its_holes_and_its_faults(foreman, world):
    answer = foreman.post(KEEP, typed(world, r1_leg="5-2 1/2", r3_leg="", r0_to=""))
    kept = Revision.objects.get()
    assert answer.url == reverse("run-change", args=[kept.run_id])
    form = page_form(foreman.get(answer.url))
    assert (kept.state, form.rows[1]["leg"], form.rows[3]["leg"]) == (Paper.DRAFT, "5-2 1/2", "")


def test_a_draft_goes_on_over_itself_and_is_sent_once(foreman, world):
    foreman.post(KEEP, typed(world, r1_leg=""))
    run = Run.objects.get()
    data = put(typed(world), run=str(run.pk), tag="S-09")
    assert foreman.post(KEEP, data).status_code == 302
    assert foreman.post(ASK, data).status_code == 302
    assert (Revision.objects.get().state, Run.objects.get().tag) == (Paper.SENT, "S-09")


def test_a_draft_is_thrown_away_with_its_run(foreman, world):
    foreman.post(KEEP, typed(world))
    foreman.post(reverse("revision-withdraw", args=[Revision.objects.get().pk]))
    assert Run.objects.count() == 0


# Changing


def test_a_change_starts_from_what_was_sent_and_is_sent_as_b(foreman, world):
    run = world.ask(document=stub() | {"tape": "1/32"}).run
    form = page_form(foreman.get(reverse("run-change", args=[run.pk])))
    sealed = str(form["kept"].value())
    data = put(typed(world, r1_leg="20½"), run=str(run.pk), kept=sealed, nonce=str(form["nonce"].value()))
    assert foreman.post(ASK, data).status_code == foreman.post(ASK, data).status_code == 302
    letters = [(one.letter, one.state) for one in run.revisions.order_by("number")]
    assert letters == [("A", Paper.CHANGED), ("B", Paper.SENT)]
    assert run.revisions.get(number=2).document["tape"] == "1/32"


def test_what_b_changed_stands_boxed_beside_what_it_was(foreman, world):
    first = foreman.post(ASK, typed(world))
    foreman.post(ASK, put(typed(world, r1_leg="20 1/2"), run=str(Run.objects.get().pk), nonce="n-2"))
    page = foreman.get(first.url)
    assert [(change.old, change.new) for change in page.context["changes"]] == [("19½", "20 1/2")]
    assert "<del>" in page.content.decode() and "<ins>" in page.content.decode()


def test_the_tag_of_a_run_that_was_sent_stays(foreman, world):
    run = world.ask().run
    foreman.post(ASK, put(typed(world), run=str(run.pk), tag="X-1", nonce="n-2"))
    assert Run.objects.get().tag == "S-04" and run.revisions.count() == 2


def test_a_withdrawn_run_says_so(foreman, world):
    revision = world.ask()
    foreman.post(reverse("revision-withdraw", args=[revision.pk]), {"reason": "beam moved"})
    revision.refresh_from_db()
    assert revision.state == Paper.CANCELLED


# Questions


@pytest.fixture
def question(world):
    revision = world.ask()
    return services.question_ask(
        revision=revision, at="path[0].leg", text="To the beam?", choices=["yes", "no"], actor=world.lead
    )


def test_a_question_stands_red_on_the_run_with_its_answers(foreman, question):
    page = foreman.get(reverse("run", args=[question.revision.run_id]))
    assert [asked.text for asked, _ in page.context["asked"]] == ["To the beam?"]
    assert page.context["lit"] == ["path[0].leg"] and page.content.decode().count('name="choice"') == 2


@pytest.mark.parametrize(("said", "kept"), [({"choice": "yes"}, "yes"), ({"choice": "yes", "words": "46"}, "46")])
def test_an_answer_is_a_tap_or_his_own_words(foreman, question, said, kept):
    foreman.post(reverse("question-answer", args=[question.pk]), said)
    question.refresh_from_db()
    assert (question.answer, question.revision.state) == (kept, Paper.SENT)


def test_no_answer_is_told_at_the_question(foreman, question):
    answer = foreman.post(reverse("question-answer", args=[question.pk]), {"words": " "})
    [(_, form)] = answer.context["asked"]
    assert answer.status_code == 422 and form.errors["words"].as_data()[0].code == "no_answer"


def test_a_second_answer_changes_nothing(foreman, question):
    for said in ("yes", "no"):
        foreman.post(reverse("question-answer", args=[question.pk]), {"choice": said})
    question.refresh_from_db()
    assert question.answer == "yes"


def test_the_rail_counts_what_waits_for_the_foreman_and_not_for_the_lead(world, client, question):
    counts = []
    for person in (world.foreman, world.lead):
        client.force_login(person)
        page = client.get(reverse("my-runs"))
        counts.append("waiting" in page.content.decode().partition("</nav>")[0])
    assert counts == [True, False]


# Rooms


def test_a_room_is_made_in_the_place_that_is_picked_and_picked_itself(foreman, world):
    level = world.room.parent
    form = page_form(foreman.post(ROOM, put(typed(world), place=str(level.pk), room="Room 230")))
    made = Place.objects.get(name="Room 230")
    assert (made.parent, form["place"].value(), form.rows[1]["leg"]) == (level, str(made.pk), "19½")


def test_a_room_that_is_there_already_is_refused_at_the_room(foreman, world):
    answer = foreman.post(ROOM, put(typed(world), place=str(world.room.parent_id), room="Room 214"))
    assert page_form(answer).errors["room"].as_data()[0].code == "place_taken"


# The list


def test_what_needs_an_answer_stands_first_then_what_is_not_sent(foreman, world, question):
    foreman.post(KEEP, put(typed(world), tag="S-90"))
    world.ask("S-91")
    rows = foreman.get(reverse("my-runs")).context["table"].data
    assert [row.run.tag for row in rows] == ["S-04", "S-90", "S-91"]


def test_a_run_with_a_draft_of_its_change_stands_with_both(foreman, world):
    run = world.ask().run
    foreman.post(KEEP, put(typed(world), run=str(run.pk)))
    rows = foreman.get(reverse("my-runs")).context["table"].data
    assert [(row.letter, row.state) for row in rows] == [("B", Paper.DRAFT), ("A", Paper.SENT)]


@pytest.mark.parametrize(
    ("filters", "tags"),
    [
        ({"text": "s-0"}, ["S-04"]),
        ({"text": "room 216"}, ["T-1"]),
        ({"state": "sent"}, ["T-1", "S-04"]),
        ({"state": "draft"}, []),
        ({"job": "9" * 30}, []),
        ({"place": "nowhere"}, []),
    ],
)
def test_the_list_is_narrowed(foreman, world, filters, tags):
    world.ask("S-04")
    world.ask("T-1", place=world.other_room)
    page = foreman.get(reverse("my-runs"), filters)
    found = [row.run.tag for row in page.context["table"].data]
    assert found == tags or (page.context["filter"].errors and page.status_code == 200)


def test_a_place_shows_all_that_lies_in_it(foreman, world):
    world.ask("S-04")
    world.ask("T-1", place=world.other_room)
    found = foreman.get(reverse("my-runs"), {"place": world.room.parent_id}).context["table"].data
    assert {row.run.tag for row in found} == {"S-04", "T-1"}


def test_the_list_costs_the_same_number_of_queries_at_any_length(foreman, world):
    counts = []
    for more in (2, 6):
        for number in range(more):
            world.ask(f"Q-{more}{number}")
        with CaptureQueriesContext(
            connection,
        ) as found:
            foreman.get(reverse("my-runs"))
        counts.append(len(found))
    assert counts[0] == counts[1] <= 12


# Who may


@pytest.mark.parametrize("role", ["installer", "hand", "driver", "office"])
def test_who_may_not_ask_is_refused_by_every_page_of_asking(world, client, role):
    revision = world.ask()
    client.force_login(getattr(world, role))
    pages = [ASK, reverse("run-change", args=[revision.run_id]), reverse("run-ask-like", args=[revision.run_id])]
    assert {client.get(page).status_code for page in pages} == {403}
    assert {client.post(page, typed(world)).status_code for page in (ASK, LIVE, EDIT, KEEP, ROOM)} == {403}
    assert client.get(reverse("run", args=[revision.run_id])).status_code == 200


def test_a_foreman_of_another_job_sees_no_run_of_this_one(world, client):
    revision = world.ask()
    stranger = jobs.person_add(username="other", title="Foreman, north", role="foreman", password=None, actor=None)
    client.force_login(stranger)
    assert client.get(reverse("run", args=[revision.run_id])).status_code == 404
    assert client.post(ASK, put(typed(world), run=str(revision.run_id))).status_code == 404
    assert list(client.get(reverse("my-runs")).context["table"].data) == []


def test_the_shop_reads_a_run_and_cannot_answer_for_the_foreman(lead, question):
    page = lead.get(reverse("run", args=[question.revision.run_id])).content.decode()
    assert "To the beam?" in page and 'name="choice"' not in page
    assert lead.post(reverse("question-answer", args=[question.pk]), {"choice": "yes"}).status_code == 403


def test_every_run_page_can_be_shown_whatever_its_document(foreman, world):
    for tag, document in (
        ("A", three_d()),
        ("B", stub(bender=None)),
        ("C", {"path": 5}),
        ("D", {"path": [{"leg": 3}, 7]}),
    ):
        draft = world.draft(tag, document=document)
        revision = services.draft_save(run_draft=draft, job=world.job, actor=world.foreman)
        for name in ("run", "run-change", "run-ask-like"):
            assert foreman.get(reverse(name, args=[revision.run_id])).status_code == 200


def test_a_yes_stays_while_the_read_back_does_and_is_not_inherited_by_the_next_run(foreman, world):
    run = world.ask(document=three_d(), three_d_yes=True).run
    forms = [page_form(foreman.get(reverse(name, args=[run.pk]))) for name in ("run-change", "run-ask-like")]
    assert [form.said_yes for form in forms] == [True, False]


def test_what_an_end_is_measured_to_and_which_one_it_is_are_carried_together(foreman, world):
    foreman.post(ASK, typed(world, r0_to="box face", r0_name="box C-3, KO 4"))
    run = Run.objects.get()
    assert run.present.document["start"]["to"] == "box face, box C-3, KO 4"
    row = page_form(foreman.get(reverse("run-change", args=[run.pk]))).rows[0]
    assert (row["to"], row["name"]) == ("box face", "box C-3, KO 4")
