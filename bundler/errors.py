"""The errors a user can meet, and the findings they carry."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Finding:
    """One thing found in the input: where, what, what is allowed, what to do.

    `level` is "error" (stops the run) or "note" (goes on, and travels to the report).
    """

    table: str
    row: int
    column: str
    found: str
    allowed: str
    remedy: str
    level: str = "error"

    @property
    def place(self) -> str:
        """File, row and column in words; row 0 means the table as a whole."""
        parts = [self.table]
        if self.row:
            parts.append(f"row {self.row}")
        where = " ".join(parts)
        return f"{where}, {self.column}" if self.column else where

    @property
    def sentence(self) -> str:
        """The finding as one line of text for people."""
        return f"{self.place}: {self.found}; {self.allowed}. {self.remedy}"


class BundlerError(Exception):
    """Anything the tool stops for on purpose."""


class DataError(BundlerError):
    """The input cannot be used; every finding is in `findings`."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(sorted(findings))
        super().__init__("\n".join(finding.sentence for finding in self.findings))


class NoPlanError(BundlerError):
    """No plan keeps every rule; the message names what clashes."""


class SolverError(BundlerError):
    """The solver is missing, failed, or ran out of time without a plan."""
