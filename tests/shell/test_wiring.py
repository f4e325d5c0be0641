"""The wiring examples do what their comments say."""

from __future__ import annotations

import configparser
import json
import re
from pathlib import Path

import pytest

from tests.shell.running import HOUSE, shell

WIRING = HOUSE / "sample_catalogs" / "wiring"
GOOD = {"id": 1, "marking": "225/65R17 102H", "max_load_kg": "850"}
BAD = {"id": 2, "marking": "225/65R17 102H", "max_load_kg": "950"}


@pytest.mark.parametrize(("listing", "code"), [(GOOD, 0), (BAD, 1), ({"max_lod": 1}, 2)])
def test_the_gate_lets_only_right_listings_through(listing: dict[str, object], code: int, tmp_path: Path) -> None:
    (tmp_path / "listing.json").write_text(json.dumps({k: v for k, v in listing.items() if k != "id"}))
    ended = shell(f"sh {WIRING / 'publish_gate.sh'} listing.json", tmp_path)
    assert ended.code == code, ended.err


def test_the_gate_takes_the_worst_of_several(tmp_path: Path) -> None:
    for name, listing in (("good.json", GOOD), ("bad.json", BAD)):
        (tmp_path / name).write_text(json.dumps({k: v for k, v in listing.items() if k != "id"}))
    assert shell(f"sh {WIRING / 'publish_gate.sh'} bad.json good.json", tmp_path).code == 1


def test_the_import_job_leaves_the_released_feed(tmp_path: Path) -> None:
    (tmp_path / "north.csv").write_text("sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n")
    ended = shell(f"sh {WIRING / 'import_job.sh'} north.csv tonight", tmp_path)
    assert (ended.code, ended.out.strip()) == (1, "north.csv"), ended.err
    assert (tmp_path / "tonight" / "released" / "north.csv").read_text() == (
        "sku,marking,max_load_kg\n1,225/65R17 102H,850\n"
    )


def test_the_pipe_names_what_is_held(tmp_path: Path) -> None:
    (tmp_path / "lines").write_text("".join(json.dumps(listing) + "\n" for listing in (GOOD, BAD)))
    ended = shell(f"sh {WIRING / 'held_ids.sh'} < lines", tmp_path)
    assert (ended.code, ended.out.split()) == (0, ["2"]), ended.err


def test_the_service_and_the_crontab_run_the_command_with_options_it_has(tmp_path: Path) -> None:
    service = configparser.ConfigParser(strict=False, interpolation=None)
    service.optionxform = str  # type: ignore[assignment, method-assign]
    service.read(WIRING / "tire-listing-audit.service")
    line = service["Service"]["ExecStart"]
    crontab = (WIRING / "crontab").read_text().splitlines()[-1]
    for text in (line, crontab):
        options = re.findall(r"--[a-z-]+", text.split("2>")[0])
        helped = shell("auditor audit --help", tmp_path).out
        assert options and all(option in helped for option in options)
    assert "1" in service["Service"]["SuccessExitStatus"].split()


def test_the_timer_fires_every_night() -> None:
    timer = (WIRING / "tire-listing-audit.timer").read_text()
    assert "OnCalendar=*-*-* 03:30:00" in timer
    assert "WantedBy=timers.target" in timer
