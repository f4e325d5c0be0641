"""Titles say the season in languages whose sentences are not read, too."""

from __future__ import annotations

import pytest

import auditor

TITLES = {
    "Шина 225/65 R17 106T XL Норвейн Лёд 7 шип.": "winter",
    "Шина 225/65 R17 106T XL Норвейн летняя": "summer",
    "ノルヴェン YUKI 6 225/65R17 106T スタッドレスタイヤ 1本": "winter",
    "ノルヴェン エコ 225/65R17 106T サマータイヤ": "summer",
    "Norvane Polar 225/65 R17 106T XL zimní": "winter",
    "Norvane Polar 225/65 R17 106T XL téli gumi": "winter",
    "Norvane Eko 225/65 R17 106T XL dört mevsim": "all-season",
    "Norvane Is 225/65 R17 106T XL dubbdäck": "winter",
}
OTHER = {"winter": "summer", "summer": "winter", "all-season": "winter"}


@pytest.mark.parametrize(("title", "season"), TITLES.items())
def test_a_title_says_the_season(title: str, season: str) -> None:
    listing = {"marking": "225/65R17 106T XL", "title": title}
    assert not auditor.audit_listing({**listing, "season": season}).findings
    found = auditor.audit_listing({**listing, "season": OTHER[season]}).findings
    assert [one.field for one in found if one.grade != "minor"]
