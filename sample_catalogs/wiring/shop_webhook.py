"""A shop system calls this before it publishes a listing: a small endpoint that asks `auditor serve`.

The shop posts its listing with its own names; this one renames what it has to, and answers with what the shop shows:
whether to publish, and a sentence for each finding.  Set AUDITOR_URL to where the service listens, and AUDITOR_TOKEN
where it asks for one.
"""

import json
import os
import urllib.error
import urllib.request
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

NAMES = {"articleNumber": "sku", "tireSize": "marking", "maxLoadKg": "max_load_kg", "name": "title"}  # of your shop


def ask(listing: dict[str, object]) -> dict[str, object]:
    """The verdict on a listing."""
    headers = {"Content-Type": "application/json"}
    if token := os.environ.get("AUDITOR_TOKEN"):
        headers["Authorization"] = f"Bearer {token}"
    address = os.environ.get("AUDITOR_URL", "http://127.0.0.1:8765") + "/listing"
    request = urllib.request.Request(address, json.dumps(listing).encode(), headers)
    with urllib.request.urlopen(request, timeout=5) as answer:
        return json.load(answer)


class Hook(BaseHTTPRequestHandler):
    """Answers the shop; where the service cannot be asked, nothing is published unseen."""

    def do_POST(self) -> None:
        given = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        try:
            verdict = ask({NAMES[name]: value for name, value in given.items() if name in NAMES})
            publish = verdict["verdict"] == "release"
            said = [finding["message"] for finding in verdict["findings"]]
        except urllib.error.URLError as error:
            publish, said = False, [f"The listing could not be checked: {error}"]
        body = json.dumps({"publish": publish, "messages": said}).encode()
        self.send_response(200)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        """Listings stay out of logs."""


if __name__ == "__main__":
    ThreadingHTTPServer(("127.0.0.1", int(os.environ.get("PORT", "8766"))), Hook).serve_forever()
