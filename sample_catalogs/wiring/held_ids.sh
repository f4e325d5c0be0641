#!/bin/sh
# A pipe of JSON lines: listings in (each with an "id"), ids of the held ones out.
set -eu
auditor listing --follow | python3 -c '
import json, sys
for line in sys.stdin:
    answer = json.loads(line)
    if answer.get("verdict") != "release":
        print(answer.get("id"), flush=True)
'
