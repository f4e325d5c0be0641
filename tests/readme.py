"""`python -m tests.readme`: puts what the runs over the sample catalogs say now into README.md."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.three_nights import three_nights

CHECKOUT = Path(__file__).parents[1]
README = CHECKOUT / "README.md"
RUN = re.compile(r"(?<=^```text\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)

NIGHTS = re.compile(r"(?<=^```txt\n).*?(?=^```$)", re.MULTILINE | re.DOTALL)


def sample_run(folder: Path) -> str:
    """What the audit of the sample catalogs prints at 80 columns; its output is in `folder`/audit_output."""
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT), "COLUMNS": "80"}
    command = [sys.executable, "-m", "auditor", "audit", str(CHECKOUT / "sample_catalogs"), "--out", "audit_output"]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    return done.stdout.rstrip() + "\n"


def main() -> None:
    """Replaces the README's run and its three nights."""
    text = README.read_text(encoding="utf-8")
    for pattern, run in ((RUN, sample_run), (NIGHTS, three_nights)):
        with tempfile.TemporaryDirectory() as folder:
            said = run(Path(folder))
        text = pattern.sub(said.replace("\\", r"\\"), text, count=1)
    README.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
