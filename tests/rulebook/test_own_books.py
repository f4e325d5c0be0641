"""A folder of own rules over the built-in book: what it adds, replaces and drops, and what it is refused for."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import asdict
from pathlib import Path

import pytest

from auditor.errors import RuleBookError
from auditor.outputs.languages import languages, load_wordings
from auditor.programs.books import load_book
from auditor.programs.one_listing import audit_one
from auditor.rulebook.book import RuleBook
from auditor.rulebook.kept import SHIPPED
from auditor.rules_folder import rules_folder
from tests.own_rules import HOUSE, PLAIN, house, shop
from tests.shell.running import HOUSE as CHECKOUT

OVER = {"marking": "225/65R17 102H", "max_load_kg": "950"}
OWN_FIELD = '[[field]]\nname = "shelf_load_kg"\nquantity = "mass"\nunit = "kg"\nsays = "load on the shelf tag"\n'


@pytest.fixture(autouse=True)
def _own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is believed because an earlier test proved it."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("auditor.programs.books._PROVEN", set())


def found(listing: dict[str, str], book: RuleBook) -> dict[str, str]:
    return {finding.rule: finding.field for finding in audit_one(listing, book).findings}


def test_the_sample_house_holds_and_adds_to_the_built_in_rules() -> None:
    book, plain = load_book(HOUSE), load_book()
    assert set(book.own.added) == {rule.id for rule in book.rules} - {rule.id for rule in plain.rules}
    assert book.own.dropped == ("winter-without-snow-mark",)
    assert [rule.id for rule in book.rules if not rule.own] == [
        rule.id for rule in plain.rules if rule.id not in book.own.dropped
    ]
    assert book.rules[-1].own
    assert book.loosened == ()
    assert book.policy_name == "house"


def test_what_a_policy_and_fields_of_the_folder_say_counts() -> None:
    book = load_book(HOUSE)
    assert book.tolerances["shelf_tag"]["kg"] == 5.0
    assert book.own.texts == {"house_class"}
    assert book.own.measured == {
        "carton_weight_kg": ("mass", "kg"),
        "shelf_load_kg": ("mass", "kg"),
        "warranty_months": ("count", None),
    }


def test_the_rules_that_the_readme_shows_hold(tmp_path: Path) -> None:
    section = (
        (CHECKOUT / "README.md").read_text(encoding="utf-8").partition("## Rules of your own")[2].partition("\n## ")[0]
    )
    rules, fields = re.findall(r"```toml\n(.*?)```", section, re.DOTALL)
    book = load_book(shop(tmp_path, rules, listing_fields=fields))
    assert book.own.added == ("house-class-unknown",)
    assert book.own.dropped == ("winter-without-snow-mark",)
    listed = {
        kind for line in re.findall(r"^\| (`.*?) \|", section, re.MULTILINE) for kind in line.strip("`").split("`, `")
    }
    kinds = json.loads((rules_folder() / "schemas" / "rule.json").read_text(encoding="utf-8"))
    known = set(kinds["$defs"]["rule"]["properties"]["kind"]["enum"])
    assert listed == known - {"across", "column"}


def test_a_copy_of_the_whole_book_changes_nothing(tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(rules_folder(), copy, ignore=shutil.ignore_patterns("__pycache__", SHIPPED))
    book, plain = load_book(copy), load_book()
    assert [asdict(rule) for rule in book.rules] == [asdict(rule) for rule in plain.rules]
    assert (book.tolerances, book.hold_from, book.market) == (plain.tolerances, plain.hold_from, plain.market)
    assert book.policy_sha256 == plain.policy_sha256
    assert book.own.files == {} and book.own.fields == set() and book.loosened == ()


def test_a_changed_rule_in_a_copy_is_an_own_one_in_its_place(tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(rules_folder(), copy, ignore=shutil.ignore_patterns("__pycache__", SHIPPED))
    path = copy / "season.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('grade = "minor"', 'grade = "major"'), encoding="utf-8")
    book, plain = load_book(copy), load_book()
    minor = tuple(rule.id for rule in plain.rules if rule.subject == "season" and rule.grade == "minor")
    assert "winter-without-snow-mark" in minor
    assert book.own.replaced == minor
    assert [rule.id for rule in book.rules] == [rule.id for rule in plain.rules]
    assert book.rule("winter-without-snow-mark").grade == "major"


def test_a_dropped_rule_finds_nothing(tmp_path: Path) -> None:
    book = load_book(shop(tmp_path, 'drop = ["load-overstated"]\n'))
    assert "load-overstated" in found(OVER, load_book())
    assert "load-overstated" not in found(OVER, book)


def test_what_changes_on_disk_counts_at_once(tmp_path: Path) -> None:
    own = shop(tmp_path)
    assert load_book(own).rule("shop-rule").grade == "minor"
    shop(tmp_path, PLAIN, ('grade = "minor"', 'grade = "major"'))
    assert load_book(own).rule("shop-rule").grade == "major"


def test_the_second_start_parses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = load_book(house(tmp_path))
    monkeypatch.setattr("auditor.rulebook.book._read_book", _forgetful("auditor.rulebook.book"))
    monkeypatch.setattr("auditor.rulebook.own.book_files.read_toml", _no_toml)
    again = load_book(tmp_path / "house")
    assert [asdict(rule) for rule in again.rules] == [asdict(rule) for rule in first.rules]
    assert again.own.proven and not first.own.proven


def _forgetful(module: str) -> object:
    import importlib

    return importlib.import_module(module)._read_book.__wrapped__


def _no_toml(path: Path) -> None:
    raise AssertionError(f"{path} was parsed anew")


def test_own_spellings_and_tables_count(tmp_path: Path) -> None:
    table = (rules_folder() / "tables" / "load_index.csv").read_text(encoding="utf-8")
    own = shop(tmp_path, 'drop = ["winter-without-snow-mark"]\n')
    (own / "tables").mkdir()
    (own / "tables" / "load_index.csv").write_text(table.replace("102,850", "102,840"), encoding="utf-8")
    book = load_book(own)
    assert book.tables.load_of(102) == 840.0 and book.tables.load_of(103) == 875.0
    assert book.own.tables == ("load_index.csv",)
    assert book.loosened == ("table load_index.csv is replaced by an own one",)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (('grade = "minor"', 'grade = "grave"'), "rule 'shop-rule': grade: 'grave' is not one of"),
        (('kind = "range"', 'kind = "rang"'), "kind: 'rang' is not one of"),
        (('why = "The shop sells nothing weaker."\n', ""), "why: it is missing, and has to be there"),
        (
            ("least = 400", 'least = 400\nwhen = [{ feld = "season", filled = true }]'),
            "when.1.feld: there is no such key here; did you mean 'field'?",
        ),
        (("least = 400", "leest = 400"), "leest: there is no such key here; did you mean 'least'?"),
        (('field = "max_load_kg"\nleast', 'field = "max_lod_kg"\nleast'), "did you mean 'max_load_kg'?"),
        (("least = 400", 'least = "heavy"'), "least: 'heavy' cannot be read as a value of max_load_kg"),
        (("least = 400", "least = 400\nmost = 300"), "least: 400 is more than 300"),
        (("least = 400", 'least = 400\nvalues = ["1"]'), "values: a rule of kind 'range' has no such key"),
        (("least = 400\n", ""), "least: a range needs `least`, `most` or both"),
        (("{detail}", "{detal}"), "says: there is no place 'detal'; did you mean 'detail'?"),
        (("least = 400", 'least = 400\nfamilies = ["metrik"]'), "did you mean 'metric'?"),
        (
            ("least = 400", 'least = 400\nfamilies = ["metric"]\nnot_families = ["metric"]'),
            "not_families: they leave no family, so the rule could never run",
        ),
        (
            ("least = 400", 'least = 400\nwhen = [{ field = "seasn", equals = "winter" }]'),
            "when.1.field: there is no listing field 'seasn'; did you mean 'season'?",
        ),
        (
            ("least = 400", 'least = 400\nwhen = [{ field = "season", equals = "autumn" }]'),
            "when: 'autumn' cannot be read as a value of season",
        ),
        (
            ("least = 400", 'least = 400\nwhen = [{ field = "max_load_kg", filled = false }]'),
            "when.1: this can never hold",
        ),
        (('max_load_kg = "325"', 'max_lod_kg = "325"'), "example 'too weak': there is no listing field 'max_lod_kg'"),
        (('max_load_kg = "325"', 'max_load_kg = "425"'), "example 'too weak': it should find max_load_kg, but finds"),
        (('max_load_kg = "850"', 'max_load_kg = "350"'), "example 'strong enough': it should find nothing, but finds"),
        (('finds = { field = "max_load_kg" }', 'finds = "nothing"'), "example: no example finds something"),
        (('finds = "nothing"', 'finds = { field = "max_load_kg" }'), "example: no example finds nothing"),
        (
            ('finds = { field = "max_load_kg" }', 'finds = { field = "max_load_kg", grade = "major" }'),
            "example 'too weak': grade should be 'major', but is 'minor'",
        ),
    ],
)
def test_a_wrong_rule_is_refused_with_file_rule_and_key(tmp_path: Path, change: tuple[str, str], said: str) -> None:
    own = shop(tmp_path, PLAIN, change)
    with pytest.raises(RuleBookError) as caught:
        load_book(own)
    assert str(caught.value).startswith(f"{own / 'shop.toml'}: rule 'shop-rule': ")
    assert said in str(caught.value)


RANGE = 'kind = "range"\nfield = "max_load_kg"\nleast = 400'
COMPARED = PLAIN.replace(RANGE, 'kind = "comparison"\ngroup = "marking"\nPAIRS').replace("{detail}", "{derived}")


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        (
            'pairs = [{ stated = "max_lod_kg", derived = "load_single_kg" }]\nfinds = "above"\ntolerance = "load"',
            "pairs.1.stated: there is no listing field 'max_lod_kg'; did you mean 'max_load_kg'?",
        ),
        (
            'pairs = [{ stated = "max_load_kg", derived = "load_singl_kg" }]\nfinds = "above"\ntolerance = "load"',
            "pairs.1.derived: there is no fact of a marking 'load_singl_kg'; did you mean 'load_single_kg'?",
        ),
        (
            'pairs = [{ stated = "max_load_kg", derived = "load_single_lb" }]\nfinds = "above"\ntolerance = "load"',
            "pairs.1: max_load_kg (in kg) cannot be compared with load_single_lb (in lb)",
        ),
        (
            'pairs = [{ stated = "brand", derived = "load_single_kg" }]\nfinds = "above"\ntolerance = "load"',
            "pairs.1.stated: brand is a text",
        ),
        (
            'pairs = [{ stated = "max_load_kg", derived = "load_single_kg" }]\nfinds = "above"\ntolerance = "lod"',
            "tolerance: there is no tolerance 'lod'; did you mean 'load'?",
        ),
        (
            'pairs = [{ stated = "max_load_kg", derived = "load_single_kg" }]\nfinds = "between"\ntolerance = "load"',
            "finds: `between` needs an `allowance`",
        ),
    ],
)
def test_a_wrong_comparison_is_refused(tmp_path: Path, pairs: str, said: str) -> None:
    with pytest.raises(RuleBookError) as caught:
        load_book(shop(tmp_path, COMPARED, ("PAIRS", pairs)))
    assert said in str(caught.value)


def test_a_check_that_is_not_there_is_refused(tmp_path: Path) -> None:
    text = COMPARED.replace("PAIRS", 'check = "gtin_check_digt"').replace('"comparison"', '"check"')
    with pytest.raises(
        RuleBookError, match="check: there is no check 'gtin_check_digt'; did you mean 'gtin_check_digit'"
    ):
        load_book(shop(tmp_path, text))


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ('kind = "pattern"\nfield = "max_load_kg"\nmatches = "("', "matches: '(' is no pattern"),
        ('kind = "pattern"\nfield = "max_load_kg"', "matches: a pattern needs `matches`, `forbids` or both"),
        ('kind = "one-of"\nfield = "season"\nvalues = ["autumn"]', "'autumn' cannot be read as a value of season"),
        ('kind = "one-of"\nfield = "season"', "values: a rule of kind 'one-of' needs it"),
        ('kind = "range"\nfield = "brand"\nleast = 3', "field: brand is a text, which has no size"),
        ('kind = "required"\nfield = "brand"\ninstead = ["modl"]', "instead: there is no listing field 'modl'"),
        (
            'kind = "required"\nfield = "brand"\nwhen = [{ field = "brand", equals = "Quenford" }]',
            "when.1: this can never hold",
        ),
    ],
)
def test_a_wrong_demand_is_refused(tmp_path: Path, kind: str, said: str) -> None:
    own = shop(tmp_path, PLAIN, (RANGE, kind))
    with pytest.raises(RuleBookError) as caught:
        load_book(own)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"other": PLAIN}, "rule 'shop-rule': id: it stands in other.toml too"),
        ({"other": 'drop = ["load-overstatd"]\n'}, "drop: there is no built-in rule 'load-overstatd'; did you mean"),
        ({"other": 'dropp = ["load-overstated"]\n'}, "dropp: there is no such key here; did you mean 'drop'?"),
        ({"policy": "[tolerance.lod]\nkg = 2\n"}, "there is no tolerance 'lod'; did you mean 'load'?"),
        (
            {"policy": "[tolerance.load]\nkgs = 2\n"},
            "tolerance.load.kgs: there is no such key here; did you mean 'kg'",
        ),
        ({"policy": '[grade]\nload-overstatd = "major"\n'}, "there is no rule 'load-overstatd'"),
        ({"listing_fields": OWN_FIELD.replace('"kg"', '"kgs"')}, "unit: a mass has the unit kg or lb; did you mean"),
        ({"listing_fields": OWN_FIELD.replace("mass", "mas")}, "quantity: there is no 'mas'; did you mean 'mass'?"),
        ({"listing_fields": OWN_FIELD.replace("load_kg", "load")}, "name: it has to end in _kg"),
        ({"listing_fields": OWN_FIELD.replace("shelf_load_kg", "max_load_kg")}, "it is a built-in field with group"),
        ({"listing_fields": '[spellings.modl]\nen = ["line"]\n'}, "there is no field or group 'modl'; did you mean"),
        (
            {"listing_fields": OWN_FIELD.replace("says", "sayz")},
            "sayz: there is no such key here; did you mean",
        ),
    ],
)
def test_other_files_of_the_folder_are_checked_too(tmp_path: Path, files: dict[str, str], said: str) -> None:
    with pytest.raises(RuleBookError) as caught:
        load_book(shop(tmp_path, PLAIN, **files))
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("table/load_index.csv", "an own rule book has no such folder; did you mean 'tables'?"),
        ("tables/load_indx.csv", "there is no such table; did you mean 'load_index.csv'?"),
    ],
)
def test_files_that_nothing_reads_are_refused(tmp_path: Path, path: str, said: str) -> None:
    own = shop(tmp_path)
    (own / path).parent.mkdir()
    (own / path).write_text("load_index,load_kg\n", encoding="utf-8")
    with pytest.raises(RuleBookError) as caught:
        load_book(own)
    assert said in str(caught.value)


def test_own_letters_are_added_and_checked(tmp_path: Path) -> None:
    english = (rules_folder() / "letters" / "en.toml").read_text(encoding="utf-8")
    own = shop(tmp_path)
    (own / "letters").mkdir()
    (own / "letters" / "eo.toml").write_text(english.replace("Dear colleagues", "Karaj kolegoj"), encoding="utf-8")
    folder = load_book(own).folder
    assert sorted(languages(folder)) == sorted([*languages(), "eo"])
    assert load_wordings("eo", folder).letter != load_wordings("en", folder).letter
    (own / "letters" / "eo.toml").write_text('name = "Esperanto"\n', encoding="utf-8")
    with pytest.raises(RuleBookError, match=r"eo.toml lacks the text 'direction'"):
        load_book(own)


def test_an_empty_or_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RuleBookError, match="there is no such folder"):
        load_book(tmp_path / "none")
    (tmp_path / "empty").mkdir()
    with pytest.raises(RuleBookError, match="the folder holds no rules"):
        load_book(tmp_path / "empty")


def test_a_rule_is_dropped_or_given_not_both(tmp_path: Path) -> None:
    text = PLAIN.replace('id = "shop-rule"', 'id = "load-overstated"')
    with pytest.raises(RuleBookError, match="rule 'load-overstated' is dropped and given at once"):
        load_book(shop(tmp_path, text, other='drop = ["load-overstated"]\n'))
