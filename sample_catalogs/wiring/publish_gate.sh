#!/bin/sh
# A gate before publishing: publish_gate.sh LISTING.json...
# Ends with 1 and says why when a listing must not go out, with 2 when a file is no listing.
set -u
worst=0
for listing in "$@"; do
  auditor listing "$listing"
  code=$?
  [ "$code" -gt "$worst" ] && worst=$code
done
exit "$worst"
