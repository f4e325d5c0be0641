"""What works where nothing but the program itself is installed: the check of single listings and markings.

As after `pip install --no-deps`: every library that is not Python's own is refused while the command runs.
`.ci/run` does the same with the built wheel in an environment of its own.
"""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.shell.running import environment

REFUSE = """
import sys

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] not in {*sys.stdlib_module_names, "auditor", *ALSO}:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, Refuse())
"""
COMMAND = "from auditor.shell.cli import main; sys.exit(main(WORDS))"


def run(code: str, also: tuple[str, ...] = ()) -> subprocess.CompletedProcess[str]:
    text = REFUSE.replace("ALSO", repr(also)) + code
    return subprocess.run([sys.executable, "-c", text], env=environment(), capture_output=True, text=True)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["decode", "LT245/75R16 120/116S"], 0, "load index 120"),
        (["decode", "--json", "225/65R17 102H"], 0, '"load_single_kg": 850'),
        (["listing", "--set", "marking=225/65R17 102H", "--set", "max_load_kg=950"], 1, "load-overstated"),
        (["listing", "--set", "marking=225/65R17 102H", "--set", "title=Carries 950 kg."], 1, "load-overstated"),
        (["substitute", "225/65R17 102H", "225/65R17 103V"], 0, "the same as or higher"),
        (["book"], 0, "load-overstated"),
        (["schema", "verdict"], 0, '"Verdict on one listing'),
        (["--version"], 0, "auditor "),
    ],
)
def test_the_command_works(words: list[str], code: int, said: str) -> None:
    ended = run(COMMAND.replace("WORDS", repr(words)))
    assert (ended.returncode, ended.stderr) == (code, "")
    assert said in ended.stdout


def test_the_calls_work_many_listings_one_by_one() -> None:
    code = (
        "import auditor\n"
        "one = {'marking': '225/65R17 102H', 'max_load_kg': 950}\n"
        "print(auditor.audit_listing(one).verdict, {found.verdict for found in auditor.audit_listings([one] * 200)})"
    )
    ended = run(code)
    assert (ended.stdout, ended.stderr) == ("hold {'hold'}\n", "")


@pytest.mark.parametrize("words", [["book", "load-overstated"], ["schema", "listing"]])
def test_the_rule_book_is_explained_with_jsonschema_alone(words: list[str]) -> None:
    schema = ("jsonschema", "jsonschema_specifications", "referencing", "rpds", "attr", "attrs", "typing_extensions")
    ended = run(COMMAND.replace("WORDS", repr(words)), schema)
    assert (ended.returncode, ended.stderr) == (0, "")


@pytest.mark.parametrize("words", [["audit", "x.csv", "--out", "y"], ["show", "x"], ["map", "x.csv"]])
def test_what_needs_more_says_so_in_one_sentence(words: list[str]) -> None:
    ended = run(COMMAND.replace("WORDS", repr(words)))
    assert ended.returncode == 2
    assert ended.stderr.startswith("auditor: this needs ")
    assert ended.stderr.endswith(", which is not installed: pip install tire-listing-auditor.\n")
