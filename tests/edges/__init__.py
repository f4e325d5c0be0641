"""The edges of every number that judges: listings just inside and just outside of it, through both paths.

`policy_edges`, `table_edges` and `judging_edges` name single numbers, each with the pair of listings on its two sides.
`ladders` walk a stated value up through everything a rule can say of it, and `pinned/` holds where each answer begins.
All of it goes through the public calls `audit_listing` and `audit`, so that it holds whatever the modules are called.
"""
