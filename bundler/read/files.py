"""One plain file to its bytes and its text; links, odd files and other encodings are refused."""

import hashlib
from dataclasses import dataclass, field
from pathlib import Path

from bundler.errors import Finding
from bundler.read.slips import SLIPS


@dataclass
class Intake:
    """What reading a folder gathers: findings and the SHA-256 of each file."""

    findings: list[Finding] = field(default_factory=list)
    hashes: dict[str, str] = field(default_factory=dict)

    def slip(self, slip: str, table: str, row: int = 0, column: str = "", **values: object) -> None:
        """Add one finding."""
        self.findings.append(SLIPS[slip].at(table, row, column, **values))


def _content(path: Path, intake: Intake, most_bytes: int) -> bytes | None:
    if path.is_symlink() or not path.is_file():
        intake.slip("not a file", path.name)
        return None
    try:
        size = path.stat().st_size
        content = path.read_bytes() if size <= most_bytes else b""
    except OSError as fault:
        intake.slip("unreadable", path.name, why=fault.strerror or "no reason told")
        return None
    if size > most_bytes:
        intake.slip("too large", path.name, size=size, most=most_bytes)
        return None
    return content


def text_of(path: Path, intake: Intake, most_bytes: int) -> str | None:
    """Return the text of a file without byte order mark; None, with a finding, if there is none."""
    content = _content(path, intake, most_bytes)
    if content is None:
        return None
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        intake.slip("encoding", path.name, byte=fault.start + 1)
        return None
    intake.hashes[path.name] = hashlib.sha256(content).hexdigest()
    return text
