"""A feed read by the map that is proposed for it."""

from __future__ import annotations

from pathlib import Path

from auditor.feeds.locate import find_feeds
from auditor.feeds.model import Feed
from auditor.mapping.maps import load_maps
from auditor.mapping.opening import open_feeds, propose_for
from auditor.mapping.proposal_text import format_proposal


def read_as_proposed(path: Path, maps: Path) -> Feed:
    """The feed at a path, opened by the map that is proposed for it and written into a new folder."""
    ((feed, proposal),) = propose_for(find_feeds([str(path)])[0])
    maps.mkdir()
    (maps / "feed.toml").write_text(format_proposal(feed, proposal), encoding="utf-8")
    (again,) = open_feeds(find_feeds([str(path)])[0], load_maps(maps))
    return again
