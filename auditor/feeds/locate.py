"""From what a person gave (a file, a folder, a glob, a URL) to the feeds it names, in a fixed order."""

from __future__ import annotations

import glob
import os
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

from auditor.errors import FeedError
from auditor.feeds.archive import members_of
from auditor.feeds.safe_paths import safe_relative
from auditor.feeds.spool import COMPRESSIONS, spool_path
from auditor.feeds.urls import is_url

TEXT_SUFFIXES = {".csv", ".tsv", ".tab", ".psv", ".txt"}
FORMATS = {
    **dict.fromkeys(TEXT_SUFFIXES, "csv"),
    ".parquet": "parquet",
    ".pq": "parquet",
    ".xlsx": "xlsx",
    ".xlsm": "xlsx",
    ".xls": "xls",
    ".ods": "ods",
    ".json": "json",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
    ".xml": "xml",
    ".zip": "zip",
}
_OF_AUDITS = ("summary.json", "findings.parquet", "findings.csv", "rejected.csv")  # beside each other only there
_NOT_FEEDS = frozenset({"readme", "license", "licence", "notice", "changelog"})  # texts that lie beside feeds


@dataclass(frozen=True, slots=True)
class Located:
    """One thing to open.  `name` is relative to what was given; `path` is None for a SQL source."""

    name: str
    path: Path | None
    url: str | None = None  # as given, where it was a URL
    member: str | None = None  # of the zip archive at `path`
    fault: str | None = None  # why it cannot be read, where that is known before it is opened


@dataclass(slots=True)
class Found:
    """What the arguments of a run name: feeds, what is missing and why, and files that are no feeds and why not."""

    located: list[Located] = field(default_factory=list)
    missing: list[tuple[str, FeedError]] = field(default_factory=list)
    skipped: list[tuple[str, str]] = field(default_factory=list)


def format_of(name: str) -> str | None:
    """csv, parquet, ... by the suffix, a compression suffix set aside; None where the suffix is not known."""
    suffixes = [suffix.lower() for suffix in PurePosixPath(name).suffixes]
    if suffixes and suffixes[-1] in COMPRESSIONS:
        suffixes.pop()
    return FORMATS.get(suffixes[-1]) if suffixes else None


def find_feeds(args: Sequence[str]) -> list[Located]:
    """Finds every feed that `args` name, in the order given, folders in name order.

    Raises FeedError for a missing file, an empty folder and a pattern that matches nothing.
    """
    found = locate_feeds(args)
    if found.missing:
        raise found.missing[0][1]
    return found.located


def locate_feeds(args: Sequence[str]) -> Found:
    """The feeds that `args` name, and what could not be found.  Raises FeedError where nothing at all is found."""
    found = Found()
    for arg in args:
        try:
            found.located.extend(_find_one(arg, found.skipped))
        except FeedError as error:
            found.missing.append((arg, error))
    if not found.located and found.missing:
        raise found.missing[0][1]
    unique: dict[str, Located] = {}
    for located in found.located:
        unique.setdefault(str(located.path.resolve()) if located.path and not located.url else located.name, located)
    apart = _told_apart(list(unique.values()))
    found.located = _numbered([member for located in apart for member in _members(located, found.skipped)])
    found.skipped.sort()
    return found


def _members(located: Located, skipped: list[tuple[str, str]]) -> list[Located]:
    """A zip archive's members one by one; an archive that cannot be read stays whole, to fail when opened."""
    if located.path is None or format_of(located.name) != "zip":
        return [located]
    known = [suffix for suffix in FORMATS if suffix != ".zip"]
    members = members_of(located.path, [*known, *(f"{one}{two}" for one in known for two in COMPRESSIONS)]) or []
    skipped += [(f"{located.name}/{member.name}", member.skipped) for member in members if member.skipped]
    feeds = [member for member in members if not member.skipped]
    return [
        Located(
            f"{located.name}/{member.name if member.fault else safe_relative(member.name)}".rstrip("/"),
            located.path,
            located.url,
            member.name or None,
            member.fault,
        )
        for member in feeds
    ] or [located]


