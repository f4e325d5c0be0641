"""Mutants: the rules, tables and judging code with one number or one comparison sign changed, which a test must notice.

`python -m tests.mutants --count 200 --seed 1` changes 200 places, one at a time, each in a copy of the tree, and runs
the tests that ought to fail.  What survives is an edge that nothing holds: `survivors.md` argues the ones that may.
"""
