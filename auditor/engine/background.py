"""Work that goes on in a thread beside the main one, and ends with it, however it ends."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable, Iterator

from auditor.feeds.stopping import Stopped, watch_for_stop

_STOP_S = 0.4  # how long a failed run waits for work beside it; an interrupted one must be over in a second


class BackgroundWork:
    """A piece of work that has been started; what it raises comes up where it is waited for."""

    def __init__(self, work: Callable[[], None]) -> None:
        self._work = work
        self._raised: BaseException | None = None
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begins the work in a thread of its own."""
        self._thread = threading.Thread(target=self._run, name="beside", daemon=True)
        self._thread.start()

    @property
    def busy(self) -> bool:
        """Whether there is still something to wait for."""
        return self._thread is None or self._thread.is_alive()

    def wait(self) -> None:
        """Returns when the work is done, and raises what it raised; work that was not started is done now."""
        if self._thread is None:
            self._work()
            return
        self._thread.join()
        if self._raised is not None:
            raise self._raised

    def stop(self, patient: bool = False) -> None:
        """Asks the work to end, and waits for that: a moment, or as long as it takes."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join(None if patient else _STOP_S)

    def _run(self) -> None:
        watch_for_stop(self._stop)
        try:
            self._work()
        except Stopped:
            pass
        except BaseException as error:
            self._raised = error


@contextlib.contextmanager
def in_background(work: Callable[[], None], workers: int) -> Iterator[BackgroundWork]:
    """Does `work` in a thread beside the body; with one worker, in this thread once the body waits for it.

    The body has to wait.  Where it fails, the work is asked to end.
    """
    task = BackgroundWork(work)
    if workers > 1:
        task.start()
    try:
        yield task
    except BaseException:
        task.stop()
        raise
