"""`python -m tests.catalog` writes the sample catalogs and their answer sheet anew."""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.catalog.samples import FOLDER, write_all


def main() -> None:
    """Write the sample catalogs."""
    parser = argparse.ArgumentParser(prog="python -m tests.catalog", description="Write the sample catalogs anew.")
    parser.add_argument("--folder", type=Path, default=FOLDER, help="where to write (default: sample_catalogs)")
    folder = parser.parse_args().folder
    write_all(folder)
    print(f"Wrote the sample catalogs to {folder}.")


if __name__ == "__main__":
    main()