def _find_one(arg: str, skipped: list[tuple[str, str]]) -> list[Located]:
    if arg.startswith("sql+"):
        return [Located(_sql_name(arg), None, arg)]
    if is_url(arg):
        return _fetch(arg, skipped)
    path = Path(arg)
    if path.is_dir():
        return _in_folder(path, skipped)
    if path.is_file():
        return [Located(path.name, path)]
    if any(char in arg for char in "*?["):
        return _matching(arg)
    raise FeedError(f"{arg}: no such file or folder; check the path, or quote a pattern such as 'feeds/*.csv'.")


def _in_folder(folder: Path, skipped: list[tuple[str, str]]) -> list[Located]:
    paths, found = _files_in(folder, skipped)
    audits = _folders_of_audits([name for name, _ in paths])
    skipped += [(name or ".", "it is the folder of an audit") for name in audits]
    for name, path in paths:
        if _inside(name, audits):
            continue
        why = _no_feed(path.relative_to(folder))
        if why is None:
            found.append(Located(name, path))
        else:
            skipped.append((name, why))
    if not found:
        kinds = ", ".join(sorted(FORMATS))
        raise FeedError(f"{folder}: the folder holds no feed; expected files ending in one of {kinds}.")
    return sorted(found, key=lambda located: located.name)


def _files_in(folder: Path, skipped: list[tuple[str, str]]) -> tuple[list[tuple[str, Path]], list[Located]]:
    """The files in a folder, by name; and what may be a feed but cannot even be looked at."""
    files: list[tuple[str, Path]] = []
    faulty: list[Located] = []

    def closed(error: OSError) -> None:
        path = Path(error.filename)
        name = path.relative_to(folder).as_posix() if path != folder else path.name
        faulty.append(Located(name, path, fault=f"the folder cannot be looked into ({error.strerror})"))

    for where, folders, names in os.walk(folder, onerror=closed):
        for name in [name for name in folders if (Path(where) / name).is_symlink()]:
            path = Path(where) / name
            skipped.append((path.relative_to(folder).as_posix(), "it is a link to another folder"))
        for path in (Path(where) / name for name in names):
            name = path.relative_to(folder).as_posix()
            if path.is_file():
                files.append((name, path))
            elif path.is_symlink() and _no_feed(path.relative_to(folder)) is None:
                faulty.append(Located(name, path, fault="it is a link that leads nowhere"))
            else:
                skipped.append((name, "it is no file"))
    return sorted(files), faulty


def _folders_of_audits(names: Sequence[str]) -> list[str]:
    """The folders that an audit wrote, by the files that each of them holds; "" is the given folder itself."""
    every = set(names)
    heads = sorted(name.removesuffix(_OF_AUDITS[0]) for name in every if PurePosixPath(name).name == _OF_AUDITS[0])
    return [head.rstrip("/") for head in heads if all(f"{head}{name}" in every for name in _OF_AUDITS)]


def _inside(name: str, folders: Sequence[str]) -> bool:
    return any(not folder or name.startswith(f"{folder}/") for folder in folders)


def _no_feed(path: Path) -> str | None:
    """Why a file in a folder of feeds is none; None where it is one."""
    if _hidden(path):
        return "its name, or its folder's, begins as those of hidden files do"
    if format_of(path.name) is None:
        return "its suffix is that of no feed"
    return "it is a text that lies beside feeds" if path.stem.lower() in _NOT_FEEDS else None


def _hidden(path: Path) -> bool:
    return any(part.startswith((".", "_")) for part in path.parts)


def _matching(pattern: str) -> list[Located]:
    paths = sorted(Path(match) for match in glob.glob(pattern, recursive=True))  # noqa: PTH207
    paths = [path for path in paths if path.is_file() and not _of_an_audit(path)]
    if not paths:
        raise FeedError(f"{pattern}: the pattern matches no file; check it, and quote it against the shell.")
    fixed = Path(*_until_magic(Path(pattern).parts))
    base = fixed if fixed.is_dir() else Path()
    return [
        Located(path.relative_to(base).as_posix() if path.is_relative_to(base) else path.name, path) for path in paths
    ]


