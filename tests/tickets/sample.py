"""Releases, pieces and places that were never stored, so that paper can be composed and drawn without a database."""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bending.layout import layout
from shop.jobs.models import Job, Place
from shop.requests.models import Bender, Profile, Revision, Run
from shop.work.models import Piece, Release

AT = datetime(2026, 11, 24, 12, 20, tzinfo=UTC)
PROFILES = {
    ("EMT", "1/2"): {"take_up": 5, "gain": "2 5/8"},
    ("EMT", "3/4"): {"take_up": 6, "gain": "3 1/4"},
    ("EMT", "1"): {"take_up": 8, "gain": 4},
    ("EMT", "1-1/4"): {"take_up": 11, "gain": "5 5/8"},
    ("RMC", "3/4"): {"take_up": 8, "gain": "3 7/8"},
}
DEMO = Path(__file__).parents[2] / "fixtures" / "demo.json"
CODE = "QK7RMD3HXD"


def demo_run(tag: str) -> dict[str, Any]:
    """A run of the demo scenario by its tag."""
    return next(run for run in json.loads(DEMO.read_text())["runs"] if run["tag"] == tag)


def release(run: dict[str, Any], **changes: Any) -> Release:
    """A release of a demo run; `changes` are the revision's fields."""
    document = run["document"]
    shoe = PROFILES[document["raceway"], document["size"]]
    solved = layout({**document, "bender": shoe})
    job = Job(name=run["job"], time_zone="America/Chicago")
    place = Place(job=job, name="x", full_name=f"{run['job']}, {run['place'].replace('/', ', ')}")
    drop = Place(job=job, name="x", full_name=f"{run['job']}, {run['drop'].replace('/', ', ')}")
    profile = Profile(
        bender=Bender(name="Hand shoe 2", kind="hand"), raceway=document["raceway"], size=document["size"], version=1,
        data=shoe, tested_at=AT,
    )  # fmt: skip
    asked = {"title": run["title"], "quantity": run["quantity"], "needed_at": AT, "drop": drop, "number": 1, **changes}
    revision = Revision(run=Run(job=job, place=place, tag=run["tag"]), document=document, **asked)
    return Release(
        revision=revision, number=1, profile=profile, document=document, layout=solved, code=CODE, released_at=AT
    )


def piece(of: Release, **changes: Any) -> Piece:
    """A piece of a release."""
    known = {"copy": 1, "part": 1, "code": CODE, "box": "", **changes}
    return Piece(run=of.revision.run, release=of, revision=of.revision, **known)


def run_of(document: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A run such as the demo has, from a run document alone."""
    known = {"tag": document["tag"], "job": "Tern Hall", "place": "L1/Corridor C/North wall", "drop": "L1/Gate side"}
    return {"title": "Box to box", "quantity": 1, "document": document, **known, **more}
