"""Straps: where the code wants them, and where one can sit at all."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from bending.layout import layout
from bending.path import Path
from tests.bending.documents import Document, corner, feature, leg, run, runs
from tests.bending.test_fold_is_path import solved

# NFPA 70 (NEC) 2020 358.30(A), as read in EC&M, November 2023: 10 ft apart, 3 ft from a termination.
FROM_END, APART = 36, 120
RIGID = {"raceway": "RMC", "size": "1", "bender": {"radius": 6.5, "arrow_lead": 0}}


def straps(document: Document) -> list[float]:
    return [at for one in layout(document)["materials"] if one["what"] == "strap" for at in one["positions"]]


def found(document: Document) -> dict[str, dict[str, Any]]:
    return {one["code"]: one for one in layout(document)["checks"]}


def test_a_straight_run_is_held_near_both_ends_and_between() -> None:
    """20 ft: 3 ft from each end leaves 14 ft, more than 10: a third strap between."""
    positions = straps(run(leg(240)))
    assert len(positions) == 3
    assert positions[0] <= FROM_END
    assert 240 - positions[-1] <= FROM_END
    assert max(other - one for one, other in pairwise(positions)) <= APART


@pytest.mark.parametrize(("length", "count"), [(40, 1), (72, 1), (73, 2), (192, 2), (193, 3)])
def test_no_more_straps_than_the_code_asks_for(length: float, count: int) -> None:
    """One serves both ends up to 2 x 36; two up to 2 x 36 + 120."""
    assert len(straps(run(leg(length)))) == count


def strapless(path: Path) -> list[tuple[float, float]]:
    return [(bend.begins, bend.ends) for bend in path.bends]


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(runs())
def test_straps_sit_on_straights_and_hold_or_the_rule_says_why(document: Document) -> None:
    path, laid = solved(document)
    positions = [at for one in laid["materials"] if one["what"] == "strap" for at in one["positions"]]
    assert not any(low < at < high for at in positions for low, high in strapless(path))
    codes = {one["code"] for one in laid["checks"]}
    near = bool(positions) and positions[0] <= FROM_END + 1e-3 and path.length - positions[-1] <= FROM_END + 1e-3
    apart = all(other - one <= APART + 1e-3 for one, other in pairwise(positions))
    assert near == ("strap_place" not in codes)
    assert apart == ("strap_spacing" not in codes)
    assert ("straps" in codes) == (near and apart)


def test_where_no_strap_can_sit_near_the_end_a_licensed_person_decides() -> None:
    """A box offset and a saddle after it stand off the wall together for more than 3 ft."""
    box = feature("box_offset", at="start", rise="3/8", angle=5, tail=2)
    saddle = feature("saddle4", **{"from": 19, "to": 50}, rise=6, angle=30)
    missed = found(run(leg(140, box, saddle)))["strap_place"]
    assert missed["level"] == "rule"
    assert "authority having jurisdiction" in missed["words"]


def test_between_straps_a_feature_too_long_to_be_strapped_is_told() -> None:
    long = feature("saddle4", **{"from": 45, "to": 190}, rise=6, angle=30)
    assert found(run(leg(240, long)))["strap_spacing"]["level"] == "rule"


def test_a_conduit_body_is_a_termination() -> None:
    through = straps(run(leg(100), {"fitting": "coupling", "allowance": 0.5}, leg(80)))
    body = straps(run(leg(100), {"fitting": "conduit body", "allowance": 2}, leg(80)))
    assert (len(through), len(body)) == (2, 4)


def test_a_coupling_at_the_end_is_none() -> None:
    """EC&M as above: a coupling is not a termination."""
    assert straps(run(leg(100), start={"to": "coupling stop"}, end={"to": "coupling stop"})) != straps(run(leg(100)))
    assert len(straps(run(leg(100), start={"to": "coupling stop"}))) == 1


def test_a_straight_rigid_run_may_have_them_farther_apart() -> None:
    """NAVEDTRA 14027 table 5-5: 1 in with threaded couplings, 12 ft; 36 + 144 + 36 = 216."""
    assert len(straps(run(leg(216), **RIGID))) == 2
    assert len(straps(run(leg(217), **RIGID))) == 3
    assert len(straps(run(leg(190), corner(30), leg(26), **RIGID))) == 3


def test_a_strap_keeps_off_a_coupling() -> None:
    laid = layout(run(leg(300), stick=120, joint_at=[36]))
    joint = next(one for one in laid["materials"] if one["text"].endswith("coupling"))["positions"][0]
    assert all(abs(at - joint) > 1 for at in straps(run(leg(300), stick=120, joint_at=[36])))


def test_an_edition_that_was_not_read_says_so() -> None:
    assert found(run(leg(60)))["straps"]["source"] == "NFPA 70 (NEC) 2020, 358.30(A)"
    assert "edition not verified" in found(run(leg(60), edition="2023"))["straps"]["source"]
