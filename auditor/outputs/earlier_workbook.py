"""The workbook of an earlier audit in the folder that is written to: its decisions are never overwritten unread."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from auditor.errors import UsageError

if TYPE_CHECKING:
    from auditor.ledger.asked import AskedDecision

_NAME = "report.xlsx"
_KEPT = "report-with-decisions{}.xlsx"


@dataclass(slots=True)
class EarlierWorkbook:
    """What somebody wrote into the workbook that is about to be replaced."""

    folder: Path
    asked: list[AskedDecision] = field(default_factory=list)
    fault: str = ""  # why its decisions cannot be read

    @property
    def decided(self) -> bool:
        return bool(self.asked or self.fault)

    def kept_name(self) -> str:
        """What it will be called: a name that no file of the earlier folder has."""
        number = 1
        while (self.folder / (name := _KEPT.format("" if number == 1 else f"-{number}"))).exists():
            number += 1
        return name

    def keep(self, building: Path, name: str) -> None:
        """Puts it beside the new one."""
        shutil.copy2(self.folder / _NAME, building / name)


def earlier_workbook(folder: Path) -> EarlierWorkbook:
    """Reads the decisions in the workbook of an output folder, where there are any."""
    path = folder / _NAME
    if not path.is_file():
        return EarlierWorkbook(folder)
    # Start-up: many audits replace no earlier one.
    from auditor.outputs.decision_files import read_decisions

    try:
        return EarlierWorkbook(folder, read_decisions(path))
    except UsageError as error:
        return EarlierWorkbook(folder, fault=str(error))
