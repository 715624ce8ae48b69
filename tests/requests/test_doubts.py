"""Lengths that are hardly meant are asked about, once each, before a run is sent."""

import pytest
from django.urls import reverse

from shop.requests.doubts import doubts
from shop.requests.models import Request, Revision
from shop.requests.rows import Row
from tests.requests.test_ask_views import ASK, KEEP, LIVE, page_form, put, typed

LEG = "sure-leg-625.0000"


@pytest.fixture
def foreman(world, client):
    client.force_login(world.foreman)
    return client


def asked(*rows):
    return [(doubt.field, doubt.inches) for doubt in doubts(rows, lambda yes: False)]


@pytest.mark.parametrize(
    ("kind", "entry", "likely", "doubted"),
    # Common practice, no source.
    [
        ("leg", "leg", "40'", "625"),
        ("offset", "rise", "48", "214"),
        ("kick", "rise", "-48", "-50"),
        ("rolled", "side", "4'", "4' 1/2\""),
        ("box_offset", "tail", "36", "37"),
        ("start", "allowance", "6", "18"),
        ("end", "allowance", "-1/2", "-12"),
    ],
)
def test_beyond_its_limit_a_length_is_asked_about(kind, entry, likely, doubted):
    assert asked(Row(kind, {entry: likely})) == []
    assert [field for field, _ in asked(Row(kind, {entry: doubted}))] == [f"r0-{entry}"]


def test_metres_for_inches_are_asked_about_as_inches():
    assert asked(Row("leg", {"leg": "15875 mm"})) == [("r0-leg", pytest.approx(625))]


def test_what_cannot_be_read_is_the_solvers_to_tell():
    assert asked(Row("leg", {"leg": "5-2 1/2"}), Row("leg", {"leg": ""}), Row("corner", {"corner": "900"})) == []


def test_a_leg_of_625_is_not_sent_before_he_said_that_it_is(foreman, world):
    answer = foreman.post(ASK, typed(world, r3_leg="625"))
    assert answer.status_code == 422 and Request.objects.count() == 0
    assert [doubt.field for doubt in page_form(answer).unsure] == ["r3-leg"]
    assert f'name="{LEG}"' in answer.content.decode()


def test_one_tap_and_it_goes(foreman, world):
    answer = foreman.post(ASK, put(typed(world, r3_leg="625"), **{LEG: "yes"}))
    assert answer.status_code == 302 and Revision.objects.get().document["path"][2]["leg"] == "625"


def test_a_yes_to_one_length_is_none_to_another(foreman, world):
    assert foreman.post(ASK, put(typed(world, r3_leg="652"), **{LEG: "yes"})).status_code == 422


def test_the_send_key_says_how_many_yeses_it_waits_for(foreman, world):
    forms = (typed(world, r3_leg="625"), typed(world, r3_leg="625", r4_allowance="18"))
    keys = [foreman.post(LIVE, data).context["key"] for data in forms]
    assert keys == ["Say yes, then send", "Answer 2, then send"]


def test_a_draft_is_kept_without_being_asked(foreman, world):
    assert foreman.post(KEEP, typed(world, r3_leg="625")).status_code == 302


def test_a_change_of_a_run_that_was_sent_is_not_asked_again_and_a_draft_is(foreman, world):
    foreman.post(ASK, put(typed(world, r3_leg="625"), **{LEG: "yes"}))
    sent = page_form(foreman.get(reverse("run-change", args=[Revision.objects.get().run_id])))
    foreman.post(KEEP, put(typed(world, r3_leg="625"), tag="S-05"))
    kept = page_form(foreman.get(reverse("run-change", args=[Revision.objects.get(run__tag="S-05").run_id])))
    assert ([doubt.said for doubt in sent.doubts], [doubt.said for doubt in kept.doubts]) == ([True], [False])
