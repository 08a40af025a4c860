"""Ctrl-C, heard everywhere: what is running ends soon and keeps the best it has.

Three things may be going on when a user asks to stop:

* nothing worth keeping yet (imports, reading a job): KeyboardInterrupt ends the command;
* a search (`ends_soon`): it looks at `asked` and comes back with its best by itself. One that does
  not within `PATIENCE` gets a KeyboardInterrupt, and keeps what it had until then;
* finishing what was found, once there is something to keep (`keep`): it is carried through, and
  leaves out what takes long.

Asked a second time, the command ends at once whatever it is at. A request to terminate does the
same, and whatever is open is cleaned up on the way out.

The request is one for the whole process, as signals are. Processes that plan for another one hear
of it through `listen`.
"""

from __future__ import annotations

import _thread
import contextlib
import signal
import threading
from collections.abc import Callable, Iterator
from types import FrameType

PATIENCE = 0.7
"""Seconds that a search has to come back by itself."""


class Termination(BaseException):
    """The process was asked to terminate."""


class _StopRequest:
    """What this process knows of being asked to stop."""

    def __init__(self) -> None:
        self.asked = False
        self.terminated = False
        self.overdue = False
        self.searching = False
        self.kept = False
        self.through = 0
        self.postponed: int | None = None
        self.elsewhere: Callable[[], bool] = lambda: False


_state = _StopRequest()


def asked() -> bool:
    """Whether the user has asked to stop and keep the best."""
    return _state.asked or _state.elsewhere()


def terminated() -> bool:
    """Whether the process was asked to terminate."""
    return _state.terminated


def kept() -> bool:
    """Whether there is something to keep."""
    return _state.kept


def listen(elsewhere: Callable[[], bool]) -> None:
    """Hear of it in a process that no key reaches: `elsewhere` tells whether it was asked."""
    _state.elsewhere = elsewhere


@contextlib.contextmanager
def ends_soon() -> Iterator[None]:
    """A search that looks at `asked`; KeyboardInterrupt only comes where it does not end soon."""
    before, _state.searching = _state.searching, True
    try:
        yield
    finally:
        _state.searching = before


@contextlib.contextmanager
def carried_through() -> Iterator[None]:
    """A few steps that must not be broken into: what is asked meanwhile is heard right after."""
    _state.through += 1
    try:
        yield
    finally:
        _state.through -= 1
        postponed = _state.postponed
        if postponed is not None and not _state.through:
            _state.postponed = None
            (_terminated if postponed == signal.SIGTERM else _interrupted)(postponed, None)


def keep() -> None:
    """There is something to keep: from now on, being asked once interrupts nothing but a search."""
    _state.kept = True


def hear() -> None:
    """Hear Ctrl-C, and requests to terminate, as told above from now on."""
    # A process that was started not to be reached by Ctrl-C is not.
    if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
        signal.signal(signal.SIGINT, _interrupted)
    signal.signal(signal.SIGTERM, _terminated)


def deaf() -> None:
    """Let nothing interrupt the little that is left to do before the process ends."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        # Python puts back the system's way to end at the last moment, while libraries are unloaded.
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})


@contextlib.contextmanager
def children_deaf() -> Iterator[None]:
    """Processes started within are not reached by Ctrl-C: it is this one that hears it."""
    if hasattr(signal, "pthread_sigmask"):
        # What is blocked stays so in a child; here it only waits.
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            yield
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
    else:
        yield


def _interrupted(number: int, _frame: FrameType | None) -> None:
    if _state.through:
        _state.postponed = _state.postponed or number
        return
    if _state.overdue:
        # Our own reminder: the search was asked and has not come back.
        _state.overdue = False
        if _state.searching:
            raise KeyboardInterrupt
        return
    if _state.asked or not (_state.searching or _state.kept):
        _state.asked = True
        raise KeyboardInterrupt
    _state.asked = True
    timer = threading.Timer(PATIENCE, _remind)
    timer.daemon = True
    timer.start()


def _remind() -> None:
    if _state.searching:
        _state.overdue = True
        _thread.interrupt_main()


def _terminated(number: int, _frame: FrameType | None) -> None:
    if _state.through:
        _state.postponed = number
        return
    _state.terminated = True
    raise Termination
