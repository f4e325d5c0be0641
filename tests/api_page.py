"""`python -m tests.api_page`: writes auditor/README.md, the page of the calls, from their own docstrings."""

from __future__ import annotations

import inspect
import re
import textwrap
from pathlib import Path
from typing import Any

import auditor

PAGE = Path(__file__).parents[1] / "auditor" / "README.md"
HEAD = """\
# The calls

Made from the docstrings by `python -m tests.api_page`; the examples are run as tests.
What is public, and how it may change, is said under "What it stands on" in [DEVELOPERS.md](../DEVELOPERS.md).
"""


def page() -> str:
    """The whole page: the module, then every public name that has something to say of itself."""
    parts = [HEAD, _prose(auditor.__doc__ or "")]
    for name in sorted(auditor.__all__, key=lambda name: (inspect.isclass(getattr(auditor, name)), name.lower())):
        found = getattr(auditor, name)
        if callable(found) and not name.startswith("__"):
            parts.append(_entry(name, found))
    return "\n".join(part.rstrip() + "\n" for part in parts)


def _entry(name: str, found: Any) -> str:
    lines = [f"## `{name}`", ""]
    if not (inspect.isclass(found) and issubclass(found, BaseException | Warning)):
        lines += ["```python", _signature(name, found), "```", ""]
    lines.append(_prose(inspect.getdoc(found) or ""))
    if inspect.isclass(found):
        lines += [text for member in _members(found) for text in (f"`.{member[0]}`: {member[1]}", "")]
    return "\n".join(lines)


def _members(found: type) -> list[tuple[str, str]]:
    """Own methods and properties with the first paragraph of what they say."""
    said = []
    for name, member in vars(found).items():
        text = inspect.getdoc(member) if callable(member) or isinstance(member, property) else None
        if text and not name.startswith("_"):
            said.append((f"{name}()" if callable(member) else name, " ".join(text.split("\n\n")[0].split())))
    return said


def _signature(name: str, found: Any) -> str:
    """The call on one line, or one parameter per line where that is too long."""
    try:
        signature = inspect.signature(found)
    except ValueError:
        return name
    text = f"{name}{signature}".replace("'", "")
    if len(text) <= 100:
        return text
    parts = [str(parameter).replace("'", "") for parameter in signature.parameters.values()]
    keyword = next((at for at, one in enumerate(signature.parameters.values()) if one.kind is one.KEYWORD_ONLY), None)
    if keyword is not None:
        parts.insert(keyword, "*")
    returns = f" -> {signature.return_annotation}".replace("'", "") if signature.return_annotation else ""
    return f"{name}(\n" + "".join(f"    {part},\n" for part in parts) + f"){returns}"


def _prose(text: str) -> str:
    """A docstring as Markdown: examples become blocks of code."""
    lines, inside = [], False
    for line in textwrap.dedent(text).strip().splitlines():
        if line.startswith(">>> ") and not inside:
            lines.append("```pycon")
            inside = True
        elif inside and not line.strip():
            lines.append("```")
            inside = False
        lines.append(line if inside else re.sub(r"^ +(?=\S)", "  ", line))
    return "\n".join([*lines, *(["```"] if inside else [])]) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
