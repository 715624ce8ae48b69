"""What is refused, by the record and the frozen facts alone. The codes are stable; wording isn't tested."""

from dataclasses import replace

import pytest

from shop.work.derive import Record, derive, problems
from shop.work.derive.scenario import read
from shop.work.derive.vocabulary import VERBS
from tests.work.derive.floor import FACTS, said
from tests.work.derive.test_scenarios import FILE


def codes(record: Record) -> list[str]:
    return [problem.code for problem in problems(record, FACTS)]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("06:00 hand-1 fly S.1", "unknown_verb"),
        ("06:00 viewer-1 in S.1", "role_not_allowed"),
        ("06:00 hand-1 decide S.1 decision=use rev=B", "role_not_allowed"),
        ("06:00 installer-1 remake S.1 child=S.1.R1 old=maybe", "role_not_allowed"),
        ("06:00 hand-1 in", "one_subject"),
        ("06:00 hand-1 in B7", "wrong_subject"),
        ("06:00 hand-1 cut X.9", "unknown_piece"),
        ("06:00 hand-1 seen S.1 @nowhere", "unknown_place"),
        ("06:00 hand-1 seen S.1", "missing_place"),
        ("06:00 hand-1 load S.1 load=999", "unknown_load"),
        ("06:00 hand-1 load S.1", "missing_field"),
        ("06:00 hand-1 pack S.1 into=B99", "unknown_box"),
        ("06:00 hand-1 pack B7 into=B8", "bad_value"),
        ("06:00 hand-1 check S.1 result=maybe", "bad_value"),
        ("06:00 hand-1 cut S.1 load=118", "unknown_field"),
        ("06:00 hand-1 receive B7 @shop count=x", "bad_value"),
        ("06:00 lead-1 decide K.A.1 decision=rework rev=B", "missing_field"),
        ("06:00 lead-1 supersede K-07 rev=2", "unknown_rev"),
        ("06:00 lead-1 unhold S.1", "missing_names"),
        ("06:00 lead-1 annul", "missing_names"),
    ],
)
def test_refused(line: str, code: str) -> None:
    assert codes(said(line)) == [code]


def test_two_subjects_are_refused() -> None:
    assert codes(replace(said("06:00 hand-1 seen S.1 @shop"), box="B7")) == ["one_subject"]


def test_nothing_of_the_contract_is_refused() -> None:
    for scenario in read(FILE):
        assert [
            problems(record, scenario.facts) for record in scenario.records if problems(record, scenario.facts)
        ] == []


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_a_rule(verb: str) -> None:
    """A verb in the vocabulary that no rule reads would be believed and do nothing."""
    values = {
        "into": "B7",
        "load": "118",
        "result": "pass",
        "how": "finish",
        "for": "again",
        "kind": "lost",
        "rev": "B",
    }
    values |= {"other": "S.2", "child": "S.1.R1", "old": "maybe", "decision": "use", "account": "in"}
    for subject in sorted(VERBS[verb].about):
        key = {"piece": "S.1", "box": "B7", "run": "S-04", "batch": "b1", "record": "x"}[subject]
        role = max(VERBS[verb].who, key=lambda role: (role == "lead", role))
        record = replace(said(f"06:00 {role}-1 {verb} @shop ^x"), **{subject: key})
        fields = {name: values[name] for name in VERBS[verb].needs} | ({"into": "C4"} if verb == "pack" else {})
        assert derive([replace(record, fields=fields)], FACTS).replies["r1"] == ("ok",)
