"""Finding feeds: order, names that differ, archives, URLs, and what is missing."""

from __future__ import annotations

import gzip
import os
import zipfile
from pathlib import Path

import numpy as np
import pytest

from auditor.errors import FeedError
from auditor.feeds.locate import find_feeds, locate_feeds
from auditor.feeds.model import HELD, RELEASED, Limits
from auditor.feeds.safe_paths import safe_name, safe_relative
from auditor.feeds.splitting import split_feeds
from auditor.mapping.opening import open_feeds
from tests.feeds.reading import everything, opened
from tests.feeds.traps import HEAD, table, zipped

CONTENT = table().encode()


def put(path: Path, content: bytes = CONTENT) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    return path


def names(*args: Path | str) -> list[str]:
    return [located.name for located in find_feeds([str(arg) for arg in args])]


def test_a_folder_is_searched_in_name_order_and_hidden_files_are_left(tmp_path: Path) -> None:
    for name in ("b/feed.csv", "a/feed.csv", ".git/x.csv", "_done.csv", "readme.md", "README.txt", "z.parquet"):
        put(tmp_path / name)
    assert names(tmp_path) == ["a/feed.csv", "b/feed.csv", "z.parquet"]


def test_equal_names_are_told_apart_by_their_folders(tmp_path: Path) -> None:
    one, two = put(tmp_path / "one/night/feed.csv"), put(tmp_path / "two/night/feed.csv")
    assert names(one, two) == ["one/night/feed.csv", "two/night/feed.csv"]
    assert names(tmp_path / "one", tmp_path / "two") == ["one/night/feed.csv", "two/night/feed.csv"]


def test_the_same_file_twice_is_one_feed(tmp_path: Path) -> None:
    assert names(put(tmp_path / "feed.csv"), tmp_path) == ["feed.csv"]


def test_a_pattern(tmp_path: Path) -> None:
    for name in ("a/x.csv", "b/y.csv", "b/z.txt"):
        put(tmp_path / name)
    assert names(f"{tmp_path}/*/*.csv") == ["a/x.csv", "b/y.csv"]
    with pytest.raises(FeedError, match="the pattern matches no file"):
        names(f"{tmp_path}/*.parquet")


def test_what_cannot_be_looked_at_in_a_folder_is_named(tmp_path: Path) -> None:
    put(tmp_path / "feeds/a.csv")
    put(tmp_path / "other/b.csv")
    (tmp_path / "feeds/gone.csv").symlink_to(tmp_path / "none.csv")
    (tmp_path / "feeds/linked").symlink_to(tmp_path / "other")
    os.mkfifo(tmp_path / "feeds/pipe.csv")
    found = locate_feeds([str(tmp_path / "feeds")])
    assert [item.name for item in found.located] == ["a.csv", "gone.csv"]
    assert found.skipped == [("linked", "it is a link to another folder"), ("pipe.csv", "it is no file")]
    with pytest.raises(FeedError, match=r"gone\.csv: it is a link that leads nowhere"):
        open_feeds(found.located[1])


def test_what_is_missing_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(FeedError, match="no such file or folder"):
        names(tmp_path / "nothing.csv")
    with pytest.raises(FeedError, match="the folder holds no feed"):
        names(tmp_path)


def test_archive_members_are_feeds_and_stay_inside_the_output_folder(tmp_path: Path) -> None:
    path = put(
        tmp_path / "night.zip",
        zipped(
            {
                "cars.csv": CONTENT,
                "../../vans.csv": CONTENT,
                "notes.md": b"x",
                "deep/more.csv.gz": gzip.compress(CONTENT),
            }
        ),
    )
    found = locate_feeds([str(path)])
    assert found.skipped == [("night.zip/notes.md", "its suffix is that of no feed")]
    outside, *located = found.located
    assert [item.name for item in located] == ["night.zip/cars.csv", "night.zip/deep/more.csv.gz"]
    with pytest.raises(FeedError, match=r"night\.zip/\.\./\.\./vans\.csv: its name leads out of the archive"):
        open_feeds(outside)
    feeds = [feed for item in located for feed in open_feeds(item)]
    assert all(len(everything(feed)[0]) == 4 for feed in feeds)
    dispositions = [np.array([RELEASED, HELD, RELEASED, RELEASED], np.uint8)] * 2
    split_feeds(feeds, dispositions, tmp_path / "out/released", tmp_path / "out/held")
    written = sorted(
        file.relative_to(tmp_path / "out").as_posix() for file in (tmp_path / "out").rglob("*.*") if file.is_file()
    )
    members = ("cars.csv", "deep/more.csv.gz")
    assert written == [f"{part}/night.zip/{name}" for part in ("held", "released") for name in members]
    assert gzip.decompress((tmp_path / "out/held/night.zip/deep/more.csv.gz").read_bytes()).startswith(HEAD.encode())


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_what_an_archive_hides_is_an_error_of_that_member(tmp_path: Path) -> None:
    path = tmp_path / "night.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in (("a.csv", CONTENT), ("twice.csv", CONTENT), ("twice.csv", CONTENT), ("in.zip", b"PK")):
            archive.writestr(name, content)
    good, *bad = find_feeds([str(path)])
    assert len(everything(open_feeds(good)[0])[0]) == 4
    reasons = []
    for located in bad:
        with pytest.raises(FeedError) as caught:
            open_feeds(located)
        reasons.append(str(caught.value))
    assert reasons == [
        "night.zip/in.zip: it is an archive inside an archive; unpack it first.",
        "night.zip/twice.csv: the archive holds 2 members of this name; give each a name of its own.",
    ]


