"""`python -m auditor` is the command `auditor`."""

from __future__ import annotations

import sys

from auditor.shell.cli import main

if __name__ == "__main__":
    sys.exit(main())
