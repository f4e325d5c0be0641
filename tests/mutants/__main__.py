"""`python -m tests.mutants`: changes numbers and comparison signs, one at a time, and says which no test noticed."""

from __future__ import annotations

import argparse
import sys

from tests.mutants.running import run_all
from tests.mutants.sites import Mutant, all_mutants, chosen


def main() -> int:
    """Prints one line per mutant and the figures; exit code 1 where fewer than nine in ten were noticed."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("--count", type=int, default=200, help="how many mutants to draw (default 200)")
    parser.add_argument("--seed", type=int, default=1, help="which draw (default 1)")
    parser.add_argument("--only", default="", help="draw only from files whose path holds this text")
    parser.add_argument("--at", nargs="*", default=[], help="run the mutants of these places, FILE:LINE[:COLUMN]")
    parser.add_argument("--list", action="store_true", help="print the drawn mutants and run nothing")
    parser.add_argument("--workers", type=int, default=1, help="how many at a time (default 1)")
    parser.add_argument("--seconds", type=float, default=300.0, help="how long the tests of one may take (default 300)")
    parser.add_argument("--quick", action="store_true", help="ask the edges alone, not the wider tests")
    given = parser.parse_args()
    everything = [mutant for mutant in all_mutants() if given.only in mutant.file]
    if given.at:
        places = tuple(f"{place}:" for place in given.at)
        mutants = [mutant for mutant in everything if f"{str(mutant).split()[0]}:".startswith(places)]
    else:
        mutants = chosen(everything, given.count, given.seed)
    if given.list:
        print(*mutants, sep="\n")
        return 0
    by_state: dict[str, list[Mutant]] = {"killed": [], "survived": [], "timed out": []}
    for outcome in run_all(mutants, workers=given.workers, seconds=given.seconds, quick=given.quick):
        by_state[outcome.state].append(outcome.mutant)
        print(f"{outcome.state:9}", outcome.mutant, "", outcome.by, flush=True)
    killed, survived, timed_out = (len(found) for found in by_state.values())
    answered = max(killed + survived, 1)
    print(f"\n{killed} of {answered} killed, {killed / answered:.1%}; {timed_out} more timed out, {survived} survived:")
    print(*sorted(by_state["survived"]), sep="\n")
    return 0 if killed >= 0.9 * answered else 1


if __name__ == "__main__":
    sys.exit(main())
