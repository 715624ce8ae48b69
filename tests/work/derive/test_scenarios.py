"""Every scenario of the contract: in the order given, in any other, with repeats, and kept record by record.

The expected values are the contract's own: tests/work/record-scenarios.json.
"""

import json
import random
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from shop.work.derive import derive
from shop.work.derive.scenario import Scenario, got_of, read
from tests.work.derive.keeper import Keeper

FILE = Path(__file__).parent.parent / "record-scenarios.json"
SCENARIOS = {scenario.name: scenario for scenario in read(FILE)}
EACH = pytest.mark.parametrize("scenario", SCENARIOS.values(), ids=SCENARIOS.keys())


def test_the_contract_has_sixty_five_scenarios() -> None:
    assert len(SCENARIOS) == 65


@EACH
def test_scenario(scenario: Scenario) -> None:
    assert got_of(scenario, derive(scenario.records, scenario.facts)) == scenario.expected


@EACH
def test_scenario_in_any_order_and_with_repeats(scenario: Scenario) -> None:
    for seed in range(5):
        records = list(scenario.records) * 2
        random.Random(seed).shuffle(records)
        assert got_of(scenario, derive(records, scenario.facts)) == scenario.expected


@EACH
def test_scenario_kept_record_by_record(scenario: Scenario) -> None:
    shuffled = random.Random(scenario.name).sample(scenario.records, len(scenario.records))
    for order in (scenario.records, shuffled):
        keeper = Keeper(scenario.facts)
        for number, record in enumerate(order, 1):
            keeper.add(record)
            whole = derive(order[:number], scenario.facts)
            assert (keeper.pieces, keeper.boxes) == (whole.pieces, whole.boxes)


def test_replay_prints_one_line_a_scenario(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("replay", str(FILE))
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert lines == [{"name": name, "got": scenario.expected} for name, scenario in SCENARIOS.items()]


def test_replay_refuses_what_is_no_scenario_file(tmp_path: Path) -> None:
    (tmp_path / "x.json").write_text('{"scenarios": [{}]}')
    with pytest.raises(CommandError):
        call_command("replay", str(tmp_path / "x.json"))
