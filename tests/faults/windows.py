"""Other windows: processes of their own, forked from this one, that end when their work is done."""

import json
import os
import traceback
import warnings
from collections.abc import Callable
from typing import Any

import pytest

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="windows are forked here")


class Window:
    """Another process at its work.

    Args:
        work: What it does; what it returns comes back as JSON.
    """

    def __init__(self, work: Callable[[], Any]) -> None:
        self._answer, answer = os.pipe()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # of threads: the child has none
            self.pid = os.fork()
        if self.pid:
            os.close(answer)
            return
        try:
            said, status = json.dumps(work()), 0
        except BaseException:
            said, status = traceback.format_exc(), 1
        with os.fdopen(answer, "w", encoding="utf-8") as out:
            out.write(said)
        os._exit(status)

    def wait(self) -> Any:
        """What the work returned, when it is done."""
        said = self.buried()
        assert self._status == 0, said
        return json.loads(said)

    def buried(self) -> str:
        """What it said, however it ended."""
        with os.fdopen(self._answer, encoding="utf-8") as answer:
            said = answer.read()
        _pid, self._status = os.waitpid(self.pid, 0)
        return said


def at_once(*works: Callable[[], Any]) -> list[Any]:
    """Do works each in a process of its own, all at the same time."""
    windows = [Window(work) for work in works]
    return [window.wait() for window in windows]
