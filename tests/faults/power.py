"""What a disk may hold after the power was cut, given what it was asked before.

Until a file was forced to disk, each write to it may have arrived whole, in part, as zeros where
only the length was kept, or not at all, whatever became of those after it; the same holds for
truncating. After a failed fsync nobody can tell any more. A name is there for sure once its folder
was forced to disk.
"""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tests.faults.disk import Call

State = dict[Path, bytes]
"""The bytes of each file there is."""

SECTOR = 64
"""Small, since entries are."""
MOST = 300
"""States of all files together that are looked at for one moment, if there are more."""


@dataclass
class _File:
    """What happened to a file, in order, and how much of it is on disk for sure."""

    steps: list[Call] = field(default_factory=list)
    sure: set[int] = field(default_factory=set)
    doubtful: set[int] = field(default_factory=set)

    def take(self, call: Call) -> None:
        if call.name != "fsync":
            self.steps.append(call)
        elif call.done:
            self.sure |= set(range(len(self.steps))) - self.doubtful
        else:
            self.doubtful |= set(range(len(self.steps))) - self.sure

    def versions(self) -> Iterator[bytes]:
        """Everything the file may hold: one open step in all ways, the others in a few."""
        still_open = [i for i in range(len(self.steps)) if i not in self.sure]
        seen = set()
        for fine in still_open or [-1]:
            ways = [
                _fates(step, fine=i == fine) if i in still_open else [step]
                for i, step in enumerate(self.steps)
            ]
            for steps in itertools.product(*ways):
                version = _bytes(steps)
                if version not in seen:
                    seen.add(version)
                    yield version


def _fates(step: Call, *, fine: bool) -> list[Call | None]:
    """What may have become of a step that was not forced to disk."""
    if step.name == "ftruncate":
        return [step, None]
    data = step.data
    half = len(data) // 2
    pieces = [data, bytes(len(data)), data[:half], data[:half] + bytes(len(data) - half)]
    if fine:
        pieces += [data[:length] for length in range(len(data))]
        for start in range(0, len(data), SECTOR):
            end = min(start + SECTOR, len(data))
            pieces.append(data[:start] + bytes(end - start) + data[end:])
            pieces.append(bytes(start) + data[start:])
    return [None, *(Call("write", step.path, offset=step.offset, data=piece) for piece in pieces)]


def _bytes(steps: Sequence[Call | None]) -> bytes:
    content = bytearray()
    for step in steps:
        if step is None:
            continue
        if step.name == "ftruncate":
            del content[step.size :]
            content.extend(bytes(max(0, step.size - len(content))))
            continue
        content.extend(bytes(max(0, step.offset - len(content))))
        content[step.offset : step.offset + len(step.data)] = step.data
    return bytes(content)


class Power:
    """What was asked of a disk, call by call, and what would be left of it.

    Args:
        root: A folder that is there for sure.
        seed: Of the choice among too many states.
    """

    def __init__(self, root: Path, *, seed: int) -> None:
        self._root = root
        self._files: dict[Path, _File] = {}
        self._names: dict[Path, bool] = {}
        self._random = Random(seed)

    def take(self, call: Call) -> bool:
        """Take in one call; whether it changed anything a power cut might lay open."""
        path = call.path
        if call.name == "create" and call.done:
            self._files[path] = _File()
            self._names[path] = False
        elif call.name == "mkdir" and call.done:
            self._names[path] = False
        elif call.name == "fsync" and path not in self._files:
            for name in self._names:
                self._names[name] |= call.done and name.parent == path
        elif call.name in {"write", "ftruncate", "fsync"} and (call.done or call.name == "fsync"):
            self._files[path].take(call)
        else:
            return False
        return True

    def states(self) -> Iterator[State]:
        """What may be there if the power is cut now."""
        unsure = [name for name, sure in self._names.items() if not sure]
        some = [{}, *({name: True} for name in unsure), dict.fromkeys(unsure, True)]
        for gone in some:
            there = [p for p in self._files if not any(p.is_relative_to(name) for name in gone)]
            versions = [list(self._files[path].versions()) for path in there]
            for chosen in self._some_of(versions):
                yield dict(zip(there, chosen, strict=True))

    def _some_of(self, versions: list[list[bytes]]) -> Iterator[tuple[bytes, ...]]:
        many = 1
        for one in versions:
            many *= len(one)
        if many <= MOST:
            yield from itertools.product(*versions)
            return
        for _state in range(MOST):
            yield tuple(self._random.choice(one) for one in versions)
