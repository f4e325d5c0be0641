"""A task for any scheduler that calls a Python function: audits the night's feeds and says what to do next.

Held listings are a result and no failure; a feed that could not be read, or columns that were not, must be seen by
someone, and so fail the task, after everything else was audited and written.
"""

import subprocess
import sys

HELD, UNREAD_FEED, UNREAD_COLUMN = 1, 3, 5


def audit_task(feeds: list[str], out: str) -> dict[str, object]:
    """Runs the audit; returns its exit code and whether listings were held.  Raises RuntimeError to fail the task."""
    command = [sys.executable, "-m", "auditor", "audit", *feeds, "--out", out, "--log", "json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode not in (0, HELD):
        last = done.stderr.strip().splitlines()[-1:] or ["no word"]
        raise RuntimeError(f"the audit ended with {done.returncode}: {last[0]}")
    return {"exit_code": done.returncode, "held": done.returncode == HELD, "report": f"{out}/report.html"}


if __name__ == "__main__":
    print(audit_task(sys.argv[2:], sys.argv[1]))
