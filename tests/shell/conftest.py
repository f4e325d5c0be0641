"""The fixture that runs commands in process."""

from __future__ import annotations

import pytest

from tests.shell.running import InProcess


@pytest.fixture
def auditor(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> InProcess:
    """Calls the command line as a shell would."""
    return InProcess(capsys, monkeypatch)
