"""The options that have other machines audit."""

from __future__ import annotations

import argparse


def add_cluster_options(parser: argparse.ArgumentParser) -> None:
    """Adds --cluster and --cluster-folder."""
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="have the workers of a Dask scheduler audit, e.g. tcp://scheduler:8786"
    )
    parser.add_argument(
        "--cluster-folder", metavar="DIR", help="where all workers reach the parts of the run (default: beside --out)"
    )
