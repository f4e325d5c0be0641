"""The stream on several cores: batches of lines go to processes, their answers come back in order."""

from __future__ import annotations

import multiprocessing
import threading
from collections.abc import Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from io import BufferedIOBase
from queue import Queue
from typing import TextIO

from auditor.programs.line_batches import Line, chunks_of, line_batches
from auditor.programs.stream import Answering, in_lines
from auditor.rulebook.book import RuleBook

_AHEAD = 3  # batches per worker that are read before their answers are written
_answering: Answering  # of a worker process

Answered = tuple[str, bool]  # the answers as lines, and whether all listings are released


def follow_with_workers(lines: BufferedIOBase, answers: TextIO, book: RuleBook, workers: int) -> int:
    """As `auditor.programs.stream.follow`, on so many processes; memory stays bounded however fast lines come.

    A worker that dies takes no line along: what it had is answered here, and so is all that comes after.
    """
    context = multiprocessing.get_context("spawn")  # no fork beside Arrow's threads
    pool = ProcessPoolExecutor(workers, mp_context=context, initializer=_begin, initargs=(book,))
    writer = _Writer(answers, book, _AHEAD * workers)
    try:
        for batch in line_batches(chunks_of(lines)):
            writer.put(batch, _submitted(pool, batch))
            if writer.failure is not None:
                break
        return writer.finish()
    finally:
        for process in multiprocessing.active_children():
            process.terminate()
        pool.shutdown(wait=False, cancel_futures=True)


def _begin(book: RuleBook) -> None:
    global _answering
    _answering = Answering(book)


def _answer(batch: Sequence[Line]) -> Answered:
    return _answered(_answering, batch)


def _answered(answering: Answering, batch: Sequence[Line]) -> Answered:
    found = answering.lines(batch)
    return in_lines(found), all(one.get("verdict") == "release" for one in found)


def _submitted(pool: ProcessPoolExecutor, batch: Sequence[Line]) -> Future[Answered] | None:
    try:
        return pool.submit(_answer, batch)
    except BrokenProcessPool:
        return None


class _Writer:
    """Writes answers in order as soon as they are there, beside whoever reads the lines."""

    def __init__(self, answers: TextIO, book: RuleBook, most: int) -> None:
        self.failure: BaseException | None = None
        self._answers, self._book = answers, book
        self._queue: Queue[tuple[Sequence[Line], Future[Answered] | None] | None] = Queue(most)
        self._code = 0
        self._thread = threading.Thread(target=self._write_all, daemon=True)
        self._thread.start()

    def put(self, batch: Sequence[Line], future: Future[Answered] | None) -> None:
        """Takes the next batch; waits while too many are unanswered."""
        self._queue.put((batch, future))

    def finish(self) -> int:
        """Waits for the last answer; the exit code.  Raises what kept the answers from being written."""
        self._queue.put(None)
        self._thread.join()
        if self.failure is not None:
            raise self.failure
        return self._code

    def _write_all(self) -> None:
        here = None  # made where a worker died
        while (item := self._queue.get()) is not None:
            if self.failure is not None:
                continue  # nobody reads any more; the queue must not fill up
            batch, future = item
            try:
                if future is None:
                    raise BrokenProcessPool
                text, released = future.result()
            except BrokenProcessPool:
                here = here or Answering(self._book)
                text, released = _answered(here, batch)
            try:
                self._answers.write(text)
                self._answers.flush()
            except (OSError, ValueError) as error:
                self.failure = error
            self._code |= int(not released)
