"""File and sheet names made of what suppliers call themselves."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from auditor.outputs.supplier_names import file_names, sheet_names


def test_plain_names_stay_readable() -> None:
    names = file_names(["Odermatt Reifenkontor", "Bluewater Tire & Tube", "Müller/Söhne", "عجلات"])
    assert names == {
        "Odermatt Reifenkontor": "Odermatt-Reifenkontor",
        "Bluewater Tire & Tube": "Bluewater-Tire-Tube",
        "Müller/Söhne": "Müller-Söhne",
        "عجلات": "عجلات",
    }


def test_dangerous_names_are_made_safe() -> None:
    names = file_names(["../../etc/passwd", "con", "", ".", "-"])
    assert names["../../etc/passwd"] == "etc-passwd"
    assert names["con"] == "con-supplier"
    assert sorted(names[name] for name in ("", ".", "-")) == [
        "supplier-not-named",
        "supplier-not-named-2",
        "supplier-not-named-3",
    ]


@given(st.sets(st.text(max_size=120), max_size=12))
def test_file_names_are_unique_and_safe(suppliers: set[str]) -> None:
    names = file_names(suppliers)
    assert set(names) == suppliers
    assert len({name.casefold() for name in names.values()}) == len(suppliers)
    for name in names.values():
        assert name
        assert not set(name) & set('/\\:*?"<>|\0')
        assert len(name.encode("utf-8", "surrogatepass")) <= 100
        assert not name.startswith((".", "-"))


@given(st.lists(st.text(max_size=60), unique=True, max_size=12))
def test_sheet_names_are_unique_and_accepted(suppliers: list[str]) -> None:
    names = sheet_names(suppliers, ("Overview", "Findings"))
    folded = {name.casefold() for name in names.values()}
    assert len(folded | {"overview", "findings"}) == len(suppliers) + 2
    for name in names.values():
        assert 0 < len(name.encode("utf-16-le", "surrogatepass")) // 2 <= 31
        assert not set(name) & set("[]:*?/\\")
        assert not name.startswith("'") and not name.endswith("'")