def test_an_archive_written_behind_another_is_not_passed_over(tmp_path: Path) -> None:
    path = put(tmp_path / "night.zip", zipped({"lost.csv": CONTENT}) + zipped({"seen.csv": CONTENT}))
    hidden, seen = find_feeds([str(path)])
    assert len(everything(open_feeds(seen)[0])[0]) == 4
    with pytest.raises(FeedError, match="holds a file that its directory does not list"):
        open_feeds(hidden)


def test_archive_member_that_unpacks_too_far(tmp_path: Path) -> None:
    path = put(tmp_path / "bomb.zip", zipped({"zeros.csv": bytes(70 << 20)}))
    with pytest.raises(FeedError, match=r"bomb\.zip/zeros\.csv: unpacks to more than"):
        open_feeds(find_feeds([str(path)])[0])
    with pytest.raises(FeedError, match="beyond the limit"):
        open_feeds(find_feeds([str(path)])[0], limits=Limits(unpacked_bytes=1000))


def test_a_file_url_and_any_filesystem_that_fsspec_knows(tmp_path: Path) -> None:
    path = put(tmp_path / "feed.csv")
    assert len(everything(opened_url(path.as_uri()))[0]) == 4
    import fsspec

    for name in ("feed.csv", "more/feed.csv", "more/readme.md"):
        with fsspec.open(f"memory://night/{name}", "wb") as file:
            file.write(CONTENT)
    feed = opened_url("memory://night/feed.csv")
    assert feed.name == "feed.csv"
    assert len(everything(feed)[0]) == 4
    assert names("memory://night") == ["feed.csv", "more/feed.csv"]


def opened_url(url: str):  # type: ignore[no-untyped-def]
    return open_feeds(find_feeds([url])[0])[0]


def test_a_url_that_leads_nowhere() -> None:
    with pytest.raises(FeedError, match=r"cannot be fetched"):
        find_feeds(["memory://night/none.csv"])


@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("Ellermoor Tires", "Ellermoor Tires"),
        ("../../etc/passwd", "_.._etc_passwd"),
        ("a/b\\c", "a_b_c"),
        ("con", "_con"),
        ("...", "unnamed"),
        ("", "unnamed"),
        ("x\0\n?", "x___"),
    ],
)
def test_safe_name(text: str, safe: str) -> None:
    assert safe_name(text) == safe


def test_safe_name_is_short_enough_for_any_filesystem() -> None:
    assert len(safe_name("ä" * 300).encode()) <= 150


@pytest.mark.parametrize(
    ("path", "safe"),
    [("../x/../y.csv", "x/y.csv"), ("/etc/passwd", "etc/passwd"), ("C:\\x\\y", "C_/x/y"), ("..", "unnamed")],
)
def test_safe_relative(path: str, safe: str) -> None:
    assert safe_relative(path) == safe


def test_everything_of_a_utf16_feed_comes_back_in_utf16(tmp_path: Path) -> None:
    text = "\ufeff" + table(end="\r\n")
    feed = opened(put(tmp_path / "wide.csv", text.encode("utf-16-le")))
    feed.split(tmp_path / "r.csv", tmp_path / "h.csv", np.array([HELD, RELEASED, HELD, HELD], np.uint8))
    lines = text.splitlines(keepends=True)
    assert (tmp_path / "r.csv").read_bytes() == (lines[0] + lines[2]).encode("utf-16-le")


@pytest.mark.parametrize("suffix", [".gz", ".bz2", ".zst"])
def test_packed_feeds_come_back_packed(tmp_path: Path, suffix: str) -> None:
    from auditor.feeds.spool import COMPRESSIONS, create_packed
    from auditor.feeds.unpacking import unpacked_chunks

    path = tmp_path / f"feed.csv{suffix}"
    with create_packed(path, COMPRESSIONS[suffix]) as out:
        out.write(CONTENT)
    feed = opened(path)
    feed.split(tmp_path / f"r{suffix}", tmp_path / f"h{suffix}", np.array([RELEASED] * 4, np.uint8))
    assert b"".join(unpacked_chunks(tmp_path / f"r{suffix}", COMPRESSIONS[suffix])) == CONTENT