def _of_an_audit(path: Path) -> bool:
    return any(all((parent / name).is_file() for name in _OF_AUDITS) for parent in path.parents)


def _until_magic(parts: Sequence[str]) -> list[str]:
    fixed: list[str] = []
    for part in parts:
        if any(char in part for char in "*?["):
            break
        fixed.append(part)
    return fixed


def _told_apart(found: list[Located]) -> list[Located]:
    """Adds parent folders to names that are the same, until all differ."""
    counts: dict[str, int] = {}
    for located in found:
        counts[located.name] = counts.get(located.name, 0) + 1
    named: list[Located] = []
    for located in found:
        if counts[located.name] == 1 or located.path is None:
            named.append(located)
            continue
        twins = [other for other in found if other.name == located.name and other.path and other is not located]
        named.append(replace(located, name=_longer_name(located, twins)))
    return _numbered(named)


def _longer_name(located: Located, twins: Sequence[Located]) -> str:
    parts = located.path.resolve().parts if located.path else ()
    depth = len(PurePosixPath(located.name).parts)
    others = [twin.path.resolve().parts for twin in twins if twin.path]
    while depth < len(parts) - 1 and any(parts[-depth:] == other[-depth:] for other in others):
        depth += 1
    return "/".join(parts[-depth:])


def _numbered(named: list[Located]) -> list[Located]:
    seen: dict[str, int] = {}
    result: list[Located] = []
    for located in named:
        seen[located.name] = seen.get(located.name, 0) + 1
        count = seen[located.name]
        result.append(located if count == 1 else replace(located, name=f"{count}/{located.name}"))
    return result


def _sql_name(url: str) -> str:
    parts = urlsplit(url[4:])
    database = PurePosixPath(unquote(parts.path)).name or parts.netloc.rsplit("@", 1)[-1] or "database"
    query = unquote(parts.fragment).strip() or "table"
    word = query if query.replace("_", "").replace(".", "").isalnum() else "query"
    return f"{database}/{word}.parquet"


def _fetch(url: str, skipped: list[tuple[str, str]]) -> list[Located]:
    """Copies a remote file, or every feed of a remote folder, here."""
    if urlsplit(url).scheme == "file":
        return _find_one(unquote(urlsplit(url).path), skipped)
    try:
        found = list(_copied(url))
    except FeedError:
        raise
    except Exception as error:
        reason = (str(error).strip().splitlines() or [type(error).__name__])[0].rstrip(".")
        raise FeedError(f"{url}: cannot be fetched ({reason}); check the address and the access to it.") from error
    if not found:
        raise FeedError(f"{url}: the folder holds no feed.")
    return found


def _copied(url: str) -> Iterator[Located]:
    """Arrow's own filesystems are tried first, then those of fsspec, where it is installed."""
    from pyarrow import ArrowInvalid, fs

    try:
        filesystem, path = fs.FileSystem.from_uri(url)
    except ArrowInvalid:
        import fsspec  # type: ignore[import-untyped]

        made, path = fsspec.core.url_to_fs(url)
        filesystem = fs.PyFileSystem(fs.FSSpecHandler(made))
    info = filesystem.get_file_info(path)
    if info.type == fs.FileType.NotFound:
        raise FeedError(f"{url}: cannot be fetched (there is no such file); check the address.")
    infos = [info]
    if info.type == fs.FileType.Directory:
        listed = filesystem.get_file_info(fs.FileSelector(path, recursive=True))
        infos = [item for item in listed if item.type == fs.FileType.File and format_of(item.path)]
    audits = _folders_of_audits([item.path[len(path) :].lstrip("/") for item in infos])
    for item in sorted(infos, key=lambda item: str(item.path)):
        name = item.path[len(path) :].lstrip("/") or PurePosixPath(item.path).name
        if _hidden(Path(name)) or _inside(name, audits):
            continue
        target = spool_path("".join(PurePosixPath(name).suffixes[-2:]) or ".csv")
        with filesystem.open_input_stream(item.path, compression=None) as stream, target.open("wb") as out:
            shutil.copyfileobj(stream, out, 1 << 20)
        yield Located(name, target, f"{url.rstrip('/')}/{name}" if len(infos) > 1 else url)
