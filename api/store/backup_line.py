"""The lines of a backup: JSON, each with a sum over itself and the sum before it, so that damage is found where it is.

The sums find what a disk or a copy spoils; who changes a file on purpose can make them anew.
"""

import json
from collections.abc import Iterator
from hashlib import sha256
from re import ASCII, compile
from typing import Any, BinaryIO

from api.settings.refused import Refused

_FORMAT = "kitwright-backup-2"
_FORMAT_WITHOUT_SUMS = "kitwright-backup-1"
_DIGITS = 16  # of a sum: 64 bits, so that chance does not hit it
_SUMMED = compile(rb'(\{.*),"sum":"([0-9a-f]{16})"\}\n', ASCII)
_MOST_BYTES = 256 * 2**20  # of a line


class BackupError(Refused, ValueError):
    """A file is no whole backup, or what it is to be put into is not empty; nothing was changed."""


class LineWriter:
    """Writes the lines of one backup."""

    def __init__(self, stream: BinaryIO) -> None:
        self.stream = stream
        self.sum = ""

    def put_head(self, head: dict[str, Any]) -> None:
        """Write the first line."""
        self.put({"format": _FORMAT, **head})

    def put(self, value: dict[str, Any]) -> None:
        """Write a line."""
        text = json.dumps(value, separators=(",", ":")).removesuffix("}").encode()
        self.sum = _sum_of(self.sum, text)
        self.stream.write(text + f',"sum":"{self.sum}"}}\n'.encode())


def backup_lines(stream: BinaryIO) -> Iterator[tuple[int, dict[str, Any]]]:
    """Yield each line with its number from 1 on, once its sum is found right; the first tells of the backup.

    Raises:
        BackupError: a line is damaged; the message names it.
    """
    last: str | None = ""
    number = 0
    while line := stream.readline(_MOST_BYTES):
        number += 1
        if number == 1 and not _summed(line):
            last = None
        if last is not None:
            last = _checked(line, number, last)
        value = _value_of(line, number)
        value.pop("sum", None)
        yield number, value
    if number == 0:
        raise BackupError("line 1: not a backup: the file is empty")


def _summed(line: bytes) -> bool:
    """Tell by the first line of a backup whether its lines have sums.

    Raises:
        BackupError: it is of no form that this release knows.
    """
    told = _value_of(line, 1).get("format")
    if told not in (_FORMAT, _FORMAT_WITHOUT_SUMS):
        raise BackupError(f"line 1: not a backup of the format {_FORMAT}")
    return bool(told == _FORMAT)


def _checked(line: bytes, number: int, last: str) -> str:
    """Return the sum of a line.

    Raises:
        BackupError: it is not that of the line.
    """
    found = _SUMMED.fullmatch(line)
    if found is None:
        cause = "it has no checksum at its end" if line.endswith(b"\n") else "it breaks off"
        raise BackupError(f"line {number}: damaged: {cause}")
    if (told := found[2].decode()) != (right := _sum_of(last, found[1])):
        cause = f"its checksum is {told}, that of what stands there is {right}"
        raise BackupError(f"line {number}: damaged, or a line before it is missing: {cause}")
    return told


def _sum_of(last: str, text: bytes) -> str:
    """Return the sum of a line by that of the line before it."""
    return sha256(last.encode() + text).hexdigest()[:_DIGITS]


def _value_of(line: bytes, number: int) -> dict[str, Any]:
    """Return what a line says.

    Raises:
        BackupError: it is no object of JSON.
    """
    try:
        value = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise BackupError(f"line {number}: not a backup: {error}") from error
    if not isinstance(value, dict):
        raise BackupError(f"line {number}: not a backup: an object is due")
    return value
