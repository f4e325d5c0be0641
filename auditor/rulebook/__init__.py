"""The rule book, the policy and the listing fields as data: loading, checking, compiling."""
